//! Values that do not survive the way through a display in the other unit.

use super::Finding;
use super::zone::{ZoneAt, listed};
use crate::control::{Side, Ticks};
use crate::settings::controls::SHOWN_UNIT;

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    let Some(display) = zone.settings().display else { return };
    let grid = zone.settings().grid;
    let reads = |ticks| display.reads(grid.value(ticks), grid.unit());
    let back = |ticks| display.set(reads(ticks), grid).stored;
    let start = zone.start().setpoints;
    let limits = zone.rules().limits();
    let written = [
        ("heat", start.heat()),
        ("cool", start.cool()),
        ("limits.heat", limits.heat.low),
        ("limits.heat", limits.heat.high),
        ("limits.cool", limits.cool.low),
        ("limits.cool", limits.cool.high),
    ];
    let letter = display.grid().unit().letter();
    for (key, value) in written.into_iter().filter(|(_, value)| back(*value) != *value) {
        let shown = display.grid().show(reads(value));
        let message = format!(
            "{key} {} reads {shown} {letter} on the display, and {shown} {letter} set there is \
             stored as {}: the value moves without anybody wanting it",
            zone.show(value),
            zone.show(back(value))
        );
        let kept = neighbours(value).into_iter().filter(|near| back(*near) == *near);
        let kept: Vec<String> = kept.map(|near| zone.show(near)).collect();
        let remedy = if kept.is_empty() {
            "show the unit that is stored".to_owned()
        } else {
            format!("use {}, which come back as they were", listed(&kept))
        };
        findings.push(
            Finding::warning("value-creeps", zone.controls(key), message)
                .mend(remedy)
                .cite("arithmetic of both roundings, halves upward (control rule 1)"),
        );
    }
    findings.extend(lost_in_range(zone, &|ticks| back(ticks) != ticks));
}

fn neighbours(value: Ticks) -> [Ticks; 2] {
    [value - Ticks::ONE, value + Ticks::ONE]
}

/// How many values are named.
const SHOWN: usize = 6;

/// Other values of the ranges that do not survive.
fn lost_in_range(zone: &ZoneAt<'_>, is_lost: &dyn Fn(Ticks) -> bool) -> Option<Finding> {
    let (heat, cool) = (zone.rules().range(Side::Heat), zone.rules().range(Side::Cool));
    let (low, high) = (heat.low.min(cool.low), heat.high.max(cool.high));
    let all = (low.count()..=high.count()).map(Ticks::new);
    let lost: Vec<Ticks> = all.filter(|ticks| is_lost(*ticks)).collect();
    if lost.is_empty() {
        return None;
    }
    let named: Vec<String> = lost.iter().take(SHOWN).map(|ticks| zone.show(*ticks)).collect();
    let more = lost.len().saturating_sub(SHOWN);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    let message = format!(
        "{} of {} values between {} and {} do not come back from the display: {}{rest}",
        lost.len(),
        high.count() - low.count() + 1,
        zone.show(low),
        zone.show(high),
        named.join(", ")
    );
    Some(
        Finding::note("values-creep", zone.of(&SHOWN_UNIT), message)
            .mend("avoid these values, or show the unit that is stored")
            .cite("arithmetic of both roundings, halves upward (control rule 1)"),
    )
}
