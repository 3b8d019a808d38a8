//! Settings for which no row of a log is evidence.

use super::Unsaid;
use super::changes::Event;
use super::course::Course;
use super::switching::switchings;
use crate::control::{LockableKey, Occupancy};
use crate::direction::Direction;
use crate::settings::controls::{
    CALL_START, CALL_STOP, CHANGEOVER_DELAY, LOCKED_MODES, LOW_LIMIT, MIN_DEADBAND, ON_CONFLICT,
};
use crate::settings::unit::{MIN_OFF, MIN_ON};

/// Blocks of several settings.
const LIMITS: &str = "controls.limits";
const LOCKS: &str = "controls.controllers";

/// Fewer free switchings than this tell no threshold.
const FEW: usize = 5;

pub(super) fn look(course: &Course, events: &[Event], unsaid: &mut Vec<Unsaid>) {
    let mut say = |key: &str, why: &str| {
        unsaid.push(Unsaid { setting: format!("zones.{}.{key}", course.id), why: why.to_owned() });
    };
    let known = |has: fn(&crate::log::Sample) -> bool| course.samples.iter().any(has);
    let setpoints = known(|it| it.heat.is_some() && it.cool.is_some());
    let running = known(|it| it.running.is_some());
    if !running || !setpoints {
        let why =
            if running { "the log has no setpoints" } else { "the log does not tell what ran" };
        for key in [CALL_START.path, CALL_STOP.path, CHANGEOVER_DELAY.path] {
            say(key, why);
        }
    } else {
        for (begins, key) in [(true, CALL_START.path), (false, CALL_STOP.path)] {
            let free = |direction| {
                switchings(course, begins)
                    .iter()
                    .filter(|it| it.direction == direction && it.free)
                    .count()
            };
            for direction in Direction::BOTH.into_iter().filter(|it| free(*it) < FEW) {
                let why = format!(
                    "only {} undisturbed switchings of {}; {FEW} would tell",
                    free(direction),
                    direction.name()
                );
                say(key, &why);
            }
        }
        let turned = course
            .spells()
            .iter()
            .filter(|it| it.on)
            .filter_map(|it| course.direction(it.from))
            .collect::<Vec<_>>()
            .windows(2)
            .any(|pair| pair[0] != pair[1]);
        if !turned {
            say(CHANGEOVER_DELAY.path, "it never turned between heating and cooling");
        }
    }
    for key in [MIN_ON.path, MIN_OFF.path].into_iter().filter(|_| !running) {
        say(key, "the log does not tell what ran");
    }
    pressed(course, events, setpoints, &mut say);
    if !known(|it| it.mode.is_some()) {
        say(LOCKED_MODES.path, "the log has no modes");
    }
    if !matches!(course.zone.controls.occupancy, Occupancy::Always)
        && !known(|it| it.occupied.is_some())
        && course.zone.controls.setback.is_none()
    {
        say("controls.occupancy", "the log does not tell who is there");
    }
    if course.zone.controls.low_limit.is_some_and(|low| {
        !course.samples.iter().any(|it| it.temperature.is_some_and(|air| air < low.below))
    }) {
        say(LOW_LIMIT.path, "it never was so cold");
    }
}

/// What only changes of setpoints tell.
fn pressed(course: &Course, events: &[Event], setpoints: bool, say: &mut impl FnMut(&str, &str)) {
    let settings = &course.zone.controls.settings;
    if !setpoints {
        for key in [MIN_DEADBAND.path, LIMITS, ON_CONFLICT.path] {
            say(key, "the log has no setpoints");
        }
        return;
    }
    if events.is_empty() {
        let locked = settings.key_locks.iter().any(|lock| lock.refuses(LockableKey::Setpoint));
        let keys: &[&str] = if locked { &[ON_CONFLICT.path, LOCKS] } else { &[ON_CONFLICT.path] };
        for key in keys {
            say(key, "no setpoint was ever changed");
        }
        say(LIMITS, "no setpoint was ever changed");
    }
    let deadband = settings.grid.value(settings.rules.deadband());
    let near = |sample: &crate::log::Sample| {
        sample
            .heat
            .zip(sample.cool)
            .is_some_and(|(heat, cool)| cool - heat < deadband + settings.grid.step() / 2.0)
    };
    if !course.samples.iter().any(near) {
        say(MIN_DEADBAND.path, "the setpoints never came so close");
    }
}
