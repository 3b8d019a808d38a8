//! The causes that can be seen at a moment, in the order in which they decide.

use super::look::{CauseFound, Look};
use super::{Felt, Scene};
use crate::log::LogTime;

/// A rest of a unit is felt after so long, s (assumed).
const LONG_REST: i64 = 600;
/// A room may take so long to recover after what kept it away is over, s.
const RECOVERS: i64 = 3 * 3600;
/// It recovers as long as it moves towards its setpoint by so much on average, K/h.
const RECOVERING: f64 = 0.3;

/// What holds at a moment, the first the one that decides; `None` where nothing is known of it.
pub(super) fn causes(scene: &Scene, felt: Felt) -> Option<Vec<CauseFound>> {
    let look = Look::at(scene, felt, scene.place)?;
    let mut found = barred(&look);
    if found.is_empty() {
        found.extend(recovering(&look));
    }
    let sensor = look.sensor();
    if found.is_empty() {
        found.extend(look.setpoint(sensor.is_some()));
    }
    // A rest that has just begun made nobody cold yet.
    let rest = look.rest();
    let is_long = long_rest(&look).is_some();
    found.extend(rest.clone().filter(|_| is_long));
    found.extend(look.capacity());
    found.extend(sensor);
    found.extend(rest.filter(|_| !is_long));
    if found.is_empty() {
        found.extend(look.unexplained());
    }
    if found.is_empty() {
        found.push(look.within());
    }
    Some(found)
}

/// What keeps the unit from giving anything.
fn barred(look: &Look) -> Vec<CauseFound> {
    let all = [look.power(), look.mode(), look.outdoor(), look.group(), look.unoccupied()];
    all.into_iter().flatten().collect()
}

/// The unit gives what it should, since so short a time that the room has not recovered from what was
/// before: absence, or what kept the unit from running.
fn recovering(look: &Look) -> Vec<CauseFound> {
    let Some(begun) = look.running_since() else { return Vec::new() };
    if !look.is_short() || !is_under_way(look, begun) {
        return Vec::new();
    }
    if let Some(late) = look.recovery(RECOVERS) {
        return vec![late];
    }
    let Some(before) = begun.checked_sub(1).and_then(|place| look.moved_to(place)) else {
        return Vec::new();
    };
    if look.at_time() - look.time_of(begun) > RECOVERS || before.is_served() {
        return Vec::new();
    }
    let mut found = barred(&before);
    if found.is_empty() {
        found.extend(before.setpoint(false));
    }
    if found.is_empty() {
        found.extend(long_rest(&before));
    }
    let until: LogTime = look.time_of(begun);
    found.into_iter().map(|cause| CauseFound { until: Some(until), ..cause }).collect()
}

/// A rest that has lasted long enough to be felt.
fn long_rest(look: &Look) -> Option<CauseFound> {
    look.rest().filter(|rest| look.at_time() - rest.since >= LONG_REST)
}

/// Whether the room comes closer to its setpoint since a sample.
fn is_under_way(look: &Look, begun: usize) -> bool {
    let hours = (look.at_time() - look.time_of(begun)) as f64 / 3600.0;
    // In the first quarter of an hour a run shows nothing.
    hours < 0.25 || look.gained_since(begun).is_some_and(|gained| gained >= RECOVERING * hours)
}
