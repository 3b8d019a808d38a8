//! Settings changed one at a time: which changes would the lines of a sheet show?
//!
//! Which settings there are, and which other values of each are worth a try, stands in the table of
//! settings ([`Trial`]).

use super::first_failure;
use super::step::Step;
use crate::control::Ticks;
use crate::engine::{Model, Zone};
use crate::settings::{self, Entry, Kind, Subject, Trial, Value};
use crate::study::parallel::{default_threads, in_parallel};

/// A model with one setting changed.
#[derive(Clone, Debug)]
pub struct Variation {
    /// Which setting.
    pub entry: Entry,
    /// Where it stands in the file.
    pub path: String,
    /// What it is.
    pub from: String,
    /// What it became.
    pub to: String,
    /// The changed model.
    pub model: Model,
}

/// A change that no line of the sheet shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unseen {
    /// Which setting, by its path in the table of settings.
    pub setting: &'static str,
    /// Where it stands in the file.
    pub path: String,
    /// What it is.
    pub from: String,
    /// What it would have become.
    pub to: String,
}

/// A setting with a line that shows it: the first that notices some change of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seen {
    /// Where it stands in the file.
    pub path: String,
    /// What it is.
    pub value: String,
    /// The line, counted from 0.
    pub line: usize,
}

/// What the lines of a sheet show of settings changed one at a time.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Tried {
    /// The settings with the lines that show them, each pair once.
    pub seen: Vec<Seen>,
    /// The changes that none of the lines shows.
    pub unseen: Vec<Unseen>,
    /// How many changes were tried.
    pub count: usize,
}

/// Tries all changes on the lines.
pub(super) fn tried(model: &Model, rooms: &[f64], steps: &[Step]) -> Tried {
    let mut found = Tried::default();
    // A zone at a time: every change holds a whole model.
    for at in 0..=model.zones.len() {
        let all = variations_of(model, at);
        let lines = in_parallel(&all, default_threads(), |variation| {
            first_failure(&variation.model, rooms, steps)
        });
        found.count += all.len();
        for (it, line) in all.into_iter().zip(lines) {
            let Variation { entry, path, from, to, .. } = it;
            match line {
                Some(line) => {
                    let seen = Seen { path, value: from, line };
                    if !found.seen.contains(&seen) {
                        found.seen.push(seen);
                    }
                }
                None => found.unseen.push(Unseen { setting: entry.key.path, path, from, to }),
            }
        }
    }
    found
}

/// Every setting of every zone and group, changed in each way that is one step away or one word.
pub fn variations(model: &Model) -> Vec<Variation> {
    (0..=model.zones.len()).flat_map(|at| variations_of(model, at)).collect()
}

/// The changes of one zone; those of the outdoor units under the place after the last zone.
pub(super) fn variations_of(model: &Model, at: usize) -> Vec<Variation> {
    let entries = if at < model.zones.len() { settings::of_zones() } else { settings::of_groups() };
    let mut all = Vec::new();
    for entry in entries {
        let subjects = entry.subjects(model).into_iter();
        let here = |subject: &Subject| match subject {
            Subject::Zone(zone) | Subject::Controller(zone, _) => *zone == at,
            Subject::Group(_) => true,
        };
        for subject in subjects.filter(here) {
            all.extend(changes(*entry, model, subject));
        }
    }
    all
}

/// One setting of one subject, changed in each way that is worth a try.
fn changes(entry: Entry, model: &Model, subject: Subject) -> Vec<Variation> {
    let path = entry.path(model, subject);
    let from = entry.get(model, subject).to_string();
    let made = |(to, model): (String, Model)| {
        let (path, from) = (path.clone(), from.clone());
        Variation { entry, path, from, to, model }
    };
    match entry.setting.trial {
        Trial::Ends => return ends(entry, model, subject),
        Trial::Made(make) => {
            let (Subject::Zone(at) | Subject::Controller(at, _)) = subject else { return vec![] };
            let place = if let Subject::Controller(_, place) = subject { place } else { 0 };
            let whole = |(to, zone): (String, Zone)| {
                let mut model = model.clone();
                model.zones[at] = zone;
                (to, model)
            };
            return make(&model.zones[at], place).into_iter().map(whole).map(made).collect();
        }
        _ => {}
    }
    let with = |value: Value| Some((value.to_string(), entry.with(model, subject, &value)?));
    values(entry, model, subject).into_iter().filter_map(with).map(made).collect()
}

/// The other values to try.
fn values(entry: Entry, model: &Model, subject: Subject) -> Vec<Value> {
    let present = entry.get(model, subject);
    let zone = match subject {
        Subject::Zone(at) | Subject::Controller(at, _) => model.zones.get(at),
        Subject::Group(_) => None,
    };
    match entry.setting.trial {
        Trial::Steps(steps) => {
            let (Some(zone), Some(number)) = (zone, present.number()) else { return vec![] };
            steps.iter().map(|by| Value::Number(stepped(zone, number, *by))).collect()
        }
        Trial::Longer => {
            present.time().map(settings::longer).map(Value::Time).into_iter().collect()
        }
        Trial::Others => others(entry, &present),
        Trial::NearOrNone => {
            let near =
                |it: f64| vec![Value::Number(it + 1.0), Value::Number(it - 1.0), Value::Nothing];
            present.number().map(near).unwrap_or_default()
        }
        Trial::DegreeMore => {
            present.number().map(|it| Value::Number(it + 1.0)).into_iter().collect()
        }
        Trial::Members => {
            let Subject::Group(at) = subject else { return vec![] };
            let zones = model.outdoor_units[at].zones.iter();
            let ids = zones.map(|zone| Value::word(model.zones[zone.get()].id.as_str()));
            ids.filter(|id| *id != present).collect()
        }
        Trial::By(make) => zone.map(make).unwrap_or_default(),
        Trial::Ends | Trial::Made(_) | Trial::None(_) => vec![],
    }
}

/// Every other word that the key takes; of true and false the other.
fn others(entry: Entry, present: &Value) -> Vec<Value> {
    let words = match (&entry.key.kind, present) {
        (_, Value::Flag(flag)) => return vec![Value::Flag(!flag)],
        (Kind::Word(words), Value::Word(_)) => *words,
        (Kind::OnOff, Value::Word(_)) => &["on", "off"],
        _ => return vec![],
    };
    words.iter().map(|word| Value::word(*word)).filter(|it| it != present).collect()
}

/// A number so many setpoint steps further.
fn stepped(zone: &Zone, number: f64, by: i32) -> f64 {
    let grid = zone.controls.settings.grid;
    match grid.exact(number) {
        Ok(ticks) => grid.value(ticks + Ticks::new(by)),
        Err(_) => number + f64::from(by) * grid.step(),
    }
}

/// Either end of a span, a setpoint step either way.
fn ends(entry: Entry, model: &Model, subject: Subject) -> Vec<Variation> {
    let (Subject::Zone(at), Value::Span(span)) = (subject, entry.get(model, subject)) else {
        return vec![];
    };
    let mut all = Vec::new();
    for by in [1, -1] {
        for (end, name) in settings::ENDS.into_iter().enumerate() {
            let mut moved = span;
            moved[end] = stepped(&model.zones[at], span[end], by);
            if let Some(model) = entry.with(model, subject, &Value::Span(moved)) {
                let path = format!("{}.{name}", entry.path(&model, subject));
                all.push(Variation {
                    entry,
                    path,
                    from: Value::Number(span[end]).to_string(),
                    to: Value::Number(moved[end]).to_string(),
                    model,
                });
            }
        }
    }
    all
}
