//! Settings that no other one hangs on: their values are held in what a file may have.

use serde_json::{Value as Json, json};

use super::super::trouble::Trouble;
use super::{Done, Move};
use crate::settings::{Accepted, Control, Kind, Subject, Value};
use crate::units::TemperatureUnit;

/// What a move does.
pub(super) fn done(this: &Move<'_>) -> Result<Done, Trouble> {
    let nothing = this.begins.is_none() && this.present() == Value::Nothing;
    match this.control {
        Control::Steps(_) | Control::Fine(_) if nothing => Ok(Done::Lacks),
        Control::Steps(_) => {
            let Subject::Zone(at) = this.subject else { return Ok(Done::Lacks) };
            let grid = this.model.zones[at].controls.settings.grid;
            let value = grid.value(grid.nearest(this.number()?));
            Ok(held(this, value, "", |value| json!(value)))
        }
        Control::Fine(_) | Control::WithinLimits(_) => {
            // Tenths of a tenth: what fields show.
            let value = (this.number()? * 100.0).round() / 100.0;
            Ok(held(this, value, "", |value| json!(value)))
        }
        Control::Minutes(_) => {
            let minutes = this.number()?.round();
            Ok(held(this, minutes, " min", |value| json!(format!("{value} min"))))
        }
        Control::Choice(_) | Control::Member => {
            let word = this.value.as_str().ok_or_else(|| Trouble::bad("a word is wanted here"))?;
            Ok(Done::Stands(vec![this.change(json!(word))], Vec::new()))
        }
        Control::Listed(_) | Control::Optional(..) => Ok(Done::Lacks),
        Control::OneMode | Control::SomeModes | Control::Locks | Control::Span(_) => {
            Ok(Done::Stands(vec![this.change(this.value.clone())], Vec::new()))
        }
    }
}

/// A value within what the key takes, or the sentence that says so with the nearest one.
pub(super) fn held(this: &Move<'_>, value: f64, unit: &str, written: impl Fn(f64) -> Json) -> Done {
    let Some([low, high]) = bounds(&this.entry.key.kind, this.model.unit) else {
        return Done::Stands(vec![this.change(written(value))], Vec::new());
    };
    let nearest = value.clamp(low, high);
    if nearest == value {
        return Done::Stands(vec![this.change(written(value))], Vec::new());
    }
    let name = this.entry.setting.name;
    let why = format!("{name} can be {low}{unit} to {high}{unit}, and {value}{unit} lies outside.");
    let words = format!("Set it to {nearest}{unit}");
    Done::Against(why, vec![(words, vec![this.change(written(nearest))])])
}

/// What a key takes, in the file's unit; of times in minutes.
pub(super) fn bounds(kind: &Kind, unit: TemperatureUnit) -> Option<[f64; 2]> {
    let of = |accepted: &Accepted, value: &dyn Fn(f64) -> f64| {
        Some([value(accepted.low), value(accepted.high)])
    };
    match kind {
        Kind::Number(accepted) => of(accepted, &|value| value),
        Kind::Temperature(accepted) => of(accepted, &|value| unit.from_celsius(value)),
        Kind::Difference(accepted) => of(accepted, &|value| unit.difference_from_kelvin(value)),
        Kind::Duration(accepted) => of(accepted, &|value| (value / 60.0).ceil()),
        Kind::Exactly(_, inner) => bounds(inner, unit),
        Kind::Either(kinds) => kinds.iter().find_map(|kind| bounds(kind, unit)),
        _ => None,
    }
}
