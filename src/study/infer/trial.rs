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
    /// The smallest gap that was read, in ticks; `None` where displays may stand for several.
    gap: Option<Ticks>,
    /// The largest deadband at which a press comes nowhere near the other side, by class.
    margins: Vec<i32>,
    /// The reactions of presses up to that deadband, by class.
    clear: Vec<Option<Both>>,
    /// All presses, once they were tried at a deadband at which each is so.
    all_clear: Option<Rc<Vec<Press>>>,
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
            gap: gap(zone, scale),
            margins: margins(facts, classes, scale),
            clear: vec![None; classes.iter().max().map_or(0, |most| most + 1)],
            all_clear: None,
            stored: HashMap::new(),
        })
    }

    /// Whether every press comes nowhere near the other side under a family, so that it tells of it
    /// what it tells of every other such family.
    pub(super) fn is_clear(&self, ways: Ways) -> bool {
        let least = self.margins.iter().copied().min().unwrap_or(i32::MIN);
        let deadband = ways.deadband.count();
        deadband >= 1 && deadband <= least && !self.remembers(ways)
    }

    /// Whether what was pressed for may be remembered. A side is pushed to the deadband from the
    /// other; where no gap so small was read, none was.
    fn remembers(&self, ways: Ways) -> bool {
        ways.practice == OnConflict::PushAndReturn
            && ways.deadband > Ticks::ZERO
            && self.gap.is_none_or(|gap| ways.deadband >= gap)
    }

    /// With which limits the presses agree under a family. `None` where more than `most` of them
    /// agree with none, whatever is locked, or the work is too much.
    pub(super) fn presses(
        &mut self,
        ways: Ways,
        most: u32,
        locks: &Locks,
    ) -> Option<Rc<Vec<Press>>> {
        let is_clear = self.is_clear(ways);
        if is_clear && let Some(all) = &self.all_clear {
            return Some(Rc::clone(all));
        }
        let wide = rules(ways, None)?;
        let mut memory = Memory::new(self.zone, self.scale, wide);
        let mut alike: HashMap<(usize, usize), Both> = HashMap::new();
        let mut against = vec![0; locks.at.len()];
        let mut all = Vec::new();
        for (at, fact) in self.facts.iter().enumerate().filter(|(_, it)| it.moves_setpoint()) {
            if !self.budget.spend(1) {
                return None;
            }
            let sides = self.both(at, ways, &mut memory, &mut alike)?;
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
        let all = Rc::new(all);
        if is_clear {
            self.all_clear = Some(Rc::clone(&all));
        }
        Some(all)
    }

    /// The reactions of one press; `None` where the work is too much.
    fn both(
        &mut self,
        at: usize,
        ways: Ways,
        memory: &mut Memory<'f>,
        alike: &mut HashMap<(usize, usize), Both>,
    ) -> Option<Both> {
        let (fact, class) = (&self.facts[at], self.classes[at]);
        let remembers = self.remembers(ways);
        let set = if remembers { memory.before(fact.row, self.budget)? } else { 0 };
        let deadband = ways.deadband.count();
        let is_clear =
            (1..=self.margins[class]).contains(&deadband) && (!remembers || memory.is_as_read(set));
        if is_clear && let Some(known) = &self.clear[class] {
            return Some(known.clone());
        }
        if let Some(known) = alike.get(&(class, set)) {
            return Some(known.clone());
        }
        let scale = self.scale;
        let numbers = [fact.heat, fact.cool].map(f64::to_bits);
        let stored = || [fact.heat, fact.cool].map(|shown| scale.stored(shown));
        let [heat, cool] = self.stored.entry(numbers).or_insert_with(stored).clone();
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

/// The smallest gap that was read; `None` where a display may stand for several, or nothing was read.
fn gap(zone: &ZoneRecord, scale: Scale) -> Option<Ticks> {
    let exact = |shown: f64| scale.grid.exact(shown).ok();
    let read = zone.rows.iter().filter_map(|row| row.read.heat.zip(row.read.cool));
    let gaps = read.filter_map(|(heat, cool)| Some(exact(cool)? - exact(heat)?));
    if scale.display.is_some() { None } else { gaps.min() }
}

/// For each class the largest deadband at which its press ends before it comes to the other side.
fn margins(facts: &[Fact], classes: &[usize], scale: Scale) -> Vec<i32> {
    let mut all = vec![i32::MAX; classes.iter().max().map_or(0, |most| most + 1)];
    for (fact, class) in facts.iter().zip(classes).filter(|(fact, _)| fact.moves_setpoint()) {
        let exact = |shown: f64| scale.grid.exact(shown).ok().filter(|_| scale.display.is_none());
        let times = i32::try_from(fact.times).unwrap_or(i32::MAX);
        all[*class] = exact(fact.heat)
            .zip(exact(fact.cool))
            .map_or(0, |(heat, cool)| (cool - heat).count().saturating_sub(times));
    }
    all
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
