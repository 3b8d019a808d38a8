//! What energy codes ask of setbacks, overrides and the reach of setpoints.

use super::codes::{Demand, looked_at, severity};
use super::zone::{ROUNDING, ZoneAt, tidy};
use super::{EnergyCode, Finding};
use crate::control::{Setback, Side, Ticks};
use crate::settings::Key;
use crate::settings::controls::{
    LIMITS_COOL, LIMITS_HEAT, OVERRIDE_TIME, SETBACK_CEILING, SETBACK_FLOOR,
};
use crate::time::Seconds;
use crate::units::TemperatureUnit::Fahrenheit;

/// Setbacks that are shallower than a code asks, or cannot go as far, and long overrides.
pub(super) fn check(
    zone: &ZoneAt<'_>,
    setback: &Setback,
    chosen: Option<EnergyCode>,
    findings: &mut Vec<Finding>,
) {
    let stored = zone.start().setpoints;
    let (heat, cool) = setback.working(&stored);
    let moved = [(Side::Heat, stored.heat() - heat), (Side::Cool, cool - stored.cool())];
    let grid = zone.settings().grid;
    let bounds = [setback.heat_low, setback.cool_high].map(|ticks| grid.value(ticks));
    for code in looked_at(chosen) {
        if let Some((down, up)) = code.setback() {
            let demands = moved.into_iter().zip([down, up]);
            findings.extend(demands.filter_map(|((side, moves), demand)| {
                shallow(zone, (code, chosen), side, moves.max(Ticks::ZERO), demand)
            }));
        }
        if let Some(demands) = code.unoccupied_reach() {
            let keys = [&SETBACK_FLOOR, &SETBACK_CEILING];
            reach(zone, (code, chosen), demands, bounds, keys, findings);
        }
    }
    findings.extend(long_override(zone, chosen));
}

fn shallow(
    zone: &ZoneAt<'_>,
    (code, chosen): (EnergyCode, Option<EnergyCode>),
    side: Side,
    moves: Ticks,
    demand: Demand,
) -> Option<Finding> {
    let kelvin = Fahrenheit.difference_to_kelvin(demand.fahrenheit);
    let asked = zone.model.unit.difference_from_kelvin(kelvin);
    if zone.settings().grid.value(moves) + ROUNDING >= asked {
        return None;
    }
    let (name, word) = match side {
        Side::Heat => ("heat", "lower"),
        Side::Cool => ("cool", "higher"),
    };
    let message = format!(
        "while nobody is there {name} works {} ({} F) {word}; {} asks for {} F",
        zone.shown(moves),
        tidy(Fahrenheit.difference_from_kelvin(zone.kelvin(moves))),
        code.title(),
        tidy(demand.fahrenheit)
    );
    let path = zone.controls(&format!("setback.{name}"));
    Some(
        Finding::new(severity(chosen), "setback-below-code", path, message)
            .mend(format!("set back by {} or more", zone.shown(zone.at_least(asked))))
            .cite(demand.clause),
    )
}

/// How far the limits let people set, where a code says how far they must.
pub(super) fn settable(zone: &ZoneAt<'_>, chosen: Option<EnergyCode>, findings: &mut Vec<Finding>) {
    let (rules, grid) = (zone.rules(), zone.settings().grid);
    let bounds = [rules.range(Side::Heat).low, rules.range(Side::Cool).high];
    let bounds = bounds.map(|ticks| grid.value(ticks));
    for code in looked_at(chosen) {
        if let Some(demands) = code.settable_reach() {
            let keys = [&LIMITS_HEAT, &LIMITS_COOL];
            reach(zone, (code, chosen), demands, bounds, keys, findings);
        }
    }
}

fn reach(
    zone: &ZoneAt<'_>,
    (code, chosen): (EnergyCode, Option<EnergyCode>),
    (down, up): (Demand, Demand),
    [low, high]: [f64; 2],
    [low_key, high_key]: [&Key; 2],
    findings: &mut Vec<Finding>,
) {
    let unit = zone.model.unit;
    let asked = |demand: Demand| unit.from_celsius(Fahrenheit.to_celsius(demand.fahrenheit));
    let (lowest, highest) = (asked(down), asked(up));
    let mut tell = |name: &str, way: &str, goes: f64, demand: Demand, key: &Key, enough: Ticks| {
        let letter = unit.letter();
        let message = format!(
            "{name} goes {way} {} {letter}; {} asks that it can go {way} {} F ({} {letter})",
            tidy(goes),
            code.title(),
            tidy(demand.fahrenheit),
            tidy(asked(demand))
        );
        findings.push(
            Finding::new(severity(chosen), "reach-below-code", zone.of(key), message)
                .mend(format!("let {} reach {}", key.within_controls(), zone.show(enough)))
                .cite(demand.clause),
        );
    };
    if low > lowest + ROUNDING {
        tell("heat", "down to", low, down, low_key, zone.at_most(lowest));
    }
    if high < highest - ROUNDING {
        tell("cool", "up to", high, up, high_key, zone.at_least(highest));
    }
}

fn long_override(zone: &ZoneAt<'_>, chosen: Option<EnergyCode>) -> Option<Finding> {
    let lasts = zone.zone.controls.override_time;
    let (hours, clause) = looked_at(chosen).into_iter().find_map(EnergyCode::longest_override)?;
    if lasts <= Seconds::hours(hours) {
        return None;
    }
    let message = format!("an override lasts {lasts}; the IECC allows {hours} h");
    let path = zone.of(&OVERRIDE_TIME);
    Some(
        Finding::new(severity(chosen), "override-above-code", path, message)
            .mend(format!("set override_time to {hours} h"))
            .cite(clause),
    )
}
