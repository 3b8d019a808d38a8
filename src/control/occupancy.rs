//! Rule 11: what works while nobody is there, and the override that a request starts.

use super::request::Outcome;
use super::setpoints::Setpoints;
use super::thermostat::WorkingSetpoints;
use super::ticks::{Grid, Ticks};
use crate::time::{Instant, Seconds, Span};

/// How a zone knows whether somebody is there.
#[derive(Clone, Debug, PartialEq)]
pub enum Occupancy {
    /// Somebody always is.
    Always,
    /// A weekly schedule.
    Schedule(Vec<Span>),
    /// A sensor that reports presence for so long after it last saw somebody.
    Sensor {
        /// How long it holds.
        hold: Seconds,
    },
    /// The people of the file: occupied while one of them is there.
    People,
}

/// How far the working setpoints move apart while nobody is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Setback {
    /// Heat works this much lower.
    pub heat: Ticks,
    /// Cool works this much higher.
    pub cool: Ticks,
    /// But heat not below this.
    pub heat_low: Ticks,
    /// And cool not above this.
    pub cool_high: Ticks,
}

impl Setback {
    /// The setpoints that work while nobody is there. The floor and the ceiling always hold: a
    /// stored heat setpoint below `heat_low` works as `heat_low`. But heat never works above cool.
    pub fn working(&self, stored: &Setpoints) -> (Ticks, Ticks) {
        let cool = (stored.cool() + self.cool).min(self.cool_high);
        let heat = (stored.heat() - self.heat).max(self.heat_low);
        (heat.min(cool), cool)
    }
}

/// What the zone remembers about presence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Presence {
    occupied: bool,
    seen_at: Option<Instant>,
    override_until: Option<Instant>,
    /// Until when an optimum start lets the stored setpoints work.
    early_until: Option<Instant>,
}

impl Presence {
    /// Before the first step: taken as occupied, so that an empty start leaves its event.
    pub const START: Self =
        Self { occupied: true, seen_at: None, override_until: None, early_until: None };

    /// Whether somebody is there, as far as the zone knows.
    pub const fn is_occupied(&self) -> bool {
        self.occupied
    }

    /// Until when an override lets the stored setpoints work.
    pub const fn override_until(&self) -> Option<Instant> {
        self.override_until
    }

    /// After a power failure (rule 14): override, early start and what a sensor held are over.
    pub fn restart(&mut self) {
        self.seen_at = None;
        self.override_until = None;
        self.early_until = None;
    }

    /// The stored setpoints work before somebody comes, until then.
    pub fn start_early(&mut self, until: Instant) {
        self.early_until = Some(until);
    }

    /// Notes whether somebody is there. True where that is a change.
    pub fn note(&mut self, occupied: bool) -> bool {
        std::mem::replace(&mut self.occupied, occupied) != occupied
    }

    /// An occupancy sensor sees somebody.
    pub fn see(&mut self, at: Instant) {
        self.seen_at = Some(at);
    }

    /// Until when an occupancy sensor reports presence, if it has seen anybody.
    pub fn reports_until(&self, hold: Seconds) -> Option<Instant> {
        self.seen_at.map(|seen| seen + hold)
    }

    /// What an occupancy sensor reports.
    pub fn reported(&self, hold: Seconds, now: Instant) -> bool {
        self.seen_at.is_some_and(|seen| now < seen + hold)
    }

    /// Notes an occupant's setpoint request: one that was not refused starts an override while
    /// nobody is there, or starts it anew. True where it did.
    pub fn asked(&mut self, outcome: Outcome, at: Instant, override_time: Seconds) -> bool {
        let heard = matches!(outcome, Outcome::Accepted | Outcome::Pushed | Outcome::Limited);
        let starts = heard && !self.occupied;
        if starts {
            self.override_until = Some(at + override_time);
        }
        starts
    }

    /// Whether the stored setpoints work at `now`.
    pub fn stored_work(&self, now: Instant) -> bool {
        let before = |end: Option<Instant>| end.is_some_and(|end| now < end);
        self.occupied || before(self.override_until) || before(self.early_until)
    }

    /// The setpoints in force at `now`.
    pub fn working(
        &self,
        stored: &Setpoints,
        setback: Option<&Setback>,
        grid: Grid,
        now: Instant,
    ) -> WorkingSetpoints {
        let (heat, cool) = match setback {
            Some(setback) if !self.stored_work(now) => setback.working(stored),
            _ => (stored.heat(), stored.cool()),
        };
        WorkingSetpoints { heat: grid.value(heat), cool: grid.value(cool) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::control::rig::{Given, tick};

    fn minute(number: i64) -> Instant {
        Instant::new(number * 60)
    }

    /// The setpoints in force as text, for a zone that stores 20 and 24.
    fn works(presence: &Presence, setback: Option<(f64, f64, f64, f64)>, now: i64) -> String {
        let rig = Given::default().rig();
        let grid = rig.settings.grid;
        let setback = setback.map(|(heat, cool, heat_low, cool_high)| Setback {
            heat: tick(grid, heat),
            cool: tick(grid, cool),
            heat_low: tick(grid, heat_low),
            cool_high: tick(grid, cool_high),
        });
        let at = presence.working(&rig.stored.setpoints, setback.as_ref(), grid, minute(now));
        format!("{}/{}", at.heat, at.cool)
    }

    fn empty() -> Presence {
        let mut presence = Presence::START;
        assert!(presence.note(false));
        presence
    }

    const SETBACK: Option<(f64, f64, f64, f64)> = Some((3.0, 4.5, 10.0, 35.0));

    #[test]
    fn rule_11_the_setpoints_work_set_back_only_while_nobody_is_there() {
        assert_eq!(works(&Presence::START, SETBACK, 0), "20/24");
        assert_eq!(works(&empty(), SETBACK, 0), "17/28.5");
        assert_eq!(works(&empty(), None, 0), "20/24");
    }

    #[test]
    fn rule_11_the_setback_has_a_floor_and_a_ceiling_and_no_occupant_limits() {
        assert_eq!(works(&empty(), Some((8.0, 9.0, 10.0, 35.0)), 0), "12/33");
        assert_eq!(works(&empty(), Some((15.0, 15.0, 10.0, 35.0)), 0), "10/35");
        assert_eq!(works(&empty(), Some((3.0, 3.0, 18.5, 25.5)), 0), "18.5/25.5");
        // A floor above the stored value holds, too.
        assert_eq!(works(&empty(), Some((3.0, 3.0, 21.0, 23.0)), 0), "21/23");
        // But no floor makes a zone heat and cool at the same time.
        assert_eq!(works(&empty(), Some((3.0, 1.0, 28.0, 35.0)), 0), "25/25");
    }

    #[test]
    fn rule_11_an_occupants_request_starts_an_override_and_a_later_one_restarts_it() {
        let mut presence = empty();
        let two_hours = Seconds::hours(2);
        assert!(presence.asked(Outcome::Accepted, minute(0), two_hours));
        assert_eq!(works(&presence, SETBACK, 119), "20/24");
        assert_eq!(works(&presence, SETBACK, 120), "17/28.5");
        assert!(presence.asked(Outcome::Limited, minute(60), two_hours));
        assert_eq!(works(&presence, SETBACK, 179), "20/24");
        assert_eq!(works(&presence, SETBACK, 180), "17/28.5");
        assert_eq!(presence.override_until(), Some(minute(180)));
    }

    #[test]
    fn rule_11_only_what_was_heard_while_nobody_was_there_starts_an_override() {
        for (outcome, starts) in [
            (Outcome::Accepted, true),
            (Outcome::Pushed, true),
            (Outcome::Limited, true),
            (Outcome::Refused, false),
            (Outcome::NoEffect, false),
        ] {
            assert_eq!(empty().asked(outcome, minute(0), Seconds::hours(2)), starts, "{outcome:?}");
        }
        let mut occupied = Presence::START;
        assert!(!occupied.asked(Outcome::Accepted, minute(0), Seconds::hours(2)));
        assert!(occupied.note(false));
        assert_eq!(works(&occupied, SETBACK, 1), "17/28.5");
    }

    #[test]
    fn rule_11_a_sensor_holds_its_report() {
        let mut presence = Presence::START;
        let hold = Seconds::minutes(30);
        assert!(!presence.reported(hold, minute(0)));
        presence.see(minute(5));
        assert!(presence.reported(hold, minute(34)));
        assert!(!presence.reported(hold, minute(35)));
        presence.see(minute(40));
        assert!(presence.reported(hold, minute(69)));
    }

    #[test]
    fn a_change_of_presence_is_reported_once() {
        let mut presence = Presence::START;
        assert_eq!(
            [true, false, false, true].map(|there| presence.note(there)),
            [false, true, false, true]
        );
        assert!(presence.is_occupied());
    }
}
