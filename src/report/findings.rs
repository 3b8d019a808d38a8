//! What `check` prints: findings for people and for programs.

use serde_json::{Value, json};

use super::content::Tone;
use super::figures::count;
use super::render::fit::{clean, hang};
use super::render::text::{self, Style};
use crate::study::{Finding, Severity};

/// Findings of a file, for people: the count as a sentence, then each with its place, what
/// follows, what mends it and whose demand it is.
pub fn findings_text(file: &str, findings: &[Finding], style: Style) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &sentence(file, findings));
    for finding in findings {
        out.push('\n');
        let tone = if finding.severity == Severity::Note { Tone::Plain } else { Tone::Warning };
        let head = format!("{}[{}]", finding.severity.name(), finding.code);
        out.push_str(&style.paint(tone, &head));
        out.push(' ');
        out.push_str(&clean(&place(file, finding)));
        out.push('\n');
        out.push_str(&hang("  ", &clean(&finding.message), style.width));
        out.push_str(&hang("  mend: ", &clean(&finding.remedy), style.width));
        out.push_str(&hang("  source: ", &clean(&finding.source), style.width));
    }
    let last = "No simulation was run. The equipment's documents, the sequence of operation and the \
                authority having jurisdiction come first.";
    out.push('\n');
    out.push_str(&hang("", last, style.width));
    out
}

fn sentence(file: &str, findings: &[Finding]) -> String {
    if findings.is_empty() {
        return format!("Nothing to report about the settings in {file}.");
    }
    let of = |severity| {
        let number = findings.iter().filter(|finding| finding.severity == severity).count();
        (number > 0).then(|| count(number as u64, severity.name()))
    };
    let parts: Vec<String> =
        [Severity::Error, Severity::Warning, Severity::Note].into_iter().filter_map(of).collect();
    format!("{file}: {}.", parts.join(", "))
}

fn place(file: &str, finding: &Finding) -> String {
    match (finding.line, finding.path.as_str()) {
        (0, path) => path.to_owned(),
        (line, path) => format!("{path} ({file}:{line}:{})", finding.column),
    }
}

/// `{"findings": [...]}`.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn findings_json(findings: &[Finding]) -> Result<String, serde_json::Error> {
    let one = |finding: &Finding| -> Value {
        json!({
            "code": finding.code,
            "severity": finding.severity.name(),
            "at": { "line": finding.line, "column": finding.column, "path": finding.path },
            "message": finding.message,
            "remedy": finding.remedy,
            "source": finding.source,
        })
    };
    let all: Vec<Value> = findings.iter().map(one).collect();
    serde_json::to_string_pretty(&json!({ "findings": all }))
}
