//! Settings that a technician changes while a zone runs (rule 8).

use super::controls::{locked_modes, read_key_locks};
use super::limits;
use super::outdoor::Groups;
use crate::control::{
    ControllerIndex, Controllers, GroupChange, KeyLocks, ModePolicy, SettingsChange, Sharing,
    ZoneControls,
};
use crate::engine::{Change, OutdoorGroup};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::near::nearest;
use crate::scenario::shown::shortened;
use crate::settings::{controls as key, group};

/// Where a change is made.
pub(super) struct Where<'a> {
    pub(super) groups: &'a Groups<'a>,
    pub(super) file: &'a Fields<'a>,
    pub(super) controls: &'a ZoneControls,
    pub(super) controller: ControllerIndex,
    /// The zone's group: `None` for a plant of its own, `Some(None)` where the group has faults.
    pub(super) group: Option<Checked<&'a OutdoorGroup>>,
}

/// Reads a change, with the words that the ledger has for it.
pub(super) fn read(fields: &Fields, words: String, at: &Where) -> Option<Change> {
    let zone = read_zone(fields, at);
    let group = read_group(fields, at);
    let (zone, group) = (zone?, group?);
    if zone == SettingsChange::default() && group.is_empty() {
        let nothing = Complaint::new("no-action", "this changes no setting");
        fields.fault_here(nothing.help(
            "add min_deadband, limits, on_conflict, locked_modes, key_locks, mode_policy or owner",
        ));
        return None;
    }
    Some(Change { words, zone, group })
}

fn read_group(fields: &Fields, at: &Where) -> Option<GroupChange> {
    let Some(key) =
        [group::MODE_POLICY.name, group::OWNER.name].into_iter().find(|key| fields.has(key))
    else {
        return Some(GroupChange::default());
    };
    let Some(group) = at.group else {
        let alone = Complaint::new("no-group", "this zone has a plant of its own and no group");
        fields.fault(key, alone.help("policy and owner belong to zones on one outdoor unit"));
        return None;
    };
    let group = group?;
    if group.settings.sharing == Sharing::Simultaneous {
        let both = "the zone's outdoor unit is simultaneous: it has neither policy nor owner";
        let complaint = Complaint::new("no-group", both);
        fields.fault(key, complaint.help("take it out, or let `simultaneous` be false"));
        return None;
    }
    let members: Vec<usize> = group.zones.iter().map(|zone| zone.get()).collect();
    let policy = |fields: &Fields, key: &str| fields.pick(key, &ModePolicy::ALL, ModePolicy::name);
    let owner = |fields: &Fields, _: &str| at.groups.read_owner(fields, at.file, &members);
    Some(GroupChange {
        policy: fields.optional(group::MODE_POLICY.name, policy)?,
        owner: fields.optional(group::OWNER.name, owner)?,
    })
}

/// The controller named at a key; the primary one where none is.
pub(super) fn read_controller(
    fields: &Fields,
    key: &str,
    all: &Controllers,
) -> Option<ControllerIndex> {
    if !fields.has(key) {
        return Some(all.primary());
    }
    let id = fields.text(key)?;
    let found = all.find(&id);
    if found.is_none() {
        let near = nearest(&id, all.as_slice().iter().map(|controller| controller.id.as_str()));
        let message = format!("the zone has no controller `{}`", shortened(&id));
        let remedy = format!("the nearest is `{}`", near.unwrap_or_default());
        fields.fault(key, Complaint::new("unknown-controller", message).help(remedy));
    }
    found
}

fn read_zone(fields: &Fields, at: &Where) -> Option<SettingsChange> {
    let settings = &at.controls.settings;
    let grid = settings.grid;
    let written = fields.block_or_defaults(key::LIMITS_KEY.name)?;
    let range = |key| written.optional(key, |limits, key| limits::range(limits, key, grid));
    let own = fields
        .optional(key::CONTROLLER_LOCKS.name, read_key_locks)?
        .map(|locks| (at.controller, locks));
    let others = read_locks_by_id(fields, &settings.controllers)?;
    Some(SettingsChange {
        deadband: fields
            .optional(key::MIN_DEADBAND.name, |set, key| limits::ticks(set, key, grid))?,
        heat_limits: range(key::LIMITS_HEAT.name)?,
        cool_limits: range(key::LIMITS_COOL.name)?,
        on_conflict: fields.optional(key::ON_CONFLICT.name, |set, _| limits::on_conflict(set))?,
        locked_modes: fields.optional(key::LOCKED_MODES.name, |set, _| locked_modes(set))?,
        key_locks: own.into_iter().chain(others).collect(),
    })
}

fn read_locks_by_id(
    fields: &Fields,
    controllers: &Controllers,
) -> Option<Vec<(ControllerIndex, KeyLocks)>> {
    let mut found = Vec::new();
    fields.each(key::CONTROLLERS.name, |one| {
        let controller = read_controller(&one, key::CONTROLLER_ID.name, controllers);
        found.push(controller.zip(read_key_locks(&one, key::CONTROLLER_LOCKS.name)));
    });
    found.into_iter().collect()
}
