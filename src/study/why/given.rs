//! What the unit gave: the direction of its group, its capacity, and what its sensor had it believe.

use super::CauseFound as Cause;
use super::look::{LITTLE, Look};
use super::scene::shown;
use crate::log::{Running, Sample};

/// What a group did is looked for so far back, s.
const RECENT: i64 = 24 * 3600;
/// A unit that has run for so long without reaching its setpoint is too weak, s.
const LONG_RUN: i64 = 30 * 60;
/// This share of its output is all of it.
const FULL: f64 = 0.9;
/// So far another sensor has to differ to count, K.
const APART: f64 = 1.0;

impl Look<'_> {
    /// What the outdoor unit serves, or served last, is the opposite.
    pub(super) fn group(&self) -> Option<Cause> {
        if !self.is_called(self.place) || self.is_served() || self.scene.others.is_empty() {
            return None;
        }
        let (opposite, wanted) = (Running::In(self.needs.opposite()), Running::In(self.needs));
        let served = |place: usize, what: Running| {
            let runs = |it: &Sample| it.running == Some(what);
            let other = self.scene.others.iter().find(|(_, all)| all.get(place).is_some_and(runs));
            other.map(|(label, _)| label.as_str())
        };
        let recent = |place: &usize| self.at_time() - self.time_of(*place) <= RECENT;
        let last = (0..=self.place).rev().take_while(recent).find_map(|place| {
            let direction =
                [opposite, wanted].into_iter().find(|it| served(place, *it).is_some())?;
            Some((direction, served(place, direction)?))
        });
        let stands = self.scene.direction(self.place) == Some(self.needs.opposite());
        let against = last.filter(|(direction, _)| *direction == opposite);
        if against.is_none() && !stands {
            return None;
        }
        // Since the zone has wanted it, and nobody was served in it.
        let first = self.first(|place| {
            self.is_called(place)
                && !self.runs(&self.scene.samples[place])
                && served(place, wanted).is_none()
        });
        let what = self.needs.opposite().name();
        let (reading, who) = match (against, &self.scene.decider) {
            (Some((_, label)), _) => {
                (format!("{label} {what}"), format!(", which {label} had called for"))
            }
            (None, Some(owner)) => (format!("{owner} decides"), format!(", as {owner} decides")),
            (None, None) => (format!("direction {what}"), String::new()),
        };
        let message = format!("its outdoor unit was there for {what}{who}");
        Some(Cause::new("group_direction", self.time_of(first), reading, message))
    }

    pub(super) fn capacity(&self) -> Option<Cause> {
        let short = self.short(self.place).filter(|short| *short >= self.start().max(LITTLE))?;
        let since = self.time_of(self.running_since()?);
        let end = self.scene.controls.thermostat.call_stop.of(self.needs);
        let full = match self.now.output {
            Some(output) => output >= FULL,
            None => self.scene.machine.control.is_at_full_output(short + end),
        };
        if self.at_time() - since < LONG_RUN || !full {
            return None;
        }
        let message = format!(
            "its unit ran without a break and was {} short of the setpoint{}",
            shown(short),
            self.outdoors()
        );
        let rated = self.scene.machine.rated(self.needs) / 1000.0;
        let reading = format!("running, {rated:.1} kW by the settings");
        Some(Cause::new("capacity", since, reading, message))
    }

    /// A call that goes unanswered, and no setting says why.
    pub(super) fn unexplained(&self) -> Option<Cause> {
        if !self.is_called(self.place) || self.is_served() || !self.is_outside() {
            return None;
        }
        let short = self.short(self.place).map(shown)?;
        let first =
            self.first(|place| self.is_called(place) && !self.runs(&self.scene.samples[place]));
        let (reading, message) = match self.now.running {
            None => (
                "what ran is not recorded",
                format!("it was {short} short of its setpoint{}", self.outdoors()),
            ),
            Some(_) => (
                "not running",
                format!(
                    "its unit gave nothing although the room was {short} short of its setpoint, and \
                     no setting says why: look for a fault, a switch or an open window"
                ),
            ),
        };
        Some(Cause::new("capacity", self.time_of(first), reading, message))
    }

    fn outdoors(&self) -> String {
        self.now.outdoor.map(|it| format!(" at {} outdoors", shown(it))).unwrap_or_default()
    }

    /// The sensor that governs, or another in the room, reads otherwise than the room is. A sensor in
    /// the return air may do so only while the unit runs, so the last half hour counts.
    pub(super) fn sensor(&self) -> Option<Cause> {
        let air = |place: usize| self.scene.samples[place].temperature;
        if !self.scene.facts.is_empty() {
            let sensed = |place: usize| self.scene.sensed(place);
            let last = self.misread(&|place| air(place).zip(sensed(place)))?;
            let (room, read) = air(last).zip(sensed(last))?;
            let reading = format!("sensor {}, room {}", shown(read), shown(room));
            let words = format!("it read {} with the room at {}", shown(read), shown(room));
            return self.misreads(last, &|place| air(place).zip(sensed(place)), reading, &words);
        }
        self.scene.sensors.iter().find_map(|(name, values)| {
            let pair = |place: usize| values[place].zip(air(place));
            let (value, own) = pair(self.misread(&pair)?)?;
            let reading = format!("{name} {}, governing {}", shown(value), shown(own));
            let words = format!("{name} read {} and it {}", shown(value), shown(own));
            self.misreads(self.misread(&pair)?, &pair, reading, &words)
        })
    }

    /// The last sample not long ago at which a room and what governs it were apart, so that the unit
    /// gave too little.
    fn misread(&self, pair: &dyn Fn(usize) -> Option<(f64, f64)>) -> Option<usize> {
        let recent = |place: &usize| self.at_time() - self.time_of(*place) <= LONG_RUN;
        (0..=self.place).rev().take_while(recent).find(|place| self.is_apart(pair(*place)))
    }

    fn is_apart(&self, pair: Option<(f64, f64)>) -> bool {
        let apart = self.scene.unit.difference_from_kelvin(APART);
        pair.is_some_and(|(room, read)| (room - read) * self.needs.sign() <= -apart)
    }

    fn misreads(
        &self,
        last: usize,
        pair: &dyn Fn(usize) -> Option<(f64, f64)>,
        reading: String,
        words: &str,
    ) -> Option<Cause> {
        let since = self.moved_to(last)?.first(|place| self.is_apart(pair(place)));
        let message = format!("the sensor that governs did not read what was felt: {words}");
        Some(Cause::new("sensor", self.time_of(since), reading, message))
    }
}
