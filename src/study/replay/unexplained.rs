//! The rooms at the start, and the heat that the file does not explain, zone by zone.

use super::NoReplay;
use super::record::{Record, zones};
use crate::engine::Model;
use crate::log::SiteLog;
use crate::study::audit::Course;
use crate::study::fit::{Followed, Inputs, Noise, follow_inputs};

/// The heat is averaged over so long, s (assumed: two or three cycles of a unit). What else would come and
/// go with the unit of the log, since no model has its output to the minute, and stand in the way of a
/// unit that runs at other times.
const AVERAGED: i64 = 90 * 60;

/// A zone followed through its log.
#[derive(Clone, Debug, PartialEq)]
pub struct Unexplained {
    /// Air and mass at the start of the first step, degrees C.
    pub start: [f64; 2],
    /// Heat into the air over each step that nothing explains, W.
    pub heat: Vec<f64>,
    /// What was taken to be unknown.
    pub noise: Noise,
}

/// A log with what of it all models of its days have in common.
#[derive(Clone, Debug)]
pub(super) struct Followable<'a> {
    record: &'a Record,
    site: &'a SiteLog,
    courses: Vec<Course>,
}

impl<'a> Followable<'a> {
    pub(super) fn new(model: &Model, site: &'a SiteLog, record: &'a Record) -> Self {
        Self { record, site, courses: Course::of_log(model, site) }
    }

    /// Follows every zone of a model through its log. Where `noise` gives what is unknown, zone by
    /// zone, it is not searched for.
    pub(super) fn follow(
        &self,
        model: &Model,
        noise: &[Noise],
    ) -> Result<Vec<Unexplained>, NoReplay> {
        zones(model)
            .map(|zone| {
                let own = &model.zones[zone.get()];
                let inputs =
                    Inputs::of_courses(model, self.site, &self.courses, zone, self.record.grid)
                        .map_err(|_| NoReplay::NoTemperature(vec![own.label.clone()]))?;
                let known = noise.get(zone.get()).copied();
                let Followed { start, unexplained, noise, .. } = follow_inputs(&inputs, own, known);
                let half = self.record.grid.steps_in(AVERAGED) / 2;
                Ok(Unexplained { start, heat: averaged(&unexplained, half), noise })
            })
            .collect()
    }
}

/// The mean of so many values before and after each, of fewer at the ends: as many on either side.
fn averaged(values: &[f64], half: usize) -> Vec<f64> {
    let mut sums = vec![0.0];
    for value in values {
        sums.push(sums[sums.len() - 1] + value);
    }
    let last = values.len().saturating_sub(1);
    (0..values.len())
        .map(|at| {
            let half = half.min(at).min(last - at);
            (sums[at + half + 1] - sums[at - half]) / (2 * half + 1) as f64
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::averaged;

    #[test]
    fn means_are_those_of_both_sides_and_a_straight_course_stays() {
        assert_eq!(averaged(&[0.0, 3.0, 0.0, 3.0, 6.0], 1), [0.0, 1.0, 2.0, 3.0, 6.0]);
        assert_eq!(averaged(&[1.0, 2.0, 3.0, 4.0], 2), [1.0, 2.0, 3.0, 4.0]);
        assert!(averaged(&[], 3).is_empty());
    }
}
