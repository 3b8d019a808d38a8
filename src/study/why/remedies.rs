//! Settings that would have helped, each simulated.

use super::candidates::{Changes, candidates};
use super::{CauseFound, Felt};
use crate::engine::{Model, ZoneIndex};
use crate::scenario::{Override, Template};
use crate::study::replay::Rerun;
use crate::study::{Keep, simulate};
use crate::time::Instant;

/// A setting that would have helped, or several that only help together.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// The ways to it in the file, each with its value; all together help.
    pub changes: Vec<(String, String)>,
    /// What it changes.
    pub differences: Differences,
}

/// What a setting changes: with it less without it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Differences {
    /// What is felt in the zone at the moment, operative, in the file's unit.
    pub temperature: f64,
    /// Degree-hours outside the comfort band, all zones.
    pub degree_hours: f64,
    /// Electricity, kWh.
    pub electricity_kwh: f64,
    /// Changeovers of the group.
    pub changeovers: f64,
    /// Hours starved, all zones.
    pub starved_hours: f64,
}

/// So many are told.
const MOST: usize = 3;
/// Less relief than this is none, K.
const LEAST: f64 = 0.2;

/// Settings that would have helped at a moment, the most helpful first; and how many were tried. Each is
/// simulated: over the days of a log up to the end of that day, in which people ask for what they asked
/// for at site; without one over the file's days, as the file has them.
pub fn remedies(
    template: &Template,
    base: &Model,
    (zone, at): (ZoneIndex, Instant),
    felt: Felt,
    causes: &[CauseFound],
    days: Option<&Rerun>,
) -> (Vec<Remedy>, usize) {
    let Some(without) = outcome(base, zone, at, days) else { return (Vec::new(), 0) };
    let mut tried = 0;
    let mut found: Vec<(f64, Remedy)> = Vec::new();
    let mut seen: Vec<Changes> = Vec::new();
    for changes in causes.iter().flat_map(|cause| candidates(base, zone, felt, cause)) {
        if seen.contains(&changes) {
            continue;
        }
        seen.push(changes.clone());
        let overrides: Result<Vec<Override>, String> =
            changes.iter().map(|(path, value)| Override::new(path, value)).collect();
        let Ok(overrides) = overrides else { continue };
        // What the file refuses cannot help.
        let Ok(mut model) = template.model(&overrides) else { continue };
        model.seed = base.seed;
        tried += 1;
        // Nor can what ends the run.
        let Some(with) = outcome(&model, zone, at, days) else { continue };
        let differences = Differences {
            temperature: with.temperature - without.temperature,
            degree_hours: with.degree_hours - without.degree_hours,
            electricity_kwh: with.electricity_kwh - without.electricity_kwh,
            changeovers: with.changeovers - without.changeovers,
            starved_hours: with.starved_hours - without.starved_hours,
        };
        let relief = base.unit.difference_to_kelvin(differences.temperature) * felt.needs().sign();
        if relief >= LEAST {
            found.push((relief, Remedy { changes, differences }));
        }
    }
    found.sort_by(|one, other| other.0.total_cmp(&one.0));
    // Of several values of the same keys the most helpful is told.
    let mut told: Vec<Remedy> = Vec::new();
    for (_, remedy) in found {
        if told.len() < MOST && !told.iter().any(|it| it.paths().eq(remedy.paths())) {
            told.push(remedy);
        }
    }
    (told, tried)
}

impl Remedy {
    fn paths(&self) -> impl Iterator<Item = &str> {
        self.changes.iter().map(|(path, _)| path.as_str())
    }
}

/// The figures of a run; `None` where it ends before its time.
fn outcome(
    model: &Model,
    zone: ZoneIndex,
    at: Instant,
    days: Option<&Rerun>,
) -> Option<Differences> {
    let keep = Keep::Day(at.day());
    let finished = match days {
        Some(days) => days.run(model, at, keep),
        None => simulate(model, keep),
    };
    if finished.halt.is_some() {
        return None;
    }
    let own = finished.rows.iter().filter(|row| row.zone == zone);
    let then = own.take_while(|row| row.at <= at).last();
    let zones = &finished.summary.zones;
    Some(Differences {
        temperature: then.map_or(0.0, |row| row.operative),
        degree_hours: zones.iter().map(|(_, it)| it.degree_hours_outside_band).sum(),
        electricity_kwh: finished.summary.energy.total_kwh,
        changeovers: finished.summary.group.changeovers as f64,
        starved_hours: zones.iter().map(|(_, it)| it.starved_hours).sum(),
    })
}
