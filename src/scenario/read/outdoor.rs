//! Outdoor units: their tables, and which zones share them under whose policy.

use super::neighbours::unknown_zone;
use crate::building::ZoneIndex;
use crate::control::{GroupSettings, ModePolicy, OwnerOff, Sharing};
use crate::direction::Direction;
use crate::engine::OutdoorGroup;
use crate::plant::{Backup, CapacityPoint, CapacityTable, Defrost, OutdoorUnit, PartLoadTable};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::tree::Node;

/// The most zones of a group: control rules, rule 10.
const MOST_ZONES: usize = 64;

/// The groups of a file, each `None` where it has faults, and where each zone belongs.
pub(super) struct Groups {
    pub(super) list: Vec<Option<OutdoorGroup>>,
    /// Of each zone its group and its place among the members.
    pub(super) place_of: Vec<Option<(usize, usize)>>,
}

/// Reads `outdoor_unit` and `outdoor_units`.
pub(super) fn read(file: &Fields) -> Groups {
    let count = file.node("zones").map_or(0, |zones| zones.entries().len());
    let mut groups = Groups { list: Vec::new(), place_of: vec![None; count] };
    if let Some(fields) = file.block("outdoor_unit") {
        let all = (0..count).collect();
        groups.add("outdoor_unit", &fields, file, Some(all));
    }
    file.each_named("outdoor_units", |id, fields| groups.add(id, &fields, file, None));
    if file.has("outdoor_unit") && file.has("outdoor_units") {
        let both = Complaint::new("outdoor-units", "outdoor_unit and outdoor_units stand together");
        file.fault("outdoor_units", both.help("move the one into outdoor_units, under a name"));
    }
    groups
}

impl Groups {
    fn add(&mut self, id: &str, fields: &Fields, file: &Fields, all: Option<Vec<usize>>) {
        let members = self.read_members(fields, file, all);
        if let Some(members) = &members {
            for (place, zone) in members.iter().enumerate() {
                self.place_of[*zone] = Some((self.list.len(), place));
            }
        }
        let unit = read_unit(fields);
        let settings = members.as_deref().and_then(|members| read_settings(fields, file, members));
        self.list.push(read_group(id, fields, members, unit, settings));
    }

    /// The zones on a unit, in the order of the file.
    fn read_members(
        &self,
        fields: &Fields,
        file: &Fields,
        all: Option<Vec<usize>>,
    ) -> Option<Vec<usize>> {
        if !fields.has("zones") {
            if all.is_none() {
                let missing = Complaint::new("missing-key", "`zones` is missing here");
                fields.fault_here(missing.help("name the zones on this outdoor unit"));
            }
            return all.filter(|members| count_fits(fields, members.len()));
        }
        let mut members = Vec::new();
        for name in fields.names("zones") {
            let zone = zone_named(fields, file, "zones", name)?;
            if members.contains(&zone) || self.place_of[zone].is_some() {
                let twice = format!("the zone `{name}` is on an outdoor unit already");
                let complaint = Complaint::new("outdoor-units", twice);
                fields.fault("zones", complaint.help("keep it on one of them"));
                return None;
            }
            members.push(zone);
        }
        members.sort_unstable();
        count_fits(fields, members.len()).then_some(members)
    }
}

fn count_fits(fields: &Fields, count: usize) -> bool {
    let fits = (1..=MOST_ZONES).contains(&count);
    if !fits {
        let message = format!("an outdoor unit has 1 to {MOST_ZONES} zones, not {count}");
        fields.fault("zones", Complaint::new("outdoor-units", message).help("change its zones"));
    }
    fits
}

/// The place of a zone in the file.
fn zone_named(fields: &Fields, file: &Fields, key: &str, name: &str) -> Option<usize> {
    let zones = file.node("zones").map_or(&[][..], Node::entries);
    let found = zones.iter().position(|entry| *entry.key == *name);
    if found.is_none() {
        fields.fault_with(key, || unknown_zone(name, zones));
    }
    found
}

fn read_group(
    id: &str,
    fields: &Fields,
    members: Option<Vec<usize>>,
    unit: Option<OutdoorUnit>,
    settings: Option<GroupSettings>,
) -> Option<OutdoorGroup> {
    Some(OutdoorGroup {
        id: id.to_owned(),
        label: fields.text("label").unwrap_or_else(|| id.to_owned()),
        zones: members?.into_iter().map(ZoneIndex::new).collect(),
        unit: unit?,
        settings: settings?,
        direction: fields.pick("direction", &Direction::BOTH, Direction::name)?,
    })
}

fn read_settings(fields: &Fields, file: &Fields, members: &[usize]) -> Option<GroupSettings> {
    let owner = fields.optional("owner", |fields, key| read_owner(fields, file, key, members))?;
    let min_off = fields.seconds("min_off")?;
    let owner_off = [OwnerOff::Hold, OwnerOff::Stop];
    let sharing = Sharing::SingleMode {
        policy: fields.pick("mode_policy", &ModePolicy::ALL, ModePolicy::name)?,
        owner: owner.unwrap_or(0),
        owner_off: fields.pick("owner_off", &owner_off, OwnerOff::name)?,
        changeover_delay: fields.seconds("changeover_delay")?,
    };
    let simultaneous = fields.flag("simultaneous")?;
    let sharing = if simultaneous { Sharing::Simultaneous } else { sharing };
    Some(GroupSettings { sharing, min_off })
}

/// The place among the members of the zone that a key names.
pub(super) fn read_owner(
    fields: &Fields,
    file: &Fields,
    key: &str,
    members: &[usize],
) -> Option<usize> {
    let name = fields.text(key)?;
    let zone = zone_named(fields, file, key, &name)?;
    let place = members.iter().position(|member| *member == zone);
    if place.is_none() {
        let message = format!("the zone `{name}` is not on this outdoor unit");
        let complaint = Complaint::new("unknown-zone", message);
        fields.fault(key, complaint.help("an owner is one of the unit's own zones"));
    }
    place
}

fn read_unit(fields: &Fields) -> Option<OutdoorUnit> {
    if !fields.has("heating") && !fields.has("cooling") {
        let none = Complaint::new("missing-key", "the outdoor unit can neither heat nor cool");
        fields.fault_here(
            none.help("add a table, for example `heating: [{outdoor: 8, capacity: 9 kW, cop: 3}]`"),
        );
    }
    let (heating, cooling) = (read_table(fields, "heating"), read_table(fields, "cooling"));
    let (part_load, defrost) = (read_part_load(fields), fields.optional("defrost", read_defrost));
    let backup = fields.optional("backup", read_backup);
    Some(OutdoorUnit {
        simultaneous: fields.flag("simultaneous")?,
        heating: heating?,
        cooling: cooling?,
        part_load: part_load?,
        lowest_output: fields.number("lowest_output")?,
        standby: fields.number("standby")?,
        reversal_time: fields.seconds("reversal_time")?,
        min_off: fields.seconds("min_off")?,
        heating_lockout: fields.optional("heating_lockout", celsius)?,
        cooling_lockout: fields.optional("cooling_lockout", celsius)?,
        defrost: defrost?,
        backup: backup?,
    })
}

/// A temperature of the file in degrees C.
fn celsius(fields: &Fields, key: &str) -> Option<f64> {
    fields.number(key).map(|value| fields.checker.unit.to_celsius(value))
}

fn read_table(fields: &Fields, key: &str) -> Checked<Option<CapacityTable>> {
    let point = |point: &Fields| {
        Some(CapacityPoint {
            outdoor: celsius(point, "outdoor")?,
            capacity: point.number("capacity")?,
            cop: point.number("cop")?,
        })
    };
    read_points(fields, key, point, CapacityTable::new)
}

fn read_part_load(fields: &Fields) -> Checked<Option<PartLoadTable>> {
    let point = |point: &Fields| Some((point.number("load")?, point.number("factor")?));
    read_points(fields, "part_load", point, PartLoadTable::new)
}

/// A table from its points; the only thing that can still be wrong with it is their order.
fn read_points<P, T>(
    fields: &Fields,
    key: &str,
    read: impl Fn(&Fields) -> Option<P>,
    table: impl FnOnce(Vec<P>) -> Option<T>,
) -> Checked<Option<T>> {
    fields.optional(key, |fields, key| {
        let mut points = Vec::new();
        fields.each(key, |point| points.push(read(&point)));
        let table = table(points.into_iter().collect::<Option<_>>()?);
        if table.is_none() {
            let order = "a table needs points in rising order, none of them twice";
            let complaint = Complaint::new("table-order", order);
            fields.fault(key, complaint.help("sort the points, lowest first"));
        }
        table
    })
}

fn read_defrost(fields: &Fields, key: &str) -> Option<Defrost> {
    let defrost = fields.block(key)?;
    let (from, to) = (celsius(&defrost, "from")?, celsius(&defrost, "to")?);
    if from >= to {
        let crossed = Complaint::new("crossed", "the band of defrosting is empty");
        defrost.fault("to", crossed.help("let `to` lie above `from`"));
        return None;
    }
    let (capacity, cop) = (defrost.number("capacity")?, defrost.number("cop")?);
    Some(Defrost { from, to, capacity, cop })
}

fn read_backup(fields: &Fields, key: &str) -> Option<Backup> {
    let backup = fields.block(key)?;
    if !backup.has("allowed_below") && !backup.has("after") {
        let never = Complaint::new("missing-key", "this backup may never help");
        backup.fault_here(never.help("add `allowed_below: -5`, `after: 30 min`, or both"));
        return None;
    }
    Some(Backup {
        capacity: backup.number("capacity")?,
        allowed_below: backup.optional("allowed_below", celsius)?,
        after: backup.optional("after", Fields::seconds)?,
    })
}
