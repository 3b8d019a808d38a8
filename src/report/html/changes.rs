//! The questions with which the page of a comparison opens.

use super::answers::Answer;
use crate::measures::ZoneFigures;
use crate::report::content::signed_percent;
use crate::report::figures::{count, duration, listed, money, three_figures};
use crate::report::headline::zone_asked_and_denied;
use crate::report::run::label;
use crate::report::settings::{Setting, SettingsBlock, settings_record};
use crate::study::{Comparison, Contender, Difference, differences};

/// So many settings are named; the record has them all.
const MOST_NAMED: usize = 3;
/// Values of more letters than this do not stand beside each other in a sentence.
const LONGEST_BESIDE: usize = 24;
/// Shorter differences than this are not worth a sentence, h.
const LEAST_HOURS: f64 = 0.05;

/// What changes, for whom, and what it costs: a sentence for each variant.
pub(super) fn answers(comparison: &Comparison, names: &[String]) -> Vec<Answer> {
    let each = |sentence: &dyn Fn(&Contender, &str) -> String| -> Vec<String> {
        let named = comparison.variants.iter().zip(names.iter().skip(1));
        named.map(|(variant, name)| sentence(variant, name)).collect()
    };
    let mut costs = each(&|variant, name| costs(comparison, variant, name));
    costs
        .push("All this is of a model, under the assumptions below: no promise of savings.".into());
    vec![
        ("What changes?", each(&|variant, name| settings(comparison, variant, name))),
        ("For whom?", each(&|variant, name| for_whom(comparison, variant, name))),
        ("What does it cost?", costs),
    ]
}

/// Which settings differ, and how often the plant changes over instead.
fn settings(comparison: &Comparison, variant: &Contender, name: &str) -> String {
    let after = if same_figures(comparison, variant) {
        ", and every figure is the same".to_owned()
    } else {
        changeovers(comparison, variant)
    };
    let blocks = settings_record(&[&comparison.base.model, &variant.model]);
    let changed = changed(&blocks);
    if changed.is_empty() {
        return format!("“{name}” has the same settings for the record{after}.");
    }
    let place = |change: &SharedChange| match change.subjects.as_slice() {
        _ if blocks.len() == 1 => String::new(),
        [only] => format!(" in {only}"),
        many => format!(" in {} zones", many.len()),
    };
    let named = &changed[..changed.len().min(MOST_NAMED)];
    // Where all are of the same zones it is said once, behind the last.
    let alike = named.windows(2).all(|pair| pair[0].subjects == pair[1].subjects);
    let words = |(at, change): (usize, &SharedChange)| {
        let place = if alike && at + 1 < named.len() { String::new() } else { place(change) };
        format!("{}{place}", change.words)
    };
    let listed = listed(&named.iter().enumerate().map(words).collect::<Vec<_>>());
    let more = match changed.len() - named.len() {
        0 => "",
        1 => ", and one more setting in the record below",
        _ => ", and more settings in the record below",
    };
    format!("“{name}” changes: {listed}{more}{after}.")
}

fn same_figures(comparison: &Comparison, variant: &Contender) -> bool {
    let all = differences(&comparison.base.finished.summary, &variant.finished.summary);
    all.iter().all(|(_, difference)| difference.absolute().unwrap_or(0.0) == 0.0)
}

/// `; there are 3 changeovers instead of 15`; nothing where there are as many.
fn changeovers(comparison: &Comparison, variant: &Contender) -> String {
    let of = |contender: &Contender| contender.finished.summary.group.changeovers;
    let (before, after) = (of(&comparison.base), of(variant));
    if before == after {
        return String::new();
    }
    let changes = count(after, "changeover");
    let are = if after == 1 { "is" } else { "are" };
    format!("; there {are} {changes} instead of {before}")
}

/// A change of a setting, and of which zones or outdoor units.
struct SharedChange<'a> {
    words: String,
    subjects: Vec<&'a str>,
}

/// What changes, the same change in several zones once.
fn changed(blocks: &[SettingsBlock]) -> Vec<SharedChange<'_>> {
    let mut all: Vec<SharedChange> = Vec::new();
    for block in blocks {
        for setting in block.settings.iter().filter(|setting| differs_itself(setting)) {
            let words = in_words(setting);
            match all.iter_mut().find(|known| known.words == words) {
                Some(known) => known.subjects.push(&block.subject),
                None => all.push(SharedChange { words, subjects: vec![&block.subject] }),
            }
        }
    }
    all
}

/// `cool setpoint 24 °C instead of 21 °C`; where a value is a sentence, the new one alone.
fn in_words(setting: &Setting) -> String {
    let (before, after) = (value(setting, 0), value(setting, 1));
    let short = |words: &str| words.chars().count() <= LONGEST_BESIDE;
    if short(before) && short(after) {
        format!("{} {after} instead of {before}", lower(setting.name))
    } else {
        format!("{}, now “{after}”", lower(setting.name))
    }
}

/// A value in few words: what explains it is left to the record.
fn value(setting: &Setting, place: usize) -> &str {
    let words = setting.values[place].as_deref().unwrap_or("what is not there");
    let words = words.split("; the deadband leaves").next().unwrap_or(words);
    if words.starts_with("none:") { "none" } else { words }
}

/// Whether more than a consequence differs: what a deadband leaves of the limits follows from it.
fn differs_itself(setting: &Setting) -> bool {
    value(setting, 0) != value(setting, 1)
}

fn lower(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// Whose comfort and whose requests change.
fn for_whom(comparison: &Comparison, variant: &Contender, name: &str) -> String {
    let pairs = zones(comparison, variant);
    let mut parts = Vec::new();
    parts.extend(hours(&pairs, OUTSIDE, |zone| zone.hours_outside_band));
    parts.extend(hours(&pairs, STARVED, |zone| zone.starved_hours));
    parts.extend(denied(&pairs));
    parts.extend(complaints(comparison, variant));
    if parts.is_empty() {
        return format!(
            "With “{name}” nobody's comfort changes, nor what comes of their requests."
        );
    }
    format!("With “{name}” {}.", listed(&parts))
}

/// How many requests are not done as asked, of how many: people may ask more often or less.
fn denied(pairs: &[(&str, &ZoneFigures, &ZoneFigures)]) -> Option<String> {
    let (mut before, mut after) = ((0, 0), (0, 0));
    for (_, base, other) in pairs {
        for (sum, zone) in [(&mut before, base), (&mut after, other)] {
            let (asked, denied) = zone_asked_and_denied(zone);
            *sum = (sum.0 + asked, sum.1 + denied);
        }
    }
    let of = |(asked, denied): (u64, u64)| match (asked, denied) {
        (0, _) => "none".to_owned(),
        (_, 0) => format!("none of {asked}"),
        _ => format!("{denied} of {asked}"),
    };
    (before != after).then(|| {
        let are = if after == (1, 1) { "request is" } else { "requests are" };
        format!("{} {are} not done as asked instead of {}", of(after), of(before))
    })
}

/// How many complaints more or fewer there are; nothing where as many.
fn complaints(comparison: &Comparison, variant: &Contender) -> Option<String> {
    let of = |contender: &Contender| -> u64 {
        contender.finished.summary.people.iter().map(|person| person.complaints).sum()
    };
    let (before, after) = (of(&comparison.base), of(variant));
    let are = if after == 1 { "is" } else { "are" };
    (before != after)
        .then(|| format!("there {are} {} instead of {before}", count(after, "complaint")))
}

/// The zones that both have: what people call them, the base's figures and the variant's.
fn zones<'a>(
    comparison: &'a Comparison,
    variant: &'a Contender,
) -> Vec<(&'a str, &'a ZoneFigures, &'a ZoneFigures)> {
    let base = &comparison.base;
    let others = &variant.finished.summary.zones;
    let both = base.model.zones.iter().zip(&base.finished.summary.zones);
    both.filter_map(|(zone, (id, figures))| {
        let (_, other) = others.iter().find(|(known, _)| known == id)?;
        Some((label(zone), figures, other))
    })
    .collect()
}

/// So many zones are named one by one; more are counted.
const MOST_ZONES_NAMED: usize = 3;

/// What one zone does, and what several do.
type Verb = (&'static str, &'static str);
const OUTSIDE: Verb = ("is out of band", "are out of band");
const STARVED: Verb = ("is starved", "are starved");

/// In which zones the hours of something change, and where most.
fn hours(
    pairs: &[(&str, &ZoneFigures, &ZoneFigures)],
    (one_does, many_do): Verb,
    value: impl Fn(&ZoneFigures) -> f64,
) -> Option<String> {
    let mut changed: Vec<(&str, f64)> = pairs
        .iter()
        .map(|(name, base, other)| (*name, value(other) - value(base)))
        .filter(|(_, difference)| difference.abs() >= LEAST_HOURS)
        .collect();
    changed.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    let words = |difference: f64| {
        let longer = if difference > 0.0 { "longer" } else { "less" };
        format!("{} {longer}", duration(difference.abs()))
    };
    match changed.as_slice() {
        [] => None,
        [(name, difference), others @ ..] if others.len() < MOST_ZONES_NAMED => {
            let mut parts = vec![format!("{name} {one_does} {}", words(*difference))];
            parts.extend(others.iter().map(|(name, it)| format!("{name} {}", words(*it))));
            Some(listed(&parts))
        }
        [(name, difference), ..] => {
            let longer = changed.iter().filter(|(_, it)| *it > 0.0).count();
            let zones = |many: usize| match many {
                1 => format!("1 zone {one_does}"),
                _ => format!("{many} zones {many_do}"),
            };
            let counts = match (longer, changed.len() - longer) {
                (0, less) => format!("{} less", zones(less)),
                (longer, 0) => format!("{} longer", zones(longer)),
                (longer, less) => format!("{} longer and {less} less", zones(longer)),
            };
            Some(format!("{counts}, {name} most ({})", words(*difference)))
        }
    }
}

fn costs(comparison: &Comparison, variant: &Contender, name: &str) -> String {
    let (before, after) = (&comparison.base.finished.summary, &variant.finished.summary);
    let kwh =
        Difference { base: Some(before.energy.total_kwh), value: Some(after.energy.total_kwh) };
    let percent = |difference: Difference| {
        difference.percent().map_or_else(String::new, |it| format!(" ({})", signed_percent(it)))
    };
    let electricity = format!(
        "{} kWh instead of {}{}",
        three_figures(after.energy.total_kwh),
        three_figures(before.energy.total_kwh),
        percent(kwh)
    );
    match (before.energy.cost, after.energy.cost, &after.bill) {
        (Some(one), Some(other), Some(bill)) => {
            let cost = Difference { base: Some(one), value: Some(other) };
            format!(
                "With “{name}” electricity costs {} instead of {}{}, for {electricity}.",
                money(other, &bill.currency),
                money(one, ""),
                percent(cost)
            )
        }
        _ => {
            format!("With “{name}” it takes {electricity}; there are no prices to compare.")
        }
    }
}
