//! All settings that a zone might have, held against its facts.
//!
//! What a press does depends on few settings at a time: warmer on the upper limits, cooler on the
//! lower ones, both on step, deadband and practice; the mode key on the lockouts and on who owns
//! the mode; every key on its lock at the controller. So candidates are kept as products of small
//! lists, and no combination that the facts cannot tell apart is looked at twice.

use super::bits::Bits;
use super::facts::{Fact, facts, scales};
use super::family::{Ends, Family};
use super::presses::{mode_agrees, power_agrees};
use super::search::{Fewest, Found, Look, Search};
use super::spread::suspects;
use super::trial::{Locks, classes};
use super::work::Budget;
use crate::control::{Key, Mode, ModeSet, UnitModes};
use crate::settings::unit::UNIT_MODES;
use crate::study::sheet_csv::ZoneRecord;
use crate::units::TemperatureUnit;

/// Lockouts, with who owns the mode.
#[derive(Clone, Debug)]
pub(super) struct Lockout {
    pub locked: ModeSet,
    pub follows: bool,
    pub violates: Bits,
}

/// Every candidate of one zone.
#[derive(Clone, Debug)]
pub(super) struct Candidates {
    pub facts: Vec<Fact>,
    pub modes: UnitModes,
    pub controllers: usize,
    pub families: Vec<Family>,
    pub lockouts: Vec<Lockout>,
    /// The facts that a lock at their controller agrees with.
    pub as_locked: Bits,
    /// For each set of controllers (a bit each) the facts there.
    pub at: Vec<Bits>,
    /// Facts of the setpoint keys, of the mode key, of the power key.
    pub of: [Bits; 3],
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
    /// The candidates of a zone; `may_follow` where an owner may decide for it. Where none of them
    /// agrees with everything, a single wrong reading may hide the others: each is then tried as
    /// the one that says nothing of how far the setpoints go. `None` where that is more work than
    /// is left.
    pub(super) fn of(
        zone: &ZoneRecord,
        unit: TemperatureUnit,
        may_follow: bool,
        budget: &Budget,
    ) -> Option<Self> {
        let mut all = Self::without_families(zone, may_follow);
        let facts = all.facts.clone();
        let (at, as_locked) = (all.at.clone(), all.as_locked.clone());
        let (classes, scales) = (classes(&facts), scales(zone, unit).collect::<Vec<_>>());
        let search = Search {
            zone,
            facts: &facts,
            classes: &classes,
            scales: &scales,
            may_follow,
            modes: &all.modes.clone(),
            controllers: all.controllers,
            locks: Locks { at: &at, as_locked: &as_locked },
            budget,
        };
        let look = search.look(None);
        let found = search.fewest(&[&look])?.pop()?;
        all.left_out = all.fewest_left_out(&search, &look, &found)?;
        all.families = all.agreeing(&search, &look, &found)?;
        if all.left_out.count() == 0 && !all.families.is_empty() {
            return Some(all);
        }
        let rows = suspects(zone, &facts, &scales);
        let looks: Vec<Look> = rows.iter().map(|row| search.look(Some(*row))).collect();
        let found = search.fewest(&looks.iter().collect::<Vec<_>>())?;
        let mut best: Option<(Bits, &Look, &Found)> = None;
        for ((row, look), found) in rows.iter().zip(&looks).zip(&found) {
            let left_out = all.fewest_left_out(&search, look, found)?;
            // What is read in that row has to be among what is left out.
            let named = facts.iter().enumerate().any(|(at, it)| it.row == *row && left_out.has(at));
            if named && best.as_ref().is_none_or(|best| left_out.count() < best.0.count()) {
                best = Some((left_out, look, found));
            }
        }
        // What is left out must not say how far the setpoints go: as good is better here.
        let better =
            |left_out: &Bits| all.families.is_empty() || left_out.count() <= all.left_out.count();
        if let Some((left_out, look, found)) = best.filter(|best| better(&best.0)) {
            all.left_out = left_out;
            all.families = all.agreeing(&search, look, found)?;
        }
        Some(all)
    }

    pub(super) fn without_families(zone: &ZoneRecord, may_follow: bool) -> Self {
        let facts = facts(zone);
        let count = facts.len();
        let modes = unit_modes(zone);
        let controllers = zone.controllers.len().clamp(1, 2);
        let group = |fact: &Fact| match fact.key {
            Key::Warmer | Key::Cooler => SETPOINT,
            Key::Mode => MODE,
            Key::Power => POWER,
        };
        let of = [SETPOINT, MODE, POWER].map(|it| Bits::of(count, |at| group(&facts[at]) == it));
        let at = (0..1_usize << controllers)
            .map(|set| Bits::of(count, |at| set >> facts[at].controller & 1 == 1))
            .collect();
        let mut all = Self {
            as_locked: Bits::of(count, |at| facts[at].is_as_locked()),
            power_violates: Bits::of(count, |at| {
                group(&facts[at]) == POWER && !power_agrees(&facts[at])
            }),
            left_out: Bits::of(count, |_| false),
            families: Vec::new(),
            lockouts: Vec::new(),
            facts,
            modes,
            controllers,
            at,
            of,
        };
        all.add_lockouts(false);
        if may_follow {
            all.add_lockouts(true);
        }
        all
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
    fn with_lock<'s>(
        &'s self,
        free: &'s Bits,
        group: usize,
        set: usize,
    ) -> impl Iterator<Item = u64> + 's {
        let (at, of) = (self.at[set].words(), self.of[group].words());
        let (as_locked, free) = (self.as_locked.words(), free.words());
        (0..free.len()).map(move |word| {
            let locked = at[word] & of[word];
            (locked & !as_locked[word]) | (free[word] & !locked)
        })
    }

    /// The sets of controllers that may be locked.
    pub(super) fn lock_sets(&self) -> std::ops::Range<usize> {
        0..self.at.len()
    }

    /// The fewest facts that have to be left out for some candidate to agree with the others; none
    /// where there are no candidates at all. `None` where the work is too much.
    fn fewest_left_out(&self, search: &Search, look: &Look, found: &Found) -> Option<Bits> {
        let mut best: Option<Bits> = None;
        let power = self.fewest(&self.power_violates, POWER);
        for follows in [false, true] {
            let lockouts = self.lockouts.iter().filter(|it| it.follows == follows);
            let modes = lockouts.map(|it| self.fewest(&it.violates, MODE)).min_by_key(Bits::count);
            let pairs: Option<&Fewest> = found.best[usize::from(follows)].as_ref();
            if let (Some(modes), Some(pairs)) = (modes, pairs) {
                let bits = modes.or(&search.against(look, pairs)?).or(&power);
                if best.as_ref().is_none_or(|known| bits.count() < known.count()) {
                    best = Some(bits);
                }
            }
        }
        Some(best.unwrap_or_else(|| Bits::of(self.facts.len(), |_| false)))
    }

    /// The families with candidates that agree with all that is not left out.
    fn agreeing(&self, search: &Search, look: &Look, found: &Found) -> Option<Vec<Family>> {
        let mut families = search.agreeing(look, found, &self.left_out)?;
        families.retain(|family| self.modes_agree(family.follows));
        Some(families)
    }

    /// The fewest that do not agree over all locks of a key.
    fn fewest(&self, free: &Bits, group: usize) -> Bits {
        let all = self.lock_sets().map(|set| self.with_lock(free, group, set).collect::<Bits>());
        all.min_by_key(Bits::count).unwrap_or_default()
    }

    /// Whether a candidate's disagreements are among those left out.
    pub(super) fn agrees(&self, free: &Bits, group: usize, set: usize) -> bool {
        let left_out = self.left_out.words();
        self.with_lock(free, group, set).zip(left_out).all(|(bits, left_out)| bits & !left_out == 0)
    }

    /// Each family with each set of locks that agrees, and the limits that do.
    pub(super) fn each_family(&self, mut take: impl FnMut(&Family, usize, &[Ends], &[Ends])) {
        for family in &self.families {
            for set in self.lock_sets() {
                let agreeing = |ends: &'_ [Ends]| -> Vec<Ends> {
                    ends.iter().filter(|it| it.agree(set)).copied().collect()
                };
                let (upper, lower) = (agreeing(&family.upper), agreeing(&family.lower));
                if !upper.is_empty() && !lower.is_empty() {
                    take(family, set, &upper, &lower);
                }
            }
        }
    }

    /// Whether some lockouts agree where the zone follows, or where it does not.
    pub(super) fn modes_agree(&self, follows: bool) -> bool {
        let mut lockouts = self.lockouts.iter().filter(|it| it.follows == follows);
        lockouts.any(|it| self.lock_sets().any(|set| self.agrees(&it.violates, MODE, set)))
    }

    /// Whether some setpoint rules agree where the zone follows, or where it does not.
    pub(super) fn pairs_agree(&self, follows: bool) -> bool {
        self.families.iter().any(|family| family.follows == follows)
    }
}

/// The modes of the unit as the table states them, else all.
fn unit_modes(zone: &ZoneRecord) -> UnitModes {
    let stated = zone.value(&UNIT_MODES, TemperatureUnit::Celsius);
    let modes = stated.and_then(|words| words.picks(&Mode::ALL, Mode::name));
    modes.and_then(UnitModes::new).unwrap_or_default()
}
