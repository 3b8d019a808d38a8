//! Figures and their differences as people read them.

use crate::measures::{Figure, FigureUnit};
use crate::report::figures::{one_digit, three_figures};
use crate::study::{Comparison, Contender, Difference, differences};
use crate::units::TemperatureUnit;

/// The unit of a figure, as a table's head or row has it.
pub(in crate::report) fn unit_words(
    unit: FigureUnit,
    temperature: TemperatureUnit,
    currency: &str,
) -> String {
    match unit {
        FigureUnit::Energy => "kWh".into(),
        FigureUnit::Power => "kW".into(),
        FigureUnit::Money => currency.into(),
        FigureUnit::Mass => "kg".into(),
        FigureUnit::Hours => "h".into(),
        FigureUnit::DegreeHours => format!("°{} h", temperature.letter()),
        FigureUnit::Count => String::new(),
        FigureUnit::Percent => "%".into(),
    }
}

/// A figure with sensible digits.
pub(in crate::report) fn figure_number(unit: FigureUnit, value: f64) -> String {
    match unit {
        FigureUnit::Energy | FigureUnit::Power | FigureUnit::Mass => three_figures(value),
        FigureUnit::Money => unsigned_zero(format!("{value:.2}")),
        FigureUnit::Hours | FigureUnit::DegreeHours | FigureUnit::Percent => one_digit(value),
        FigureUnit::Count => unsigned_zero(format!("{value:.0}")),
    }
}

/// A difference with its sign; `0` where there is none.
pub(in crate::report) fn signed_number(unit: FigureUnit, value: f64) -> String {
    let size = figure_number(unit, value.abs());
    with_sign(value, &size)
}

/// `-12 %`, `+3 %`, `0 %`.
pub(in crate::report) fn signed_percent(value: f64) -> String {
    let digits = usize::from(value.abs() < 9.95);
    let size = format!("{:.digits$}", value.abs());
    let size = size.strip_suffix(".0").map_or(size.clone(), str::to_owned);
    format!("{} %", with_sign(value, &size))
}

fn with_sign(value: f64, size: &str) -> String {
    let nothing = size.chars().all(|letter| matches!(letter, '0' | '.'));
    match value {
        _ if nothing => "0".into(),
        _ if value < 0.0 => format!("−{size}"),
        _ => format!("+{size}"),
    }
}

fn unsigned_zero(text: String) -> String {
    let nothing = text.chars().all(|letter| matches!(letter, '0' | '.' | '-'));
    match text.strip_prefix('-') {
        Some(bare) if nothing => bare.to_owned(),
        _ => text,
    }
}

/// What the comparison shows, a sentence for each variant. `name` says what people call one.
pub(in crate::report) fn answer(
    comparison: &Comparison,
    name: impl Fn(&Contender) -> String,
) -> Vec<String> {
    let base = name(&comparison.base);
    comparison.variants.iter().map(|variant| sentence(comparison, variant, &name, &base)).collect()
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
    facts.extend(change(value("changeovers"), "changeover"));
    facts.extend(hours(value("hours_outside_band"), "outside comfort"));
    facts.extend(hours(value("starved_hours"), "starved"));
    let (last, start) = facts.split_last().map_or(("", &[][..]), |(last, start)| (last, start));
    let listed =
        if start.is_empty() { last.to_owned() } else { format!("{} and {last}", start.join(", ")) };
    format!("Against {base}, {} takes {listed}.", name(variant))
}

fn electricity(difference: Difference) -> String {
    let absolute = difference.absolute().unwrap_or(0.0);
    let percent = difference.percent().map(|percent| format!(" ({})", signed_percent(percent)));
    let percent = percent.unwrap_or_default();
    let amount = three_figures(absolute.abs());
    match absolute {
        _ if amount == "0" => "the same electricity".into(),
        _ if absolute < 0.0 => format!("{amount} kWh less electricity{percent}"),
        _ => format!("{amount} kWh more electricity{percent}"),
    }
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
    Some(format!("{} {more} hours {what}", one_digit(absolute.abs())))
}

/// Whether a figure says anything: it is not zero for both, and somebody has it.
pub(in crate::report) fn tells(figure: &Figure, difference: &Difference) -> bool {
    let zero = |value: Option<f64>| {
        value.is_none_or(|value| figure_number(figure.unit, value).parse() == Ok(0.0))
    };
    !(zero(difference.base) && zero(difference.value))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_carry_their_sign_and_zero_has_none() {
        assert_eq!(signed_number(FigureUnit::Energy, -1.234), "−1.23");
        assert_eq!(signed_number(FigureUnit::Count, 3.0), "+3");
        assert_eq!(signed_number(FigureUnit::Hours, -0.01), "0");
        assert_eq!(signed_percent(-12.34), "−12 %");
        assert_eq!(signed_percent(2.04), "+2 %");
        assert_eq!(signed_percent(0.0), "0 %");
        assert_eq!(figure_number(FigureUnit::Money, -0.001), "0.00");
    }
}
