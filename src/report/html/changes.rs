//! The questions with which the page of a comparison opens.

use super::answers::{Answer, listed};
use crate::measures::ZoneFigures;
use crate::report::compare::{answer, signed_percent};
use crate::report::figures::{duration, three_figures};
use crate::report::headline::zone_asked_and_denied;
use crate::report::label;
use crate::report::settings::{Setting, settings_record};
use crate::study::{Comparison, Contender, Difference};

/// So many settings are named; the record has them all.
const MOST_NAMED: usize = 3;
/// Shorter differences than this are not worth a sentence, h.
const LEAST_HOURS: f64 = 0.05;

/// What changes, for whom, and what it costs: a sentence for each variant.
pub(super) fn answers(comparison: &Comparison, names: &[String]) -> Vec<Answer> {
    let each = |sentence: &dyn Fn(&Contender, &str) -> String| -> Vec<String> {
        let named = comparison.variants.iter().zip(names.iter().skip(1));
        named.map(|(variant, name)| sentence(variant, name)).collect()
    };
    let name = |contender: &Contender| {
        let place = comparison.all().position(|it| std::ptr::eq(it, contender)).unwrap_or(0);
        format!("“{}”", names.get(place).map_or("", String::as_str))
    };
    let effects = answer(comparison, name);
    let settings = each(&|variant, name| settings(comparison, variant, name));
    let changes = settings.iter().zip(&effects).map(|(one, other)| format!("{one} {other}"));
    let mut costs = each(&|variant, name| costs(comparison, variant, name));
    costs
        .push("All this is of a model, under the assumptions below: no promise of savings.".into());
    vec![
        ("What changes?", changes.collect()),
        ("For whom?", each(&|variant, name| for_whom(comparison, variant, name))),
        ("What does it cost?", costs),
    ]
}

/// Which settings differ, the same change in several zones once.
fn settings(comparison: &Comparison, variant: &Contender, name: &str) -> String {
    let blocks = settings_record(&[&comparison.base.model, &variant.model]);
    let mut all: Vec<(String, Vec<&str>)> = Vec::new();
    for block in &blocks {
        for setting in block.settings.iter().filter(|setting| differs_itself(setting)) {
            let value = |place: usize| setting.values[place].as_deref().unwrap_or("not there");
            let words = format!("{}, {} → {}", lower(setting.name), value(0), value(1));
            match all.iter_mut().find(|(known, _)| *known == words) {
                Some((_, subjects)) => subjects.push(&block.subject),
                None => all.push((words, vec![&block.subject])),
            }
        }
    }
    if all.is_empty() {
        return format!("“{name}” has the same settings for the record.");
    }
    let more = all.len().saturating_sub(MOST_NAMED);
    let one = |(words, subjects): &(String, Vec<&str>)| match subjects.as_slice() {
        [only] => format!("{words} ({only})"),
        many => format!("{words} ({} zones)", many.len()),
    };
    let mut named: Vec<String> = all.iter().take(MOST_NAMED).map(one).collect();
    if more > 0 {
        named.push(format!("{more} more, in the record below"));
    }
    format!("“{name}” changes: {}.", named.join("; "))
}

/// Whether more than a consequence differs: what a deadband leaves of the limits follows from it.
fn differs_itself(setting: &Setting) -> bool {
    let written = |value: &Option<String>| {
        value.as_deref().map(|words| words.split("; the deadband leaves").next().map(str::to_owned))
    };
    setting.values.windows(2).any(|pair| written(&pair[0]) != written(&pair[1]))
}

fn lower(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// Whose comfort and whose requests change.
fn for_whom(comparison: &Comparison, variant: &Contender, name: &str) -> String {
    let pairs = zones(comparison, variant);
    let mut parts = Vec::new();
    parts.extend(hours(&pairs, "outside comfort", |zone| zone.hours_outside_band));
    parts.extend(hours(&pairs, "starved", |zone| zone.starved_hours));
    let denied = |which: fn(&(&str, &ZoneFigures, &ZoneFigures)) -> u64| {
        pairs.iter().map(which).sum::<u64>()
    };
    let before = denied(|(_, base, _)| zone_asked_and_denied(base).1);
    let after = denied(|(_, _, other)| zone_asked_and_denied(other).1);
    if before != after {
        let fewer = if after < before { "more" } else { "fewer" };
        let many = before.abs_diff(after);
        let plural = if many == 1 { "request is" } else { "requests are" };
        parts.push(format!("{many} {fewer} {plural} done as asked"));
    }
    if parts.is_empty() {
        return format!(
            "With “{name}” nobody's comfort changes, nor what comes of their requests."
        );
    }
    format!("With “{name}” {}.", listed(&parts))
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

/// In which zones the hours of something change, and where most.
fn hours(
    pairs: &[(&str, &ZoneFigures, &ZoneFigures)],
    what: &str,
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
            let mut parts = vec![format!("{name} is {what} {}", words(*difference))];
            parts.extend(others.iter().map(|(name, it)| format!("{name} {}", words(*it))));
            Some(listed(&parts))
        }
        [(name, difference), ..] => {
            let longer = changed.iter().filter(|(_, it)| *it > 0.0).count();
            let zones = |many: usize| {
                if many == 1 { "1 zone is".to_owned() } else { format!("{many} zones are") }
            };
            let counts = match (longer, changed.len() - longer) {
                (0, less) => format!("{} {what} less", zones(less)),
                (longer, 0) => format!("{} {what} longer", zones(longer)),
                (longer, less) => format!("{} {what} longer and {less} less", zones(longer)),
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
                "With “{name}” electricity costs {other:.2} {} instead of {one:.2}{}, for \
                 {electricity}.",
                bill.currency,
                percent(cost)
            )
        }
        _ => {
            format!("With “{name}” it takes {electricity}; there are no prices to compare.")
        }
    }
}
