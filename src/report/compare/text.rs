//! What `compare` prints: a sentence for each variant, all side by side, the differences.

use super::knee::knee_sentence;
use super::{answer, figure_number, signed_number, signed_percent, tells, unit_words};
use crate::measures::Figure;
use crate::report::figures::days_in_words;
use crate::report::fit::{clean, hang};
use crate::report::style::{Style, Tone, section};
use crate::report::table::{Cell, Column, Fit, Table};
use crate::study::{Comparison, Contender, differences};

/// Figures that stand side by side, with the heads of their columns.
const SIDE_BY_SIDE: [(&str, &str); 7] = [
    ("total_kwh", "electri-\ncity kWh"),
    ("cost", "cost"),
    ("changeovers", "change-\novers"),
    ("unit_starts", "unit\nstarts"),
    ("starved_hours", "starved\nh"),
    ("hours_outside_band", "outside\nband h"),
    ("opposed_kwh", "opposed\nkWh"),
];

/// The whole text. `files` are the paths that were written, as they are to be shown.
pub fn comparison_text(comparison: &Comparison, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    for sentence in answer(comparison, |contender| contender.name.clone()) {
        let lines = hang("", &clean(&sentence), style.width);
        for line in lines.lines() {
            out.push_str(&style.paint(Tone::Strong, line));
            out.push('\n');
        }
    }
    if let Some(knee) = &comparison.knee {
        let sentence = knee_sentence(&comparison.base.model, knee);
        out.push_str(&hang("", &clean(&sentence), style.width));
    }
    out.push_str(&hang("", &clean(&what_was_run(comparison)), style.width));
    out.push('\n');
    out.push_str(&side_by_side(comparison).render(style));
    for variant in &comparison.variants {
        out.push('\n');
        out.push_str(&differences_of(comparison, variant).render(style));
    }
    let notes: String =
        comparison.notes.iter().map(|note| hang("  ", &clean(note), style.width)).collect();
    section(&mut out, style, "Bear in mind", &(notes + &closing(style)));
    for one in &comparison.left_out {
        let head = format!("Left out: {}", clean(&one.name));
        section(&mut out, style, &head, &indented(one.faults.to_string().lines()));
    }
    section(&mut out, style, "Files", &indented(files.iter().map(String::as_str)));
    out
}

fn indented<'a>(lines: impl Iterator<Item = &'a str>) -> String {
    lines.fold(String::new(), |out, line| out + "  " + &clean(line) + "\n")
}

fn closing(style: Style) -> String {
    let words = "The same weather, people and random draws in every column; only settings differ. \
                 A model of these days, not a promise of savings and not a test on site.";
    hang("  ", words, style.width)
}

fn what_was_run(comparison: &Comparison) -> String {
    let model = &comparison.base.model;
    format!("{}: {}.", model.title, days_in_words(&model.period))
}

/// One row for each that is compared.
fn side_by_side(comparison: &Comparison) -> Table {
    let base = &comparison.base;
    let figures: Vec<(&Figure, &str)> = SIDE_BY_SIDE
        .iter()
        .filter_map(|(key, head)| Some((Figure::named(key)?, *head)))
        .filter(|(figure, _)| figure.of(&base.finished.summary).is_some())
        .collect();
    let mut columns = vec![Column::words("", Fit::Cut)];
    columns.extend(figures.iter().map(|(_, head)| Column::numbers(head)));
    let mut table = Table::new(columns);
    for contender in comparison.all() {
        let mut cells = vec![Cell::toned(&contender.name, Tone::Strong)];
        for (figure, _) in &figures {
            let value = figure.of(&contender.finished.summary);
            cells.push(value.map_or_else(String::new, |it| figure_number(figure.unit, it)).into());
        }
        table.row(cells);
    }
    table
}

/// Every figure that is not zero for both, with its difference.
fn differences_of(comparison: &Comparison, variant: &Contender) -> Table {
    let base = &comparison.base;
    let currency = base.model.tariff.as_ref().map_or("", |tariff| &tariff.currency);
    let mut table = Table::new(vec![
        Column::words(&format!("{} against {}", variant.name, base.name), Fit::Cut),
        Column::words("", Fit::Keep),
        Column::numbers(&base.name),
        Column::numbers(&variant.name),
        Column::numbers("difference"),
        Column::numbers("percent"),
    ]);
    let all = differences(&base.finished.summary, &variant.finished.summary);
    for (figure, difference) in all.iter().filter(|(figure, it)| tells(figure, it)) {
        let number = |value: Option<f64>| {
            value.map_or_else(|| "-".into(), |value| figure_number(figure.unit, value))
        };
        let absolute = difference.absolute();
        let changed = absolute.is_some_and(|absolute| absolute != 0.0);
        table.row([
            figure.words.into(),
            unit_words(figure.unit, base.model.unit, currency).into(),
            number(difference.base).into(),
            number(difference.value).into(),
            Cell::toned(
                absolute.map_or_else(|| "-".into(), |it| signed_number(figure.unit, it)),
                if changed { Tone::Strong } else { Tone::Faint },
            ),
            difference.percent().map_or_else(|| "-".into(), signed_percent).into(),
        ]);
    }
    table
}
