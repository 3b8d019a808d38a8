//! What `why` says.

use serde_json::{Map, Value, json};

use super::content::Tone;
use super::figures::count;
use super::render::fit::{clean, hang};
use super::render::text::{self, Style};
use crate::study::why::{Answer, Differences, Remedy};
use crate::units::TemperatureUnit;

/// A complaint with its answer and what would have helped.
#[derive(Clone, Copy, Debug)]
pub struct Explained<'a> {
    /// The zone's name in the file.
    pub id: &'a str,
    /// The answer.
    pub answer: &'a Answer,
    /// Settings that would have helped.
    pub remedies: &'a [Remedy],
    /// How many were tried.
    pub tried: usize,
    /// The file's unit.
    pub unit: TemperatureUnit,
    /// Where the answer and the remedies come from.
    pub from: AnswerFrom<'a>,
}

/// Where an answer comes from, and over which days remedies were tried.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AnswerFrom<'a> {
    /// Both from the simulated run.
    Run,
    /// Both from the log: over its days people asked for what they asked for at site.
    Log {
        /// How many requests that were.
        requests: usize,
    },
    /// The answer from the log; the remedies over the file's days, since the log cannot be followed.
    FileDays {
        /// Why not.
        why: &'a str,
    },
}

/// For people.
pub fn why_text(it: &Explained, style: Style) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &it.answer.answer);
    for (place, cause) in it.answer.causes.iter().enumerate() {
        out.push('\n');
        let tone = if place == 0 { Tone::Warning } else { Tone::Plain };
        out.push_str(&style.paint(tone, &format!("{}. {}", place + 1, cause.code)));
        out.push('\n');
        out.push_str(&hang("  ", &clean(&sentence(&cause.message)), style.width));
        out.push_str(&hang("  reading: ", &clean(&cause.reading), style.width));
        let until = cause.until.map(|until| format!(" until {until}")).unwrap_or_default();
        out.push_str(&hang("  since: ", &format!("{}{until}", cause.since), style.width));
    }
    let helped: Vec<String> = it.remedies.iter().map(|remedy| remedy_words(it, remedy)).collect();
    let body = if helped.is_empty() {
        match it.tried {
            0 => "There is no setting to try against this.".to_owned(),
            tried => format!("None of {tried} settings that were tried would have helped."),
        }
    } else {
        text::list(&helped, style)
    };
    text::section(&mut out, style, "What would have helped", &body);
    let from = match it.from {
        AnswerFrom::Run => "Both come from the simulated run.".to_owned(),
        AnswerFrom::Log { requests } => format!(
            "The causes come from the log; what would have helped was simulated over its days up to \
             that evening: outdoor air and presence as logged, {} of people as they were made, and the \
             heat that the file does not explain as it was.",
            count(requests as u64, "request")
        ),
        AnswerFrom::FileDays { why } => format!(
            "The causes come from the log; what would have helped was simulated over the file's days as \
             the file has them, without what people asked for at site: {}.",
            clean(why)
        ),
    };
    out.push('\n');
    out.push_str(&hang("", &from, style.width));
    out
}

fn sentence(message: &str) -> String {
    let mut letters = message.chars();
    let first: String = letters.next().map(|it| it.to_uppercase().collect()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}

fn signed(value: f64) -> String {
    format!("{value:+.1}")
}

fn remedy_words(it: &Explained, remedy: &Remedy) -> String {
    let Differences { temperature, degree_hours, electricity_kwh, changeovers, starved_hours } =
        remedy.differences;
    let unit = it.unit.letter();
    let days = if matches!(it.from, AnswerFrom::Log { .. }) {
        "the log's days up to that evening"
    } else {
        "the file's days"
    };
    let changes: Vec<String> =
        remedy.changes.iter().map(|(path, value)| format!("{path}: {value}")).collect();
    format!(
        "{} makes {} {unit} at that time; besides {} {unit}h outside the band in all zones, {} kWh, \
         {changeovers:+.0} changeovers and {} h starved over {days}.",
        changes.join(" with "),
        signed(temperature),
        signed(degree_hours),
        signed(electricity_kwh),
        signed(starved_hours)
    )
}

/// `{"zone", "at", "answer", "causes": [...], "remedies": [...]}`.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn why_json(it: &Explained) -> Result<String, serde_json::Error> {
    let causes: Vec<Value> = it
        .answer
        .causes
        .iter()
        .map(|cause| {
            json!({
                "code": cause.code,
                "since": cause.since.to_string(),
                "until": cause.until.map(|until| until.to_string()),
                "reading": cause.reading,
                "message": sentence(&cause.message),
            })
        })
        .collect();
    let remedies: Vec<Value> = it
        .remedies
        .iter()
        .map(|remedy| {
            let change: Map<String, Value> =
                remedy.changes.iter().map(|(path, value)| (path.clone(), json!(value))).collect();
            let round = |value: f64| libm::round(value * 1000.0) / 1000.0;
            let by = remedy.differences;
            json!({
                "change": change,
                "differences": {
                    "temperature": round(by.temperature),
                    "degree_hours_outside_band": round(by.degree_hours),
                    "electricity_kwh": round(by.electricity_kwh),
                    "changeovers": by.changeovers,
                    "starved_hours": round(by.starved_hours),
                },
            })
        })
        .collect();
    let value = json!({
        "zone": it.id,
        "at": it.answer.at.to_string(),
        "felt": it.answer.felt.name(),
        "answer": it.answer.answer,
        "causes": causes,
        "remedies": remedies,
    });
    serde_json::to_string_pretty(&value).map(|text| text + "\n")
}
