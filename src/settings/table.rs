//! The table as a list: every entry, found by walking the blocks of the file.

use std::sync::LazyLock;

use super::controls::CONTROLS;
use super::group::OUTDOOR_UNIT;
use super::key::{Block, Key, Kind, Need};
use super::setting::{Access, Setting};
use super::subject::Subject;
use super::unit::UNIT;
use super::value::Value;
use crate::engine::{Model, OutdoorGroup};
use crate::units::TemperatureUnit;

/// The key of the one outdoor unit of a file, which is its id, too.
const SINGLE: &str = "outdoor_unit";

/// A key with the setting that it is.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// The key.
    pub key: &'static Key,
    /// What it sets.
    pub setting: &'static Setting,
}

static OF_ZONES: LazyLock<Vec<Entry>> = LazyLock::new(|| {
    let mut all = Vec::new();
    walk(CONTROLS, &mut all);
    walk(UNIT, &mut all);
    all
});

static OF_GROUPS: LazyLock<Vec<Entry>> = LazyLock::new(|| {
    let mut all = Vec::new();
    walk(OUTDOOR_UNIT, &mut all);
    all
});

fn walk(block: &'static Block, found: &mut Vec<Entry>) {
    for key in block.keys {
        found.extend(key.setting.as_ref().map(|setting| Entry { key, setting }));
        walk_kind(&key.kind, found);
    }
}

fn walk_kind(kind: &'static Kind, found: &mut Vec<Entry>) {
    match kind {
        Kind::Block(block) => walk(block, found),
        Kind::ListOf(inner) | Kind::OneOrMore(inner) => walk_kind(inner, found),
        Kind::Either(kinds) => kinds.iter().for_each(|kind| walk_kind(kind, found)),
        _ => {}
    }
}

/// The settings of a zone, with those of its controllers and its unit, in the order of the file.
pub fn of_zones() -> &'static [Entry] {
    &OF_ZONES
}

/// The settings of an outdoor unit, in the order of the file.
pub fn of_groups() -> &'static [Entry] {
    &OF_GROUPS
}

/// The entry of a zone or an outdoor unit with this path.
pub fn entry(path: &str) -> Option<Entry> {
    of_zones().iter().chain(of_groups()).copied().find(|entry| entry.key.path == path)
}

/// The way to an outdoor unit in the file: the single one goes by its key, several have names.
pub fn path_of_group(group: &OutdoorGroup) -> String {
    if group.id == SINGLE { group.id.clone() } else { format!("outdoor_units.{}", group.id) }
}

impl Entry {
    /// Everybody in a model who has this setting.
    pub fn subjects(&self, model: &Model) -> Vec<Subject> {
        let zones = model.zones.iter().enumerate();
        match self.setting.access {
            Access::Zone { .. } => zones.map(|(at, _)| Subject::Zone(at)).collect(),
            Access::Controller { .. } => zones
                .flat_map(|(at, zone)| {
                    let count = zone.controls.settings.controllers.as_slice().len();
                    (0..count).map(move |place| Subject::Controller(at, place))
                })
                .collect(),
            Access::Group { .. } => (0..model.outdoor_units.len()).map(Subject::Group).collect(),
        }
    }

    /// Its value in a model.
    pub fn get(&self, model: &Model, subject: Subject) -> Value {
        match (self.setting.access, subject) {
            (Access::Zone { get, .. }, Subject::Zone(at) | Subject::Controller(at, _)) => {
                model.zones.get(at).map(get)
            }
            (Access::Controller { get, .. }, Subject::Controller(at, place)) => {
                model.zones.get(at).map(|zone| get(zone, place))
            }
            (Access::Group { get, .. }, Subject::Group(at)) => {
                model.outdoor_units.get(at).map(|group| get(model, group))
            }
            _ => None,
        }
        .unwrap_or(Value::Nothing)
    }

    /// A model with another value; `None` where it is none that the setting may have there.
    pub fn with(&self, model: &Model, subject: Subject, value: &Value) -> Option<Model> {
        let mut model = model.clone();
        match (self.setting.access, subject) {
            (Access::Zone { set, .. }, Subject::Zone(at) | Subject::Controller(at, _)) => {
                set(model.zones.get_mut(at)?, value)?;
            }
            (Access::Controller { set, .. }, Subject::Controller(at, place)) => {
                set(model.zones.get_mut(at)?, place, value)?;
            }
            (Access::Group { set, .. }, Subject::Group(at)) => set(&mut model, at, value)?,
            _ => return None,
        }
        Some(model)
    }

    /// The value that stands where the file leaves it out, if the file's unit alone says which.
    pub fn default(&self, unit: TemperatureUnit) -> Option<Value> {
        match self.key.need {
            Need::Optional => Some(Value::Nothing),
            _ => Value::read(self.key.need.default_text(unit)?, &self.key.kind, unit),
        }
    }

    /// The way to it in the file.
    pub fn path(&self, model: &Model, subject: Subject) -> String {
        let path = self.key.path;
        match subject {
            // Of a list of spans any may hold it.
            Subject::Zone(at) => format!("zones.{}.{}", model.zones[at].id, path.replace("[]", "")),
            Subject::Controller(at, place) => {
                format!(
                    "zones.{}.{}",
                    model.zones[at].id,
                    path.replace("[]", &format!("[{place}]"))
                )
            }
            Subject::Group(at) => format!("{}.{path}", path_of_group(&model.outdoor_units[at])),
        }
    }
}
