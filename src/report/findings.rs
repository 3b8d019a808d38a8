//! What `check` prints: findings for people and for programs.

use serde_json::{Value, json};

use super::content::Tone;
use super::figures::{count, listed};
use super::render::fit::{clean, hang};
use super::render::text::{self, Style};
use crate::study::{Finding, Severity};

/// Findings of a file, for people: the count as a sentence, then errors and warnings, the gravest
/// consequence first, each with its place, what follows, what mends it and whose demand it is. What
/// is found alike in several zones is told once. Notes are counted, or told where `all` is asked.
pub fn findings_text(file: &str, findings: &[Finding], all: bool, style: Style) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &sentence(file, findings));
    let shown = |finding: &&Finding| all || finding.severity != Severity::Note;
    let mut consequence = None;
    for alike in folded(findings.iter().filter(shown)) {
        let Some(finding) = alike.first() else { continue };
        let group = (finding.severity == Severity::Note, finding.consequence());
        if consequence != Some(group) && finding.severity != Severity::Error {
            consequence = Some(group);
            let lead = if group.0 { "Notes: " } else { "" };
            let words = format!("{lead}{}", group.1.words());
            out.push('\n');
            out.push_str(&style.paint(Tone::Strong, &super::headline::capitalised(&words)));
            out.push('\n');
        }
        one(file, &alike, style, &mut out);
    }
    let notes = findings.iter().filter(|it| it.severity == Severity::Note).count();
    if notes > 0 && !all {
        let notes =
            format!("{} besides: `setband check --all` lists them.", count(notes as u64, "note"));
        out.push('\n');
        out.push_str(&hang("", &notes, style.width));
    }
    let last = "No test on site was made. The equipment's documents, the sequence of operation and \
                the authority having jurisdiction come first.";
    out.push('\n');
    out.push_str(&hang("", last, style.width));
    out
}

/// A finding, with those that are alike in other zones.
fn one(file: &str, alike: &[&Finding], style: Style, out: &mut String) {
    /// More zones are only counted.
    const NAMED: usize = 8;
    let Some((finding, others)) = alike.split_first() else { return };
    out.push('\n');
    let tone = if finding.severity == Severity::Note { Tone::Plain } else { Tone::Warning };
    let head = format!("{}[{}]", finding.severity.name(), finding.code);
    out.push_str(&style.paint(tone, &head));
    out.push(' ');
    out.push_str(&clean(&place(file, finding)));
    out.push('\n');
    if !others.is_empty() {
        let named = others.iter().take(NAMED).map(|it| {
            let zone = zone_of(it).unwrap_or(&it.path);
            if it.line > 0 { format!("{zone} (line {})", it.line) } else { zone.to_owned() }
        });
        let mut named: Vec<String> = named.collect();
        if others.len() > NAMED {
            named.push(format!("{} more", others.len() - NAMED));
        }
        out.push_str(&hang("  also in: ", &clean(&listed(&named)), style.width));
    }
    out.push_str(&hang("  ", &clean(&finding.message), style.width));
    out.push_str(&hang("  mend: ", &clean(&finding.remedy), style.width));
    out.push_str(&hang("  source: ", &clean(&finding.source), style.width));
}

/// The zone that a finding is about.
fn zone_of(finding: &Finding) -> Option<&str> {
    finding.path.strip_prefix("zones.")?.split('.').next()
}

/// Findings that say the same of several zones, together, in the order of the first of each.
fn folded<'f>(findings: impl Iterator<Item = &'f Finding>) -> Vec<Vec<&'f Finding>> {
    let mut all: Vec<Vec<&Finding>> = Vec::new();
    for finding in findings {
        let says_the_same = |other: &&Finding| {
            other.code == finding.code
                && other.severity == finding.severity
                && other.message == finding.message
                && other.remedy == finding.remedy
                && zone_of(other).is_some()
                && zone_of(finding).is_some()
        };
        match all.iter_mut().find(|alike| alike.first().is_some_and(says_the_same)) {
            Some(alike) => alike.push(finding),
            None => all.push(vec![finding]),
        }
    }
    all
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
            "consequence": finding.consequence().name(),
            "at": { "line": finding.line, "column": finding.column, "path": finding.path },
            "message": finding.message,
            "remedy": finding.remedy,
            "source": finding.source,
        })
    };
    let all: Vec<Value> = findings.iter().map(one).collect();
    serde_json::to_string_pretty(&json!({ "findings": all }))
}
