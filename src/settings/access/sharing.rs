//! Outdoor units, and how their zones share them.

use crate::control::{ModePolicy, OwnerOff, Sharing};
use crate::engine::{Model, OutdoorGroup};
use crate::plant::{CapacityPoint, CapacityTable, OutdoorUnit};
use crate::settings::Value;
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// The outdoor unit at a place.
pub(crate) fn unit_at(model: &mut Model, at: usize) -> Option<&mut OutdoorUnit> {
    model.outdoor_units.get_mut(at).map(|group| &mut group.unit)
}

/// What zones share one direction at a time by; nothing where they need not.
pub(crate) struct Shared {
    /// Who decides.
    pub(crate) policy: ModePolicy,
    /// The owner's place among the zones.
    pub(crate) owner: usize,
    /// What follows when the owner is off.
    pub(crate) owner_off: OwnerOff,
    /// Least time to a change of direction.
    pub(crate) delay: Seconds,
}

/// How a unit is shared, one direction at a time.
pub(crate) fn shared(group: &OutdoorGroup) -> Option<Shared> {
    match group.settings.sharing {
        Sharing::SingleMode { policy, owner, owner_off, changeover_delay: delay } => {
            Some(Shared { policy, owner, owner_off, delay })
        }
        Sharing::Simultaneous => None,
    }
}

/// Changes how a unit is shared.
pub(crate) fn share(
    model: &mut Model,
    at: usize,
    change: impl FnOnce(&mut Shared) -> Option<()>,
) -> Option<()> {
    let group = model.outdoor_units.get_mut(at)?;
    let mut new = shared(group)?;
    change(&mut new)?;
    let Shared { policy, owner, owner_off, delay: changeover_delay } = new;
    group.settings.sharing = Sharing::SingleMode { policy, owner, owner_off, changeover_delay };
    Some(())
}

/// The id of the zone at the owner's place, whether or not an owner decides.
pub(crate) fn owner(model: &Model, group: &OutdoorGroup) -> Value {
    let zone = shared(group).and_then(|it| group.zones.get(it.owner).copied());
    let zone = zone.and_then(|zone| model.zones.get(zone.get()));
    zone.map_or(Value::Nothing, |zone| Value::word(zone.id.as_str()))
}

/// Lets another zone decide.
pub(crate) fn set_owner(model: &mut Model, at: usize, to: &Value) -> Option<()> {
    let Value::Word(id) = to else { return None };
    let zone = model.zone_named(id)?;
    let place = model.outdoor_units.get(at)?.zones.iter().position(|it| *it == zone)?;
    share(model, at, |shared| {
        shared.owner = place;
        Some(())
    })
}

/// An outdoor temperature in the file's unit.
pub(crate) fn outdoor(unit: TemperatureUnit, celsius: Option<f64>) -> Value {
    Value::or_nothing(celsius.map(|value| unit.from_celsius(value)))
}

/// Writes an outdoor temperature, or takes it away.
pub(crate) fn set_outdoor(slot: &mut Option<f64>, unit: TemperatureUnit, to: &Value) -> Option<()> {
    *slot = match to {
        Value::Nothing => None,
        value => Some(unit.to_celsius(value.number()?)),
    };
    Some(())
}

/// `-8: 9 kW, COP 2.4; 8: 12 kW, COP 3.7`, temperatures in the file's unit.
pub(crate) fn points(table: Option<&CapacityTable>, unit: TemperatureUnit) -> Value {
    let Some(table) = table else { return Value::Nothing };
    let point = |at: &CapacityPoint| {
        let outdoor = tenths(unit.from_celsius(at.outdoor));
        format!("{outdoor}: {} kW, COP {}", tenths(at.capacity / 1000.0), tenths(at.cop))
    };
    Value::Word(table.points().iter().map(point).collect::<Vec<_>>().join("; "))
}

fn tenths(value: f64) -> f64 {
    libm::round(value * 10.0) / 10.0
}

/// `from -5 to 5: capacity 0.9, COP 0.8`.
pub(crate) fn defrost(model: &Model, group: &OutdoorGroup) -> Value {
    let at = |celsius| tenths(model.unit.from_celsius(celsius));
    if let Some(cycle) = group.unit.defrost_cycle {
        let (above, below) = (at(cycle.above), at(cycle.below));
        let heat = if cycle.from_store { "a store" } else { "the rooms that run" };
        return Value::Word(format!(
            "{} after each {} of heating from {above} to {below}, with heat from {heat}",
            cycle.lasts, cycle.every
        ));
    }
    let Some(defrost) = group.unit.defrost else { return Value::Nothing };
    let (from, to) = (at(defrost.from), at(defrost.to));
    Value::Word(format!("from {from} to {to}: capacity {}, COP {}", defrost.capacity, defrost.cop))
}

/// `3 kW below -5, after 30 min`.
pub(crate) fn backup(model: &Model, group: &OutdoorGroup) -> Value {
    let Some(backup) = group.unit.backup else { return Value::Nothing };
    let below =
        backup.allowed_below.map(|at| format!("below {}", tenths(model.unit.from_celsius(at))));
    let after = backup.after.map(|after| format!("after {after}"));
    let when: Vec<String> = [below, after].into_iter().flatten().collect();
    Value::Word(format!("{} kW {}", tenths(backup.capacity / 1000.0), when.join(", ")))
}
