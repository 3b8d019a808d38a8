//! All settings that a zone might have, held against its facts.
//!
//! What a press does depends on few settings at a time: warmer on the upper limits, cooler on the
//! lower ones, both on step, deadband and practice; the mode key on the lockouts and on who owns
//! the mode; every key on its lock at the controller. So candidates are kept as products of small
//! lists, and no combination that the facts cannot tell apart is looked at twice.

use super::agree::{mode_agrees, power_agrees};
use super::bits::Bits;
use super::facts::{Fact, Scale, facts};
use super::families::{Ends, Family, families, scales};
use super::record::ZoneRecord;
use crate::control::{Display, Key, Mode, ModeSet, UnitModes};
use crate::units::TemperatureUnit;

/// Lockouts, with who owns the mode.
#[derive(Clone, Debug)]
pub(super) struct Lockout {
    pub locked: ModeSet,
    pub follows: bool,
    pub violates: Bits,
}

/// A key locked at some controllers.
#[derive(Clone, Debug)]
pub(super) struct Lock {
    /// The facts of that key there: no other setting has a say in them.
    at: Bits,
    /// Those of them that show no lock.
    violates: Bits,
}

/// Every candidate of one zone.
#[derive(Clone, Debug)]
pub(super) struct Candidates {
    pub facts: Vec<Fact>,
    pub modes: UnitModes,
    pub controllers: usize,
    pub families: Vec<Family>,
    pub lockouts: Vec<Lockout>,
    /// For the setpoint keys, the mode key and the power key: what a lock of it at each set of
    /// controllers (a bit each) would mean.
    pub locks: [Vec<Lock>; 3],
    /// Facts of the power key that a free key does not agree with.
    pub power_violates: Bits,
    /// Facts that no candidate agrees with together with the others: left out.
    pub left_out: Bits,
}

/// Which group of facts a lock is about.
pub(super) const SETPOINT: usize = 0;
pub(super) const MODE: usize = 1;
pub(super) const POWER: usize = 2;

impl Candidates {
    /// The candidates of a zone; `may_follow` where an owner may decide for it.
    pub(super) fn of(zone: &ZoneRecord, unit: TemperatureUnit, may_follow: bool) -> Self {
        let facts = facts(zone);
        let count = facts.len();
        let modes = unit_modes(zone);
        let controllers = zone.controllers.len().clamp(1, 2);
        let group = |fact: &Fact| match fact.key {
            Key::Warmer | Key::Cooler => SETPOINT,
            Key::Mode => MODE,
            Key::Power => POWER,
        };
        let locks = [SETPOINT, MODE, POWER].map(|key| {
            let lock = |set: usize| {
                let there =
                    |at: &usize| group(&facts[*at]) == key && set >> facts[*at].controller & 1 == 1;
                let at = Bits::of(count, |at| there(&at));
                let violates = Bits::of(count, |at| there(&at) && !facts[at].is_as_locked());
                Lock { at, violates }
            };
            (0..1_usize << controllers).map(lock).collect()
        });
        let follows: &[bool] = if may_follow { &[false, true] } else { &[false] };
        let mut all = Self {
            power_violates: Bits::of(count, |at| {
                group(&facts[at]) == POWER && !power_agrees(&facts[at])
            }),
            left_out: Bits::of(count, |_| false),
            families: Vec::new(),
            lockouts: Vec::new(),
            facts,
            modes,
            controllers,
            locks,
        };
        for &follows in follows {
            all.add_families(zone, &scales(unit, display(zone, unit)), follows);
            all.add_lockouts(follows);
        }
        all.leave_out();
        all
    }

    /// Adds families with limits that few facts speak against: none if that is to be had, else
    /// step by step more, until there are some.
    fn add_families(&mut self, zone: &ZoneRecord, scales: &[Scale], follows: bool) {
        let all = u32::try_from(self.facts.len()).unwrap_or(u32::MAX);
        let mut most = 0;
        loop {
            let found = families(self, zone, scales, follows, most);
            let fewest =
                found.iter().filter_map(|it| self.fewest_in(it)).map(|it| it.count()).min();
            if fewest.is_some_and(|fewest| fewest <= most) || most >= all {
                self.families.extend(found);
                return;
            }
            most = (2 * most + 1).min(all);
        }
    }

    /// The facts of a key that do not agree; `None` where, whatever is locked, more than `most`
    /// speak against it.
    pub(super) fn violated(
        &self,
        key: Key,
        most: u32,
        agrees: impl Fn(usize, &Fact) -> bool,
    ) -> Option<Bits> {
        let mut spare: Vec<Option<u32>> = self.locks[SETPOINT]
            .iter()
            .map(|lock| most.checked_sub(lock.violates.count()))
            .collect();
        let mut violated = Bits::of(self.facts.len(), |_| false);
        for (at, fact) in self.facts.iter().enumerate().filter(|(_, fact)| fact.key == key) {
            if agrees(at, fact) {
                continue;
            }
            violated.put(at);
            for (spare, lock) in spare.iter_mut().zip(&self.locks[SETPOINT]) {
                if !lock.at.has(at) {
                    *spare = spare.and_then(|left| left.checked_sub(1));
                }
            }
            if spare.iter().all(Option::is_none) {
                return None;
            }
        }
        spare.iter().any(Option::is_some).then_some(violated)
    }

    fn add_lockouts(&mut self, follows: bool) {
        let has = self.modes.as_slice().to_vec();
        for set in 0..1_usize << has.len() {
            let locked: Vec<Mode> = (has.iter().enumerate())
                .filter(|(at, _)| set >> at & 1 == 1)
                .map(|(_, mode)| *mode)
                .collect();
            let locked = ModeSet::of(&locked);
            let violates = Bits::of(self.facts.len(), |at| {
                let fact = &self.facts[at];
                fact.key == Key::Mode && !mode_agrees(fact, &self.modes, locked, follows)
            });
            self.lockouts.push(Lockout { locked, follows, violates });
        }
    }

    /// What does not agree when some facts are at locked controllers: there only the lock has to
    /// agree, elsewhere the settings have to.
    fn with_lock(&self, free: &Bits, group: usize, set: usize) -> Bits {
        let lock = &self.locks[group][set];
        lock.violates.or(&free.without(&lock.at))
    }

    /// The sets of controllers that may be locked.
    pub(super) fn lock_sets(&self) -> std::ops::Range<usize> {
        0..self.locks[SETPOINT].len()
    }

    /// Where no candidate agrees with every fact: the fewest that have to be left out.
    fn leave_out(&mut self) {
        let mut best: Option<Bits> = None;
        let mut take = |bits: Bits| {
            if best.as_ref().is_none_or(|known| bits.count() < known.count()) {
                best = Some(bits);
            }
        };
        let power = self.fewest(&self.power_violates, POWER);
        for follows in [false, true] {
            let lockouts = self.lockouts.iter().filter(|it| it.follows == follows);
            let modes = lockouts.map(|it| self.fewest(&it.violates, MODE)).min_by_key(Bits::count);
            let families = self.families.iter().filter(|it| it.follows == follows);
            let pairs = families.filter_map(|it| self.fewest_in(it)).min_by_key(Bits::count);
            if let (Some(modes), Some(pairs)) = (modes, pairs) {
                take(modes.or(&pairs).or(&power));
            }
        }
        if let Some(best) = best {
            self.left_out = best;
        }
    }

    /// The fewest that do not agree over all locks of a key.
    fn fewest(&self, free: &Bits, group: usize) -> Bits {
        let all = self.lock_sets().map(|set| self.with_lock(free, group, set));
        all.min_by_key(Bits::count).unwrap_or_default()
    }

    fn fewest_in(&self, family: &Family) -> Option<Bits> {
        let sets = self.lock_sets().filter_map(|set| {
            let least = |ends: &[Ends]| {
                let all = ends.iter().map(|ends| self.with_lock(&ends.violates, SETPOINT, set));
                all.min_by_key(Bits::count)
            };
            Some(least(&family.upper)?.or(&least(&family.lower)?))
        });
        sets.min_by_key(Bits::count)
    }

    /// Whether a candidate's disagreements are among those left out.
    pub(super) fn agrees(&self, free: &Bits, group: usize, set: usize) -> bool {
        let lock = &self.locks[group][set];
        lock.violates.is_within(&self.left_out) && free.is_within_either(&lock.at, &self.left_out)
    }
}

/// The modes of the unit as the table states them, else all.
fn unit_modes(zone: &ZoneRecord) -> UnitModes {
    let stated = zone.stated("unit.modes").map(super::stated::modes);
    stated.flatten().and_then(UnitModes::new).unwrap_or_default()
}

fn display(zone: &ZoneRecord, unit: TemperatureUnit) -> Option<Display> {
    let shown = match zone.stated("controls.shown_unit")? {
        "F" => TemperatureUnit::Fahrenheit,
        _ => TemperatureUnit::Celsius,
    };
    Display::new(unit, shown)
}
