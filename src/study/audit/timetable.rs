//! What clocks and people change, who is there, and whether the log's clock is right.

use serde_json::json;

use super::changes::{Event, Maker};
use super::course::Course;
use super::setpoints::stretches;
use super::statistics::{at_least, median, probability, strength};
use super::sun::{SunOffset, put_right};
use super::{ERROR_RATE, LogFinding, Seen, Unsaid, Weight, figure, shown, times as times_in_words};
use crate::control::Occupancy;
use crate::log::{LogTime, SiteLog};
use crate::time::DAY;

pub(super) fn look(course: &Course, events: &[Event], findings: &mut Vec<LogFinding>) {
    findings.extend(by_clock(course, events));
    findings.extend(by_hand(course, events));
    findings.extend(presence(course));
}

fn clock(second: i64) -> String {
    format!("{:02}:{:02}", second / 3600, second / 60 % 60)
}

/// Changes at the same minute on several days, or as people come and go.
fn by_clock(course: &Course, events: &[Event]) -> Option<LogFinding> {
    let mut seen = Seen::default();
    let mut times: Vec<(i64, usize, String)> = Vec::new();
    for event in events.iter().filter(|event| event.maker != Maker::Hand) {
        seen.add(course, event.place, event.place + 1);
        let second = event.at.second_of_day();
        let near = |known: i64| (known - second).abs() <= course.interval.max(90);
        match times.iter_mut().find(|(known, ..)| near(*known)) {
            Some((_, count, _)) => *count += 1,
            None => times.push((second, 1, pair(event))),
        }
    }
    times.sort_unstable();
    let words: Vec<String> = times
        .iter()
        .take(8)
        .map(|(second, count, pair)| {
            format!("{} ({}, to {pair})", clock(*second), times_in_words(*count))
        })
        .collect();
    let days = days(course);
    let message = format!(
        "A clock, or people who come and go, change the setpoints: at {}, over {days} days.",
        words.join(", ")
    );
    let remedy = "compare with the schedule in the settings";
    let found = seen.finding(course, "scheduled_change", Weight::Note, message, remedy)?;
    let list: Vec<String> = times.iter().map(|(second, ..)| clock(*second)).collect();
    Some(found.with("times", json!(list)))
}

/// How many days the log touches; a row at midnight ends the day before.
fn days(course: &Course) -> i64 {
    let (Some(first), Some(last)) = (course.samples.first(), course.samples.last()) else {
        return 0;
    };
    let day = |seconds: i64| seconds.div_euclid(DAY);
    (day(last.at.get() - 1) - day(first.at.get())).max(0) + 1
}

/// The setpoints after a change.
fn pair(event: &Event) -> String {
    match (event.heat.1, event.cool.1) {
        (Some(heat), Some(cool)) => format!("{} and {}", shown(heat), shown(cool)),
        (Some(one), None) | (None, Some(one)) => shown(one),
        (None, None) => String::new(),
    }
}

/// Everything else: when, how often, how far, and how much of it was taken back.
fn by_hand(course: &Course, events: &[Event]) -> Option<LogFinding> {
    const TAKEN_BACK_WITHIN: i64 = 4 * 3600;
    let hand: Vec<&Event> = events.iter().filter(|event| event.maker == Maker::Hand).collect();
    let mut seen = Seen::default();
    let mut sizes = Vec::new();
    let mut back = 0;
    for (place, event) in hand.iter().enumerate() {
        seen.add(course, event.place, event.place + 1);
        let (heat, cool) = event.moved();
        let by = if heat == 0.0 { cool } else { heat };
        sizes.push(by.abs());
        let undone = hand[place + 1..].iter().any(|later| {
            let (later_heat, later_cool) = later.moved();
            let same_side = (heat * later_heat < 0.0) || (cool * later_cool < 0.0);
            later.at - event.at <= TAKEN_BACK_WITHIN && same_side
        });
        back += usize::from(undone);
    }
    let message = format!(
        "Setpoints were changed by hand {}, half of the times by at least {}; {back} of these changes \
         {} taken back within 4 h.",
        times_in_words(hand.len()),
        shown(median(&sizes)),
        if back == 1 { "was" } else { "were" }
    );
    let remedy = "presses that are taken back tell of settings that do not suit";
    let found = seen.finding(course, "changed_by_hand", Weight::Note, message, remedy)?;
    Some(found.with("median", figure(median(&sizes))).with("taken_back", back))
}

/// Who is there by the log, against the settings.
fn presence(course: &Course) -> Option<LogFinding> {
    let schedule = course.by_schedule.as_ref()?;
    let differs =
        |place: usize| course.samples[place].occupied.is_some_and(|there| there != schedule[place]);
    let known: i64 = (0..course.samples.len())
        .filter(|place| course.samples[*place].occupied.is_some())
        .map(|place| course.seconds(place))
        .sum();
    let mut seen = stretches(course, differs);
    let long: Vec<bool> = seen.spans.iter().map(|(from, to)| *to - *from > 900).collect();
    let mut keep = long.iter();
    seen.rows.retain(|_| keep.next() == Some(&true));
    let mut keep = long.iter();
    seen.spans.retain(|_| keep.next() == Some(&true));
    seen.seconds = seen.spans.iter().map(|(from, to)| *to - *from).sum();
    // Half an hour a day is nothing to write down.
    if seen.seconds < 3600 || DAY * seen.seconds < 1800 * known {
        return None;
    }
    let empty = (0..course.samples.len())
        .filter(|place| differs(*place) && schedule[*place])
        .map(|place| course.seconds(place))
        .sum::<i64>();
    let hours = |seconds: i64| format!("{:.1}", seconds as f64 / 3600.0);
    let message = format!(
        "For {} of {} h the log says otherwise than the settings who is there: {} h nobody where the \
         settings have somebody, {} h somebody where they have nobody.",
        hours(seen.seconds),
        hours(known),
        hours(empty.min(seen.seconds)),
        hours((seen.seconds - empty).max(0))
    );
    let remedy = "write the hours into `occupancy` as they are, or find out who comes when";
    seen.finding(course, "occupancy_differs", Weight::Warning, message, remedy)
}

/// The log's clock against the schedule of the settings: how far the changes lie from its edges.
pub(super) fn clock_off(course: &Course) -> Option<(Vec<f64>, Seen)> {
    /// Further off they belong to something else, s.
    const FURTHEST: i64 = 3 * 3600;
    if !matches!(course.zone.controls.occupancy, Occupancy::Schedule(_)) {
        return None;
    }
    let schedule = course.by_schedule.as_ref()?;
    let early = course.zone.controls.optimum_start.is_some();
    let recorded = marks(course);
    let mut offsets = Vec::new();
    let mut seen = Seen::default();
    for (place, pair) in course.samples.windows(2).enumerate() {
        let (was, is) = (schedule[place], schedule[place + 1]);
        // An optimum start begins before the schedule does.
        if was == is || pair[1].after_gap || (early && is) {
            continue;
        }
        let edge = pair[1].at;
        let nearest = recorded
            .iter()
            .filter(|(_, comes)| *comes == is)
            .map(|(at, _)| *at - edge)
            .filter(|apart| apart.abs() <= FURTHEST)
            .min_by_key(|apart| apart.abs());
        if let Some(apart) = nearest {
            offsets.push(apart as f64 / 60.0);
            seen.add(course, place + 1, place + 2);
        }
    }
    Some((offsets, seen))
}

/// When somebody comes (true) or goes by what was recorded: presence itself, or setpoints that a
/// setback moves together or apart.
fn marks(course: &Course) -> Vec<(LogTime, bool)> {
    let has_presence = course.samples.iter().any(|it| it.occupied.is_some());
    let setback = course.zone.controls.setback.is_some();
    let mut marks = Vec::new();
    for pair in course.samples.windows(2).filter(|pair| !pair[1].after_gap) {
        if has_presence {
            if let (Some(was), Some(is)) = (pair[0].occupied, pair[1].occupied)
                && was != is
            {
                marks.push((pair[1].at, is));
            }
        } else if setback
            && let (Some(h0), Some(c0), Some(h1), Some(c1)) =
                (pair[0].heat, pair[0].cool, pair[1].heat, pair[1].cool)
        {
            // A setback moves both sides apart at once, and back.
            if h1 < h0 && c1 > c0 {
                marks.push((pair[1].at, false));
            } else if h1 > h0 && c1 < c0 {
                marks.push((pair[1].at, true));
            }
        }
    }
    marks
}

/// So many edges of the schedule tell whether a clock is off.
const EDGES: usize = 4;

/// One finding for the whole log: all zones have one clock.
pub(super) fn clock_of(
    courses: &[Course],
    site: &SiteLog,
    sun: Option<&SunOffset>,
    findings: &mut Vec<LogFinding>,
    unsaid: &mut Vec<Unsaid>,
) {
    let mut best: Option<(&Course, Vec<f64>, Seen)> = None;
    for course in courses {
        let Some((offsets, seen)) = clock_off(course) else { continue };
        if best.as_ref().is_none_or(|(_, known, _)| offsets.len() > known.len()) {
            best = Some((course, offsets, seen));
        }
    }
    let Some((course, offsets, seen)) = best else { return };
    let interval = course.interval as f64 / 60.0;
    let middle = median(&offsets);
    let near = interval.max(2.0) + 0.01;
    let agree = offsets.iter().filter(|offset| (*offset - middle).abs() <= near).count();
    let far = offsets.iter().filter(|offset| offset.abs() > near).count();
    // Were the clock right, most edges would be met; a holiday or an override misses a quarter.
    let chance = at_least(far, offsets.len(), 0.25);
    if offsets.is_empty() || middle.abs() <= near || 4 * agree < 3 * offsets.len() {
        return;
    }
    let side = if middle > 0.0 { "late" } else { "early" };
    if offsets.len() < EDGES || chance >= ERROR_RATE {
        let why = format!(
            "the schedule shows in the log only {}, {} min {side}: a clock that is off can't be told \
             from a day that was otherwise ({}: by chance with a probability {}); {EDGES} edges \
             would tell",
            times_in_words(offsets.len()),
            shown(middle.abs()),
            strength(chance),
            probability(chance),
        );
        unsaid.push(Unsaid { setting: "log.ahead".into(), why });
        return;
    }
    let message = format!(
        "The schedule of the settings shows in the log {} min {side}: half of {} edges lie so far off, {agree} \
         of them within {near:.0} min of that ({}: by chance with a probability {}). {}",
        shown(middle.abs()),
        offsets.len(),
        strength(chance),
        probability(chance),
        whose(middle, sun),
    );
    let remedy = format!(
        "compare recorder and controller with a true clock; if it is the recorder's, {}",
        put_right(site, middle)
    );
    let found = seen.finding(course, "clock_off", Weight::Contradiction, message, remedy);
    findings.extend(found.map(|it| {
        LogFinding { zone: None, ..it }
            .with("minutes", figure(middle))
            .with("against", "schedule")
            .with("edges", offsets.len())
    }));
}

/// So many standard errors is one of a hundred off by chance.
const FAR: f64 = 2.6;

/// Whose clock it may be: where the log has the sun, that tells the recorder's.
fn whose(middle: f64, sun: Option<&SunOffset>) -> String {
    let either = "The log's clock is wrong, or the controller's, or the settings have another \
                  schedule";
    let Some(sun) = sun else { return format!("{either}.") };
    let apart = |from: f64| (sun.minutes - from).abs() / sun.error;
    let (right, wrong) = (apart(0.0), apart(middle));
    match (right < FAR, wrong < FAR) {
        (true, false) => {
            "The log's clock goes with the sun, so it is the controller's clock, or the \
                          settings have another schedule."
                .into()
        }
        (false, true) => {
            "Against the sun the log's clock is off as far, so it is the log's.".into()
        }
        (true, true) => format!("{either}; the sun in the log can't tell these apart."),
        (false, false) => {
            format!("{either}; against the sun the log's is off, too, and not as far.")
        }
    }
}
