//! What a fitted zone changes in its file: paths with their values.

use serde_json::{Map, Value, json};

use super::electricity::Electricity;
use super::problem::{GainOf, Room, Size};
use super::thresholds::Threshold;
use crate::building::Gain;
use crate::direction::Direction;
use crate::engine::{Model, Zone};
use crate::scenario::is_written;
use crate::settings::controls::{CALL_START, CALL_STOP};
use crate::settings::unit::{COP_KEY, STAGE_POWER, STAGES};
use crate::time::{DaySet, Seconds, Weekday};

/// A value for a place in the file, with what to say of it there.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// Where, as a variant has it.
    pub path: String,
    /// The value.
    pub value: Value,
    /// A remark for the file.
    pub remark: String,
}

/// A fitted zone's numbers, or those of a draw.
#[derive(Clone, Debug, PartialEq)]
pub struct Numbers {
    /// Its sizes.
    pub room: Room,
    /// Its gains, with what each is.
    pub gains: Vec<(GainOf, f64)>,
    /// Power while running at the last stage, W.
    pub running: Option<f64>,
}

impl Numbers {
    /// A gain, if it was fitted.
    pub fn gain(&self, of: GainOf) -> Option<f64> {
        self.gains.iter().find(|it| it.0 == of).map(|it| it.1)
    }
}

/// What changes, apart from the numbers.
#[derive(Clone, Debug)]
pub(super) struct Form {
    /// Sizes that were fitted.
    pub sizes: Vec<Size>,
    /// Heat that is there by the hour besides what is always there, W: of people, and what the
    /// smoother found.
    pub by_hour: Option<[f64; 24]>,
    /// People who are there on average by the hour, and the part of it in which anybody is.
    pub people: [f64; 24],
    pub occupied: [f64; 24],
    pub electricity: Option<Electricity>,
    pub thresholds: Vec<Threshold>,
    /// Gains by entry that were fitted.
    pub entries: bool,
    /// The sensor's lag.
    pub lag: Seconds,
}

/// What is less than this does not count, W.
const NOTHING: f64 = 0.5;
/// Hours whose heat differs by less than this part go together.
const ALIKE: f64 = 0.03;

impl Form {
    /// Heat of each hour that no entry of the file has, W.
    pub(super) fn added(&self, numbers: &Numbers) -> [f64; 24] {
        let of = |gain: GainOf| numbers.gain(gain).unwrap_or(0.0);
        core::array::from_fn(|hour| {
            let own = self.by_hour.map_or(0.0, |it| it[hour]);
            let there =
                of(GainOf::Person) * self.people[hour] + of(GainOf::Occupied) * self.occupied[hour];
            (of(GainOf::Rest) + there + own).max(0.0)
        })
    }

    /// The zone's gains with these numbers.
    pub(super) fn gains(&self, zone: &Zone, numbers: &Numbers) -> Vec<Gain> {
        let mut gains: Vec<Gain> = zone
            .gains
            .iter()
            .enumerate()
            .map(|(place, gain)| {
                let power = numbers.gain(GainOf::Entry(place)).map_or(gain.power, |it| it.max(0.0));
                Gain { power, ..*gain }
            })
            .collect();
        gains.extend(spells(&self.added(numbers)).into_iter().filter_map(|(from, to, power)| {
            let when = crate::time::Span::new(clock(from)?, clock(to)?, DaySet::EVERY)?;
            Some(Gain { when, power, latent: 0.0 })
        }));
        gains
    }

    /// The changes, with remarks left open.
    pub(super) fn changes(
        &self,
        model: &Model,
        zone: usize,
        numbers: &Numbers,
        adds: bool,
    ) -> Vec<(String, Value)> {
        let zone = &model.zones[zone];
        let at = |rest: &str| format!("zones.{}.{rest}", zone.id);
        let input = zone.space.input();
        let space = numbers.room.space(&zone.space).map_or(*input, |it| *it.input());
        let mut changes = Vec::new();
        for size in &self.sizes {
            match size {
                Size::Loss => {
                    changes.push((at("space.opaque"), sized(space.opaque, "W/K")));
                    if input.infiltration > 0.0 {
                        changes.push((at("space.infiltration"), sized(space.infiltration, "/h")));
                    }
                }
                Size::Air => {
                    changes
                        .push((at("space.air_capacity"), sized(space.air_capacity / 1e3, "kJ/K")));
                }
                Size::Mass => {
                    changes.push((
                        at("space.mass_capacity"),
                        sized(space.mass_capacity / 1e3, "kJ/K"),
                    ));
                }
                Size::Coupling => {
                    changes.push((at("space.mass_area"), sized(space.mass_area, "m2")));
                }
            }
        }
        if adds {
            let gains: Vec<Value> = self.gains(zone, numbers).iter().map(written).collect();
            changes.push((at("gains"), Value::Array(gains)));
        } else if self.entries {
            for (of, power) in &numbers.gains {
                if let GainOf::Entry(place) = of {
                    changes
                        .push((at(&format!("gains[{place}].power")), sized(power.max(0.0), "W")));
                }
            }
        }
        if let Some(sun) = numbers.gain(GainOf::Sun) {
            for (place, window) in zone.windows.iter().enumerate() {
                if window.solar_factor > 0.0 {
                    let factor = (window.solar_factor * sun).clamp(0.0, 1.0);
                    changes
                        .push((at(&format!("space.windows[{place}].g")), json!(round(factor, 3))));
                }
            }
        }
        if self.lag != zone.controls.sensor.lag {
            changes.push((at("controls.sensor.lag"), json!(format!("{} s", self.lag.get()))));
        }
        self.of_unit(model, zone, numbers, &mut changes);
        changes
    }

    /// Where calls begin and end, in both directions: a file has one key for both, or a block.
    fn of_calls(&self, zone: &Zone, changes: &mut Vec<(String, Value)>) {
        let thermostat = &zone.controls.thermostat;
        for (begins, key, own) in [
            (true, CALL_START.name, thermostat.call_start),
            (false, CALL_STOP.name, thermostat.call_stop),
        ] {
            let of = |direction: Direction| {
                let fitted = self
                    .thresholds
                    .iter()
                    .find(|it| it.begins == begins && it.direction == direction);
                fitted.map_or(own.of(direction), |it| round(it.distance.value, 2).max(0.0))
            };
            if self.thresholds.iter().any(|it| it.begins == begins) {
                let [heating, cooling] = Direction::BOTH.map(of);
                let value = if heating == cooling {
                    json!(heating)
                } else {
                    json!({"heating": heating, "cooling": cooling})
                };
                changes.push((format!("zones.{}.controls.{key}", zone.id), value));
            }
        }
    }

    fn of_unit(
        &self,
        model: &Model,
        zone: &Zone,
        numbers: &Numbers,
        changes: &mut Vec<(String, Value)>,
    ) {
        let at = |rest: &str| format!("zones.{}.unit.{rest}", zone.id);
        let shares = stage_shares(zone, numbers);
        if numbers.gains.iter().any(|it| matches!(it.0, GainOf::Stage(_))) {
            changes.push((at(STAGES.name), rounded_list(&shares)));
        }
        self.of_calls(zone, changes);
        let Some(electricity) = &self.electricity else { return };
        let Some(capacity) = zone.unit.capacity(electricity.direction) else { return };
        if shares.len() > 1 {
            changes.push((at(STAGE_POWER.name), rounded_list(&electricity.stages)));
        }
        let scale =
            numbers.running.unwrap_or(electricity.running.value) / electricity.running.value;
        let points: Vec<(f64, f64)> = electricity
            .outdoors()
            .into_iter()
            .map(|outdoor| {
                let full = electricity.at(electricity.stages.len() - 1, outdoor) * scale;
                (outdoor, capacity.rated / full.max(1.0))
            })
            .collect();
        let cop = match &points[..] {
            [(_, cop)] => json!(round(*cop, 3)),
            _ => points
                .iter()
                .map(|(outdoor, cop)| {
                    let shown = round(model.unit.from_celsius(*outdoor), 1);
                    json!({"outdoor": shown, "cop": round(*cop, 3)})
                })
                .collect(),
        };
        let name = electricity.direction.name();
        changes.push((at(&format!("{}.{name}", COP_KEY.name)), cop));
    }
}

/// The parts of capacity that stages give.
pub(super) fn stage_shares(zone: &Zone, numbers: &Numbers) -> Vec<f64> {
    let crate::plant::UnitControl::Staged { stages } = zone.unit.control else { return vec![1.0] };
    let own = stages.shares();
    (0..own.len())
        .map(|stage| {
            let share = own[stage] * numbers.gain(GainOf::Stage(stage)).unwrap_or(1.0);
            if stage + 1 == own.len() { 1.0 } else { share.clamp(0.05, 0.98) }
        })
        .collect()
}

/// Hours of a day that are alike, from hour to hour, with their mean, where it is anything.
fn spells(hours: &[f64; 24]) -> Vec<(i64, i64, f64)> {
    let most = hours.iter().fold(0.0_f64, |most, it| most.max(it.abs()));
    let mut spells: Vec<(i64, i64, Vec<f64>)> = Vec::new();
    for (hour, power) in (0..24).zip(hours) {
        match spells.last_mut() {
            Some((_, to, all)) if (all[0] - power).abs() <= ALIKE * most => {
                *to = hour + 1;
                all.push(*power);
            }
            _ => spells.push((hour, hour + 1, vec![*power])),
        }
    }
    let mean = |all: &[f64]| all.iter().sum::<f64>() / all.len() as f64;
    let spells = spells.into_iter().map(|(from, to, all)| (from, to, mean(&all)));
    spells.filter(|it| it.2 > NOTHING).collect()
}

fn clock(hour: i64) -> Option<crate::time::ClockTime> {
    crate::time::ClockTime::parse(&format!("{hour:02}:00"))
}

fn round(value: f64, digits: i32) -> f64 {
    let scale = 10.0_f64.powi(digits);
    libm::round(value * scale) / scale
}

/// A number to four digits that count.
pub(super) fn to_four(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return 0.0;
    }
    let digits = 3.0 - libm::floor(libm::log10(value.abs()));
    #[expect(clippy::cast_possible_truncation, reason = "a number of digits")]
    let rounded = round(value, digits as i32);
    rounded
}

fn sized(value: f64, unit: &str) -> Value {
    json!(format!("{} {unit}", to_four(value)))
}

fn rounded_list(values: &[f64]) -> Value {
    values.iter().map(|value| json!(round(*value, 4))).collect()
}

/// An entry of a zone's gains as a file has it.
fn written(gain: &Gain) -> Value {
    let mut entry = Map::new();
    entry.insert("power".into(), sized(gain.power, "W"));
    if gain.latent > 0.0 {
        entry.insert("latent".into(), sized(gain.latent, "W"));
    }
    let when = gain.when;
    if when != crate::time::Span::ALWAYS {
        entry.insert("from".into(), json!(when.from().to_string()));
        entry.insert("to".into(), json!(when.to().to_string()));
        if when.days() != DaySet::EVERY {
            let days = Weekday::ALL.into_iter().filter(|day| when.days().has(*day));
            entry.insert("days".into(), days.map(|day| json!(day.short())).collect());
        }
    }
    Value::Object(entry)
}

/// A path as a text has it: one entry of `gains` or of `windows` may stand there without a list.
pub fn placed(text: &str, path: &str) -> String {
    for key in [".gains", ".windows"] {
        if let Some((before, rest)) = path.split_once(&format!("{key}[0]")) {
            let single = format!("{before}{key}{rest}");
            return if is_written(text, &single) { single } else { path.to_owned() };
        }
    }
    path.to_owned()
}
