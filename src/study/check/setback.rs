//! Rule 11: setbacks that do nothing or the wrong thing.

use super::zone::ZoneAt;
use super::{EnergyCode, Finding, away_codes};
use crate::control::{Occupancy, Setback, Side, Ticks, WindowDoes};
use crate::settings::controls::{OCCUPANCY, SETBACK_CEILING, SETBACK_FLOOR, SETBACK_KEY};

const RULE: &str = "control rule 11";

pub(super) fn check(zone: &ZoneAt<'_>, chosen: Option<EnergyCode>, findings: &mut Vec<Finding>) {
    let controls = &zone.zone.controls;
    let always = controls.occupancy == Occupancy::Always;
    // An open window may set back whoever is there.
    let by_window = controls.window_contact.does == WindowDoes::Setback;
    match &controls.setback {
        Some(_) if always && by_window => {}
        Some(_) if always => findings.push(idle(zone)),
        Some(setback) => {
            outside(zone, setback, findings);
            away_codes::check(zone, setback, chosen, findings);
        }
        None if always => {}
        None => findings.push(missing(zone)),
    }
    away_codes::settable(zone, chosen, findings);
}

fn idle(zone: &ZoneAt<'_>) -> Finding {
    let message = "the setback never works: the zone counts as occupied always".to_owned();
    Finding::note("setback-idle", zone.of(&SETBACK_KEY), message)
        .mend("give an occupancy, or leave the setback out")
        .cite(RULE)
}

fn missing(zone: &ZoneAt<'_>) -> Finding {
    let message = "occupancy changes nothing: there is no setback".to_owned();
    Finding::note("setback-missing", zone.of(&OCCUPANCY), message)
        .mend("give a setback, for example setback: {heat: 3, cool: 3}")
        .cite(RULE)
}

/// One side while nobody is there.
#[derive(Clone, Copy)]
struct Away {
    side: Side,
    /// What is stored.
    stands: Ticks,
    /// Where the difference alone would bring it.
    wanted: Ticks,
    /// What works.
    works: Ticks,
    /// The key that bounds it.
    bound: &'static str,
}

/// What works while nobody is there, held against stored values, limits and each other.
fn outside(zone: &ZoneAt<'_>, setback: &Setback, findings: &mut Vec<Finding>) {
    let stored = zone.start().setpoints;
    let (heat, cool) = setback.working(&stored);
    let sides = [
        Away {
            side: Side::Heat,
            stands: stored.heat(),
            wanted: stored.heat() - setback.heat,
            works: heat,
            bound: SETBACK_FLOOR.name,
        },
        Away {
            side: Side::Cool,
            stands: stored.cool(),
            wanted: stored.cool() + setback.cool,
            works: cool,
            bound: SETBACK_CEILING.name,
        },
    ];
    for away in sides {
        findings.extend(bounded(zone, away));
        findings.extend(beyond_limits(zone, away));
    }
    if cool - heat < zone.rules().deadband().max(Ticks::ONE) {
        let message = format!(
            "while nobody is there heat works at {} and cool at {}: closer than the deadband",
            zone.show(heat),
            zone.show(cool)
        );
        findings.push(
            Finding::warning("setback-closes-band", zone.of(&SETBACK_KEY), message)
                .mend("let heat_low and cool_high lie further apart")
                .cite(RULE),
        );
    }
}

impl Away {
    /// Whether the bound turns the setback round.
    fn is_reversed(self) -> bool {
        match self.side {
            Side::Heat => self.works > self.stands,
            Side::Cool => self.works < self.stands,
        }
    }
}

/// A floor or ceiling that cuts the setback or turns it round.
fn bounded(zone: &ZoneAt<'_>, away: Away) -> Option<Finding> {
    let Away { side, stands, wanted, works, bound } = away;
    let (name, path) = (side.name(), zone.controls(&format!("setback.{bound}")));
    if away.is_reversed() {
        let message = format!(
            "{name} is stored at {} and works at {} while nobody is there: {bound} turns the \
             setback round",
            zone.show(stands),
            zone.show(works)
        );
        let remedy = format!("let {bound} reach {}", zone.show(stands));
        return Some(Finding::warning("setback-reversed", path, message).mend(remedy).cite(RULE));
    }
    if works == wanted {
        return None;
    }
    let message = format!(
        "{bound} cuts the setback: {name} would work at {} and works at {}",
        zone.show(wanted),
        zone.show(works)
    );
    let remedy = format!("let {bound} reach {}, or set back less", zone.show(wanted));
    Some(Finding::note("setback-cut", path, message).mend(remedy).cite(RULE))
}

fn beyond_limits(zone: &ZoneAt<'_>, away: Away) -> Option<Finding> {
    let (name, limits) = (away.side.name(), zone.rules().written(away.side));
    if limits.has(away.works) || away.is_reversed() {
        return None;
    }
    let message = format!(
        "while nobody is there {name} works at {}, outside the occupants' limits of {} to {}: \
         legal, those limits do not hold it",
        zone.show(away.works),
        zone.show(limits.low),
        zone.show(limits.high)
    );
    let remedy = "nothing, if it is meant so; heat_low and cool_high are what hold it";
    Some(
        Finding::note("setback-outside-limits", zone.of(&SETBACK_KEY), message)
            .mend(remedy)
            .cite(RULE),
    )
}
