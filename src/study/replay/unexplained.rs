//! The rooms at the start, and the heat that the file does not explain, zone by zone.

use super::NoReplay;
use super::record::{Record, zones};
use crate::engine::Model;
use crate::log::SiteLog;
use crate::study::fit::{Followed, Noise, follow};

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

/// Follows every zone of a model through its log over the steps of a record. Where `noise` gives what
/// is unknown, zone by zone, it is not searched for.
///
/// # Errors
/// The log has no readings of a zone in these steps.
pub fn unexplained(
    model: &Model,
    site: &SiteLog,
    record: &Record,
    noise: &[Noise],
) -> Result<Vec<Unexplained>, NoReplay> {
    zones(model)
        .map(|zone| {
            let known = noise.get(zone.get()).copied();
            let followed = follow(model, site, zone, record.grid, known).map_err(|_| {
                NoReplay::NoTemperature(vec![model.zones[zone.get()].label.clone()])
            })?;
            let Followed { start, unexplained, noise, .. } = followed;
            Ok(Unexplained { start, heat: unexplained, noise })
        })
        .collect()
}
