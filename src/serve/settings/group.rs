//! Who decides between heating and cooling for the zones of an outdoor unit.

use serde::Serialize;

use super::{Field, Kind, is_written};
use crate::control::{ModePolicy, OwnerOff, Sharing};
use crate::engine::{Model, OutdoorGroup};

/// The settings of an outdoor unit.
#[derive(Clone, Debug, Serialize)]
pub(in crate::serve) struct GroupForm {
    label: String,
    /// Its zones, as places in the model.
    zones: Vec<usize>,
    /// The zone that decides, where one does.
    owner: Option<usize>,
    /// Where the owner stands in the file; empty where the unit needs none.
    owner_path: String,
    fields: Vec<Field>,
}

/// The form of each outdoor unit.
pub(super) fn forms(text: &str, model: &Model) -> Vec<GroupForm> {
    model.outdoor_units.iter().map(|unit| form(text, unit)).collect()
}

fn form(text: &str, unit: &OutdoorGroup) -> GroupForm {
    let start = if is_written(text, "outdoor_unit") {
        "outdoor_unit".to_owned()
    } else {
        format!("outdoor_units.{}", unit.id)
    };
    let zones = unit.zones.iter().map(|zone| zone.get()).collect();
    let label = if unit.label.is_empty() { unit.id.clone() } else { unit.label.clone() };
    let Sharing::SingleMode { policy, owner_off, changeover_delay, .. } = unit.settings.sharing
    else {
        return GroupForm { label, zones, owner: None, owner_path: String::new(), fields: vec![] };
    };
    let owner = unit.settings.owner().and_then(|place| unit.zones.get(place));
    let mut fields = vec![Field {
        path: format!("{start}.mode_policy"),
        label: "Who decides between heating and cooling",
        help: "The unit can do one of them at a time.",
        value: policy.name().into(),
        kind: Kind::Choice { options: POLICIES.map(|(it, words)| (it.name(), words)).into() },
    }];
    if policy == ModePolicy::Owner {
        fields.push(Field {
            path: format!("{start}.owner_off"),
            label: "When the deciding zone is off",
            help: "What becomes of the others.",
            value: owner_off.name().into(),
            kind: Kind::Choice { options: OWNER_OFF.map(|(it, words)| (it.name(), words)).into() },
        });
    } else {
        fields.push(Field {
            path: format!("{start}.changeover_delay"),
            label: "Changeover delay of the group",
            help: "Least time to a change of direction.",
            value: (changeover_delay.get() as f64 / 60.0).into(),
            kind: Kind::Minutes { min: 0.0, max: 240.0, step: 1.0 },
        });
    }
    let owner_path = format!("{start}.owner");
    GroupForm { label, zones, owner: owner.map(|zone| zone.get()), owner_path, fields }
}

const POLICIES: [(ModePolicy, &str); 4] = [
    (ModePolicy::Owner, "one zone decides for all"),
    (ModePolicy::FirstCall, "the zone that calls first"),
    (ModePolicy::Majority, "the larger capacity that wants it"),
    (ModePolicy::LargestError, "the zone furthest from its setpoints"),
];

const OWNER_OFF: [(OwnerOff, &str); 2] =
    [(OwnerOff::Hold, "the last direction is held"), (OwnerOff::Stop, "the whole group stops")];
