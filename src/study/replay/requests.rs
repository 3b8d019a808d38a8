//! From logged setpoints, modes and powers to requests: what was moved, by how much, and when.
//!
//! Setpoints in a log are those in force, so what only comes of somebody coming or going (the file's
//! setback) is no request, and neither is what the file's own schedule does at that time.

use super::record::Record;
use crate::control::{ControllerIndex, Mode, Power, Request, Role, Setback, Side, Ticks};
use crate::engine::{Action, Doing, Model, State, ZoneIndex};
use crate::time::Instant;

/// Something that was asked for at site.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoggedRequest {
    /// At the start of which step.
    pub at: Instant,
    /// In which zone.
    pub zone: ZoneIndex,
    /// What.
    pub what: Moved,
}

/// What was moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Moved {
    /// A setpoint, by so much in the file's unit.
    Setpoint(Side, f64),
    /// The mode, to this.
    Mode(Mode),
    /// The power, to this.
    Power(Power),
}

impl LoggedRequest {
    /// The request at a state: a setpoint is moved from where it stands.
    pub(super) fn action(&self, model: &Model, state: &State) -> Action {
        let grid = model.zones[self.zone.get()].controls.settings.grid;
        let stored = state.zones[self.zone.get()].stored;
        let request = match self.what {
            Moved::Setpoint(side, by) => {
                Request::Setpoint(side, grid.value(stored.setpoints.get(side)) + by)
            }
            Moved::Mode(mode) => Request::Mode(mode),
            Moved::Power(power) => Request::Power(power),
        };
        Action {
            at: self.at,
            place: None,
            zone: self.zone,
            controller: ControllerIndex::new(0),
            by: "log".into(),
            role: Role::Occupant,
            what: Doing::Request(request),
        }
    }
}

/// What the log of a model's zones asks for, in the order of time. It begins with what leads from the
/// file's setpoints, mode and power to those at the log's beginning.
pub fn logged_requests(model: &Model, record: &Record) -> Vec<LoggedRequest> {
    let mut all = Vec::new();
    for (place, zone) in record.zones.iter().enumerate() {
        let index = ZoneIndex::new(place);
        let mut ask = |step: usize, what| {
            all.push(LoggedRequest { at: record.at(step), zone: index, what });
        };
        let start = model.zones[place].controls.start;
        for (step, power) in turns(start.power, &zone.power) {
            ask(step, Moved::Power(power));
        }
        for (step, mode) in turns(start.mode, &zone.mode) {
            ask(step, Moved::Mode(mode));
        }
        for (step, side, by) in moves(model, record, place) {
            ask(step, Moved::Setpoint(side, by));
        }
    }
    all.sort_by_key(|it| it.at);
    all
}

/// Where a switch turns, and to what; at the first step where the log begins otherwise than the file.
fn turns<T: Copy + PartialEq>(start: T, logged: &[Option<T>]) -> Vec<(usize, T)> {
    let mut last = start;
    let known = logged.iter().enumerate().filter_map(|(step, value)| Some((step, (*value)?)));
    known.filter(|(_, value)| std::mem::replace(&mut last, *value) != *value).collect()
}

/// Setpoints as a controller counts them.
type Pair = [Ticks; 2];

/// The moves of a zone's setpoints: at which step, of which side, by how much. At the first step what
/// the log begins with is moved to from where the file has them.
fn moves(model: &Model, record: &Record, place: usize) -> Vec<(usize, Side, f64)> {
    let controls = &model.zones[place].controls;
    let grid = controls.settings.grid;
    let zone = &record.zones[place];
    let own = [controls.start.setpoints.heat(), controls.start.setpoints.cool()];
    let at = |step: usize| {
        let of = |logged: Option<f64>, own| logged.map_or(own, |value| grid.nearest(value));
        [of(zone.heat[step], own[0]), of(zone.cool[step], own[1])]
    };
    let mut moves = Vec::new();
    let (mut before, mut stored) = (own, own);
    for step in 0..record.grid.count {
        let now = at(step);
        if now == before {
            continue;
        }
        let by_presence = controls.setback.as_ref().is_some_and(|setback| {
            let away = set_back(setback, stored);
            now == away || (before == away && now == stored)
        });
        if !by_presence && !is_scheduled(model, record, place, step) {
            for side in asked(controls.settings.rules.deadband(), before, now) {
                let by = grid.value(now[side as usize]) - grid.value(before[side as usize]);
                moves.push((step, side, by));
            }
            for side in 0..2 {
                stored[side] = stored[side] + (now[side] - before[side]);
            }
        }
        before = now;
    }
    moves
}

/// What works of a stored pair while nobody is there.
fn set_back(setback: &Setback, stored: Pair) -> Pair {
    let cool = (stored[1] + setback.cool).min(setback.cool_high);
    [(stored[0] - setback.heat).max(setback.heat_low).min(cool), cool]
}

/// Whether the file's own schedule asks for something in a zone about then.
fn is_scheduled(model: &Model, record: &Record, place: usize, step: usize) -> bool {
    let now = record.at(step).get();
    let near = record.interval + record.grid.step.get();
    model.actions.iter().any(|action| {
        action.zone.get() == place
            && action.role == Role::Schedule
            && matches!(action.what, Doing::Request(_))
            && (action.at.get() - now).abs() <= near
    })
}

/// Which sides were asked for, in the order in which neither stands in the other's way. Where both
/// moved alike and stand at the deadband one was asked for and pushed the other.
fn asked(deadband: Ticks, before: Pair, now: Pair) -> Vec<Side> {
    let by = [now[0] - before[0], now[1] - before[1]];
    let none = Ticks::ZERO;
    let up = by[0] > none || by[1] > none;
    let pushed = by[0] == by[1] && now[1] - now[0] == deadband;
    match (by[0] == none, by[1] == none) {
        (false, true) => vec![Side::Heat],
        (true, false) => vec![Side::Cool],
        (true, true) => Vec::new(),
        (false, false) if pushed => vec![if up { Side::Heat } else { Side::Cool }],
        (false, false) if by[1] > none => vec![Side::Cool, Side::Heat],
        (false, false) => vec![Side::Heat, Side::Cool],
    }
}
