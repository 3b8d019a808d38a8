//! What is in a table of which nothing is known.

use serde_json::{Value, json};

use super::{block, lasted, span_in_words};
use crate::log::{ColumnKind, ColumnSurvey, Guesses, Survey};
use crate::report::content::{Cell, Column, Quantity, Table};
use crate::report::figures::count;
use crate::report::render::fit::hang;
use crate::report::render::text::{self, Style};

/// A table that was looked over.
#[derive(Clone, Debug)]
pub struct Surveyed {
    /// The file's name.
    pub file: String,
    /// What is in it.
    pub survey: Survey,
    /// What its columns seem to be.
    pub guesses: Guesses,
}

impl Surveyed {
    /// The most important, as a sentence.
    fn answer(&self) -> String {
        let rows = count(self.survey.rows as u64, "row");
        let columns = count(self.survey.columns.len() as u64, "column");
        let Some(time) = &self.survey.time else {
            return format!(
                "{}: {rows}, {columns}, and no column of times that run on.",
                self.file
            );
        };
        let (from, to) = time.span;
        let year = if time.lacks_year { " (of an unknown year)" } else { "" };
        let gaps = match time.gaps {
            0 => "without a gap".to_owned(),
            gaps => format!("with {}", count(gaps as u64, "gap")),
        };
        format!(
            "{}: {rows} of {columns}, usually every {}, {}{year}, {gaps}.",
            self.file,
            lasted(time.interval),
            span_in_words(from, to)
        )
    }

    fn block(&self) -> String {
        let names: Vec<String> = self.survey.columns.iter().map(|it| it.name.clone()).collect();
        block::block(&self.file, &names, self.survey.time.as_ref(), &self.guesses)
    }
}

/// For people: what is in it, and a `log` block as a guess.
pub fn survey_text(all: &[Surveyed], style: Style) -> String {
    let mut out = String::new();
    for one in all {
        if !out.is_empty() {
            out.push('\n');
        }
        text::strong(&mut out, style, &one.answer());
        let layout = format!(
            "It is {}; its headings stand on line {}.",
            one.survey.layout, one.survey.header_line
        );
        out.push_str(&hang("", &layout, style.width));
        out.push('\n');
        out.push_str(&text::table(&columns(&one.survey), style));
        text::section(&mut out, style, "A `log` block as a guess: check each line", &one.block());
    }
    out
}

fn columns(survey: &Survey) -> Table {
    let mut table = Table::new(vec![
        Column::new("column", Quantity::Name),
        Column::new("kind", Quantity::Name),
        Column::new("range", Quantity::Name),
        Column::new("step", Quantity::Name),
        Column::new("missing", Quantity::Name),
        Column::new("stood still", Quantity::Name),
    ]);
    for column in &survey.columns {
        let [range, step, missing, still] = cells(column);
        let cells =
            [column.name.clone(), column.kind.name().to_owned(), range, step, missing, still];
        table.row(cells.map(Cell::from));
    }
    table
}

fn cells(column: &ColumnSurvey) -> [String; 4] {
    let number = |value: f64| format!("{value}");
    let words = column.values.iter().take(6).cloned().collect::<Vec<_>>().join(", ");
    let range = match column.range {
        _ if column.kind == ColumnKind::Switch => words,
        Some((low, high)) => format!("{} to {}", number(low), number(high)),
        None => String::new(),
    };
    let (missing, rows) = column.missing;
    let share = 100.0 * missing as f64 / rows.max(1) as f64;
    let missing = if missing == 0 { String::new() } else { format!("{share:.1} %") };
    let (still, line) = column.longest_still;
    let moves = matches!(column.kind, ColumnKind::Temperature | ColumnKind::Number);
    let still =
        if moves && still > 2 { format!("{still} rows from line {line}") } else { String::new() };
    let step = column.resolution.filter(|_| column.kind != ColumnKind::Time).map(number);
    [range, step.unwrap_or_default(), missing, still]
}

/// For programs.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn survey_json(all: &[Surveyed]) -> Result<String, serde_json::Error> {
    let logs: Vec<Value> = all.iter().map(one_json).collect();
    serde_json::to_string_pretty(&json!({ "logs": logs })).map(|text| text + "\n")
}

fn one_json(one: &Surveyed) -> Value {
    let time = one.survey.time.as_ref().map(|time| {
        json!({
            "columns": time.columns.iter().map(|it| &one.survey.columns[*it].name).collect::<Vec<_>>(),
            "format": time.format.unwrap_or("iso"),
            "lacks_year": time.lacks_year,
            "from": time.span.0.to_string(),
            "to": time.span.1.to_string(),
            "interval_s": time.interval,
            "gaps": time.gaps,
        })
    });
    let columns: Vec<Value> = one
        .survey
        .columns
        .iter()
        .map(|column| {
            json!({
                "name": column.name,
                "kind": column.kind.name(),
                "low": column.range.map(|range| range.0),
                "high": column.range.map(|range| range.1),
                "resolution": column.resolution,
                "missing": column.missing.0,
                "longest_still_rows": column.longest_still.0,
                "longest_still_line": column.longest_still.1,
                "values": column.values,
            })
        })
        .collect();
    json!({
        "file": one.file,
        "layout": one.survey.layout,
        "header_line": one.survey.header_line,
        "rows": one.survey.rows,
        "time": time,
        "columns": columns,
        "guess": one.block(),
    })
}
