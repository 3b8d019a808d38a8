//! Rule 9: hysteresis and overshoot against the deadband, and delays that timers overrule.

use super::Finding;
use super::zone::{ROUNDING, ZoneAt, tidy};
use crate::building::{AIR_TO_SURFACE, SURFACE_TO_MASS, SURFACES_PER_FLOOR, SpaceInput};
use crate::control::{Mode, Thermostat, Ticks};
use crate::direction::Direction;
use crate::plant::UnitControl;
use crate::settings::controls::{CALL_START, CHANGEOVER_DELAY, CONTROLLER_OFFSET, MIN_DEADBAND};
use crate::time::Seconds;

const RULE: &str = "control rule 9";

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    findings.extend(start_zero(zone));
    findings.extend(controllers_disagree(zone));
    if zone.settings().modes.has(Mode::Auto) {
        findings.extend(hysteresis(zone));
        let both = Direction::BOTH.into_iter().filter_map(|direction| overshoot(zone, direction));
        let worst = both.max_by(|one, other| one.0.total_cmp(&other.0));
        findings.extend(worst.map(|(_, finding)| finding));
        findings.extend(delay(zone));
    }
}

fn deadband(zone: &ZoneAt<'_>) -> f64 {
    zone.settings().grid.value(zone.rules().deadband())
}

/// A call that runs from its start to its end crosses more than the deadband.
fn hysteresis(zone: &ZoneAt<'_>) -> Option<Finding> {
    let thermostat = &zone.zone.controls.thermostat;
    // The direction that swings further.
    let swings = |it: &Direction| thermostat.call_start.of(*it) + thermostat.call_stop.of(*it);
    let by_swing = |one: &Direction, other: &Direction| swings(one).total_cmp(&swings(other));
    let direction = Direction::BOTH.into_iter().rev().max_by(by_swing)?;
    let (start, stop) = (thermostat.call_start.of(direction), thermostat.call_stop.of(direction));
    let swing = start + stop;
    let gap = deadband(zone);
    if swing <= gap + ROUNDING {
        return None;
    }
    let letter = zone.model.unit.letter();
    let single = zone.rules().deadband() == Ticks::ZERO;
    let follows = if single {
        "nothing but this hysteresis separates heating from cooling"
    } else if stop >= gap + thermostat.call_start.of(direction.opposite()) - ROUNDING {
        "every heating call ends where a cooling call may start, and the other way round"
    } else {
        "with the setpoints at the deadband each call ends beyond the other setpoint, and a \
         little overshoot starts the opposite one"
    };
    let message = format!(
        "a {}call swings the room by {} {letter} (call_start {} + call_stop {}), more than the \
         min_deadband of {}: {follows}",
        if start_and_stop_are_common(thermostat) {
            String::new()
        } else {
            format!("{} ", direction.name())
        },
        tidy(swing),
        tidy(start),
        tidy(stop),
        tidy(gap)
    );
    let remedy = format!(
        "give a min_deadband of {} or more, or less hysteresis",
        zone.show(zone.at_least(swing))
    );
    let path = zone.of(if single { &MIN_DEADBAND } else { &CALL_START });
    Some(Finding::warning("hysteresis-exceeds-deadband", path, message).mend(remedy).cite(RULE))
}

fn start_and_stop_are_common(thermostat: &Thermostat) -> bool {
    thermostat.call_start.common().is_some() && thermostat.call_stop.common().is_some()
}

/// How far a call at its lowest output may carry the air past its end, against the room that the
/// deadband leaves before the opposite call starts.
fn overshoot(zone: &ZoneAt<'_>, direction: Direction) -> Option<(f64, Finding)> {
    let (unit, thermostat) = (&zone.zone.unit, &zone.zone.controls.thermostat);
    let lowest = match unit.control {
        UnitControl::Staged { stages } => stages.share(0),
        UnitControl::Modulating { turndown, .. } => turndown,
        UnitControl::Ideal => return None,
    };
    unit.capacity(direction.opposite())?;
    let heat = unit.rated(direction) * lowest;
    let step = zone.model.period.step();
    let late = thermostat.min_on.max(step).get() + zone.zone.controls.sensor.lag.get();
    let kelvin = drift(zone.zone.space.input(), heat, late as f64);
    let past = zone.model.unit.difference_from_kelvin(kelvin);
    let room = deadband(zone) + thermostat.call_start.of(direction.opposite())
        - thermostat.call_stop.of(direction);
    if heat <= 0.0 || past <= room {
        return None;
    }
    let letter = zone.model.unit.letter();
    let message = format!(
        "{} at its lowest output of {} kW may carry the air about {} {letter} past the end of its \
         call ({} until the sensor and min_on let it stop), and only {} {letter} lie between there \
         and a {} call",
        direction.name(),
        tidy(heat / 1000.0),
        tidy(past),
        Seconds::new(late),
        tidy(room.max(0.0)),
        direction.opposite().name()
    );
    let path = zone.path("unit");
    let source = "estimate: air node of ISO 13790 with its mass held still, no losses; rule 9";
    let finding = Finding::note("overshoot-exceeds-deadband", path, message)
        .mend("widen min_deadband, shorten min_on or the sensor's lag, or fit a smaller unit")
        .cite(source);
    Some((past - room, finding))
}

/// How far so much heat moves the air of a room whose mass stays as it is, K: an upper bound.
/// With `H` the series of air to surface and surface to mass and `C` the air's capacity,
/// `Q/H (1 - exp(-t H/C))`.
fn drift(space: &SpaceInput, heat: f64, seconds: f64) -> f64 {
    let air_to_surface = AIR_TO_SURFACE * SURFACES_PER_FLOOR * space.floor;
    let surface_to_mass = SURFACE_TO_MASS * space.mass_area;
    let conductance = 1.0 / (1.0 / air_to_surface + 1.0 / surface_to_mass);
    let rate = conductance / space.air_capacity;
    -libm::expm1(-seconds * rate) * heat / conductance
}

/// A changeover delay that compressor timers make longer.
fn delay(zone: &ZoneAt<'_>) -> Option<Finding> {
    let thermostat = &zone.zone.controls.thermostat;
    let group = zone.group().map(|(group, _)| group);
    if zone.follows() {
        return None;
    }
    let written = match group.map(|group| group.settings.sharing) {
        Some(crate::control::Sharing::SingleMode { policy, changeover_delay, .. })
            if policy != crate::control::ModePolicy::Owner =>
        {
            changeover_delay
        }
        _ => thermostat.changeover_delay,
    };
    let outdoor = group.map_or(Seconds::ZERO, |group| group.settings.min_off);
    let rest = thermostat.min_off.max(outdoor);
    let reversal = match group {
        Some(group) if group.unit.simultaneous => Seconds::ZERO,
        Some(group) => group.unit.reversal_time,
        None => zone.zone.unit.reversal_time,
    };
    let step = zone.model.period.step();
    let looked = whole_steps(written.max(rest), step);
    if looked <= written {
        return None;
    }
    let longest = if rest > written {
        let (what, whose) = if outdoor >= thermostat.min_off && outdoor > Seconds::ZERO {
            (outdoor, "the outdoor unit's min_off")
        } else {
            (thermostat.min_off, "the unit's min_off")
        };
        format!("{whose} of {what} is longer")
    } else {
        format!("the controller looks once in a step of {step}")
    };
    let useful = if reversal > Seconds::ZERO {
        format!(", and useful air comes after {} with the reversal", total(looked, reversal))
    } else {
        String::new()
    };
    let message = format!(
        "changeover_delay is {written}, but {longest}: the effective delay is {looked}{useful}"
    );
    let remedy = format!("write {looked}, what holds anyway, or shorten the longer one");
    Some(
        Finding::note("changeover-delay-overruled", zone.of(&CHANGEOVER_DELAY), message)
            .mend(remedy)
            .cite("control rules 9 and 10"),
    )
}

fn total(one: Seconds, other: Seconds) -> Seconds {
    Seconds::new(one.get() + other.get())
}

/// A length of time as a controller that looks once a step counts it.
fn whole_steps(length: Seconds, step: Seconds) -> Seconds {
    let steps = (length.get() + step.get() - 1) / step.get();
    Seconds::new(steps * step.get())
}

/// A call that starts at the setpoint itself.
fn start_zero(zone: &ZoneAt<'_>) -> Option<Finding> {
    let thermostat = &zone.zone.controls.thermostat;
    let ideal = matches!(zone.zone.unit.control, UnitControl::Ideal);
    let zero = |direction: &Direction| {
        let has = zone.zone.unit.capacity(*direction).is_some();
        has && thermostat.call_start.of(*direction) <= ROUNDING
    };
    let direction = Direction::BOTH.into_iter().find(zero).filter(|_| !ideal)?;
    let follows = if thermostat.call_stop.of(direction) > ROUNDING {
        "a call starts as soon as the room is back at its setpoint"
    } else {
        "calls start and end at the same reading, and only timers keep the unit from cycling"
    };
    let whose = if thermostat.call_start.common().is_some() {
        String::new()
    } else {
        format!(" for {}", direction.name())
    };
    let message = format!("call_start is 0{whose}: {follows}");
    let half = zone.model.unit.difference_from_kelvin(0.5);
    Some(
        Finding::warning("call-start-zero", zone.of(&CALL_START), message)
            .mend(format!("give a call_start, for example {}", tidy(half)))
            .cite(RULE),
    )
}

/// Two controllers whose sensors read otherwise by as much as starts a call.
fn controllers_disagree(zone: &ZoneAt<'_>) -> Option<Finding> {
    let [one, other] = zone.settings().controllers.as_slice() else { return None };
    let apart = (one.offset - other.offset).abs();
    let least = zone
        .zone
        .controls
        .thermostat
        .call_start
        .larger()
        .max(zone.model.unit.difference_from_kelvin(0.5));
    if apart < least - ROUNDING {
        return None;
    }
    let letter = zone.model.unit.letter();
    let message = format!(
        "controllers {} and {} read {} {letter} apart: people see one temperature where they stand, and \
         the zone works by another",
        one.id,
        other.id,
        tidy(apart)
    );
    let path = zone.of(&CONTROLLER_OFFSET).replace("[]", "[1]");
    Some(
        Finding::warning("controllers-disagree", path, message)
            .mend("calibrate both, or let one sensor in the room govern")
            .cite("control rules 7 and 9"),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Derived: at first the air takes all the heat (Q t / C), at last the mass does (Q / H with
    /// 1/H = 1/(3.45 * 4.5 * 40) + 1/(9.1 * 100)).
    #[test]
    fn the_drift_begins_as_the_air_alone_and_ends_at_the_conductance() {
        assert_relative_eq!(
            drift(&SpaceInput::PLAIN, 1000.0, 1.0),
            1000.0 / 4e5,
            max_relative = 1e-3
        );
        let conductance = 1.0 / (1.0 / 621.0 + 1.0 / 910.0);
        assert_relative_eq!(
            drift(&SpaceInput::PLAIN, 1000.0, 1e6),
            1000.0 / conductance,
            max_relative = 1e-9
        );
    }

    #[test]
    fn delays_count_in_whole_steps() {
        let seconds = |length, step| whole_steps(Seconds::new(length), Seconds::new(step)).get();
        assert_eq!([seconds(600, 60), seconds(600, 900), seconds(0, 60)], [600, 900, 0]);
    }
}
