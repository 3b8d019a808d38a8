//! Which sensor governs, and whether it moves at all.

use serde_json::json;

use super::course::{Course, resolution};
use super::statistics::{Scatters, probability, strength};
use super::switching::{residuals, switchings};
use super::{ERROR_RATE, LogFinding, Seen, Weight, shown};
use crate::log::SiteLog;

/// So many switchings tell which sensor governs.
const ENOUGH: usize = 8;

/// Another sensor beside the mapped one.
struct Rival {
    column: String,
    scatters: Scatters,
    words: String,
}

impl Rival {
    /// Whether the two are told apart, and the other is the tighter one.
    fn governs(&self) -> Option<bool> {
        let Scatters { one, other, chance, .. } = self.scatters;
        (chance < ERROR_RATE).then_some(other < one)
    }
}

fn rivals(course: &Course, site: &SiteLog) -> Vec<Rival> {
    let mapped = &site.source.mapping.zones[course.logged];
    let others = &site.log.zones[course.logged].others;
    let mut found = Vec::new();
    for ((name, column), (_, series)) in mapped.others.iter().zip(others) {
        let values = site.log.straight(series, course.unit);
        let step = resolution(site, series, course.unit);
        let mut scatters = residuals(course, &values, step).scatters();
        if scatters.count < ENOUGH {
            continue;
        }
        // As many comparisons as there are others share one error rate (Bonferroni).
        scatters.chance = (scatters.chance * others.len() as f64).min(1.0);
        let words = format!(
            "at {} switchings `{}` was {} off its usual distance to the setpoint in the mean, `{column}` \
             ({name}) {} ({} that they differ: alike with a probability {})",
            scatters.count,
            mapped.temperature,
            shown(scatters.one),
            shown(scatters.other),
            strength(scatters.chance),
            probability(scatters.chance)
        );
        found.push(Rival { column: column.clone(), scatters, words });
    }
    found
}

/// Which of several sensors governs: the one whose value at switchings scatters least.
pub(super) fn governing(course: &Course, site: &SiteLog, findings: &mut Vec<LogFinding>) {
    let mapped = &site.source.mapping.zones[course.logged].temperature;
    let rivals = rivals(course, site);
    if rivals.is_empty() {
        return;
    }
    let tighter = rivals.iter().filter(|it| it.governs() == Some(true));
    let best = tighter.min_by(|a, b| a.scatters.other.total_cmp(&b.scatters.other));
    let own = rivals.iter().all(|it| it.governs() == Some(false));
    let (governs, weight, lead, remedy) = match best {
        Some(best) => (
            Some(&best.column),
            Weight::Contradiction,
            format!(
                "`{}` governs, and not `{mapped}`, which the log block has as the zone's temperature",
                best.column
            ),
            "look where the governing sensor sits; map it as `temperature`",
        ),
        None if own => (Some(mapped), Weight::Note, format!("`{mapped}` governs"), "nothing to do"),
        None => (
            None,
            Weight::Note,
            "Which sensor governs can't be told apart".to_owned(),
            "a day on which the sensors differ more would tell: heat the spot of one of them",
        ),
    };
    let mut seen = Seen::default();
    for it in switchings(course, true) {
        seen.add(course, it.place, it.place + 1);
    }
    let words: Vec<&str> = rivals.iter().map(|it| it.words.as_str()).collect();
    let message = format!(
        "{lead}: {} (a test at {} % error; what rounding can make is no difference).",
        words.join("; "),
        100.0 * ERROR_RATE
    );
    let found = seen.finding(course, "governing_sensor", weight, message, remedy);
    findings.extend(found.map(|it| it.with("governs", json!(governs))));
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
