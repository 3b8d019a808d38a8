//! Settings that would have helped, each simulated.

use super::{CauseFound, Felt};
use crate::control::{ModePolicy, OnConflict};
use crate::direction::Direction;
use crate::engine::{Model, ZoneIndex};
use crate::scenario::{Override, Template};
use crate::settings::controls::{
    CHANGEOVER_DELAY, COOL_ABOVE, HEAT_BELOW, MIN_DEADBAND, MODE, ON_CONFLICT, OUTDOOR_LIMITS_KEY,
    POWER,
};
use crate::settings::group::MODE_POLICY;
use crate::settings::unit::MIN_OFF;
use crate::study::{Keep, simulate};
use crate::time::Instant;

/// A setting that would have helped.
#[derive(Clone, Debug, PartialEq)]
pub struct Remedy {
    /// The way to it in the file,
    pub path: String,
    /// and its value.
    pub value: String,
    /// What it changes.
    pub differences: Differences,
}

/// What a setting changes: with it less without it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Differences {
    /// What is felt in the zone at the moment, operative, in the file's unit.
    pub temperature: f64,
    /// Degree-hours outside the comfort band, all zones.
    pub degree_hours: f64,
    /// Electricity, kWh.
    pub electricity_kwh: f64,
    /// Changeovers of the group.
    pub changeovers: f64,
    /// Hours starved, all zones.
    pub starved_hours: f64,
}

/// So many are told.
const MOST: usize = 3;
/// Less relief than this is none, K.
const LEAST: f64 = 0.2;

/// Settings that would have helped at a moment of the file's days, the most helpful first; and how
/// many were tried. Each is simulated over the file's days, as the file has them.
pub fn remedies(
    template: &Template,
    base: &Model,
    (zone, at): (ZoneIndex, Instant),
    felt: Felt,
    causes: &[CauseFound],
) -> (Vec<Remedy>, usize) {
    let without = outcome(base, zone, at);
    let mut tried = 0;
    let mut found = Vec::new();
    for (path, value) in causes.iter().flat_map(|cause| candidates(base, zone, felt, cause.code)) {
        let Ok(change) = Override::new(&path, &value) else { continue };
        // What the file refuses cannot help.
        let Ok(mut model) = template.model(&[change]) else { continue };
        model.seed = base.seed;
        tried += 1;
        let with = outcome(&model, zone, at);
        let differences = Differences {
            temperature: with.temperature - without.temperature,
            degree_hours: with.degree_hours - without.degree_hours,
            electricity_kwh: with.electricity_kwh - without.electricity_kwh,
            changeovers: with.changeovers - without.changeovers,
            starved_hours: with.starved_hours - without.starved_hours,
        };
        let relief = base.unit.difference_to_kelvin(differences.temperature) * felt.needs().sign();
        if relief >= LEAST {
            found.push((relief, Remedy { path, value, differences }));
        }
    }
    found.sort_by(|one, other| other.0.total_cmp(&one.0));
    found.dedup_by(|one, other| one.1.path == other.1.path);
    found.truncate(MOST);
    (found.into_iter().map(|(_, remedy)| remedy).collect(), tried)
}

/// The figures of a run.
fn outcome(model: &Model, zone: ZoneIndex, at: Instant) -> Differences {
    let finished = simulate(model, Keep::Day(at.day()));
    let own = finished.rows.iter().filter(|row| row.zone == zone);
    let then = own.take_while(|row| row.at <= at).last();
    let zones = &finished.summary.zones;
    Differences {
        temperature: then.map_or(0.0, |row| row.operative),
        degree_hours: zones.iter().map(|(_, it)| it.degree_hours_outside_band).sum(),
        electricity_kwh: finished.summary.energy.total_kwh,
        changeovers: finished.summary.group.changeovers as f64,
        starved_hours: zones.iter().map(|(_, it)| it.starved_hours).sum(),
    }
}

/// What might help against a cause: paths with values as a file has them.
fn candidates(model: &Model, zone: ZoneIndex, felt: Felt, code: &str) -> Vec<(String, String)> {
    let own = &model.zones[zone.get()];
    let controls = &own.controls;
    let settings = &controls.settings;
    let needs = felt.needs();
    let grid = settings.grid;
    let side = needs.side();
    let by = match needs {
        Direction::Heating => grid.step(),
        Direction::Cooling => -grid.step(),
    };
    let of = |path: &str, value: String| (format!("zones.{}.{path}", own.id), value);
    let setpoint = || {
        let stored = grid.value(controls.start.setpoints.get(side));
        let path = format!("controls.{}", side.name());
        [2.0, 4.0].map(|steps| of(&path, number(stored + steps * by))).to_vec()
    };
    match code {
        "power_off" => vec![of(POWER.path, "on".into())],
        "mode" => vec![of(MODE.path, "auto".into())],
        "unoccupied" | "recovery" => controls.setback.map_or_else(Vec::new, |setback| {
            let ticks = if needs == Direction::Heating { setback.heat } else { setback.cool };
            let half = grid.value(ticks) / 2.0;
            let path = format!("controls.setback.{}", side.name());
            vec![
                of(&path, number((half / grid.step()).floor() * grid.step())),
                of(&path, "0".into()),
            ]
        }),
        "setpoint" | "moved_by" => setpoint(),
        "limit" => {
            let range = settings.rules.written(side);
            let (low, high) = (grid.value(range.low), grid.value(range.high));
            let (low, high) = match needs {
                Direction::Heating => (low, high + 4.0 * by),
                Direction::Cooling => (low + 4.0 * by, high),
            };
            let path = format!("controls.limits.{}", side.name());
            vec![of(&path, format!("[{}, {}]", number(low), number(high)))]
        }
        "deadband" => vec![
            of(ON_CONFLICT.path, OnConflict::Push.name().into()),
            of(MIN_DEADBAND.path, number(grid.step())),
        ],
        "group_direction" => group(model, zone),
        "capacity" => {
            let watt = own.unit.rated(needs) / f64::from(own.unit.count);
            let path = format!("unit.{}", needs.name());
            [1.3, 1.6].map(|times| of(&path, format!("{:.0} W", watt * times))).to_vec()
        }
        "rest" => vec![of(MIN_OFF.path, "0 min".into()), of(CHANGEOVER_DELAY.path, "0 min".into())],
        "sensor" => vec![
            of("controls.sensor.offset", "0".into()),
            of("controls.sensor.place", "room".into()),
        ],
        "outdoor_limit" => {
            let limits = controls.outdoor_limits;
            let changed = match needs {
                Direction::Heating => {
                    limits.heat_below.map(|limit| (HEAT_BELOW.name, limit + 10.0 * by))
                }
                Direction::Cooling => {
                    limits.cool_above.map(|limit| (COOL_ABOVE.name, limit + 10.0 * by))
                }
            };
            let entry = changed.map(|(key, limit)| {
                of(&format!("{}.{key}", OUTDOOR_LIMITS_KEY.path), number(limit))
            });
            entry.into_iter().collect()
        }
        _ => Vec::new(),
    }
}

/// Other policies of the outdoor unit, and the zone itself as owner.
fn group(model: &Model, zone: ZoneIndex) -> Vec<(String, String)> {
    let Some(unit) = model.outdoor_units.iter().find(|unit| unit.zones.contains(&zone)) else {
        return Vec::new();
    };
    let start = if model.outdoor_units.len() == 1 {
        "outdoor_unit".to_owned()
    } else {
        format!("outdoor_units.{}", unit.id)
    };
    let policy =
        |policy: ModePolicy| (format!("{start}.{}", MODE_POLICY.name), policy.name().to_owned());
    vec![
        (format!("{start}.owner"), model.zones[zone.get()].id.clone()),
        policy(ModePolicy::LargestError),
        policy(ModePolicy::Majority),
    ]
}

fn number(value: f64) -> String {
    format!("{}", libm::round(value * 1000.0) / 1000.0)
}
