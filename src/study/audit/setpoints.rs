//! Setpoints against their rules: deadband, limits, steps, what gives way, locks, drift.

use super::changes::{Event, Maker};
use super::course::Course;
use super::{LogFinding, Seen, Weight, shown, times};
use crate::control::{LockableKey, OnConflict, SetpointRules, Setpoints, Side, on_conflict_words};

pub(super) fn look(course: &Course, events: &[Event], findings: &mut Vec<LogFinding>) {
    findings.extend(band(course));
    findings.extend(limits(course));
    findings.extend(steps(course));
    findings.extend(pushes(course, events));
    findings.extend(locked(course, events));
    findings.extend(creep(course, events));
}

/// Stretches of at least two samples and a minute in which something holds.
pub(super) fn stretches(course: &Course, holds: impl Fn(usize) -> bool) -> Seen {
    let mut seen = Seen::default();
    let mut from = None;
    for place in 0..=course.samples.len() {
        let goes_on = place < course.samples.len()
            && holds(place)
            && !(from.is_some() && course.samples[place].after_gap);
        match (from, goes_on) {
            (None, true) => from = Some(place),
            (Some(start), false) => {
                let long = course.end_of(place - 1) - course.samples[start].at > 60;
                if place - start >= 2 && long {
                    seen.add(course, start, place);
                }
                from = (place < course.samples.len() && holds(place)).then_some(place);
            }
            _ => {}
        }
    }
    seen
}

fn band(course: &Course) -> Option<LogFinding> {
    let settings = &course.zone.controls.settings;
    let deadband = settings.grid.value(settings.rules.deadband());
    let half = settings.grid.step() / 2.0;
    let gap = |place: usize| {
        let sample = &course.samples[place];
        sample.heat.zip(sample.cool).map(|(heat, cool)| cool - heat)
    };
    // Crossed setpoints are labels that are swapped, which is told apart.
    let narrow = |place: usize| gap(place).is_some_and(|gap| gap < deadband - half && gap > -half);
    let seen = stretches(course, narrow);
    let least = (0..course.samples.len()).filter_map(gap).fold(f64::INFINITY, f64::min);
    let message = format!(
        "Heat and cool stood {} apart, {}, where the deadband in the settings is {}: it was not in \
         force, or another is.",
        shown(least),
        times(seen.count()),
        shown(deadband)
    );
    let remedy = "read the deadband at the controller and set it, or correct the settings record";
    let found = seen.finding(course, "band_too_narrow", Weight::Contradiction, message, remedy)?;
    Some(found.with("least_gap", super::figure(least)).with("deadband", deadband))
}

fn limits(course: &Course) -> Option<LogFinding> {
    let settings = &course.zone.controls.settings;
    let half = settings.grid.step() / 2.0;
    let setback = course.zone.controls.setback;
    let value = |ticks| settings.grid.value(ticks);
    let outside = |place: usize, side: Side| {
        let sample = &course.samples[place];
        let range = settings.rules.written(side);
        let (mut low, mut high) = (value(range.low), value(range.high));
        // While nobody is there a setback moves what works.
        if let Some(setback) = setback.filter(|_| course.occupied(place) != Some(true)) {
            low = low.min(value(setback.heat_low)).min(low - value(setback.heat));
            high = high.max(value(setback.cool_high)).max(high + value(setback.cool));
        }
        let setpoint = match side {
            Side::Heat => sample.heat,
            Side::Cool => sample.cool,
        };
        setpoint.filter(|it| *it < low - half || *it > high + half)
    };
    let any =
        |place: usize| outside(place, Side::Heat).is_some() || outside(place, Side::Cool).is_some();
    let seen = stretches(course, any);
    let first = (0..course.samples.len()).find(|place| any(*place))?;
    let side = if outside(first, Side::Heat).is_some() { Side::Heat } else { Side::Cool };
    let range = settings.rules.written(side);
    let message = format!(
        "The {} setpoint stood at {}, outside its limits {} to {}, {}: the limits were not in force, \
         or others are.",
        side.name(),
        shown(outside(first, side)?),
        shown(value(range.low)),
        shown(value(range.high)),
        times(seen.count())
    );
    let remedy = "read the limits at the controller and set them, or correct the settings record";
    seen.finding(course, "outside_limits", Weight::Contradiction, message, remedy)
}

/// Setpoints between the steps of the controller.
fn steps(course: &Course) -> Option<LogFinding> {
    let grid = course.zone.controls.settings.grid;
    // Values that a panel turns into its own unit lie between the steps by right.
    if course.zone.controls.settings.display.is_some() {
        return None;
    }
    let off = |value: f64| {
        let apart = (value - grid.value(grid.nearest(value))).abs();
        apart > (0.12 * grid.step()).max(0.03)
    };
    let any = |place: usize| {
        let sample = &course.samples[place];
        sample.heat.is_some_and(off) || sample.cool.is_some_and(off)
    };
    let seen = stretches(course, any);
    let first = (0..course.samples.len()).find(|place| any(*place))?;
    let sample = &course.samples[first];
    let value = sample.heat.filter(|it| off(*it)).or(sample.cool)?;
    let message = format!(
        "A setpoint stood at {}, which lies between the steps of {} that the settings have: the \
         controller keeps another step or unit, or something else than keys writes it.",
        shown(value),
        shown(grid.step())
    );
    let remedy = "read unit and step at the controller and correct the settings record";
    seen.finding(course, "off_step", Weight::Contradiction, message, remedy)
}

/// Whether presses by hand did to the other side what the settings say.
fn pushes(course: &Course, events: &[Event]) -> Option<LogFinding> {
    let settings = &course.zone.controls.settings;
    let rules = &settings.rules;
    if rules.is_single() {
        return None;
    }
    let mut seen = [(OnConflict::Push, 0), (OnConflict::Hold, 0), (OnConflict::PushAndReturn, 0)];
    let mut own = Seen::default();
    let mut telling = 0;
    let mut followed: [Option<Setpoints>; 3] = [None; 3];
    for event in events {
        let (Some(heat), Some(cool)) =
            (event.heat.0.zip(event.heat.1), event.cool.0.zip(event.cool.1))
        else {
            continue;
        };
        if event.maker != Maker::Hand {
            // A clock may set both at once: what was asked before is not known any more.
            followed = [None; 3];
            continue;
        }
        let mut explained = [false; 3];
        for (place, (policy, _)) in seen.iter().enumerate() {
            let known = followed[place];
            let (fits, after) = follow(course, rules, *policy, known, heat, cool);
            explained[place] = fits;
            followed[place] = after;
        }
        // A change that all policies explain says nothing.
        if explained == [true; 3] || explained == [false; 3] {
            continue;
        }
        telling += 1;
        for ((policy, wrong), fits) in seen.iter_mut().zip(explained) {
            if !fits {
                *wrong += 1;
                if *policy == rules.on_conflict() {
                    own.add(course, event.place, event.place + 1);
                }
            }
        }
    }
    let wrong = |policy: OnConflict| seen.iter().find(|it| it.0 == policy).map_or(0, |it| it.1);
    let best = seen.iter().min_by_key(|it| it.1)?;
    let count = own.count();
    if count < 2 || best.1 >= wrong(rules.on_conflict()) {
        return None;
    }
    let message = format!(
        "Of {telling} changes by hand that tell what gives way, {count} went otherwise than `{}` ({}) \
         has it; `{}` ({}) explains all but {}.",
        rules.on_conflict().name(),
        on_conflict_words(rules.on_conflict()),
        best.0.name(),
        on_conflict_words(best.0),
        best.1
    );
    let remedy = "read at the controller what a setpoint does that stands in the way";
    let found = own.finding(course, "push_differs", Weight::Contradiction, message, remedy)?;
    Some(found.with("explains", best.0.name()).with("telling", telling))
}

/// Whether a request for one side brings about what was seen, under a policy; and the pair after it
/// with what is remembered of what was asked.
fn follow(
    course: &Course,
    rules: &SetpointRules,
    policy: OnConflict,
    known: Option<Setpoints>,
    heat: (f64, f64),
    cool: (f64, f64),
) -> (bool, Option<Setpoints>) {
    let grid = course.zone.controls.settings.grid;
    let Ok(rules) = SetpointRules::new(rules.limits(), rules.deadband(), policy) else {
        return (true, None);
    };
    let (before, after) = (
        (grid.nearest(heat.0), grid.nearest(cool.0)),
        (grid.nearest(heat.1), grid.nearest(cool.1)),
    );
    let known = known.filter(|pair| (pair.heat(), pair.cool()) == before);
    let Some(pair) = known.or_else(|| rules.start_dual(before.0, before.1).ok()) else {
        return (true, None);
    };
    let mut sides = Vec::new();
    if before.0 != after.0 {
        sides.push((Side::Heat, after.0));
    }
    if before.1 != after.1 {
        sides.push((Side::Cool, after.1));
    }
    for (side, wanted) in &sides {
        let moved = pair.request(&rules, *side, *wanted).setpoints;
        if (moved.heat(), moved.cool()) == after {
            return (true, Some(moved));
        }
    }
    (false, rules.start_dual(after.0, after.1).ok())
}

fn locked(course: &Course, events: &[Event]) -> Option<LogFinding> {
    let locks = &course.zone.controls.settings.key_locks;
    if locks.is_empty() || !locks.iter().all(|lock| lock.refuses(LockableKey::Setpoint)) {
        return None;
    }
    let mut seen = Seen::default();
    for event in events.iter().filter(|event| event.maker == Maker::Hand) {
        seen.add(course, event.place, event.place + 1);
    }
    let message = format!(
        "Setpoints were changed {} at other times than a clock's, although the setpoint keys are \
         locked in the settings: the lock is saved and not in force, or it was not occupants who \
         changed them.",
        times(seen.count())
    );
    let remedy =
        "try the keys at the controller; put the lock in force, or correct the settings record";
    seen.finding(course, "locked_key_moved", Weight::Contradiction, message, remedy)
}

/// Less than a step, again and again the same way: one unit is kept and another shown.
fn creep(course: &Course, events: &[Event]) -> Option<LogFinding> {
    let step = course.zone.controls.settings.grid.step();
    let (mut up, mut down) = (Seen::default(), Seen::default());
    for event in events {
        let (heat, cool) = event.moved();
        for by in [heat, cool].into_iter().filter(|by| *by != 0.0 && by.abs() < 0.9 * step) {
            let seen = if by > 0.0 { &mut up } else { &mut down };
            seen.add(course, event.place, event.place + 1);
        }
    }
    let seen = if up.count() > down.count() { up } else { down };
    if seen.count() < 3 {
        return None;
    }
    let message = format!(
        "A setpoint moved {} by less than its step of {}, each time the same way: it is kept in one \
         unit and written back in another, and creeps.",
        times(seen.count()),
        shown(step)
    );
    let remedy = "let panel and controller use one unit, or stop whatever writes setpoints back";
    seen.finding(course, "creep", Weight::Warning, message, remedy)
}
