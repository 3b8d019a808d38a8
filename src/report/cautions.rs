//! What a reader must bear in mind, where it applies to this run.

use super::figures::demand_share;
use super::run::Run;
use crate::control::{Mode, Power, Role};
use crate::engine::{Doing, Entry, StepRow, Zone};
use crate::study::{is_critical_room, under_clear_sky};
use crate::units::TemperatureUnit;

/// The cold floor for homes: WHO Housing and health guidelines (2018), section 4, degrees C.
const WHO_COLD_FLOOR: f64 = 18.0;
/// Water freezes, degrees C.
const FREEZING: f64 = 0.0;
/// A setback that works below this counts as deep: common practice, no source, degrees C.
const DEEP_SETBACK: f64 = 12.0;

/// How many gaps of a weather file are told.
const GAPS_TOLD: usize = 3;
/// What makes figures of this run look other than they would: said before anything else.
pub(super) fn warnings(run: &Run) -> Vec<String> {
    let zones = under_clear_sky(run.model);
    if zones.is_empty() {
        return Vec::new();
    }
    let days = match run.model.period.days() {
        1 => "a clear sky is assumed".to_owned(),
        days => format!("a clear sky is assumed on all {days} days"),
    };
    vec![format!(
        "Warning: the weather says nothing of the sun, so {days}. The windows of {} let in more \
         than they would under clouds: cooling and overheating look larger, heating smaller.",
        zones.join(", ")
    )]
}

/// The cautions of a run, the most pressing first. The last one always applies.
pub fn cautions(run: &Run) -> Vec<String> {
    let mut all = warnings(run);
    all.extend(freeze_risk(run));
    all.extend(cold_rooms(run));
    all.extend(critical_rooms(run));
    all.extend(restore(run));
    all.extend(filled_weather(run));
    all.extend(demand_share(run.model));
    if run.summary.energy.heat_removed_kwh > 0.0 && !run.model.humidity.is_followed() {
        all.push(
            "Humidity is not modelled: cooling here removes sensible heat only, and neither \
             drying nor damp shows in the figures."
                .into(),
        );
    }
    if run.model.humidity.is_followed() {
        all.push(
            "The water that cooling takes out is a plain share of its heat and costs no electricity \
             of its own here: in damp climates cooling needs more. Walls and furniture store no \
             water, so this is no judgement on mould."
                .into(),
        );
    }
    if !run.summary.people.is_empty() {
        all.push(
            "People here act by a model with random draws: another seed gives another day. \
             Presses and complaints are one possible course with its assumptions, no forecast."
                .into(),
        );
    }
    all.push(
        "This is a model, not a test on site. The documents of the equipment, the sequence of \
         operation and the authority having jurisdiction come first."
            .into(),
    );
    all
}

/// Zones that nothing would have kept from freezing while it froze outside.
fn freeze_risk(run: &Run) -> Option<String> {
    let at_risk = zones_with(run, |row| unguarded(row, run.model.unit));
    let zones: Vec<&str> =
        at_risk.filter(|zone| zone.controls.low_limit.is_none()).map(super::run::label).collect();
    (!zones.is_empty()).then(|| {
        format!(
            "Freeze risk: with frost outside, {} stood switched off, without heating or deeply set \
             back, and has no low limit. None of these protects pipes from freezing.",
            listed(&zones)
        )
    })
}

fn unguarded(row: &StepRow, unit: TemperatureUnit) -> bool {
    let no_heating =
        row.power == Power::Off || matches!(row.mode, Mode::Cool | Mode::Dry | Mode::Fan);
    let deep = unit.to_celsius(row.heat) < DEEP_SETBACK;
    unit.to_celsius(row.outdoor) < FREEZING && (no_heating || deep)
}

fn cold_rooms(run: &Run) -> Option<String> {
    let unit = run.model.unit;
    let is_cold = |row: &StepRow| row.occupied && unit.to_celsius(row.temperature) < WHO_COLD_FLOOR;
    let zones: Vec<&str> = zones_with(run, is_cold).map(super::run::label).collect();
    let floor = unit.from_celsius(WHO_COLD_FLOOR);
    (!zones.is_empty()).then(|| {
        format!(
            "Below {floor:.0} {} while occupied: {}. Rented homes and places of care have lawful \
             minimums, which differ by place and must be looked up; {floor:.0} {} is the floor of \
             the WHO housing guideline.",
            super::figures::unit_sign(unit),
            listed(&zones),
            super::figures::unit_sign(unit)
        )
    })
}

fn critical_rooms(run: &Run) -> Option<String> {
    if run.model.zones.len() < 2 {
        return None;
    }
    let critical = run.model.zones.iter().filter(|zone| is_critical_room(zone));
    let zones: Vec<&str> = critical.map(super::run::label).collect();
    (!zones.is_empty()).then(|| {
        format!(
            "{} sounds like a room whose contents depend on its climate: such rooms need a system \
             of their own, not a place in a group or the say over its mode.",
            listed(&zones)
        )
    })
}

fn restore(run: &Run) -> Option<String> {
    let changed = run.ledger.iter().any(|row| match &row.entry {
        Entry::Request { asker, what, .. } => {
            asker.role == Role::Technician && matches!(what, Doing::Set(_))
        }
        Entry::Event(_) => false,
    });
    changed.then(|| {
        "Settings were changed on the way: after a demonstration on site, restore and record them."
            .into()
    })
}

/// What the weather file did not say.
fn filled_weather(run: &Run) -> Option<String> {
    let record = run.model.weather.record()?;
    let gaps = &record.gaps;
    let filled = record.filled.iter().map(super::weather::filled_in_words);
    let mut words: Vec<String> = filled.collect();
    words.extend(gaps.iter().take(GAPS_TOLD).map(super::weather::gap_in_words));
    if gaps.len() > GAPS_TOLD {
        words.push(format!("And {} gaps more.", gaps.len() - GAPS_TOLD));
    }
    (!words.is_empty()).then(|| format!("The weather file has gaps: {}", words.join(" ")))
}

/// The zones that have a row of which something is true, in file order: all rows are gone through
/// once.
fn zones_with<'a>(run: &Run<'a>, is: impl Fn(&StepRow) -> bool) -> impl Iterator<Item = &'a Zone> {
    let mut has = vec![false; run.model.zones.len()];
    for row in run.rows {
        if let Some(has) = has.get_mut(row.zone.get()).filter(|has| !**has) {
            *has = is(row);
        }
    }
    run.model.zones.iter().zip(has).filter_map(|(zone, has)| has.then_some(zone))
}

/// Up to three names, then how many more.
fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [one, two] => format!("{one} and {two}"),
        [one, two, three] => format!("{one}, {two} and {three}"),
        [one, two, rest @ ..] => format!("{one}, {two} and {} more zones", rest.len()),
    }
}
