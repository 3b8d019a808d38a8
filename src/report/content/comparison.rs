//! Figures side by side, and how they differ.

use std::borrow::Cow;

use super::wording::{CHANGEOVERS, ELECTRICITY, OUT_OF_BAND, STARVED};
use super::{Cell, Column, Medium, Quantity, Row, Table, Tone, Units, Value};
use crate::measures::{FIGURES, Figure, Summary};
use crate::report::headline::capitalised;
use crate::study::{Comparison, Difference};

/// What has room for long heads.
const WORKBOOK: &[Medium] = &[Medium::Workbook];

/// What is held against the others: its name, its place in `compare.json`, its figures.
#[derive(Clone, Debug)]
pub(in crate::report) struct Side<'a> {
    /// What people call it.
    pub(in crate::report) name: Cow<'a, str>,
    /// Where `compare.json` has its figures, as `differences/wide/{}/value` with the figure's name
    /// in the braces; empty where it has none.
    pub(in crate::report) place: String,
    /// Its figures.
    pub(in crate::report) summary: &'a Summary,
}

/// The base and the variants of a comparison under the names that people read.
pub(in crate::report) fn sides<'a>(
    comparison: &'a Comparison,
    name: impl Fn(&'a crate::study::Contender) -> Cow<'a, str>,
) -> Vec<Side<'a>> {
    let base = comparison.variants.first();
    let base = base.map_or_else(String::new, |it| format!("differences/{}/{{}}/base", it.name));
    let places = comparison.variants.iter().map(|it| format!("differences/{}/{{}}/value", it.name));
    let all = comparison.all().zip(std::iter::once(base).chain(places));
    all.map(|(it, place)| Side { name: name(it), place, summary: &it.finished.summary }).collect()
}

/// Every figure, or every one that says anything, a row each: a column for each side, and how the
/// others differ from the first.
pub(in crate::report) fn figures(sides: &[Side], units: Units, all: bool) -> Table {
    let lone = sides.len() == 2;
    let mut columns =
        vec![Column::new("figure", Quantity::Name), Column::new("unit", Quantity::Name)];
    let base = sides.first().map_or("", |side| &side.name);
    for (place, side) in sides.iter().enumerate() {
        columns.push(Column::new(side.name.clone().into_owned(), Quantity::Number));
        if place > 0 {
            let less = format!("{} less {base}", side.name);
            let [absolute, percent] = if lone {
                ["difference".to_owned(), "percent".to_owned()]
            } else {
                [less.clone(), format!("{less}, % of {base}")]
            };
            let differing = |head: String, media: &'static [Medium]| Column {
                differs: true,
                media,
                ..Column::new(head, Quantity::Number)
            };
            columns.push(differing(absolute, Medium::BRIEF));
            columns.push(differing(percent, Medium::BRIEF));
            columns.push(differing(less.clone(), WORKBOOK));
            columns.push(differing(format!("{less}, % of {base}"), WORKBOOK));
        }
    }
    let mut table = Table::new(columns);
    for figure in FIGURES.iter().filter(|figure| all || sides.iter().any(|it| tells(figure, it))) {
        table.rows.push(row(figure, sides, units));
    }
    table
}

fn row(figure: &Figure, sides: &[Side], units: Units) -> Row {
    let quantity = Quantity::from(figure.unit);
    let mut cells: Vec<Cell> = vec![capitalised(figure.words).into(), units.unit(quantity).into()];
    let base = sides.first().and_then(|side| figure.of(side.summary));
    for (at, side) in sides.iter().enumerate() {
        let value = figure.of(side.summary);
        let place =
            if value.is_some() { side.place.replace("{}", figure.key) } else { String::new() };
        let this = cells.len();
        cells.push(Cell { figure: place, ..value.into() });
        if at > 0 {
            let difference = Difference { base, value };
            let less = difference.absolute();
            let tone = if less.is_some_and(|it| it != 0.0) { Tone::Strong } else { Tone::Faint };
            let less = less.map(|it| Value::Less(this, 2, it));
            let percent = difference.percent().map(|it| Value::LessInPercent(this, 2, it));
            // Twice: people read short heads, and workbooks have long ones.
            for _ in 0..2 {
                cells.push(Cell::toned(less.clone(), tone));
                cells.push(percent.clone().into());
            }
        }
    }
    Row { cells, quantity: Some(quantity) }
}

/// Whether a figure says anything of a side: it has it, and it reads otherwise than as 0.
fn tells(figure: &Figure, side: &Side) -> bool {
    let shown = figure.of(side.summary).map(|value| Quantity::from(figure.unit).shown(value));
    shown.is_some_and(|text| text.parse() != Ok(0.0))
}

/// Figures that stand side by side in few words.
const SIDE_BY_SIDE: [(&str, &str); 7] = [
    ("total_kwh", ELECTRICITY),
    ("cost", "cost"),
    ("changeovers", CHANGEOVERS),
    ("unit_starts", "unit starts"),
    ("starved_hours", STARVED),
    ("hours_outside_band", OUT_OF_BAND),
    ("opposed_kwh", "opposed heat"),
];

/// A row for each that is compared, with the figures that matter most.
pub(in crate::report) fn side_by_side(sides: &[Side], units: Units) -> Table {
    let known = |(key, head): &(&str, &'static str)| Some((Figure::named(key)?, *head));
    let figures: Vec<(&Figure, &'static str)> = SIDE_BY_SIDE.iter().filter_map(known).collect();
    let mut columns = vec![Column::new("settings", Quantity::Name)];
    columns.extend(figures.iter().map(|(it, head)| Column::in_unit(*head, it.unit.into(), units)));
    let mut table = Table::new(columns);
    for side in sides {
        let mut cells = vec![Cell::toned(&*side.name, Tone::Strong)];
        cells.extend(figures.iter().map(|(figure, _)| Cell::from(figure.of(side.summary))));
        table.row(cells);
    }
    table
}

/// A row for each variant and figure, for programs.
pub(in crate::report) fn long(comparison: &Comparison) -> Table {
    let column = |path, quantity| Column { path, ..Column::new("", quantity) };
    let words = ["variant", "figure", "unit"].map(|path| column(path, Quantity::Name));
    let numbers = ["base", "value", "difference", "percent"];
    let numbers = numbers.map(|path| column(path, Quantity::Number));
    let mut table = Table::new(words.into_iter().chain(numbers).collect());
    let units = Units::of(&comparison.base.model);
    for variant in &comparison.variants {
        let (base, other) = (&comparison.base.finished.summary, &variant.finished.summary);
        for (figure, difference) in crate::study::differences(base, other) {
            table.row([
                Cell::from(variant.name.as_str()),
                figure.key.into(),
                units.unit(figure.unit.into()).into(),
                difference.base.into(),
                difference.value.into(),
                difference.absolute().into(),
                difference.percent().into(),
            ]);
        }
    }
    table
}

/// What each deadband brings.
#[cfg(feature = "cli")]
pub(in crate::report) fn deadbands(knee: &crate::study::Knee, units: Units) -> Table {
    let mut table = Table::new(vec![
        Column::in_unit("deadband", Quantity::Temperature, units),
        Column::in_unit(CHANGEOVERS, Quantity::Count, units),
        Column::in_unit(ELECTRICITY, Quantity::Energy, units),
        Column::in_unit("opposed heat", Quantity::Energy, units),
        Column::new("left out", Quantity::Words),
    ]);
    for point in &knee.points {
        let mut cells = vec![Cell::from(point.deadband)];
        if let Ok(it) = &point.result {
            cells.extend([it.changeovers.into(), it.total_kwh.into(), it.opposed_kwh.into()]);
        } else {
            cells.resize_with(4, Cell::default);
            cells.push("the limits leave no room".into());
        }
        table.row(cells);
    }
    table
}
