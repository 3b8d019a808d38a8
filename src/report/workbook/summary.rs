//! The first sheet: the answer, every figure, every zone, what it rests on. And the deadbands.

use rust_xlsxwriter::XlsxError;

use super::Subject;
use super::page::{Cell, Page, Shown};
use crate::engine::Model;
use crate::measures::{FIGURES, ZoneFigures};
use crate::report::cautions::cautions;
use crate::report::compare::unit_words;
use crate::report::figures::{days_in_words, unit_sign};
use crate::report::headline::capitalised;
use crate::report::settings::assumptions;
use crate::study::{Knee, differences};

pub(super) fn write(
    page: &mut Page,
    subjects: &[Subject],
    answer: &[String],
) -> Result<(), XlsxError> {
    let Some(first) = subjects.first() else { return Ok(()) };
    let others = subjects.len() - 1;
    page.widths(&[34.0, 14.0, 13.0], 19 + 3 * others)?;
    page.strong_line(&first.run.model.title)?;
    page.line(&days_in_words(&first.run.model.period))?;
    figures(page, subjects)?;
    page.skip();
    zones(page, subjects)?;
    section(page, "What this shows", answer)?;
    section(page, "What the figures rest on", &assumptions(first.run.model))?;
    let mut all: Vec<String> = Vec::new();
    for caution in subjects.iter().flat_map(|subject| cautions(&subject.run)) {
        if !all.contains(&caution) {
            all.push(caution);
        }
    }
    section(page, "Bear in mind", &all)
}

fn section(page: &mut Page, head: &str, lines: &[String]) -> Result<(), XlsxError> {
    page.skip();
    page.strong_line(head)?;
    lines.iter().try_for_each(|line| page.line(line))
}

/// Every figure: a column for each subject, then the differences to the first.
fn figures(page: &mut Page, subjects: &[Subject]) -> Result<(), XlsxError> {
    let Some((first, others)) = subjects.split_first() else { return Ok(()) };
    let mut heads = vec!["Figure".to_owned(), "Unit".to_owned()];
    heads.extend(subjects.iter().map(|it| it.name.unwrap_or("Value").to_owned()));
    let base = first.name.unwrap_or_default();
    for name in others.iter().filter_map(|other| other.name) {
        heads.push(format!("{name} less {base}"));
        heads.push(format!("{name}, percent of {base}"));
    }
    page.heads(&heads, 1)?;
    let model = first.run.model;
    let currency = model.tariff.as_ref().map_or("", |tariff| &tariff.currency);
    for figure in FIGURES {
        let shown = Shown::of(figure.unit);
        let mut cells: Vec<Cell> = vec![
            capitalised(figure.words).into(),
            unit_words(figure.unit, model.unit, currency).into(),
        ];
        let values = subjects.iter().map(|it| Cell::Number(figure.of(it.run.summary), shown));
        cells.extend(values);
        for other in others {
            let all = differences(first.run.summary, other.run.summary);
            let found = all.into_iter().find(|(known, _)| known.key == figure.key);
            let difference = found.map(|(_, difference)| difference);
            cells.push(Cell::Number(difference.and_then(|it| it.absolute()), shown));
            cells.push(Cell::Number(difference.and_then(|it| it.percent()), Shown::One));
        }
        page.row(&cells)?;
    }
    Ok(())
}

/// A figure of a zone with its head; `None` where the zone has none.
type Column = (&'static str, Shown, fn(&ZoneFigures) -> Option<f64>);

const ZONE_COLUMNS: [Column; 20] = [
    ("Changeovers", Shown::Whole, |it| Some(it.changeovers as f64)),
    ("Unit starts", Shown::Whole, |it| Some(it.unit_starts as f64)),
    ("Served, h", Shown::One, |it| Some(it.served_hours)),
    ("Starved, h", Shown::One, |it| Some(it.starved_hours)),
    ("Occupied, h", Shown::One, |it| Some(it.occupied_hours)),
    ("Outside comfort, h", Shown::One, |it| Some(it.hours_outside_band)),
    ("Outside comfort, degree-hours", Shown::One, |it| Some(it.degree_hours_outside_band)),
    ("Lowest operative", Shown::One, |it| Some(it.operative.as_ref()?.min)),
    ("Mean operative", Shown::One, |it| Some(it.operative.as_ref()?.mean)),
    ("Highest operative", Shown::One, |it| Some(it.operative.as_ref()?.max)),
    ("Mean PMV", Shown::Two, |it| Some(it.comfort.as_ref()?.mean_pmv)),
    ("PPD, %", Shown::One, |it| Some(it.comfort.as_ref()?.ppd_percent)),
    ("Lowest air", Shown::One, |it| Some(it.temperature.min)),
    ("Mean air", Shown::One, |it| Some(it.temperature.mean)),
    ("Highest air", Shown::One, |it| Some(it.temperature.max)),
    ("Requests accepted", Shown::Whole, |it| Some(it.requests.accepted as f64)),
    ("Requests that pushed", Shown::Whole, |it| Some(it.requests.pushed as f64)),
    ("Requests limited", Shown::Whole, |it| Some(it.requests.limited as f64)),
    ("Requests refused", Shown::Whole, |it| Some(it.requests.refused as f64)),
    ("Requests without effect", Shown::Whole, |it| Some(it.requests.no_effect as f64)),
];

/// A row for each zone of each subject.
fn zones(page: &mut Page, subjects: &[Subject]) -> Result<(), XlsxError> {
    let sign = subjects.first().map_or("", |first| unit_sign(first.run.model.unit));
    let mut heads = vec!["Zone".to_owned(), String::new()];
    heads.extend(ZONE_COLUMNS.iter().map(|(head, ..)| match head.rsplit(' ').next() {
        Some("air" | "operative") => format!("{head}, {sign}"),
        Some("degree-hours") => format!("{head}, {sign} h"),
        _ => (*head).to_owned(),
    }));
    page.plain_heads(&heads)?;
    for subject in subjects {
        let zones = subject.run.model.zones.iter();
        for (zone, (_, figures)) in zones.zip(&subject.run.summary.zones) {
            let mut cells: Vec<Cell> = vec![
                crate::report::run::label(zone).into(),
                subject.name.unwrap_or_default().into(),
            ];
            let values = ZONE_COLUMNS.iter();
            cells.extend(values.map(|(_, shown, value)| Cell::Number(value(figures), *shown)));
            page.row(&cells)?;
        }
    }
    Ok(())
}

/// What each deadband brings.
pub(super) fn deadbands(page: &mut Page, model: &Model, knee: &Knee) -> Result<(), XlsxError> {
    page.widths(&[16.0, 14.0], 3)?;
    let heads = [
        format!("Deadband, {}", unit_sign(model.unit)),
        "Changeovers".into(),
        "Electricity, kWh".into(),
        "Opposed heat, kWh".into(),
    ];
    page.heads(&heads, 1)?;
    for point in &knee.points {
        let mut cells = vec![Cell::Number(Some(point.deadband), Shown::One)];
        match &point.result {
            Ok(figures) => cells.extend([
                Cell::Number(Some(figures.changeovers as f64), Shown::Whole),
                Cell::Number(Some(figures.total_kwh), Shown::Three),
                Cell::Number(Some(figures.opposed_kwh), Shown::Three),
            ]),
            Err(_) => cells.push("left out: the limits leave no room".into()),
        }
        page.row(&cells)?;
    }
    Ok(())
}
