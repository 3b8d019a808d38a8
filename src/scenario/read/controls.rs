//! A zone's controls.

use super::unit::UnitKeys;
use super::{limits, sensing};
use crate::control::{
    Controller, Controllers, ControllersFault, Differential, Direction, Display, Grid, KeyLocks,
    LockableKey, LowLimit, Mode, ModeSet, OutdoorLimits, OverrideUntil, Power, Returns, Setback,
    Settings, Side, Stored, Thermostat, UnitModes, WindowContact, WindowDoes, ZoneControls,
};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::scalar::Scalar;
use crate::settings::controls as key;
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// Whose direction a zone starts with.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Start {
    /// Its own.
    Own,
    /// Its owner's, whatever its mode.
    Follower(Direction),
    /// The group's, where its mode leaves it open.
    Group(Direction),
    /// The group or its owner has faults.
    Unknown,
}

/// Reads the block; what hangs on the unit's modes is not looked at where the unit has faults.
pub(super) fn read(fields: &Fields, unit: Option<&UnitKeys>, start: Start) -> Option<ZoneControls> {
    let grid = limits::grid(fields);
    let controllers = read_controllers(fields);
    let sensor = sensing::read_sensor(fields, controllers.as_ref());
    let occupancy = sensing::read_occupancy(fields);
    let optimum_start = sensing::read_optimum_start(fields);
    let low_limit = read_low_limit(fields);
    let locked_modes = locked_modes(fields);
    let mode = unit.and_then(|unit| start_mode(fields, &unit.modes, locked_modes?));
    let grid = grid?;
    let setback = read_setback(fields, grid);
    let returns = read_returns(fields, grid);
    let (outdoor_limits, window_contact) = (read_outdoor_limits(fields), read_contact(fields));
    let rules = limits::rules(fields, grid);
    let written = limits::written(fields, grid);
    let power = power(fields, key::POWER.name)?;
    let direction = fields.pick(key::DIRECTION.name, &Direction::BOTH, Direction::name)?;
    let mode = mode?;
    let rules = rules?;
    let active = side_at_start(mode, power, direction, start)?;
    let (setpoints, ignored_start) = limits::start(fields, &rules, grid, active, written?)?;
    let (controllers, unit) = (controllers?, unit?);
    let (setback, override_time, override_until) = setback?;
    let key_locks = controllers.as_slice().iter().map(|each| each.key_locks).collect();
    Some(ZoneControls {
        settings: Settings {
            grid,
            display: read_display(fields)?,
            modes: unit.modes.clone(),
            controllers,
            rules,
            locked_modes: locked_modes?,
            key_locks,
        },
        start: Stored { setpoints, mode, power },
        direction,
        thermostat: Thermostat {
            call_start: differential(fields, key::CALL_START.name)?,
            call_stop: differential(fields, key::CALL_STOP.name)?,
            changeover_delay: fields.seconds(key::CHANGEOVER_DELAY.name)?,
            min_on: unit.min_on,
            min_off: unit.min_off,
        },
        low_limit: low_limit?,
        auto_off: fields.optional(key::AUTO_OFF.name, Fields::seconds)?,
        sensor: sensor?,
        occupancy: occupancy?,
        setback,
        optimum_start: optimum_start?,
        override_time,
        override_until,
        returns: returns?,
        outdoor_limits: outdoor_limits?,
        window_contact: window_contact?,
        ignored_start,
    })
}

/// On or off.
pub(super) fn power(fields: &Fields, key: &str) -> Option<Power> {
    fields.flag(key).map(|on| if on { Power::On } else { Power::Off })
}

/// The modes that are locked; none where the key is left out.
pub(super) fn locked_modes(fields: &Fields) -> Option<ModeSet> {
    let modes = fields.optional(key::LOCKED_MODES.name, |fields, key| {
        fields.picks(key, &Mode::ALL, Mode::name)
    })?;
    Some(modes.map_or(ModeSet::NONE, |modes| ModeSet::of(&modes)))
}

/// The mode at the start: one that the unit has and that is not locked (rule 5).
fn start_mode(fields: &Fields, modes: &UnitModes, locked: ModeSet) -> Option<Mode> {
    let own =
        if modes.has(Mode::Auto) { Some(Mode::Auto) } else { modes.as_slice().first().copied() };
    let asked =
        fields.optional(key::MODE.name, |fields, key| fields.pick(key, &Mode::ALL, Mode::name))?;
    let mode = asked.or(own)?;
    let names: Vec<&str> = modes.as_slice().iter().map(|mode| mode.name()).collect();
    if !modes.has(mode) {
        let message = format!("the unit has no mode `{}`", mode.name());
        let remedy = format!("start in one that it has: {}", names.join(", "));
        fields.fault(key::MODE.name, Complaint::new("mode-lacking", message).help(remedy));
        return None;
    }
    if locked.has(mode) {
        let at = if fields.has(key::MODE.name) { key::MODE.name } else { key::LOCKED_MODES.name };
        let message = format!("the zone starts in `{}`, which is locked", mode.name());
        let remedy = "start in a mode that is not locked, or take it out of locked_modes";
        fields.fault(at, Complaint::new("mode-locked", message).help(remedy));
        return None;
    }
    Some(mode)
}

/// Rule 4 before the first step; where nothing is active, heat counts. `None` where the group that
/// decides has faults.
fn side_at_start(mode: Mode, power: Power, own: Direction, start: Start) -> Option<Side> {
    match (power, mode, start) {
        (Power::Off, ..) | (_, Mode::Fan, _) => Some(Side::Heat),
        (_, _, Start::Unknown) => None,
        (_, _, Start::Follower(direction)) | (_, Mode::Auto, Start::Group(direction)) => {
            Some(direction.side())
        }
        (_, Mode::Auto, Start::Own) => Some(own.side()),
        (_, Mode::Heat, _) => Some(Side::Heat),
        (_, Mode::Cool | Mode::Dry, _) => Some(Side::Cool),
    }
}

fn read_display(fields: &Fields) -> Checked<Option<Display>> {
    let unit = fields.checker.unit;
    let shown = fields.optional(key::SHOWN_UNIT.name, |fields, key| {
        let both = [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit];
        fields.pick(key, &both, TemperatureUnit::letter)
    })?;
    Some(shown.and_then(|shown| Display::new(unit, shown)))
}

/// A difference for both directions, or one for each (rule 18).
fn differential(fields: &Fields, key: &str) -> Option<Differential> {
    let Some(each) = fields.block(key) else {
        return fields.number(key).map(Differential::same);
    };
    let of = |direction: Direction| each.number(direction.name());
    Some(Differential { heating: of(Direction::Heating)?, cooling: of(Direction::Cooling)? })
}

fn read_low_limit(fields: &Fields) -> Checked<Option<LowLimit>> {
    let below = fields.optional(key::LOW_LIMIT.name, Fields::number)?;
    Some(below.map(|below| LowLimit::new(below, fields.checker.unit)))
}

/// The setback, the override time, and when an override ends.
type Away = (Option<Setback>, Seconds, OverrideUntil);

fn read_setback(fields: &Fields, grid: Grid) -> Option<Away> {
    let setback = fields.block_or_defaults(key::SETBACK_KEY.name)?;
    let override_time = setback.seconds(key::OVERRIDE_TIME.name);
    let until = setback.pick(key::OVERRIDE_UNTIL.name, &OverrideUntil::ALL, OverrideUntil::name);
    if !fields.has(key::SETBACK_KEY.name) {
        return Some((None, override_time?, until?));
    }
    let ticks = |key| limits::ticks(&setback, key, grid);
    let (heat, cool) = (ticks(key::SETBACK_HEAT.name), ticks(key::SETBACK_COOL.name));
    let (heat_low, cool_high) = (ticks(key::SETBACK_FLOOR.name), ticks(key::SETBACK_CEILING.name));
    if let (Some(floor), Some(ceiling)) = (heat_low, cool_high)
        && floor > ceiling
    {
        let crossed = Complaint::new("crossed", "`heat_low` lies above `cool_high`");
        setback.fault(key::SETBACK_FLOOR.name, crossed.help("exchange the two"));
    }
    let setback = Setback { heat: heat?, cool: cool?, heat_low: heat_low?, cool_high: cool_high? };
    Some((Some(setback), override_time?, until?))
}

/// Rule 15: outdoor limits of a zone.
fn read_outdoor_limits(fields: &Fields) -> Option<OutdoorLimits> {
    let limits = fields.block_or_defaults(key::OUTDOOR_LIMITS_KEY.name)?;
    outdoor_limits(
        &limits,
        [key::HEAT_BELOW.name, key::COOL_ABOVE.name, key::OUTDOOR_HYSTERESIS.name],
    )
}

/// Outdoor limits of a zone or an outdoor unit, by the names of their three keys.
pub(super) fn outdoor_limits(
    limits: &Fields,
    [below, above, hysteresis]: [&str; 3],
) -> Option<OutdoorLimits> {
    Some(OutdoorLimits {
        heat_below: limits.optional(below, Fields::number)?,
        cool_above: limits.optional(above, Fields::number)?,
        hysteresis: limits.number(hysteresis)?,
    })
}

/// Rule 16: the contact at the windows.
fn read_contact(fields: &Fields) -> Option<WindowContact> {
    let contact = fields.block_or_defaults(key::WINDOW_CONTACT_KEY.name)?;
    Some(WindowContact {
        acts_after: contact.seconds(key::ACTS_AFTER.name)?,
        does: contact.pick(key::CONTACT_DOES.name, &WindowDoes::ALL, WindowDoes::name)?,
    })
}

/// Rule 17: setpoints that go back by the clock.
fn read_returns(fields: &Fields, grid: Grid) -> Checked<Option<Returns>> {
    let (at_key, to_key) = (key::RETURN_AT.name, key::RETURN_TO_KEY.name);
    if !fields.has(at_key) && !fields.has(to_key) {
        return Some(None);
    }
    let to = fields.optional(to_key, |fields, key| {
        let to = fields.block(key)?;
        let side = |name| to.optional(name, |to, key| limits::ticks(to, key, grid));
        Some((side(key::RETURN_HEAT.name)?, side(key::RETURN_COOL.name)?))
    })?;
    let times = fields.optional(at_key, Fields::clocks)?;
    let (Some(at), Some((heat, cool))) = (times, to) else {
        let (here, other, example) = if fields.has(at_key) {
            (at_key, to_key, "return_to: {heat: 21, cool: 24}")
        } else {
            (to_key, at_key, "return_at: [\"18:00\"]")
        };
        let alone = format!("`{here}` does nothing without `{other}`");
        fields.fault(here, Complaint::new("missing-key", alone).help(format!("add `{example}`")));
        return None;
    };
    if at.is_empty() || (heat.is_none() && cool.is_none()) {
        let nothing = Complaint::new("missing-key", "nothing goes back here");
        fields.fault(to_key, nothing.help("give a time, and heat, cool or both"));
        return None;
    }
    Some(Some(Returns { at, heat, cool }))
}

/// Words of `sensor.place` that no controller may have for a name.
const PLACES: [&str; 3] = key::PLACES;

fn read_controllers(fields: &Fields) -> Option<Controllers> {
    if !fields.has(key::CONTROLLERS.name) {
        return Some(Controllers::main());
    }
    let mut list = Vec::new();
    fields.each(key::CONTROLLERS.name, |controller| list.push(read_controller(&controller)));
    let list: Vec<(Controller, bool)> = list.into_iter().collect::<Option<_>>()?;
    let complaint = match Controllers::new(list) {
        Ok(controllers) => return Some(controllers),
        Err(ControllersFault::Count(count)) => {
            Complaint::new("controllers", format!("a zone has one or two controllers, not {count}"))
                .help("keep one or two of them")
        }
        Err(ControllersFault::Primaries(0)) => {
            Complaint::new("primary-controller", "no controller is primary: the zone cannot start")
                .help("add `primary: true` to one of them")
        }
        Err(ControllersFault::Primaries(_)) => {
            Complaint::new("primary-controller", "both controllers are primary")
                .help("keep `primary: true` at one of them")
        }
        Err(ControllersFault::SameId) => {
            Complaint::new("controllers", "both controllers have the same id")
                .help("give each its own")
        }
    };
    fields.fault(key::CONTROLLERS.name, complaint);
    None
}

fn read_controller(fields: &Fields) -> Option<(Controller, bool)> {
    let key_locks =
        fields.optional(key::CONTROLLER_LOCKS.name, read_key_locks)?.unwrap_or(KeyLocks::NONE);
    let id = match fields.read(key::CONTROLLER_ID.name)? {
        Scalar::Text(id) => id.to_owned(),
        _ => return None,
    };
    if PLACES.contains(&id.as_str()) {
        let message = format!("`{id}` is a place of the sensor and cannot name a controller");
        fields.fault(
            key::CONTROLLER_ID.name,
            Complaint::new("bad-name", message).help("choose another name"),
        );
        return None;
    }
    let controller =
        Controller { id, offset: fields.number(key::CONTROLLER_OFFSET.name)?, key_locks };
    Some((controller, fields.flag(key::CONTROLLER_PRIMARY.name)?))
}

/// The locks written at a key.
pub(super) fn read_key_locks(fields: &Fields, key: &str) -> Option<KeyLocks> {
    let locks = fields.block(key)?;
    let keys = locks.picks(key::KEYS_LOCKED.name, &LockableKey::ALL, LockableKey::name)?;
    Some(KeyLocks::new(&keys, locks.flag(key::LOCK_IN_FORCE.name)?))
}
