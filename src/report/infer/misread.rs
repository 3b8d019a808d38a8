//! What would explain the other lines if one was misread, in words.

use super::{listed_names, value_words};
use crate::report::figures::listed;
use crate::study::infer::{Misread, ZoneInference};

/// So many settings are named in the answer.
const NAMED: usize = 3;

/// `if line 17 was misread, controls.min_deadband 2.5`; empty where no such line is known.
pub(super) fn misread_answer(zone: &ZoneInference) -> String {
    let keys = keys(&zone.misread);
    let lines: Vec<&str> = zone.misread.iter().map(|it| it.line.as_str()).collect();
    let word = if lines.len() == 1 { "line" } else { "one of lines" };
    match (lines.as_slice(), keys.as_slice()) {
        ([], _) => String::new(),
        (_, []) => format!(
            "if {word} {} was misread, nothing else speaks against what is stated",
            listed(&lines)
        ),
        _ => format!(
            "if {word} {} was misread, look at {}",
            listed(&lines),
            listed_names(&keys, NAMED)
        ),
    }
}

/// The settings of all of them, each once.
fn keys(all: &[Misread]) -> Vec<&str> {
    let mut keys: Vec<&str> = Vec::new();
    for it in all.iter().flat_map(|it| &it.explanations) {
        if !keys.contains(&it.key.as_str()) {
            keys.push(&it.key);
        }
    }
    keys
}

/// What each such line would mean, a sentence each.
pub(super) fn misread_lines(zone: &ZoneInference) -> Vec<String> {
    let words = |it: &Misread| {
        let named: Vec<String> = it
            .explanations
            .iter()
            .map(|it| format!("{} {}", it.key, value_words(&it.value)))
            .collect();
        let line = &it.line;
        if named.is_empty() {
            format!(
                "If line {line} was misread, every other press agrees with what is stated: read it again."
            )
        } else {
            format!(
                "If line {line} was misread, {} would explain every other press: read it again.",
                named.join(" or ")
            )
        }
    };
    zone.misread.iter().map(words).collect()
}
