//! The rooms at the start, and the heat that the file does not explain, zone by zone.

use super::NoReplay;
use super::record::{Record, zones};
use crate::engine::Model;
use crate::log::SiteLog;
use crate::study::audit::Course;
use crate::study::fit::{Followed, Inputs, Noise, follow_inputs};

/// A zone followed through its log.
#[derive(Clone, Debug, PartialEq)]
pub struct Unexplained {
    /// Air and mass at the start of the first step, degrees C.
    pub start: [f64; 2],
    /// Heat into the air over each step that nothing explains, W. It is not averaged any further: over
    /// an hour and a half rooms with sharp gains came out a third further from what was read.
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
                Ok(Unexplained { start, heat: unexplained, noise })
            })
            .collect()
    }
}
