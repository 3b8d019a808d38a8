//! Rules 11 and 17: what works while nobody is there, and the override that a request starts.

use super::request::Outcome;
use super::setpoints::Setpoints;
use super::thermostat::WorkingSetpoints;
use super::ticks::{Grid, Ticks};
use super::window::WindowDoes;
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

/// When an override ends (rule 17).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum OverrideUntil {
    /// When the override time is over.
    #[default]
    Time,
    /// When somebody comes or goes next.
    Change,
    /// At the midnight that clocks show next.
    EndOfDay,
}

impl OverrideUntil {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Time, Self::Change, Self::EndOfDay];

    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Change => "change",
            Self::EndOfDay => "end_of_day",
        }
    }
}

/// Whether an override lets the stored setpoints work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Override {
    /// None does.
    Off,
    /// Until an instant.
    Until(Instant),
    /// Until somebody comes or goes.
    UntilChange,
}

impl Override {
    /// The override that a request at `at` starts; `midnight` is the end of the clocks' day.
    pub fn starting(until: OverrideUntil, time: Seconds, at: Instant, midnight: Instant) -> Self {
        match until {
            OverrideUntil::Time => Self::Until(at + time),
            OverrideUntil::Change => Self::UntilChange,
            OverrideUntil::EndOfDay => Self::Until(midnight),
        }
    }

    /// Whether it is on at an instant.
    pub fn is_on(self, now: Instant) -> bool {
        match self {
            Self::Off => false,
            Self::Until(end) => now < end,
            Self::UntilChange => true,
        }
    }
}

/// What the zone remembers about presence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Presence {
    occupied: bool,
    seen_at: Option<Instant>,
    overriding: Override,
    /// Until when an optimum start lets the stored setpoints work.
    early_until: Option<Instant>,
}

impl Presence {
    /// Before the first step: taken as occupied, so that an empty start leaves its event.
    pub const START: Self =
        Self { occupied: true, seen_at: None, overriding: Override::Off, early_until: None };

    /// Whether somebody is there, as far as the zone knows.
    pub const fn is_occupied(&self) -> bool {
        self.occupied
    }

    /// Whether and until when an override lets the stored setpoints work.
    pub const fn overriding(&self) -> Override {
        self.overriding
    }

    /// When an override ends, if it ends at a time.
    pub const fn override_until(&self) -> Option<Instant> {
        match self.overriding {
            Override::Until(end) => Some(end),
            Override::Off | Override::UntilChange => None,
        }
    }

    /// After a power failure (rule 14): override, early start and what a sensor held are over.
    pub fn restart(&mut self) {
        self.seen_at = None;
        self.overriding = Override::Off;
        self.early_until = None;
    }

    /// The stored setpoints work before somebody comes, until then.
    pub fn start_early(&mut self, until: Instant) {
        self.early_until = Some(until);
    }

    /// Notes whether somebody is there. True where that is a change, which ends an override that
    /// lasts until then.
    pub fn note(&mut self, occupied: bool) -> bool {
        let changes = std::mem::replace(&mut self.occupied, occupied) != occupied;
        if changes && self.overriding == Override::UntilChange {
            self.overriding = Override::Off;
        }
        changes
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
    pub fn asked(&mut self, outcome: Outcome, starts: Override) -> bool {
        let heard = matches!(outcome, Outcome::Accepted | Outcome::Pushed | Outcome::Limited);
        if heard && !self.occupied {
            self.overriding = starts;
        }
        heard && !self.occupied
    }

    /// Whether the stored setpoints work at `now`.
    pub fn stored_work(&self, now: Instant) -> bool {
        let early = self.early_until.is_some_and(|end| now < end);
        self.occupied || self.overriding.is_on(now) || early
    }

    /// The setpoints in force at `now`. An open window that sets back does so whoever is there and
    /// whatever override is on (rule 16).
    pub fn working(
        &self,
        stored: &Setpoints,
        setback: Option<&Setback>,
        grid: Grid,
        window: WindowDoes,
        now: Instant,
    ) -> WorkingSetpoints {
        let set_back = window == WindowDoes::Setback || !self.stored_work(now);
        let (heat, cool) = match setback {
            Some(setback) if set_back => setback.working(stored),
            _ => (stored.heat(), stored.cool()),
        };
        WorkingSetpoints::new(grid.value(heat), grid.value(cool))
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
        let window = WindowDoes::Nothing;
        let at =
            presence.working(&rig.stored.setpoints, setback.as_ref(), grid, window, minute(now));
        format!("{}/{}", at.heat, at.cool)
    }

    fn empty() -> Presence {
        let mut presence = Presence::START;
        assert!(presence.note(false));
        presence
    }

    const SETBACK: Option<(f64, f64, f64, f64)> = Some((3.0, 4.5, 10.0, 35.0));

    /// The override of two hours that a request at a minute starts.
    fn two_hours_from(start: i64) -> Override {
        let two_hours = Seconds::hours(2);
        Override::starting(OverrideUntil::Time, two_hours, minute(start), minute(24 * 60))
    }

    /// The override that a request at a minute of the first day starts.
    fn started(until: OverrideUntil, at: i64) -> Override {
        Override::starting(until, Seconds::hours(2), minute(at), minute(24 * 60))
    }

    #[test]
    fn rule_17_an_override_may_last_until_somebody_comes_or_goes() {
        let mut presence = empty();
        let starts = started(OverrideUntil::Change, 0);
        assert!(presence.asked(Outcome::Accepted, starts));
        assert_eq!(works(&presence, SETBACK, 100_000), "20/24");
        assert!(!presence.note(false));
        assert_eq!(works(&presence, SETBACK, 100_000), "20/24");
        assert!(presence.note(true) && presence.note(false));
        assert_eq!(works(&presence, SETBACK, 100_001), "17/28.5");
    }

    #[test]
    fn rule_17_an_override_may_last_until_the_end_of_the_day() {
        let mut presence = empty();
        let midnight = minute(24 * 60);
        let starts = started(OverrideUntil::EndOfDay, 18 * 60);
        assert!(presence.asked(Outcome::Pushed, starts));
        assert_eq!(works(&presence, SETBACK, 24 * 60 - 1), "20/24");
        assert_eq!(works(&presence, SETBACK, 24 * 60), "17/28.5");
        assert_eq!(presence.override_until(), Some(midnight));
    }

    #[test]
    fn rule_16_an_open_window_sets_back_whoever_is_there_and_whatever_override_is_on() {
        let rig = Given::default().rig();
        let grid = rig.settings.grid;
        let by = |value| tick(grid, value);
        let setback =
            Setback { heat: by(3.0), cool: by(4.5), heat_low: by(10.0), cool_high: by(35.0) };
        let mut presence = empty();
        presence.asked(Outcome::Accepted, two_hours_from(0));
        for presence in [presence, Presence::START] {
            let at = |window| {
                presence
                    .working(&rig.stored.setpoints, Some(&setback), grid, window, minute(1))
                    .heat
            };
            assert!((at(WindowDoes::Setback) - 17.0).abs() < 1e-9);
            assert!((at(WindowDoes::Nothing) - 20.0).abs() < 1e-9);
        }
    }

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
        assert!(presence.asked(Outcome::Accepted, two_hours_from(0)));
        assert_eq!(works(&presence, SETBACK, 119), "20/24");
        assert_eq!(works(&presence, SETBACK, 120), "17/28.5");
        assert!(presence.asked(Outcome::Limited, two_hours_from(60)));
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
            assert_eq!(empty().asked(outcome, two_hours_from(0)), starts, "{outcome:?}");
        }
        let mut occupied = Presence::START;
        assert!(!occupied.asked(Outcome::Accepted, two_hours_from(0)));
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
