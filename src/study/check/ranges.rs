//! Rules 1 and 2: ranges that are narrower than written, and values that stand for nothing.

use super::Finding;
use super::zone::{ZoneAt, listed};
use crate::control::{Limits, OnConflict, Range, Side, Ticks};
use crate::settings::controls::{LIMITS_KEY, ON_CONFLICT};

const RULE: &str = "control rule 2";

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    if zone.rules().is_single() {
        findings.extend(shared(zone));
        findings.extend(ignored_start(zone));
        findings.extend(ignored_practice(zone));
    } else {
        for side in [Side::Heat, Side::Cool] {
            findings.extend(narrowed(zone, side));
        }
    }
    findings.extend(fixed(zone));
}

/// What the deadband takes away from the limits of one side.
fn narrowed(zone: &ZoneAt<'_>, side: Side) -> Option<Finding> {
    let rules = zone.rules();
    let (written, left) = (rules.written(side), rules.range(side));
    let lost = (written.high - left.high) + (left.low - written.low);
    if lost <= Ticks::ZERO {
        return None;
    }
    let other = side.other();
    let (name, other_name, deadband) = (side.name(), other.name(), rules.deadband());
    let end = |range: Range| if side == Side::Heat { range.high } else { range.low };
    let (reach, wanted) = (end(left), end(written));
    let (bound, further) = match side {
        Side::Heat => (rules.written(other).high, rules.written(other).high + lost),
        Side::Cool => (rules.written(other).low, rules.written(other).low - lost),
    };
    let (furthest, verb) = match side {
        Side::Heat => ("no higher", "raise the highest"),
        Side::Cool => ("no lower", "lower the lowest"),
    };
    let message = format!(
        "limits.{name} allow {} and {name} goes {furthest} than {}: {other_name} ends at {}, and the \
         minimum deadband is {}",
        range_words(zone, written),
        zone.show(reach),
        zone.show(bound),
        zone.show(deadband)
    );
    let mut edits = vec![
        format!(
            "smallest edit: write what holds anyway, limits.{name}: [{}, {}]",
            zone.show(left.low),
            zone.show(left.high)
        ),
        format!(
            "to reach {} and keep the deadband: {verb} {other_name} to {}",
            zone.show(wanted),
            zone.show(further)
        ),
    ];
    let less = deadband - lost;
    edits.push(if less > Ticks::ZERO {
        format!(
            "to reach {} and keep the limits: lower min_deadband to {}",
            zone.show(wanted),
            zone.show(less)
        )
    } else {
        "no deadband above 0 reaches it within these limits".to_owned()
    });
    let path = zone.controls(&format!("limits.{name}"));
    Some(Finding::note("range-narrowed", path, message).mend(edits.join("; ")).cite(RULE))
}

/// What both limits have in common, where one setpoint serves both.
fn shared(zone: &ZoneAt<'_>) -> Option<Finding> {
    let Limits { heat, cool } = zone.rules().limits();
    let left = zone.rules().range(Side::Heat);
    if heat == left && cool == left {
        return None;
    }
    let message = format!(
        "one setpoint serves heating and cooling (min_deadband 0), so it takes only what both \
         limits have in common: {}, of heat {} and cool {}",
        range_words(zone, left),
        range_words(zone, heat),
        range_words(zone, cool)
    );
    let both = format!("[{}, {}]", zone.show(left.low), zone.show(left.high));
    let remedy = format!(
        "smallest edit: write what holds anyway, limits: {{heat: {both}, cool: {both}}}; for more \
         room give both the wider range, or a min_deadband above 0"
    );
    let path = zone.of(&LIMITS_KEY);
    Some(Finding::note("range-narrowed", path, message).mend(remedy).cite(RULE))
}

/// A start value that a single setpoint does not take.
fn ignored_start(zone: &ZoneAt<'_>) -> Option<Finding> {
    let (side, value) = zone.zone.controls.ignored_start?;
    let stands = zone.start().setpoints.get(side);
    let message = format!(
        "{} {value} stands for nothing: with min_deadband 0 one setpoint serves both, and the zone \
         starts at {}, the value of the active side",
        side.name(),
        zone.show(stands)
    );
    let path = zone.controls(side.name());
    let remedy = format!("write {} for both, or a min_deadband above 0", zone.show(stands));
    Some(Finding::note("value-ignored", path, message).mend(remedy).cite(RULE))
}

/// A practice on conflicts that has no conflict to deal with.
fn ignored_practice(zone: &ZoneAt<'_>) -> Option<Finding> {
    let practice = zone.rules().on_conflict();
    if practice == OnConflict::Push {
        return None;
    }
    let message = format!(
        "on_conflict {} stands for nothing: with min_deadband 0 there is one setpoint, and nothing \
         to conflict with",
        practice.name()
    );
    let path = zone.of(&ON_CONFLICT);
    let remedy = "leave it out, or give a min_deadband above 0";
    Some(Finding::note("value-ignored", path, message).mend(remedy).cite("control rule 3"))
}

/// Ranges of one value: the keys look dead.
fn fixed(zone: &ZoneAt<'_>) -> Option<Finding> {
    let rules = zone.rules();
    let held = [Side::Heat, Side::Cool].into_iter().filter(|side| {
        let range = rules.range(*side);
        range.low == range.high
    });
    let held: Vec<String> =
        held.map(|side| format!("{} {}", side.name(), zone.show(rules.range(side).low))).collect();
    if held.is_empty() {
        return None;
    }
    let message = format!(
        "only one value is left for {}: warmer and cooler will do nothing there and look dead",
        listed(&held)
    );
    let path = zone.of(&LIMITS_KEY);
    let remedy = "widen the limits, or lock the setpoint keys so that the display says why";
    Some(Finding::warning("setpoint-fixed", path, message).mend(remedy).cite(RULE))
}

pub(super) fn range_words(zone: &ZoneAt<'_>, range: Range) -> String {
    if range.low == range.high {
        return format!("{} alone", zone.show(range.low));
    }
    format!("{} to {}", zone.show(range.low), zone.show(range.high))
}
