//! Plants: zones whose presses and timers may act on each other.

use super::step::Step;
use crate::engine::Model;

/// The plant of each zone: those on one outdoor unit have the same number.
pub(super) fn plants(model: &Model) -> Vec<usize> {
    let mut plants: Vec<usize> = (0..model.zones.len()).collect();
    for group in &model.outdoor_units {
        let first = group.zones.iter().map(|zone| zone.get()).min();
        for zone in &group.zones {
            plants[zone.get()] = first.unwrap_or(zone.get());
        }
    }
    plants
}

/// The line from which a wait counts: the one before it in its own plant. `None` for the first there.
pub fn since(model: &Model, steps: &[Step], at: usize) -> Option<usize> {
    let plants = plants(model);
    let own = plants[steps[at].place.zone.get()];
    (0..at).rev().find(|it| plants[steps[*it].place.zone.get()] == own)
}
