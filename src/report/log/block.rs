//! A `log` block as a guess, with the reason for each guess in comments.

use std::fmt::Write as _;

use crate::log::{Guess, Guesses, Part, TimeGuess};

/// Writes the block.
pub(super) fn block(
    file: &str,
    columns: &[String],
    time: Option<&TimeGuess>,
    guesses: &Guesses,
) -> String {
    let mut out = String::from("log:\n");
    line(&mut out, 1, &format!("file: {}", quoted(file)), "beside the scenario");
    times(&mut out, columns, time);
    match &guesses.unit {
        Some((unit, why)) => line(&mut out, 1, &format!("unit: {}", unit.letter()), why),
        None => line(&mut out, 1, "# unit: C", "could not be told; C or F"),
    }
    let whole = |key: &str| -> Vec<&Guess> {
        let is = |guess: &&Guess| matches!(guess.part, Some(Part::Whole(part)) if part == key);
        guesses.columns.iter().filter(is).collect()
    };
    for key in ["outdoor", "radiation"] {
        let mut found = whole(key).into_iter();
        if let Some(guess) = found.next() {
            line(&mut out, 1, &format!("{key}: {}", quoted(&guess.column)), &guess.why);
        }
        for guess in found {
            line(&mut out, 1, &format!("# {key}: {}", quoted(&guess.column)), "or this one");
        }
    }
    let meters = whole("electricity");
    if !meters.is_empty() {
        out.push_str("  electricity:\n");
        for guess in meters {
            let column = quoted(&guess.column);
            let text = if guess.counts {
                format!("- {{column: {column}, counts: true}}")
            } else {
                format!("- {column}")
            };
            line(&mut out, 2, &text, &guess.why);
        }
    }
    zones(&mut out, guesses);
    let rest = guesses.columns.iter().filter(|it| it.part.is_none());
    for guess in rest {
        let _ = writeln!(out, "  # not used: {} ({})", quoted(&guess.column), one_line(&guess.why));
    }
    out
}

fn times(out: &mut String, columns: &[String], time: Option<&TimeGuess>) {
    let Some(time) = time else {
        line(out, 1, "# time: {column: ..., format: \"%d.%m.%Y %H:%M\"}", "could not be told");
        return;
    };
    let names: Vec<String> =
        time.columns.iter().filter_map(|place| columns.get(*place)).map(|it| quoted(it)).collect();
    let column = match &names[..] {
        [only] => only.clone(),
        _ => format!("[{}]", names.join(", ")),
    };
    let format = time.format.map(|it| format!(", format: \"{it}\"")).unwrap_or_default();
    let year = if time.lacks_year { ", year: 2021" } else { "" };
    let why = if time.lacks_year {
        "these times have no year: put in which it was"
    } else {
        "every row so has a time that runs on"
    };
    line(out, 1, &format!("time: {{column: {column}{format}{year}, clock: standard}}"), why);
    line(out, 1, "# clock: local or utc instead,", "which the table does not tell");
}

fn zones(out: &mut String, guesses: &Guesses) {
    let mut names: Vec<&str> = Vec::new();
    for guess in &guesses.columns {
        if let Some(Part::Zone(zone, _)) = &guess.part
            && !names.contains(&zone.as_str())
        {
            names.push(zone);
        }
    }
    out.push_str("  zones:\n");
    if names.is_empty() {
        out.push_str("    # no column looks like the temperature of a room\n");
    }
    for name in names {
        let of: Vec<(&Guess, &str)> = guesses
            .columns
            .iter()
            .filter_map(|guess| match &guess.part {
                Some(Part::Zone(zone, key)) if zone == name => Some((guess, *key)),
                _ => None,
            })
            .collect();
        let known = of.iter().any(|(_, key)| *key == "temperature");
        // A zone needs a temperature.
        let lead = if known { "" } else { "# " };
        line(
            out,
            2,
            &format!("{lead}{name}:"),
            if known { "by the names of its columns" } else { "has no temperature" },
        );
        for (guess, key) in of.iter().filter(|(_, key)| *key != "others") {
            point(out, lead, key, guess);
        }
        let others: Vec<_> = of.iter().filter(|(_, key)| *key == "others").collect();
        if !others.is_empty() {
            let _ = writeln!(out, "      {lead}others:");
            for (guess, _) in others {
                let name = name_of(&guess.column);
                line(out, 4, &format!("{lead}{name}: {}", quoted(&guess.column)), &guess.why);
            }
        }
    }
}

fn point(out: &mut String, lead: &str, key: &str, guess: &Guess) {
    if guess.values.is_empty() {
        line(out, 3, &format!("{lead}{key}: {}", quoted(&guess.column)), &guess.why);
        return;
    }
    let unclear = guess.values.iter().any(|(_, meaning)| meaning.is_none());
    let values: Vec<String> = guess
        .values
        .iter()
        .map(|(value, meaning)| format!("{}: {}", quoted(value), meaning.unwrap_or("...")))
        .collect();
    let lead = if unclear { "# " } else { lead };
    let text = format!(
        "{lead}{key}: {{column: {}, values: {{{}}}}}",
        quoted(&guess.column),
        values.join(", ")
    );
    line(out, 3, &text, &guess.why);
}

fn line(out: &mut String, depth: usize, text: &str, why: &str) {
    let _ = writeln!(out, "{}{text}  # {}", "  ".repeat(depth), one_line(why));
}

fn one_line(text: &str) -> String {
    text.chars().map(|it| if it.is_control() { ' ' } else { it }).collect()
}

/// A text of the log as YAML: bare where it cannot be taken for anything else.
fn quoted(text: &str) -> String {
    let plain = !text.is_empty()
        && text.len() < 60
        && text.bytes().all(|it| it.is_ascii_alphanumeric() || b"_-./".contains(&it))
        && text.bytes().next().is_some_and(|it| it.is_ascii_alphanumeric());
    if plain { text.to_owned() } else { serde_json::Value::from(text).to_string() }
}

/// A name that a file may have, from a column's.
fn name_of(column: &str) -> String {
    let name: String =
        column
            .chars()
            .map(|it| {
                if it.is_ascii_alphanumeric() || it == '-' { it.to_ascii_lowercase() } else { '_' }
            })
            .take(40)
            .collect();
    if name.is_empty() { "other".into() } else { name }
}
