//! Requirements about the worst that can happen: bounded over presses, weather, sun and gains. Where
//! the bound lies beyond what is asked a run is looked for that gets there.

use super::{
    Bounds, Conformity, CounterExample, Evidence, Requirement, Shown, Study, Worst, zones_of,
};
use crate::engine::{Model, ZoneIndex};
use crate::settings::Value;
use crate::study::worst::{End, Found, Limits, Question, Reached, Source, bound, find_in};
use crate::time::Seconds;

/// Looks no further ahead than this unless a requirement says how far.
pub const USUAL_TIME: Seconds = Seconds::hours(72);

/// What was bounded, in the zone that comes nearest to what is asked or goes furthest beyond it.
#[derive(Clone, Debug, PartialEq)]
pub struct Bounded {
    /// Under which weather, within which time.
    pub question: Question,
    /// The zone's air.
    pub reached: Reached,
    /// Which end is asked about.
    pub end: End,
    /// What is asked of it, in the file's unit.
    pub asked: f64,
    /// The worst run found there; `None` where none could be written.
    pub found: Option<Found>,
}

/// Bounds the air of every zone that is meant.
pub(super) fn review(
    study: &Study,
    model: &Model,
    requirement: &Requirement,
    (bounds, outdoors, within): (&Bounds, [Option<f64>; 2], Option<Seconds>),
) -> Shown {
    let own = Limits::of_weather(model);
    let celsius = |value: f64| model.unit.to_celsius(value);
    let question = Question {
        limits: Limits {
            coldest: outdoors[0].map_or(own.coldest, celsius),
            hottest: outdoors[1].map_or(own.hottest, celsius),
        },
        lasts: within.unwrap_or(USUAL_TIME),
        any_window: false,
        outage: None,
        from: None,
    };
    let mut reached = match bound(model, &question) {
        Ok(reached) => reached,
        Err(refusal) => return Shown::nothing(refusal.to_string()),
    };
    let zones = zones_of(model, requirement);
    let ends = [(End::Lowest, bounds.least()), (End::Highest, bounds.most())];
    let mut worst: Option<(f64, End, f64, ZoneIndex, f64)> = None;
    for (end, asked) in ends {
        let Some(asked) = asked else { continue };
        for &zone in &zones {
            let air = model.unit.from_celsius(air_of(&reached[zone.get()], end));
            let margin = within_by(air, asked, end);
            if worst.is_none_or(|(least, ..)| margin < least) {
                worst = Some((margin, end, air, zone, asked));
            }
        }
    }
    let Some((margin, end, air, zone, asked)) = worst else {
        return Shown::nothing("the file has no such zone");
    };
    let found = nearest(study, model, requirement, &question, &reached, (end, zone));
    // No run may get as far as the bound: then neither is shown.
    let counter = found.as_ref().and_then(|found| beyond(model, found, (end, asked, zone)));
    let verdict = match (margin >= 0.0, &counter) {
        (true, _) => Conformity::Holds,
        (false, Some(_)) => Conformity::Fails,
        (false, None) => Conformity::CannotBeShown,
    };
    let reached = reached.swap_remove(zone.get());
    Shown {
        verdict,
        by: Evidence::Bound(Box::new(Bounded { question, reached, end, asked, found })),
        worst: Some(Worst { zone: Some(zone), value: Value::Number(air), margin: Some(margin) }),
        counter,
    }
}

fn air_of(reached: &Reached, end: End) -> f64 {
    match end {
        End::Lowest => reached.lowest().0,
        End::Highest => reached.highest().0,
    }
}

/// How far a temperature lies within what is asked of an end.
fn within_by(air: f64, asked: f64, end: End) -> f64 {
    match end {
        End::Lowest => air - asked,
        End::Highest => asked - air,
    }
}

/// The worst run found for an end of a zone.
fn nearest(
    study: &Study,
    model: &Model,
    requirement: &Requirement,
    question: &Question,
    reached: &[Reached],
    (end, zone): (End, ZoneIndex),
) -> Option<Found> {
    // Files that it names cannot be opened here; weather is replaced.
    let open = |_: &str| Err("not at hand".to_owned());
    let variant = requirement.variant.as_deref();
    let source = Source { text: study.text(), name: "scenario", variant, open: &open };
    find_in(zone, &source, model, question, reached, end)
}

/// A run in which a zone gets beyond what is asked.
fn beyond(
    model: &Model,
    found: &Found,
    (end, asked, zone): (End, f64, ZoneIndex),
) -> Option<CounterExample> {
    let air = model.unit.from_celsius(found.air);
    (within_by(air, asked, end) < 0.0).then(|| CounterExample::Worst {
        zone,
        air,
        after: found.after,
        presses: found.presses.clone(),
    })
}
