//! What presses of a zone tell of one family of candidates.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use super::bits::Bits;
use super::facts::{Fact, Scale};
use super::presses::{setpoint_agrees, standings};
use super::work::Budget;
use crate::control::{
    Key, OnConflict, SetpointRules, Setpoints, Settings, Side, Standing, Stored, Ticks,
};

/// As so many presses count those that go on for longer: most end at a limit.
const MOST_PRESSES: usize = 50;

/// One family's presses, tried under many limits. What a key does depends on the limit of the
/// side that it moves alone, so that each press is tried once for each side and limit, and presses
/// that are alike once for all of them.
pub(super) struct Trial<'f> {
    facts: &'f [Fact],
    /// What may be remembered before each fact.
    sets: &'f [Vec<Setpoints>],
    settings: Settings,
    scale: Scale,
    follows: bool,
    budget: &'f Budget,
    /// For each fact the first that is like it.
    alike: Vec<usize>,
    /// For each side the facts that may have moved it.
    moves: [Bits; 2],
    /// Whether a fact agrees on a side with its limit.
    known: HashMap<(usize, Side, Ticks), bool>,
    /// The facts that disagree on a side with a limit, of a key.
    against: HashMap<(Key, Side, Ticks), Bits>,
    /// Sets that were met before: most limits disagree with the same facts.
    met: HashSet<Arc<Bits>>,
}

impl<'f> Trial<'f> {
    pub(super) fn new(
        facts: &'f [Fact],
        sets: &'f [Vec<Setpoints>],
        settings: Settings,
        scale: Scale,
        follows: bool,
        budget: &'f Budget,
    ) -> Self {
        let mut first = HashMap::new();
        let alike = facts.iter().zip(sets).enumerate();
        let alike =
            alike.map(|(at, (fact, set))| *first.entry((fact.likeness(), set)).or_insert(at));
        let alike = alike.collect();
        let mut trial = Self {
            facts,
            sets,
            settings,
            scale,
            follows,
            budget,
            alike,
            moves: <[Bits; 2]>::default(),
            known: HashMap::new(),
            against: HashMap::new(),
            met: HashSet::new(),
        };
        trial.moves = [Side::Heat, Side::Cool]
            .map(|side| Bits::of(facts.len(), |at| trial.standings(at, side).next().is_some()));
        trial
    }

    /// How the zone may have stood at a fact when a key moved a side.
    fn standings(&self, at: usize, side: Side) -> impl Iterator<Item = Standing> + use<'_, 'f> {
        let (fact, sets) = (&self.facts[at], self.sets);
        standings(fact, self.follows).into_iter().filter(move |standing| {
            sets[at].first().is_some_and(|setpoints| {
                let stored = Stored { setpoints: *setpoints, mode: fact.mode, power: fact.power };
                stored.active_or_heat(*standing) == side
            })
        })
    }

    /// The facts of one key that do not agree with these rules: on none of the sides that it may
    /// have moved.
    pub(super) fn violates(&mut self, rules: SetpointRules, key: Key) -> Arc<Bits> {
        self.settings.rules = rules;
        let [heat, cool] = [Side::Heat, Side::Cool].map(|side| self.against(key, side, &rules));
        let neither =
            Bits::of(self.facts.len(), |at| self.facts[at].key == key && self.sets[at].is_empty());
        let words = heat.words().iter().zip(cool.words());
        let moves = self.moves[0].words().iter().zip(self.moves[1].words());
        let found: Bits = words
            .zip(moves)
            .zip(neither.words())
            .map(|(((heat, cool), (moves_heat, moves_cool)), neither)| {
                (heat & !moves_cool) | (cool & !moves_heat) | (heat & cool) | neither
            })
            .collect();
        if let Some(known) = self.met.get(&found) {
            return Arc::clone(known);
        }
        let found = Arc::new(found);
        self.met.insert(Arc::clone(&found));
        found
    }

    /// The facts of a key that may have moved a side and do not agree with its limit.
    fn against(&mut self, key: Key, side: Side, rules: &SetpointRules) -> Bits {
        // Where the other side must not move, it counts as it stands, not with its limit.
        let range = if rules.on_conflict() == OnConflict::Hold && !rules.is_single() {
            rules.written(side)
        } else {
            rules.range(side)
        };
        let bound = if key == Key::Warmer { range.high } else { range.low };
        if let Some(known) = self.against.get(&(key, side, bound)) {
            return known.clone();
        }
        let found = Bits::of(self.facts.len(), |at| {
            self.facts[at].key == key && self.moves[side as usize].has(at) && {
                let like = self.alike[at];
                !self.agrees(like, side, bound)
            }
        });
        self.against.insert((key, side, bound), found.clone());
        found
    }

    fn agrees(&mut self, at: usize, side: Side, bound: Ticks) -> bool {
        if let Some(known) = self.known.get(&(at, side, bound)) {
            return *known;
        }
        let (fact, sets) = (&self.facts[at], &self.sets[at]);
        // A press that changes nothing more is not tried again.
        let presses = usize::try_from(fact.times).unwrap_or(usize::MAX).min(MOST_PRESSES);
        if !self.budget.spend(sets.len().saturating_mul(presses)) {
            return true;
        }
        let agrees = self
            .standings(at, side)
            .any(|standing| setpoint_agrees(fact, sets, &self.settings, self.scale, standing));
        self.known.insert((at, side, bound), agrees);
        agrees
    }
}
