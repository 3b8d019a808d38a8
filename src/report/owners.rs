//! Who should decide for a group, as text and as JSON.

use serde_json::{Value, json};

use super::content::wording::{CHANGEOVERS, ELECTRICITY, OUT_OF_BAND, STARVED};
use super::content::{Cell, Column, Quantity, Table, Tone, Units};
use super::figures::three_figures;
use super::headline::capitalised;
use super::render::fit::hang;
use super::render::text::{self, Style};
use super::run::label;
use crate::control::ModePolicy;
use crate::engine::{Model, ZoneIndex};
use crate::settings::group::MODE_POLICY;
use crate::study::{Candidate, Decider, Ranking};

/// The rankings of every group: the answer as a sentence, then the table.
pub fn owners_text(model: &Model, rankings: &[Ranking], style: Style, files: &[String]) -> String {
    let mut out = String::new();
    for ranking in rankings {
        text::strong(&mut out, style, &owners_answer(model, ranking));
        out.push('\n');
        out.push_str(&text::table(&table(model, ranking), style));
        out.push('\n');
    }
    let note = "Same weather and actions in every row; only who decides differs. Starved: in need \
                of the opposite of what the group does. A model, not a test on site.";
    out.push_str(&hang("", note, style.width));
    text::files(&mut out, style, files);
    out
}

/// The answer as a sentence.
pub(super) fn owners_answer(model: &Model, ranking: &Ranking) -> String {
    capitalised(&plain_answer(model, ranking))
}

fn plain_answer(model: &Model, ranking: &Ranking) -> String {
    let group = match model.outdoor_units.len() {
        1 => String::new(),
        _ => format!("{}: ", model.outdoor_units[ranking.group].label),
    };
    let Some(best) = ranking.candidates.first() else { return format!("{group}no zones.") };
    let who = decider_words(model, best.decider);
    let Some(present) = ranking.candidates.iter().find(|it| it.is_present) else {
        return format!("{group}best decided by {who}.");
    };
    if present.decider == best.decider {
        return format!("{group}{who} decides already, and that is best: {}.", fate(model, best));
    }
    format!(
        "{group}best decided by {who} ({}), now by {} ({}).",
        fate(model, best),
        decider_words(model, present.decider),
        fate(model, present)
    )
}

/// How the worst zone fares.
fn fate(model: &Model, candidate: &Candidate) -> String {
    if candidate.worst_starved_hours > 0.0 {
        let hours = three_figures(candidate.worst_starved_hours);
        format!("{} starved longest, {hours} h", name(model, candidate.worst_zone))
    } else {
        "no zone starved".into()
    }
}

/// Who decides, in words.
pub(super) fn decider_words(model: &Model, decider: Decider) -> String {
    match decider {
        Decider::Owner(zone) => name(model, zone).to_owned(),
        Decider::Policy(ModePolicy::FirstCall) => "first to call".into(),
        Decider::Policy(ModePolicy::Majority) => "larger demand".into(),
        Decider::Policy(ModePolicy::LargestError) => "largest error".into(),
        Decider::Policy(ModePolicy::Owner) => "an owner".into(),
    }
}

fn name(model: &Model, zone: ZoneIndex) -> &str {
    label(&model.zones[zone.get()])
}

fn table(model: &Model, ranking: &Ranking) -> Table {
    use Quantity::{Count, DegreeHours, Energy, Hours, Name};
    let units = Units::of(model);
    let column = |head, quantity| Column::in_unit(head, quantity, units);
    let mut table = Table::new(vec![
        column("", Count),
        column("decided by", Name),
        column("worst zone", Name),
        column(STARVED, Hours),
        column("mean starved", Hours),
        column(OUT_OF_BAND, DegreeHours),
        column(ELECTRICITY, Energy),
        column(CHANGEOVERS, Count),
    ]);
    for (place, it) in ranking.candidates.iter().enumerate() {
        let mark = if it.is_present { " (now)" } else { "" };
        let tone = if it.is_present { Tone::Strong } else { Tone::Plain };
        let who = decider_words(model, it.decider);
        let worst = if it.worst_starved_hours > 0.0 { name(model, it.worst_zone) } else { "none" };
        table.row([
            (place as u64 + 1).into(),
            Cell::toned(format!("{who}{mark}"), tone),
            worst.into(),
            it.worst_starved_hours.into(),
            it.mean_starved_hours.into(),
            it.degree_hours_outside_band.into(),
            it.total_kwh.into(),
            it.changeovers.into(),
        ]);
    }
    table
}

/// The rankings for programs.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn owners_json(model: &Model, rankings: &[Ranking]) -> Result<String, serde_json::Error> {
    let candidate = |it: &Candidate| -> Value {
        let (policy, owner) = match it.decider {
            Decider::Owner(zone) => ("owner", Some(&model.zones[zone.get()].id)),
            Decider::Policy(policy) => (policy.name(), None),
        };
        json!({
            MODE_POLICY.name: policy,
            "owner": owner,
            "present": it.is_present,
            "worst_zone": model.zones[it.worst_zone.get()].id,
            "worst_starved_hours": it.worst_starved_hours,
            "mean_starved_hours": it.mean_starved_hours,
            "degree_hours_outside_band": it.degree_hours_outside_band,
            "total_kwh": it.total_kwh,
            "changeovers": it.changeovers,
        })
    };
    let groups: serde_json::Map<String, Value> = rankings
        .iter()
        .map(|ranking| {
            let ranked = ranking.candidates.iter().map(candidate).collect();
            let id = model.outdoor_units[ranking.group].id.clone();
            (
                id,
                json!({ "answer": owners_answer(model, ranking), "ranking": Value::Array(ranked) }),
            )
        })
        .collect();
    serde_json::to_string_pretty(&json!({ "outdoor_units": groups }))
}
