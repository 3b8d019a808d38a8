//! The figures of a run, in the order of the table that measures them.

use super::{Class, Entry};
use crate::measures::{FIGURES, Figure, FigureUnit};

/// Key, what it says, and the shipped scenario where it is not nought.
const TOLD: &[(&str, &str, Option<&str>)] = &[
    (
        "heating_kwh",
        "Electricity that compressors took while they heated.",
        Some("scenarios/reading_room.yaml"),
    ),
    (
        "cooling_kwh",
        "Electricity that compressors took while they cooled.",
        Some("scenarios/reading_room.yaml"),
    ),
    ("fan_kwh", "Electricity of the units' fans.", Some("scenarios/reading_room.yaml")),
    ("backup_kwh", "Electricity of backup heaters.", None),
    (
        "standby_kwh",
        "Electricity that outdoor units take whether or not they run.",
        Some("scenarios/weavers_yard_wrong_owner.yaml"),
    ),
    ("total_kwh", "Electricity of all uses together.", Some("scenarios/reading_room.yaml")),
    (
        "peak_kw",
        "Mean power over the quarter of an hour in which it was highest.",
        Some("scenarios/reading_room.yaml"),
    ),
    (
        "cost",
        "What the electricity costs by the file's tariff; none without a tariff.",
        Some("scenarios/house_rules.yaml"),
    ),
    (
        "carbon_kg",
        "Carbon dioxide of the electricity by the tariff's carbon intensity; none without one.",
        Some("scenarios/house_rules.yaml"),
    ),
    (
        "opposed_kwh",
        "Heat that was put into a zone and taken out again, or the reverse, within four hours: what a \
         wider deadband saves.",
        Some("scenarios/one_setpoint.yaml"),
    ),
    (
        "changeovers",
        "How often the plant went over from heating to cooling or back.",
        Some("scenarios/one_setpoint.yaml"),
    ),
    ("unit_starts", "How many calls began, of all zones.", Some("scenarios/one_setpoint.yaml")),
    (
        "starved_hours",
        "Hours in which a zone needed the direction that its plant did not have, summed over zones.",
        Some("scenarios/weavers_yard_wrong_owner.yaml"),
    ),
    (
        "mixed_demand_hours",
        "Hours in which one zone of a group needed heating and another cooling.",
        Some("scenarios/weavers_yard_better_owner.yaml"),
    ),
    (
        "hours_inside_band",
        "Occupied hours with the operative temperature inside the comfort band, summed over zones.",
        Some("scenarios/reading_room.yaml"),
    ),
    (
        "hours_outside_band",
        "Occupied hours with the operative temperature outside the comfort band, summed over zones.",
        Some("scenarios/late_setback.yaml"),
    ),
    (
        "degree_hours_outside_band",
        "The same, each hour weighted by how far outside.",
        Some("scenarios/late_setback.yaml"),
    ),
    (
        "ppd_percent",
        "Predicted percentage dissatisfied (ISO 7730:2005) while somebody was there, zones weighted \
         by their occupied hours.",
        Some("scenarios/reading_room.yaml"),
    ),
    (
        "humid_hours",
        "Hours with the air of a zone above 60 % relative humidity; none unless the water in the air \
         is followed.",
        Some("scenarios/muggy_workroom.yaml"),
    ),
    (
        "water_removed_kg",
        "Water that cooling took out of the air; none unless the water in the air is followed.",
        Some("scenarios/muggy_workroom.yaml"),
    ),
    (
        "discomfort_hours",
        "Hours in which the file's people were too cold or too warm for themselves; none without \
         people.",
        Some("scenarios/two_tastes.yaml"),
    ),
    (
        "complaints",
        "How often the file's people complained: a figure of the model of occupants.",
        Some("scenarios/two_tastes.yaml"),
    ),
    (
        "gave_up",
        "How often people gave up pressing: a figure of the model of occupants.",
        Some("scenarios/two_tastes.yaml"),
    ),
    ("accepted", "Requests that were done as asked.", Some("scenarios/reading_room.yaml")),
    (
        "pushed",
        "Requests that were done as asked and moved the other setpoint.",
        Some("scenarios/reading_room.yaml"),
    ),
    (
        "limited",
        "Requests that were held at a limit or at the deadband.",
        Some("scenarios/reading_room.yaml"),
    ),
    (
        "refused",
        "Requests that a lock, a locked mode or an owner stood against.",
        Some("scenarios/locked_heat.yaml"),
    ),
    ("no_effect", "Requests whose key did nothing in the state of the zone.", None),
];

pub(super) fn entries() -> Vec<Entry> {
    FIGURES.iter().map(entry).collect()
}

fn entry(figure: &Figure) -> Entry {
    let told = TOLD.iter().find(|(key, ..)| *key == figure.key);
    let (what, shown) = told.map_or(("", None), |(_, what, shown)| (*what, *shown));
    let mut entry = Entry::new(Class::Figure, figure.key, what)
        .fact("called", figure.words)
        .fact("unit", unit(figure.unit));
    entry.shown_in = shown.map(|file| (file, None));
    entry
}

const fn unit(unit: FigureUnit) -> &'static str {
    match unit {
        FigureUnit::Energy => "kWh",
        FigureUnit::Power => "kW",
        FigureUnit::Money => "the tariff's currency",
        FigureUnit::Mass => "kg",
        FigureUnit::Hours => "h",
        FigureUnit::DegreeHours => "degrees of the file's unit times hours",
        FigureUnit::Count => "a count",
        FigureUnit::Percent => "%",
    }
}
