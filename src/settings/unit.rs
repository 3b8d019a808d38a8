//! The settings of the indoor units on a zone's controllers.

use super::access::{unit, zone_field};
use super::controls::MODES;
use super::key::{block, derived, optional, or, or_by_unit};
use super::setting::{Control, Ends, Governs, Hidden, Section, Setting, Trial, zone_of};
use super::{Kind, Value, ranges};
use crate::control::{Mode, UnitModes};
use crate::direction::Direction;
use crate::plant::UnitControl;
use crate::time::Seconds;
use crate::units::Dimension;

pub(crate) use super::access::unit::{IDEAL, MODULATING, STAGED, fan_run_of};
pub(crate) use super::machine::{
    COP, COP_COOLING, COP_HEATING, COP_POINT_COP, COP_POINT_OUTDOOR, SAMPLE, SAMPLE_EVERY,
    SAMPLE_FOR,
};

/// How the output follows the call.
pub(crate) const CONTROLS_OF_UNITS: &[&str] = &[MODULATING, STAGED, IDEAL];
/// When the fan runs besides.
const FAN_RUNS: &[&str] = &[unit::AUTO, unit::CONTINUOUS, unit::LOW, unit::WITH_CALL];

/// The line of the record that tells the unit in a few words.
const LINE: &str = "Indoor unit";
/// Where a first integral time begins on a form (our choice).
const FIRST_INTEGRAL: Seconds = Seconds::minutes(30);
/// Differences between stages that a form offers.
const STAGE_STEPS: Ends = [[0.0, 3.0], [0.0, 6.0]];
const OF_THE_MACHINE: &str = "it is a property of the machine, and stands in the file";
const MEASURED: Trial =
    Trial::None("no display shows what a machine gives or takes: that is measured at the machine");
const OTHER_TIMER: Hidden =
    Hidden::Unless("another timer is longer and hides it, or no press comes inside its time");

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
        Setting::of_zone("Heating capacity", Governs::Plant, |zone| unit::rated(zone, Direction::Heating), |zone, to| {
            unit::set_rated(zone, Direction::Heating, to)
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
        Setting::of_zone("Cooling capacity", Governs::Plant, |zone| unit::rated(zone, Direction::Cooling), |zone, to| {
            unit::set_rated(zone, Direction::Cooling, to)
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
    FAN_RUN = or(
        "unit.fan_run",
        Kind::Either(&[Kind::Word(FAN_RUNS), Kind::Block(SAMPLE)]),
        "auto",
        "When the fan runs between calls with the power on: auto (never; with_call is the same), \
         continuous, low (at low_power), or from time to time, as in {sample: 10 min, for: 1 min}. \
         Return air is warmer than the room only while it runs.",
    )
    .sets(
        Setting::of_zone("Fan between calls", Governs::Plant, unit::fan_run, unit::set_fan_run)
            .left(OF_THE_MACHINE)
            .tried(Trial::None("the running light tells calls, not the fan: listen for it")),
    );
    LOW_POWER = or(
        "unit.low_power",
        Kind::Number(ranges::LOW_POWER),
        "0.25",
        "Power of the fan at low speed, as a part of its power.",
    )
    .sets(
        Setting::of_zone("Fan at low speed", Governs::Plant, unit::low_power, unit::set_low_power)
            .left(OF_THE_MACHINE)
            .tried(MEASURED),
    );
    COP_KEY = optional("cop", Kind::Block(COP), "Efficiency, used only without an outdoor unit block.");
    CONTROL = or(
        "unit.control",
        Kind::Word(CONTROLS_OF_UNITS),
        "modulating",
        "How the output follows the call.",
    )
    .sets(
        Setting::of_zone("Control of the output", Governs::Plant, unit::control, |_, _| None)
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
        Setting::of_zone("Turndown", Governs::Plant, unit::turndown, |zone, to| {
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
        Setting::of_zone("Throttling range", Governs::Plant, unit::throttling_range, |zone, to| {
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
        Setting::of_zone("Integral time", Governs::Plant, unit::integral_time, |zone, to| {
            let UnitControl::Modulating { integral_time, .. } = &mut zone.unit.control else {
                return None;
            };
            *integral_time = match to {
                Value::Nothing => None,
                value => Some(value.time()?.get() as f64),
            };
            Some(())
        })
        .asked(
            Section::Calls,
            Control::Optional(&Control::Minutes(240.0), |model, subject| {
                let modulating =
                    matches!(zone_of(model, subject)?.unit.control, UnitControl::Modulating { .. });
                modulating.then_some(Value::Time(FIRST_INTEGRAL))
            }),
        )
        .tried(MEASURED),
    );
    STAGES = derived(
        "unit.stages",
        Kind::ListOf(&Kind::Number(ranges::STAGE)),
        "one, at full capacity",
        "The stages of a staged unit as parts of its capacity, rising; the last is 1.",
    )
    .sets(
        Setting::of_zone("Stages", Governs::Plant, |zone| unit::parts(zone, |it| Some(it.shares())), |_, _| None)
            .line(LINE)
            .asked(
                Section::Calls,
                Control::Optional(&Control::Listed(unit::shares), |model, subject| {
                    let staged =
                        matches!(zone_of(model, subject)?.unit.control, UnitControl::Staged { .. });
                    staged.then(|| Value::words(["0.5", "1"]))
                }),
            )
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
            |zone| Value::or_nothing(unit::several_stages(zone).map(|it| it.step())),
            |zone, to| {
                unit::several_stages(zone)?;
                let UnitControl::Staged { stages, .. } = &mut zone.unit.control else { return None };
                *stages = stages.apart(to.number()?);
                Some(())
            },
        )
        .asked(Section::Calls, Control::Fine(STAGE_STEPS))
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
            |zone| unit::parts(zone, |it| (it.powers() != it.shares()).then(|| it.powers())),
            |_, _| None,
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    CYCLING_TIME_CONSTANT = or(
        "unit.cycling_time_constant",
        Kind::Size(Dimension::Duration, ranges::TIMER),
        "76 s",
        "How slowly the delivered capacity rises after a start, at full electric power.",
    )
    .sets(
        Setting::of_zone("Time constant of the output", Governs::Plant, unit::time_constant, |zone, to| {
            zone.unit.start_up.time_constant = to.number()?;
            (zone.unit.control != UnitControl::Ideal).then_some(())
        })
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    REACH_LOWEST = or(
        "unit.reach_lowest",
        Kind::Duration(ranges::TIMER),
        "0 min",
        "How long a modulating unit takes from its start, at full output, down to its turndown.",
    )
    .sets(
        Setting::of_zone("Time to the turndown", Governs::Plant, unit::reach_lowest, |zone, to| {
            zone.unit.start_up.reach_lowest = to.time()?;
            matches!(zone.unit.control, UnitControl::Modulating { .. }).then_some(())
        })
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    OWN_REVERSAL_TIME = or(
        "unit.reversal_time",
        Kind::Duration(ranges::TIMER),
        "3 min",
        "How long a change of direction delivers nothing, without an outdoor unit block.",
    )
    .sets(
        zone_field!("Time to reverse", Governs::Plant, unit.reversal_time: time)
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
        Setting::of_zone("Modes of the unit", Governs::Keys, unit::modes, |zone, to| {
            zone.controls.settings.modes = UnitModes::new(to.picks(&Mode::ALL, Mode::name)?)?;
            Some(())
        })
        .left(OF_THE_MACHINE)
        .tried(Trial::By(unit::other_modes))
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
