//! What keeps a zone from freezing, and the low limit itself.

use super::zone::{ZoneAt, tidy};
use super::{Finding, Severity};
use crate::control::{LockableKey, Mode, Power, Side};
use crate::direction::Direction;
use crate::settings::controls::LOW_LIMIT;

/// Water freezes, degrees C.
const FREEZING: f64 = 0.0;
/// Seconds between two looks at the weather.
const HOUR: i64 = 3600;

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    match zone.zone.controls.low_limit {
        None => findings.extend(risk(zone)),
        Some(limit) => {
            findings.extend(cannot_heat(zone));
            findings.extend(overrules(zone, limit.below));
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
