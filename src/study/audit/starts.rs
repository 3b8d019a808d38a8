//! Starts an hour: how they are spread over the hours of a log.

use serde_json::json;

use super::LogFinding;
use super::course::Course;
use crate::log::LogTime;

const HOUR: i64 = 3600;

/// Starts in the hours of the clock in which the log knows throughout whether the unit ran.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Starts {
    /// How many such hours there are.
    hours: usize,
    /// At most so many in half of them,
    half: usize,
    /// and in nine of ten,
    nine_tenths: usize,
    /// and in all.
    most: usize,
}

fn starts(course: &Course) -> Option<Starts> {
    let (first, last) = (course.samples.first()?.at, course.samples.last()?.at);
    let hour_of = |at: LogTime| at.get().div_euclid(HOUR) - first.get().div_euclid(HOUR);
    let place = |at: LogTime| usize::try_from(hour_of(at)).unwrap_or(0);
    let mut known = vec![0; place(last) + 1];
    for (sample, number) in course.samples.iter().zip(0..).filter(|(it, _)| it.runs().is_some()) {
        let (mut at, end) = (sample.at, course.end_of(number));
        while at < end {
            let next = LogTime::new((at.get().div_euclid(HOUR) + 1) * HOUR).min(end);
            if let Some(seconds) = known.get_mut(place(at)) {
                *seconds += next - at;
            }
            at = next;
        }
    }
    let mut counts = vec![0; known.len()];
    for at in beginnings(course) {
        counts[place(at)] += 1;
    }
    let whole = known.iter().zip(counts).filter(|(seconds, _)| **seconds == HOUR);
    let mut counts: Vec<usize> = whole.map(|(_, count)| count).collect();
    counts.sort_unstable();
    let hours = counts.len();
    let of = |tenths: usize| counts.get((hours * tenths).div_ceil(10).checked_sub(1)?).copied();
    Some(Starts { hours, half: of(5)?, nine_tenths: of(9)?, most: of(10)? })
}

fn beginnings(course: &Course) -> Vec<LogTime> {
    let spells = course.spells().into_iter().filter(|it| it.on && it.begun);
    spells.map(|it| course.samples[it.from].at).collect()
}

/// A finding about switching, with how the starts are spread over the hours.
pub(super) fn with_starts(course: &Course, mut found: LogFinding) -> LogFinding {
    let Some(it) = starts(course) else { return found };
    let Starts { hours, half, nine_tenths, most } = it;
    let words = if hours == 1 {
        format!(" Starts: {most} in the one whole hour.")
    } else {
        format!(
            " Starts an hour: at most {half} in half of {hours} whole hours, at most {nine_tenths} in \
             nine of ten, {most} in the busiest."
        )
    };
    found.message += &words;
    let values = json!({"hours": hours, "half": half, "nine_tenths": nine_tenths, "most": most});
    found.with("starts_an_hour", values)
}

/// Beginnings in each hour: the most of any, and when it began.
pub(super) fn busiest_hour(course: &Course) -> Option<(usize, LogTime)> {
    let begins = beginnings(course);
    let count =
        |from: usize| begins[from..].iter().take_while(|at| **at - begins[from] < HOUR).count();
    (0..begins.len()).map(|from| (count(from), begins[from])).max_by_key(|(count, _)| *count)
}
