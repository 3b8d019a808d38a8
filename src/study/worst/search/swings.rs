//! The last hours before the worst, gone through by every lever at every few minutes. Of the runs that
//! are alike for the controls (where the sensor's body is, and the call) those go on that have the
//! worst air and the worst mass: a search along a beam (B. T. Lowerre, The HARPY speech recognition
//! system, 1976). It finds swings that take air past setpoints while a sensor lags, which a climb by
//! small changes misses.

use std::collections::BTreeMap;

use super::End;
use super::climb::{Climb, with};
use super::levers::{Lever, Move, actions, moves_anything};
use crate::control::Call;
use crate::direction::Direction;
use crate::engine::{Nobody, State, start_from};
use crate::time::{Instant, Seconds};

/// So long before the end every lever is tried,
const LAST: Seconds = Seconds::hours(3);
/// every so often.
const EVERY: Seconds = Seconds::minutes(6);
/// Bodies that differ by less than this are alike, K.
const ALIKE: f64 = 1.0;
/// With more zones than this it would take too long.
const MOST_ZONES: usize = 2;

/// A run as far as it has come.
#[derive(Clone)]
struct Partial {
    moves: Vec<Move>,
    state: State,
}

/// What controls can tell of a run: the sensor's body, the direction and whether there is a call.
type Alike = (i64, bool, bool);

impl Climb<'_> {
    /// The worst that is found for a zone in the last hours of runs that begin with these moves.
    pub(super) fn swings(&mut self, zone: usize, begin: &[Vec<Move>]) -> Option<Vec<Move>> {
        if self.model.zones.len() > MOST_ZONES {
            return None;
        }
        let length = self.model.period.step().get();
        let in_steps = |time: Seconds| usize::try_from(time.get() / length).unwrap_or(0).max(1);
        let first = self.steps.saturating_sub(in_steps(LAST));
        let levers: Vec<Lever> = self.levers.clone();
        let levers: Vec<Lever> =
            levers.into_iter().filter(|it| moves_anything(self.stage, zone, *it)).collect();
        let mut partial: Vec<Partial> = Vec::new();
        for moves in begin {
            let moves: Vec<Move> = moves.iter().filter(|it| it.step < first).copied().collect();
            if partial.iter().all(|it| it.moves != moves) {
                let (state, _) = self.go_on(self.stage.state.clone(), &moves, first, zone);
                partial.push(Partial { moves, state });
            }
        }
        let mut best: Option<(f64, Vec<Move>)> = None;
        let mut at = first;
        while at < self.steps {
            let next = (at + in_steps(EVERY)).min(self.steps);
            let mut kept: BTreeMap<Alike, Kept> = BTreeMap::new();
            for run in &partial {
                let choices = levers.iter().map(|lever| Some(*lever)).chain([None]);
                for lever in choices {
                    let mut moves = run.moves.clone();
                    moves.extend(lever.map(|lever| Move { step: at, zone: Some(zone), lever }));
                    let (state, air) = self.go_on(run.state.clone(), &moves, next, zone);
                    if best.as_ref().is_none_or(|(worst, _)| self.end.is_worse(air, *worst)) {
                        best = Some((air, moves.clone()));
                    }
                    let place = alike(&state, zone);
                    let run = Partial { moves, state };
                    kept.entry(place).or_default().take(&run, zone, self.end);
                }
            }
            partial = kept.into_values().flat_map(|kept| kept.0.into_iter().flatten()).collect();
            at = next;
        }
        best.map(|(_, moves)| moves)
    }

    /// A run on to a step, and the zone's worst air on the way.
    fn go_on(&mut self, from: State, moves: &[Move], to: usize, zone: usize) -> (State, f64) {
        self.model.actions = with(&self.stage.model.actions, &actions(self.stage, moves));
        let end = i64::try_from(to).unwrap_or(0) * self.model.period.step().get();
        let mut simulation = start_from(&self.model, from);
        let mut worst = simulation.state().nodes[zone][0];
        while simulation.state().now < Instant::new(end) && simulation.halt().is_none() {
            let air = simulation.state().nodes[zone][0];
            if self.end.is_worse(air, worst) {
                worst = air;
            }
            simulation.step(&mut Nobody);
        }
        (simulation.state().clone(), worst)
    }
}

/// Of the runs that are alike, the one with the worst air and the one with the worst mass.
#[derive(Default)]
struct Kept([Option<Partial>; 2]);

impl Kept {
    fn take(&mut self, run: &Partial, zone: usize, end: End) {
        for (node, slot) in self.0.iter_mut().enumerate() {
            let value = |run: &Partial| run.state.nodes[zone][node];
            if slot.as_ref().is_none_or(|it| end.is_worse(value(run), value(it))) {
                *slot = Some(run.clone());
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "temperatures are small numbers")]
fn alike(state: &State, zone: usize) -> Alike {
    let thermostat = &state.logic[zone].state;
    let body = state.zones[zone].lagged.unwrap_or(state.nodes[zone][0]);
    let is_on = matches!(thermostat.call(), Call::On { .. });
    ((body / ALIKE).round() as i64, is_on, thermostat.direction() == Direction::Heating)
}
