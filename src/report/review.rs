//! The requirements of a file, reviewed: a row each, for every medium, and for programs.

use serde_json::{Value as Json, json};

use super::content::{Cell, Column, Quantity, Table, Tone};
use super::figures::{
    count, days_in_words, duration, hours_digits, listed, moment, three_figures, unit_sign,
};
use super::headline::{implausible_of, warned_first};
use super::reach::move_words;
use super::render::fit::{clean, hang};
use super::render::text::{self, Style};
use super::run::{label, label_of};
use super::worst::presses_words;
use crate::engine::ZoneIndex;
use crate::settings::{ENDS, Kind, Value};
use crate::study::review::{
    Asked, Bounds, Conformity, CounterExample, Evidence, Must, Review, Reviewed, RunFigure,
    USUAL_TIME, Worst,
};
use crate::time::Seconds;

/// What cannot be shown counts as much as what fails.
const CAUTION: &str = "Read, proved and computed from the file: what stands on site is shown by the \
                       test sheet. The specification, the equipment's documents and the authority \
                       having jurisdiction come first.";

/// The whole text: the answer, a row a requirement, and where each fails.
pub fn review_text(review: &Review<'_>, style: Style) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &review_answer(review));
    if review.rows.is_empty() {
        return out;
    }
    out.push('\n');
    for row in &review.rows {
        let tone = if row.verdict == Conformity::Holds { Tone::Plain } else { Tone::Warning };
        let head = format!("{} {}", row.requirement.id, row.verdict.name());
        out.push_str(&style.paint(tone, &clean(&head)));
        out.push_str(": ");
        out.push_str(&clean(&asked_words(row)));
        out.push('\n');
        let mut line = |lead: &str, words: &str| {
            if !words.is_empty() {
                out.push_str(&hang(lead, &clean(words), style.width));
            }
        };
        line("  by: ", &evidence_words(row));
        line("  worst: ", &worst_words(row));
        line("  fails: ", &counter_words(row));
        line("  why asked: ", &row.requirement.why);
    }
    out.push('\n');
    out.push_str(&hang("", CAUTION, style.width));
    out
}

/// The answer as a sentence, after a warning of air that is hardly that of a building.
pub fn review_answer(review: &Review<'_>) -> String {
    let mut warned = review.implausible.iter();
    let first = warned.next().map(|(model, air)| {
        let variant = model.variant.as_ref().map(|name| format!("variant {name}"));
        (variant.unwrap_or_else(|| "the file as written".into()), implausible_of(model, *air))
    });
    warned_first(first, warned.count(), "the runs") + &fares(review)
}

/// How the requirements fare.
fn fares(review: &Review<'_>) -> String {
    let all = review.rows.len() as u64;
    let (fail, unshown) =
        (review.count(Conformity::Fails), review.count(Conformity::CannotBeShown));
    let named = |verdict: Conformity| {
        let ids: Vec<&str> = review
            .rows
            .iter()
            .filter(|row| row.verdict == verdict)
            .map(|row| row.requirement.id.as_str())
            .collect();
        listed(&ids)
    };
    match (all, fail, unshown) {
        (0, ..) => "The file asks nothing: it has no requirements under `require`.".into(),
        (1, 0, 0) => "The 1 requirement holds.".into(),
        (_, 0, 0) => format!("All {all} requirements hold."),
        _ => {
            let verb = if fail == 1 { "fails" } else { "fail" };
            let fails = (fail > 0).then(|| format!("{fail} {verb} ({})", named(Conformity::Fails)));
            let unshown = (unshown > 0).then(|| {
                format!("{unshown} cannot be shown ({})", named(Conformity::CannotBeShown))
            });
            let parts: Vec<String> = [fails, unshown].into_iter().flatten().collect();
            format!("Of {} {}.", count(all, "requirement"), listed(&parts))
        }
    }
}

/// The table: a row a requirement.
pub(super) fn requirements(review: &Review<'_>) -> Table {
    let mut table = Table::new(vec![
        Column::new("requirement", Quantity::Name),
        Column::new("asked", Quantity::Words),
        Column::new("verdict", Quantity::Words),
        Column::new("by", Quantity::Words),
        Column::new("worst", Quantity::Words),
        Column::new("where it fails", Quantity::Words),
        Column::new("why asked", Quantity::Words),
    ]);
    for row in &review.rows {
        let tone = if row.verdict == Conformity::Holds { Tone::Plain } else { Tone::Warning };
        table.row([
            row.requirement.id.as_str().into(),
            asked_words(row).into(),
            Cell::toned(row.verdict.name(), tone),
            evidence_words(row).into(),
            worst_words(row).into(),
            counter_words(row).into(),
            row.requirement.why.as_str().into(),
        ]);
    }
    table
}

/// What is asked, with whose it is.
pub(super) fn asked_words(row: &Reviewed<'_>) -> String {
    let requirement = row.requirement;
    let unit = unit_sign(row.model.unit);
    let what = match &requirement.asked {
        Asked::Setting { entry, end, must } => {
            let name = match end {
                Some(end) => format!("{}, {}", entry.setting.name, ENDS[*end]),
                None => entry.setting.name.to_owned(),
            };
            match must {
                Must::Keep(bounds) => {
                    let shown = |value: f64| setting_words(&number_of(&entry.key.kind, value), row);
                    format!("{name} {}", bounds_words(bounds, shown))
                }
                Must::Be(value) => format!("{name} is {}", setting_words(value, row)),
            }
        }
        Asked::Claim(claim) => format!("{}, whatever occupants press", claim.text()),
        Asked::Figure { figure, of_all, bounds } => {
            let shown = |value: f64| figure_words(*figure, value, row);
            let whose = if *of_all { " of all zones together" } else { "" };
            format!("{}{whose} {}", figure_name(*figure), bounds_words(bounds, shown))
        }
        Asked::FindingAbsent(code) => format!("check does not find {code}"),
        Asked::Contradictions(most) => {
            format!("the log contradicts the settings {} at most", super::figures::times(*most))
        }
        Asked::Worst { bounds, outdoors, within } => {
            let shown = |value: f64| format!("{value} {unit}");
            let at = |word: &str, value: Option<f64>| value.map(|it| format!("{word} {it} {unit}"));
            let outdoors = [at("not colder than", outdoors[0]), at("not hotter than", outdoors[1])];
            let outdoors: Vec<String> = outdoors.into_iter().flatten().collect();
            let outside = if outdoors.is_empty() {
                String::new()
            } else {
                format!(" while it is {} outside", listed(&outdoors))
            };
            let within = duration(within.unwrap_or(USUAL_TIME).in_hours());
            format!("air {}{outside}, within {within}", bounds_words(bounds, shown))
        }
    };
    let of_variant = requirement.variant.as_ref().map(|name| format!("variant {name}"));
    let zones: Vec<&str> = requirement.zones.iter().map(|id| name_of(row, id)).collect();
    let zones = (!zones.is_empty()).then(|| listed(&zones));
    let whose: Vec<String> = [zones, of_variant].into_iter().flatten().collect();
    if whose.is_empty() { what } else { format!("{what} ({})", whose.join("; ")) }
}

fn name_of<'r>(row: &'r Reviewed<'_>, id: &'r str) -> &'r str {
    label_of(row.model, id)
}

fn bounds_words(bounds: &Bounds, shown: impl Fn(f64) -> String) -> String {
    match (bounds.least(), bounds.most()) {
        (Some(least), Some(most)) => format!("from {} to {}", shown(least), shown(most)),
        (Some(least), None) => format!("at least {}", shown(least)),
        (None, Some(most)) => format!("at most {}", shown(most)),
        (None, None) => String::new(),
    }
}

/// A bound as a value of its setting.
fn number_of(kind: &Kind, value: f64) -> Value {
    match kind {
        #[expect(clippy::cast_possible_truncation, reason = "times in files are whole seconds")]
        Kind::Duration(_) => Value::Time(Seconds::new(value as i64)),
        _ => Value::Number(value),
    }
}

/// The value of a setting with its unit.
fn setting_words(value: &Value, row: &Reviewed<'_>) -> String {
    let kind = match &row.requirement.asked {
        Asked::Setting { entry, .. } => Some(&entry.key.kind),
        _ => None,
    };
    let inner = kind.and_then(|kind| kind.exactly().map(|(_, inner)| inner)).or(kind);
    match (value, inner) {
        (Value::Number(_) | Value::Span(_), Some(Kind::Temperature(_) | Kind::Difference(_))) => {
            format!("{value} {}", unit_sign(row.model.unit))
        }
        (Value::Number(_), Some(Kind::Size(dimension, _) | Kind::SizeOrBare(dimension, _))) => {
            format!("{value} {}", dimension.base())
        }
        _ => value.to_string(),
    }
}

const fn figure_name(figure: RunFigure) -> &'static str {
    match figure {
        RunFigure::Changeovers => "changeovers",
        RunFigure::UnitStarts => "unit starts",
        RunFigure::ServedHours => "served hours",
        RunFigure::StarvedHours => "starved hours",
        RunFigure::LongestWaitHours => "longest wait",
        RunFigure::HoursOutsideBand => "hours out of band",
        RunFigure::DegreeHoursOutsideBand => "degree-hours out of band",
        RunFigure::LowestTemperature => "lowest air temperature",
        RunFigure::HighestTemperature => "highest air temperature",
        RunFigure::PpdPercent => "PPD while occupied",
        RunFigure::Refused => "requests refused",
        RunFigure::Limited => "requests limited",
        RunFigure::MixedDemandHours => "hours of mixed demand",
        RunFigure::TotalKwh => "electricity",
        RunFigure::PeakKw => "highest quarter of an hour",
        RunFigure::Cost => "cost",
        RunFigure::CarbonKg => "carbon dioxide",
        RunFigure::Complaints => "complaints",
    }
}

/// A figure as people read it, with its unit.
fn figure_words(figure: RunFigure, value: f64, row: &Reviewed<'_>) -> String {
    let unit = unit_sign(row.model.unit);
    match figure {
        RunFigure::Changeovers
        | RunFigure::UnitStarts
        | RunFigure::Refused
        | RunFigure::Limited
        | RunFigure::Complaints => value.to_string(),
        RunFigure::ServedHours
        | RunFigure::StarvedHours
        | RunFigure::LongestWaitHours
        | RunFigure::HoursOutsideBand
        | RunFigure::MixedDemandHours => format!("{} h", hours_digits(value)),
        RunFigure::DegreeHoursOutsideBand => format!("{} {unit} h", three_figures(value)),
        RunFigure::LowestTemperature | RunFigure::HighestTemperature => {
            format!("{value:.2} {unit}")
        }
        RunFigure::PpdPercent => format!("{value:.1} %"),
        RunFigure::TotalKwh => format!("{} kWh", three_figures(value)),
        RunFigure::PeakKw => format!("{} kW", three_figures(value)),
        RunFigure::CarbonKg => format!("{} kg", three_figures(value)),
        RunFigure::Cost => {
            let currency = row.model.tariff.as_ref().map_or("", |tariff| &tariff.currency);
            super::figures::money(value, currency)
        }
    }
}

/// By what it is shown.
fn evidence_words(row: &Reviewed<'_>) -> String {
    match &row.by {
        Evidence::Read(places) => format!("{} read", count(*places as u64, "setting")),
        Evidence::Proof(states) => {
            format!("exhaustive proof over {}", count(*states as u64, "state"))
        }
        Evidence::Run => format!("simulation of {}", days_in_words(&row.model.period)),
        Evidence::Findings => "findings of check".into(),
        Evidence::Log => "the log held against the settings".into(),
        Evidence::Bound(bounded) => format!(
            "bound over any presses, weather and gains within {}",
            duration(bounded.question.lasts.in_hours())
        ),
        Evidence::Nothing(why) => why.clone(),
    }
}

/// The worst value, in which zone, and how far it is from the bound.
fn worst_words(row: &Reviewed<'_>) -> String {
    let Some(Worst { zone, value, margin }) = &row.worst else { return String::new() };
    let whose = zone.map_or_else(String::new, |zone| format!(" in {}", zone_name(row, zone)));
    let shown = |value: &Value| match (&row.requirement.asked, value) {
        (Asked::Figure { figure, .. }, Value::Number(number)) => {
            figure_words(*figure, *number, row)
        }
        (Asked::Claim(_), Value::Span([heat, cool])) => {
            let unit = unit_sign(row.model.unit);
            format!("heat {heat} {unit} and cool {cool} {unit}")
        }
        (Asked::Worst { .. }, Value::Number(number)) => {
            format!("{number:.1} {}", unit_sign(row.model.unit))
        }
        _ => setting_words(value, row),
    };
    let margin = margin.map_or_else(String::new, |margin| {
        let kind = match &row.requirement.asked {
            Asked::Setting { entry, .. } => number_of(&entry.key.kind, margin.abs()),
            _ => Value::Number(margin.abs()),
        };
        let size = shown(&kind);
        match margin {
            margin if margin.abs() < 1e-9 => ", just at the bound".into(),
            margin if margin < 0.0 => format!(", {size} beyond the bound"),
            _ => format!(", {size} within the bound"),
        }
    });
    format!("{}{whose}{margin}", shown(value))
}

fn zone_name<'r>(row: &'r Reviewed<'_>, zone: ZoneIndex) -> &'r str {
    row.model.zones.get(zone.get()).map_or("", label)
}

/// Where it fails.
fn counter_words(row: &Reviewed<'_>) -> String {
    match &row.counter {
        None => String::new(),
        Some(CounterExample::Setting { path, place: (0, _) }) => path.clone(),
        Some(CounterExample::Setting { path, place: (line, column) }) => {
            format!("{path} (line {line}, column {column})")
        }
        Some(CounterExample::Moves { zone, moves }) if moves.is_empty() => {
            format!("{} starts so", zone_name(row, *zone))
        }
        Some(CounterExample::Moves { zone, moves }) => {
            let Some(it) = row.model.zones.get(zone.get()) else { return String::new() };
            let mut told: Vec<(String, u64)> = Vec::new();
            for step in moves {
                let words = move_words(it, *step);
                match told.last_mut() {
                    Some((last, times)) if *last == words => *times += 1,
                    _ => told.push((words, 1)),
                }
            }
            let steps = told.into_iter().map(|(words, times)| match times {
                1 => words,
                times => format!("{words} ({times} times)"),
            });
            format!("in {}: {}", label(it), steps.collect::<Vec<_>>().join(", then "))
        }
        Some(CounterExample::At { zone, at }) => {
            let whose =
                zone.map_or_else(String::new, |zone| format!(" in {}", zone_name(row, zone)));
            format!("from {} on{whose}", moment(&row.model.period, *at))
        }
        Some(CounterExample::Log(message)) => message.clone(),
        Some(CounterExample::Worst { zone, air, after, presses }) => {
            let course = format!(
                "{} comes to {air:.1} {} in {}",
                zone_name(row, *zone),
                unit_sign(row.model.unit),
                duration(after.in_hours())
            );
            let presses = presses_words(row.model, presses);
            if presses.is_empty() { course } else { format!("{course}: {presses}") }
        }
        Some(CounterExample::Finding(finding)) => {
            format!("{} (line {}): {}", finding.path, finding.line, finding.message)
        }
    }
}

/// `{"holds", "requirements": [{"id", "asked", "verdict", "by", "zone", "worst", "margin",
/// "counter_example", "why", "at"}]}`.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn review_json(review: &Review<'_>) -> serde_json::Result<String> {
    serde_json::to_string_pretty(&review_value(review))
}

/// The same as a value.
pub fn review_value(review: &Review<'_>) -> Json {
    let rows: Vec<Json> = review.rows.iter().map(row_value).collect();
    json!({ "answer": review_answer(review), "holds": review.holds(), "requirements": rows })
}

fn row_value(row: &Reviewed<'_>) -> Json {
    let value = |value: &Value| match value {
        Value::Number(number) => json!(number),
        Value::Time(time) => json!(time.get()),
        Value::Flag(flag) => json!(flag),
        Value::Span(span) => json!(span),
        Value::Words(words) => json!(words),
        Value::Nothing => Json::Null,
        Value::Word(word) => json!(word),
    };
    let (by, states) = match &row.by {
        Evidence::Read(_) => ("setting", None),
        Evidence::Proof(states) => ("proof", Some(*states)),
        Evidence::Run => ("run", None),
        Evidence::Findings => ("findings", None),
        Evidence::Log => ("log", None),
        Evidence::Bound(_) => ("bound", None),
        Evidence::Nothing(_) => ("nothing", None),
    };
    let zone = row.worst.as_ref().and_then(|worst| worst.zone).or(match row.counter {
        Some(CounterExample::Moves { zone, .. } | CounterExample::Worst { zone, .. }) => Some(zone),
        _ => None,
    });
    let zone = zone.and_then(|zone| row.model.zones.get(zone.get())).map(|zone| zone.id.as_str());
    json!({
        "id": row.requirement.id,
        "asked": asked_words(row),
        "why": row.requirement.why,
        "variant": row.requirement.variant,
        "verdict": row.verdict.name().replace(' ', "_"),
        "by": by,
        "states": states,
        "evidence": evidence_words(row),
        "zone": zone,
        "worst": row.worst.as_ref().map(|worst| value(&worst.value)),
        "margin": row.worst.as_ref().and_then(|worst| worst.margin),
        "counter_example": row.counter.as_ref().map(|_| counter_words(row)),
        "at": row.counter.as_ref().and_then(|counter| match counter {
            CounterExample::At { at, .. } => Some(row.model.period.clock_stamp(*at)),
            _ => None,
        }),
        "path": row.requirement.path,
    })
}
