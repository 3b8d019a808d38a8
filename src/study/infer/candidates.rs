//! All settings that a zone might have, held against its facts.
//!
//! What a press does depends on few settings at a time: warmer on the upper limits, cooler on the
//! lower ones, both on step, deadband and practice; the mode key on the lockouts and on who owns
//! the mode; every key on its lock at the controller. So candidates are kept as products of small
//! lists, and no combination that the facts cannot tell apart is looked at twice.

use std::sync::Arc;

use super::bits::Bits;
use super::facts::{FAR, Fact, Scale, facts, remembered, scales};
use super::presses::{mode_agrees, power_agrees, settings};
use super::spread::Spread;
use super::trial::Trial;
use super::work::{Budget, Extremes, FEW_ROWS};
use crate::control::{
    Key, Limits, Mode, ModeSet, OnConflict, Range, SetpointRules, Ticks, UnitModes,
};
use crate::settings::unit::UNIT_MODES;
use crate::study::sheet_csv::ZoneRecord;
use crate::units::TemperatureUnit;

/// Two limits of which one kind of press tells: of heat and of cool. Whatever lies beyond what was
/// pressed for behaves alike and is kept as one.
#[derive(Clone, Debug)]
pub(super) struct Ends {
    pub heat: Ticks,
    pub cool: Ticks,
    pub violates: Arc<Bits>,
}

/// Step, practice and deadband, with the limits that go with them.
#[derive(Clone, Debug)]
pub(super) struct Family {
    pub scale: Scale,
    pub practice: OnConflict,
    pub deadband: Ticks,
    /// Whether the zone follows an owner.
    pub follows: bool,
    /// High limits.
    pub upper: Vec<Ends>,
    /// Low limits.
    pub lower: Vec<Ends>,
    /// The high limits that stand for everything above, and the low ones for everything below.
    pub highest: [Ticks; 2],
    pub lowest: [Ticks; 2],
}

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

/// One look at a zone.
struct Look<'z> {
    zone: &'z ZoneRecord,
    /// As if an owner decided for it.
    follows: bool,
    /// Without what was read in this row.
    without: Option<usize>,
    budget: &'z Budget,
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
        let all = Self::without(zone, unit, may_follow, None, budget);
        if budget.is_spent() {
            return None;
        }
        if all.left_out.count() == 0 && !all.families.is_empty() {
            return Some(all);
        }
        let spreads = |without| {
            let of = |scale: Scale| Spread::of(zone, &all.facts, scale, without);
            scales(zone, unit).map(of).collect::<Vec<_>>()
        };
        let as_read = spreads(None);
        let rows = (0..zone.rows.len()).filter(|at| !zone.rows[*at].read.is_empty());
        let extremes = Extremes::of(zone);
        let few = zone.rows.len() <= FEW_ROWS;
        let rows = rows.filter(|at| few || extremes.holds(&zone.rows[*at].read));
        let suspects = rows.filter(|at| spreads(Some(*at)) != as_read);
        let mut best: Option<Self> = None;
        for suspect in suspects {
            let other = Self::without(zone, unit, may_follow, Some(suspect), budget);
            if budget.is_spent() {
                break;
            }
            let fewer = |than: &Self| other.left_out.count() < than.left_out.count();
            if other.names(suspect) && best.as_ref().is_none_or(fewer) {
                best = Some(other);
            }
        }
        // What is left out must not say how far the setpoints go: as good is better here.
        let better =
            |best: &Self| all.families.is_empty() || best.left_out.count() <= all.left_out.count();
        Some(best.filter(better).unwrap_or(all))
    }

    /// Whether what was read in a row is left out.
    fn names(&self, row: usize) -> bool {
        let mut facts = self.facts.iter().enumerate();
        facts.any(|(at, fact)| fact.row == row && self.left_out.has(at))
    }

    fn without(
        zone: &ZoneRecord,
        unit: TemperatureUnit,
        may_follow: bool,
        without: Option<usize>,
        budget: &Budget,
    ) -> Self {
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
        let follows: &[bool] = if may_follow { &[false, true] } else { &[false] };
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
        for &follows in follows {
            all.add_families(unit, &Look { zone, follows, without, budget });
            all.add_lockouts(follows);
        }
        all.leave_out();
        all.keep_what_agrees();
        all
    }

    fn add_families(&mut self, unit: TemperatureUnit, look: &Look<'_>) {
        for scale in scales(look.zone, unit) {
            let spread = Spread::of(look.zone, &self.facts, scale, look.without);
            let Some(spread) = spread else { continue };
            for deadband in spread.deadbands() {
                for practice in OnConflict::ALL {
                    // One setpoint knows no practice: any of them is as good.
                    let family = self.family(look, scale, &spread, deadband, practice);
                    self.families.extend(family);
                }
            }
        }
    }

    fn family(
        &self,
        look: &Look<'_>,
        scale: Scale,
        spread: &Spread,
        deadband: Ticks,
        practice: OnConflict,
    ) -> Option<Family> {
        let &Look { zone, follows, budget, .. } = look;
        let rules = |low: [Ticks; 2], high: [Ticks; 2]| {
            let limits = Limits {
                heat: Range { low: low[0], high: high[0] },
                cool: Range { low: low[1], high: high[1] },
            };
            SetpointRules::new(limits, deadband, practice).ok()
        };
        let wide = rules([-FAR; 2], [FAR; 2])?;
        let sets = remembered(zone, &self.facts, scale, &wide, budget);
        let settings = settings(scale, wide, &self.modes, self.controllers);
        let mut trial = Trial::new(&self.facts, &sets, settings, scale, follows, budget);
        let highest = spread.highest(deadband);
        let lowest = spread.lowest(deadband);
        let mut upper = Vec::new();
        for heat in spread.most[0].count()..=highest[0].count() {
            for cool in spread.most[1].count()..=highest[1].count() {
                let (heat, cool) = (Ticks::new(heat), Ticks::new(cool));
                let rules = rules([-FAR; 2], [heat, cool])?;
                budget.spend(1 + self.facts.len() / 16).then_some(())?;
                upper.push(Ends { heat, cool, violates: trial.violates(rules, Key::Warmer) });
            }
        }
        let mut lower = Vec::new();
        for heat in lowest[0].count()..=spread.least[0].count() {
            for cool in lowest[1].count()..=spread.least[1].count() {
                let (heat, cool) = (Ticks::new(heat), Ticks::new(cool));
                let rules = rules([heat, cool], [FAR; 2])?;
                budget.spend(1 + self.facts.len() / 16).then_some(())?;
                lower.push(Ends { heat, cool, violates: trial.violates(rules, Key::Cooler) });
            }
        }
        Some(Family { scale, practice, deadband, follows, upper, lower, highest, lowest })
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

    /// Where no candidate agrees with every fact: the fewest that have to be left out.
    fn leave_out(&mut self) {
        if self.explains_all() {
            return;
        }
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

    /// Whether some candidate agrees with every fact.
    fn explains_all(&self) -> bool {
        let power = self.lock_sets().any(|set| self.agrees(&self.power_violates, POWER, set));
        let pairs = |family: &Family| {
            self.modes_agree(family.follows)
                && self.lock_sets().any(|set| self.is_left(family, set))
        };
        power && self.families.iter().any(pairs)
    }

    /// The fewest that do not agree over all locks of a key.
    fn fewest(&self, free: &Bits, group: usize) -> Bits {
        let all = self.lock_sets().map(|set| self.with_lock(free, group, set).collect::<Bits>());
        all.min_by_key(Bits::count).unwrap_or_default()
    }

    fn fewest_in(&self, family: &Family) -> Option<Bits> {
        let sets = self.lock_sets().filter_map(|set| {
            let least = |ends: &[Ends]| {
                let all = ends.iter().map(|ends| self.with_lock(&ends.violates, SETPOINT, set));
                all.map(Iterator::collect::<Bits>).min_by_key(Bits::count)
            };
            Some(least(&family.upper)?.or(&least(&family.lower)?))
        });
        sets.min_by_key(Bits::count)
    }

    /// Whether a candidate's disagreements are among those left out.
    pub(super) fn agrees(&self, free: &Bits, group: usize, set: usize) -> bool {
        let left_out = self.left_out.words();
        self.with_lock(free, group, set).zip(left_out).all(|(bits, left_out)| bits & !left_out == 0)
    }

    /// Whether some limits of a family agree under a set of locks.
    fn is_left(&self, family: &Family, set: usize) -> bool {
        let any = |ends: &[Ends]| ends.iter().any(|it| self.agrees(&it.violates, SETPOINT, set));
        any(&family.upper) && any(&family.lower)
    }

    /// Drops the families that agree under no locks: most of them.
    fn keep_what_agrees(&mut self) {
        let mut families = std::mem::take(&mut self.families);
        families.retain(|family| {
            self.modes_agree(family.follows)
                && self.lock_sets().any(|set| self.is_left(family, set))
        });
        self.families = families;
    }

    /// The limits of a family that agree under a set of locks.
    fn agreeing<'e>(&self, ends: &'e [Ends], set: usize) -> Vec<&'e Ends> {
        ends.iter().filter(|ends| self.agrees(&ends.violates, SETPOINT, set)).collect()
    }

    /// Each family with each set of locks that agrees, and the limits that do.
    pub(super) fn each_family(&self, mut take: impl FnMut(&Family, usize, &[&Ends], &[&Ends])) {
        for family in &self.families {
            for set in self.lock_sets() {
                let upper = self.agreeing(&family.upper, set);
                let lower = self.agreeing(&family.lower, set);
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
