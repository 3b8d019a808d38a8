//! What would help: single changes of settings, each simulated, of which those are kept that mend
//! something and make nothing worse.
//!
//! ```
//! use std::num::NonZeroUsize;
//! use setband::Scenario;
//! use setband::study::remedies::remedies;
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-08, step: 5 min}
//! weather: {design_day: {high: 14, range: 9}}
//! outdoor_unit: {owner: loom, heating: [{outdoor: 8, capacity: 12 kW, cop: 3.7}], cooling: [{outdoor: 20,
//!   capacity: 12 kW, cop: 5.2}]}
//! zones:
//!   loom: {space: {floor: 90 m2}, gains: {from: \"06:30\", to: \"15:30\", power: 3300 W}, unit: {heating: 5
//!     kW, cooling: 5 kW}, controls: {heat: 19, cool: 22}, comfort: {band: [18, 25]}}
//!   office: {space: {floor: 40 m2}, unit: {heating: 3 kW, cooling: 3 kW}, controls: {heat: 21, cool: 24}}
//! ",
//! )?;
//! let all = remedies(scenario.model(), 40, NonZeroUsize::MIN);
//! assert!(all.list.iter().any(|remedy| remedy.words == "Let the larger part of the rooms decide"));
//! assert!(all.list.iter().all(|remedy| remedy.after.starved_hours <= all.before.starved_hours + 0.05));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod trials;

use std::num::NonZeroUsize;

use super::parallel::in_parallel;
use super::simulate::{Keep, simulate};
use crate::engine::{Model, Zone};
use crate::measures::{Summary, ZoneFigures};
use crate::settings::{self, Entry, Subject, Value};
use trials::Trial;

/// The most remedies that are told.
const MOST: usize = 5;
/// The most of one kind among them.
const MOST_OF_A_KIND: usize = 2;
/// Differences below this are not told apart, hours or degree-hours.
const NOTHING: f64 = 0.05;
/// A remedy mends at least so much, hours or degree-hours.
const LEAST: f64 = 0.1;

/// What kind of setting a remedy changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Which zone decides between heating and cooling.
    Owner,
    /// How it is decided without one.
    Policy,
    /// The gap between heat and cool.
    Deadband,
    /// How far setpoints may be moved.
    Limits,
    /// The setpoints themselves.
    Setpoints,
    /// How far they move apart while nobody is there.
    Setback,
    /// When it begins to work for those who come.
    Schedule,
    /// What the sensor reads.
    Sensor,
    /// How long a direction is kept.
    Delay,
}

/// What matters of a run, summed over the rooms.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Matters {
    /// Hours starved.
    pub starved_hours: f64,
    /// Occupied hours outside the comfort band.
    pub hours_outside_band: f64,
    /// Degree-hours outside it, in the file's unit.
    pub degree_hours_outside_band: f64,
    /// Hours of the room that fares worst, starved and out of band together.
    pub worst_room_hours: f64,
    /// Requests that were not done as asked.
    pub denied: u64,
    /// Changeovers of the plant.
    pub changeovers: u64,
    /// Electricity, kWh.
    pub total_kwh: f64,
    /// What it costs, where the file has a tariff.
    pub cost: Option<f64>,
}

/// A change that helps.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// What kind of setting it changes.
    pub kind: Kind,
    /// What is done, for a button: `Let office decide between heating and cooling`.
    pub words: String,
    /// The model with it.
    pub model: Model,
    /// What then matters.
    pub after: Matters,
}

/// What helps, most first.
#[derive(Clone, Debug)]
pub struct Remedies {
    /// What matters without any of them.
    pub before: Matters,
    /// The remedies; none where nothing that was tried helps.
    pub list: Vec<Remedy>,
    /// How many changes were tried.
    pub tried: usize,
}

/// Tries single changes of a model, at most so many, and keeps what helps.
pub fn remedies(model: &Model, most: usize, threads: NonZeroUsize) -> Remedies {
    let summary = simulate(model, Keep::Nothing).summary;
    let before = Matters::of(&summary);
    let mut trials = trials::all(model, &summary);
    trials.truncate(most);
    let after = in_parallel(&trials, threads, |trial| {
        let finished = simulate(&trial.model, Keep::Nothing);
        finished.halt.is_none().then(|| Matters::of(&finished.summary))
    });
    let tried = trials.len();
    let mut list: Vec<Remedy> = trials
        .into_iter()
        .zip(after)
        .filter_map(|(Trial { kind, words, model }, after)| {
            let after = after.filter(|after| after.helps(&before))?;
            Some(Remedy { kind, words, model, after })
        })
        .collect();
    list.sort_by(|one, two| two.after.mends(&before).total_cmp(&one.after.mends(&before)));
    Remedies { before, list: few(list), tried }
}

/// The first ones, not too many of one kind.
fn few(list: Vec<Remedy>) -> Vec<Remedy> {
    let mut kept: Vec<Remedy> = Vec::new();
    for remedy in list {
        let alike = kept.iter().filter(|other| other.kind == remedy.kind).count();
        if kept.len() < MOST && alike < MOST_OF_A_KIND {
            kept.push(remedy);
        }
    }
    kept
}

impl Matters {
    /// Those of a run.
    pub fn of(summary: &Summary) -> Self {
        let zones = || summary.zones.iter().map(|(_, zone)| zone);
        // An empty sum of floats is -0.
        let sum = |of: fn(&ZoneFigures) -> f64| zones().fold(0.0, |sum, zone| sum + of(zone));
        let denied = |zone: &ZoneFigures| {
            zone.requests.limited + zone.requests.refused + zone.requests.no_effect
        };
        Self {
            starved_hours: sum(|zone| zone.starved_hours),
            hours_outside_band: sum(|zone| zone.hours_outside_band),
            degree_hours_outside_band: sum(|zone| zone.degree_hours_outside_band),
            worst_room_hours: zones()
                .map(|zone| zone.starved_hours + zone.hours_outside_band)
                .fold(0.0, f64::max),
            denied: zones().map(denied).sum(),
            changeovers: summary.group.changeovers,
            total_kwh: summary.energy.total_kwh,
            cost: summary.energy.cost,
        }
    }

    /// How much less of what matters there is than before: hours starved and out of band, and
    /// behind them degree-hours, requests and changeovers.
    fn mends(&self, before: &Self) -> f64 {
        let hours = |it: &Self| it.starved_hours + it.hours_outside_band;
        let fewer = |one: u64, two: u64| one as f64 - two as f64;
        hours(before) - hours(self)
            + 0.1 * (before.degree_hours_outside_band - self.degree_hours_outside_band)
            + 0.1 * fewer(before.denied, self.denied)
            + 0.01 * fewer(before.changeovers, self.changeovers)
    }

    /// Whether it mends something that people notice and makes nothing of it worse, in sum or for
    /// the room that fares worst.
    fn helps(&self, before: &Self) -> bool {
        let pairs = [
            (self.starved_hours, before.starved_hours),
            (self.hours_outside_band, before.hours_outside_band),
            (self.degree_hours_outside_band, before.degree_hours_outside_band),
            (self.worst_room_hours, before.worst_room_hours),
        ];
        let worse = pairs.iter().any(|(after, before)| *after > before + NOTHING)
            || self.denied > before.denied;
        let better = pairs.iter().take(3).any(|(after, before)| *after < before - LEAST)
            || self.denied < before.denied;
        let calmer = self.changeovers < before.changeovers && self.total_kwh < before.total_kwh;
        !worse && (better || calmer)
    }
}

impl Remedy {
    /// The settings that it changes, each with whose it is and its new value.
    pub fn changes(&self, from: &Model) -> Vec<(Entry, Subject, Value)> {
        let entries = settings::of_zones().iter().chain(settings::of_groups());
        let of = |entry: &Entry| {
            let entry = *entry;
            entry.subjects(from).into_iter().filter_map(move |subject| {
                let value = entry.get(&self.model, subject);
                (value != entry.get(from, subject)).then_some((entry, subject, value))
            })
        };
        entries.flat_map(of).collect()
    }
}

/// What people call a zone.
fn label(zone: &Zone) -> &str {
    if zone.label.is_empty() { &zone.id } else { &zone.label }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BEFORE: Matters = Matters {
        starved_hours: 5.0,
        hours_outside_band: 3.0,
        degree_hours_outside_band: 4.0,
        worst_room_hours: 6.0,
        denied: 1,
        changeovers: 4,
        total_kwh: 10.0,
        cost: None,
    };

    #[test]
    fn what_makes_anything_worse_is_no_remedy() {
        assert!(!BEFORE.helps(&BEFORE), "nothing changes");
        assert!(Matters { starved_hours: 1.0, total_kwh: 12.0, ..BEFORE }.helps(&BEFORE));
        assert!(!Matters { starved_hours: 1.0, hours_outside_band: 3.5, ..BEFORE }.helps(&BEFORE));
        assert!(!Matters { starved_hours: 1.0, worst_room_hours: 7.0, ..BEFORE }.helps(&BEFORE));
        assert!(!Matters { starved_hours: 1.0, denied: 2, ..BEFORE }.helps(&BEFORE));
        assert!(!Matters { changeovers: 1, total_kwh: 11.0, ..BEFORE }.helps(&BEFORE));
        assert!(Matters { changeovers: 1, total_kwh: 9.0, ..BEFORE }.helps(&BEFORE));
    }

    #[test]
    fn hours_of_rooms_come_before_all_else() {
        let fewer_hours = Matters { starved_hours: 4.0, ..BEFORE };
        let calmer = Matters { changeovers: 0, denied: 0, total_kwh: 1.0, ..BEFORE };
        assert!(fewer_hours.mends(&BEFORE) > calmer.mends(&BEFORE));
    }
}
