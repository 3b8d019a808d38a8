//! What there may be none of: it is added with a value, and taken away.

use serde_json::{Value as Json, json};

use super::super::settings::place::{OneDirection, is_removable, one_direction};
use super::super::state::PageEdit;
use super::super::trouble::Trouble;
use super::{Done, Move};
use crate::control::{Direction, Side};
use crate::engine::Zone;
use crate::settings::controls::{
    RETURN_AT, RETURN_COOL, RETURN_HEAT, RETURN_TO_KEY, START_COOLING, START_HEATING,
};
use crate::settings::{Control, Key, NONE, Subject, Value};

/// What a move of one of them does; `None` where it is moved like any other setting.
pub(super) fn done(this: &Move<'_>) -> Result<Option<Done>, Trouble> {
    let goes = *this.value == json!(NONE);
    let Some(begins) = this.begins else { return Ok(None) };
    if this.present() == Value::Nothing && begins(this.model, this.subject).is_none() {
        return Ok(Some(Done::Lacks));
    }
    if let (Some(one), Subject::Zone(at)) = (one_direction(this.entry.key.path), this.subject) {
        return apart(this, &one, &this.model.zones[at]).map(Some);
    }
    if this.entry.key.path == RETURN_AT.path
        && let Subject::Zone(at) = this.subject
    {
        return returns(this, &this.model.zones[at], goes).map(Some);
    }
    if goes {
        if !is_removable(this.entry) {
            return Err(Trouble::bad("this cannot be taken away"));
        }
        return Ok(Some(Done::Stands(vec![this.change(json!(NONE))], Vec::new())));
    }
    match this.control {
        Control::Listed(_) => {
            Ok(Some(Done::Stands(vec![this.change(listed(this.value)?)], Vec::new())))
        }
        _ => Ok(None),
    }
}

/// A value of one direction's own, or again one for both: that of the other.
fn apart(this: &Move<'_>, one: &OneDirection, zone: &Zone) -> Result<Done, Trouble> {
    let present = (one.of)(&zone.controls.thermostat);
    let other = one.direction.opposite();
    let place = PageEdit { path: this.place(), value: json!(present.of(other)) };
    if *this.value == json!(NONE) {
        return Ok(Done::Stands(vec![place], Vec::new()));
    }
    let both = |value: f64| {
        let of = |direction| if direction == one.direction { value } else { present.of(direction) };
        let (heating, cooling) = (of(Direction::Heating), of(Direction::Cooling));
        json!({ START_HEATING.name: heating, START_COOLING.name: cooling })
    };
    let value = (this.number()? * 100.0).round() / 100.0;
    Ok(super::plain::held(this, value, "", both))
}

/// Times at which setpoints go back: first ones to the setpoints of the file.
fn returns(this: &Move<'_>, zone: &Zone, go: bool) -> Result<Done, Trouble> {
    let put =
        |key: &Key, value| PageEdit { path: format!("zones.{}.{}", zone.id, key.path), value };
    let times = if go { json!(NONE) } else { listed(this.value)? };
    if times == json!(NONE) {
        let both = [&RETURN_AT, &RETURN_TO_KEY].map(|key| put(key, json!(NONE)));
        return Ok(Done::Stands(both.to_vec(), Vec::new()));
    }
    let mut changes = vec![put(&RETURN_AT, times)];
    let mut said = Vec::new();
    if zone.controls.returns.is_none() {
        let (grid, start) = (zone.controls.settings.grid, zone.controls.start.setpoints);
        let [heat, cool] = [Side::Heat, Side::Cool].map(|side| grid.value(start.get(side)));
        changes
            .push(put(&RETURN_TO_KEY, json!({ RETURN_HEAT.name: heat, RETURN_COOL.name: cool })));
        said.push(format!("They go back to {heat} and {cool}, as they stand at the start."));
    }
    Ok(Done::Stands(changes, said))
}

/// Words and numbers as the file has them in a list; none where there are none.
fn listed(value: &Json) -> Result<Json, Trouble> {
    let words = || Trouble::bad("a list is wanted here");
    let items = value.as_array().ok_or_else(words)?;
    if items.is_empty() {
        return Ok(json!(NONE));
    }
    let item = |item: &Json| {
        let text = item.as_str().ok_or_else(words)?.trim();
        Ok(text.parse::<f64>().map_or_else(|_| json!(text), |number| json!(number)))
    };
    items.iter().map(item).collect::<Result<Vec<_>, Trouble>>().map(Json::from)
}
