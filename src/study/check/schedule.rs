//! What schedules write and the deadband or a limit makes something else of.

use std::collections::BTreeMap;

use super::Finding;
use super::zone::ZoneAt;
use crate::control::{Outcome, Request, Side, Ticks, judge};
use crate::engine::{Action, Doing};
use crate::settings::controls::RETURN_TO_KEY;
use crate::time::Instant;

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    let mut by_time: BTreeMap<Instant, Vec<&Action>> = BTreeMap::new();
    for action in zone.scheduled() {
        by_time.entry(action.at).or_default().push(action);
    }
    // A repeated action is one finding, however often it comes.
    let mut told: Vec<(String, &'static str)> = Vec::new();
    for actions in by_time.values() {
        for finding in written(zone, actions) {
            let one = (finding.path.clone(), finding.code);
            if !told.contains(&one) {
                told.push(one);
                findings.push(finding);
            }
        }
    }
}

/// What schedules asked of one side at one time.
#[derive(Clone, Copy)]
struct Asked {
    value: f64,
    /// Which of the file's actions asked; none of them where setpoints go back by the clock.
    place: Option<usize>,
}

impl Asked {
    /// Where it stands in the file.
    fn path(self, zone: &ZoneAt<'_>, side: Side) -> String {
        match self.place {
            Some(place) => format!("actions[{place}].{}", side.name()),
            None => zone.controls(&format!("{}.{}", RETURN_TO_KEY.name, side.name())),
        }
    }
}

/// What becomes of everything that schedules write at one time, from the start values.
fn written(zone: &ZoneAt<'_>, actions: &[&Action]) -> Vec<Finding> {
    let mut stored = zone.start();
    let mut asked: [Option<Asked>; 2] = [None; 2];
    let mut pushed = false;
    for action in actions {
        let Doing::Request(request) = action.what else { continue };
        let (settings, standing) = (zone.settings(), zone.standings()[0]);
        let verdict = judge(settings, &stored, standing, request, action.role, action.controller);
        stored = verdict.after;
        pushed |= verdict.outcome == Outcome::Pushed;
        if let Request::Setpoint(side, value) = request {
            asked[side as usize] = Some(Asked { value, place: action.place });
        }
    }
    let mut found = Vec::new();
    for side in [Side::Heat, Side::Cool] {
        let stands = stored.setpoints.get(side);
        let finding = match (asked[side as usize], asked[side.other() as usize]) {
            (Some(own), other) => altered(zone, side, own, other.is_some(), stands),
            (None, Some(other)) if pushed => pushes(zone, side, other, stands),
            _ => None,
        };
        found.extend(finding);
    }
    found
}

/// A written value that does not stand.
fn altered(
    zone: &ZoneAt<'_>,
    side: Side,
    asked: Asked,
    with_other: bool,
    stands: Ticks,
) -> Option<Finding> {
    let value = asked.value;
    if zone.settings().grid.nearest(value) == stands {
        return None;
    }
    let name = side.name();
    let message = format!(
        "a schedule writes {name} {value} and {name} stands at {} afterwards: {}",
        zone.show(stands),
        cause(zone, side, value, with_other)
    );
    let finding = Finding::warning("schedule-altered", asked.path(zone, side), message)
        .mend("write a pair that limits and deadband allow, so that one authority rules")
        .cite("control rules 2 and 3");
    Some(finding)
}

/// A written value that moves the other side away from its start.
fn pushes(zone: &ZoneAt<'_>, side: Side, by: Asked, stands: Ticks) -> Option<Finding> {
    let before = zone.start().setpoints.get(side);
    if stands == before {
        return None;
    }
    let value = by.value;
    let (name, other) = (side.name(), side.other().name());
    let message = format!(
        "a schedule writes {other} {value} and moves {name} from its start value {} to {}, since \
         the minimum deadband is {}",
        zone.show(before),
        zone.show(stands),
        zone.show(zone.rules().deadband())
    );
    let finding = Finding::note("schedule-pushes", by.path(zone, side.other()), message)
        .mend(format!("write {name}, too, so that the pair is what you mean"))
        .cite("control rule 3");
    Some(finding)
}

fn cause(zone: &ZoneAt<'_>, side: Side, value: f64, with_other: bool) -> String {
    let range = zone.rules().range(side);
    let wanted = zone.settings().grid.nearest(value);
    if !range.has(wanted) {
        return format!("it takes {}", super::ranges::range_words(zone, range));
    }
    let deadband = zone.show(zone.rules().deadband());
    match (with_other, zone.rules().is_single()) {
        (true, true) => "one setpoint serves both, and the last writer stands".into(),
        (true, false) => format!("the pair is closer than the minimum deadband of {deadband}"),
        (false, _) => format!("the other setpoint and the minimum deadband of {deadband} hold it"),
    }
}
