//! From a run that is bad to one that is worse: moves are shifted, exchanged, added and taken away
//! at random, and what makes the zone's worst worse is kept. The same file gives the same climb.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use super::End;
use super::levers::{Lever, Move, actions};
use super::stage::Stage;
use super::worst_of;
use crate::engine::{Action, Model, Nobody, State, start_from};
use crate::study::worst::Question;
use crate::time::Instant;

/// Steps of zones that are simulated for all zones together, at most.
const BUDGET: usize = 4_000_000;
/// Tries for one zone, at most.
const MOST_TRIES: usize = 800;
/// A run's states are kept so many times over its length.
const KEPT: usize = 48;
/// Moves that one run may have.
const MOST_MOVES: usize = 8;
/// Moves are shifted by a minute to so many.
const FURTHEST: f64 = 480.0;
/// A climb on other stages would begin here; the same for all, so that results repeat.
const SEED: u64 = 17;
/// What is taken away without making the worst milder by more than this, K, was not needed.
const SAME: f64 = 0.02;

/// Runs on one stage.
pub(super) struct Climb<'s> {
    pub(super) stage: &'s Stage,
    pub(super) model: Model,
    pub(super) steps: usize,
    pub(super) levers: Vec<Lever>,
    pub(super) end: End,
    random: ChaCha8Rng,
}

/// A run: how bad it is, where it is worst, and states on its way.
struct Run {
    moves: Vec<Move>,
    course: Vec<f64>,
    air: f64,
    states: Vec<State>,
}

impl<'s> Climb<'s> {
    pub(super) fn new(stage: &'s Stage, question: &Question, end: End) -> Self {
        let step = stage.model.period.step().get();
        Self {
            stage,
            model: stage.model.clone(),
            steps: usize::try_from(question.lasts.get() / step).unwrap_or(0),
            levers: Lever::all(stage),
            end,
            random: ChaCha8Rng::seed_from_u64(SEED),
        }
    }

    /// The courses of all zones' air in a run.
    pub(super) fn courses(&mut self, moves: &[Move]) -> Vec<Vec<f64>> {
        self.courses_of(&actions(self.stage, moves))
    }

    /// How bad it gets in one zone.
    pub(super) fn worst(&mut self, zone: usize, moves: &[Move]) -> f64 {
        worst_of(&self.courses(moves)[zone], self.end).0
    }

    pub(super) fn courses_of(&mut self, actions: &[Action]) -> Vec<Vec<f64>> {
        let mut courses: Vec<Vec<f64>> = vec![Vec::new(); self.model.zones.len()];
        self.simulate(actions, self.stage.state.clone(), |_, state| {
            for (course, nodes) in courses.iter_mut().zip(&state.nodes) {
                course.push(nodes[0]);
            }
        });
        courses
    }

    /// Simulates from a state to the end. `see` gets each step's number and the state before it.
    fn simulate(&mut self, actions: &[Action], from: State, mut see: impl FnMut(usize, &State)) {
        self.model.actions = with(&self.stage.model.actions, actions);
        let step = self.model.period.step().get();
        let end = Instant::new(i64::try_from(self.steps).unwrap_or(0) * step);
        let mut simulation = start_from(&self.model, from);
        while simulation.state().now < end && simulation.halt().is_none() {
            let number = simulation.state().now.get() / step;
            see(usize::try_from(number).unwrap_or(0), simulation.state());
            simulation.step(&mut Nobody);
        }
    }

    /// Moves that are worse for a zone than those given, of `zones` that share the work.
    pub(super) fn on(&mut self, zone: usize, moves: Vec<Move>, zones: usize) -> Vec<Move> {
        let mut best = self.run(zone, moves, None);
        let mut left = BUDGET / zones.max(1) / self.model.zones.len().max(1);
        for _ in 0..MOST_TRIES {
            let Some(moves) = self.changed(zone, &best) else { continue };
            let from = first_change(&moves, &best.moves);
            let steps = self.steps.saturating_sub(from / self.stride() * self.stride());
            if steps > left {
                break;
            }
            left -= steps;
            let next = self.run(zone, moves, Some((&best, from)));
            if self.end.is_worse(next.air, best.air) {
                best = next;
            }
        }
        best.moves
    }

    fn stride(&self) -> usize {
        (self.steps / KEPT).max(1)
    }

    /// The run of some moves, from where it leaves another.
    fn run(&mut self, zone: usize, moves: Vec<Move>, after: Option<(&Run, usize)>) -> Run {
        let stride = self.stride();
        let (mut course, mut states, from) = match after {
            None => (Vec::new(), Vec::new(), self.stage.state.clone()),
            Some((run, change)) => {
                let kept = (change / stride).min(run.states.len().saturating_sub(1));
                let course = run.course[..(kept * stride).min(run.course.len())].to_vec();
                (course, run.states[..kept].to_vec(), run.states[kept].clone())
            }
        };
        let actions = actions(self.stage, &moves);
        self.simulate(&actions, from, |step, state| {
            if step.is_multiple_of(stride) {
                states.push(state.clone());
            }
            course.push(state.nodes[zone][0]);
        });
        let air = worst_of(&course, self.end).0;
        Run { moves, course, air, states }
    }

    /// Other moves near those of a run.
    fn changed(&mut self, zone: usize, run: &Run) -> Option<Vec<Move>> {
        let mut moves = run.moves.clone();
        let is_failure = |it: &Move| matches!(it.lever, Lever::Failure(_));
        let worst_at = worst_of(&run.course, self.end).1;
        match self.below(6) {
            // A swing before the worst: something else, and back or to a third.
            0 | 1 if moves.len() + 2 <= MOST_MOVES => {
                let near = if self.below(3) == 0 { self.below(self.steps) } else { worst_at };
                let last = near.saturating_sub(self.minutes());
                let first = last.saturating_sub(self.minutes());
                for step in [first, last] {
                    let lever = self.lever();
                    let zone = self.place(zone);
                    moves.push(Move { step, zone, lever });
                }
            }
            2 if moves.len() < MOST_MOVES => {
                let step = worst_at.saturating_sub(self.minutes());
                let lever = self.lever();
                let zone = self.place(zone);
                moves.push(Move { step, zone, lever });
            }
            3 if !moves.is_empty() => {
                let at = self.below(moves.len());
                if is_failure(&moves[at]) {
                    return None;
                }
                moves.remove(at);
            }
            4 if !moves.is_empty() => {
                let at = self.below(moves.len());
                if is_failure(&moves[at]) {
                    return None;
                }
                moves[at].lever = self.lever();
            }
            _ if !moves.is_empty() => {
                let at = self.below(moves.len());
                let by = self.minutes();
                let later = self.below(2) == 0;
                // With what comes after it, or alone.
                let all = self.below(2) == 0;
                let from = moves[at].step;
                for (place, it) in moves.iter_mut().enumerate() {
                    if place == at || (all && it.step >= from) {
                        let to = if later { it.step + by } else { it.step.saturating_sub(by) };
                        it.step = to.min(self.steps.saturating_sub(1));
                    }
                }
            }
            _ => return None,
        }
        moves.sort_by_key(|it| it.step);
        Some(moves)
    }

    fn lever(&mut self) -> Lever {
        let at = self.below(self.levers.len());
        self.levers[at]
    }

    /// Mostly the zone itself.
    fn place(&mut self, zone: usize) -> Option<usize> {
        match self.model.zones.len() {
            1 => None,
            zones => match self.below(4) {
                0 => None,
                1 => Some(self.below(zones)),
                _ => Some(zone),
            },
        }
    }

    fn below(&mut self, most: usize) -> usize {
        usize::try_from(self.random.next_u64() % most.max(1) as u64).unwrap_or(0)
    }

    /// Steps in a time of minutes to hours, a short one as likely as twice as long a one.
    fn minutes(&mut self) -> usize {
        let part = (self.random.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
        let seconds = 60.0 * libm::exp(part * libm::log(FURTHEST));
        let steps = (seconds / self.model.period.step().get() as f64).round();
        (1..self.steps).take_while(|at| *at as f64 <= steps).count().max(1)
    }

    /// The actions of some moves without those that change nothing.
    pub(super) fn needed(&mut self, zone: usize, moves: &[Move]) -> Vec<Action> {
        let mut left = actions(self.stage, moves);
        let worst = |climb: &mut Self, actions: &[Action]| {
            worst_of(&climb.courses_of(actions)[zone], climb.end).0
        };
        let air = worst(self, &left);
        let costs = self.steps * self.model.zones.len() * left.len();
        if costs > BUDGET {
            return left;
        }
        let mut at = left.len();
        while at > 0 {
            at -= 1;
            let mut fewer = left.clone();
            fewer.remove(at);
            let without = worst(self, &fewer);
            if (without - air).abs() <= SAME || self.end.is_worse(without, air) {
                left = fewer;
            }
        }
        left
    }
}

/// The first step at which two lists of moves in order differ.
fn first_change(one: &[Move], other: &[Move]) -> usize {
    let same = one.iter().zip(other).take_while(|(one, other)| one == other).count();
    let step = |moves: &[Move]| moves.get(same).map_or(usize::MAX, |it| it.step);
    step(one).min(step(other))
}

/// A file's actions with others after those of the same time.
pub(super) fn with(file: &[Action], others: &[Action]) -> Vec<Action> {
    let mut all = [file, others].concat();
    all.sort_by_key(|action| action.at);
    all
}
