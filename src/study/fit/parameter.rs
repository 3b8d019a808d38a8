//! What was fitted, number by number, in words and units that a file has.

use serde_json::Value;

use super::changes::{Change, Form, stage_shares, to_four};
use super::fitting::{Fitting, Tells};
use super::options::Freed;
use super::problem::{GainOf, Size};
use super::profile::{of_gain, of_size};
use super::untold::{Untold, untold_size};
use crate::direction::Direction;
use crate::plant::UnitControl;
use crate::settings::controls::{CALL_START, CALL_STOP};
use crate::settings::unit::STAGE_POWER;

/// A number that was fitted, or could not be.
#[derive(Clone, Debug, PartialEq)]
pub struct Parameter {
    /// Its name for programs.
    pub key: String,
    /// What it is.
    pub words: String,
    /// Where it stands in the file.
    pub path: String,
    /// Its unit; empty for a part of something.
    pub unit: String,
    /// The value: fitted, or what was believed before.
    pub value: f64,
    /// The ends of the interval of 95 %; none where the log does not tell.
    pub interval: Option<(f64, f64)>,
    /// What the file had.
    pub before: f64,
    /// Why the log does not tell, and what would.
    pub untold: Option<Untold>,
    /// Its profile: values with half the deviance above the least.
    pub profile: Vec<(f64, f64)>,
}

impl Parameter {
    /// Whether the log tells it.
    pub const fn is_identifiable(&self) -> bool {
        self.untold.is_none()
    }
}

/// All numbers of a fit.
pub(super) fn parameters(fitting: &Fitting, form: &Form, tells: &Tells) -> Vec<Parameter> {
    let mut all = Vec::new();
    for size in Size::ALL {
        if tells.options.frees(Freed::Size(size)) {
            all.push(of_room(fitting, tells, size));
        }
    }
    for place in 0..fitting.found.problem.gains.len() {
        all.push(of_heat(fitting, tells, place));
    }
    if tells.options.frees(Freed::Power) {
        of_power(form, fitting, tells, &mut all);
    }
    let zone = &tells.model.zones[tells.zone];
    for it in &form.thresholds {
        let key = if it.begins { CALL_START.name } else { CALL_STOP.name };
        let words = if it.begins {
            "a call begins this far past the setpoint"
        } else {
            "a call ends this far past the setpoint"
        };
        let own = &zone.controls.thermostat;
        let own = if it.begins { own.call_start } else { own.call_stop };
        all.push(Parameter {
            key: format!("{key}_{}", it.direction.name()),
            words: format!("{}: {words}", it.direction.name()),
            path: format!("zones.{}.controls.{key}", zone.id),
            unit: tells.model.unit.letter().to_string(),
            value: it.distance.value,
            interval: Some((it.distance.low, it.distance.high)),
            before: own.of(it.direction),
            untold: None,
            profile: Vec::new(),
        });
    }
    all.extend(never_told(tells, form));
    all
}

fn words_of(size: Size) -> (&'static str, &'static str, &'static str, &'static str, f64) {
    match size {
        Size::Loss => ("loss", "loss to outdoors, without windows", "space.opaque", "W/K", 1.0),
        Size::Air => (
            "air_capacity",
            "heat capacity of air and furnishings",
            "space.air_capacity",
            "kJ/K",
            1e-3,
        ),
        Size::Mass => {
            ("mass_capacity", "heat capacity of the mass", "space.mass_capacity", "kJ/K", 1e-3)
        }
        Size::Coupling => {
            ("coupling", "area that couples the mass to the air", "space.mass_area", "m2", 1.0)
        }
    }
}

fn of_room(fitting: &Fitting, tells: &Tells, size: Size) -> Parameter {
    let zone = &tells.model.zones[tells.zone];
    let (key, words, path, unit, scale) = words_of(size);
    let found = &fitting.found;
    let value = found.choice.room.get(size);
    let place = found.problem.free.iter().position(|it| *it == size);
    let profile = place.map(|place| of_size(found, &fitting.spread, place));
    let shown = |logarithm: f64| libm::exp(logarithm) * scale;
    let untold = place.is_none().then(|| untold_size(fitting, size));
    Parameter {
        key: key.into(),
        words: words.into(),
        path: format!("zones.{}.{path}", zone.id),
        unit: unit.into(),
        value: value * scale,
        interval: profile.as_ref().map(|it| (shown(it.low), shown(it.high))),
        before: super::problem::Room::of(&zone.space).get(size) * scale,
        untold,
        profile: profile.map_or(Vec::new(), |it| {
            it.points.iter().map(|(at, worse)| (shown(*at), *worse)).collect()
        }),
    }
}

fn of_heat(fitting: &Fitting, tells: &Tells, place: usize) -> Parameter {
    let zone = &tells.model.zones[tells.zone];
    let found = &fitting.found;
    let gain = &found.problem.gains[place];
    let entries = zone.gains.len();
    let (key, words, path, unit, scale, before) = match gain.of {
        GainOf::Entry(at) => {
            let key = if entries == 1 { "gains".to_owned() } else { format!("gains_{}", at + 1) };
            let when = zone.gains[at].when;
            let words = format!("gains from {} to {}", when.from(), when.to());
            (key, words, format!("gains[{at}].power"), "W", 1.0, zone.gains[at].power)
        }
        GainOf::Rest => {
            ("gains_at_rest".into(), "gains at rest".into(), "gains".into(), "W", 1.0, 0.0)
        }
        GainOf::Person => {
            let words = "heat of each person".to_owned();
            ("gains_per_person".into(), words, "gains".into(), "W", 1.0, 0.0)
        }
        GainOf::Occupied => {
            let words = "gains while somebody is there".to_owned();
            ("gains_while_occupied".into(), words, "gains".into(), "W", 1.0, 0.0)
        }
        GainOf::Sun => {
            let words = "sun through the windows over what the file has".to_owned();
            ("sun".into(), words, "space.windows".into(), "", 1.0, 1.0)
        }
        GainOf::Stage(at) => {
            let share = match zone.unit.control {
                UnitControl::Staged { stages } => stages.share(at),
                UnitControl::Modulating { .. } | UnitControl::Ideal => 1.0,
            };
            let words = format!("heat of stage {} as a part of capacity", at + 1);
            (format!("stage_{}", at + 1), words, "unit.stages".into(), "", share, share)
        }
    };
    let told = !fitting.untold.1.contains(&gain.of);
    let profile = told.then(|| of_gain(found, &fitting.spread, place));
    let untold = Untold {
        why: "a slow heat that nobody logged explains the same",
        would: "a longer log, and one of people, of occupancy or of radiation",
    };
    Parameter {
        key,
        words,
        path: format!("zones.{}.{path}", zone.id),
        unit: unit.into(),
        value: found.choice.gains[place] * scale,
        interval: profile.as_ref().map(|it| (it.low * scale, it.high * scale)),
        before,
        untold: (!told).then_some(untold),
        profile: profile.map_or(Vec::new(), |it| {
            it.points.iter().map(|(at, worse)| (at * scale, *worse)).collect()
        }),
    }
}

fn of_power(form: &Form, fitting: &Fitting, tells: &Tells, all: &mut Vec<Parameter>) {
    let zone = &tells.model.zones[tells.zone];
    let Some(electricity) = &form.electricity else {
        let direction =
            if zone.unit.cooling.is_some() { Direction::Cooling } else { Direction::Heating };
        let cop = zone.unit.capacity(direction).map_or(f64::NAN, |it| it.cop.at(20.0));
        all.push(Parameter {
            key: format!("cop_{}", direction.name()),
            words: format!("COP, {}", direction.name()),
            path: format!("zones.{}.unit.cop.{}", zone.id, direction.name()),
            unit: String::new(),
            value: cop,
            interval: None,
            before: cop,
            untold: Some(Untold {
                why: "the log has no electricity of this zone's plant alone, or too little running",
                would: "a logged electricity of the plant",
            }),
            profile: Vec::new(),
        });
        return;
    };
    let name = electricity.direction.name();
    let rated = zone.unit.rated(electricity.direction);
    let cop = |power: f64| rated / power.max(1.0);
    let running = electricity.running;
    let own = zone.unit.capacity(electricity.direction);
    all.push(Parameter {
        key: format!("cop_{name}"),
        words: format!("COP at full output, {name}, for the capacity that the file has"),
        path: format!("zones.{}.unit.cop.{name}", zone.id),
        unit: String::new(),
        value: cop(running.value),
        interval: Some((cop(running.high), cop(running.low))),
        before: own.map_or(f64::NAN, |it| it.cop.at(electricity.outdoor)),
        untold: None,
        profile: Vec::new(),
    });
    all.push(Parameter {
        key: "power_at_rest".into(),
        words: "power at rest, which a file has no place for".into(),
        path: String::new(),
        unit: "W".into(),
        value: electricity.rest,
        interval: None,
        before: 0.0,
        untold: None,
        profile: Vec::new(),
    });
    let shares = stage_shares(zone, &fitting.numbers(Some(electricity)));
    for (stage, share) in shares.iter().enumerate().take(shares.len() - 1) {
        all.push(Parameter {
            key: format!("stage_{}_power", stage + 1),
            words: format!("power of stage {} as a part of full power", stage + 1),
            path: format!("zones.{}.unit.{}", zone.id, STAGE_POWER.name),
            unit: String::new(),
            value: electricity.stages[stage],
            interval: None,
            before: *share,
            untold: None,
            profile: Vec::new(),
        });
    }
}

/// What no log of temperatures tells.
fn never_told(tells: &Tells, form: &Form) -> Vec<Parameter> {
    let zone = &tells.model.zones[tells.zone];
    let mut all = Vec::new();
    for direction in Direction::BOTH {
        if let Some(capacity) = zone.unit.capacity(direction) {
            let rated = capacity.rated / f64::from(zone.unit.count.max(1));
            all.push(Parameter {
                key: format!("capacity_{}", direction.name()),
                words: format!("{} capacity", direction.name()),
                path: format!("zones.{}.unit.{}", zone.id, direction.name()),
                unit: "W".into(),
                value: rated,
                interval: None,
                before: rated,
                untold: Some(Untold {
                    why: "it sets the scale of all heat: a room twice as heavy with twice the plant has the \
                          same temperatures",
                    would: "a measured heat: flow and temperatures of the supply air, or a heater of known \
                            power for some hours",
                }),
                profile: Vec::new(),
            });
        }
    }
    let sensor = &zone.controls.sensor;
    let offset = Untold {
        why: "one sensor cannot tell its own offset: heat at rest explains the same",
        would: "a second, checked sensor beside it for a day",
    };
    let lag = Untold {
        why: "no other lag that was tried explains the log better, and the air's own heat capacity shows \
              in readings as a lag does",
        would: "a second, quick sensor beside it for a day",
    };
    let own = sensor.lag;
    let unit = tells.model.unit.letter().to_string();
    for (key, words, unit, value, before, untold) in [
        ("offset", "sensor offset", unit, sensor.offset, sensor.offset, Some(offset)),
        (
            "lag",
            "sensor lag",
            "s".to_owned(),
            form.lag.get() as f64,
            own.get() as f64,
            (form.lag == own).then_some(lag),
        ),
    ] {
        all.push(Parameter {
            key: format!("sensor_{key}"),
            words: words.into(),
            path: format!("zones.{}.controls.sensor.{key}", zone.id),
            unit,
            value,
            interval: None,
            before,
            untold,
            profile: Vec::new(),
        });
    }
    all
}

/// Changes with what to say of each in the file.
pub(super) fn remarked(changes: Vec<(String, Value)>, parameters: &[Parameter]) -> Vec<Change> {
    // All windows go with the one number of the sun.
    let of_sun = |path: &str, own: &str| own.ends_with(".windows") && path.starts_with(own);
    let same = |path: &str, own: &str| {
        own == path || own.starts_with(&format!("{path}[")) || of_sun(path, own)
    };
    changes
        .into_iter()
        .map(|(path, value)| {
            let told: Vec<String> = parameters
                .iter()
                .filter(|it| it.is_identifiable() && same(&path, &it.path))
                .map(remark)
                .collect();
            let key = path.rsplit('.').next().unwrap_or_default();
            let remark = if told.is_empty() {
                format!("fitted: {key}")
            } else {
                format!("fitted: {}", told.join("; "))
            };
            Change { path, value, remark }
        })
        .collect()
}

fn remark(parameter: &Parameter) -> String {
    let shown = |value: f64| {
        let unit =
            if parameter.unit.is_empty() { String::new() } else { format!(" {}", parameter.unit) };
        format!("{}{unit}", to_four(value))
    };
    let interval = parameter.interval.map_or(String::new(), |(low, high)| {
        format!(" (95 %: {} to {})", to_four(low), shown(high))
    });
    format!("{} {}{interval}", parameter.words, shown(parameter.value))
}
