//! What keeps a zone from freezing, and the low limit itself.

use super::zone::{ZoneAt, tidy};
use super::{Finding, Severity};
use crate::control::{LockableKey, LowLimit, Mode, Power, Side};
use crate::direction::Direction;
use crate::settings::controls::{LIMITS_HEAT, LOW_LIMIT, SETBACK_FLOOR};

/// Water freezes, degrees C.
const FREEZING: f64 = 0.0;
/// Seconds between two looks at the weather.
const HOUR: i64 = 3600;

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    match zone.zone.controls.low_limit {
        None => {
            findings.extend(risk(zone));
            findings.extend(within_reach(zone));
        }
        Some(limit) => {
            findings.extend(cannot_heat(zone));
            findings.extend(overrules(zone, limit.below));
            findings.extend(above_setback(zone, limit));
        }
    }
}

/// The coldest hour of the period, degrees C.
fn coldest(zone: &ZoneAt<'_>) -> f64 {
    let (period, weather) = (&zone.model.period, &zone.model.weather);
    let hours = 0..=period.end().get() / HOUR;
    hours.map(|hour| weather.outdoor(period.first(), (hour * HOUR) as f64)).fold(f64::MAX, f64::min)
}

/// How the zone may come to stand without heating.
fn why_unheated(zone: &ZoneAt<'_>) -> Option<&'static str> {
    let (settings, controls) = (zone.settings(), &zone.zone.controls);
    let starts_cold = matches!(zone.start().mode, Mode::Cool | Mode::Dry | Mode::Fan);
    let power_free = settings.key_locks.iter().any(|locks| !locks.refuses(LockableKey::Power));
    if zone.start().power == Power::Off {
        Some("it starts switched off")
    } else if controls.auto_off.is_some() {
        Some("auto_off switches it off")
    } else if starts_cold {
        Some("the mode that it starts in does not heat")
    } else if power_free {
        Some("occupants can switch it off")
    } else {
        None
    }
}

fn risk(zone: &ZoneAt<'_>) -> Option<Finding> {
    let why = why_unheated(zone)?;
    let coldest = coldest(zone);
    let frost = coldest < FREEZING;
    let by_itself = zone.start().power == Power::Off || zone.zone.controls.auto_off.is_some();
    if !frost && !by_itself {
        return None;
    }
    let outdoors = tidy(zone.model.unit.from_celsius(coldest));
    let letter = zone.model.unit.letter();
    let weather = if frost {
        format!("it gets down to {outdoors} {letter} outside")
    } else {
        format!("this period stays above freezing ({outdoors} {letter}), a winter does not")
    };
    let message = format!(
        "{why}, {weather}, and there is no low_limit: nothing here keeps pipes from freezing"
    );
    let guard = zone.model.unit.from_celsius(7.0).round();
    let remedy = format!(
        "give a low_limit, for example {}, and leave the heat source its power; a model is no \
         freeze protection",
        tidy(guard)
    );
    let severity = if frost { Severity::Warning } else { Severity::Note };
    Some(
        Finding::new(severity, "freeze-risk", zone.path("controls"), message)
            .mend(remedy)
            .cite("common practice, no source"),
    )
}

fn cannot_heat(zone: &ZoneAt<'_>) -> Option<Finding> {
    if zone.zone.unit.capacity(Direction::Heating).is_some() {
        return None;
    }
    let message = "the low_limit asks a unit for heating that has none".to_owned();
    Some(
        Finding::warning("low-limit-without-heating", zone.of(&LOW_LIMIT), message)
            .mend("guard the room otherwise, or give unit.heating")
            .cite("control rule 9"),
    )
}

/// A low limit that lies where people set their heat.
fn overrules(zone: &ZoneAt<'_>, below: f64) -> Option<Finding> {
    let lowest = zone.settings().grid.value(zone.rules().range(Side::Heat).low);
    if below <= lowest {
        return None;
    }
    let message = format!(
        "low_limit {} lies above the lowest heat setpoint {}: below it the zone heats whatever was \
         set or switched",
        tidy(below),
        tidy(lowest)
    );
    Some(
        Finding::warning("low-limit-overrules", zone.of(&LOW_LIMIT), message)
            .mend(format!("lower low_limit below {}, or raise the lowest heat", tidy(lowest)))
            .cite("control rule 9"),
    )
}

/// Below this air temperature pipes in outer walls are at risk, degrees C: common practice, no
/// source.
const PIPES: f64 = 5.0;

/// A setback or a limit that lets the room fall to where pipes freeze.
fn within_reach(zone: &ZoneAt<'_>) -> Option<Finding> {
    zone.zone.unit.capacity(Direction::Heating)?;
    let grid = zone.settings().grid;
    let start = zone.zone.controls.thermostat.call_start.of(Direction::Heating);
    let celsius = |ticks| zone.model.unit.to_celsius(grid.value(ticks) - start);
    let lowest = zone.rules().range(Side::Heat).low;
    let away = zone.zone.controls.setback.map(|setback| setback.working(&zone.start().setpoints).0);
    let (how, ticks, path) = if let Some(away) = away.filter(|it| celsius(*it) < PIPES) {
        ("while nobody is there heat works at", away, zone.of(&SETBACK_FLOOR))
    } else if celsius(lowest) < PIPES {
        ("occupants can set heat down to", lowest, zone.of(&LIMITS_HEAT))
    } else {
        return None;
    };
    let message = format!(
        "{how} {}, and there is no low_limit: the room may fall to where pipes in outer walls freeze",
        zone.shown(ticks)
    );
    let guard = zone.model.unit.from_celsius(7.0).round();
    Some(
        Finding::warning("frost-within-reach", path, message)
            .mend(format!("keep it at {} or more, or give a low_limit", tidy(guard)))
            .cite("common practice, no source"),
    )
}

/// A low limit above where heat works while nobody is there.
fn above_setback(zone: &ZoneAt<'_>, limit: LowLimit) -> Option<Finding> {
    let setback = zone.zone.controls.setback?;
    let away = setback.working(&zone.start().setpoints).0;
    let works = zone.settings().grid.value(away);
    if limit.below <= works {
        return None;
    }
    let message = format!(
        "low_limit {} lies above {}, where heat works while nobody is there: the low limit heats the \
         zone to {}, and the setback saves less than it says",
        tidy(limit.below),
        zone.show(away),
        tidy(limit.until)
    );
    Some(
        Finding::warning("low-limit-above-setback", zone.of(&LOW_LIMIT), message)
            .mend(format!("lower low_limit to {} or less, or set back less", zone.show(away)))
            .cite("control rules 9 and 11"),
    )
}
