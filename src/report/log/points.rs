//! What was recorded of the mapped points.

use serde_json::{Value, json};

use super::{bad_in_words, gaps_in_words, lasted, span_in_words};
use crate::log::{PointSummary, SiteLog, summaries};
use crate::report::content::{Cell, Column, Quantity, Table};
use crate::report::figures::{count, duration};
use crate::report::render::text::{self, Style};

/// A log with what was recorded of its points.
#[derive(Clone, Debug)]
pub struct Logged<'a> {
    /// The log.
    pub site: &'a SiteLog,
    /// Its points.
    pub points: Vec<PointSummary>,
}

impl<'a> Logged<'a> {
    /// Adds a log up.
    pub fn new(site: &'a SiteLog) -> Self {
        Self { site, points: summaries(&site.log, &site.source.mapping) }
    }

    /// The most important, as a sentence.
    pub fn answer(&self) -> String {
        let log = &self.site.log;
        let rows = count(log.rows as u64, "row");
        let files = self.site.source.files.join(", ");
        let span = log.span().map(|(from, to)| format!(", {}", span_in_words(from, to)));
        let usual = log.axis.interval().map(|it| format!(", usually every {}", lasted(it)));
        let bad = match log.bad.total() {
            0 => String::new(),
            bad => format!("; {} left out", count(bad as u64, "row")),
        };
        format!("{files}: {rows}{}{}{bad}.", span.unwrap_or_default(), usual.unwrap_or_default())
    }
}

/// For people.
pub fn log_text(logged: &Logged, style: Style, files: &[String]) -> String {
    let log = &logged.site.log;
    let mut out = String::new();
    text::strong(&mut out, style, &logged.answer());
    out.push('\n');
    out.push_str(&text::table(&table(logged), style));
    let gaps = gaps_in_words(&log.axis.gaps(log.longest_step()));
    let gap = lasted(log.longest_step());
    let head = format!("Gaps: longer than {gap} without a row");
    let gaps = if gaps.is_empty() { vec!["There is none.".to_owned()] } else { gaps };
    text::section(&mut out, style, &head, &text::list(&gaps, style));
    let bad = bad_in_words(&log.bad, &logged.site.source.files);
    text::section(&mut out, style, "Rows left out", &text::list(&bad, style));
    text::files(&mut out, style, files);
    out
}

fn table(logged: &Logged) -> Table {
    let mut table = Table::new(vec![
        Column::new("point", Quantity::Name),
        Column::new("column", Quantity::Name),
        Column::new("readings", Quantity::Count),
        Column::new("missing", Quantity::Name),
        Column::new("range", Quantity::Name),
        Column::new("step", Quantity::Name),
        Column::new("still", Quantity::Name),
    ]);
    for it in &logged.points {
        let name = it
            .zone
            .as_ref()
            .map_or_else(|| it.point.clone(), |zone| format!("{zone}.{}", it.point));
        let range = it.range.map(|(low, high)| format!("{low} to {high}")).unwrap_or_default();
        let step = it.resolution.map(|step| format!("{step}")).unwrap_or_default();
        let still =
            it.still.map(|(longest, _)| duration(longest as f64 / 3600.0)).unwrap_or_default();
        let share = format!("{:.1} %", 100.0 * it.missing);
        table.row([
            Cell::from(name),
            it.column.clone().into(),
            (it.readings as f64).into(),
            share.into(),
            range.into(),
            step.into(),
            still.into(),
        ]);
    }
    table
}

/// For programs.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn log_json(logged: &Logged) -> Result<String, serde_json::Error> {
    let log = &logged.site.log;
    let points: Vec<Value> = logged
        .points
        .iter()
        .map(|it| {
            json!({
                "zone": it.zone,
                "point": it.point,
                "column": it.column,
                "readings": it.readings,
                "missing": it.missing,
                "low": it.range.map(|range| range.0),
                "high": it.range.map(|range| range.1),
                "resolution": it.resolution,
                "changes": it.changes,
                "still_s": it.still.map(|still| still.0),
                "still_from": it.still.map(|still| still.1.to_string()),
            })
        })
        .collect();
    let gaps: Vec<Value> = log
        .axis
        .gaps(log.longest_step())
        .iter()
        .map(
            |gap| json!({"from": gap.from.to_string(), "to": gap.to.to_string(), "line": gap.line}),
        )
        .collect();
    let bad: Vec<Value> = log
        .bad
        .kinds()
        .map(|(kind, number, first)| {
            let lines: Vec<u32> = first.iter().map(|it| it.1).collect();
            json!({"kind": kind.words(), "count": number, "lines": lines})
        })
        .collect();
    let span = log.span();
    let value = json!({
        "files": logged.site.source.files,
        "rows": log.rows,
        "bad_rows": log.bad.total(),
        "from": span.map(|span| span.0.to_string()),
        "to": span.map(|span| span.1.to_string()),
        "interval_s": log.axis.interval(),
        "longest_step_s": log.longest_step(),
        "points": points,
        "gaps": gaps,
        "bad": bad,
    });
    serde_json::to_string_pretty(&value).map(|text| text + "\n")
}
