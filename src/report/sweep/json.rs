//! `sweep.json`.

use serde_json::{Map, Value, json};

use super::words::{letter, silent_words, sweep_answer};
use crate::measures::FIGURES;
use crate::study::sweep::{FRONT, Front, Meets, Scored, Sensitivity, SweepAnswer};

/// A sweep for programs.
///
/// # Errors
/// Whatever the serializer refuses; the types give it no reason to.
pub fn sweep_json(answer: &SweepAnswer) -> Result<String, serde_json::Error> {
    let results = answer.results;
    let (plan, about) = (&results.plan, &results.about);
    let ranking = &answer.ranking;
    let settings: Vec<Value> =
        (0..ranking.settings.len()).map(|place| scored(answer, place)).collect();
    let unfit: Vec<Value> = answer
        .unfit()
        .into_iter()
        .map(|(setting, why)| json!({ "setting": values(answer, setting), "reason": why }))
        .collect();
    let front: Vec<Value> = (0..).zip(&answer.front).map(|it| on_front(answer, it)).collect();
    let hangs: Vec<Value> = answer.sensitivities.iter().map(|it| hangs_on(answer, it)).collect();
    let silent: Vec<Value> = answer
        .silent
        .iter()
        .map(|(axis, why)| {
            let path = plan.axes.iter().chain(&plan.varied).nth(*axis).map(|axis| &axis.path);
            json!({ "path": path, "why": silent_words(*why) })
        })
        .collect();
    let mut text = serde_json::to_string_pretty(&json!({
        "answer": sweep_answer(answer),
        "title": about.title,
        "variant": about.variant,
        "temperature_unit": about.unit().letter(),
        "days": about.days,
        "plan": plan,
        "goal": answer.goal,
        "cases": {
            "all": plan.cases(),
            "done": results.done(),
            "settings": plan.settings(),
            "settings_unfit": unfit.len(),
        },
        "complete": results.is_complete(),
        "best": ranking.best().map(|it| values(answer, it.setting)),
        "keep_the_bounds": ranking.keeping,
        "as_good_as_best": ranking.as_good(),
        "settings": settings,
        "unfit": unfit,
        "front": front,
        "sensitivity": hangs,
        "without_effect": silent,
    }))?;
    text.push('\n');
    Ok(text)
}

/// A setting: each path with its value.
fn values(answer: &SweepAnswer, setting: usize) -> Value {
    let paths = answer.results.plan.axes.iter().map(|axis| axis.path.clone());
    let values = answer.results.settings[setting].iter().map(|it| Value::from(it.as_str()));
    Value::Object(paths.zip(values).collect())
}

fn scored(answer: &SweepAnswer, place: usize) -> Value {
    let it: &Scored = &answer.ranking.settings[place];
    let meets = match it.meets {
        Meets::Throughout => "throughout",
        Meets::Probably => "probably",
        Meets::No => "no",
    };
    let figures: Map<String, Value> = FIGURES
        .iter()
        .zip(&it.figures)
        .map(|(figure, estimate)| (figure.key.to_owned(), json!(estimate)))
        .collect();
    json!({
        "setting": values(answer, it.setting),
        "rank": place + 1,
        "keeps_the_bounds": meets,
        "behind_best": answer.ranking.behind[place],
        "figures": figures,
    })
}

fn on_front(answer: &SweepAnswer, (place, it): (usize, &Front)) -> Value {
    let means = FRONT.iter().zip(it.means).map(|(key, mean)| ((*key).to_owned(), json!(mean)));
    json!({
        "letter": letter(place),
        "setting": values(answer, answer.ranking.settings[it.place].setting),
        "means": Value::Object(means.collect()),
        "alike": it.alike,
    })
}

fn hangs_on(answer: &SweepAnswer, it: &Sensitivity) -> Value {
    let plan = &answer.results.plan;
    let axis = plan.axes.iter().chain(&plan.varied).nth(it.axis);
    json!({
        "path": axis.map(|axis| &axis.path),
        "smallest": { "value": it.smallest.value, "mean": it.smallest.mean },
        "largest": { "value": it.largest.value, "mean": it.largest.mean },
        "difference": it.span(),
        "interval": it.interval,
        "told_from_noise": it.is_told,
    })
}
