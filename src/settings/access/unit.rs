//! The indoor units.

use crate::control::Mode;
use crate::direction::Direction;
use crate::engine::Zone;
use crate::plant::{Capacity, Cop, Curve, FanRun, Stages, UnitControl};
use crate::settings::Value;
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// In proportion to how far the room is from where the call ends.
pub(crate) const MODULATING: &str = "modulating";
/// On or off.
pub(crate) const STAGED: &str = "staged";
/// Exactly what is needed.
pub(crate) const IDEAL: &str = "ideal";
/// The fan runs with a call alone,
pub(crate) const AUTO: &str = "auto";
/// which files of the first edition call so;
pub(crate) const WITH_CALL: &str = "with_call";
/// or as long as the power is on,
pub(crate) const CONTINUOUS: &str = "continuous";
/// or so at low speed.
pub(crate) const LOW: &str = "low";

pub(crate) fn capacity_mut(zone: &mut Zone, direction: Direction) -> &mut Option<Capacity> {
    match direction {
        Direction::Heating => &mut zone.unit.heating,
        Direction::Cooling => &mut zone.unit.cooling,
    }
}

/// The capacity of one unit, W.
pub(crate) fn rated(zone: &Zone, direction: Direction) -> Value {
    let count = f64::from(zone.unit.count);
    Value::or_nothing(zone.unit.capacity(direction).map(|it| it.rated / count))
}

pub(crate) fn set_rated(zone: &mut Zone, direction: Direction, to: &Value) -> Option<()> {
    let rated = to.number()? * f64::from(zone.unit.count);
    capacity_mut(zone, direction).as_mut()?.rated = rated;
    Some(())
}

/// The COP of a plant of the zone's own in a direction; nothing where it is the usual one.
pub(crate) fn cop(zone: &Zone, direction: Direction) -> Value {
    let Some(Capacity { cop, .. }) = zone.unit.capacity(direction) else { return Value::Nothing };
    match cop {
        usual if *usual == Cop::usual(direction) => Value::Nothing,
        Cop::Constant(cop) => Value::Number(*cop),
        Cop::Table(curve) => Value::Word(points_words(curve, zone.controls.settings.grid.unit())),
        Cop::Carnot(rated) => Value::Word(format!("{rated}, after Carnot")),
    }
}

/// Writes a constant COP, or brings the usual one back.
pub(crate) fn set_cop(zone: &mut Zone, direction: Direction, to: &Value) -> Option<()> {
    capacity_mut(zone, direction).as_mut()?.cop = match to {
        Value::Nothing => Cop::usual(direction),
        value => Cop::Constant(value.number()?),
    };
    Some(())
}

/// `2.25 at -8.3; 3.3 at 8.3`, temperatures in the file's unit.
fn points_words(curve: &Curve, unit: TemperatureUnit) -> String {
    let point = |&(outdoor, cop): &(f64, f64)| {
        format!("{cop} at {}", libm::round(unit.from_celsius(outdoor) * 10.0) / 10.0)
    };
    curve.pairs().iter().map(point).collect::<Vec<_>>().join("; ")
}

pub(crate) fn control(zone: &Zone) -> Value {
    Value::word(match zone.unit.control {
        UnitControl::Modulating { .. } => MODULATING,
        UnitControl::Staged { .. } => STAGED,
        UnitControl::Ideal => IDEAL,
    })
}

/// A size of a modulating unit, another of a staged one; none of any other.
pub(crate) fn turndown(zone: &Zone) -> Value {
    match zone.unit.control {
        UnitControl::Modulating { turndown, .. } => Value::Number(turndown),
        UnitControl::Staged { .. } | UnitControl::Ideal => Value::Nothing,
    }
}

pub(crate) fn throttling_range(zone: &Zone) -> Value {
    match zone.unit.control {
        UnitControl::Modulating { throttling_range, .. } => Value::Number(throttling_range),
        UnitControl::Staged { .. } | UnitControl::Ideal => Value::Nothing,
    }
}

/// The time of integral action, of a unit that has it.
pub(crate) fn integral_time(zone: &Zone) -> Value {
    match zone.unit.control {
        UnitControl::Modulating { integral_time, .. } => {
            #[expect(clippy::cast_possible_truncation, reason = "it was read in whole seconds")]
            let time = integral_time.map(|time| Seconds::new(time as i64));
            Value::or_nothing(time)
        }
        UnitControl::Staged { .. } | UnitControl::Ideal => Value::Nothing,
    }
}

/// The stages of a unit that has several.
pub(crate) fn several_stages(zone: &Zone) -> Option<Stages> {
    match zone.unit.control {
        UnitControl::Staged { stages } if stages.count() > 1 => Some(stages),
        _ => None,
    }
}

/// The stages of a unit that has several, as parts of its capacity.
pub(crate) fn shares(zone: &Zone) -> Vec<String> {
    several_stages(zone).iter().flat_map(Stages::shares).map(ToString::to_string).collect()
}

/// Parts of the whole, stage by stage: `65 %, 100 %`.
pub(crate) fn parts(zone: &Zone, of: fn(&Stages) -> Option<&[f64]>) -> Value {
    let Some(stages) = several_stages(zone) else { return Value::Nothing };
    let words = |parts: &[f64]| {
        let parts = parts.iter().map(|part| format!("{:.0} %", part * 100.0));
        Value::Word(parts.collect::<Vec<_>>().join(", "))
    };
    of(&stages).map_or(Value::Nothing, words)
}

/// When the fan runs besides, in a word or as `1 min every 10 min`.
pub(crate) fn fan_run(zone: &Zone) -> Value {
    Value::Word(match zone.unit.fan_run {
        FanRun::Sample { every, lasts } => format!("{lasts} every {every}"),
        other => fan_run_name(other).to_owned(),
    })
}

/// Writes a word for when the fan runs.
pub(crate) fn set_fan_run(zone: &mut Zone, to: &Value) -> Option<()> {
    let Value::Word(word) = to else { return None };
    zone.unit.fan_run = fan_run_of(word, FanRun::USUAL_LOW)?;
    Some(())
}

/// What a word of a scenario file says of the fan, at low speed with this part of its power.
pub(crate) fn fan_run_of(word: &str, low: f64) -> Option<FanRun> {
    match word {
        AUTO | WITH_CALL => Some(FanRun::Auto),
        CONTINUOUS => Some(FanRun::Continuous),
        LOW => Some(FanRun::Low { power: low }),
        _ => None,
    }
}

const fn fan_run_name(run: FanRun) -> &'static str {
    match run {
        FanRun::Auto => AUTO,
        FanRun::Continuous => CONTINUOUS,
        FanRun::Low { .. } => LOW,
        FanRun::Sample { .. } => "sample",
    }
}

/// Power at low speed, of a fan that runs so.
pub(crate) fn low_power(zone: &Zone) -> Value {
    match zone.unit.fan_run {
        FanRun::Low { power } => Value::Number(power),
        FanRun::Auto | FanRun::Continuous | FanRun::Sample { .. } => Value::Nothing,
    }
}

/// Writes the power at low speed of a fan that runs so.
pub(crate) fn set_low_power(zone: &mut Zone, to: &Value) -> Option<()> {
    let FanRun::Low { power } = &mut zone.unit.fan_run else { return None };
    *power = to.number()?;
    Some(())
}

/// The time constant of a unit that starts; an ideal one never does.
pub(crate) fn time_constant(zone: &Zone) -> Value {
    match zone.unit.control {
        UnitControl::Staged { .. } | UnitControl::Modulating { .. } => {
            Value::Number(zone.unit.start_up.time_constant)
        }
        UnitControl::Ideal => Value::Nothing,
    }
}

/// How long a modulating unit takes to its turndown.
pub(crate) fn reach_lowest(zone: &Zone) -> Value {
    match zone.unit.control {
        UnitControl::Modulating { .. } => Value::Time(zone.unit.start_up.reach_lowest),
        UnitControl::Staged { .. } | UnitControl::Ideal => Value::Nothing,
    }
}

pub(crate) fn modes(zone: &Zone) -> Value {
    Value::words(zone.controls.settings.modes.as_slice().iter().map(|mode| mode.name()))
}

/// The modes without one of them, and in another order.
pub(crate) fn other_modes(zone: &Zone) -> Vec<Value> {
    let has = zone.controls.settings.modes.as_slice();
    let words = |modes: &[Mode]| Value::words(modes.iter().map(|mode| mode.name()));
    let without = |mode: &Mode| {
        let fewer: Vec<Mode> = has.iter().copied().filter(|each| each != mode).collect();
        words(&fewer)
    };
    let present = zone.controls.start.mode;
    let mut all: Vec<Value> = has.iter().filter(|mode| **mode != present).map(without).collect();
    if has.len() > 2 {
        let mut swapped = has.to_vec();
        swapped.swap(0, 1);
        all.push(words(&swapped));
    }
    all
}
