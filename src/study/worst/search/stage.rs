//! The file under extreme weather, sun and gains, with nobody in it: what presses are tried on.

use serde_json::{Value, json};

use super::{End, Source};
use crate::control::{Occupancy, Role};
use crate::engine::{Doing, Model, State, start};
use crate::scenario::{Edit, edit, edit_as_variant, read_beside};
use crate::study::worst::{Question, Reached};
use crate::time::DAY;

/// A text to try presses on, with its model and the state in which it starts.
pub(super) struct Stage {
    pub(super) text: String,
    pub(super) model: Model,
    pub(super) state: State,
    /// In which zones windows may be opened.
    pub(super) opens: Vec<bool>,
}

/// What hundredths of a degree are written wrong by is less than this part of one.
const INSIDE: f64 = 1e-3;
/// Hours of a turn.
const TURN: usize = 6;
/// Beyond an outdoor temperature at which something changes, K.
const BEYOND: f64 = 0.05;
/// So many of such outdoor temperatures are tried.
const MOST_LEVELS: usize = 4;

/// A course of the outdoor air over each day, and of the gains with it.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Day {
    /// The same all day, degrees C.
    Steady(f64),
    /// The other extreme until six in the morning, with its gains.
    Turn,
}

impl Stage {
    /// All stages that the file's text can be written as: each weather from where the rooms are by
    /// themselves under it, the first two also from the edge of where they can be by themselves.
    pub(super) fn all(
        source: &Source<'_>,
        model: &Model,
        question: &Question,
        reached: &[Reached],
        end: End,
    ) -> Vec<Self> {
        let (extreme, _) = extremes(question, end);
        let own = |days: Vec<Day>| days.into_iter().map(|day| (day, None));
        let mut all: Vec<(Day, Option<Vec<f64>>)> =
            own(vec![Day::Steady(extreme), Day::Turn]).collect();
        all.extend(own(levels(model, question).into_iter().map(Day::Steady).collect()));
        if let Some(edge) = edges(model, reached, end).filter(|_| question.from.is_none()) {
            all.extend([Day::Steady(extreme), Day::Turn].map(|day| (day, Some(edge.clone()))));
        }
        let stage = |(day, starts): (Day, Option<Vec<f64>>)| {
            Self::new(source, model, question, end, (day, starts.as_deref()))
        };
        all.into_iter().filter_map(stage).collect()
    }

    fn new(
        source: &Source<'_>,
        model: &Model,
        question: &Question,
        end: End,
        (day, starts): (Day, Option<&[f64]>),
    ) -> Option<Self> {
        let text = match source.variant {
            Some(variant) => edit_as_variant(source.text, variant).ok()?,
            None => source.text.to_owned(),
        };
        let opens = (0..model.zones.len()).map(|zone| {
            question.any_window
                || model.actions.iter().any(|action| {
                    action.zone.get() == zone && matches!(action.what, Doing::Window(_))
                })
        });
        let opens = opens.collect();
        let mut edits = edits(model, question, end, day);
        for (zone, start) in model.zones.iter().zip(starts.into_iter().flatten()) {
            let path = format!("zones.{}.space.start", zone.id);
            edits.push(Edit { path, value: json!(start) });
        }
        let text = edit(&text, &edits).ok()?;
        let model = read_beside(&text, source.name, source.open).ok()?.base;
        let (simulation, _) = start(&model);
        let state = simulation.state().clone();
        drop(simulation);
        Some(Self { text, model, state, opens })
    }
}

/// Where every zone starts at the edge of where it may, in the file's unit and in hundredths of a
/// degree inside it; `None` where one cannot start with its air and mass alike.
fn edges(model: &Model, reached: &[Reached], end: End) -> Option<Vec<f64>> {
    let edge = |reached: &Reached| {
        let (low, high) = reached.starts?;
        let [low, high] = [low, high].map(|air| model.unit.from_celsius(air) * 100.0);
        let inside = match end {
            End::Lowest => (low + INSIDE).ceil(),
            End::Highest => (high - INSIDE).floor(),
        };
        (low <= inside && inside <= high).then_some(inside / 100.0)
    };
    reached.iter().map(edge).collect()
}

fn extremes(question: &Question, end: End) -> (f64, f64) {
    let limits = question.limits;
    match end {
        End::Lowest => (limits.coldest, limits.hottest),
        End::Highest => (limits.hottest, limits.coldest),
    }
}

/// Outdoor temperatures just beyond which a plant or a limit keeps a direction from rooms.
fn levels(model: &Model, question: &Question) -> Vec<f64> {
    let mut found: Vec<f64> = Vec::new();
    let zones = model.zones.iter().map(|zone| &zone.controls.outdoor_limits);
    let groups = model.outdoor_units.iter().map(|group| &group.outdoor_limits);
    for limits in zones.chain(groups) {
        let celsius = |value: f64| model.unit.to_celsius(value);
        found.extend(limits.heat_below.map(|it| celsius(it) + BEYOND));
        found.extend(limits.cool_above.map(|it| celsius(it) - BEYOND));
    }
    for group in &model.outdoor_units {
        found.extend(group.unit.heating_lockout.map(|it| it - BEYOND));
        found.extend(group.unit.cooling_lockout.map(|it| it + BEYOND));
    }
    let limits = question.limits;
    found.retain(|it| limits.coldest < *it && *it < limits.hottest);
    found.sort_by(f64::total_cmp);
    found.dedup();
    found.truncate(MOST_LEVELS);
    found
}

fn edits(model: &Model, question: &Question, end: End, day: Day) -> Vec<Edit> {
    let mut edits = Vec::new();
    let mut set = |path: String, value: Value| edits.push(Edit { path, value });
    let days = (question.lasts.get() + DAY - 1) / DAY;
    set("period.days".into(), json!(days));
    set("weather".into(), weather(model, question, end, day));
    if !model.people.is_empty() {
        set("people".into(), json!([]));
    }
    if model.actions.iter().all(|action| action.role == Role::Occupant) && !model.actions.is_empty()
    {
        set("actions".into(), json!([]));
    }
    for (at, zone) in model.zones.iter().enumerate() {
        // Nobody is left whose presence could be followed.
        if zone.controls.occupancy == Occupancy::People {
            let path = format!("zones.{}.controls.occupancy", zone.id);
            set(path, json!({ "from": "00:00", "to": "24:00" }));
        }
        let people = model.people.iter().filter(|person| person.zone.get() == at);
        let people: f64 = people.map(|person| person.heat.sensible).sum();
        let gains: f64 = zone.gains.iter().map(|gain| gain.power.max(0.0)).sum();
        let all = gains + people;
        if all > 0.0 || !zone.gains.is_empty() {
            let power = format!("{all} W");
            let gains = match (end, day) {
                (End::Lowest, Day::Steady(_)) => json!([]),
                (End::Highest, Day::Steady(_)) => json!([{ "power": power }]),
                (End::Lowest, Day::Turn) => {
                    json!([{ "from": "00:00", "to": "06:00", "power": power }])
                }
                (End::Highest, Day::Turn) => {
                    json!([{ "from": "06:00", "to": "24:00", "power": power }])
                }
            };
            set(format!("zones.{}.gains", zone.id), gains);
        }
        if let Some(from) = question.from {
            let from = model.unit.from_celsius(from);
            set(format!("zones.{}.space.start", zone.id), json!(from));
        }
    }
    edits
}

fn weather(model: &Model, question: &Question, end: End, day: Day) -> Value {
    let (extreme, other) = extremes(question, end);
    let at = |hour: usize| match day {
        Day::Steady(level) => level,
        Day::Turn if hour < TURN => other,
        Day::Turn => extreme,
    };
    let hours: Vec<f64> = (0..24).map(|hour| model.unit.from_celsius(at(hour))).collect();
    let mut weather = json!({ "hours": hours });
    if let Some(site) = model.site {
        weather["site"] = json!({
            "latitude": site.latitude,
            "longitude": site.longitude,
            "utc_offset": site.utc_offset,
        });
        match end {
            End::Lowest => weather["radiation"] = json!(vec![0.0; 12]),
            End::Highest => weather["sky"] = json!("clear"),
        }
    }
    weather
}
