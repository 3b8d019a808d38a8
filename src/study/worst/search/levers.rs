//! What occupants may do with a zone at once: a mode or off as far as it is free, setpoints as far
//! as they go, a window.

use std::sync::Arc;

use serde_json::json;

use super::End;
use super::stage::Stage;
use crate::control::{ControllerIndex, LockableKey, Mode, Opening, Power, Request, Role, Side};
use crate::engine::{Action, Doing, Model, Zone, ZoneIndex};
use crate::scenario::NewAction;
use crate::study::worst::Question;
use crate::study::worst::selections::free_controller;
use crate::time::{Instant, Seconds};

/// With more zones than this no zone is tried alone.
const MOST_ALONE: usize = 8;

/// What is selected, and where the setpoints go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lever {
    /// Power off.
    Off,
    /// A mode, or what is selected already, with both setpoints at an end of their ranges.
    On { mode: Option<Mode>, setpoints: End },
    /// A window is opened or closed.
    Window(Opening),
    /// The supply fails for so long.
    Failure(Seconds),
}

impl Lever {
    /// All that occupants have.
    pub(super) fn all(stage: &Stage) -> Vec<Self> {
        let modes = [None, Some(Mode::Heat), Some(Mode::Cool), Some(Mode::Auto), Some(Mode::Fan)];
        let on = |mode| End::BOTH.map(|setpoints| Self::On { mode, setpoints });
        let mut all = vec![Self::Off];
        all.extend(modes.into_iter().flat_map(on));
        if stage.opens.contains(&true) {
            all.extend(Opening::ALL.map(Self::Window));
        }
        all
    }
}

/// A lever, moved at a step in one zone or in all.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Move {
    /// The step before which it is moved.
    pub(super) step: usize,
    /// Where; everywhere without.
    pub(super) zone: Option<usize>,
    pub(super) lever: Lever,
}

/// What is tried from the start: each lever at all zones, at each alone, and at all but one that has
/// another. With an outage all of it early and late.
pub(super) fn candidates(stage: &Stage, question: &Question, end: End) -> Vec<Vec<Move>> {
    let model = &stage.model;
    let at_start = |zone, lever| Move { step: 0, zone, lever };
    let levers = Lever::all(stage);
    let mut found: Vec<Vec<Move>> = vec![Vec::new()];
    found.extend(levers.iter().map(|lever| vec![at_start(None, *lever)]));
    let zones = model.zones.len();
    let alone = if zones > MOST_ALONE { 0 } else { zones };
    for zone in 0..if zones > 1 { alone } else { 0 } {
        found.extend(levers.iter().map(|lever| vec![at_start(Some(zone), *lever)]));
    }
    for leader in leaders(model) {
        let coldest = |lever: &&Lever| match lever {
            Lever::Off => true,
            Lever::On { setpoints, .. } => *setpoints == end,
            Lever::Window(_) | Lever::Failure(_) => false,
        };
        for others in levers.iter().filter(coldest) {
            let own = levers.iter().filter(|lever| *lever != others);
            found
                .extend(own.map(|own| vec![at_start(None, *others), at_start(Some(leader), *own)]));
        }
    }
    if let Some(lasts) = question.outage {
        let step = model.period.step().get();
        let late = (question.lasts.get() - lasts.get() - 3600).max(0) / step;
        let with = |moves: &Vec<Move>| {
            [0, usize::try_from(late).unwrap_or(0)].map(|step| {
                let failure = Move { step, zone: None, lever: Lever::Failure(lasts) };
                [moves.clone(), vec![failure]].concat()
            })
        };
        let dark: Vec<Vec<Move>> = found.iter().flat_map(with).collect();
        found.extend(dark);
    }
    found
}

/// The zones that decide for others.
fn leaders(model: &Model) -> Vec<usize> {
    let owner = |group: &crate::engine::OutdoorGroup| {
        group.settings.owner().map(|place| group.zones[place].get())
    };
    model.outdoor_units.iter().filter_map(owner).collect()
}

/// The actions of moves, in their order of time.
pub(super) fn actions(stage: &Stage, moves: &[Move]) -> Vec<Action> {
    let model = &stage.model;
    let mut found = Vec::new();
    for it in moves {
        let at = i64::try_from(it.step).unwrap_or(0) * model.period.step().get();
        let at = Instant::new(at);
        if let Lever::Failure(lasts) = it.lever {
            found.extend(failures(model, at, lasts));
            continue;
        }
        let zones = it.zone.map_or(0..model.zones.len(), |zone| zone..zone + 1);
        for zone in zones.map(ZoneIndex::new) {
            if matches!(it.lever, Lever::Window(_)) && !stage.opens[zone.get()] {
                continue;
            }
            let act = |(controller, what)| action(at, zone, controller, what);
            found.extend(presses(&model.zones[zone.get()], it.lever).into_iter().map(act));
        }
    }
    found.sort_by_key(|action| action.at);
    found
}

/// Whether a lever does anything in a zone: keys that it takes may be locked.
pub(super) fn moves_anything(stage: &Stage, zone: usize, lever: Lever) -> bool {
    match lever {
        Lever::Window(_) => stage.opens[zone],
        _ => !presses(&stage.model.zones[zone], lever).is_empty(),
    }
}

/// The presses of a zone for a lever; none where keys for it are locked.
fn presses(zone: &Zone, lever: Lever) -> Vec<(ControllerIndex, Doing)> {
    let settings = &zone.controls.settings;
    let mut found = Vec::new();
    let mut ask = |key: LockableKey, request: Request| {
        let free = free_controller(zone, key);
        found.extend(free.map(|controller| (controller, Doing::Request(request))));
    };
    match lever {
        Lever::Off => ask(LockableKey::Power, Request::Power(Power::Off)),
        Lever::On { mode, setpoints } => {
            if let Some(mode) = mode {
                if !settings.modes.has(mode) || settings.locked_modes.has(mode) {
                    return found;
                }
                ask(LockableKey::Power, Request::Power(Power::On));
                ask(LockableKey::Mode, Request::Mode(mode));
            }
            // The last one asked for stands where they push each other.
            let (sides, high) = match setpoints {
                End::Lowest => ([Side::Heat, Side::Cool], false),
                End::Highest => ([Side::Cool, Side::Heat], true),
            };
            for side in sides {
                let range = settings.rules.range(side);
                let to = settings.grid.value(if high { range.high } else { range.low });
                ask(LockableKey::Setpoint, Request::Setpoint(side, to));
            }
        }
        Lever::Window(opening) => found.push((ControllerIndex::new(0), Doing::Window(opening))),
        Lever::Failure(_) => {}
    }
    found
}

/// The supply of every outdoor unit and of every zone with a plant of its own fails.
fn failures(model: &Model, at: Instant, lasts: Seconds) -> Vec<Action> {
    let leads = |zone: &ZoneIndex| {
        let group = model.outdoor_units.iter().find(|group| group.zones.contains(zone));
        group.is_none_or(|group| group.zones.first() == Some(zone))
    };
    let zones = (0..model.zones.len()).map(ZoneIndex::new).filter(leads);
    let fail = |zone| action(at, zone, ControllerIndex::new(0), Doing::PowerFailure(lasts));
    zones.map(fail).collect()
}

fn action(at: Instant, zone: ZoneIndex, controller: ControllerIndex, what: Doing) -> Action {
    let by = Arc::from("occupant");
    Action { at, place: None, zone, controller, by, role: Role::Occupant, what }
}

/// An action as it is written into a file.
pub(super) fn line(model: &Model, action: &Action) -> NewAction {
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
