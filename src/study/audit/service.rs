//! What people got: rooms that do not answer, capacity, short cycling, hours outside the band.

use super::course::Course;
use super::starts::{busiest_hour, with_starts};
use super::{LogFinding, Seen, Weight, shown};
use crate::direction::Direction;
use crate::log::LogTime;
use crate::time::DAY;

/// More beginnings than this in an hour are short cycling (common practice, no source).
const MOST_STARTS: usize = 6;
/// Runs are looked at for their effect from this length on, s.
const LEAST_RUN: i64 = 45 * 60;
/// A room that moves less than this in an hour of running does not answer, K/h.
const NO_ANSWER: f64 = 0.15;
/// A room this far from its setpoint needs all that its unit can give, K.
const AWAY: f64 = 0.7;

pub(super) fn look(course: &Course, findings: &mut Vec<LogFinding>) {
    findings.extend(outside(course));
    findings.extend(cycling(course));
    effect(course, findings);
}

/// Hours outside the comfort band while somebody is there.
fn outside(course: &Course) -> Option<LogFinding> {
    let (low, high) = course.zone.band;
    let there = |place: usize| course.occupied(place).unwrap_or(true);
    let off = |place: usize| {
        course.samples[place]
            .temperature
            .filter(|_| there(place))
            .map_or(0.0, |air| (low - air).max(air - high).max(0.0))
    };
    let seen =
        super::setpoints::stretches(course, |place| off(place) > course.resolution / 2.0 + 1e-6);
    let all: i64 =
        (0..course.samples.len()).filter(|it| there(*it)).map(|it| course.seconds(it)).sum();
    let worst = (0..course.samples.len()).map(off).fold(0.0, f64::max);
    let share = seen.seconds as f64 / all.max(1) as f64;
    let weight = if share > 0.05 { Weight::Warning } else { Weight::Note };
    let message = format!(
        "For {:.0} of {:.0} h with somebody there the air lay outside the band {} to {}, at worst by \
         {}.",
        seen.seconds as f64 / 3600.0,
        all as f64 / 3600.0,
        shown(low),
        shown(high),
        shown(worst)
    );
    let remedy = "`setband why` says of one such time what the cause was";
    seen.finding(course, "outside_band", weight, message, remedy)
}

fn cycling(course: &Course) -> Option<LogFinding> {
    let (count, at) = busiest_hour(course)?;
    if count <= MOST_STARTS {
        return None;
    }
    let place = course.samples.partition_point(|sample| sample.at < at);
    let mut seen = Seen::default();
    let end = course.samples.partition_point(|sample| sample.at < at + 3600);
    seen.add(course, place, end);
    let message = format!(
        "{count} starts in an hour, from {at} on; more than {MOST_STARTS} wear a compressor (common \
         practice, no source)."
    );
    let remedy =
        "raise min_on or min_off, or call_start; look for a sensor in the supply air's way";
    let found = seen.finding(course, "short_cycling", Weight::Warning, message, remedy)?;
    Some(with_starts(course, found))
}

/// A piece of a long run at full output in which the room never came near its setpoint.
struct Piece {
    from: usize,
    to: usize,
    direction: Direction,
    /// The change of the room towards its setpoint, K/h, as high as the recorder's resolution lets it
    /// have been.
    gain: f64,
    outdoor: Option<f64>,
}

/// How long a piece has to be for a recorder of this resolution to tell whether the room moved, s.
fn shortest_piece(course: &Course) -> i64 {
    let resolution = course.unit.difference_to_kelvin(course.resolution);
    let least = 2.0 * resolution / NO_ANSWER * 3600.0;
    (LEAST_RUN..DAY).step_by(900).find(|seconds| *seconds as f64 >= least).unwrap_or(DAY)
}

/// Long runs cut into pieces, those in which the unit gave all it has and the room stayed away from its
/// setpoint.
fn pieces(course: &Course) -> Vec<Piece> {
    let length = shortest_piece(course);
    let place_of = |at: LogTime| course.samples.partition_point(|it| it.at < at);
    let mut all = Vec::new();
    for spell in course.spells().into_iter().filter(|it| it.on) {
        let Some(direction) = course.direction(spell.from) else { continue };
        // The first minutes go into coil and air.
        let mut from = place_of(course.samples[spell.from].at + 900);
        while from < spell.to {
            let to = place_of(course.samples[from].at + length);
            if to >= spell.to {
                break;
            }
            all.extend(piece(course, direction, from, to));
            from = to;
        }
    }
    all
}

fn piece(course: &Course, direction: Direction, from: usize, to: usize) -> Option<Piece> {
    let (begin, end) = (course.samples[from].temperature?, course.samples[to].temperature?);
    let stop = course.zone.controls.thermostat.call_stop.of(direction);
    let is_away = |place: usize| {
        let sample = &course.samples[place];
        let Some((air, setpoint)) = sample.temperature.zip(course.setpoint(place, direction))
        else {
            return false;
        };
        let short = (setpoint - air) * direction.sign();
        let full = match sample.output {
            Some(output) => output > 0.9,
            None => course.zone.unit.control.is_at_full_output(short + stop),
        };
        full && course.unit.difference_to_kelvin(short) > AWAY
    };
    if !(from..=to).all(is_away) {
        return None;
    }
    let hours = (course.samples[to].at - course.samples[from].at) as f64 / 3600.0;
    let moved = (end - begin) * direction.sign() + course.resolution;
    let gain = course.unit.difference_to_kelvin(moved) / hours;
    Some(Piece { from, to, direction, gain, outdoor: course.samples[to].outdoor })
}

fn effect(course: &Course, findings: &mut Vec<LogFinding>) {
    let (mut dead, mut weak) = (Seen::default(), Seen::default());
    let mut begins: Option<(Direction, f64)> = None;
    for run in pieces(course).into_iter().filter(|run| run.gain < NO_ANSWER) {
        if is_ample(course, &run) {
            dead.add(course, run.from, run.to);
        } else {
            weak.add(course, run.from, run.to);
            if let Some(outdoor) = run.outdoor {
                let milder = |known: f64| match run.direction {
                    Direction::Heating => outdoor > known,
                    Direction::Cooling => outdoor < known,
                };
                if begins.is_none_or(|(_, known)| milder(known)) {
                    begins = Some((run.direction, outdoor));
                }
            }
        }
    }
    let message = format!(
        "In {} stretches of long runs the room did not move towards its setpoint, although the unit should have \
         heat to spare in such weather: it gives none, or its air or the sensor is elsewhere.",
        dead.count()
    );
    let remedy = "feel the supply air while it runs; check valves, filters, refrigerant (licensed \
                  persons) and where the sensor sits";
    findings.extend(dead.finding(course, "no_answer", Weight::Warning, message, remedy));
    let when = begins.map_or_else(String::new, |(direction, outdoor)| {
        format!(", {} from {} outdoors on", direction.name(), shown(outdoor))
    });
    let message = format!(
        "In {} stretches of long runs at full output the room fell behind its setpoint{when}: what the unit gives \
         is less than what the room loses or gains.",
        weak.count()
    );
    let remedy = "compare capacity and loss in the settings with the site; begin earlier, close what is \
                  open, or ask for more capacity";
    let found = weak.finding(course, "capacity_short", Weight::Warning, message, remedy);
    findings.extend(found.map(|it| match begins {
        Some((_, outdoor)) => it.with("outdoor", super::figure(outdoor)),
        None => it,
    }));
}

/// Whether the unit's capacity by the settings is more than twice what the room loses, or gains, at that
/// time.
fn is_ample(course: &Course, run: &Piece) -> bool {
    let (Some(outdoor), Some(air)) = (run.outdoor, course.samples[run.to].temperature) else {
        return run.gain < -NO_ANSWER;
    };
    let apart = course.unit.difference_to_kelvin(air - outdoor) * run.direction.sign();
    let gains = match run.direction {
        Direction::Heating => 0.0,
        Direction::Cooling => course.zone.gains,
    };
    course.zone.unit.rated(run.direction) > 2.0 * (course.zone.loss * apart.max(0.0) + gains)
}
