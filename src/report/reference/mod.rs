//! What `explain` tells: words of setband with what there is to know about them.

#[cfg(feature = "pages")]
mod page;

use serde_json::{Value, json};

use super::content::Tone;
use super::render::fit::{clean, hang};
use super::render::text::{self, Style};
use crate::reference::{Class, Entry};

#[cfg(feature = "pages")]
pub use page::{REFERENCE_CSS, reference_page};

/// Entries for people: each with its name, what it is, and what else there is to know.
pub fn reference_text(entries: &[Entry], style: Style) -> String {
    let mut out = String::new();
    for (place, entry) in entries.iter().enumerate() {
        if place > 0 {
            out.push('\n');
        }
        text::strong(&mut out, style, &title(entry));
        out.push_str(&hang("", &clean(&entry.what), style.width));
        for (name, fact) in facts(entry) {
            let head = format!("  {}: ", style.paint(Tone::Faint, name));
            out.push_str(&with_head(&head, name, &fact, style));
        }
    }
    out
}

/// Lines under a painted head: what the head's colour takes is no width.
fn with_head(painted: &str, name: &str, fact: &str, style: Style) -> String {
    let plain = format!("  {name}: ");
    hang(&plain, &clean(fact), style.width).replacen(&plain, painted, 1)
}

/// All words by class, for people who ask for none.
pub fn reference_index(entries: &[Entry], style: Style) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, "Every word that setband explain WORD explains:");
    for class in Class::ALL {
        let mut words: Vec<&str> =
            entries.iter().filter(|it| it.class == class).map(|it| it.word.as_str()).collect();
        words.sort_unstable_by_key(|word| word.to_lowercase());
        words.dedup();
        text::section(
            &mut out,
            style,
            class.heading(),
            &hang("  ", &words.join(", "), style.width),
        );
    }
    out
}

/// `{"entries": [...]}`.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn reference_json(entries: &[Entry]) -> Result<String, serde_json::Error> {
    let one = |entry: &Entry| -> Value {
        let facts: serde_json::Map<String, Value> =
            entry.facts.iter().map(|(name, text)| ((*name).to_owned(), json!(text))).collect();
        json!({
            "word": entry.word,
            "class": entry.class.name(),
            "path": entry.path,
            "what": entry.what,
            "facts": facts,
            "example": entry.example,
            "shown_in": entry.shown_in.map(|(file, line)| json!({"file": file, "line": line})),
        })
    };
    let all: Vec<Value> = entries.iter().map(one).collect();
    serde_json::to_string_pretty(&json!({ "entries": all }))
}

/// `zones.*.controls.min_deadband, key of the scenario file`.
fn title(entry: &Entry) -> String {
    format!("{}, {}", entry.path.as_deref().unwrap_or(&entry.word), entry.class.name())
}

/// What there is to know besides, with example and shipped scenario.
fn facts(entry: &Entry) -> Vec<(&'static str, String)> {
    let mut facts = entry.facts.clone();
    facts.extend(entry.example.iter().map(|example| ("example", example.clone())));
    facts.extend(entry.shown_in.map(|(file, line)| {
        let place = line.map_or_else(|| file.to_owned(), |line| format!("{file}:{line}"));
        ("shown in", place)
    }));
    facts
}
