//! What presses of a zone tell of one family of candidates: for each press the limits with which it
//! agrees.
//!
//! What a key does depends on the limit of the side that it moves, and on that limit alone, so that
//! no pair of limits is tried. Out of the reach of a press all limits are alike, and within it the
//! side ends at its limit, so that few of them are tried at all. Presses that are alike are tried
//! once, and those that come nowhere near the other side once for all families of their scale.

use std::collections::HashMap;
use std::rc::Rc;

use super::bits::Bits;
use super::facts::{FAR, Fact, Memory, Scale};
use super::presses::{pressed, setpoint_agrees, settings, standings};
use super::spread::Spans;
use super::ways::{SIDES, Ways, along};
use super::work::Budget;
use crate::control::{
    Key, Limits, OnConflict, Range, SetpointRules, Setpoints, Settings, Side, Standing, Stored,
    Ticks, UnitModes,
};
use crate::study::sheet_csv::ZoneRecord;

/// With which limits of the side that it moved a press agrees.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Reaction {
    /// From here on the limit is out of reach.
    reach: i32,
    /// Whether the press agrees where it is.
    free: bool,
    /// The limits within reach with which it agrees.
    within: Vec<i32>,
}

impl Reaction {
    /// The limits between two others with which the press agrees, as spans with their ends.
    pub(super) fn spans(&self, first: i32, last: i32) -> impl Iterator<Item = [i32; 2]> + '_ {
        let free = (self.free && self.reach <= last).then(|| [self.reach.max(first), last]);
        let within = self.within.iter().filter(move |it| (first..=last).contains(*it));
        within.map(|it| [*it, *it]).chain(free)
    }

    /// Whether it agrees with a limit.
    pub(super) fn agrees(&self, limit: i32) -> bool {
        if limit >= self.reach { self.free } else { self.within.contains(&limit) }
    }
}

/// A press of a setpoint key, with its reaction on each side that it may have moved; on neither
/// where no pair of setpoints explains what was read before it.
#[derive(Clone, Debug)]
pub(super) struct Press {
    pub fact: usize,
    pub key: Key,
    pub sides: [Option<Rc<Reaction>>; 2],
}

impl Press {
    /// Whether it agrees with a limit of each side, as counted along its key.
    pub(super) fn agrees(&self, limits: [i32; 2]) -> bool {
        let mut sides = self.sides.iter().zip(limits);
        sides.any(|(side, limit)| side.as_ref().is_some_and(|it| it.agrees(limit)))
    }
}

/// The locks that a zone's controllers may have.
#[derive(Clone, Copy, Debug)]
pub(super) struct Locks<'l> {
    /// For each set of controllers (a bit each) the facts there.
    pub at: &'l [Bits],
    /// The facts that a lock at their controller agrees with.
    pub as_locked: &'l Bits,
}

impl Locks<'_> {
    /// Whether a fact agrees with a lock, where its controller is in this set.
    pub(super) fn locked(&self, fact: usize, set: usize) -> Option<bool> {
        self.at[set].has(fact).then(|| self.as_locked.has(fact))
    }
}

/// Numbers of the classes of facts that are alike, for each fact.
pub(super) fn classes(facts: &[Fact]) -> Vec<usize> {
    let mut known = HashMap::new();
    facts
        .iter()
        .map(|fact| {
            let next = known.len();
            *known.entry(fact.likeness()).or_insert(next)
        })
        .collect()
}

/// The reactions of a press on both sides.
type Both = [Option<Rc<Reaction>>; 2];

/// The setpoint presses of a zone, tried under one family of a scale after the other.
pub(super) struct Trial<'f> {
    zone: &'f ZoneRecord,
    facts: &'f [Fact],
    classes: &'f [usize],
    scale: Scale,
    follows: bool,
    spans: Spans,
    settings: Settings,
    budget: &'f Budget,
    /// Reactions of presses that come nowhere near the other side, by class.
    clear: Vec<Option<Both>>,
    /// What each reading may stand for, by the bits of both numbers.
    stored: HashMap<[u64; 2], [Vec<Ticks>; 2]>,
}

impl<'f> Trial<'f> {
    /// `None` where no limits at all can be had.
    pub(super) fn new(
        zone: &'f ZoneRecord,
        (facts, classes): (&'f [Fact], &'f [usize]),
        (scale, follows, spans): (Scale, bool, Spans),
        (modes, controllers): (&UnitModes, usize),
        budget: &'f Budget,
    ) -> Option<Self> {
        let rules = rules(Ways { deadband: Ticks::ONE, practice: OnConflict::Push }, None)?;
        Some(Self {
            zone,
            facts,
            classes,
            scale,
            follows,
            spans,
            settings: settings(scale, rules, modes, controllers),
            budget,
            clear: vec![None; classes.iter().max().map_or(0, |most| most + 1)],
            stored: HashMap::new(),
        })
    }

    /// With which limits the presses agree under a family. `None` where more than `most` of them
    /// agree with none, whatever is locked, or the work is too much.
    pub(super) fn presses(&mut self, ways: Ways, most: u32, locks: &Locks) -> Option<Vec<Press>> {
        let wide = rules(ways, None)?;
        let mut memory = Memory::new(self.zone, self.scale, wide);
        let mut alike: HashMap<(usize, usize), Both> = HashMap::new();
        let mut against = vec![0; locks.at.len()];
        let mut all = Vec::new();
        for (at, fact) in self.facts.iter().enumerate().filter(|(_, it)| it.moves_setpoint()) {
            if !self.budget.spend(1) {
                return None;
            }
            let sides = self.both(at, ways, &wide, &mut memory, &mut alike)?;
            let spans = self.spans.of(fact.key);
            let agrees = (0..2).any(|side| {
                let [first, last] = spans[side];
                sides[side].as_ref().is_some_and(|it| it.spans(first, last).next().is_some())
            });
            for (set, against) in against.iter_mut().enumerate() {
                *against += u32::from(!locks.locked(at, set).unwrap_or(agrees));
            }
            if against.iter().all(|it| *it > most) {
                return None;
            }
            all.push(Press { fact: at, key: fact.key, sides });
        }
        Some(all)
    }

    /// The reactions of one press; `None` where the work is too much.
    fn both(
        &mut self,
        at: usize,
        ways: Ways,
        wide: &SetpointRules,
        memory: &mut Memory<'f>,
        alike: &mut HashMap<(usize, usize), Both>,
    ) -> Option<Both> {
        let (fact, class) = (&self.facts[at], self.classes[at]);
        let numbers = [fact.heat, fact.cool].map(f64::to_bits);
        let scale = self.scale;
        let [heat, cool] = self
            .stored
            .entry(numbers)
            .or_insert_with(|| [fact.heat, fact.cool].map(|shown| scale.stored(shown)))
            .clone();
        let remembers = ways.practice == OnConflict::PushAndReturn && !wide.is_single();
        let set = if remembers { memory.before(fact.row, self.budget)? } else { 0 };
        let is_clear =
            self.is_clear(fact, &heat, &cool, ways) && (!remembers || memory.is_as_read(set));
        if is_clear && let Some(known) = &self.clear[class] {
            return Some(known.clone());
        }
        if let Some(known) = alike.get(&(class, set)) {
            return Some(known.clone());
        }
        let pairs;
        let sets = if remembers {
            memory.set(set)
        } else {
            pairs = memory.pairs(&heat, &cool);
            &pairs
        };
        let mut found = Both::default();
        for (place, side) in SIDES.into_iter().enumerate() {
            let standings = self.standings(fact, sets, side);
            if !standings.is_empty() {
                found[place] =
                    Some(Rc::new(self.reaction(fact, sets, (side, &standings), ways)?));
            }
        }
        if is_clear {
            self.clear[class] = Some(found.clone());
        } else {
            alike.insert((class, set), found.clone());
        }
        Some(found)
    }

    /// Whether a press ends before it pushes the other side, under the deadbands up to this one.
    fn is_clear(&self, fact: &Fact, heat: &[Ticks], cool: &[Ticks], ways: Ways) -> bool {
        let ([heat], [cool]) = (heat, cool) else { return false };
        if self.scale.display.is_some() || ways.deadband < Ticks::ONE {
            return false;
        }
        let times = i32::try_from(fact.times).unwrap_or(i32::MAX);
        (*cool - *heat).count().saturating_sub(times) >= ways.deadband.count()
    }

    /// How the zone may have stood at a fact when a key moved a side.
    fn standings(&self, fact: &Fact, sets: &[Setpoints], side: Side) -> Vec<Standing> {
        let Some(first) = sets.first() else { return Vec::new() };
        let stored = Stored { setpoints: *first, mode: fact.mode, power: fact.power };
        let mut all = standings(fact, self.follows);
        all.retain(|standing| stored.active_or_heat(*standing) == side);
        all
    }

    /// What a press did to a side that it moved if the zone stood so; `None` where the work is too
    /// much.
    fn reaction(
        &mut self,
        fact: &Fact,
        sets: &[Setpoints],
        (side, standings): (Side, &[Standing]),
        ways: Ways,
    ) -> Option<Reaction> {
        self.settings.rules = rules(ways, None)?;
        let place = |pair: &Setpoints| along(fact.key, pair.get(side));
        let from = sets.iter().map(place).max().unwrap_or(i32::MIN);
        let mut reach = from;
        for pair in sets {
            for standing in standings {
                let start = Stored { setpoints: *pair, mode: fact.mode, power: fact.power };
                let (after, _) = pressed(&self.settings, start, *standing, fact.key, fact.times);
                reach = reach.max(place(&after.setpoints));
            }
        }
        let free = self.tried(fact, sets, standings)?;
        let [first, last] = self.spans.of(fact.key)[side as usize];
        let mut within = Vec::new();
        for limit in first..=last.min(reach.saturating_sub(1)) {
            // A press that reaches a limit beyond where it began stops there.
            let stops = limit >= from && self.scale.display.is_none();
            let ticks = Ticks::new(if fact.key == Key::Cooler { -limit } else { limit });
            let read = if side == Side::Heat { fact.after.heat } else { fact.after.cool };
            let other = |read: f64| (self.scale.grid.value(ticks) - read).abs() >= 1e-9;
            if stops && read.is_some_and(other) {
                continue;
            }
            self.settings.rules = rules(ways, Some((fact.key, side, ticks)))?;
            if self.tried(fact, sets, standings)? {
                within.push(limit);
            }
        }
        Some(Reaction { reach, free, within })
    }

    /// Whether a press agrees with the rules that are set; `None` where the work is too much.
    fn tried(&self, fact: &Fact, sets: &[Setpoints], standings: &[Standing]) -> Option<bool> {
        let presses = usize::try_from(fact.times).unwrap_or(usize::MAX);
        if !self.budget.spend(sets.len().saturating_mul(presses)) {
            return None;
        }
        let agrees = |it: &Standing| setpoint_agrees(fact, sets, &self.settings, self.scale, *it);
        Some(standings.iter().any(agrees))
    }
}

/// The rules of a family without limits, or with one limit of a side ahead of a key.
fn rules(ways: Ways, limit: Option<(Key, Side, Ticks)>) -> Option<SetpointRules> {
    let mut ranges = [Range { low: -FAR, high: FAR }; 2];
    if let Some((key, side, limit)) = limit {
        let range = &mut ranges[side as usize];
        let end = if key == Key::Warmer { &mut range.high } else { &mut range.low };
        *end = limit;
    }
    let [heat, cool] = ranges;
    SetpointRules::new(Limits { heat, cool }, ways.deadband, ways.practice).ok()
}
