//! The causes that can be seen in a moment, in the order in which they decide.

use super::scene::{Scene, shown};
use super::{CauseFound, Felt};
use crate::control::{Mode, Power};
use crate::direction::Direction;
use crate::log::{LogTime, Running, Sample};

/// A setpoint that was moved within so long may be why, s.
const RECENT: i64 = 24 * 3600;
/// A room may take so long to recover after somebody has come, s.
const RECOVERS: i64 = 3 * 3600;
/// A unit that has run for so long without reaching its setpoint is too weak, s.
const LONG_RUN: i64 = 30 * 60;
/// So far another sensor has to differ to count, K.
const APART: f64 = 1.0;

/// What holds at a moment, the first the one that decides; `None` where nothing is known of it.
pub(super) fn causes(scene: &Scene, felt: Felt) -> Option<Vec<CauseFound>> {
    let now = *scene.sample()?;
    let look = Look { scene, felt, now, needs: felt.needs() };
    let mut found = Vec::new();
    found.extend(look.power());
    found.extend(look.mode());
    found.extend(look.outdoor());
    found.extend(look.group());
    found.extend(look.unoccupied());
    found.extend(look.recovery());
    if found.is_empty() {
        found.extend(look.setpoint());
    }
    found.extend(look.rest());
    found.extend(look.capacity());
    found.extend(look.sensor());
    if found.is_empty() {
        found.push(look.within());
    }
    Some(found)
}

struct Look<'s> {
    scene: &'s Scene,
    felt: Felt,
    now: Sample,
    needs: Direction,
}

impl Look<'_> {
    fn cause(
        &self,
        code: &'static str,
        since: LogTime,
        reading: String,
        message: String,
    ) -> CauseFound {
        let _ = self;
        CauseFound { code, since, reading, message }
    }

    /// How far the room is past its setpoint on the side that was felt, in the file's unit; positive
    /// where the unit ought to do something.
    fn short(&self, sample: &Sample) -> Option<f64> {
        let air = sample.temperature?;
        let setpoint = self.setpoint_of(sample)?;
        Some((setpoint - air) * self.needs.sign())
    }

    fn setpoint_of(&self, sample: &Sample) -> Option<f64> {
        match self.needs {
            Direction::Heating => sample.heat,
            Direction::Cooling => sample.cool,
        }
    }

    fn start(&self) -> f64 {
        self.scene.controls.thermostat.call_start.of(self.needs)
    }

    fn runs(&self, sample: &Sample) -> bool {
        matches!(sample.running, Some(Running::In(direction)) if direction == self.needs)
            || sample.running == Some(Running::On)
    }

    fn power(&self) -> Option<CauseFound> {
        (self.now.power == Some(Power::Off)).then(|| {
            let since = self.scene.since(|it| it.power == Some(Power::Off));
            let message = "it was switched off".to_owned();
            self.cause("power_off", since, "power off".into(), message)
        })
    }

    fn mode(&self) -> Option<CauseFound> {
        let mode = self.now.mode.filter(|mode| !mode.allows(self.needs))?;
        // A follower works in its group's direction, whatever it has stored, unless that is fan.
        if !self.scene.others.is_empty() && mode != Mode::Fan {
            return None;
        }
        let since = self.scene.since(|it| it.mode == Some(mode));
        let message = format!("mode {} does no {}", mode.name(), self.needs.name());
        Some(self.cause("mode", since, format!("mode {}", mode.name()), message))
    }

    fn outdoor(&self) -> Option<CauseFound> {
        let limits = self.scene.controls.outdoor_limits;
        let outdoor = self.now.outdoor?;
        let barred = |outdoor: f64| !limits.at_start(outdoor).has(self.needs);
        if !barred(outdoor) || self.runs(&self.now) {
            return None;
        }
        let since = self.scene.since(|it| it.outdoor.is_some_and(barred));
        let message = format!(
            "at {} outdoors its outdoor limits do not allow {}",
            shown(outdoor),
            self.needs.name()
        );
        Some(self.cause("outdoor_limit", since, format!("outdoor {}", shown(outdoor)), message))
    }

    /// What the outdoor unit served last is the opposite.
    fn group(&self) -> Option<CauseFound> {
        if !self.is_called(&self.now) || self.runs(&self.now) {
            return None;
        }
        let opposite = Running::In(self.needs.opposite());
        let wanted = Running::In(self.needs);
        let served = |place: usize, what: Running| {
            let runs = |it: &Sample| it.running == Some(what);
            let other = self.scene.others.iter().find(|(_, all)| all.get(place).is_some_and(runs));
            other.map(|(label, _)| label.as_str())
        };
        let now = self.scene.place;
        let recent = |place: &usize| self.scene.at - self.scene.samples[*place].at <= RECENT;
        let last = (0..=now).rev().take_while(recent).find_map(|place| {
            let direction =
                [opposite, wanted].into_iter().find(|it| served(place, *it).is_some())?;
            Some((direction, served(place, direction)?))
        });
        let (_, label) = last.filter(|(direction, _)| *direction == opposite)?;
        // Since the zone has wanted it, and nobody was served in it.
        let mut first = now;
        while first > 0
            && self.is_called(&self.scene.samples[first - 1])
            && !self.runs(&self.scene.samples[first - 1])
            && served(first - 1, wanted).is_none()
        {
            first -= 1;
        }
        let message = format!(
            "its outdoor unit was there for {}, which {label} had called for",
            self.needs.opposite().name()
        );
        let reading = format!("{label} {}", self.needs.opposite().name());
        Some(self.cause("group_direction", self.scene.samples[first].at, reading, message))
    }

    /// Whether a call in the direction that is needed would start.
    fn is_called(&self, sample: &Sample) -> bool {
        self.short(sample).is_some_and(|short| short >= self.start() - 1e-6)
    }

    fn unoccupied(&self) -> Option<CauseFound> {
        let away = self.now.occupied == Some(false) && self.scene.controls.setback.is_some();
        // A room that its unit should be heating or cooling all the same has another cause.
        if !away || self.is_called(&self.now) {
            return None;
        }
        let since = self.scene.since(|it| it.occupied == Some(false));
        let setpoint = self.setpoint_of(&self.now).map(shown).unwrap_or_default();
        let message = format!("it counted as unoccupied, and its setback let it go to {setpoint}");
        Some(self.cause("unoccupied", since, "unoccupied".into(), message))
    }

    fn recovery(&self) -> Option<CauseFound> {
        self.scene.controls.setback?;
        let came = self.now.occupied == Some(true);
        let since = self.scene.since(|it| it.occupied == Some(true));
        let lasted = self.scene.at - since;
        let from_away = self
            .scene
            .samples
            .iter()
            .rev()
            .find(|it| it.at < since)
            .is_some_and(|it| it.occupied == Some(false));
        let short = self.short(&self.now).is_some_and(|short| short > 0.2);
        if !came || !from_away || lasted > RECOVERS || !short || !self.runs(&self.now) {
            return None;
        }
        let reading = format!("somebody since {since}");
        let message = "it had not yet recovered from the time when nobody was there".to_owned();
        Some(self.cause("recovery", since, reading, message))
    }

    /// The setpoint itself asks for nothing: who moved it, or what holds it there.
    fn setpoint(&self) -> Option<CauseFound> {
        let setpoint = self.setpoint_of(&self.now)?;
        let (low, high) = self.scene.band;
        let air = self.now.temperature?;
        let short = self.short(&self.now)?;
        let outside = match self.felt {
            Felt::Cold => air < low || setpoint < low,
            Felt::Hot => air > high || setpoint > high,
        };
        if short >= self.start() - 1e-6 || !outside || self.runs(&self.now) {
            return None;
        }
        let same = |it: &Sample| self.setpoint_of(it) == Some(setpoint);
        let since = self.scene.since(same);
        let side = self.needs.side().name();
        let reading = format!("{side} {}", shown(setpoint));
        if let Some(message) = self.held(setpoint) {
            return Some(self.cause(message.0, since, reading, message.1));
        }
        let before = self.scene.samples.iter().rev().find(|it| it.at < since);
        let before = before.and_then(|it| self.setpoint_of(it));
        let away = before.is_some_and(|before| (before - setpoint) * self.needs.sign() > 0.0);
        if away && self.scene.at - since <= RECENT {
            let who = self.scene.by.iter().rev().find(|(at, _)| (*at - since).abs() <= 120);
            let who = who.map_or_else(|| "somebody".to_owned(), |(_, by)| by.clone());
            let message = format!(
                "{who} had moved its {side} setpoint from {} to {}",
                before.map(shown).unwrap_or_default(),
                shown(setpoint)
            );
            return Some(self.cause("moved_by", since, reading, message));
        }
        let message =
            format!("its {side} setpoint stood at {}, which asks for no more", shown(setpoint));
        Some(self.cause("setpoint", since, reading, message))
    }

    /// A limit or the deadband at which the setpoint stands, on the side on which more was wanted.
    fn held(&self, setpoint: f64) -> Option<(&'static str, String)> {
        let settings = &self.scene.controls.settings;
        let side = self.needs.side();
        let range = settings.rules.written(side);
        let limit = match self.needs {
            Direction::Heating => range.high,
            Direction::Cooling => range.low,
        };
        let half = settings.grid.step() / 2.0;
        let limit = settings.grid.value(limit);
        if (setpoint - limit).abs() < half {
            let words =
                format!("its {} setpoint stood at its limit of {}", side.name(), shown(limit));
            return Some(("limit", words));
        }
        let (heat, cool) = self.now.heat.zip(self.now.cool)?;
        let deadband = settings.grid.value(settings.rules.deadband());
        let hold = settings.rules.on_conflict() == crate::control::OnConflict::Hold;
        let at_deadband = (cool - heat - deadband).abs() < half;
        (at_deadband && hold && deadband > 0.0).then(|| {
            let words = format!(
                "its {} setpoint stood at the deadband of {} to the other, which does not give way",
                side.name(),
                shown(deadband)
            );
            ("deadband", words)
        })
    }

    fn rest(&self) -> Option<CauseFound> {
        let short = self.short(&self.now).is_some_and(|short| short >= self.start() - 1e-6);
        if !short || self.now.running != Some(Running::Off) || self.now.power == Some(Power::Off) {
            return None;
        }
        let thermostat = &self.scene.controls.thermostat;
        let since = self.scene.since(|it| it.running == Some(Running::Off));
        let last = self.scene.samples.iter().rev().find(|it| it.at < since)?;
        let turned = last.running == Some(Running::In(self.needs.opposite()));
        let timer = if turned {
            thermostat.changeover_delay.max(thermostat.min_off)
        } else {
            thermostat.min_off
        };
        if self.scene.at - since > timer.get() + 120 {
            return None;
        }
        let what = if turned { "turned round" } else { "rested" };
        let message = format!("its unit {what}, which its timers have last {timer}");
        Some(self.cause("rest", since, "not running".into(), message))
    }

    fn capacity(&self) -> Option<CauseFound> {
        let short = self.short(&self.now).filter(|short| *short >= self.start().max(0.3))?;
        if !self.runs(&self.now) {
            return None;
        }
        let since = self.scene.since(|it| self.runs(it));
        if self.scene.at - since < LONG_RUN {
            return None;
        }
        let outdoor = self.now.outdoor.map(|it| format!(" at {} outdoors", shown(it)));
        let message = format!(
            "its unit ran without a break and was {} short of the setpoint{}",
            shown(short),
            outdoor.unwrap_or_default()
        );
        let rated = self.scene.machine.rated(self.needs) / 1000.0;
        let reading = format!("running, {rated:.1} kW by the settings");
        Some(self.cause("capacity", since, reading, message))
    }

    fn sensor(&self) -> Option<CauseFound> {
        let apart = self.scene.unit.difference_from_kelvin(APART);
        let air = self.now.temperature?;
        let toward = |difference: f64| difference * self.needs.sign() <= -apart;
        let message =
            |other: &str| format!("the sensor that governs did not read what was felt: {other}");
        if let Some(misread) = self.scene.misread.filter(|it| toward(*it)) {
            let reading = format!("sensor {}, room {}", shown(air - misread), shown(air));
            let words = message(&format!(
                "it read {} with the room at {}",
                shown(air - misread),
                shown(air)
            ));
            return Some(self.cause("sensor", self.scene.samples[0].at, reading, words));
        }
        let (name, value) = self.scene.sensors.iter().find(|(_, value)| toward(value - air))?;
        let words = message(&format!("{name} read {} and it {}", shown(*value), shown(air)));
        let reading = format!("{name} {}, governing {}", shown(*value), shown(air));
        Some(self.cause("sensor", self.now.at, reading, words))
    }

    fn within(&self) -> CauseFound {
        let (low, high) = self.scene.band;
        let air = self.now.temperature;
        let inside = |it: &Sample| it.temperature.is_some_and(|air| air >= low && air <= high);
        let since = self.scene.since(inside);
        let is = if inside(&self.now) { "within" } else { "near" };
        let message = format!(
            "nothing was wrong with air and controls, which were {is} the band {} to {}: look at the \
             site for radiant cold or sun, draught and clothing",
            shown(low),
            shown(high)
        );
        self.cause(
            "within_band",
            since,
            air.map(|it| format!("air {}", shown(it))).unwrap_or_default(),
            message,
        )
    }
}
