//! Air that is hardly that of a building: whoever reads another figure of such a run is to know it
//! first.

use super::summary::Summary;
use crate::engine::{PLAUSIBLE, ZoneIndex};
use crate::units::TemperatureUnit;

/// Air beyond [`PLAUSIBLE`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ImplausibleAir {
    /// The first zone of the file that had it.
    pub zone: ZoneIndex,
    /// Its coldest air where that was too cold, else its warmest, in the file's unit.
    pub air: f64,
}

impl ImplausibleAir {
    /// That of a run; `None` where the air of every zone might be that of a building. `unit` is
    /// the file's.
    pub fn of(summary: &Summary, unit: TemperatureUnit) -> Option<Self> {
        let [low, high] = [*PLAUSIBLE.start(), *PLAUSIBLE.end()].map(|it| unit.from_celsius(it));
        summary.zones.iter().enumerate().find_map(|(place, (_, zone))| {
            let it = &zone.temperature;
            let air = if it.min < low { it.min } else { it.max };
            let beyond = it.min < low || it.max > high;
            beyond.then(|| Self { zone: ZoneIndex::new(place), air })
        })
    }
}
