//! What would help: remedies with what each does, as changes of the page.

use serde::Serialize;
use serde_json::{Value as Json, json};

use super::state::{Asked, PageEdit};
use super::trouble::Trouble;
use crate::engine::Model;
use crate::scenario::Companions;
use crate::settings::Value;
use crate::study::remedies::{Kind, Matters, Remedy, remedies};
use crate::study::{Keep, default_threads, simulate};

/// The most steps of zones that all trials together may take.
const MOST_ZONE_STEPS: i64 = 60_000_000;
/// The most changes that are tried.
const MOST_TRIALS: usize = 80;

/// What helps.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Help {
    /// How many changes were tried.
    tried: usize,
    remedies: Vec<Offered>,
}

/// A change that helps, as a button.
#[derive(Clone, Debug, Serialize)]
struct Offered {
    words: String,
    /// Whether it lets another room or another rule decide for all.
    decides: bool,
    /// All changes of the page with it.
    edits: Vec<PageEdit>,
    effects: Vec<Effect>,
}

/// What it does to a figure.
#[derive(Clone, Debug, Serialize)]
struct Effect {
    label: &'static str,
    before: f64,
    after: f64,
    kind: &'static str,
    unit: String,
}

/// Tries what could help the scenario with its changes.
pub(super) fn help(asked: &Asked, companions: &Companions) -> Result<Help, Trouble> {
    let (_, study) = asked.study(companions)?;
    let model = &study.base;
    Trouble::of_halt(simulate(model, Keep::Nothing).halt, model)?;
    let found = remedies(model, most_trials(model), default_threads());
    let offered = found.list.iter().filter_map(|remedy| {
        let edits = edits(asked, model, remedy)?;
        // The text may write a value in a way that cannot be changed from here.
        asked.with_edits(edits.clone()).study(companions).ok()?;
        let effects = effects(model, &found.before, &remedy.after);
        let decides = matches!(remedy.kind, Kind::Owner | Kind::Policy);
        Some(Offered { words: remedy.words.clone(), decides, edits, effects })
    });
    Ok(Help { tried: found.tried, remedies: offered.collect() })
}

/// So many trials that the page need not wait long.
fn most_trials(model: &Model) -> usize {
    let zones = i64::try_from(model.zones.len()).unwrap_or(i64::MAX);
    let steps = model.period.days().saturating_mul(model.period.steps_per_day());
    let fit = MOST_ZONE_STEPS / steps.saturating_mul(zones).max(1);
    usize::try_from(fit).unwrap_or(0).clamp(2, MOST_TRIALS)
}

fn edits(asked: &Asked, model: &Model, remedy: &Remedy) -> Option<Vec<PageEdit>> {
    let mut all = asked.edits.clone();
    for (entry, subject, value) in remedy.changes(model) {
        let change = PageEdit { path: entry.path(model, subject), value: written(&value)? };
        super::amend::merge(&mut all, &[change]);
    }
    Some(all)
}

/// A value as the file has it; `None` for one that has no short form there.
fn written(value: &Value) -> Option<Json> {
    Some(match value {
        Value::Nothing => return None,
        Value::Number(number) => json!(number),
        Value::Time(time) => json!(format!("{} min", time.get() / 60)),
        Value::Flag(flag) => json!(flag),
        Value::Word(word) => json!(word),
        Value::Words(words) => json!(words),
        Value::Span(span) => json!(span),
    })
}

fn effects(model: &Model, before: &Matters, after: &Matters) -> Vec<Effect> {
    let effect = |label, of: fn(&Matters) -> f64, kind, unit: &str| Effect {
        label,
        before: of(before),
        after: of(after),
        kind,
        unit: unit.to_owned(),
    };
    let mut all = vec![
        effect("Starved", |it| it.starved_hours, "hours", "h"),
        effect("Out of band", |it| it.hours_outside_band, "hours", "h"),
        effect("Requests not done as asked", |it| it.denied as f64, "count", ""),
        effect("Changeovers", |it| it.changeovers as f64, "count", ""),
        effect("Electricity", |it| it.total_kwh, "energy", "kWh"),
    ];
    if before.cost.is_some() {
        let currency = model.tariff.as_ref().map_or("", |tariff| tariff.currency.as_str());
        all.push(effect("Cost", |it| it.cost.unwrap_or(0.0), "money", currency));
    }
    all
}
