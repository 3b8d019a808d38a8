//! The answer of a run as a sentence, the most telling fact first.

use super::figures::{duration, listed, one_digit, three_figures, times, unit_sign};
use super::run::{Run, label};
use crate::engine::Model;
use crate::measures::{ImplausibleAir, Summary, ZoneFigures};
use crate::units::TemperatureUnit;

/// Less than half a minute of something is not worth the first sentence, h.
const LEAST_HOURS: f64 = 1.0 / 120.0;

/// What the run shows, in two sentences.
pub fn headline(run: &Run) -> String {
    format!(
        "{}{} It took {} kWh of electricity in {}.",
        implausible(run.model, run.summary).map_or(String::new(), |words| words + " "),
        happened(run),
        three_figures(run.summary.energy.total_kwh),
        duration(run.summary.period.hours)
    )
}

/// A warning where a zone leaves every temperature that a building has.
pub(super) fn implausible(model: &Model, summary: &Summary) -> Option<String> {
    ImplausibleAir::of(summary, model.unit).map(|it| implausible_of(model, it))
}

/// The same, of air that is known.
pub(super) fn implausible_of(model: &Model, it: ImplausibleAir) -> String {
    implausible_words(label(&model.zones[it.zone.get()]), it.air, model.unit)
}

/// The same, of a zone that people call so, with its air in the file's unit.
pub(super) fn implausible_words(zone: &str, air: f64, unit: TemperatureUnit) -> String {
    format!(
        "Warning: {zone} came to {air:.0} {}, which is hardly that of a building: look at its \
         capacity, gains and fabric before any figure.",
        unit_sign(unit),
    )
}

/// A warning of one among several runs, before what else is said of them; nothing where none needs
/// it. `who` says which run that was, `more` in how many others it was so.
pub(super) fn warned_first(warning: Option<(String, String)>, more: usize, all: &str) -> String {
    warning.map_or_else(String::new, |(who, words)| {
        let more =
            if more > 0 { format!(" So it was in {more} more of {all}.") } else { String::new() };
        format!("{}: {words}{more} ", capitalised(&who))
    })
}

/// What happened, in one sentence.
pub(super) fn happened(run: &Run) -> String {
    let mut facts = match run.summary.zones.as_slice() {
        [(_, only)] => one_zone(run, &zone_label(run, 0), only).into_iter().collect(),
        _ => many_zones(run),
    };
    facts.extend(requests(run.summary));
    if facts.is_empty() {
        facts.push(
            "nothing stood in the way: no changeover, and comfort held while anybody was there"
                .into(),
        );
    }
    format!("{}.", capitalised(&facts.join("; ")))
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

/// What one zone did, under one subject.
fn one_zone(run: &Run, label: &str, zone: &ZoneFigures) -> Option<String> {
    let mut did = Vec::new();
    if zone.starved_hours >= LEAST_HOURS {
        did.push(format!("was starved for {}", duration(zone.starved_hours)));
    }
    if zone.changeovers > 0 {
        did.push(format!("changed over between heating and cooling {}", times(zone.changeovers)));
    }
    if zone.hours_outside_band >= LEAST_HOURS {
        let hours = duration(zone.hours_outside_band);
        let degrees = degrees_outside(run, zone);
        did.push(format!("was out of band for {hours}, {degrees}"));
    }
    match did.as_slice() {
        [] => None,
        did => Some(format!("{label} {}", listed(did))),
    }
}

fn many_zones(run: &Run) -> Vec<String> {
    let changeovers = run.summary.group.changeovers;
    // Only a shared outdoor unit starves anybody.
    let starved = (!run.model.outdoor_units.is_empty())
        .then(|| zones_with(run, "was starved", "were starved", |zone| zone.starved_hours))
        .flatten();
    let changed = (changeovers > 0).then(|| {
        format!("the plant changed over between heating and cooling {}", times(changeovers))
    });
    let outside =
        zones_with(run, "was out of band", "were out of band", |zone| zone.hours_outside_band);
    let outside = outside.map(|words| format!("{words}{}", most_outside(run)));
    [starved, changed, outside].into_iter().flatten().collect()
}

/// How far a zone was outside its band while it was: hours alone make much of a tenth of a degree.
fn degrees_outside(run: &Run, zone: &ZoneFigures) -> String {
    let degrees = unit_sign(run.model.unit);
    let mean = zone.degree_hours_outside_band / zone.hours_outside_band;
    let sum = zone.degree_hours_outside_band;
    if sum < 0.005 {
        return format!("by next to nothing (less than 0.01 {degrees} h)");
    }
    format!("by {} {degrees} on average ({} {degrees} h)", small(mean), small(sum))
}

/// The same of the zone with the most degree-hours, by name where several are outside.
fn most_outside(run: &Run) -> String {
    let outside = run.summary.zones.iter().enumerate();
    let outside: Vec<(usize, &ZoneFigures)> = outside
        .map(|(place, (_, zone))| (place, zone))
        .filter(|(_, zone)| zone.hours_outside_band >= LEAST_HOURS)
        .collect();
    let worst = outside.iter().max_by(|one, two| {
        one.1.degree_hours_outside_band.total_cmp(&two.1.degree_hours_outside_band)
    });
    worst.map_or_else(String::new, |(place, zone)| {
        let name = match outside.len() {
            1 => String::new(),
            _ => format!("{} furthest, ", zone_label(run, *place)),
        };
        format!(", {name}{}", degrees_outside(run, zone))
    })
}

/// A few degrees, or parts of one: `0.27`, `6.2`.
fn small(value: f64) -> String {
    if value < 0.995 { format!("{value:.2}") } else { one_digit(value) }
}

/// Names the zone with the most hours of something, and how many have any.
fn zones_with(
    run: &Run,
    one_was: &str,
    many_were: &str,
    hours: impl Fn(&ZoneFigures) -> f64,
) -> Option<String> {
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

fn zone_label(run: &Run, place: usize) -> String {
    run.model.zones.get(place).map_or_else(String::new, |zone| super::run::label(zone).to_owned())
}

/// The text with a capital first letter.
pub(super) fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
