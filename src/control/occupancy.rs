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
    /// stored heat setpoint below `heat_low` works as `heat_low`.
    pub fn working(&self, stored: &Setpoints) -> (Ticks, Ticks) {
        let heat = (stored.heat() - self.heat).max(self.heat_low);
        let cool = (stored.cool() + self.cool).min(self.cool_high);
        (heat, cool)
    }
}

/// What the zone remembers about presence.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Presence {
    occupied: bool,
    seen_at: Option<Instant>,
    override_until: Option<Instant>,
}

impl Presence {
    /// Before the first step: taken as occupied, so that an empty start leaves its event.
    pub const START: Self = Self { occupied: true, seen_at: None, override_until: None };

    /// Whether somebody is there, as far as the zone knows.
    pub const fn is_occupied(&self) -> bool {
        self.occupied
    }

    /// Until when an override lets the stored setpoints work.
    pub const fn override_until(&self) -> Option<Instant> {
        self.override_until
    }

    /// Notes whether somebody is there. True where that is a change.
    pub fn note(&mut self, occupied: bool) -> bool {
        std::mem::replace(&mut self.occupied, occupied) != occupied
    }

    /// An occupancy sensor sees somebody.
    pub fn see(&mut self, at: Instant) {
        self.seen_at = Some(at);
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
        self.occupied || self.override_until.is_some_and(|end| now < end)
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
