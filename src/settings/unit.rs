//! The settings of the indoor units on a zone's controllers.

use super::access::zone_field;
use super::controls::MODES;
use super::key::{block, derived, optional, or, or_by_unit};
use super::setting::{Governs, Hidden, Setting, Trial};
use super::{Kind, Value, ranges};
use crate::control::{Mode, UnitModes};
use crate::direction::Direction;
use crate::engine::Zone;
use crate::plant::{Capacity, FanRun, Stages, UnitControl};
use crate::time::Seconds;
use crate::units::Dimension;

/// How the output follows the call.
pub(crate) const CONTROLS_OF_UNITS: &[&str] = &[MODULATING, STAGED, IDEAL];
/// In proportion to how far the room is from where the call ends.
pub(crate) const MODULATING: &str = "modulating";
/// On or off.
pub(crate) const STAGED: &str = "staged";
/// Exactly what is needed.
pub(crate) const IDEAL: &str = "ideal";
/// When the fan runs besides.
pub(crate) const FAN_RUNS: &[&str] =
    &[fan_run_name(FanRun::WithCall), fan_run_name(FanRun::Continuous)];

/// The line of the record that tells the unit in a few words.
const LINE: &str = "Indoor unit";
const OF_THE_MACHINE: &str = "it is a property of the machine, and stands in the file";
const MEASURED: Trial =
    Trial::None("no display shows what a machine gives or takes: that is measured at the machine");
const OTHER_TIMER: Hidden =
    Hidden::Unless("another timer is longer and hides it, or no press comes inside its time");

/// The word in a scenario file.
pub(crate) const fn fan_run_name(run: FanRun) -> &'static str {
    match run {
        FanRun::WithCall => "with_call",
        FanRun::Continuous => "continuous",
    }
}

fn capacity(zone: &Zone, direction: Direction) -> Option<Capacity> {
    zone.unit.capacity(direction)
}

fn capacity_mut(zone: &mut Zone, direction: Direction) -> &mut Option<Capacity> {
    match direction {
        Direction::Heating => &mut zone.unit.heating,
        Direction::Cooling => &mut zone.unit.cooling,
    }
}

/// The capacity of one unit, W.
fn rated(zone: &Zone, direction: Direction) -> Value {
    let count = f64::from(zone.unit.count);
    Value::or_nothing(capacity(zone, direction).map(|it| it.rated / count))
}

fn set_rated(zone: &mut Zone, direction: Direction, to: &Value) -> Option<()> {
    let rated = to.number()? * f64::from(zone.unit.count);
    capacity_mut(zone, direction).as_mut()?.rated = rated;
    Some(())
}

fn cop(zone: &Zone, direction: Direction) -> Value {
    Value::or_nothing(capacity(zone, direction).map(|it| it.cop))
}

fn set_cop(zone: &mut Zone, direction: Direction, to: &Value) -> Option<()> {
    capacity_mut(zone, direction).as_mut()?.cop = to.number()?;
    Some(())
}

fn control(zone: &Zone) -> Value {
    Value::word(match zone.unit.control {
        UnitControl::Modulating { .. } => MODULATING,
        UnitControl::Staged { .. } => STAGED,
        UnitControl::Ideal => IDEAL,
    })
}

/// A size of a modulating unit, another of a staged one; none of any other.
fn turndown(zone: &Zone) -> Value {
    match zone.unit.control {
        UnitControl::Modulating { turndown, .. } => Value::Number(turndown),
        UnitControl::Staged { .. } | UnitControl::Ideal => Value::Nothing,
    }
}

fn throttling_range(zone: &Zone) -> Value {
    match zone.unit.control {
        UnitControl::Modulating { throttling_range, .. } => Value::Number(throttling_range),
        UnitControl::Staged { .. } | UnitControl::Ideal => Value::Nothing,
    }
}

fn integral_time(zone: &Zone) -> Value {
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
fn several_stages(zone: &Zone) -> Option<Stages> {
    match zone.unit.control {
        UnitControl::Staged { stages, .. } if stages.count() > 1 => Some(stages),
        _ => None,
    }
}

/// Parts of the whole, stage by stage: `65 %, 100 %`.
fn parts(zone: &Zone, of: fn(&Stages) -> Option<&[f64]>) -> Value {
    let Some(stages) = several_stages(zone) else { return Value::Nothing };
    let words = |parts: &[f64]| {
        let parts = parts.iter().map(|part| format!("{:.0} %", part * 100.0));
        Value::Word(parts.collect::<Vec<_>>().join(", "))
    };
    of(&stages).map_or(Value::Nothing, words)
}

fn time_constant(zone: &Zone) -> Value {
    match zone.unit.control {
        UnitControl::Staged { time_constant, .. } => Value::Number(time_constant),
        UnitControl::Modulating { .. } | UnitControl::Ideal => Value::Nothing,
    }
}

fn modes(zone: &Zone) -> Value {
    Value::words(zone.controls.settings.modes.as_slice().iter().map(|mode| mode.name()))
}

/// The modes without one of them, and in another order.
fn other_modes(zone: &Zone) -> Vec<Value> {
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

block! {
    /// The indoor units on a zone's controllers.
    pub(crate) UNIT = "unit",
    "The indoor units on a zone's controllers. Capacity and fan are those of one unit.";

    HEATING = optional(
        "unit.heating",
        Kind::Size(Dimension::Power, ranges::CAPACITY),
        "Rated heating capacity; left out where the unit cannot heat.",
    )
    .sets(
        Setting::of_zone("Heating capacity", Governs::Plant, |zone| rated(zone, Direction::Heating), |zone, to| {
            set_rated(zone, Direction::Heating, to)
        })
        .line(LINE)
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    COOLING = optional(
        "unit.cooling",
        Kind::Size(Dimension::Power, ranges::CAPACITY),
        "Rated cooling capacity; left out where the unit cannot cool.",
    )
    .sets(
        Setting::of_zone("Cooling capacity", Governs::Plant, |zone| rated(zone, Direction::Cooling), |zone, to| {
            set_rated(zone, Direction::Cooling, to)
        })
        .line(LINE)
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    FAN = or("unit.fan", Kind::Size(Dimension::Power, ranges::FAN), "0 W", "Electric power of the fan.")
        .sets(
            Setting::of_zone(
                "Fan power",
                Governs::Plant,
                |zone| Value::Number(zone.unit.fan / f64::from(zone.unit.count)),
                |zone, to| {
                    zone.unit.fan = to.number()? * f64::from(zone.unit.count);
                    Some(())
                },
            )
            .left(OF_THE_MACHINE)
            .tried(MEASURED),
        );
    FAN_RUN = or("unit.fan_run", Kind::Word(FAN_RUNS), "with_call", "Whether the fan stops with the call.")
        .sets(
            Setting::of_zone(
                "Fan between calls",
                Governs::Plant,
                |zone| Value::word(fan_run_name(zone.unit.fan_run)),
                |zone, to| {
                    zone.unit.fan_run = to.pick(&[FanRun::WithCall, FanRun::Continuous], fan_run_name)?;
                    Some(())
                },
            )
            .left(OF_THE_MACHINE)
            .tried(Trial::None("the running light tells calls, not the fan: listen for it")),
        );
    COP_KEY = optional("cop", Kind::Block(COP), "Efficiency, used only without an outdoor unit block.");
    CONTROL = or(
        "unit.control",
        Kind::Word(CONTROLS_OF_UNITS),
        "modulating",
        "How the output follows the call.",
    )
    .sets(
        Setting::of_zone("Control of the output", Governs::Plant, control, |_, _| None)
            .line(LINE)
            .left(OF_THE_MACHINE)
            .tried(MEASURED),
    );
    TURNDOWN = or(
        "unit.turndown",
        Kind::Number(ranges::TURNDOWN),
        "0.25",
        "Lowest steady output of a modulating unit, as a part of its capacity.",
    )
    .sets(
        Setting::of_zone("Turndown", Governs::Plant, turndown, |zone, to| {
            let UnitControl::Modulating { turndown, .. } = &mut zone.unit.control else { return None };
            *turndown = to.number()?;
            Some(())
        })
        .line(LINE)
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    THROTTLING_RANGE = or_by_unit(
        "unit.throttling_range",
        Kind::Difference(ranges::THROTTLING),
        "1",
        "1.8",
        "Over which difference a modulating unit goes from nothing to full.",
    )
    .sets(
        Setting::of_zone("Throttling range", Governs::Plant, throttling_range, |zone, to| {
            let UnitControl::Modulating { throttling_range, .. } = &mut zone.unit.control else {
                return None;
            };
            *throttling_range = to.number()?;
            Some(())
        })
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    INTEGRAL_TIME = optional(
        "unit.integral_time",
        Kind::Duration(ranges::INTEGRAL_TIME),
        "Integral action of a modulating unit: after so long a steady distance counts twice. Without \
         it a room settles beside its setpoint by what it takes to call for its load.",
    )
    .sets(
        Setting::of_zone("Integral time", Governs::Plant, integral_time, |zone, to| {
            let UnitControl::Modulating { integral_time, .. } = &mut zone.unit.control else {
                return None;
            };
            *integral_time = match to {
                Value::Nothing => None,
                value => Some(value.time()?.get() as f64),
            };
            Some(())
        })
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    STAGES = derived(
        "unit.stages",
        Kind::ListOf(&Kind::Number(ranges::STAGE)),
        "one, at full capacity",
        "The stages of a staged unit as parts of its capacity, rising; the last is 1.",
    )
    .sets(
        Setting::of_zone("Stages", Governs::Plant, |zone| parts(zone, |it| Some(it.shares())), |_, _| None)
            .line(LINE)
            .left(OF_THE_MACHINE)
            .tried(MEASURED),
    );
    STAGE_STEP = or_by_unit(
        "unit.stage_step",
        Kind::Difference(ranges::STAGE_STEP),
        "0.5",
        "1",
        "So much further outside each stage comes on than the one before.",
    )
    .sets(
        Setting::of_zone(
            "Difference between stages",
            Governs::Plant,
            |zone| Value::or_nothing(several_stages(zone).map(|it| it.step())),
            |zone, to| {
                several_stages(zone)?;
                let UnitControl::Staged { stages, .. } = &mut zone.unit.control else { return None };
                *stages = stages.apart(to.number()?);
                Some(())
            },
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    STAGE_POWER = derived(
        "unit.stage_power",
        Kind::ListOf(&Kind::Number(ranges::STAGE)),
        "as stages",
        "Electric power of each stage as a part of full power; the last is 1.",
    )
    .sets(
        Setting::of_zone(
            "Power of the stages",
            Governs::Plant,
            |zone| parts(zone, |it| (it.powers() != it.shares()).then(|| it.powers())),
            |_, _| None,
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    CYCLING_TIME_CONSTANT = or(
        "unit.cycling_time_constant",
        Kind::Size(Dimension::Duration, ranges::TIMER),
        "76 s",
        "How slowly a staged unit's output rises after a start.",
    )
    .sets(
        Setting::of_zone("Time constant of the output", Governs::Plant, time_constant, |zone, to| {
            let UnitControl::Staged { time_constant, .. } = &mut zone.unit.control else { return None };
            *time_constant = to.number()?;
            Some(())
        })
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    COUNT = or("unit.count", Kind::Whole(ranges::COUNT), "1", "How many indoor units.").sets(
        Setting::of_zone("Indoor units", Governs::Plant, |zone| Value::Number(zone.unit.count.into()), |_, _| None)
            .line(LINE)
            .left(OF_THE_MACHINE)
            .tried(Trial::None("they are counted")),
    );
    COIL = or_by_unit(
        "unit.coil",
        Kind::Temperature(ranges::COIL),
        "10",
        "50",
        "How cold the cooling coil is: air leaves on the straight line on the psychrometric chart to \
         saturation there, a tenth of it untouched. The capacity is the sensible part; water comes on \
         top, and electric power goes with both. It counts where `humidity: balance` stands.",
    )
    .sets(
        Setting::of_zone(
            "Cooling coil",
            Governs::Plant,
            |zone| {
                let unit = zone.controls.settings.grid.unit();
                Value::Number(unit.from_celsius(zone.unit.coil.surface))
            },
            |zone, to| {
                let unit = zone.controls.settings.grid.unit();
                zone.unit.coil.surface = unit.to_celsius(to.number()?);
                Some(())
            },
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    SENSIBLE_HEAT_RATIO = derived(
        "unit.sensible_heat_ratio",
        Kind::Number(ranges::SENSIBLE_HEAT_RATIO),
        "by the coil and the air",
        "Sensible heat over all heat that the cooling coil takes out, in place of what follows from \
         its temperature.",
    )
    .sets(
        Setting::of_zone(
            "Sensible heat ratio",
            Governs::Plant,
            |zone| Value::or_nothing(zone.unit.coil.sensible),
            |zone, to| {
                zone.unit.coil.sensible = Some(to.number()?);
                Some(())
            },
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    DRY_SENSIBLE_HEAT_RATIO = or(
        "unit.dry_sensible_heat_ratio",
        Kind::Number(ranges::SENSIBLE_HEAT_RATIO),
        "0.5",
        "The same in dry mode.",
    )
    .sets(
        zone_field!("Sensible heat ratio in dry", Governs::Plant, unit.coil.sensible_in_dry: number)
            .left(OF_THE_MACHINE)
            .tried(MEASURED),
    );
    UNIT_MODES = derived(
        "unit.modes",
        Kind::Words(MODES, 1),
        "all that the capacities allow: heat, cool, auto, dry, fan",
        "What the unit can do, in the order in which its mode key steps.",
    )
    .sets(
        Setting::of_zone("Modes of the unit", Governs::Keys, modes, |zone, to| {
            zone.controls.settings.modes = UnitModes::new(to.picks(&Mode::ALL, Mode::name)?)?;
            Some(())
        })
        .left(OF_THE_MACHINE)
        .tried(Trial::By(other_modes))
        .hidden(Hidden::Unless("the keys in force do not lead to this mode")),
    );
    MIN_ON = or("unit.min_on", Kind::Duration(ranges::TIMER), "0 min", "Least time that a call is served.")
        .sets(
            zone_field!("Least run", Governs::Calls, controls.thermostat.min_on: time)
                .line("Least run and rest")
                .left(OF_THE_MACHINE)
                .tried(Trial::Longer)
                .hidden(OTHER_TIMER),
        );
    MIN_OFF = derived(
        "unit.min_off",
        Kind::Duration(ranges::TIMER),
        "3 min, or 0 on an outdoor unit, which has its own",
        "Least time between two calls.",
    )
    .sets(
        zone_field!("Least rest", Governs::Calls, controls.thermostat.min_off: time)
            .line("Least run and rest")
            .left(OF_THE_MACHINE)
            .tried(Trial::Longer)
            .hidden(OTHER_TIMER),
    );
}

block! {
    /// Efficiency of a plant of the zone's own.
    COP = "cop", "Heat over electricity of a plant of the zone's own.";

    COP_HEATING = or("unit.cop.heating", Kind::Number(ranges::COP), "3.2", "When heating.").sets(
        Setting::of_zone("COP when heating", Governs::Plant, |zone| cop(zone, Direction::Heating), |zone, to| {
            set_cop(zone, Direction::Heating, to)
        })
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    COP_COOLING = or("unit.cop.cooling", Kind::Number(ranges::COP), "3.4", "When cooling.").sets(
        Setting::of_zone("COP when cooling", Governs::Plant, |zone| cop(zone, Direction::Cooling), |zone, to| {
            set_cop(zone, Direction::Cooling, to)
        })
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
}
