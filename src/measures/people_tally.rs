//! What people went through and did.

use serde::Serialize;

use crate::control::Outcome;
use crate::engine::PersonView;
use crate::people::{Feels, Lived, Person};
use crate::time::Seconds;

/// What one person went through and did.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PersonFigures {
    /// What the ledger calls them.
    pub name: String,
    /// Their zone's name in the file.
    pub zone: String,
    /// Hours present.
    pub present_hours: f64,
    /// Hours of those too cold for them.
    pub cold_hours: f64,
    /// Hours of those too warm for them.
    pub warm_hours: f64,
    /// Keys pressed.
    pub presses: u64,
    /// Presses of those that were not done as asked: limited, refused or without effect.
    pub presses_denied: u64,
    /// How often they gave up pressing.
    pub gave_up: u64,
    /// How often they complained.
    pub complaints: u64,
}

/// Counts of one person.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct PersonTally {
    present: u64,
    cold: u64,
    warm: u64,
    presses: u64,
    denied: u64,
    gave_up: u64,
    complaints: u64,
}

impl PersonTally {
    /// One step at which the person is present.
    pub(super) fn add(&mut self, view: &PersonView) {
        self.present += 1;
        self.cold += u64::from(view.feels == Some(Feels::TooCold));
        self.warm += u64::from(view.feels == Some(Feels::TooWarm));
        self.gave_up += u64::from(view.has_given_up);
        self.complaints += u64::from(view.has_complained);
    }

    /// Steps at which the person is present and does nothing.
    pub(super) fn add_all(&mut self, lived: &Lived) {
        self.present += lived.steps as u64;
        self.cold += lived.cold;
        self.warm += lived.warm;
    }

    /// One press.
    pub(super) fn press(&mut self, outcome: Outcome) {
        self.presses += 1;
        let done = matches!(outcome, Outcome::Accepted | Outcome::Pushed);
        self.denied += u64::from(!done);
    }

    pub(super) fn figures(&self, person: &Person, zone: &str, step: Seconds) -> PersonFigures {
        let hours = |steps: u64| steps as f64 * step.in_hours();
        PersonFigures {
            name: person.shown.to_string(),
            zone: zone.to_owned(),
            present_hours: hours(self.present),
            cold_hours: hours(self.cold),
            warm_hours: hours(self.warm),
            presses: self.presses,
            presses_denied: self.denied,
            gave_up: self.gave_up,
            complaints: self.complaints,
        }
    }
}
