//! The answer of a run as a sentence, the most telling fact first.

use super::Run;
use super::figures::{duration, three_figures, times};
use crate::measures::{Summary, ZoneFigures};

/// What the run shows, in one or two sentences.
pub fn headline(run: &Run) -> String {
    let facts: Vec<String> =
        [starvation(run), changeovers(run), discomfort(run), requests(run.summary)]
            .into_iter()
            .flatten()
            .collect();
    let answer = if facts.is_empty() {
        "every zone was served in time, in its comfort band, without a changeover".into()
    } else {
        joined(&facts)
    };
    let energy = &run.summary.energy;
    format!(
        "{}. It took {} kWh of electricity in {}.",
        capitalised(&answer),
        three_figures(energy.total_kwh),
        duration(run.summary.period.hours)
    )
}

/// Requests that were made, and how many of them were not done as asked.
pub(super) fn asked_and_denied(summary: &Summary) -> (u64, u64) {
    summary.zones.iter().fold((0, 0), |(asked, denied), (_, zone)| {
        let (all, not) = zone_asked_and_denied(zone);
        (asked + all, denied + not)
    })
}

/// The same for one zone.
pub(super) fn zone_asked_and_denied(zone: &ZoneFigures) -> (u64, u64) {
    let requests = &zone.requests;
    let denied = requests.limited + requests.refused + requests.no_effect;
    (requests.accepted + requests.pushed + denied, denied)
}

fn starvation(run: &Run) -> Option<String> {
    zones_with(run, "was starved", "were starved", |zone| zone.starved_hours)
}

fn changeovers(run: &Run) -> Option<String> {
    let number = run.summary.group.changeovers;
    let who = match run.summary.zones.as_slice() {
        [_] => zone_label(run, 0),
        _ => "the plant".into(),
    };
    (number > 0)
        .then(|| format!("{who} changed over between heating and cooling {}", times(number)))
}

fn discomfort(run: &Run) -> Option<String> {
    zones_with(run, "was outside its comfort band", "were outside their comfort band", |zone| {
        zone.hours_outside_band
    })
}

fn requests(summary: &Summary) -> Option<String> {
    match asked_and_denied(summary) {
        (_, 0) => None,
        (1, 1) => Some("the one request was not done as asked".into()),
        (asked, denied) => {
            let verb = if denied == 1 { "was" } else { "were" };
            Some(format!("{denied} of {asked} requests {verb} not done as asked"))
        }
    }
}

/// Names the zone with the most hours of something, and how many have any.
fn zones_with(
    run: &Run,
    one_was: &str,
    many_were: &str,
    hours: impl Fn(&ZoneFigures) -> f64,
) -> Option<String> {
    // Less than half a minute is not worth the first sentence.
    const LEAST_HOURS: f64 = 1.0 / 120.0;
    let some: Vec<(usize, f64)> = (run.summary.zones.iter().enumerate())
        .map(|(place, (_, zone))| (place, hours(zone)))
        .filter(|(_, hours)| *hours >= LEAST_HOURS)
        .collect();
    let (worst, most) =
        some.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))?;
    let (name, most) = (zone_label(run, worst), duration(most));
    Some(match some.len() {
        1 => format!("{name} {one_was} for {most}"),
        number => format!("{number} zones {many_were}, {name} longest ({most})"),
    })
}

fn zone_label(run: &Run, place: usize) -> String {
    run.model.zones.get(place).map_or_else(String::new, |zone| super::label(zone).to_owned())
}

fn joined(facts: &[String]) -> String {
    match facts {
        [] => String::new(),
        [only] => only.clone(),
        [start @ .., last] => format!("{}, and {last}", start.join(", ")),
    }
}

/// The text with a capital first letter.
pub(super) fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
