//! Changes of setpoints: when, by how much, and whether a clock or somebody made them.

use super::course::Course;
use crate::log::LogTime;

/// Who seems to have made a change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Maker {
    /// The same minute on several days, or both sides at once as no key moves them.
    Clock,
    /// Somebody came or went.
    Occupancy,
    /// Everything else.
    Hand,
}

/// One change of one setpoint or both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Event {
    /// The first sample that has the new values.
    pub place: usize,
    pub at: LogTime,
    /// Before and after.
    pub heat: (Option<f64>, Option<f64>),
    pub cool: (Option<f64>, Option<f64>),
    pub maker: Maker,
    /// Whether it leads to the same pair of setpoints at the same minute of several days, as a clock does
    /// that sets temperatures; one that does not may be somebody's habit as well.
    pub set: bool,
}

impl Event {
    /// By how much each side moved.
    pub(super) fn moved(&self) -> (f64, f64) {
        let by = |(before, after): (Option<f64>, Option<f64>)| {
            before.zip(after).map_or(0.0, |(before, after)| after - before)
        };
        (by(self.heat), by(self.cool))
    }
}

/// A change follows another within this and the usual interval: they are one, s.
const TOGETHER: i64 = 90;
/// Changes at the same time of day, this far apart at most, are made by a clock, s.
const SAME_MINUTE: i64 = 90;
/// A clock has changed something on at least so many days.
const DAYS: usize = 3;

/// All changes of setpoints.
pub(super) fn events(course: &Course) -> Vec<Event> {
    let mut events: Vec<Event> = Vec::new();
    for (place, pair) in course.samples.windows(2).enumerate() {
        let (before, after) = (&pair[0], &pair[1]);
        let known = |one: Option<f64>, next: Option<f64>| match (one, next) {
            (Some(one), Some(next)) => (one - next).abs() > 1e-6,
            _ => false,
        };
        let moved = known(before.heat, after.heat) || known(before.cool, after.cool);
        if after.after_gap || !moved {
            continue;
        }
        let together = TOGETHER.max(course.interval);
        match events.last_mut() {
            Some(last) if after.at - last.at < together => {
                // A pair that moves in two rows moves at once; one that comes back has not moved.
                last.heat.1 = after.heat;
                last.cool.1 = after.cool;
                last.place = place + 1;
            }
            _ => events.push(Event {
                place: place + 1,
                at: after.at,
                heat: (before.heat, after.heat),
                cool: (before.cool, after.cool),
                maker: Maker::Hand,
                set: false,
            }),
        }
    }
    events.retain(|event| event.moved() != (0.0, 0.0));
    name_makers(course, &mut events);
    events
}

fn name_makers(course: &Course, events: &mut [Event]) {
    let near = SAME_MINUTE.max(course.interval + course.interval / 2);
    let edges = edges(course);
    let seen = events.to_vec();
    for event in events.iter_mut() {
        let (heat, cool) = event.moved();
        let (second, to) = (event.at.second_of_day(), (event.heat.1, event.cool.1));
        let then = |other: &Event| {
            let apart = (other.at.second_of_day() - second).abs();
            apart.min(crate::time::DAY - apart) <= near
        };
        let same_way = |other: &Event| {
            let (other_heat, other_cool) = other.moved();
            heat * other_heat >= 0.0 && cool * other_cool >= 0.0
        };
        event.set = days(&seen, |it| then(it) && (it.heat.1, it.cool.1) == to) >= DAYS;
        let often = event.set || days(&seen, |it| then(it) && same_way(it)) >= DAYS;
        if edges.iter().any(|edge| (event.at - *edge).abs() <= 2 * course.interval.max(60)) {
            event.maker = Maker::Occupancy;
        } else if often || heat * cool < 0.0 {
            // No key moves the two sides towards each other or apart at once.
            event.maker = Maker::Clock;
        }
    }
}

/// On how many days there are such events.
fn days(events: &[Event], of: impl Fn(&Event) -> bool) -> usize {
    let mut days: Vec<_> = events.iter().filter(|it| of(it)).map(|it| it.at.date()).collect();
    days.dedup();
    days.len()
}

/// When somebody comes or goes, as recorded and as the schedule says.
fn edges(course: &Course) -> Vec<LogTime> {
    let mut edges = Vec::new();
    for (place, pair) in course.samples.windows(2).enumerate() {
        let recorded =
            pair[0].occupied.zip(pair[1].occupied).is_some_and(|(one, next)| one != next);
        let scheduled =
            course.by_schedule.as_ref().is_some_and(|there| there[place] != there[place + 1]);
        if recorded || scheduled {
            edges.push(pair[1].at);
        }
    }
    edges
}
