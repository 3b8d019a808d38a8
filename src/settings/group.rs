//! The settings of an outdoor unit and of how its zones share it.

mod limits;

pub(crate) use limits::*;

use super::access::sharing::{
    backup, defrost, outdoor, owner, points, set_outdoor, set_owner, share, shared, unit_at,
};
use super::controls::DIRECTIONS;
use super::key::{block, derived, optional, or, required};
use super::setting::{Control, Governs, Hidden, Section, Setting, Trial};
use super::{Kind, Value, ranges};
use crate::control::{Direction, ModePolicy, OwnerOff, Sharing, policy_words};
use crate::units::Dimension;

/// Who decides the direction of a group.
pub(crate) const MODE_POLICIES: &[&str] = &[
    ModePolicy::Owner.name(),
    ModePolicy::FirstCall.name(),
    ModePolicy::Majority.name(),
    ModePolicy::LargestError.name(),
];
/// What a group does when its owner is switched off.
const OWNER_OFFS: &[&str] = &[OwnerOff::Hold.name(), OwnerOff::Stop.name()];

const OUTDOOR: Kind = Kind::Temperature(ranges::OUTDOOR);
const COP: Kind = Kind::Number(ranges::COP);
const LOSS: Kind = Kind::Number(ranges::LOSS_FACTOR);

const OF_THE_MACHINE: &str = "it is a property of the machine, and stands in the file";
const MEASURED: Trial =
    Trial::None("no display shows what a machine gives or takes: that is measured at the machine");
const BY_WEATHER: Trial =
    Trial::None("it needs the outdoor air on its other side: a test for another day");
const ONE_BY_ONE: Hidden =
    Hidden::Always("zones are tested one at a time, so that they want nothing of each other");

block! {
    /// An outdoor unit and how its zones share it.
    pub(crate) OUTDOOR_UNIT = "outdoor_unit", "An outdoor unit and how its zones share it.";

    LABEL = derived("label", Kind::Label, "its name", "What people call it.");
    ZONES = derived(
        "zones",
        Kind::ListOf(&Kind::Name),
        "all zones, for `outdoor_unit`",
        "The zones on it; `outdoor_units` needs them.",
    )
    .sets(
        Setting::of_group(
            "Zones on it",
            Governs::Plant,
            |model, group| {
                let ids = group.zones.iter().filter_map(|zone| model.zones.get(zone.get()));
                Value::words(ids.map(|zone| zone.id.as_str()))
            },
            |_, _, _| None,
        )
        .left("it is how the pipes run, and stands in the file")
        .tried(Trial::None("it is seen at the pipes")),
    );
    SIMULTANEOUS =
        or("simultaneous", Kind::YesNo, "false", "Whether it heats and cools at the same time.").sets(
            Setting::of_group(
                "Heats and cools at the same time",
                Governs::Sharing,
                |_, group| Value::Flag(group.settings.sharing == Sharing::Simultaneous),
                |model, at, to| {
                    let sharing = to.flag()?.then_some(Sharing::Simultaneous)?;
                    let group = model.outdoor_units.get_mut(at)?;
                    (group.unit.simultaneous, group.settings.sharing) = (true, sharing);
                    Some(())
                },
            )
            .line("Who decides")
            .left(OF_THE_MACHINE)
            .tried(Trial::Others)
            .hidden(ONE_BY_ONE),
        );
    MODE_POLICY = or(
        "mode_policy",
        Kind::Word(MODE_POLICIES),
        "owner",
        "Who decides between heating and cooling: the unit can do one of them at a time.",
    )
    .sets(
        Setting::of_group(
            "Who decides",
            Governs::Sharing,
            |_, group| shared(group).map_or(Value::Nothing, |it| Value::word(it.policy.name())),
            |model, at, to| {
                let policy = to.pick(&ModePolicy::ALL, ModePolicy::name)?;
                share(model, at, |shared| {
                    shared.policy = policy;
                    Some(())
                })
            },
        )
        .asked(
            Section::Group,
            Control::Choice(&[
                (ModePolicy::Owner.name(), policy_words(ModePolicy::Owner)),
                (ModePolicy::FirstCall.name(), policy_words(ModePolicy::FirstCall)),
                (ModePolicy::Majority.name(), policy_words(ModePolicy::Majority)),
                (ModePolicy::LargestError.name(), policy_words(ModePolicy::LargestError)),
            ]),
        )
        .tried(Trial::Others)
        .hidden(ONE_BY_ONE),
    );
    OWNER = derived("owner", Kind::Name, "the first of its zones in the file", "The zone that decides.").sets(
        Setting::of_group("The zone that decides", Governs::Sharing, owner, set_owner)
            .line("Who decides")
            .asked(Section::Group, Control::Member)
            .tried(Trial::Members),
    );
    OWNER_OFF = or("owner_off", Kind::Word(OWNER_OFFS), "hold", "What follows when the owner is off.").sets(
        Setting::of_group(
            "With the owner switched off",
            Governs::Sharing,
            |_, group| shared(group).map_or(Value::Nothing, |it| Value::word(it.owner_off.name())),
            |model, at, to| {
                let off = to.pick(&OwnerOff::ALL, OwnerOff::name)?;
                share(model, at, |shared| {
                    shared.owner_off = off;
                    Some(())
                })
            },
        )
        .asked(
            Section::Group,
            Control::Choice(&[
                (OwnerOff::Hold.name(), OwnerOff::Hold.words()),
                (OwnerOff::Stop.name(), OwnerOff::Stop.words()),
            ]),
        )
        .tried(Trial::Others),
    );
    DIRECTION = or(
        "direction",
        Kind::Word(DIRECTIONS),
        "heating",
        "Its direction before the first step, where no owner gives one.",
    )
    .sets(
        Setting::of_group(
            "First direction",
            Governs::Start,
            |_, group| Value::word(group.direction.name()),
            |model, at, to| {
                let direction = to.pick(&Direction::BOTH, Direction::name)?;
                model.outdoor_units.get_mut(at)?.direction = direction;
                Some(())
            },
        )
        .left("it matters until the first call alone, and stands in the file")
        .tried(Trial::None("the keys turn the unit before it shows")),
    );
    LIMITS_KEY = optional(
        "outdoor_limits",
        Kind::Block(UNIT_LIMITS),
        "Outdoor temperatures beyond which none of its zones may heat or cool.",
    );
    HEATING = optional(
        "heating",
        Kind::ListOf(&Kind::Block(POINT)),
        "Heating capacity and COP against outdoor temperature.",
    )
    .sets(
        Setting::of_group(
            "Heating capacity",
            Governs::Plant,
            |model, group| points(group.unit.heating.as_ref(), model.unit),
            |_, _, _| None,
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    COOLING = optional(
        "cooling",
        Kind::ListOf(&Kind::Block(POINT)),
        "Cooling capacity and COP against outdoor temperature.",
    )
    .sets(
        Setting::of_group(
            "Cooling capacity",
            Governs::Plant,
            |model, group| points(group.unit.cooling.as_ref(), model.unit),
            |_, _, _| None,
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    PART_LOAD_KEY = optional(
        "part_load",
        Kind::ListOf(&Kind::Block(PART_LOAD)),
        "Factor on the COP against the load ratio; 1 without it.",
    )
    .sets(
        Setting::of_group(
            "Efficiency at part load",
            Governs::Plant,
            |_, group| {
                let Some(table) = &group.unit.part_load else { return Value::Nothing };
                let pair = |(load, factor): &(f64, f64)| format!("{factor} at {load}");
                Value::Word(table.pairs().iter().map(pair).collect::<Vec<_>>().join("; "))
            },
            |_, _, _| None,
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    LOWEST_OUTPUT = or(
        "lowest_output",
        Kind::Number(ranges::LOWEST_OUTPUT),
        "0.15",
        "Lowest steady output as a part of the capacity; below it the compressor cycles.",
    )
    .sets(
        Setting::of_group(
            "Lowest output",
            Governs::Plant,
            |_, group| Value::Number(group.unit.lowest_output),
            |model, at, to| {
                unit_at(model, at)?.lowest_output = to.number()?;
                Some(())
            },
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    STANDBY =
        or("standby", Kind::Size(Dimension::Power, ranges::STANDBY), "0 W", "Power that is drawn always.").sets(
            Setting::of_group(
                "Standby power",
                Governs::Plant,
                |_, group| Value::Number(group.unit.standby),
                |model, at, to| {
                    unit_at(model, at)?.standby = to.number()?;
                    Some(())
                },
            )
            .left(OF_THE_MACHINE)
            .tried(MEASURED),
        );
    REVERSAL_TIME = or(
        "reversal_time",
        Kind::Duration(ranges::TIMER),
        "3 min",
        "How long a change of direction delivers nothing.",
    )
    .sets(
        Setting::of_group(
            "Time to reverse",
            Governs::Plant,
            |_, group| Value::Time(group.unit.reversal_time),
            |model, at, to| {
                unit_at(model, at)?.reversal_time = to.time()?;
                Some(())
            },
        )
        .left(OF_THE_MACHINE)
        .tried(MEASURED),
    );
    MIN_OFF = or("min_off", Kind::Duration(ranges::TIMER), "3 min", "Shortest rest of the compressor.").sets(
        Setting::of_group(
            "Least rest of the compressor",
            Governs::Calls,
            |_, group| Value::Time(group.settings.min_off),
            |model, at, to| {
                let group = model.outdoor_units.get_mut(at)?;
                (group.unit.min_off, group.settings.min_off) = (to.time()?, to.time()?);
                Some(())
            },
        )
        .left(OF_THE_MACHINE)
        .tried(Trial::Longer)
        .hidden(Hidden::Unless("another timer is longer and hides it, or no press comes inside its time")),
    );
    CHANGEOVER_DELAY = or(
        "changeover_delay",
        Kind::Duration(ranges::TIMER),
        "10 min",
        "Least time to a change of direction, for the policies without an owner.",
    )
    .sets(
        Setting::of_group(
            "Changeover delay of the group",
            Governs::Sharing,
            |_, group| Value::or_nothing(shared(group).map(|it| it.delay)),
            |model, at, to| {
                let delay = to.time()?;
                share(model, at, |shared| {
                    shared.delay = delay;
                    Some(())
                })
            },
        )
        .asked(Section::Group, Control::Minutes(240.0))
        .tried(Trial::Longer)
        .hidden(ONE_BY_ONE),
    );
    HEATING_LOCKOUT =
        optional("heating_lockout", OUTDOOR, "It does not heat below this outdoor temperature.").sets(
            Setting::of_group(
                "No heating below",
                Governs::Plant,
                |model, group| outdoor(model.unit, group.unit.heating_lockout),
                |model, at, to| {
                    let unit = model.unit;
                    set_outdoor(&mut unit_at(model, at)?.heating_lockout, unit, to)
                },
            )
            .left(OF_THE_MACHINE)
            .tried(BY_WEATHER),
        );
    COOLING_LOCKOUT =
        optional("cooling_lockout", OUTDOOR, "It does not cool above this outdoor temperature.").sets(
            Setting::of_group(
                "No cooling above",
                Governs::Plant,
                |model, group| outdoor(model.unit, group.unit.cooling_lockout),
                |model, at, to| {
                    let unit = model.unit;
                    set_outdoor(&mut unit_at(model, at)?.cooling_lockout, unit, to)
                },
            )
            .left(OF_THE_MACHINE)
            .tried(BY_WEATHER),
        );
    DEFROST_KEY = optional("defrost", Kind::Block(DEFROST), "What defrosting takes.").sets(
        Setting::of_group("Defrosting", Governs::Plant, defrost, |_, _, _| None)
            .left(OF_THE_MACHINE)
            .tried(BY_WEATHER),
    );
    BACKUP_KEY = optional("backup", Kind::Block(BACKUP), "Electric heat that helps out.").sets(
        Setting::of_group("Backup heat", Governs::Plant, backup, |_, _, _| None)
            .left(OF_THE_MACHINE)
            .tried(BY_WEATHER),
    );
}

block! {
    /// A point of a table.
    POINT = "capacity_point", "Capacity and COP at an outdoor temperature; points in rising order.";

    POINT_OUTDOOR = required("outdoor", OUTDOOR, "Outdoor temperature.");
    POINT_CAPACITY = required(
        "capacity",
        Kind::Size(Dimension::Power, ranges::OUTDOOR_CAPACITY),
        "Capacity at full load.",
    );
    POINT_COP = required("cop", COP, "COP at full load.");
}

block! {
    /// A point of the part-load table.
    PART_LOAD = "part_load_point", "A factor on the COP at a load ratio; points in rising order.";

    LOAD = required("load", Kind::Number(ranges::LOAD), "Load ratio, 0 to 1.");
    LOAD_COP = required("cop", Kind::Number(ranges::PART_LOAD_FACTOR), "Factor on the COP.");
}

block! {
    /// What defrosting takes.
    DEFROST = "defrost",
    "Defrosting in spells (below, above, every, lasts), or as a share that it takes in a band of \
     outdoor temperature (from, to, capacity, cop).";

    DEFROST_BELOW = optional("below", OUTDOOR, "Spells come below this outdoor temperature; 5 C.");
    DEFROST_ABOVE = optional("above", OUTDOOR, "And above this one; -10 C.");
    DEFROST_EVERY =
        or("every", Kind::Duration(ranges::TIMER), "60 min", "After so much heating in between.");
    DEFROST_LASTS = or("lasts", Kind::Duration(ranges::TIMER), "4 min", "How long a spell lasts.");
    DEFROST_FROM = optional(
        "from",
        Kind::Either(&[OUTDOOR, Kind::Word(&["store"])]),
        "`store`: a spell's heat comes from a store and not from the rooms. A temperature: lower end \
         of the band.",
    );
    DEFROST_TO = optional("to", OUTDOOR, "Upper end of the band.");
    DEFROST_CAPACITY = optional("capacity", LOSS, "Factor on the heating capacity in the band.");
    DEFROST_COP = optional("cop", LOSS, "Factor on the heating COP in the band.");
}

block! {
    /// Electric heat that helps out.
    BACKUP = "backup",
    "Electric heat that helps out: below a temperature, after a shortfall, or both.";

    BACKUP_CAPACITY = required("capacity", Kind::Size(Dimension::Power, ranges::CAPACITY), "Its capacity.");
    BACKUP_BELOW = optional("allowed_below", OUTDOOR, "It may help below this outdoor temperature.");
    BACKUP_AFTER = optional(
        "after",
        Kind::Duration(ranges::TIMER),
        "It may help after the heat pump has fallen short for so long.",
    );
}
