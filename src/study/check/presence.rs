//! Rule 11: an occupancy that nothing in the period brings about.

use super::Finding;
use super::zone::ZoneAt;
use crate::control::{Occupancy, Role};
use crate::settings::controls::OCCUPANCY;
use crate::time::{Instant, Span};

const RULE: &str = "control rule 11";
/// Between two looks at the clock, s: no span of occupancy is shorter in practice.
const LOOK: i64 = 300;

pub(super) fn check(zone: &ZoneAt<'_>, findings: &mut Vec<Finding>) {
    match &zone.zone.controls.occupancy {
        Occupancy::Always | Occupancy::People => {}
        Occupancy::Schedule(spans) => findings.extend(never(zone, spans)),
        Occupancy::Sensor { .. } => findings.extend(untouched(zone)),
    }
}

fn never(zone: &ZoneAt<'_>, spans: &[Span]) -> Option<Finding> {
    let period = &zone.model.period;
    let mut looks = (0..=period.end().get() / LOOK).map(|look| Instant::new(look * LOOK));
    if looks.any(|at| spans.iter().any(|span| span.contains(period, at))) {
        return None;
    }
    let message = "nobody is there in the whole period: the occupancy names other days, so the \
                   setback works throughout and no hour counts for comfort"
        .to_owned();
    Some(
        Finding::warning("occupancy-never-in-period", zone.of(&OCCUPANCY), message)
            .mend("simulate days on which somebody comes, or name these days")
            .cite(RULE),
    )
}

fn untouched(zone: &ZoneAt<'_>) -> Option<Finding> {
    let somebody = zone.model.people.iter().any(|person| zone.is(person.zone));
    let pressed = zone.actions().any(|action| action.role == Role::Occupant);
    if somebody || pressed {
        return None;
    }
    let message = "nobody triggers the occupancy sensor: the file has no people and no presses in \
                   this zone, so it counts as empty"
        .to_owned();
    Some(
        Finding::warning("occupancy-sensor-untouched", zone.of(&OCCUPANCY), message)
            .mend("add `people` who are there, or give the occupancy by spans")
            .cite(RULE),
    )
}
