//! The indoor units of a zone.

use super::points::{celsius, read_points};
use crate::control::{Mode, UnitModes};
use crate::direction::Direction;
use crate::engine::OutdoorGroup;
use crate::plant::{
    Capacity, Coil, Cop, Curve, FanRun, IndoorUnit, MOST_STAGES, Stages, StartUp, UnitControl,
};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::settings::unit as key;
use crate::time::Seconds;

/// Least time between two calls with a plant of its own: control rules, rule 9.
const MIN_OFF: Seconds = Seconds::minutes(3);

/// Everything under `unit`: the plant's part and the thermostat's.
pub(super) struct UnitKeys {
    pub(super) indoor: IndoorUnit,
    pub(super) modes: UnitModes,
    pub(super) min_on: Seconds,
    pub(super) min_off: Seconds,
}

/// Reads the block of a zone that has a plant of its own (`None`) or a group, whose compressor then
/// has the timer (rule 10).
pub(super) fn read(fields: &Fields, group: Option<Checked<&OutdoorGroup>>) -> Option<UnitKeys> {
    if !fields.has(key::HEATING.name) && !fields.has(key::COOLING.name) {
        let none = Complaint::new("missing-key", "the unit can neither heat nor cool");
        fields.fault_here(none.help("add `heating: 6 kW`, `cooling: 5 kW`, or both"));
        return None;
    }
    if let Some(group) = group {
        check_in_group(fields, group);
    }
    let modes = read_modes(fields);
    let count = u32::try_from(fields.whole(key::COUNT.name)?).ok()?;
    let heating = read_capacity(fields, Direction::Heating, count);
    let cooling = read_capacity(fields, Direction::Cooling, count);
    let indoor = IndoorUnit {
        heating: heating?,
        cooling: cooling?,
        fan: fields.number(key::FAN.name)? * f64::from(count),
        fan_run: read_fan_run(fields)?,
        control: read_control(fields)?,
        start_up: StartUp {
            time_constant: fields.number(key::CYCLING_TIME_CONSTANT.name)?,
            reach_lowest: fields.seconds(key::REACH_LOWEST.name)?,
        },
        reversal_time: fields.seconds(key::OWN_REVERSAL_TIME.name)?,
        count,
        coil: Coil {
            surface: fields.checker.unit.to_celsius(fields.number(key::COIL.name)?),
            sensible: fields.optional(key::SENSIBLE_HEAT_RATIO.name, Fields::number)?,
            sensible_in_dry: fields.number(key::DRY_SENSIBLE_HEAT_RATIO.name)?,
        },
    };
    let min_on = fields.seconds(key::MIN_ON.name)?;
    let own = if group.is_some() { Seconds::ZERO } else { MIN_OFF };
    let min_off = fields.optional(key::MIN_OFF.name, Fields::seconds)?.unwrap_or(own);
    Some(UnitKeys { indoor, modes: modes?, min_on, min_off })
}

/// What an outdoor unit asks of the indoor units on it.
fn check_in_group(fields: &Fields, group: Checked<&OutdoorGroup>) {
    if fields.text(key::CONTROL.name).as_deref() == Some(key::IDEAL) {
        let message = "an ideal plant is a zone's own, and this zone shares an outdoor unit";
        let remedy = "make it modulating or staged, or take the zone off the outdoor unit";
        fields.fault(key::CONTROL.name, Complaint::new("ideal-in-group", message).help(remedy));
    }
    let Some(outdoor) = group.map(|group| &group.unit) else { return };
    for direction in Direction::BOTH {
        let table = match direction {
            Direction::Heating => &outdoor.heating,
            Direction::Cooling => &outdoor.cooling,
        };
        let name = direction.name();
        if fields.has(name) && table.is_none() {
            let message = format!("the outdoor unit of this zone has no `{name}`");
            let remedy = format!(
                "give the outdoor unit `{name}`, a list of points with outdoor, capacity and cop, or \
                 take `{name}` out of this unit"
            );
            fields.fault(name, Complaint::new("no-table", message).help(remedy));
        }
    }
}

fn read_capacity(fields: &Fields, direction: Direction, count: u32) -> Checked<Option<Capacity>> {
    let key = direction.name();
    let cop = read_cop(fields, direction);
    if !fields.has(key) {
        return Some(None);
    }
    Some(Some(Capacity { rated: fields.number(key)? * f64::from(count), cop: cop? }))
}

/// A number, a table against outdoor temperature, or what is usual.
fn read_cop(fields: &Fields, direction: Direction) -> Checked<Cop> {
    let (cops, name) = (fields.block_or_defaults(key::COP_KEY.name)?, direction.name());
    if !cops.has(name) {
        return Some(Cop::usual(direction));
    }
    if let Some(number) = cops.number(name) {
        return Some(Cop::Constant(number));
    }
    let point = |point: &Fields| {
        let outdoor = celsius(point, key::COP_POINT_OUTDOOR.name)?;
        Some((outdoor, point.number(key::COP_POINT_COP.name)?))
    };
    let points = read_points(&cops, name, point, |point| point.0)?;
    points.and_then(Curve::new).map(Cop::Table)
}

/// A word, or how often for how long.
fn read_fan_run(fields: &Fields) -> Checked<FanRun> {
    let low = fields.number(key::LOW_POWER.name);
    let Some(sample) = fields.block(key::FAN_RUN.name) else {
        return key::fan_run_of(&fields.text(key::FAN_RUN.name)?, low?);
    };
    let every = sample.seconds(key::SAMPLE_EVERY.name)?;
    let lasts = sample.seconds(key::SAMPLE_FOR.name)?;
    if lasts >= every {
        let message = format!("a fan that runs for {lasts} every {every} never rests");
        let never = Complaint::new("crossed", message);
        let remedy = "let `for` be shorter than `sample`, or write `fan_run: continuous`";
        sample.fault(key::SAMPLE_FOR.name, never.help(remedy));
        return None;
    }
    Some(FanRun::Sample { every, lasts })
}

fn read_control(fields: &Fields) -> Option<UnitControl> {
    let (turndown, throttling_range) =
        (fields.number(key::TURNDOWN.name)?, fields.number(key::THROTTLING_RANGE.name)?);
    let integral_time = fields.optional(key::INTEGRAL_TIME.name, Fields::seconds)?;
    let stages = read_stages(fields)?;
    match fields.text(key::CONTROL.name)?.as_str() {
        key::STAGED => Some(UnitControl::Staged { stages }),
        key::IDEAL => Some(UnitControl::Ideal),
        _ => Some(UnitControl::Modulating {
            turndown,
            throttling_range,
            integral_time: integral_time.map(|time| time.get() as f64),
        }),
    }
}

/// Rule 18: the stages of a staged unit.
fn read_stages(fields: &Fields) -> Option<Stages> {
    let list = |key| fields.optional(key, Fields::numbers_in_list);
    let shares = list(key::STAGES.name)?.unwrap_or_else(|| vec![1.0]);
    let powers = list(key::STAGE_POWER.name)?.unwrap_or_else(|| shares.clone());
    let step = fields.number(key::STAGE_STEP.name)?;
    let stages = Stages::new(&shares, &powers, step);
    if stages.is_none() {
        let (key, message, remedy) = wrong_stages(&shares);
        fields.fault(key, Complaint::new("bad-stages", message).help(remedy));
    }
    stages
}

/// What is wrong with stages: where, what, and what would be right.
fn wrong_stages(shares: &[f64]) -> (&'static str, String, String) {
    if Stages::new(shares, shares, 0.0).is_none() {
        let message = format!(
            "stages are parts of the capacity: one to {MOST_STAGES} of them, rising, the last 1"
        );
        return (key::STAGES.name, message, "write them like `stages: [0.65, 1]`".into());
    }
    let message = "the power of stages is a part of full power for each of them, the last 1";
    let remedy = format!("give as many numbers as there are stages: {}", shares.len());
    (key::STAGE_POWER.name, message.into(), remedy)
}

/// What the capacities allow.
fn allows(fields: &Fields, mode: Mode) -> bool {
    let (heats, cools) = (fields.has(key::HEATING.name), fields.has(key::COOLING.name));
    match mode {
        Mode::Heat => heats,
        Mode::Cool | Mode::Dry => cools,
        Mode::Auto => heats && cools,
        Mode::Fan => true,
    }
}

fn read_modes(fields: &Fields) -> Option<UnitModes> {
    if !fields.has(key::UNIT_MODES.name) {
        let modes = Mode::ALL.into_iter().filter(|mode| allows(fields, *mode));
        return UnitModes::new(modes.collect());
    }
    let modes = fields.picks(key::UNIT_MODES.name, &Mode::ALL, Mode::name)?;
    if let Some(mode) = modes.iter().find(|mode| !allows(fields, **mode)) {
        let missing =
            if fields.has(key::HEATING.name) { key::COOLING.name } else { key::HEATING.name };
        let message = format!("the mode `{}` needs {missing}, which the unit lacks", mode.name());
        let remedy = format!("add `{missing}`, or take `{}` out of modes", mode.name());
        fields.fault(key::UNIT_MODES.name, Complaint::new("mode-lacking", message).help(remedy));
        return None;
    }
    UnitModes::new(modes)
}
