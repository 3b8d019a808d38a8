//! Rules 15 to 18: outdoor limits, window contacts, ends of overrides, stages and integral action
//! that do nothing, contradict another setting or leave somebody in the cold.

use super::Finding;
use super::zone::{ROUNDING, ZoneAt, listed, tidy};
use crate::control::{Opening, OutdoorLimits, OverrideUntil, WindowDoes};
use crate::direction::Direction;
use crate::engine::{Doing, ZoneIndex};
use crate::plant::UnitControl;
use crate::scenario::Study;
use crate::settings::controls::{
    CONTACT_DOES, COOL_ABOVE, HEAT_BELOW, OUTDOOR_LIMITS_KEY, OVERRIDE_TIME,
};
use crate::settings::{Key, unit};

/// Heating that stops below this leaves rooms cold, degrees C: common practice, no source.
const COLD: f64 = 10.0;

pub(super) fn check(study: &Study, zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    outdoor(zone, findings);
    findings.extend(contact(zone));
    findings.extend(override_time(study, zone));
    findings.extend(unit_keys(study, zone));
    findings.extend(integral(zone));
}

/// The limit of a direction.
const fn limit(limits: &OutdoorLimits, direction: Direction) -> Option<f64> {
    match direction {
        Direction::Heating => limits.heat_below,
        Direction::Cooling => limits.cool_above,
    }
}

/// The limit that holds of a zone's own and its outdoor unit's.
fn effective(zone: &ZoneAt<'_>, direction: Direction) -> Option<f64> {
    let own = limit(&zone.zone.controls.outdoor_limits, direction);
    let unit = zone.group().and_then(|(group, _)| limit(&group.outdoor_limits, direction));
    match (own, unit, direction) {
        (Some(own), Some(unit), Direction::Heating) => Some(own.min(unit)),
        (Some(own), Some(unit), Direction::Cooling) => Some(own.max(unit)),
        (own, unit, _) => own.or(unit),
    }
}

fn outdoor(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    let letter = zone.model.unit.letter();
    let own = &zone.zone.controls.outdoor_limits;
    for (direction, key) in [(Direction::Heating, &HEAT_BELOW), (Direction::Cooling, &COOL_ABOVE)] {
        let Some(value) = limit(own, direction) else { continue };
        let holds = effective(zone, direction);
        let (verb, name) = (direction.name(), key.name);
        let message = if zone.zone.unit.capacity(direction).is_none() {
            format!("{name} does nothing: the unit has no {verb}")
        } else if holds.is_some_and(|holds| (holds - value).abs() > ROUNDING) {
            let unit = holds.unwrap_or(value);
            format!("{name} {value} does nothing: the outdoor unit stops {verb} at {unit} already")
        } else {
            continue;
        };
        findings.push(
            Finding::note("setting-without-effect", zone.of(key), message)
                .mend("take it out")
                .cite("control rule 15"),
        );
    }
    if own.is_none() {
        return;
    }
    let [heats, cools] = Direction::BOTH.map(|direction| {
        effective(zone, direction).filter(|_| zone.zone.unit.capacity(direction).is_some())
    });
    if let (Some(heats), Some(cools)) = (heats, cools)
        && heats <= cools + ROUNDING
    {
        let message = format!(
            "with {} to {} {letter} outdoors the zone may neither heat nor cool",
            tidy(heats),
            tidy(cools)
        );
        findings.push(
            Finding::note("outdoor-limits-gap", zone.of(&OUTDOOR_LIMITS_KEY), message)
                .mend("nothing, if it is meant so; else let heat_below lie above cool_above")
                .cite("control rule 15"),
        );
    }
    let cold = zone.model.unit.from_celsius(COLD);
    if let Some(heats) = heats.filter(|heats| *heats < cold) {
        let low_limit = match zone.zone.controls.low_limit {
            Some(limit) => format!("only the low limit of {} {letter} heats", tidy(limit.below)),
            None => "nothing heats".into(),
        };
        let message = format!(
            "at {} {letter} outdoors and above {low_limit}, however cold rooms get",
            tidy(heats)
        );
        findings.push(
            Finding::warning("heating-stops-in-cold", zone.of(&OUTDOOR_LIMITS_KEY), message)
                .mend(format!("let heat_below lie at {} {letter} or more", tidy(cold)))
                .cite("control rule 15; common practice, no source"),
        );
    }
}

/// A window contact that nothing moves, or that sets back to nowhere.
fn contact(zone: &ZoneAt<'_>) -> Option<Finding> {
    let contact = &zone.zone.controls.window_contact;
    let path = zone.of(&CONTACT_DOES);
    if contact.does == WindowDoes::Nothing {
        return None;
    }
    if contact.does == WindowDoes::Setback && zone.zone.controls.setback.is_none() {
        let message = "the window contact sets the zone back, and there is no setback".to_owned();
        return Some(
            Finding::warning("window-contact-without-setback", path, message)
                .mend("give a setback, or write `does: off`")
                .cite("control rule 16"),
        );
    }
    let here = ZoneIndex::new(zone.place());
    let opens =
        |it: &crate::engine::Action| it.zone == here && it.what == Doing::Window(Opening::Open);
    (!zone.model.actions.iter().any(opens)).then(|| {
        let message = "nobody opens a window, so the window contact never acts".to_owned();
        Finding::note("window-contact-untouched", path, message)
            .mend("let somebody open one in the actions: `window: open`")
            .cite("control rule 16")
    })
}

/// An override time where overrides end by something else.
fn override_time(study: &Study, zone: &ZoneAt<'_>) -> Option<Finding> {
    let until = zone.zone.controls.override_until;
    let path = zone.of(&OVERRIDE_TIME);
    (until != OverrideUntil::Time && study.has(&path)).then(|| {
        let message = format!(
            "override_time does nothing: an override ends by override_until: {}",
            until.name()
        );
        Finding::note("setting-without-effect", path, message)
            .mend("take one of the two out")
            .cite("control rule 17")
    })
}

/// Keys of the unit that its kind of control does not know.
fn unit_keys(study: &Study, zone: &ZoneAt<'_>) -> Option<Finding> {
    const OF_STAGED: [&Key; 3] = [&unit::STAGES, &unit::STAGE_STEP, &unit::STAGE_POWER];
    const OF_MODULATING: [&Key; 1] = [&unit::INTEGRAL_TIME];
    let (control, idle): (&str, Vec<&Key>) = match zone.zone.unit.control {
        UnitControl::Staged { stages, .. } if stages.count() > 1 => {
            (unit::STAGED, OF_MODULATING.into())
        }
        UnitControl::Staged { .. } => {
            (unit::STAGED, [&OF_MODULATING[..], &[&unit::STAGE_STEP]].concat())
        }
        UnitControl::Modulating { .. } => (unit::MODULATING, OF_STAGED.into()),
        UnitControl::Ideal => (unit::IDEAL, [&OF_MODULATING[..], &OF_STAGED[..]].concat()),
    };
    let written: Vec<&Key> = idle.into_iter().filter(|key| study.has(&zone.of(key))).collect();
    let first = written.first()?;
    let names: Vec<&str> = written.iter().map(|key| key.name).collect();
    let does = if names.len() > 1 { "do" } else { "does" };
    let why = if control == unit::STAGED && first.name == unit::STAGE_STEP.name {
        "it has one stage".to_owned()
    } else {
        format!("its control is {control}")
    };
    let message = format!("{} of the unit {does} nothing: {why}", listed(&names));
    Some(
        Finding::note("setting-without-effect", zone.of(first), message)
            .mend("take it out, or give the unit the control that knows it")
            .cite("control rule 18"),
    )
}

/// Integral action faster than what it acts on.
fn integral(zone: &ZoneAt<'_>) -> Option<Finding> {
    let UnitControl::Modulating { integral_time: Some(time), .. } = zone.zone.unit.control else {
        return None;
    };
    let lag = zone.zone.controls.sensor.lag;
    (time < lag.get() as f64).then(|| {
        let message = format!(
            "integral_time is shorter than the sensor's lag of {lag}: the output swings before the \
             sensor has seen what it did"
        );
        Finding::warning("integral-faster-than-sensor", zone.of(&unit::INTEGRAL_TIME), message)
            .mend(format!("give it {lag} at least; 15 min to 1 h is usual"))
            .cite("control rule 18; common practice, no source")
    })
}
