//! Settings changed one at a time: which changes would the lines of a sheet show?

mod group;
mod keys;
mod setpoints;
mod working;

use super::first_failure;
use super::step::Step;
use crate::engine::{Model, Zone};
use crate::study::parallel::{default_threads, in_parallel};
use crate::time::Seconds;

/// Timers are changed by doubling them, and by at least so much.
const LEAST_TIME: Seconds = Seconds::minutes(10);

/// A model with one setting changed.
#[derive(Clone, Debug)]
pub struct Variation {
    /// Where the setting stands in the file.
    pub path: String,
    /// What it became.
    pub to: String,
    /// The changed model.
    pub model: Model,
}

/// A change that no line of the sheet shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unseen {
    /// Where the setting stands in the file.
    pub path: String,
    /// What it would have become.
    pub to: String,
}

/// The changes that none of the lines shows, and how many were tried.
pub(super) fn unseen(model: &Model, rooms: &[f64], steps: &[Step]) -> (Vec<Unseen>, usize) {
    let mut tried = 0;
    let mut unseen = Vec::new();
    // A zone at a time: every change holds a whole model.
    for at in 0..=model.zones.len() {
        let all = variations_of(model, at);
        let hidden = in_parallel(&all, default_threads(), |variation| {
            first_failure(&variation.model, rooms, steps).is_none()
        });
        tried += all.len();
        let hidden = all.into_iter().zip(hidden).filter(|(_, hidden)| *hidden);
        unseen.extend(hidden.map(|(it, _)| Unseen { path: it.path, to: it.to }));
    }
    (unseen, tried)
}

/// Every setting of every zone and group, changed in each way that is one step away or one word.
pub fn variations(model: &Model) -> Vec<Variation> {
    (0..=model.zones.len()).flat_map(|at| variations_of(model, at)).collect()
}

/// The changes of one zone; those of the groups under the place after the last zone.
fn variations_of(model: &Model, at: usize) -> Vec<Variation> {
    let mut list = List { model, all: Vec::new() };
    if let Some(zone) = model.zones.get(at) {
        working::every_setting_is_known(&zone.controls);
        list.rules(at, zone);
        list.start(at, zone);
        list.modes(at, zone);
        list.locks(at, zone);
        list.thermostat(at, zone);
        list.sensing(at, zone);
        list.absence(at, zone);
    } else {
        (0..model.outdoor_units.len()).for_each(|unit| list.group(unit));
    }
    list.all
}

struct List<'m> {
    model: &'m Model,
    all: Vec<Variation>,
}

impl List<'_> {
    /// Takes a changed zone in.
    fn zone(&mut self, at: usize, key: &str, to: String, change: impl FnOnce(&mut Zone)) {
        let mut model = self.model.clone();
        change(&mut model.zones[at]);
        let path = format!("zones.{}.{key}", self.model.zones[at].id);
        self.all.push(Variation { path, to, model });
    }
}

fn longer(time: Seconds) -> Seconds {
    Seconds::new(time.get() + time.get().max(LEAST_TIME.get()))
}
