//! Setpoints, limits and deadband: the rules say what moves with them.

use serde_json::{Value as Json, json};

use super::super::state::PageEdit;
use super::super::trouble::Trouble;
use super::{Done, Move};
use crate::control::Side;
use crate::engine::{Model, Zone};
use crate::settings::controls::{COOL, HEAT, LIMITS_COOL, LIMITS_HEAT, MIN_DEADBAND};
use crate::settings::{Key, Subject};
use crate::study::amend::{Amended, End, Settled, Wish, amend};

/// What a move of one of them does; `None` for other settings.
pub(super) fn done(this: &Move<'_>) -> Result<Option<Done>, Trouble> {
    let Subject::Zone(at) = this.subject else { return Ok(None) };
    let end = if this.end == 0 { End::Lowest } else { End::Highest };
    let wish = match this.entry.key.path {
        path if path == HEAT.path => Wish::Setpoint(Side::Heat, this.number()?),
        path if path == COOL.path => Wish::Setpoint(Side::Cool, this.number()?),
        path if path == LIMITS_HEAT.path => Wish::Limit(Side::Heat, end, this.number()?),
        path if path == LIMITS_COOL.path => Wish::Limit(Side::Cool, end, this.number()?),
        path if path == MIN_DEADBAND.path => Wish::Deadband(this.number()?),
        _ => return Ok(None),
    };
    let zone = &this.model.zones[at];
    Ok(Some(match amend(zone, wish) {
        Amended::Stands { settled, moved } => {
            Done::Stands(changes(this.model, zone, &settled), moved)
        }
        Amended::Against { why, ways } => {
            let ways =
                ways.into_iter().map(|way| (way.words, changes(this.model, zone, &way.settled)));
            Done::Against(why, ways.collect())
        }
    }))
}

/// What must be written for a zone to be so.
fn changes(model: &Model, zone: &Zone, settled: &Settled) -> Vec<PageEdit> {
    let settings = &zone.controls.settings;
    let (grid, before, after) = (settings.grid, settings.rules, settled.rules);
    let start = zone.controls.start.setpoints;
    let mut all = Vec::new();
    let mut put = |key: &Key, value: Json| {
        all.push(PageEdit { path: format!("zones.{}.{}", zone.id, key.path), value });
    };
    for (side, key) in [(Side::Heat, &LIMITS_HEAT), (Side::Cool, &LIMITS_COOL)] {
        let range = after.written(side);
        if range != before.written(side) {
            put(key, json!([grid.value(range.low), grid.value(range.high)]));
        }
    }
    if after.deadband() != before.deadband() {
        put(&MIN_DEADBAND, json!(grid.value(after.deadband())));
    }
    // Of one setpoint for both the file may hold two values, of which one counts.
    let both = after.is_single() != before.is_single() || after.is_single();
    for (side, key) in [(Side::Heat, &HEAT), (Side::Cool, &COOL)] {
        let value = settled.setpoints.get(side);
        if both || value != start.get(side) {
            put(key, json!(grid.value(value)));
        }
    }
    debug_assert!(model.zones.iter().any(|it| it.id == zone.id));
    all
}
