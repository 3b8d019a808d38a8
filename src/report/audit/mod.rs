//! What `audit` says: a log against the settings, for people, for programs and as a page.

#[cfg(feature = "pages")]
mod page;

#[cfg(feature = "pages")]
pub use page::audit_html;

use serde_json::{Value, json};

use crate::engine::Model;
use crate::log::SiteLog;
use crate::report::content::Tone;
use crate::report::figures::count;
use crate::report::render::fit::{clean, hang};
use crate::report::render::text::{self, Style};
use crate::study::audit::{Audit, LogFinding, Unsaid, Weight};

/// A log that was held against its scenario.
#[derive(Clone, Copy, Debug)]
pub struct Audited<'a> {
    /// The scenario.
    pub model: &'a Model,
    /// Its log.
    pub site: &'a SiteLog,
    /// What was found.
    pub audit: &'a Audit,
}

/// Words that go with every audit.
const CAUTION: &str = "An audit reads what was recorded. Before anything is changed look at the site; \
                       the documents of the equipment, the sequence of operation and the authority \
                       having jurisdiction come first, and work on refrigerant and electrical parts is \
                       for licensed persons.";

/// So many findings of a kind are told in full.
const IN_FULL: usize = 3;
/// So many zones are named where more of a kind are counted.
const MOST_ZONES: usize = 5;

impl<'a> Audited<'a> {
    /// The most important, as a sentence.
    pub fn answer(&self) -> String {
        let of =
            |weight: Weight| self.audit.findings.iter().filter(|it| it.weight == weight).count();
        let span = self.site.log.span();
        let span = span.map(|(from, to)| format!(" from {from} to {to}")).unwrap_or_default();
        let first = self.audit.findings.first().filter(|it| it.weight != Weight::Note);
        let (wrong, warnings, notes) =
            (of(Weight::Contradiction), of(Weight::Warning), of(Weight::Note));
        let head = match wrong {
            0 => format!("Nothing in the log{span} contradicts the settings"),
            _ => format!(
                "The log{span} contradicts the settings in {}",
                count(wrong as u64, "point")
            ),
        };
        let besides =
            format!("{}, {}", count(warnings as u64, "warning"), count(notes as u64, "note"));
        match first {
            Some(first) => format!(
                "{head} ({besides}). First, {}: {}.",
                clean(self.zone(first)),
                clean(lead(&first.message))
            ),
            None => format!("{head} ({besides})."),
        }
    }

    /// Findings told in full, and those of kinds that were told often enough.
    fn told(&self) -> (Vec<&'a LogFinding>, Vec<&'a LogFinding>) {
        let (mut full, mut rest): (Vec<&LogFinding>, Vec<&LogFinding>) = (Vec::new(), Vec::new());
        for finding in &self.audit.findings {
            let before = full.iter().filter(|it| it.code == finding.code).count();
            if before < IN_FULL { full.push(finding) } else { rest.push(finding) }
        }
        (full, rest)
    }

    /// How many more of each kind, and of which zones, a sentence a kind.
    fn more(&self, rest: &[&'a LogFinding]) -> Vec<String> {
        let mut kinds: Vec<(&LogFinding, usize, Vec<&str>)> = Vec::new();
        for finding in rest {
            let zone = self.zone(finding);
            match kinds.iter_mut().find(|(first, ..)| first.code == finding.code) {
                Some((_, count, zones)) => {
                    *count += 1;
                    if !zones.contains(&zone) {
                        zones.push(zone);
                    }
                }
                None => kinds.push((finding, 1, vec![zone])),
            }
        }
        let sentence = |(first, count, zones): (&LogFinding, usize, Vec<&str>)| {
            let named = zones.iter().take(MOST_ZONES).copied().collect::<Vec<_>>().join(", ");
            let others = match zones.len().saturating_sub(MOST_ZONES) {
                0 => String::new(),
                others => format!(" and {others} others"),
            };
            clean(&format!("{count} more of {}: {named}{others}.", first.code))
        };
        kinds.into_iter().map(sentence).collect()
    }

    /// What people call a zone.
    fn zone(&self, finding: &'a LogFinding) -> &'a str {
        let Some(id) = &finding.zone else { return "whole log" };
        let course = self.audit.courses.iter().find(|course| course.id == *id);
        course.map_or(id, |course| course.label.as_str())
    }

    /// The files of a finding's rows, row by row; none where the log is one file.
    fn files(&self, finding: &LogFinding) -> Vec<&'a str> {
        let names = &self.site.source.files;
        let of = |at| names.get(self.site.log.file_of(at)).map_or("", String::as_str);
        match names.len() {
            0 | 1 => Vec::new(),
            _ => {
                let rows = finding.rows.len();
                finding.spans.iter().take(rows).map(|(from, _)| of(*from)).collect()
            }
        }
    }

    /// Where and how often, in a few words.
    fn seen(&self, finding: &LogFinding) -> String {
        let files = self.files(finding);
        let lines = finding.rows.iter().take(3).enumerate().map(|(place, line)| {
            files.get(place).map_or_else(|| line.to_string(), |file| format!("{line} of {file}"))
        });
        let lines: Vec<String> = lines.collect();
        let more = if finding.count > lines.len() { " and more" } else { "" };
        let when = if finding.count == 1 {
            format!("{} to {}", finding.from, finding.to)
        } else {
            format!("{} times from {} to {}", finding.count, finding.from, finding.to)
        };
        let minutes = finding.minutes;
        let s = if lines.len() == 1 { "" } else { "s" };
        clean(&format!("{when}, {minutes:.0} min in all; line{s} {}{more}", lines.join(", ")))
    }
}

/// What a message begins with, up to where it goes into figures.
fn lead(message: &str) -> &str {
    let ends = [": ", "; ", ". "].into_iter().filter_map(|end| message.find(end));
    let end = ends.min().unwrap_or(message.len());
    message[..end].trim_end_matches('.')
}

/// Settings that nothing in the log speaks of, as sentences, those with one reason together.
fn unsaid(all: &[Unsaid]) -> Vec<String> {
    let mut sentences: Vec<(&str, Vec<&str>)> = Vec::new();
    for one in all {
        match sentences.iter_mut().find(|(why, _)| *why == one.why) {
            Some((_, settings)) => settings.push(&one.setting),
            None => sentences.push((&one.why, vec![&one.setting])),
        }
    }
    sentences
        .into_iter()
        .map(|(why, settings)| format!("{}: {why}.", settings.join(", ")))
        .collect()
}

/// For people.
pub fn audit_text(audited: &Audited, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &audited.answer());
    let (full, rest) = audited.told();
    for finding in full {
        out.push('\n');
        let tone = if finding.weight == Weight::Note { Tone::Plain } else { Tone::Warning };
        out.push_str(&style.paint(tone, &format!("{}[{}]", finding.weight.name(), finding.code)));
        out.push(' ');
        out.push_str(&clean(audited.zone(finding)));
        out.push('\n');
        out.push_str(&hang("  ", &clean(&finding.message), style.width));
        out.push_str(&hang("  seen: ", &audited.seen(finding), style.width));
        out.push_str(&hang("  mend: ", &clean(&finding.remedy), style.width));
    }
    let more = audited.more(&rest);
    text::section(&mut out, style, "More of the same kinds", &text::list(&more, style));
    let silent = unsaid(&audited.audit.cannot_say);
    text::section(&mut out, style, "What the log cannot say", &text::list(&silent, style));
    out.push('\n');
    out.push_str(&hang("", CAUTION, style.width));
    text::files(&mut out, style, files);
    out
}

/// `{"findings": [...], "cannot_say": [...]}`; of a log of several files each finding has `files`, the
/// file of each of its rows.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn audit_json(audited: &Audited) -> Result<String, serde_json::Error> {
    let findings: Vec<Value> = audited
        .audit
        .findings
        .iter()
        .map(|it| {
            let mut one = json!({
                "code": it.code,
                "severity": it.weight.name(),
                "zone": it.zone,
                "from": it.from.to_string(),
                "to": it.to.to_string(),
                "count": it.count,
                "minutes": libm::round(it.minutes * 10.0) / 10.0,
                "message": it.message,
                "remedy": it.remedy,
                "rows": it.rows,
                "values": it.values,
            });
            let files = audited.files(it);
            if let (false, Some(fields)) = (files.is_empty(), one.as_object_mut()) {
                fields.insert("files".into(), json!(files));
            }
            one
        })
        .collect();
    let silent: Vec<Value> = audited
        .audit
        .cannot_say
        .iter()
        .map(|it| json!({"setting": it.setting, "why": it.why}))
        .collect();
    let value = json!({ "findings": findings, "cannot_say": silent });
    serde_json::to_string_pretty(&value).map(|text| text + "\n")
}
