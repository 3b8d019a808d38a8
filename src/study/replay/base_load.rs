//! What a meter shows while nothing runs: heaters of crankcases, controls, and what else hangs on it. A
//! file with a plant of its own has no place for it, so it is taken from the log and added wherever
//! nothing runs.

use super::drive::RunCourse;
use super::record::Record;

/// So near to running the meter may show a start or an end that the row of what ran has later, s.
const NEAR: i64 = 600;
/// Shorter than this nothing is known of it, s.
const LEAST: i64 = 3600;

/// Power that the meter shows at rest and the run as logged does not have, W; 0 where that cannot be told:
/// no electricity, a zone without a record of what ran, or hardly an hour of rest.
pub(super) fn base_load(record: &Record, logged: &RunCourse) -> f64 {
    if !record.has_electricity {
        return 0.0;
    }
    let near = record.grid.steps_in(NEAR);
    let rests = |step: &usize| {
        let around = step.saturating_sub(near)..(step + near + 1).min(record.grid.count);
        let stands = |running: &[Option<bool>]| running.iter().all(|it| *it == Some(false));
        record.zones.iter().all(|zone| stands(&zone.running[around.clone()]))
    };
    let read: Vec<f64> =
        (0..record.grid.count).filter(rests).filter_map(|step| record.electric[step]).collect();
    if read.len() < record.grid.steps_in(LEAST) {
        return 0.0;
    }
    let own: Vec<f64> = resting(logged).map(|step| logged.electric[step]).collect();
    let mean = |all: &[f64]| all.iter().sum::<f64>() / all.len().max(1) as f64;
    (mean(&read) - mean(&own)).max(0.0)
}

/// The steps of a run at which nothing runs.
fn resting(run: &RunCourse) -> impl Iterator<Item = usize> {
    let rests = |step: &usize| run.zones.iter().all(|zone| !zone.running[*step]);
    (0..run.electric.len()).filter(rests)
}

/// Adds a power wherever nothing runs.
pub(super) fn add(run: &mut RunCourse, base_load: f64) {
    let steps: Vec<usize> = resting(run).collect();
    for step in steps {
        run.electric[step] += base_load;
    }
}
