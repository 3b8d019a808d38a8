//! Power, modes, and zones on one outdoor unit.

use super::course::Course;
use super::setpoints::stretches;
use super::{LogFinding, Weight, times};
use crate::control::{Mode, Power, Sharing};
use crate::direction::Direction;
use crate::engine::Model;
use crate::log::Running;

pub(super) fn look(course: &Course, findings: &mut Vec<LogFinding>) {
    findings.extend(while_off(course));
    findings.extend(locked(course));
}

fn while_off(course: &Course) -> Option<LogFinding> {
    let low = course.zone.controls.low_limit;
    let seen = stretches(course, |place| {
        let sample = &course.samples[place];
        // Below its low limit a zone heats whatever was selected.
        let guarded = low.zip(sample.temperature).is_some_and(|(low, air)| air < low.until + 0.5);
        sample.power == Some(Power::Off) && sample.runs() == Some(true) && !guarded
    });
    let message = format!(
        "The unit ran {} while its power was off: power or what ran is recorded wrongly, or something \
         else switches the unit.",
        times(seen.count())
    );
    let remedy = "check the labels of both columns; look for another controller on the unit";
    seen.finding(course, "runs_while_off", Weight::Contradiction, message, remedy)
}

fn locked(course: &Course) -> Option<LogFinding> {
    let settings = &course.zone.controls.settings;
    let unit = &course.zone.unit;
    let wrong = |place: usize| {
        let sample = &course.samples[place];
        let barred = sample
            .mode
            .is_some_and(|mode| settings.locked_modes.has(mode) || !settings.modes.has(mode));
        let runs = match sample.running {
            Some(Running::In(direction)) => {
                let by_mode =
                    sample.mode.is_some_and(|mode| !mode.allows(direction) && !course.zone.shares);
                by_mode || unit.capacity(direction).is_none()
            }
            _ => false,
        };
        barred || runs
    };
    let seen = stretches(course, wrong);
    let first = (0..course.samples.len()).find(|place| wrong(*place))?;
    let sample = &course.samples[first];
    let what = match (sample.mode, sample.running) {
        (Some(mode), _) if settings.locked_modes.has(mode) => {
            format!("mode {} was selected, which is locked out", mode.name())
        }
        (Some(mode), _) if !settings.modes.has(mode) => {
            format!("mode {} was selected, which the unit does not have", mode.name())
        }
        (mode, Some(Running::In(direction))) => format!(
            "the unit ran {} in mode {}",
            direction.name(),
            mode.map_or("unknown", Mode::name)
        ),
        _ => "a mode ran that the settings bar".into(),
    };
    let message = format!(
        "{what}, {}: the lockout is not in force, somebody with more rights chose it, or the labels \
         are wrong.",
        times(seen.count())
    );
    let message = message[..1].to_uppercase() + &message[1..];
    let remedy =
        "read locked modes at the controller, and check the codes under `mode` and `running`";
    seen.finding(course, "locked_mode_ran", Weight::Contradiction, message, remedy)
}

/// Zones on one outdoor unit that serves one direction at a time: opposite ones at once, and zones
/// that wait for it.
pub(super) fn groups(model: &Model, courses: &[Course], findings: &mut Vec<LogFinding>) {
    for unit in &model.outdoor_units {
        let Sharing::SingleMode { .. } = unit.settings.sharing else { continue };
        let members: Vec<&Course> = courses
            .iter()
            .filter(|course| unit.zones.iter().any(|zone| zone.get() == course.place))
            .collect();
        for course in &members {
            findings.extend(against(course, &members));
            findings.extend(starved(course, &members));
        }
    }
}

/// What the others of a group do at a sample: all samples of a log are at the same times.
fn others_run(course: &Course, members: &[&Course], place: usize, direction: Direction) -> bool {
    members.iter().filter(|other| other.place != course.place).any(|other| {
        let sample = other.samples.get(place);
        sample.is_some_and(|it| it.running == Some(Running::In(direction)))
    })
}

fn against(course: &Course, members: &[&Course]) -> Option<LogFinding> {
    let seen = stretches(course, |place| match course.samples[place].running {
        Some(Running::In(direction)) => others_run(course, members, place, direction.opposite()),
        _ => false,
    });
    let message = format!(
        "It ran {} in the direction opposite to another zone's on the same outdoor unit, which serves \
         one at a time: the unit is another, the zone hangs on another one, or the labels are wrong.",
        times(seen.count())
    );
    let remedy = "check which zones hang on which outdoor unit, and the codes under `running`";
    seen.finding(course, "against_group", Weight::Contradiction, message, remedy)
}

/// Rule 10: a call that the group's direction keeps from starting, for a quarter of an hour.
fn starved(course: &Course, members: &[&Course]) -> Option<LogFinding> {
    const LEAST: i64 = 15 * 60;
    let start = course.zone.controls.thermostat.call_start;
    let waits = |place: usize| {
        let sample = &course.samples[place];
        let asks = sample.power != Some(Power::Off)
            && sample.mode != Some(Mode::Fan)
            && sample.runs() != Some(true);
        Direction::BOTH.iter().any(|direction| {
            let needs = sample.temperature.zip(course.setpoint(place, *direction)).is_some_and(
                |(air, setpoint)| match direction {
                    Direction::Heating => air <= setpoint - start.heating,
                    Direction::Cooling => air >= setpoint + start.cooling,
                },
            );
            asks && needs && others_run(course, members, place, direction.opposite())
        })
    };
    let mut seen = stretches(course, waits);
    let long: Vec<bool> = seen.spans.iter().map(|(from, to)| *to - *from >= LEAST).collect();
    let mut keep = long.iter();
    seen.rows.retain(|_| keep.next() == Some(&true));
    let mut keep = long.iter();
    seen.spans.retain(|_| keep.next() == Some(&true));
    seen.seconds = seen.spans.iter().map(|(from, to)| *to - *from).sum();
    let message = format!(
        "It waited {} for the direction that its outdoor unit did not serve, {:.0} min in all: rule 10 \
         calls that starved.",
        times(seen.count()),
        seen.minutes()
    );
    let remedy = "`setband owners` ranks who should decide between heating and cooling";
    seen.finding(course, "starved", Weight::Warning, message, remedy)
}
