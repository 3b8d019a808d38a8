//! Who should decide for a group, as text and as JSON.

use serde_json::{Value, json};

use super::content::wording::{CHANGEOVERS, ELECTRICITY, OUT_OF_BAND, STARVED};
use super::content::{Cell, Column, Quantity, Table, Tone, Units};
use super::figures::{count, three_figures, unit_sign};
use super::headline::{capitalised, implausible, warned_first};
use super::render::fit::hang;
use super::render::text::{self, Style};
use super::run::label;
use crate::control::ModePolicy;
use crate::engine::{Model, ZoneIndex};
use crate::settings::group::MODE_POLICY;
use crate::study::{Candidate, Decider, OwnerRanking, RankBy};

/// The rankings of every group: the answer as a sentence, then the table.
pub fn owners_text(
    model: &Model,
    rankings: &[OwnerRanking],
    style: Style,
    files: &[String],
) -> String {
    let mut out = String::new();
    for ranking in rankings {
        text::strong(&mut out, style, &owners_answer(model, ranking));
        out.push('\n');
        out.push_str(&text::table(&table(model, ranking), style));
        out.push('\n');
    }
    let note = "Ranked by degree-hours outside the comfort band (--by), then changeovers, then \
                electricity, or as --minimise and --at-most say. Worse than a row: better \
                in none of these three and worse in one. Starved: in need of \
                the opposite of what the group does. Same weather and actions in every row; only \
                who decides differs. A model, not a test on site.";
    out.push_str(&hang("", note, style.width));
    text::files(&mut out, style, files);
    out
}

/// The answer as a sentence, after a warning of air that is hardly that of a building.
pub(super) fn owners_answer(model: &Model, ranking: &OwnerRanking) -> String {
    warnings(model, ranking) + &capitalised(&plain_answer(model, ranking))
}

fn warnings(model: &Model, ranking: &OwnerRanking) -> String {
    let mut all = ranking.candidates.iter().filter_map(|it| {
        let who = format!("decided by {}", decider_words(model, it.decider));
        Some((who, implausible(model, &it.summary)?))
    });
    let first = all.next();
    warned_first(first, all.count(), &format!("{} ways to decide", ranking.candidates.len()))
}

fn plain_answer(model: &Model, ranking: &OwnerRanking) -> String {
    let group = match model.outdoor_units.len() {
        1 => String::new(),
        _ => format!("{}: ", model.outdoor_units[ranking.group].label),
    };
    let Some(best) = ranking.candidates.first() else { return format!("{group}no zones.") };
    if !best.keeps_bounds {
        return format!("{group}no way to decide keeps the bounds.");
    }
    let who = decider_words(model, best.decider);
    let given_up = given_up(model, ranking, best);
    let Some(present) = ranking.candidates.iter().find(|it| it.is_present) else {
        return format!("{group}best decided by {who}. {given_up}");
    };
    if present.decider == best.decider {
        let fate = fate(model, ranking, best);
        return format!("{group}{who} decides already, and that is best: {fate}. {given_up}");
    }
    format!(
        "{group}best decided by {who} ({}), now by {} ({}). {given_up}",
        fate(model, ranking, best),
        decider_words(model, present.decider),
        fate(model, ranking, present)
    )
}

/// What the ranking goes by, of one candidate.
fn fate(model: &Model, ranking: &OwnerRanking, candidate: &Candidate) -> String {
    let degrees = unit_sign(model.unit);
    let band = match ranking.by {
        _ if candidate.degree_hours_outside_band < 0.05 => "no zone out of band".into(),
        RankBy::Worst => format!(
            "{} worst, {:.1} {degrees} h out of band",
            name(model, candidate.worst_zone),
            candidate.worst_degree_hours
        ),
        RankBy::Mean => {
            format!("{:.1} {degrees} h out of band", candidate.degree_hours_outside_band)
        }
    };
    let turns = count(candidate.changeovers, "changeover");
    format!("{band}, {turns}, {} kWh", three_figures(candidate.total_kwh))
}

/// What the best costs against those that are better in a figure.
fn given_up(model: &Model, ranking: &OwnerRanking, best: &Candidate) -> String {
    let own = best.figures(ranking.by);
    let words = ["out of band", "changeovers", "electricity"];
    let mut better: Vec<(&Candidate, Vec<&str>)> = Vec::new();
    for (figure, what) in words.into_iter().enumerate() {
        let of = |it: &Candidate| it.figures(ranking.by)[figure];
        let fit = ranking.candidates.iter().filter(|it| it.keeps_bounds);
        let least = fit
            .filter(|it| it.dominated_by.is_none())
            .min_by(|one, two| of(one).total_cmp(&of(two)));
        let Some(least) = least.filter(|it| of(it) < own[figure]) else { continue };
        match better.iter_mut().find(|(who, _)| who.decider == least.decider) {
            Some((_, what_else)) => what_else.push(what),
            None => better.push((least, vec![what])),
        }
    }
    let parts = better.iter().map(|(who, what)| {
        let decider = decider_words(model, who.decider);
        format!("least {} with {decider} ({})", what.join(" and "), fate(model, ranking, who))
    });
    let parts: Vec<String> = parts.collect();
    if parts.is_empty() {
        return "Nothing is given up for it: none has less out of band, fewer changeovers or \
                less electricity."
            .into();
    }
    format!("Given up for it: {}.", parts.join("; "))
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

fn table(model: &Model, ranking: &OwnerRanking) -> Table {
    use Quantity::{Count, DegreeHours, Energy, Hours, Name};
    let units = Units::of(model);
    let column = |head, quantity| Column::in_unit(head, quantity, units);
    let mut table = Table::new(vec![
        column("", Count),
        column("decided by", Name),
        column("worst zone", Name),
        column(OUT_OF_BAND, DegreeHours),
        column(CHANGEOVERS, Count),
        column(ELECTRICITY, Energy),
        column(STARVED, Hours),
        column("worse than", Count),
    ]);
    for (place, it) in ranking.candidates.iter().enumerate() {
        let mark = if it.is_present { " (now)" } else { "" };
        let bounds = if it.keeps_bounds { "" } else { " (beyond bounds)" };
        let tone = match (it.is_present, it.dominated_by) {
            (true, _) => Tone::Strong,
            (false, Some(_)) => Tone::Faint,
            (false, None) => Tone::Plain,
        };
        let who = decider_words(model, it.decider);
        let worst = if it.worst_degree_hours >= 0.05 { name(model, it.worst_zone) } else { "none" };
        let out_of_band = match ranking.by {
            RankBy::Worst => it.worst_degree_hours,
            RankBy::Mean => it.degree_hours_outside_band,
        };
        table.row([
            (place as u64 + 1).into(),
            Cell::toned(format!("{who}{mark}{bounds}"), tone),
            worst.into(),
            out_of_band.into(),
            it.changeovers.into(),
            it.total_kwh.into(),
            it.worst_starved_hours.into(),
            it.dominated_by.map(|place| place as u64 + 1).into(),
        ]);
    }
    table
}

/// The rankings for programs.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn owners_json(model: &Model, rankings: &[OwnerRanking]) -> Result<String, serde_json::Error> {
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
            "worst_degree_hours": it.worst_degree_hours,
            "worst_starved_hours": it.worst_starved_hours,
            "mean_starved_hours": it.mean_starved_hours,
            "degree_hours_outside_band": it.degree_hours_outside_band,
            "total_kwh": it.total_kwh,
            "changeovers": it.changeovers,
            "keeps_bounds": it.keeps_bounds,
            "bettered_by": it.dominated_by.map(|place| place + 1),
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
