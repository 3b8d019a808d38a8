//! What `infer` prints, for people and for programs.

mod misread;

use std::fmt::Write as _;

use serde_json::{Map, Value as Json, json};

use super::content::{Cell, Column, Quantity, Table, Tone};
use super::figures;
use super::headline::capitalised;
use super::render::fit::{clean, hang};
use super::render::text::{self, Style};
use crate::control::{Mode, Power};
use crate::study::infer::{
    Explanation, Failed, Inferred, NextPress, Seen, TableFault, Value, ZoneInference, verdict,
};

/// Longer lists of values are shown as their span.
const MOST_VALUES: usize = 6;

/// The whole text.
pub fn infer_text(zones: &[ZoneInference], style: Style) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &infer_answer(zones));
    for zone in zones {
        zone_text(zone, style, &mut out);
    }
    out.push('\n');
    out.push_str(&hang(
        "",
        "Values are those that agree with every press whose readings before and after were \
         written down. Times and temperatures of calls are not inferred: the sheet's lines show \
         them.",
        style.width,
    ));
    out
}

/// The answer as a sentence.
pub fn infer_answer(zones: &[ZoneInference]) -> String {
    let it = verdict(zones);
    if it.presses == 0 && it.lines == 0 {
        return "Nothing can be inferred: no press has whole readings before and after it.".into();
    }
    let unread = match it.unread {
        0 => String::new(),
        1 => " 1 line was not read.".into(),
        many => format!(" {many} lines were not read."),
    };
    if it.failed > 0 {
        let verb = if it.failed == 1 { "fails" } else { "fail" };
        let causes: Vec<String> = zones
            .iter()
            .filter(|zone| !zone.failed.is_empty())
            .map(|it| cause(zones, it))
            .collect();
        let lines = figures::count(it.lines as u64, "line");
        return format!("{} of {lines} {verb}: {}.{unread}", it.failed, causes.join("; "));
    }
    let presses =
        if it.presses == 1 { "1 press".into() } else { format!("{} presses", it.presses) };
    if it.contradictions > 0 {
        let verb = if it.contradictions == 1 { "contradicts" } else { "contradict" };
        return format!(
            "{} of {presses} {verb} all others: no settings explain them together.{unread}",
            figures::count(it.contradictions as u64, "reading")
        );
    }
    if it.differs {
        let differ = zones.iter().filter(|zone| zone.as_stated == Some(false));
        let differ: Vec<&str> = differ.map(|zone| zone.id.as_str()).collect();
        return format!(
            "The readings do not agree with the settings as stated in {}; {presses} looked at.\
             {unread}",
            differ.join(", ")
        );
    }
    let stated = zones.iter().all(|zone| zone.as_stated == Some(true));
    match (it.lines, stated) {
        (0, true) => format!("The readings of {presses} agree with the settings as stated."),
        (0, false) => format!("What {presses} tell of the settings:"),
        (1, _) => format!("The 1 line that was read is as expected.{unread}"),
        (lines, _) => format!("All {lines} lines as expected.{unread}"),
    }
}

/// So many settings that would explain everything are named in the answer.
const NAMED: usize = 2;

/// Why lines of a zone may have failed.
fn cause(zones: &[ZoneInference], zone: &ZoneInference) -> String {
    let place = if zones.len() > 1 { format!("in {} ", zone.id) } else { String::new() };
    let slips = match zone.contradictions.as_slice() {
        [] => String::new(),
        [line] => format!("line {line} contradicts the others and may be a slip"),
        lines => format!("lines {} contradict the others and may be slips", figures::listed(lines)),
    };
    let calls = calls_words(zone);
    let by_presses = match zone.as_stated {
        _ if !zone.explanations.is_empty() => {
            let named = zone.explanations.iter().take(NAMED);
            let named: Vec<String> = named.map(|it| probable_words(zone, it)).collect();
            let more = zone.explanations.len() - named.len();
            let more = if more > 0 { format!(", or one of {more} others") } else { String::new() };
            named.join(", or ") + &more
        }
        Some(false) => match zone.pairs.as_slice() {
            [] => "no single setting explains what was read".into(),
            [[one, other], rest @ ..] => {
                let more = rest.len();
                let more = if more > 0 {
                    format!(", or one of {more} other pairs")
                } else {
                    String::new()
                };
                format!(
                    "no single setting explains what was read; two do: {} and {}{more}",
                    probable_words(zone, one),
                    probable_words(zone, other)
                )
            }
        },
        Some(true) if !calls.is_empty() && slips.is_empty() => {
            "presses agree with what is stated".into()
        }
        Some(true) if slips.is_empty() => {
            "presses agree with what is stated, and other readings do not".into()
        }
        None if calls.is_empty() && slips.is_empty() => "not as the sheet expects".into(),
        _ => String::new(),
    };
    let parts: Vec<String> = [by_presses, calls, slips, misread::misread_answer(zone)]
        .into_iter()
        .filter(|it| !it.is_empty())
        .collect();
    place + &parts.join("; ")
}

/// `controls.min_deadband is probably 2.5 (stated: 2)`.
fn probable_words(zone: &ZoneInference, it: &Explanation) -> String {
    let stated = zone.settings.iter().find(|setting| setting.key == it.key);
    let stated = stated.and_then(|setting| setting.stated.as_ref()).map(value_words);
    let stated = stated.map_or_else(String::new, |it| format!(" (stated: {it})"));
    format!("{} is probably {}{stated}", it.key, value_words(&it.value))
}

/// What calls and timers may fail by; empty where none of them does.
fn calls_words(zone: &ZoneInference) -> String {
    let suspected = zone.suspected();
    if suspected.is_empty() {
        return String::new();
    }
    let next = match zone.suspects.next.as_slice() {
        [] => String::new(),
        next => format!(" (or, if that line was misread, {})", figures::listed(next)),
    };
    format!("calls: look at {}{next}, which presses do not tell", figures::listed(&suspected))
}

fn zone_text(zone: &ZoneInference, style: Style, out: &mut String) {
    out.push('\n');
    text::strong(out, style, &zone.id);
    if zone.settings.is_empty() && zone.failed.is_empty() {
        out.push_str("No press was read here.\n");
        return;
    }
    let mut table = Table::new(vec![
        Column::new("setting", Quantity::Name),
        Column::new("stated", Quantity::Words),
        Column::new("agrees with the readings", Quantity::Words),
    ]);
    for setting in &zone.settings {
        let stated = setting.stated.as_ref().map_or_else(String::new, value_words);
        let tone = if setting.agrees() == Some(false) { Tone::Warning } else { Tone::Plain };
        let mut found = list_words(setting);
        if setting.agrees() == Some(false) {
            found.push_str(" (not as stated)");
        }
        table.row([setting.key.as_str().into(), stated.into(), Cell::toned(found, tone)]);
    }
    out.push_str(&text::table(&table, style));
    for line in &zone.contradictions {
        let text = format!(
            "Line {line} contradicts the other readings and is left out: read it again, or look \
             whether somebody else pressed."
        );
        out.push_str(&hang("! ", &clean(&text), style.width));
    }
    for failed in &zone.failed {
        out.push_str(&hang("! ", &clean(&failed_words(failed)), style.width));
    }
    for explanation in &zone.explanations {
        let text = format!(
            "{} {} instead of what is stated would explain every reading.",
            explanation.key,
            value_words(&explanation.value)
        );
        out.push_str(&hang("> ", &clean(&text), style.width));
    }
    for text in misread::misread_lines(zone) {
        out.push_str(&hang("> ", &clean(&text), style.width));
    }
    let calls = calls_words(zone);
    if !calls.is_empty() {
        out.push_str(&hang("> ", &clean(&format!("{}.", capitalised(&calls))), style.width));
    }
    for [one, other] in &zone.pairs {
        let text = format!(
            "{} {} and {} {} together would explain every reading.",
            one.key,
            value_words(&one.value),
            other.key,
            value_words(&other.value)
        );
        out.push_str(&hang("> ", &clean(&text), style.width));
    }
    if zone.as_stated == Some(false)
        && zone.explanations.is_empty()
        && zone.pairs.is_empty()
        && zone.presses > 0
    {
        let text = "No single setting explains every reading: more than one differs.";
        out.push_str(&hang("> ", text, style.width));
    }
    if let Some(next) = &zone.next {
        out.push_str(&hang("? ", &clean(&next_words(next)), style.width));
    }
}

pub(super) fn failed_words(failed: &Failed) -> String {
    let fields = |seen: &Seen| {
        let number = |name: &str, value: Option<f64>| value.map(|it| format!("{name} {it}"));
        let word = |name: &str, value: Option<&str>| value.map(|it| format!("{name} {it}"));
        let all = [
            number("heat", seen.heat),
            number("cool", seen.cool),
            word("mode", seen.mode.map(Mode::name)),
            word("power", seen.power.map(Power::name)),
            word("running", seen.running.map(|it| it.map_or("none", |it| it.name()))),
            word("refused", seen.refused.map(|it| if it { "yes" } else { "no" })),
        ];
        all.into_iter().flatten().collect::<Vec<_>>().join(", ")
    };
    let shows = match failed.shows.trim() {
        "" => String::new(),
        shows => format!(" It was to show: {shows}."),
    };
    format!(
        "Line {} fails: it reads {}, where {} was expected.{shows}",
        failed.line,
        fields(&failed.read),
        fields(&failed.expected)
    )
}

fn next_words(next: &NextPress) -> String {
    let times = if next.times == 1 { String::new() } else { format!(" {} times", next.times) };
    let shown = next.outcomes.iter().take(3).map(|(text, _)| text.clone()).collect::<Vec<_>>();
    let more = next.outcomes.len().saturating_sub(3);
    let more = if more > 0 { format!(", or {more} other readings") } else { String::new() };
    format!(
        "Next, from the last reading: press {}{times} at {}. It may read {}{more}, and tells which \
         settings remain.",
        next.key.name(),
        next.controller,
        shown.join("; or ")
    )
}

/// The values in few words.
fn list_words(setting: &Inferred) -> String {
    let values = &setting.consistent;
    let numbers: Vec<f64> = values
        .iter()
        .filter_map(|value| match value {
            Value::Number(number) => Some(*number),
            Value::Word(_) | Value::Words(_) => None,
        })
        .collect();
    match (values.as_slice(), numbers.as_slice()) {
        ([], _) => "none".into(),
        (_, [first, .., last]) if numbers.len() > 2 => {
            format!("{first} to {last} ({} values)", numbers.len())
        }
        _ if values.len() > MOST_VALUES => {
            format!("{} of them, not told apart yet", values.len())
        }
        _ => values.iter().map(value_words).collect::<Vec<_>>().join(" or "),
    }
}

/// The first of some names, and how many more there are.
fn listed_names(names: &[&str], most: usize) -> String {
    let more = names.len().saturating_sub(most);
    let first = figures::listed(&names[..names.len() - more]);
    if more > 0 { format!("{first}, or one of {more} others") } else { first }
}

fn value_words(value: &Value) -> String {
    match value {
        Value::Number(number) => number.to_string(),
        Value::Word(word) => word.clone(),
        Value::Words(words) if words.is_empty() => "none".into(),
        Value::Words(words) => words.join(" "),
    }
}

/// The findings for programs.
///
/// # Errors
/// Those of the JSON writer.
pub fn infer_json(zones: &[ZoneInference]) -> serde_json::Result<String> {
    let mut settings = Map::new();
    for zone in zones {
        for setting in &zone.settings {
            let path = format!("zones.{}.{}", zone.id, setting.key);
            let consistent: Vec<Json> = setting.consistent.iter().map(value_json).collect();
            let stated = setting.stated.as_ref().map_or(Json::Null, value_json);
            settings.insert(path, json!({"consistent": consistent, "stated": stated}));
        }
    }
    let contradictions: Vec<Json> = zones
        .iter()
        .flat_map(|zone| zone.contradictions.iter().map(|line| (&zone.id, line)))
        .map(|(zone, line)| json!({"zone": zone, "line": line}))
        .collect();
    let failed: Vec<Json> = zones
        .iter()
        .flat_map(|zone| zone.failed.iter().map(|failed| (&zone.id, failed)))
        .map(|(zone, it)| {
            json!({"zone": zone, "line": it.line, "expected": seen_json(&it.expected),
                   "read": seen_json(&it.read), "shows": it.shows})
        })
        .collect();
    let explanations: Vec<Json> = zones
        .iter()
        .flat_map(|zone| zone.explanations.iter().map(|it| (&zone.id, it)))
        .map(|(zone, it)| {
            json!({"path": format!("zones.{zone}.{}", it.key), "value": value_json(&it.value)})
        })
        .collect();
    let one = |it: &Explanation| json!({"key": it.key, "value": value_json(&it.value)});
    let pairs: Vec<Json> = zones
        .iter()
        .flat_map(|zone| zone.pairs.iter().map(|pair| (&zone.id, pair)))
        .map(|(zone, pair)| json!({"zone": zone, "settings": pair.iter().map(one).collect::<Vec<_>>()}))
        .collect();
    let misread = zones.iter().flat_map(|zone| zone.misread.iter().map(|it| (&zone.id, it)));
    let misread: Vec<Json> = misread
        .map(|(zone, it)| {
            json!({"zone": zone, "line": it.line,
                   "explanations": it.explanations.iter().map(one).collect::<Vec<_>>()})
        })
        .collect();
    let suspects: Vec<Json> = zones
        .iter()
        .filter(|zone| !zone.suspected().is_empty())
        .map(|zone| {
            json!({"zone": zone.id, "settings": zone.suspected(),
                   "if_misread": zone.suspects.next})
        })
        .collect();
    let best = zones.iter().filter_map(|zone| Some((&zone.id, zone.next.as_ref()?)));
    let next = best.max_by(|one, other| one.1.bits.total_cmp(&other.1.bits));
    let it = verdict(zones);
    let value = json!({
        "answer": infer_answer(zones),
        "verdict": {"holds": it.holds(), "lines": it.lines, "failed": it.failed,
                    "unread": it.unread, "presses": it.presses},
        "settings": settings,
        "contradictions": contradictions,
        "failed": failed,
        "explanations": explanations,
        "pairs": pairs,
        "misread": misread,
        "suspects": suspects,
        "next_press": next.map_or(Json::Null, |(zone, next)| next_json(zone, next)),
    });
    serde_json::to_string_pretty(&value)
}

fn next_json(zone: &str, next: &NextPress) -> Json {
    let outcomes: Vec<Json> =
        next.outcomes.iter().map(|(text, share)| json!({"reads": text, "share": share})).collect();
    json!({"zone": zone, "controller": next.controller, "press": next.key.name(),
           "times": next.times, "bits": next.bits, "outcomes": outcomes})
}

fn value_json(value: &Value) -> Json {
    match value {
        Value::Number(number) => json!(number),
        Value::Word(word) => json!(word),
        Value::Words(words) => json!(words),
    }
}

fn seen_json(seen: &Seen) -> Json {
    let mut all = Map::new();
    let mut put = |name: &str, value: Option<Json>| {
        if let Some(value) = value {
            all.insert(name.to_owned(), value);
        }
    };
    put("heat", seen.heat.map(|it| json!(it)));
    put("cool", seen.cool.map(|it| json!(it)));
    put("mode", seen.mode.map(|it| json!(it.name())));
    put("power", seen.power.map(|it| json!(it.name())));
    put("running", seen.running.map(|it| json!(it.map_or("none", |it| it.name()))));
    put("refused", seen.refused.map(|it| json!(it)));
    Json::Object(all)
}

/// Everything wrong with a table, for people.
pub fn table_faults(file: &str, faults: &[TableFault]) -> String {
    let mut out = String::new();
    for fault in faults {
        let place = match (fault.line, fault.column) {
            (0, _) => String::new(),
            (line, 0) => format!(":{line}"),
            (line, column) => format!(":{line}, cell {column}"),
        };
        let (what, help) = (clean(&fault.what), &fault.help);
        let _ = write!(out, "error: {what}\n --> {file}{place}\n = help: {help}\n\n");
    }
    out + &figures::count(faults.len() as u64, "fault") + " in " + file
}
