//! Outdoor units: their tables, and which zones share them under whose policy.

use std::collections::HashMap;

use super::neighbours::unknown_zone;
use super::points::{celsius, read_points};
use crate::building::ZoneIndex;
use crate::control::{GroupSettings, ModePolicy, OutdoorLimits, OwnerOff, Sharing};
use crate::direction::Direction;
use crate::engine::OutdoorGroup;
use crate::plant::{
    Backup, CapacityPoint, CapacityTable, Defrost, DefrostCycle, OutdoorUnit, PartLoadTable,
};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::scalar::Scalar;
use crate::scenario::tree::Node;
use crate::settings::group as key;

/// The most zones of a group: control rules, rule 10.
const MOST_ZONES: usize = 64;

/// The groups of a file, each `None` where it has faults, and where each zone belongs.
pub(super) struct Groups<'a> {
    pub(super) list: Vec<Checked<OutdoorGroup>>,
    /// Of each zone its group and its place among the members.
    pub(super) place_of: Vec<Option<(usize, usize)>>,
    /// The place of each zone in the file.
    index: HashMap<&'a str, usize>,
}

/// Reads `outdoor_unit` and `outdoor_units`.
pub(super) fn read<'a>(file: &Fields<'a>) -> Groups<'a> {
    let zones = file.node("zones").map_or(&[][..], Node::entries);
    let count = zones.len();
    let index = zones.iter().enumerate().map(|(place, zone)| (&*zone.key, place)).collect();
    let mut groups = Groups { list: Vec::new(), place_of: vec![None; count], index };
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

impl Groups<'_> {
    /// A zone's group: `None` for a plant of its own, `Some(None)` where the group has faults.
    pub(super) fn of(&self, zone: usize) -> Option<Checked<&OutdoorGroup>> {
        let (group, _) = self.place_of.get(zone).copied().flatten()?;
        Some(self.list.get(group)?.as_ref())
    }

    fn add(&mut self, id: &str, fields: &Fields, file: &Fields, all: Option<Vec<usize>>) {
        let members = self.read_members(fields, file, all);
        if let Some(members) = &members {
            for (place, zone) in members.iter().enumerate() {
                self.place_of[*zone] = Some((self.list.len(), place));
            }
        }
        let unit = read_unit(fields);
        let settings =
            members.as_deref().and_then(|members| self.read_settings(fields, file, members));
        self.list.push(read_group(id, fields, members, unit, settings));
    }

    /// The zones on a unit, in the order of the file.
    fn read_members(
        &self,
        fields: &Fields,
        file: &Fields,
        all: Option<Vec<usize>>,
    ) -> Option<Vec<usize>> {
        if !fields.has(key::ZONES.name) {
            if all.is_none() {
                let missing = Complaint::new("missing-key", "`zones` is missing here");
                fields.fault_here(missing.help("name the zones on this outdoor unit"));
            }
            return all.filter(|members| count_fits(fields, members.len()));
        }
        let names = fields.items(key::ZONES.name)?;
        if !count_fits(fields, names.len()) {
            return None;
        }
        let mut members = Vec::new();
        for name in names {
            let name = name.text()?;
            let zone = self.zone_named(fields, file, key::ZONES.name, name)?;
            if members.contains(&zone) {
                let twice = format!("the zone `{name}` stands twice in this list");
                let complaint = Complaint::new("outdoor-units", twice);
                fields.fault(key::ZONES.name, complaint.help("take one of the two away"));
                return None;
            }
            if self.place_of[zone].is_some() {
                let twice = format!("the zone `{name}` is on an outdoor unit above already");
                let complaint = Complaint::new("outdoor-units", twice);
                fields.fault(key::ZONES.name, complaint.help("keep it on one of the two"));
                return None;
            }
            members.push(zone);
        }
        members.sort_unstable();
        Some(members)
    }

    /// The place of a zone in the file.
    fn zone_named(&self, fields: &Fields, file: &Fields, key: &str, name: &str) -> Option<usize> {
        let found = self.index.get(name).copied();
        if found.is_none() {
            let zones = file.node("zones").map_or(&[][..], Node::entries);
            fields.fault_with(key, || unknown_zone(name, zones));
        }
        found
    }

    /// The place among the members of the zone at `owner`.
    pub(super) fn read_owner(
        &self,
        fields: &Fields,
        file: &Fields,
        members: &[usize],
    ) -> Option<usize> {
        let name = fields.text(key::OWNER.name)?;
        let zone = self.zone_named(fields, file, key::OWNER.name, &name)?;
        let place = members.iter().position(|member| *member == zone);
        if place.is_none() {
            fields.fault_with(key::OWNER.name, || not_a_member(&name, file, members));
        }
        place
    }

    fn read_settings(
        &self,
        fields: &Fields,
        file: &Fields,
        members: &[usize],
    ) -> Option<GroupSettings> {
        let owner =
            fields.optional(key::OWNER.name, |fields, _| self.read_owner(fields, file, members))?;
        let min_off = fields.seconds(key::MIN_OFF.name)?;
        if fields.flag(key::SIMULTANEOUS.name)? {
            return Some(GroupSettings { sharing: Sharing::Simultaneous, min_off });
        }
        let owner_off = OwnerOff::ALL;
        let sharing = Sharing::SingleMode {
            policy: fields.pick(key::MODE_POLICY.name, &ModePolicy::ALL, ModePolicy::name)?,
            owner: owner.unwrap_or(0),
            owner_off: fields.pick(key::OWNER_OFF.name, &owner_off, OwnerOff::name)?,
            changeover_delay: fields.seconds(key::CHANGEOVER_DELAY.name)?,
        };
        Some(GroupSettings { sharing, min_off })
    }
}

fn not_a_member(name: &str, file: &Fields, members: &[usize]) -> Complaint {
    /// So many names are named; the rest is counted.
    const NAMED: usize = 4;
    let zones = file.node("zones").map_or(&[][..], Node::entries);
    let named: Vec<&str> = members.iter().take(NAMED).map(|zone| &*zones[*zone].key).collect();
    let more = match members.len().saturating_sub(NAMED) {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    Complaint::new("unknown-zone", format!("the zone `{name}` is not on this outdoor unit"))
        .help(format!("name one of its zones: {}{more}", named.join(", ")))
}

fn count_fits(fields: &Fields, count: usize) -> bool {
    let fits = (1..=MOST_ZONES).contains(&count);
    if !fits {
        let message = format!("an outdoor unit has 1 to {MOST_ZONES} zones, not {count}");
        let remedy =
            if count == 0 { "name at least one" } else { "share them among several units" };
        fields.fault(key::ZONES.name, Complaint::new("outdoor-units", message).help(remedy));
    }
    fits
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
        label: fields.text(key::LABEL.name).unwrap_or_else(|| id.to_owned()),
        zones: members?.into_iter().map(ZoneIndex::new).collect(),
        unit: unit?,
        settings: settings?,
        direction: fields.pick(key::DIRECTION.name, &Direction::BOTH, Direction::name)?,
        outdoor_limits: read_limits(fields)?,
    })
}

/// Rule 15: outdoor limits of a whole group.
fn read_limits(fields: &Fields) -> Option<OutdoorLimits> {
    let limits = fields.block_or_defaults(key::LIMITS_KEY.name)?;
    let names =
        [key::UNIT_HEAT_BELOW.name, key::UNIT_COOL_ABOVE.name, key::UNIT_LIMITS_HYSTERESIS.name];
    super::controls::outdoor_limits(&limits, names)
}

fn read_unit(fields: &Fields) -> Option<OutdoorUnit> {
    let works = fields.has(key::HEATING.name) || fields.has(key::COOLING.name);
    if !works {
        let none = Complaint::new("missing-key", "the outdoor unit can neither heat nor cool");
        fields.fault_here(
            none.help("add a table, for example `heating: [{outdoor: 8, capacity: 9 kW, cop: 3}]`"),
        );
    }
    let (heating, cooling) =
        (read_table(fields, key::HEATING.name), read_table(fields, key::COOLING.name));
    let (part_load, defrost) =
        (read_part_load(fields), fields.optional(key::DEFROST_KEY.name, read_defrost));
    let backup = fields.optional(key::BACKUP_KEY.name, read_backup);
    works.then_some(())?;
    Some(OutdoorUnit {
        simultaneous: fields.flag(key::SIMULTANEOUS.name)?,
        heating: heating?,
        cooling: cooling?,
        part_load: part_load?,
        lowest_output: fields.number(key::LOWEST_OUTPUT.name)?,
        standby: fields.number(key::STANDBY.name)?,
        reversal_time: fields.seconds(key::REVERSAL_TIME.name)?,
        min_off: fields.seconds(key::MIN_OFF.name)?,
        heating_lockout: fields.optional(key::HEATING_LOCKOUT.name, celsius)?,
        cooling_lockout: fields.optional(key::COOLING_LOCKOUT.name, celsius)?,
        defrost: defrost.as_ref()?.as_ref().and_then(|it| it.band),
        defrost_cycle: defrost?.and_then(|it| it.cycle),
        backup: backup?,
    })
}

fn read_table(fields: &Fields, key: &str) -> Checked<Option<CapacityTable>> {
    let point = |point: &Fields| {
        Some(CapacityPoint {
            outdoor: celsius(point, key::POINT_OUTDOOR.name)?,
            capacity: point.number(key::POINT_CAPACITY.name)?,
            cop: point.number(key::POINT_COP.name)?,
        })
    };
    let points = read_points(fields, key, point, |point| point.outdoor)?;
    Some(points.and_then(CapacityTable::new))
}

fn read_part_load(fields: &Fields) -> Checked<Option<PartLoadTable>> {
    let point =
        |point: &Fields| Some((point.number(key::LOAD.name)?, point.number(key::LOAD_COP.name)?));
    let points = read_points(fields, key::PART_LOAD_KEY.name, point, |point| point.0)?;
    Some(points.and_then(PartLoadTable::new))
}

/// Defrosting as a factor or in spells: one of the two.
struct Defrosting {
    band: Option<Defrost>,
    cycle: Option<DefrostCycle>,
}

/// The keys of a band.
const BAND_KEYS: [&str; 3] =
    [key::DEFROST_TO.name, key::DEFROST_CAPACITY.name, key::DEFROST_COP.name];
/// The keys of spells.
const SPELL_KEYS: [&str; 4] = [
    key::DEFROST_BELOW.name,
    key::DEFROST_ABOVE.name,
    key::DEFROST_EVERY.name,
    key::DEFROST_LASTS.name,
];

fn read_defrost(fields: &Fields, at: &str) -> Option<Defrosting> {
    let defrost = fields.block(at)?;
    let band = BAND_KEYS.into_iter().find(|name| defrost.has(name));
    let spells = SPELL_KEYS.into_iter().find(|name| defrost.has(name));
    let store = matches!(defrost.read(key::DEFROST_FROM.name), Some(Scalar::Text(_)));
    match (band, spells) {
        (Some(band), Some(spells)) => {
            let message =
                format!("`{spells}` is about spells of defrosting, `{band}` about a share");
            let both = Complaint::new("two-defrosts", message);
            defrost.fault(
                band,
                both.help("keep below, above, every, lasts, or from, to, capacity, cop"),
            );
            None
        }
        (Some(_), None) => Some(Defrosting { band: Some(read_band(&defrost)?), cycle: None }),
        (None, None) if defrost.has(key::DEFROST_FROM.name) && !store => {
            Some(Defrosting { band: Some(read_band(&defrost)?), cycle: None })
        }
        (None, _) => Some(Defrosting { band: None, cycle: Some(read_cycle(&defrost, store)?) }),
    }
}

fn read_band(defrost: &Fields) -> Option<Defrost> {
    let needed = [key::DEFROST_FROM.name].into_iter().chain(BAND_KEYS);
    for name in needed.filter(|name| !defrost.has(name)) {
        let missing = Complaint::new("missing-key", format!("`{name}` is missing here"));
        defrost.fault_here(missing.help("a band needs from, to, capacity and cop"));
    }
    let (from, to) =
        (celsius(defrost, key::DEFROST_FROM.name)?, celsius(defrost, key::DEFROST_TO.name)?);
    if from >= to {
        let crossed = Complaint::new("crossed", "the band of defrosting is empty");
        defrost.fault(key::DEFROST_TO.name, crossed.help("let `to` lie above `from`"));
        return None;
    }
    let (capacity, cop) =
        (defrost.number(key::DEFROST_CAPACITY.name)?, defrost.number(key::DEFROST_COP.name)?);
    Some(Defrost { from, to, capacity, cop })
}

/// Below and above which outdoor temperature ice forms where the file does not say, degrees C:
/// common practice, no source.
const ICE: (f64, f64) = (5.0, -10.0);

fn read_cycle(defrost: &Fields, from_store: bool) -> Option<DefrostCycle> {
    if defrost.has(key::DEFROST_FROM.name) && !from_store {
        let what = "spells of defrosting take their heat `from: store` or from the rooms";
        let from = Complaint::new("two-defrosts", what);
        defrost.fault(key::DEFROST_FROM.name, from.help("write `from: store`, or take it out"));
        return None;
    }
    let below = defrost.optional(key::DEFROST_BELOW.name, celsius)?.unwrap_or(ICE.0);
    let above = defrost.optional(key::DEFROST_ABOVE.name, celsius)?.unwrap_or(ICE.1);
    if above >= below {
        let crossed = Complaint::new("crossed", "there is no temperature at which ice forms");
        let (below, above) = (key::DEFROST_BELOW.name, key::DEFROST_ABOVE.name);
        let name = if defrost.has(above) { above } else { below };
        defrost.fault(name, crossed.help("let `below` lie above `above`"));
        return None;
    }
    let (every, lasts) =
        (defrost.seconds(key::DEFROST_EVERY.name)?, defrost.seconds(key::DEFROST_LASTS.name)?);
    Some(DefrostCycle { below, above, every, lasts, from_store })
}

fn read_backup(fields: &Fields, key: &str) -> Option<Backup> {
    let backup = fields.block(key)?;
    if !backup.has(key::BACKUP_BELOW.name) && !backup.has(key::BACKUP_AFTER.name) {
        let never = Complaint::new("missing-key", "this backup may never help");
        backup.fault_here(never.help("add `allowed_below: -5`, `after: 30 min`, or both"));
        return None;
    }
    Some(Backup {
        capacity: backup.number(key::BACKUP_CAPACITY.name)?,
        allowed_below: backup.optional(key::BACKUP_BELOW.name, celsius)?,
        after: backup.optional(key::BACKUP_AFTER.name, Fields::seconds)?,
    })
}
