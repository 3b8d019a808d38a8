//! The defaults whose values changed since the first edition of the physics, beside what they were,
//! and whether they count for a file.

use serde_json::{Value, json};

use super::content::{Cell, Column, Quantity, Table};
use super::render::fit::hang;
use super::render::text::{self, Style};
use crate::control::SensorPlace;
use crate::direction::Direction;
use crate::engine::{Model, Zone, ZoneIndex};
use crate::plant::{Cop, FanRun, IndoorUnit, UnitControl};
use crate::settings::{controls, group, unit};
use crate::time::Seconds;

/// A default that is no longer what it was.
struct Changed {
    /// The key, or what it is about where no key goes back.
    key: &'static str,
    now: &'static str,
    before: &'static str,
    why: &'static str,
    /// Whether it makes a difference to a model.
    counts: fn(&Model) -> bool,
}

fn has_sun(model: &Model) -> bool {
    let sunny = |zone: &Zone| zone.windows.iter().any(|it| it.aperture() > 0.0);
    model.site.is_some() && model.zones.iter().any(sunny)
}

fn has_rest(model: &Model) -> bool {
    model.zones.iter().any(|zone| zone.comfort.met < 1.0)
}

fn follows_water(model: &Model) -> bool {
    model.humidity.is_followed()
}

/// The units of zones with plants of their own.
fn own_plants(model: &Model) -> impl Iterator<Item = &IndoorUnit> {
    let shared = |at: usize| {
        let zone = ZoneIndex::new(at);
        model.outdoor_units.iter().any(|group| group.zones.contains(&zone))
    };
    let zones = model.zones.iter().enumerate();
    zones.filter(move |(at, _)| !shared(*at)).map(|(_, zone)| &zone.unit)
}

fn has_usual_cop(unit: &IndoorUnit, direction: Direction) -> bool {
    unit.capacity(direction).is_some_and(|it| it.cop == Cop::usual(direction))
}

fn reverses(unit: &IndoorUnit) -> bool {
    let both = unit.heating.is_some() && unit.cooling.is_some();
    both && unit.reversal_time > Seconds::ZERO && unit.control != UnitControl::Ideal
}

fn rises(zone: &Zone) -> bool {
    let modulating = matches!(zone.unit.control, UnitControl::Modulating { .. });
    modulating && zone.unit.start_up.time_constant > 0.0
}

fn draws_return_air(zone: &Zone) -> bool {
    let in_return_air = matches!(zone.controls.sensor.place, SensorPlace::ReturnAir { .. });
    in_return_air && zone.unit.fan_run != FanRun::Auto
}

fn lags_as_usual(zone: &Zone) -> bool {
    let usual = match zone.controls.sensor.place {
        SensorPlace::ReturnAir { .. } => Seconds::minutes(1),
        SensorPlace::Room | SensorPlace::Controllers { .. } => Seconds::minutes(6),
    };
    zone.controls.sensor.lag == usual
}

/// Whether schedules meet other days or hours than by the calendar alone.
fn has_odd_days(model: &Model) -> bool {
    let period = &model.period;
    let holidays = (0..period.days()).any(|day| period.is_holiday(day));
    !model.people.is_empty() && (holidays || period.has_daylight_saving())
}

fn starts_early(model: &Model) -> bool {
    model.zones.iter().any(|zone| zone.controls.optimum_start.is_some())
}

fn is_simultaneous(model: &Model) -> bool {
    model.outdoor_units.iter().any(|group| group.unit.simultaneous)
}

/// What changed, in the order of the file's keys.
const CHANGED: &[Changed] = &[
    Changed {
        key: "weather.sky",
        now: "anisotropic",
        before: "isotropic",
        why: "the sky is brighter round the sun and near the horizon (Perez and others 1990)",
        counts: has_sun,
    },
    Changed {
        key: "zones.*.space.windows.frame",
        now: "0.2",
        before: "0",
        why: "a fifth of a usual window is frame, which lets no sun in",
        counts: has_sun,
    },
    Changed {
        key: "zones.*.space.windows.incidence_angle_modifier",
        now: "true",
        before: "false",
        why: "less passes at a slant (Souka and Safwat 1966)",
        counts: has_sun,
    },
    Changed {
        key: unit::COP_HEATING.path,
        now: "2.25 at -8.3 C, 3.3 at 8.3 C",
        before: "3.2",
        why: "heat pumps do worse the colder it is (minimum efficiencies of ANSI/ASHRAE/IES 90.1, from \
              memory)",
        counts: |model| own_plants(model).any(|unit| has_usual_cop(unit, Direction::Heating)),
    },
    Changed {
        key: unit::COP_COOLING.path,
        now: "3.2 at 35 C, after Carnot",
        before: "3.4",
        why: "and cool better the milder it is (common practice, no source)",
        counts: |model| own_plants(model).any(|unit| has_usual_cop(unit, Direction::Cooling)),
    },
    Changed {
        key: unit::OWN_REVERSAL_TIME.path,
        now: "3 min",
        before: "0 min",
        why: "a plant of a zone's own reverses like any other; a narrow deadband costs that each time",
        counts: |model| own_plants(model).any(reverses),
    },
    Changed {
        key: unit::CYCLING_TIME_CONSTANT.path,
        now: "76 s",
        before: "76 s when staged, 0 s when modulating",
        why: "a modulating unit starts no faster (Henderson and Rengarajan 1996)",
        counts: |model| model.zones.iter().any(rises),
    },
    Changed {
        key: "return air between calls",
        now: "warmer while the fan runs",
        before: "as the room",
        why: "a fan between calls draws air past the sensor; no key goes back",
        counts: |model| model.zones.iter().any(draws_return_air),
    },
    Changed {
        key: group::LOWEST_OUTPUT.path,
        now: "0.15",
        before: "0",
        why: "compressors cannot run as slowly as one likes; below they run in bursts",
        counts: |model| model.outdoor_units.iter().any(|group| group.unit.lowest_output == 0.15),
    },
    Changed {
        key: controls::SENSOR_LAG.path,
        now: "6 min, 1 min in return air",
        before: "0 min",
        why: "a sensor on a wall follows the air slowly (common practice, no source)",
        counts: |model| model.zones.iter().any(lags_as_usual),
    },
    Changed {
        key: unit::SENSIBLE_HEAT_RATIO.path,
        now: "by coil and air",
        before: "0.75",
        why: "air leaves on the line to saturation at the coil, `coil: 10` C",
        counts: follows_water,
    },
    Changed {
        key: "compressor power when cooling",
        now: "sensible and latent heat",
        before: "sensible heat",
        why: "drying air takes work, too; no key goes back",
        counts: follows_water,
    },
    Changed {
        key: "a simultaneous outdoor unit",
        now: "neither side is cut",
        before: "the side that needs less work was",
        why: "what one side cannot take goes outdoors or comes from there; no key goes back",
        counts: is_simultaneous,
    },
    Changed {
        key: "predicted mean vote below 1 met",
        now: "no sweat below rest",
        before: "less than none",
        why: "ISO 7730:2005 has a floor of zero; no key goes back",
        counts: has_rest,
    },
    Changed {
        key: "people on holidays and under daylight saving",
        now: "by the clocks, holidays as Sundays",
        before: "by standard time, holidays as any day",
        why: "people come and go as schedules do; no key goes back",
        counts: has_odd_days,
    },
    Changed {
        key: "the end of an optimum start's recovery",
        now: "within call_start of the setpoint",
        before: "at the setpoint",
        why: "proportional output never brings a room further; no key goes back",
        counts: starts_early,
    },
];

/// The table for people.
pub fn defaults_text(model: &Model, style: Style) -> String {
    let words = |head| Column::new(head, Quantity::Words);
    let mut table = Table::new(vec![
        words("setting left out"),
        words("now"),
        words("first edition"),
        words("counts here"),
    ]);
    for changed in CHANGED {
        let counts = if (changed.counts)(model) { "yes" } else { "no" };
        table.row([changed.key, changed.now, changed.before, counts].map(Cell::from));
    }
    let mut out = String::new();
    text::strong(&mut out, style, "Defaults that changed since the first edition");
    out.push_str(&text::table(&table, style));
    out.push('\n');
    for changed in CHANGED {
        out.push_str(&hang("  ", &format!("{}: {}.", changed.key, changed.why), style.width));
    }
    out.push('\n');
    let note = "A file reads as it did. What a default was can be had again by writing it. `setband \
                schema` has every key with the default in force.";
    out.push_str(&hang("", note, style.width));
    out
}

/// The table for programs.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn defaults_json(model: &Model) -> Result<String, serde_json::Error> {
    let row = |changed: &Changed| {
        json!({
            "setting": changed.key,
            "now": changed.now,
            "first_edition": changed.before,
            "why": changed.why,
            "counts_here": (changed.counts)(model),
        })
    };
    let rows: Vec<Value> = CHANGED.iter().map(row).collect();
    let mut text = serde_json::to_string_pretty(&json!({ "changed_defaults": rows }))?;
    text.push('\n');
    Ok(text)
}
