//! What `log` says: what is in a table, a `log` block as a guess, what was recorded of the mapped
//! points, and the log in the columns of `steps.csv`.

mod block;
mod points;
mod rows;
mod survey;

pub use points::{Logged, log_json, log_text};
pub use rows::log_csv;
pub use survey::{Surveyed, survey_json, survey_text};

use crate::log::{BadRows, Gap, LogTime};
use crate::report::figures::count;

/// So many gaps are told one by one.
const MOST_GAPS: usize = 5;

/// A length of time in the words of logs.
fn lasted(seconds: i64) -> String {
    crate::time::Seconds::new(seconds).to_string()
}

/// Gaps, as sentences.
fn gaps_in_words(gaps: &[Gap]) -> Vec<String> {
    let one = |gap: &Gap| {
        format!(
            "Nothing was recorded from {} to {} ({}), before line {}.",
            gap.from,
            gap.to,
            lasted(gap.to - gap.from),
            gap.line
        )
    };
    let mut all: Vec<String> = gaps.iter().take(MOST_GAPS).map(one).collect();
    if gaps.len() > MOST_GAPS {
        let rest: i64 = gaps.iter().skip(MOST_GAPS).map(|gap| gap.to - gap.from).sum();
        all.push(format!("And {} gaps more, {} in all.", gaps.len() - MOST_GAPS, lasted(rest)));
    }
    all
}

/// Rows that were left out, a sentence for each kind.
fn bad_in_words(bad: &BadRows, files: &[String]) -> Vec<String> {
    bad.kinds()
        .map(|(kind, number, first)| {
            let lines: Vec<String> = first
                .iter()
                .take(3)
                .map(|(file, line, cell)| {
                    let name = files.get(*file).filter(|_| files.len() > 1);
                    let name = name.map(|name| format!("{name}, ")).unwrap_or_default();
                    format!("{name}line {line} (`{cell}`)")
                })
                .collect();
            let more = if number > lines.len() { ", ..." } else { "" };
            let rows = count(number as u64, "row");
            format!("{rows} left out that {}: {}{more}.", kind.words(), lines.join(", "))
        })
        .collect()
}

/// A span of times.
fn span_in_words(from: LogTime, to: LogTime) -> String {
    format!("{from} to {to}")
}
