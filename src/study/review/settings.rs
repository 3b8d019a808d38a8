//! Requirements about settings: they are read.

use super::{Conformity, CounterExample, Evidence, Must, Requirement, Shown, Worst, zones_of};
use crate::engine::{Model, ZoneIndex};
use crate::scenario::Study;
use crate::settings::{Entry, Subject, Value};

/// Holds a setting of every zone that is meant, or of every outdoor unit, against what it must be.
pub(super) fn review(
    study: &Study,
    model: &Model,
    requirement: &Requirement,
    (entry, end): (&Entry, Option<usize>),
    must: &Must,
) -> Shown {
    let zones = zones_of(model, requirement);
    let meant = |subject: &Subject| match *subject {
        Subject::Zone(at) | Subject::Controller(at, _) => zones.contains(&ZoneIndex::new(at)),
        Subject::Group(_) => true,
    };
    let subjects: Vec<Subject> = entry.subjects(model).into_iter().filter(meant).collect();
    if subjects.is_empty() {
        return Shown::nothing("nothing in the file has this setting");
    }
    let mut worst: Option<(f64, Subject, Value)> = None;
    for subject in &subjects {
        let value = one_end(entry.get(model, *subject), end);
        let rank = rank(&value, must);
        if worst.as_ref().is_none_or(|(least, ..)| rank < *least) {
            worst = Some((rank, *subject, value));
        }
    }
    let Some((rank, subject, value)) = worst else {
        return Shown::nothing("nothing in the file has this setting");
    };
    let verdict = Conformity::of(holds(&value, must));
    let zone = match subject {
        Subject::Zone(at) | Subject::Controller(at, _) => Some(ZoneIndex::new(at)),
        Subject::Group(_) => None,
    };
    let path = entry.path(model, subject);
    let place = study.place(&path).unwrap_or_default();
    Shown {
        verdict,
        by: Evidence::Read(subjects.len()),
        worst: Some(Worst { zone, value, margin: rank.is_finite().then_some(rank) }),
        counter: (verdict == Conformity::Fails).then_some(CounterExample::Setting { path, place }),
    }
}

fn one_end(value: Value, end: Option<usize>) -> Value {
    match (value, end) {
        (Value::Span(span), Some(end)) => Value::Number(span[end]),
        (value, _) => value,
    }
}

fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => Some(*number),
        Value::Time(time) => Some(time.get() as f64),
        _ => None,
    }
}

/// How far within its bounds a value lies; what is otherwise or missing lies infinitely far beyond.
fn rank(value: &Value, must: &Must) -> f64 {
    match must {
        Must::Keep(bounds) => number(value).map_or(f64::NEG_INFINITY, |it| bounds.margin(it)),
        Must::Be(wanted) if same(value, wanted) => f64::INFINITY,
        Must::Be(_) => f64::NEG_INFINITY,
    }
}

fn holds(value: &Value, must: &Must) -> bool {
    match must {
        Must::Keep(bounds) => number(value).is_some_and(|it| bounds.hold(it)),
        Must::Be(wanted) => same(value, wanted),
    }
}

/// Whether two values are the same; words may stand in any order.
fn same(one: &Value, other: &Value) -> bool {
    let near = |one: f64, other: f64| (one - other).abs() <= 1e-9 * one.abs().max(1.0);
    match (one, other) {
        (Value::Number(one), Value::Number(other)) => near(*one, *other),
        (Value::Span(one), Value::Span(other)) => near(one[0], other[0]) && near(one[1], other[1]),
        (Value::Words(one), Value::Words(other)) => {
            one.len() == other.len() && one.iter().all(|word| other.contains(word))
        }
        (Value::Nothing, Value::Words(words)) => words.is_empty(),
        _ => one == other,
    }
}
