//! The worst found: a run that comes near the bound, written out as a scenario.
//!
//! What the bound takes for granted points to it: the steady extreme of weather, sun and gains, or a
//! turn from the other one, and each state of the controls that presses can reach and that brings
//! least (or most) heat, at one zone or at all. All of them are tried, and the best is kept for each
//! zone.

use std::sync::Arc;

use serde_json::{Value, json};

use super::Question;
use super::selections::free_controller;
use crate::control::{ControllerIndex, LockableKey, Mode, Power, Request, Role, Side};
use crate::engine::{Action, Doing, Model, Simulation, State, Zone, ZoneIndex, start, start_from};
use crate::scenario::{Edit, NewAction, add_actions, edit, edit_as_variant, read_beside};
use crate::time::{DAY, Instant, Seconds};

/// A file as it was read, with what opens the files that it names.
#[derive(Clone, Copy)]
pub struct Source<'a> {
    /// Its text.
    pub text: &'a str,
    /// Its name, for messages.
    pub name: &'a str,
    /// Which of its variants is meant.
    pub variant: Option<&'a str>,
    /// Opens a file that it names.
    pub open: &'a dyn Fn(&str) -> Result<Vec<u8>, String>,
}

/// Which end of the air's range.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// The lowest.
    Lowest,
    /// The highest.
    Highest,
}

impl End {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Lowest, Self::Highest];

    /// `lowest` or `highest`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Lowest => "lowest",
            Self::Highest => "highest",
        }
    }

    /// Whether one temperature is worse than another.
    pub(super) fn is_worse(self, one: f64, other: f64) -> bool {
        match self {
            Self::Lowest => one < other,
            Self::Highest => one > other,
        }
    }
}

/// One thing that occupants do in a run that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Press {
    /// When.
    pub at: Instant,
    /// In which zone.
    pub zone: ZoneIndex,
    /// At which controller, by its id.
    pub controller: String,
    /// What is asked for.
    pub what: Doing,
}

/// The worst run that was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The zone's air at its worst, degrees C.
    pub air: f64,
    /// How long it takes, to within a tenth of a kelvin.
    pub after: Seconds,
    /// What occupants do for it.
    pub presses: Vec<Press>,
    /// The zone's air at the start of each step, degrees C.
    pub course: Vec<f64>,
    /// The scenario: `run` shows the same.
    pub scenario: String,
}

/// A text to try presses on, with its model and the state in which it starts.
struct Stage {
    text: String,
    model: Model,
    state: State,
}

/// The worst runs found: for each zone, where the file's text could be written as one.
pub fn find(
    source: &Source<'_>,
    model: &Model,
    question: &Question,
    end: End,
) -> Vec<Option<Found>> {
    let mut found: Vec<Option<Found>> = vec![None; model.zones.len()];
    for turns in [false, true] {
        let Some(stage) = stage(source, model, question, end, turns) else { continue };
        for presses in candidates(&stage.model, question, end) {
            let mut tried = stage.model.clone();
            insert(&mut tried, &presses);
            let courses = courses(&tried, stage.state.clone(), question);
            for (best, course) in found.iter_mut().zip(courses) {
                let (air, after) = worst_of(&course, end);
                if best.as_ref().is_none_or(|it| end.is_worse(air, it.air)) {
                    let Some(scenario) = written(&stage, &presses) else { continue };
                    let step = model.period.step().get();
                    let after = Seconds::new(i64::try_from(after).unwrap_or(0) * step);
                    let presses = presses.iter().map(|it| press(&stage.model, it)).collect();
                    *best = Some(Found { air, after, presses, course, scenario });
                }
            }
        }
    }
    found
}

fn press(model: &Model, action: &Action) -> Press {
    let controllers = &model.zones[action.zone.get()].controls.settings.controllers;
    Press {
        at: action.at,
        zone: action.zone,
        controller: controllers.id(action.controller).to_owned(),
        what: action.what.clone(),
    }
}

/// The worst of a course, and the step after which it is there to within a tenth of a kelvin.
fn worst_of(course: &[f64], end: End) -> (f64, usize) {
    let worst = course.iter().copied().reduce(
        |one, other| {
            if end.is_worse(other, one) { other } else { one }
        },
    );
    let worst = worst.unwrap_or(f64::NAN);
    let near = |air: &f64| (air - worst).abs() <= super::NEAR_IT;
    (worst, course.iter().position(near).unwrap_or(0))
}

/// The courses of all zones in a run.
fn courses(model: &Model, state: State, question: &Question) -> Vec<Vec<f64>> {
    let mut simulation: Simulation<'_> = start_from(model, state);
    let mut courses: Vec<Vec<f64>> = vec![Vec::new(); model.zones.len()];
    let mut note = |simulation: &Simulation<'_>| {
        for (course, nodes) in courses.iter_mut().zip(&simulation.state().nodes) {
            course.push(nodes[0]);
        }
    };
    let end = Instant::START + question.lasts;
    while simulation.state().now < end && simulation.halt().is_none() {
        note(&simulation);
        simulation.step(&mut crate::engine::Nobody);
    }
    courses
}

/// The file under the extreme weather, sun and gains, or with a turn to them from the other
/// extreme, and nobody in it.
fn stage(
    source: &Source<'_>,
    model: &Model,
    question: &Question,
    end: End,
    turns: bool,
) -> Option<Stage> {
    let text = match source.variant {
        Some(variant) => edit_as_variant(source.text, variant).ok()?,
        None => source.text.to_owned(),
    };
    let text = edit(&text, &edits(model, question, end, turns)).ok()?;
    let model = read_beside(&text, source.name, source.open).ok()?.base;
    let (simulation, _) = start(&model);
    let state = simulation.state().clone();
    drop(simulation);
    Some(Stage { text, model, state })
}

/// Hours of a turn.
const TURN: usize = 6;

fn edits(model: &Model, question: &Question, end: End, turns: bool) -> Vec<Edit> {
    let mut edits = Vec::new();
    let mut set = |path: String, value: Value| edits.push(Edit { path, value });
    let days = (question.lasts.get() + DAY - 1) / DAY;
    set("period.days".into(), json!(days));
    set("weather".into(), weather(model, question, end, turns));
    if !model.people.is_empty() {
        set("people".into(), json!([]));
    }
    if model.actions.iter().all(|action| action.role == Role::Occupant) && !model.actions.is_empty()
    {
        set("actions".into(), json!([]));
    }
    for (at, zone) in model.zones.iter().enumerate() {
        let people = model.people.iter().filter(|person| person.zone.get() == at);
        let people: f64 = people.map(|person| person.heat.sensible).sum();
        let gains: f64 = zone.gains.iter().map(|gain| gain.power.max(0.0)).sum();
        let all = gains + people;
        if all > 0.0 || !zone.gains.is_empty() {
            let power = format!("{all} W");
            let gains = match (end, turns) {
                (End::Lowest, false) => json!([]),
                (End::Highest, false) => json!([{ "power": power }]),
                (End::Lowest, true) => json!([{ "from": "00:00", "to": "06:00", "power": power }]),
                (End::Highest, true) => json!([{ "from": "06:00", "to": "24:00", "power": power }]),
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

fn weather(model: &Model, question: &Question, end: End, turns: bool) -> Value {
    let limits = question.limits;
    let (extreme, other) = match end {
        End::Lowest => (limits.coldest, limits.hottest),
        End::Highest => (limits.hottest, limits.coldest),
    };
    let at = |hour: usize| if turns && hour < TURN { other } else { extreme };
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

/// What occupants may do that brings little heat, or much: at all zones together, and at each alone.
fn candidates(model: &Model, question: &Question, end: End) -> Vec<Vec<Action>> {
    let zones: Vec<ZoneIndex> = (0..model.zones.len()).map(ZoneIndex::new).collect();
    let mut found: Vec<Vec<Action>> = vec![Vec::new()];
    for kind in Kind::all(end) {
        let at = |zone: &ZoneIndex| presses(model, *zone, kind, end);
        found.push(zones.iter().flat_map(at).collect());
        if zones.len() > 1 {
            found.extend(zones.iter().map(at));
        }
    }
    if let Some(lasts) = question.outage {
        let with = |presses: &Vec<Action>| {
            [0, question.lasts.get() - lasts.get() - 3600].map(|at| {
                let mut all = presses.clone();
                all.extend(failures(model, Instant::new(at.max(0)), lasts));
                all
            })
        };
        found = found.iter().flat_map(with).collect();
    }
    found.retain(|presses| !presses.is_empty());
    found.insert(0, Vec::new());
    found.dedup();
    found
}

/// What occupants select.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Off,
    Mode(Mode),
    Stay,
}

impl Kind {
    fn all(end: End) -> [Self; 4] {
        match end {
            End::Lowest => [Self::Stay, Self::Off, Self::Mode(Mode::Fan), Self::Mode(Mode::Cool)],
            End::Highest => [Self::Stay, Self::Off, Self::Mode(Mode::Fan), Self::Mode(Mode::Heat)],
        }
    }
}

/// The presses of a zone for it: a mode or off as far as it is free, and setpoints as far as they go.
fn presses(model: &Model, zone: ZoneIndex, kind: Kind, end: End) -> Vec<Action> {
    let here = &model.zones[zone.get()];
    let settings = &here.controls.settings;
    let mut requests = Vec::new();
    let mut ask = |key: LockableKey, request: Request| {
        if let Some(controller) = free_controller(here, key) {
            requests.push((controller, Doing::Request(request)));
        }
    };
    match kind {
        Kind::Off => ask(LockableKey::Power, Request::Power(Power::Off)),
        Kind::Mode(mode) if settings.modes.has(mode) && !settings.locked_modes.has(mode) => {
            ask(LockableKey::Power, Request::Power(Power::On));
            ask(LockableKey::Mode, Request::Mode(mode));
        }
        Kind::Mode(_) => {}
        Kind::Stay => {
            if end == End::Highest {
                ask(LockableKey::Power, Request::Power(Power::On));
            }
        }
    }
    // The last one asked for stands where they push each other.
    let sides = match end {
        End::Lowest => [Side::Heat, Side::Cool],
        End::Highest => [Side::Cool, Side::Heat],
    };
    for side in if kind == Kind::Off { [].iter() } else { sides.iter() } {
        let range = settings.rules.range(*side);
        let to = if end == End::Lowest { range.low } else { range.high };
        ask(LockableKey::Setpoint, Request::Setpoint(*side, settings.grid.value(to)));
    }
    let act = |(controller, what)| action(Instant::START, zone, controller, what);
    requests.into_iter().map(act).collect()
}

/// The supply of every outdoor unit and of every zone with a plant of its own fails.
fn failures(model: &Model, at: Instant, lasts: Seconds) -> Vec<Action> {
    let grouped = |zone: &ZoneIndex| {
        let group = model.outdoor_units.iter().find(|group| group.zones.contains(zone));
        group.is_none_or(|group| group.zones.first() == Some(zone))
    };
    let zones = (0..model.zones.len()).map(ZoneIndex::new).filter(grouped);
    zones
        .map(|zone| action(at, zone, ControllerIndex::new(0), Doing::PowerFailure(lasts)))
        .collect()
}

fn action(at: Instant, zone: ZoneIndex, controller: ControllerIndex, what: Doing) -> Action {
    Action {
        at,
        place: None,
        zone,
        controller,
        by: Arc::from("occupant"),
        role: Role::Occupant,
        what,
    }
}

/// Puts actions after those of the file at the same time.
fn insert(model: &mut Model, actions: &[Action]) {
    for action in actions {
        let place = model.actions.partition_point(|other| other.at <= action.at);
        model.actions.insert(place, action.clone());
    }
}

/// The text with the actions.
fn written(stage: &Stage, actions: &[Action]) -> Option<String> {
    let lines: Vec<NewAction> = actions.iter().map(|it| line(&stage.model, it)).collect();
    add_actions(&stage.text, &lines).ok()
}

fn line(model: &Model, action: &Action) -> NewAction {
    let zone: &Zone = &model.zones[action.zone.get()];
    let id = zone.controls.settings.controllers.id(action.controller);
    let (key, value) = match &action.what {
        Doing::Request(Request::Power(power)) => ("power", json!(power.name())),
        Doing::Request(Request::Mode(mode)) => ("mode", json!(mode.name())),
        Doing::Request(Request::Setpoint(side, value)) => (side.name(), json!(value)),
        Doing::PowerFailure(lasts) => ("power_failure", json!(format!("{} s", lasts.get()))),
        Doing::Request(Request::Press(key)) => ("press", json!(key.name())),
        Doing::Window(opening) => ("window", json!(opening.name())),
        Doing::Set(_) => ("set", json!({})),
    };
    let at = model.period.clock(action.at);
    vec![
        ("at", json!(at)),
        ("zone", json!(zone.id)),
        ("controller", json!(id)),
        ("by", json!("occupant")),
        (key, value),
    ]
}
