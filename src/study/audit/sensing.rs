//! Which sensor governs, and whether it moves at all.

use serde_json::json;

use super::course::Course;
use super::statistics::{probability, same_scatter, scatter, strength};
use super::switching::{residuals, switchings};
use super::{ERROR_RATE, LogFinding, Seen, Weight, shown};
use crate::log::SiteLog;

/// So many switchings tell which sensor governs.
const ENOUGH: usize = 8;

/// Which of several sensors governs: the one whose value at switchings scatters least.
pub(super) fn governing(course: &Course, site: &SiteLog, findings: &mut Vec<LogFinding>) {
    let mapped = &site.source.mapping.zones[course.logged];
    let mut own_name = mapped.temperature.clone();
    let mut best: Option<(String, f64, f64)> = None;
    let mut sizes = Vec::new();
    let others = &site.log.zones[course.logged].others;
    for ((name, column), (_, series)) in mapped.others.iter().zip(others) {
        let values = site.log.straight(series, course.unit);
        let (own, theirs) = residuals(course, &values);
        if own.len() < ENOUGH {
            continue;
        }
        let chance = same_scatter(&own, &theirs) * others.len() as f64;
        let (one, other) = (scatter(&own).max(1e-3), scatter(&theirs).max(1e-3));
        sizes.push((name.clone(), column.clone(), own.len(), one, other, chance));
        if other < one && best.as_ref().is_none_or(|(_, least, _)| other < *least) {
            best = Some((column.clone(), other, chance));
        }
    }
    if sizes.is_empty() {
        return;
    }
    let words: Vec<String> = sizes
        .iter()
        .map(|(name, column, count, own, other, chance)| {
            format!(
                "at {count} switchings `{}` scatters by {} about its setpoints, `{column}` ({name}) by \
                 {} ({} that they differ: alike with a probability {})",
                mapped.temperature,
                shown(*own),
                shown(*other),
                strength(*chance),
                probability(*chance)
            )
        })
        .collect();
    let strongest = sizes.iter().map(|it| it.5).fold(0.0, f64::max);
    let (weight, lead, remedy) = match &best {
        Some((column, _, chance)) if *chance < ERROR_RATE => {
            own_name.clone_from(column);
            (
                Weight::Contradiction,
                format!(
                    "`{column}` governs, and not `{}`, which the log block has as the zone's temperature",
                    mapped.temperature
                ),
                "look where the governing sensor sits; map it as `temperature`",
            )
        }
        None if strongest < ERROR_RATE => {
            (Weight::Note, format!("`{}` governs", mapped.temperature), "nothing to do")
        }
        _ => {
            own_name.clear();
            (
                Weight::Note,
                "Which sensor governs can't be told apart".to_owned(),
                "a day on which the sensors differ more would tell: heat the spot of one of them",
            )
        }
    };
    let mut seen = Seen::default();
    for it in switchings(course, true) {
        seen.add(course, it.place, it.place + 1);
    }
    let message =
        format!("{lead}: {} (a test at {} % error).", words.join("; "), 100.0 * ERROR_RATE);
    let found = seen.finding(course, "governing_sensor", weight, message, remedy);
    let governs = if own_name.is_empty() { json!(null) } else { json!(own_name) };
    findings.extend(found.map(|it| it.with("governs", governs)));
}

/// A temperature that stands still while the unit switches or the day goes on.
pub(super) fn stuck(course: &Course, findings: &mut Vec<LogFinding>) {
    const LEAST: i64 = 3 * 3600;
    const LONG: i64 = 12 * 3600;
    let samples = &course.samples;
    let mut seen = Seen::default();
    let mut from = 0;
    for place in 1..=samples.len() {
        let same = place < samples.len()
            && samples[place].temperature.is_some()
            && samples[place].temperature == samples[from].temperature;
        if same {
            continue;
        }
        let still = &samples[from..place];
        let lasted = course.end_of(place - 1) - samples[from].at;
        if lasted >= LEAST && samples[from].temperature.is_some() {
            let switched = still.windows(2).filter(|pair| pair[0].runs() != pair[1].runs()).count();
            let outdoor: Vec<f64> = still.iter().filter_map(|it| it.outdoor).collect();
            let low = outdoor.iter().copied().fold(f64::INFINITY, f64::min);
            let high = outdoor.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let swing = course.unit.difference_to_kelvin(high - low);
            let fine = course.unit.difference_to_kelvin(course.resolution) <= 0.21;
            // A coarse recorder stands still in a room that is held; one in ten degrees does not.
            if switched >= if fine { 3 } else { 6 } || (fine && lasted >= LONG && swing > 4.0) {
                seen.add(course, from, place);
            }
        }
        from = place;
    }
    let longest = seen.spans.iter().map(|(from, to)| *to - *from).max().unwrap_or(0);
    let message = format!(
        "The temperature stood still for up to {}, while the unit switched or the day outdoors went \
         on: the sensor, or its recording, is stuck.",
        crate::time::Seconds::new(longest)
    );
    let remedy = "hold a thermometer beside the sensor; check its wiring and the recorder";
    findings.extend(seen.finding(course, "sensor_stuck", Weight::Warning, message, remedy));
}
