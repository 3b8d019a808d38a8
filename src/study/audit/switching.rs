//! When calls begin and end: thresholds and delays beside `call_start` and `call_stop`, and the
//! shortest times beside the timers.

use serde_json::{Map, Value, json};

use super::course::{Course, Spell};
use super::starts::with_starts;
use super::statistics::{Paired, at_least, centre, median, probability, quantile, strength};
use super::{ERROR_RATE, LogFinding, Seen, Weight, figure, shown};
use crate::direction::Direction;
use crate::settings::unit::{MIN_OFF, MIN_ON};

/// So many switchings tell a threshold.
const ENOUGH: usize = 5;
/// In a faultless log at most so many of the switchings miss their threshold for reasons that the
/// log does not show (assumed).
const MISSED: f64 = 0.25;
/// A delay is looked for up to so long, s.
const LONGEST_DELAY: i64 = 1800;

/// One beginning or end of a spell in a direction.
#[derive(Clone, Copy, Debug)]
pub(in crate::study) struct Switching {
    /// The first sample after it.
    pub place: usize,
    pub direction: Direction,
    /// The room less the setpoint at that sample, and at the one before.
    pub error: f64,
    pub before: f64,
    /// Whether nothing else than the temperature can have made it.
    pub free: bool,
}

pub(super) fn look(course: &Course, findings: &mut Vec<LogFinding>) {
    let mut all = vec![thresholds(course)];
    if !course.zone.shares {
        all.extend([too_short(course, true), too_short(course, false)]);
    }
    findings.extend(all.into_iter().flatten().map(|it| with_starts(course, it)));
}

/// Beginnings, or ends, of spells in which the unit runs.
pub(in crate::study) fn switchings(course: &Course, begins: bool) -> Vec<Switching> {
    let spells = course.spells();
    let mut found = Vec::new();
    for (number, spell) in spells.iter().enumerate().filter(|(_, spell)| spell.on) {
        let seen = if begins { spell.begun } else { spell.ended };
        let place = if begins { spell.from } else { spell.to };
        if !seen || place == 0 || place >= course.samples.len() {
            continue;
        }
        let Some(direction) = course.direction(spell.from) else { continue };
        let error = |place: usize| {
            Some(course.samples[place].temperature? - course.setpoint(place, direction)?)
        };
        if let (Some(error), Some(before)) = (error(place), error(place - 1)) {
            let free = is_free(course, &spells, number, place, begins);
            found.push(Switching { place, direction, error, before, free });
        }
    }
    found
}

/// Timers, changed setpoints, modes and power make switchings of their own.
fn is_free(course: &Course, spells: &[Spell], number: usize, place: usize, begins: bool) -> bool {
    let thermostat = &course.zone.controls.thermostat;
    let at = course.samples[place].at;
    let slack = 2 * course.interval;
    let settled = slack.max(300);
    let from = course.samples.partition_point(|sample| sample.at < at + -settled);
    let now = &course.samples[place];
    let same = course.samples[from..=place].iter().all(|sample| {
        sample.heat == now.heat
            && sample.cool == now.cool
            && sample.mode == now.mode
            && sample.power == now.power
            && !(sample.after_gap && sample.at != course.samples[from].at)
    });
    if !same || course.zone.shares || now.after_gap {
        return false;
    }
    let length = |spell: Option<&Spell>| spell.map_or(0, |spell| course.length(*spell));
    if begins {
        let rest = length(number.checked_sub(1).and_then(|it| spells.get(it)));
        let last = number.checked_sub(2).and_then(|it| spells.get(it));
        let turned =
            last.is_some_and(|last| course.direction(last.from) != course.direction(place));
        let delay = if turned { thermostat.changeover_delay } else { thermostat.min_off };
        rest > delay.max(thermostat.min_off).get() + slack
    } else {
        length(spells.get(number)) > thermostat.min_on.get() + slack
    }
}

/// What a threshold is by the settings: the room less the setpoint at which a call begins or ends.
fn by_settings(course: &Course, direction: Direction, begins: bool) -> f64 {
    let thermostat = &course.zone.controls.thermostat;
    match (direction, begins) {
        (Direction::Heating, true) => -thermostat.call_start.heating,
        (Direction::Cooling, true) => thermostat.call_start.cooling,
        (Direction::Heating, false) => thermostat.call_stop.heating,
        (Direction::Cooling, false) => -thermostat.call_stop.cooling,
    }
}

/// What was found about one threshold.
struct Found {
    direction: Direction,
    begins: bool,
    middle: f64,
    quarters: (f64, f64),
    settings: f64,
    /// How many switchings, how many of them free, and how many of these missed the threshold.
    counts: (usize, usize, usize),
    /// The time from crossing the threshold of the settings to the switching, s.
    delay: Option<f64>,
    /// How probable so many misses are in a faultless log.
    chance: f64,
    differs: bool,
}

fn found(course: &Course, all: &[Switching], direction: Direction, begins: bool) -> Option<Found> {
    let own: Vec<&Switching> = all.iter().filter(|it| it.direction == direction).collect();
    let free: Vec<&&Switching> = own.iter().filter(|it| it.free).collect();
    let telling: Vec<f64> = if free.is_empty() {
        own.iter().map(|it| it.error).collect()
    } else {
        free.iter().map(|it| it.error).collect()
    };
    if telling.is_empty() {
        return None;
    }
    let settings = by_settings(course, direction, begins);
    let tolerance = course.tolerance();
    let misses = |it: &&&&Switching| {
        let (low, high) = (it.error.min(it.before), it.error.max(it.before));
        settings < low - tolerance || settings > high + tolerance
    };
    let missed = free.iter().filter(misses).count();
    let chance = at_least(missed, free.len(), MISSED);
    let differs = free.len() >= ENOUGH && chance < ERROR_RATE / 4.0;
    let delays: Vec<f64> = own
        .iter()
        .filter(|it| it.free)
        .filter_map(|it| crossed(course, it, settings, begins))
        .map(|seconds| seconds as f64)
        .collect();
    Some(Found {
        direction,
        begins,
        middle: median(&telling),
        quarters: (quantile(&telling, 0.25), quantile(&telling, 0.75)),
        settings,
        counts: (own.len(), free.len(), missed),
        delay: (2 * delays.len() > telling.len()).then(|| median(&delays)),
        chance,
        differs,
    })
}

/// How long before a switching the room crossed the threshold of the settings, s.
fn crossed(course: &Course, it: &Switching, threshold: f64, begins: bool) -> Option<i64> {
    let at = course.samples[it.place].at;
    // A heating call begins below its threshold and ends above it; cooling the other way.
    let below = (it.direction == Direction::Heating) == begins;
    let beyond = |place: usize| {
        let error = course.samples[place].temperature? - course.setpoint(place, it.direction)?;
        Some(if below { error <= threshold + 1e-6 } else { error >= threshold - 1e-6 })
    };
    if beyond(it.place) != Some(true) {
        return None;
    }
    let mut first = it.place;
    while let Some(earlier) = first.checked_sub(1) {
        let near = at - course.samples[earlier].at <= LONGEST_DELAY;
        if !near || course.samples[first].after_gap || beyond(earlier) != Some(true) {
            break;
        }
        first = earlier;
    }
    Some(at - course.samples[first].at)
}

impl Found {
    fn words(&self) -> String {
        let (all, free, missed) = self.counts;
        let what = match (self.direction, self.begins) {
            (Direction::Heating, true) => "heating begins",
            (Direction::Heating, false) => "heating ends",
            (Direction::Cooling, true) => "cooling begins",
            (Direction::Cooling, false) => "cooling ends",
        };
        let (low, high) = self.quarters;
        let delay = match self.delay {
            Some(delay) if delay >= 60.0 => format!(
                "; the settings' {} was crossed {:.0} min before",
                signed(self.settings),
                delay / 60.0
            ),
            _ => String::new(),
        };
        format!(
            "{what} at {} from its setpoint (the middle half of {all} between {} and {}), by the \
             settings at {}; {missed} of {free} undisturbed ones miss that ({} of another threshold{}){delay}",
            signed(self.middle),
            signed(low),
            signed(high),
            signed(self.settings),
            if self.differs { strength(self.chance) } else { "no proof" },
            if self.differs {
                format!(": by chance with a probability {}", probability(self.chance))
            } else {
                String::new()
            },
        )
    }
}

fn signed(value: f64) -> String {
    let text = shown(value);
    if text.starts_with('-') || text == "0" { text } else { format!("+{text}") }
}

fn thresholds(course: &Course) -> Option<LogFinding> {
    let sides = [(true, switchings(course, true)), (false, switchings(course, false))];
    let mut all = Vec::new();
    for (begins, switchings) in &sides {
        for direction in Direction::BOTH {
            all.extend(found(course, switchings, direction, *begins));
        }
    }
    let mut seen = Seen::default();
    for (_, switchings) in &sides {
        for it in switchings {
            seen.add(course, it.place, it.place + 1);
        }
    }
    let differs = all.iter().any(|it| it.differs);
    let words: Vec<String> = all.iter().map(Found::words).collect();
    let (weight, lead) = if differs {
        (Weight::Contradiction, "Switching is not that of the settings")
    } else {
        (Weight::Note, "Switching agrees with the settings, as far as it can be told")
    };
    let message = format!(
        "{lead}: {}. (A test at {} % error; a reading counts as met within {}.)",
        words.join("; "),
        100.0 * ERROR_RATE,
        shown(course.tolerance())
    );
    let remedy = if differs {
        "read hysteresis and delays at the controller and correct call_start, call_stop, min_on and \
         min_off in the settings; look where the sensor sits"
    } else {
        "nothing to do"
    };
    let mut finding = seen.finding(course, "hysteresis_differs", weight, message, remedy)?;
    for (key, begins) in [("start", true), ("stop", false)] {
        let of = || all.iter().filter(move |it| it.begins == begins);
        let medians: Map<String, Value> =
            of().map(|it| (it.direction.name().to_owned(), json!(figure(it.middle)))).collect();
        finding = finding.with(key, medians);
        let delays: Map<String, Value> = of()
            .filter_map(|it| Some((it.direction.name().to_owned(), json!(it.delay?))))
            .collect();
        finding = finding.with(if begins { "start_delay_s" } else { "stop_delay_s" }, delays);
        let counts: Map<String, Value> =
            of().map(|it| (it.direction.name().to_owned(), json!(it.counts.0))).collect();
        finding = finding.with(if begins { "starts" } else { "stops" }, counts);
    }
    Some(finding)
}

/// Spells that are shorter than their timer lets them be.
fn too_short(course: &Course, on: bool) -> Option<LogFinding> {
    let thermostat = &course.zone.controls.thermostat;
    let timer = if on { thermostat.min_on } else { thermostat.min_off };
    let spells = course.spells();
    let whole: Vec<Spell> =
        spells.into_iter().filter(|it| it.on == on && it.begun && it.ended).collect();
    let mut seen = Seen::default();
    for spell in &whole {
        // A spell is seen to begin and to end by up to an interval late.
        let most = course.length(*spell) + course.interval;
        let disturbed = on && is_disturbed(course, *spell);
        if most <= timer.get() && !disturbed {
            seen.add(course, spell.from, spell.to);
        }
    }
    let lengths: Vec<f64> = whole.iter().map(|it| course.length(*it) as f64 / 60.0).collect();
    let least = lengths.iter().copied().fold(f64::INFINITY, f64::min);
    let (code, what, key) = if on {
        ("min_on_broken", "runs", MIN_ON.name)
    } else {
        ("min_off_broken", "rests", MIN_OFF.name)
    };
    let message = format!(
        "{} of {} {what} were shorter than {key}, which the settings have at {timer}; the shortest \
         {} min, half of them at most {} min.",
        seen.count(),
        whole.len(),
        shown(least),
        shown(median(&lengths))
    );
    let weight = if seen.count() >= 2 { Weight::Contradiction } else { Weight::Warning };
    let remedy = format!("read {key} at the unit and correct the settings, or set it");
    let found = seen.finding(course, code, weight, message, remedy)?;
    Some(found.with("shortest_min", figure(least)).with("timer_min", timer.get() as f64 / 60.0))
}

/// Whether mode or power ended a run.
fn is_disturbed(course: &Course, spell: Spell) -> bool {
    let (last, next) = (&course.samples[spell.to - 1], &course.samples[spell.to]);
    let off = next.power == Some(crate::control::Power::Off);
    last.mode != next.mode || last.power != next.power || off
}

/// The room less the setpoint at beginnings and ends, around the middle of each direction's, beside
/// the same of another temperature.
pub(super) fn residuals(course: &Course, other: &[Option<f64>], step: f64) -> Paired {
    let mut all: Vec<(usize, f64, f64)> = Vec::new();
    for begins in [true, false] {
        let switchings = switchings(course, begins);
        for direction in Direction::BOTH {
            let own = switchings.iter().filter(|it| it.direction == direction);
            let pairs: Vec<(usize, f64, f64)> = own
                .filter_map(|it| {
                    let setpoint = course.setpoint(it.place, direction)?;
                    Some((it.place, it.error, other[it.place]? - setpoint))
                })
                .collect();
            if pairs.len() < 3 {
                continue;
            }
            let (own, theirs): (Vec<f64>, Vec<f64>) = pairs.iter().map(|it| (it.1, it.2)).unzip();
            let (one, two) = (centre(&own, course.resolution), centre(&theirs, step));
            all.extend(pairs.iter().map(|(place, a, b)| (*place, a - one, b - two)));
        }
    }
    all.sort_by_key(|it| it.0);
    Paired {
        one: all.iter().map(|it| it.1).collect(),
        other: all.iter().map(|it| it.2).collect(),
        steps: (course.resolution, step),
    }
}
