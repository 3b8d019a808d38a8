//! Who decides between heating and cooling for the zones of an outdoor unit.

use serde::Serialize;

use super::{Field, Kind, apart, choice, json_of};
use crate::engine::{Model, OutdoorGroup};
use crate::settings::group::{CHANGEOVER_DELAY, OWNER, OWNER_OFF};
use crate::settings::{self, Control, Entry, Form, Section, Subject, path_of_group};

/// The settings of an outdoor unit.
#[derive(Clone, Debug, Serialize)]
pub(in crate::serve) struct GroupForm {
    id: String,
    label: String,
    /// Its zones, as places in the model.
    zones: Vec<usize>,
    /// The zone that decides, where one does.
    owner: Option<usize>,
    /// Where the owner stands in the file; empty where the unit needs none.
    owner_path: String,
    pub(super) fields: Vec<Field>,
}

#[cfg(test)]
impl GroupForm {
    /// Where the owner stands in the file.
    pub(super) fn owner_path(&self) -> &str {
        &self.owner_path
    }
}

/// The form of each outdoor unit.
pub(super) fn forms(model: &Model) -> Vec<GroupForm> {
    model.outdoor_units.iter().enumerate().map(|(at, unit)| form(model, at, unit)).collect()
}

fn form(model: &Model, at: usize, unit: &OutdoorGroup) -> GroupForm {
    let zones = unit.zones.iter().map(|zone| zone.get()).collect();
    let label = if unit.label.is_empty() { unit.id.clone() } else { unit.label.clone() };
    let owner = unit.settings.owner().and_then(|place| unit.zones.get(place));
    let mut owner_path = String::new();
    let mut fields = Vec::new();
    let asked = settings::of_groups().iter().filter_map(|entry| match entry.setting.form {
        Form::Asked(Section::Group, control) if works(*entry, unit) => Some((*entry, control)),
        _ => None,
    });
    for (entry, control) in asked {
        let value = entry.get(model, Subject::Group(at));
        let (control, begins) = apart(control);
        let kind = match control {
            Control::Fine(ends) => Some(Kind::fine(ends, model.unit)),
            Control::Member if value != settings::Value::Nothing => {
                owner_path = format!("{}.{}", path_of_group(unit), OWNER.name);
                None
            }
            Control::Choice(options) => choice(options, &value),
            Control::Minutes(max) if value.time().is_some() => {
                Some(Kind::Minutes { min: 0.0, max, step: 1.0 })
            }
            _ => None,
        };
        let path = entry.path(model, Subject::Group(at));
        let field = kind.map(|kind| Field::new(entry, path, json_of(&value), kind));
        let subject = Subject::Group(at);
        fields.extend(field.and_then(|it| it.with_or_without(entry, begins, model, subject)));
    }
    GroupForm {
        id: unit.id.clone(),
        label,
        zones,
        owner: owner.map(|zone| zone.get()),
        owner_path,
        fields,
    }
}

/// Whether a setting does anything in this unit: an owner's with an owner, the group's delay
/// without one.
fn works(entry: Entry, unit: &OutdoorGroup) -> bool {
    let owned = unit.settings.owner().is_some();
    match entry.key.path {
        path if path == OWNER_OFF.path => owned,
        path if path == CHANGEOVER_DELAY.path => !owned,
        _ => true,
    }
}
