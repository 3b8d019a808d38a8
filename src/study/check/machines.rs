//! Properties of machines that change nothing where they stand.

use super::Finding;
use super::zone::ZoneAt;
use crate::control::SensorPlace;
use crate::plant::{FanRun, UnitControl};
use crate::scenario::Study;
use crate::settings::{Key, unit};

/// Keys of a plant of the zone's own.
const OWN_PLANT: [&Key; 3] = [&unit::COP_HEATING, &unit::COP_COOLING, &unit::OWN_REVERSAL_TIME];

pub(super) fn check(study: &Study, zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    let written = |key: &&Key| study.has(&zone.of(key));
    let (machine, shared) = (&zone.zone.unit, zone.group().is_some());
    if let Some(key) = OWN_PLANT.into_iter().find(written).filter(|_| shared) {
        let why = "this zone is on an outdoor unit, which has its own";
        findings.push(idle(zone, key, why, "give it to the outdoor unit, or take it out"));
    }
    let never_starts = machine.control == UnitControl::Ideal;
    if written(&&unit::CYCLING_TIME_CONSTANT) && never_starts {
        let why = "an ideal unit gives what is needed at once";
        findings.push(idle(zone, &unit::CYCLING_TIME_CONSTANT, why, "take it out"));
    }
    let modulates = matches!(machine.control, UnitControl::Modulating { .. });
    if written(&&unit::REACH_LOWEST) && !modulates {
        let why = "only a modulating unit has a turndown to come down to";
        let remedy = "make the unit modulating, or take it out";
        findings.push(idle(zone, &unit::REACH_LOWEST, why, remedy));
    }
    if written(&&unit::LOW_POWER) && !matches!(machine.fan_run, FanRun::Low { .. }) {
        let why = "the fan never runs at low speed";
        findings.push(idle(zone, &unit::LOW_POWER, why, "write `fan_run: low`, or take it out"));
    }
    findings.extend(fan(zone));
}

fn idle(zone: &ZoneAt<'_>, key: &Key, why: &str, remedy: &str) -> Finding {
    let name = key.path.trim_start_matches("unit.");
    let message = format!("{name} of the unit does nothing: {why}");
    Finding::note("setting-without-effect", zone.of(key), message)
        .mend(remedy)
        .cite("physics of the plant")
}

/// A fan between calls that neither takes power nor moves air past a sensor.
fn fan(zone: &ZoneAt<'_>) -> Option<Finding> {
    let machine = &zone.zone.unit;
    let in_return_air = matches!(zone.zone.controls.sensor.place, SensorPlace::ReturnAir { .. });
    let sampled = matches!(machine.fan_run, FanRun::Sample { .. });
    if machine.fan_run == FanRun::Auto || in_return_air || (!sampled && machine.fan > 0.0) {
        return None;
    }
    let (why, remedy) = if sampled {
        let why = "it takes samples of the return air, and the sensor is not in it";
        (why, "write `fan_run: auto`, or `place: return_air` under `sensor`")
    } else {
        let why = "the fan takes no power, and the sensor is not in the return air";
        (why, "give the `fan` its power, or take it out")
    };
    Some(idle(zone, &unit::FAN_RUN, why, remedy))
}
