//! Settings that no sentence tells, each on a line by itself: where any of the models has another
//! value than the file's default.

use super::Line;
use crate::engine::Model;
use crate::report::figures::{one_digit, setpoint, unit_sign};
use crate::settings::{Access, Entry, Kind, Subject, Value};
use crate::units::{Dimension, TemperatureUnit};

/// The settings to tell: those on none of the lines that are put in words elsewhere, which some
/// model has otherwise than by default.
pub(super) fn told(models: &[&Model], all: &'static [Entry], in_words: &[&str]) -> Vec<Entry> {
    let others = all.iter().copied().filter(|entry| !in_words.contains(&entry.setting.line));
    others.filter(|entry| models.iter().any(|model| stands_out(*entry, model))).collect()
}

fn stands_out(entry: Entry, model: &Model) -> bool {
    entry.subjects(model).into_iter().any(|subject| {
        let value = entry.get(model, subject);
        value != Value::Nothing && Some(&value) != entry.default(model.unit).as_ref()
    })
}

/// Their lines for one zone or outdoor unit.
pub(super) fn lines(told: &[Entry], model: &Model, subject: Subject) -> Vec<Line> {
    let said =
        |entry: &Entry, subject| words(&entry.get(model, subject), &entry.key.kind, model.unit);
    let line = |entry: &Entry| {
        let (Access::Controller { .. }, Subject::Zone(at)) = (entry.setting.access, subject) else {
            return (entry.setting.line, said(entry, subject));
        };
        let controllers = model.zones[at].controls.settings.controllers.as_slice().iter();
        let each = controllers.enumerate().map(|(place, controller)| {
            format!("{}: {}", controller.id, said(entry, Subject::Controller(at, place)))
        });
        (entry.setting.line, each.collect::<Vec<_>>().join("; "))
    };
    told.iter().map(line).collect()
}

/// A value with its unit.
pub(super) fn words(value: &Value, kind: &Kind, unit: TemperatureUnit) -> String {
    match (value, kind) {
        (Value::Number(number), Kind::Temperature(_) | Kind::Difference(_)) => {
            format!("{} {}", setpoint(*number), unit_sign(unit))
        }
        (Value::Number(watts), Kind::Size(Dimension::Power, _)) if watts.abs() >= 1000.0 => {
            format!("{} kW", one_digit(watts / 1000.0))
        }
        (Value::Number(number), Kind::Size(dimension, _) | Kind::SizeOrBare(dimension, _)) => {
            format!("{number} {}", dimension.base())
        }
        (Value::Flag(true), _) => "yes".into(),
        (Value::Flag(false), _) => "no".into(),
        (Value::Word(word), Kind::Word(_)) => word.replace('_', " "),
        (Value::Words(words), _) => super::listed(words),
        _ => value.to_string(),
    }
}
