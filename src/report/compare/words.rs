//! What a comparison shows, in sentences.

use crate::report::content::{Quantity, signed_percent};
use crate::report::figures::{listed, money};
use crate::report::headline::{capitalised, implausible};
use crate::study::{Comparison, Contender, Difference, differences};

/// What the comparison shows, a sentence for each variant, after warnings of temperatures that no
/// building has. `name` says what people call one.
pub(in crate::report) fn answer(
    comparison: &Comparison,
    name: impl Fn(&Contender) -> String,
) -> Vec<String> {
    let base = name(&comparison.base);
    let warnings = comparison.all().filter_map(|it| {
        let words = implausible(&it.model, &it.finished.summary)?;
        Some(format!("{}: {words}", capitalised(&name(it))))
    });
    let variants = comparison.variants.iter();
    warnings.chain(variants.map(|variant| sentence(comparison, variant, &name, &base))).collect()
}

fn sentence(
    comparison: &Comparison,
    variant: &Contender,
    name: impl Fn(&Contender) -> String,
    base: &str,
) -> String {
    let (before, after) = (&comparison.base.finished.summary, &variant.finished.summary);
    let all = differences(before, after);
    if all.iter().all(|(_, difference)| difference.absolute().unwrap_or(0.0) == 0.0) {
        return format!("Against {base}, {} is the same in every figure.", name(variant));
    }
    let value = |key: &str| {
        let found = all.iter().find(|(figure, _)| figure.key == key);
        found.map_or(Difference { base: None, value: None }, |(_, difference)| *difference)
    };
    let mut facts = vec![electricity(value("total_kwh"))];
    let currency = comparison.base.model.tariff.as_ref().map_or("", |it| it.currency.as_str());
    facts.extend(cost(value("cost"), currency));
    facts.extend(change(value("changeovers"), "changeover"));
    facts.extend(hours(value("hours_outside_band"), "out of band"));
    facts.extend(hours(value("starved_hours"), "starved"));
    format!("Against {base}, {} takes {}.", name(variant), listed(&facts))
}

fn electricity(difference: Difference) -> String {
    let absolute = difference.absolute().unwrap_or(0.0);
    let percent = difference.percent().map(|percent| format!(" ({})", signed_percent(percent)));
    let percent = percent.unwrap_or_default();
    let amount = Quantity::Energy.shown(absolute.abs());
    match absolute {
        _ if amount == "0" => "the same electricity".into(),
        _ if absolute < 0.0 => format!("{amount} kWh less electricity{percent}"),
        _ => format!("{amount} kWh more electricity{percent}"),
    }
}

/// What it costs more or less, where there are prices.
fn cost(difference: Difference, currency: &str) -> Option<String> {
    let absolute = difference.absolute()?;
    let percent = difference.percent().map(|percent| format!(" ({})", signed_percent(percent)));
    let amount = money(absolute.abs(), currency);
    Some(match absolute {
        _ if absolute.abs() < 0.005 => "the same cost".into(),
        _ if absolute < 0.0 => format!("{amount} less{}", percent.unwrap_or_default()),
        _ => format!("{amount} more{}", percent.unwrap_or_default()),
    })
}

fn change(difference: Difference, what: &str) -> Option<String> {
    let absolute = difference.absolute().filter(|absolute| *absolute != 0.0)?;
    let plural = if absolute.abs() == 1.0 { "" } else { "s" };
    let more = if absolute < 0.0 { "fewer" } else { "more" };
    Some(format!("{:.0} {more} {what}{plural}", absolute.abs()))
}

fn hours(difference: Difference, what: &str) -> Option<String> {
    let absolute = difference.absolute().filter(|absolute| absolute.abs() >= 0.05)?;
    let more = if absolute < 0.0 { "fewer" } else { "more" };
    Some(format!("{} {more} hours {what}", Quantity::Hours.shown(absolute.abs())))
}
