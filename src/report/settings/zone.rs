//! The settings of one zone.

use super::outdoors::{self, CONTACT_LINE, LIMITS_LINE, RETURNS_LINE, override_words};
use super::spans::spans_words;
use super::{Line, listed};
use crate::building::{Facing, Shade, SunnyWall, Window};
use crate::control::{
    Direction, Grid, LockableKey, Mode, ModePolicy, Occupancy, Range, Sensor, SensorPlace, Setback,
    Settings, Sharing, Side, Thermostat, Ticks, on_conflict_words, policy_words,
};
use crate::engine::{Clothing, Comfort, Model, OutdoorGroup, Zone, ZoneIndex};
use crate::plant::{IndoorUnit, UnitControl};
use crate::report::figures::{one_digit, setpoint, unit_sign};
use crate::units::TemperatureUnit;

/// The lines that are put in words here, most of them for several settings at once. A setting whose
/// line is none of these is told by itself.
pub(super) const LINES: [&str; 27] = [
    "Mode and power at the start",
    "Governing sensor",
    "Occupied",
    "Setback",
    "Optimum start",
    RETURNS_LINE,
    LIMITS_LINE,
    CONTACT_LINE,
    "Low limit",
    "Switches itself off",
    "Mode owner",
    "Indoor unit",
    "Comfort band",
    "Heat setpoint",
    "Cool setpoint",
    "Minimum deadband",
    "Heat limits",
    "Cool limits",
    "Where the setpoints meet",
    "Setpoints are stored in",
    "Modes of the unit",
    "Modes locked for occupants",
    "Controllers",
    "Key locks",
    "A call",
    "Changeover delay",
    "Least run and rest",
];

/// The lines of the zone at a place in the model.
pub(super) fn lines(model: &Model, place: usize) -> Vec<Line> {
    let Some(zone) = model.zones.get(place) else { return Vec::new() };
    let (controls, unit) = (&zone.controls, model.unit);
    let mut lines = setpoints(zone);
    lines.extend(locks(&controls.settings));
    lines.push(("Mode and power at the start", start(zone)));
    lines.push(("Governing sensor", sensor(&controls.sensor, unit)));
    lines.push(("Occupied", occupancy(&controls.occupancy)));
    lines.push(("Setback", setback(zone)));
    if let Some(early) = controls.optimum_start {
        let words =
            format!("at most {} before somebody comes, learned from day to day", early.most);
        lines.push(("Optimum start", words));
    }
    lines.extend(outdoors::lines(controls, unit));
    lines.push(("Low limit", low_limit(zone, unit)));
    let off = controls.auto_off.map_or("never".into(), |after| format!("{after} after power-on"));
    lines.push(("Switches itself off", off));
    lines.extend(calls(&controls.thermostat, unit));
    lines.push(("Mode owner", owner(model, ZoneIndex::new(place))));
    lines.push(("Indoor unit", indoor_unit(&zone.unit)));
    if zone.windows.iter().any(|window| window.aperture() > 0.0) {
        let words: Vec<String> = zone.windows.iter().map(window).collect();
        lines.push(("Windows", words.join("; ")));
    }
    if !zone.walls.is_empty() {
        let words: Vec<String> = zone.walls.iter().map(wall).collect();
        lines.push(("Walls in the sun", words.join("; ")));
    }
    lines.push(("People feel", feeling(&zone.comfort)));
    let comfort = [zone.comfort.low, zone.comfort.high].map(|at| setpoint(unit.from_celsius(at)));
    let [low, high] = comfort;
    let beyond = unit.difference_from_kelvin(zone.comfort.tolerance);
    let tolerance = if beyond > 0.0 {
        format!(", counted as outside from {beyond:.2} beyond it")
    } else {
        String::new()
    };
    lines.push(("Comfort band", format!("{low} to {high} {}{tolerance}", unit_sign(unit))));
    lines
}

fn setpoints(zone: &Zone) -> Vec<Line> {
    let Settings { grid, rules, display, .. } = &zone.controls.settings;
    let (grid, stored) = (*grid, &zone.controls.start.setpoints);
    let deadband = if rules.is_single() {
        "none: one setpoint for heating and cooling".into()
    } else {
        degrees(grid, rules.deadband())
    };
    let steps = match display {
        Some(shown) => format!(
            "steps of {} {}, shown in {}",
            setpoint(grid.step()),
            unit_sign(grid.unit()),
            unit_sign(shown.grid().unit())
        ),
        None => format!("steps of {} {}", setpoint(grid.step()), unit_sign(grid.unit())),
    };
    let limits = |side| limits_words(grid, rules.written(side), rules.range(side));
    vec![
        ("Heat setpoint", degrees(grid, stored.heat())),
        ("Cool setpoint", degrees(grid, stored.cool())),
        ("Minimum deadband", deadband),
        ("Heat limits", limits(Side::Heat)),
        ("Cool limits", limits(Side::Cool)),
        ("Where the setpoints meet", on_conflict_words(rules.on_conflict()).into()),
        ("Setpoints are stored in", steps),
    ]
}

fn degrees(grid: Grid, ticks: Ticks) -> String {
    format!("{} {}", grid.show(ticks), unit_sign(grid.unit()))
}

fn limits_words(grid: Grid, written: Range, left: Range) -> String {
    let words = |range: Range| {
        let sign = unit_sign(grid.unit());
        if range.low == range.high {
            return format!("{} {sign} only", grid.show(range.low));
        }
        format!("{} to {} {sign}", grid.show(range.low), grid.show(range.high))
    };
    if written == left {
        words(written)
    } else {
        format!("{}; the deadband leaves {}", words(written), words(left))
    }
}

fn locks(settings: &Settings) -> Vec<Line> {
    let names = |wanted: &dyn Fn(Mode) -> bool| {
        let modes = Mode::ALL.into_iter().filter(|mode| wanted(*mode));
        listed(&modes.map(Mode::name).collect::<Vec<_>>())
    };
    let in_key_order: Vec<&str> = settings.modes.as_slice().iter().map(|it| it.name()).collect();
    let all = settings.controllers.as_slice();
    let primary = settings.controllers.primary().get();
    let controllers: Vec<String> = all
        .iter()
        .enumerate()
        .map(|(place, controller)| match (all.len(), place == primary) {
            (1, _) | (_, false) => controller.id.clone(),
            (_, true) => format!("{} (primary)", controller.id),
        })
        .collect();
    vec![
        ("Modes of the unit", listed(&in_key_order)),
        ("Modes locked for occupants", names(&|mode| settings.locked_modes.has(mode))),
        ("Controllers", listed(&controllers)),
        ("Key locks", key_locks(settings)),
    ]
}

fn key_locks(settings: &Settings) -> String {
    let controllers = settings.controllers.as_slice().iter().zip(&settings.key_locks);
    let locked: Vec<String> = controllers
        .filter_map(|(controller, locks)| {
            let keys: Vec<&str> = locks.keys().map(LockableKey::name).collect();
            let force = if locks.is_in_force() { "in force" } else { "saved but not in force" };
            (!keys.is_empty()).then(|| format!("{}: {}, {force}", controller.id, listed(&keys)))
        })
        .collect();
    if locked.is_empty() { "none".into() } else { locked.join("; ") }
}

fn start(zone: &Zone) -> String {
    let stored = &zone.controls.start;
    format!("{}, power {}", stored.mode.name(), stored.power.name())
}

fn sensor(sensor: &Sensor, unit: TemperatureUnit) -> String {
    let sign = unit_sign(unit);
    let (place, own) = match sensor.place {
        SensorPlace::Room => ("in the room".to_owned(), 0.0),
        SensorPlace::ReturnAir { heating, cooling } => (
            format!(
                "in the return air ({} {sign} off while heating, {} {sign} while cooling)",
                signed(heating),
                signed(cooling)
            ),
            0.0,
        ),
        SensorPlace::Controllers { offset } => ("in the controllers".to_owned(), offset),
    };
    let mut words = vec![place];
    let off = sensor.offset + own;
    if off != 0.0 {
        words.push(format!("reads {} {sign}", signed(off)));
    }
    if sensor.lag.get() > 0 {
        words.push(format!("lags by {}", sensor.lag));
    }
    if sensor.resolution > 0.0 {
        // Resolutions are written with the digits that they have: 0.25 is not 0.3.
        words.push(format!("in steps of {} {sign}", sensor.resolution));
    }
    words.join(", ")
}

/// `+2`, `−0.5`, `0`.
fn signed(value: f64) -> String {
    let size = setpoint(value.abs());
    match value {
        _ if size == "0" => size,
        _ if value < 0.0 => format!("−{size}"),
        _ => format!("+{size}"),
    }
}

fn occupancy(occupancy: &Occupancy) -> String {
    match occupancy {
        Occupancy::Always => "always".into(),
        Occupancy::Schedule(spans) => spans_words(spans),
        Occupancy::People => "while one of the simulated people is there".into(),
        Occupancy::Sensor { hold } => {
            format!("by an occupancy sensor, held for {hold} after the last sighting")
        }
    }
}

fn setback(zone: &Zone) -> String {
    let Some(setback) = &zone.controls.setback else { return "none".into() };
    let grid = zone.controls.settings.grid;
    let Setback { heat, cool, heat_low, cool_high } = *setback;
    format!(
        "heat {} lower, not below {}; cool {} higher, not above {}; a request brings the \
         setpoints back {}",
        degrees(grid, heat),
        degrees(grid, heat_low),
        degrees(grid, cool),
        degrees(grid, cool_high),
        override_words(&zone.controls)
    )
}

fn low_limit(zone: &Zone, unit: TemperatureUnit) -> String {
    zone.controls.low_limit.map_or("none".into(), |limit| {
        let sign = unit_sign(unit);
        let (below, until) = (setpoint(limit.below), setpoint(limit.until));
        format!("heats below {below} {sign}, whatever is selected, until {until} {sign}")
    })
}

fn calls(thermostat: &Thermostat, unit: TemperatureUnit) -> Vec<Line> {
    let sign = unit_sign(unit);
    let starts = |by: f64| match setpoint(by).as_str() {
        "0" => "starts at the setpoint".to_owned(),
        by => format!("starts {by} {sign} past the setpoint"),
    };
    let ends = |by: f64| match setpoint(by).as_str() {
        "0" => "ends at the setpoint".to_owned(),
        by => format!("ends {by} {sign} beyond it"),
    };
    let (start, stop) = (thermostat.call_start, thermostat.call_stop);
    let call = match (start.common(), stop.common()) {
        (Some(start), Some(stop)) => format!("{}, {}", starts(start), ends(stop)),
        _ => Direction::BOTH
            .map(|it| format!("{} {}, {}", it.name(), starts(start.of(it)), ends(stop.of(it))))
            .join("; "),
    };
    vec![
        ("A call", call),
        ("Changeover delay", thermostat.changeover_delay.to_string()),
        (
            "Least run and rest",
            format!("runs {} at least, rests {}", thermostat.min_on, thermostat.min_off),
        ),
    ]
}

/// Who says whether the zone heats or cools.
fn owner(model: &Model, zone: ZoneIndex) -> String {
    let shares = |unit: &&OutdoorGroup| unit.zones.contains(&zone);
    let Some(group) = model.outdoor_units.iter().find(shares) else {
        return "this zone, with a plant of its own".into();
    };
    let Sharing::SingleMode { policy, .. } = group.settings.sharing else {
        return "this zone: its outdoor unit heats and cools at the same time".into();
    };
    if policy != ModePolicy::Owner {
        return format!("its group: {}", policy_words(policy));
    }
    let owner = group.settings.owner().and_then(|place| group.zones.get(place));
    match owner {
        Some(owner) if *owner == zone => "this zone, for all on its outdoor unit".into(),
        Some(owner) => {
            let name = model.zones.get(owner.get()).map_or("", crate::report::run::label);
            format!("follows {name}")
        }
        None => "its group".into(),
    }
}

/// A size with the digits that it has, at most two.
fn size(value: f64) -> String {
    let hundredths = (value * 100.0).round() / 100.0;
    hundredths.to_string()
}

fn window(window: &Window) -> String {
    let (area, g) = (size(window.area), size(window.solar_factor));
    let mut words = vec![format!("{area} m2 {}", faces(window.facing)), format!("g {g}")];
    if window.solar_factor > 0.0 {
        words.push(format!("{:.0} % frame", window.frame * 100.0));
        if !window.slant {
            words.push("the same at every angle".into());
        }
    }
    if let Some(Shade { factor, above, when_occupied }) = window.shade {
        let above = above.map_or_else(String::new, |above| format!(" above {above:.0} W/m2"));
        let while_there = if when_occupied { " while somebody is there" } else { "" };
        words.push(format!("shaded to {:.0} %{above}{while_there}", factor * 100.0));
    }
    words.join(", ")
}

fn wall(wall: &SunnyWall) -> String {
    format!(
        "{} m2 {}, u {} W/(m2 K), absorbs {:.0} %",
        size(wall.area),
        faces(wall.facing),
        size(wall.transmittance),
        wall.absorptance * 100.0
    )
}

fn faces(facing: Facing) -> String {
    const WORDS: [&str; 8] =
        ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
    if facing.tilt == 0.0 {
        return "facing up".into();
    }
    let eighth = (0..8).zip(WORDS).find(|(at, _)| f64::from(*at) * 45.0 == facing.azimuth);
    eighth.map_or_else(
        || format!("facing {:.0}°", facing.azimuth),
        |(_, word)| format!("facing {word}"),
    )
}

fn feeling(comfort: &Comfort) -> String {
    let clothing = match comfort.clothing {
        Clothing::Same(clo) => format!("{} clo", size(clo)),
        Clothing::BySeason { winter, summer } => format!(
            "{} clo in winter to {} clo in summer, by the running mean outdoors",
            size(winter),
            size(summer)
        ),
    };
    format!("{} met, {clothing}, air at {} m/s", size(comfort.met), size(comfort.air_speed))
}

fn indoor_unit(unit: &IndoorUnit) -> String {
    let kilowatts = |watts: f64| format!("{} kW", one_digit(watts / 1000.0));
    let capacity = |what: &Option<crate::plant::Capacity>, verb: &str| {
        what.as_ref().map(|capacity| format!("{} {verb}", kilowatts(capacity.rated)))
    };
    let sides = [capacity(&unit.heating, "heating"), capacity(&unit.cooling, "cooling")];
    let sides: Vec<String> = sides.into_iter().flatten().collect();
    let how = match unit.control {
        UnitControl::Staged { stages } if stages.count() > 1 => {
            let parts = stages.shares().iter().map(|part| format!("{:.0} %", part * 100.0));
            format!("in stages of {}", listed(&parts.collect::<Vec<_>>()))
        }
        UnitControl::Staged { .. } => "on or off".to_owned(),
        UnitControl::Modulating { turndown, .. } => {
            format!("modulating down to {:.0} %", turndown * 100.0)
        }
        UnitControl::Ideal => "exactly what is needed".to_owned(),
    };
    let many = if unit.count > 1 { format!("{} units, ", unit.count) } else { String::new() };
    format!("{many}{}, {how}", listed(&sides))
}
