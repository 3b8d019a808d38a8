//! The ratchet: where random presses take the pair, by an exact Markov chain.
//!
//! One press moves heat or cool, up or down, all alike; a side that no occupant can make active is
//! left out. The chain lives on what is stored of the setpoints, so the distributions are exact
//! but for rounding.

use std::collections::HashMap;

use super::explore::Presser;
use super::stationary::stationary;
use crate::control::{Setpoints, Side, Stored, Ticks};
use crate::direction::Direction;

/// How one figure is spread, in the controller's unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Its mean.
    pub mean: f64,
    /// Each value with its probability, rising.
    pub distribution: Vec<(f64, f64)>,
}

/// The pair after some presses.
#[derive(Clone, Debug, PartialEq)]
pub struct Drift {
    /// The heat setpoint.
    pub heat: Spread,
    /// The cool setpoint.
    pub cool: Spread,
    /// The gap between them.
    pub gap: Spread,
}

/// Where random presses take the pair.
#[derive(Clone, Debug, PartialEq)]
pub struct Ratchet {
    /// After so many presses.
    pub after: Vec<(u32, Drift)>,
    /// In the long run; `None` where it was not found within a bounded effort.
    pub stationary: Option<Drift>,
}

/// After how many presses the distribution is told.
const TOLD_AFTER: [u32; 3] = [1, 10, 100];

impl Ratchet {
    /// The ratchet of a zone, given the states that its occupants can reach.
    pub(super) fn of(presser: &Presser<'_>, states: &[Stored]) -> Self {
        let chain = Chain::new(presser, states);
        let mut now = vec![0.0; chain.pairs.len()];
        now[0] = 1.0;
        let mut after = Vec::new();
        for press in 1..=TOLD_AFTER[TOLD_AFTER.len() - 1] {
            now = chain.press(&now);
            if TOLD_AFTER.contains(&press) {
                after.push((press, chain.drift(presser, &now)));
            }
        }
        let stationary = chain.stationary().map(|found| chain.drift(presser, &found));
        Self { after, stationary }
    }
}

/// The chain: pairs, and where each of the presses leads from each.
#[derive(Debug)]
struct Chain {
    pairs: Vec<Setpoints>,
    /// Presses of one pair, all alike in probability; 0 where no side can be active.
    presses: usize,
    leads_to: Vec<u32>,
}

impl Chain {
    fn new(presser: &Presser<'_>, states: &[Stored]) -> Self {
        let moves: Vec<(Side, Ticks)> = sides(presser, states)
            .into_iter()
            .flat_map(|side| [(side, Ticks::ONE), (side, -Ticks::ONE)])
            .collect();
        let start = presser.start().setpoints;
        let mut chain = Self { pairs: vec![start], presses: moves.len(), leads_to: Vec::new() };
        let mut known = HashMap::from([(start, 0_u32)]);
        let mut at = 0;
        while let Some(pair) = chain.pairs.get(at).copied() {
            for &(side, step) in &moves {
                let rules = &presser.settings().rules;
                let after = pair.request(rules, side, pair.get(side) + step).setpoints;
                let to = *known.entry(after).or_insert_with(|| {
                    chain.pairs.push(after);
                    u32::try_from(chain.pairs.len() - 1).unwrap_or(u32::MAX)
                });
                chain.leads_to.push(to);
            }
            at += 1;
        }
        chain
    }

    /// The distribution one press later.
    fn press(&self, now: &[f64]) -> Vec<f64> {
        if self.presses == 0 {
            return now.to_vec();
        }
        let mut next = vec![0.0; now.len()];
        let each = 1.0 / self.presses as f64;
        for (part, targets) in now.iter().zip(self.leads_to.chunks_exact(self.presses)) {
            for to in targets {
                next[*to as usize] += part * each;
            }
        }
        next
    }

    /// The distribution that a press leaves as it is.
    fn stationary(&self) -> Option<Vec<f64>> {
        if self.presses == 0 {
            return Some(vec![1.0; self.pairs.len()]);
        }
        let lowest = |side| self.pairs.iter().map(|pair| pair.get(side).count()).min().unwrap_or(0);
        let low = [lowest(Side::Heat), lowest(Side::Cool)];
        let place = |pair: &Setpoints| [pair.heat().count() - low[0], pair.cool().count() - low[1]];
        let places: Vec<[i32; 2]> = self.pairs.iter().map(place).collect();
        stationary(&self.leads_to, self.presses, &places)
    }

    fn drift(&self, presser: &Presser<'_>, now: &[f64]) -> Drift {
        let spread = |figure: &dyn Fn(&Setpoints) -> Ticks| {
            let mut parts: HashMap<Ticks, f64> = HashMap::new();
            for (pair, part) in self.pairs.iter().zip(now) {
                if *part > 0.0 {
                    *parts.entry(figure(pair)).or_default() += part;
                }
            }
            let mut sorted: Vec<(Ticks, f64)> = parts.into_iter().collect();
            sorted.sort_by_key(|(value, _)| *value);
            let grid = presser.settings().grid;
            let distribution: Vec<(f64, f64)> =
                sorted.into_iter().map(|(value, part)| (grid.value(value), part)).collect();
            let mean = distribution.iter().map(|(value, part)| value * part).sum();
            Spread { mean, distribution }
        };
        Drift {
            heat: spread(&Setpoints::heat),
            cool: spread(&Setpoints::cool),
            gap: spread(&|pair| pair.cool() - pair.heat()),
        }
    }
}

/// The sides that an occupant can make active and move.
fn sides(presser: &Presser<'_>, states: &[Stored]) -> Vec<Side> {
    let free = presser.free().iter().any(|(key, _)| matches!(key, crate::control::Key::Warmer));
    let active = |side: Side| {
        states.iter().any(|stored| {
            let mut both = Direction::BOTH.into_iter();
            both.any(|direction| stored.active(presser.standing(direction)) == Some(side))
        })
    };
    [Side::Heat, Side::Cool].into_iter().filter(|side| free && active(*side)).collect()
}
