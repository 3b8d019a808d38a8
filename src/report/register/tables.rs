//! The register as tables: what was shown by zone, for a page, and all of it for spreadsheets.

use super::{Registered, name_of, source_words};
use crate::report::content::{Cell, Column, Quantity, Table, Tone};
use crate::report::figures::{count, date_in_words, listed};
use crate::report::infer::infer_answer;
use crate::report::render::csv;
use crate::study::register::{Entry, Paper, PaperKind, Register, State, Witnessed};

/// The columns of `register.csv`. A row is a setting or requirement, or a part of a test that waits.
pub const REGISTER_COLUMNS: [&str; 13] = [
    "zone",
    "subject",
    "name",
    "value",
    "state",
    "shown_on",
    "shown_by",
    "shown_in",
    "failed_on",
    "failed_by",
    "failed_in",
    "why",
    "weeks",
];
/// The state of a part that waits.
const WAITS: &str = "waits";

/// The whole register as CSV.
///
/// # Errors
/// Those of the CSV writer; memory gives it no reason to.
pub fn register_csv(registered: &Registered<'_>) -> std::io::Result<Vec<u8>> {
    let column = |path: &'static str| Column { path, ..Column::new(path, Quantity::Words) };
    let mut table = Table::new(REGISTER_COLUMNS.map(column).to_vec());
    for it in &registered.register.entries {
        let [on, by, source] = seen(it.shown.as_ref());
        let [failed_on, failed_by, failed_in] = seen(it.failed.as_ref());
        table.row(
            [
                it.zone().unwrap_or_default().to_owned(),
                it.subject.clone(),
                name_of(it),
                it.value.clone(),
                it.state.name().to_owned(),
                on,
                by,
                source,
                failed_on,
                failed_by,
                failed_in,
                it.why.clone(),
                String::new(),
            ]
            .map(Cell::from),
        );
    }
    for it in &registered.register.waiting {
        let mut cells: [String; REGISTER_COLUMNS.len()] = Default::default();
        cells[0].clone_from(&it.part.zone);
        cells[2].clone_from(&it.part.part);
        WAITS.clone_into(&mut cells[4]);
        cells[11].clone_from(&it.part.why);
        cells[12] = registered.weeks_words(it);
        table.row(cells.map(Cell::from));
    }
    csv::table(&table)
}

fn seen(at: Option<&Witnessed>) -> [String; 3] {
    at.map_or_else(Default::default, |it| {
        [it.date.to_string(), it.tester.clone(), source_words(it)]
    })
}

/// What was shown in a zone, or of outdoor units and requirements: a row a setting.
pub(super) fn shown(entries: &[&Entry]) -> Table {
    let mut table = Table::new(vec![
        Column::new("setting", Quantity::Words),
        Column::new("value", Quantity::Words),
        Column::new("state", Quantity::Words),
        Column::new("last shown", Quantity::Words),
        Column::new("by", Quantity::Words),
        Column::new("in", Quantity::Words),
    ]);
    for it in entries {
        let tone = if it.state.is_open() { Tone::Warning } else { Tone::Plain };
        let shown = it.shown.as_ref();
        let on = shown.map(|it| date_in_words(it.date)).unwrap_or_default();
        let [_, by, source] = seen(shown);
        table.row([
            crate::report::headline::capitalised(&name_of(it)).into(),
            it.value.as_str().into(),
            Cell::toned(it.state.name(), tone),
            on.into(),
            by.into(),
            source.into(),
        ]);
    }
    table
}

/// Each paper in a line: who, when, what came of it.
pub(super) fn paper_lines(register: &Register) -> Vec<String> {
    register.papers.iter().map(paper_words).collect()
}

fn paper_words(paper: &Paper) -> String {
    let by = if paper.testers.is_empty() { "nobody named".into() } else { listed(&paper.testers) };
    let Some((first, last)) = paper.days else {
        return format!("{}: nothing is filled in.", paper.name);
    };
    let days = if first == last {
        date_in_words(first)
    } else {
        format!("{} to {}", date_in_words(first), date_in_words(last))
    };
    let one = if paper.kind == PaperKind::Sheet { "line" } else { "cell" };
    let failed = paper.failed.len() + paper.otherwise;
    let unread = match (paper.unread, paper.kind) {
        (0, _) | (_, PaperKind::Table) => String::new(),
        (unread, PaperKind::Sheet) => format!(", {unread} not read"),
    };
    let answer = if paper.inferred.is_empty() {
        String::new()
    } else {
        format!(" {}", infer_answer(&paper.inferred))
    };
    format!(
        "{}, {days}, {by}: {} as expected, {failed} otherwise{unread}.{answer}",
        paper.name,
        count(paper.good as u64, one)
    )
}

/// How many entries are in each state, for those that some are in.
pub(super) fn states(register: &Register) -> Vec<(&'static str, usize)> {
    let all = State::ALL.into_iter().map(|state| (state.name(), register.count(state)));
    all.filter(|(_, count)| *count > 0).collect()
}
