//! The worst night: how cold and how warm the room that is looked at can become, whatever anybody
//! presses, as sentences and as a picture.

use serde::{Deserialize, Serialize};

use super::drawing::PAGE_WIDTH;
use super::state::Asked;
use super::trouble::Trouble;
use crate::engine::Model;
use crate::report::chart::worst_svg;
use crate::report::{Worst, ZoneWorst, worst_cautions, worst_sentences};
use crate::scenario::Companions;
use crate::study::worst::{End, Limits, Question, Remedied, Source, bound, find_in, remedies};
use crate::time::Seconds;

/// The most steps of zones that are followed for an answer that a page waits for.
const MOST_ZONE_STEPS: i64 = 15_000;
/// With fewer the remedies, too, are bounded: half a dozen times as much.
const MOST_FOR_REMEDIES: i64 = 3_000;
/// The longest time that is looked ahead, hours.
const LONGEST: i64 = 72;

/// What is asked of a night. Temperatures are in the file's unit.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Night {
    asked: Asked,
    /// It is never colder outside; the lowest of the file's weather without one.
    #[serde(default)]
    coldest: Option<f64>,
    /// Never hotter, likewise.
    #[serde(default)]
    hottest: Option<f64>,
    /// How far is looked ahead.
    hours: i64,
    /// For how long the supply fails once; 0 where it does not.
    #[serde(default)]
    outage_hours: i64,
    /// What is to be proved.
    #[serde(default)]
    at_least: Option<f64>,
}

/// The answer.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Told {
    /// Of the lowest and the highest air, what is proved and what was found.
    lowest: Vec<String>,
    highest: Vec<String>,
    /// What must be borne in mind.
    cautions: Vec<String>,
    /// The range over the time.
    chart: String,
    /// Whether what was to be proved is; `None` where nothing was.
    holds: Option<bool>,
}

/// Bounds the room that is looked at.
pub(super) fn night(night: &Night, companions: &Companions) -> Result<Told, Trouble> {
    let (text, study) = night.asked.study(companions)?;
    let model = &study.base;
    let question = question(night, model)?;
    let steps = question.lasts.get() / model.period.step().get();
    let steps = steps * i64::try_from(model.zones.len()).unwrap_or(i64::MAX);
    if steps > MOST_ZONE_STEPS {
        return Err(Trouble::bad(
            "that many rooms for so long take too long for a page; ask for fewer hours, or use \
             `setband worst` on the downloaded scenario",
        ));
    }
    let refused = |refusal: crate::study::worst::Refusal| Trouble::bad(refusal.to_string());
    let zone = night.asked.zone_in(model);
    let mut reached = bound(model, &question).map_err(refused)?;
    let open = |name: &str| companions.open(name);
    let source = Source { text: &text, name: "scenario.yaml", variant: None, open: &open };
    let found = End::BOTH.map(|end| {
        let found = find_in(zone, &source, model, &question, &reached, end);
        found.map(|found| (found, String::new()))
    });
    let helps: Vec<Remedied> = if steps > MOST_FOR_REMEDIES {
        Vec::new()
    } else {
        remedies(model, &question, End::Lowest, night.at_least).map_err(refused)?
    };
    let zones = [ZoneWorst::new(reached.swap_remove(zone.get()), found, [&helps, &[]])];
    let at_least = night.at_least.map(|value| model.unit.to_celsius(value));
    let worst =
        Worst { model, question: &question, zones: &zones, at_least, at_most: None, draws: None };
    let width = night.asked.width.unwrap_or(PAGE_WIDTH);
    let [lowest, highest] = End::BOTH.map(|end| worst_sentences(&worst, &zones[0], end));
    Ok(Told {
        lowest,
        highest,
        cautions: worst_cautions(&worst),
        chart: worst_svg(&worst, &zones[0], width).map_err(Trouble::form)?,
        holds: at_least.map(|_| worst.holds()),
    })
}

fn question(night: &Night, model: &Model) -> Result<Question, Trouble> {
    if !(1..=LONGEST).contains(&night.hours) {
        return Err(Trouble::bad(format!("ask for 1 to {LONGEST} hours")));
    }
    if !(0..=night.hours).contains(&night.outage_hours) {
        return Err(Trouble::bad("the supply cannot fail for longer than is looked ahead"));
    }
    let own = Limits::of_weather(model);
    let celsius = |value: Option<f64>, own: f64| value.map_or(own, |it| model.unit.to_celsius(it));
    let limits = Limits {
        coldest: celsius(night.coldest, own.coldest),
        hottest: celsius(night.hottest, own.hottest.max(celsius(night.coldest, own.hottest))),
    };
    let outage = (night.outage_hours > 0).then(|| Seconds::hours(night.outage_hours));
    Ok(Question {
        limits,
        lasts: Seconds::hours(night.hours),
        any_window: false,
        outage,
        from: None,
    })
}
