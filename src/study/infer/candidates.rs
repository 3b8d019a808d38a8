//! All settings that a zone might have, held against its facts.
//!
//! What a press does depends on few settings at a time: warmer on the upper limits, cooler on the
//! lower ones, both on step, deadband and practice; the mode key on the lockouts and on who owns
//! the mode; every key on its lock at the controller. So candidates are kept as products of small
//! lists, and no combination that the facts cannot tell apart is looked at twice.

use super::bits::Bits;
use super::facts::{Fact, Scale, facts, remembered};
use super::record::ZoneRecord;
use crate::control::{
    Controllers, Direction, Display, Grid, Key, KeyLocks, Limits, Mode, ModeSet, OnConflict,
    Outcome, Power, Range, Request, Role, SetpointRules, Setpoints, Settings, Side, Standing,
    Stored, Ticks, UnitModes, judge,
};
use crate::units::TemperatureUnit;

/// Far beyond every limit.
const FAR: Ticks = Ticks::new(10_000);

/// The practices.
const PRACTICES: [OnConflict; 3] = [OnConflict::Push, OnConflict::Hold, OnConflict::PushAndReturn];

/// Two limits of which one kind of press tells: of heat and of cool. Whatever lies beyond what was
/// pressed for behaves alike and is kept as one.
#[derive(Clone, Debug)]
pub(super) struct Ends {
    pub heat: Ticks,
    pub cool: Ticks,
    pub violates: Bits,
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
            all.add_families(zone, unit, follows);
            all.add_lockouts(follows);
        }
        all.leave_out();
        all
    }

    fn add_families(&mut self, zone: &ZoneRecord, unit: TemperatureUnit, follows: bool) {
        for &(step, _) in Grid::steps(unit) {
            let Some(grid) = Grid::new(unit, step) else { continue };
            let scale = Scale { grid, display: display(zone, unit) };
            let Some(spread) = Spread::of(zone, &self.facts, scale) else { continue };
            for deadband in spread.deadbands() {
                for practice in PRACTICES {
                    // One setpoint knows no practice: any of them is as good.
                    let family = self.family(zone, scale, &spread, deadband, practice, follows);
                    self.families.extend(family);
                }
            }
        }
    }

    fn family(
        &self,
        zone: &ZoneRecord,
        scale: Scale,
        spread: &Spread,
        deadband: Ticks,
        practice: OnConflict,
        follows: bool,
    ) -> Option<Family> {
        let rules = |low: [Ticks; 2], high: [Ticks; 2]| {
            let limits = Limits {
                heat: Range { low: low[0], high: high[0] },
                cool: Range { low: low[1], high: high[1] },
            };
            SetpointRules::new(limits, deadband, practice).ok()
        };
        let wide = rules([-FAR; 2], [FAR; 2])?;
        let sets = remembered(zone, &self.facts, scale, &wide);
        let mut settings = settings(scale, wide, &self.modes, self.controllers);
        let mut violates = |rules: SetpointRules, key: Key| {
            settings.rules = rules;
            Bits::of(self.facts.len(), |at| {
                let fact = &self.facts[at];
                fact.key == key && !setpoint_agrees(fact, &sets[at], &settings, scale, follows)
            })
        };
        let highest = spread.highest(deadband);
        let lowest = spread.lowest(deadband);
        let mut upper = Vec::new();
        for heat in spread.most[0].count()..=highest[0].count() {
            for cool in spread.most[1].count()..=highest[1].count() {
                let (heat, cool) = (Ticks::new(heat), Ticks::new(cool));
                let rules = rules([-FAR; 2], [heat, cool])?;
                upper.push(Ends { heat, cool, violates: violates(rules, Key::Warmer) });
            }
        }
        let mut lower = Vec::new();
        for heat in lowest[0].count()..=spread.least[0].count() {
            for cool in lowest[1].count()..=spread.least[1].count() {
                let (heat, cool) = (Ticks::new(heat), Ticks::new(cool));
                let rules = rules([heat, cool], [FAR; 2])?;
                lower.push(Ends { heat, cool, violates: violates(rules, Key::Cooler) });
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
    pub(super) fn with_lock(&self, free: &Bits, group: usize, set: usize) -> Bits {
        let locked = self.at[set].and(&self.of[group]);
        let at_lock = Bits::of(self.facts.len(), |at| locked.has(at) && !self.as_locked.has(at));
        let elsewhere = Bits::of(self.facts.len(), |at| free.has(at) && !locked.has(at));
        at_lock.or(&elsewhere)
    }

    /// The sets of controllers that may be locked.
    pub(super) fn lock_sets(&self) -> std::ops::Range<usize> {
        0..self.at.len()
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
        self.with_lock(free, group, set).is_within(&self.left_out)
    }
}

/// What readings and presses span: the extremes read and the extremes pressed for.
#[derive(Clone, Debug)]
struct Spread {
    /// Highest heat and cool read, lowest heat and cool read.
    most: [Ticks; 2],
    least: [Ticks; 2],
    /// Highest and lowest values that presses went for.
    sought_high: [Ticks; 2],
    sought_low: [Ticks; 2],
    /// The smallest gap that was read, by the nearest stored values.
    gap: Ticks,
}

impl Spread {
    /// `None` where a reading is none of this scale, or nothing was read.
    fn of(zone: &ZoneRecord, facts: &[Fact], scale: Scale) -> Option<Self> {
        let mut spread: Option<Self> = None;
        for row in &zone.rows {
            for (side, shown) in [row.read.heat, row.read.cool].into_iter().enumerate() {
                let Some(shown) = shown else { continue };
                let stored = scale.stored(shown);
                let (low, high) = (*stored.first()?, *stored.last()?);
                let it = spread.get_or_insert(Self {
                    most: [-FAR; 2],
                    least: [FAR; 2],
                    sought_high: [-FAR; 2],
                    sought_low: [FAR; 2],
                    gap: FAR,
                });
                it.most[side] = it.most[side].max(low);
                it.least[side] = it.least[side].min(high);
            }
            if let (Some(heat), Some(cool), Some(it)) = (row.read.heat, row.read.cool, &mut spread)
            {
                let (heat, cool) = (scale.stored(heat), scale.stored(cool));
                it.gap = it.gap.min(*cool.last()? - *heat.first()?);
            }
        }
        let mut spread = spread?;
        for fact in facts.iter().filter(|fact| fact.moves_setpoint()) {
            let step = Ticks::new(i32::try_from(fact.times).ok()?);
            for (side, shown) in [fact.heat, fact.cool].into_iter().enumerate() {
                let stored = scale.stored(shown);
                let (low, high) = (*stored.first()?, *stored.last()?);
                if fact.key == Key::Warmer {
                    spread.sought_high[side] = spread.sought_high[side].max(high + step);
                } else {
                    spread.sought_low[side] = spread.sought_low[side].min(low - step);
                }
            }
        }
        let read_both = spread.most.iter().all(|most| *most > -FAR) && spread.gap < FAR;
        read_both.then_some(spread)
    }

    /// The deadbands that the readings leave: none larger than the smallest gap. One setpoint for
    /// both only where no gap was read.
    fn deadbands(&self) -> impl Iterator<Item = Ticks> + use<> {
        let (gap, never_apart) =
            (self.gap.count(), self.most == self.least || self.gap.count() == 0);
        (0..=gap.max(0)).filter(move |ticks| *ticks > 0 || never_apart).map(Ticks::new)
    }

    fn highest(&self, deadband: Ticks) -> [Ticks; 2] {
        let heat = self.most[0].max(self.sought_high[0]);
        let cool = self.most[1].max(self.sought_high[1]).max(self.sought_high[0] + deadband);
        [heat, cool]
    }

    fn lowest(&self, deadband: Ticks) -> [Ticks; 2] {
        let cool = self.least[1].min(self.sought_low[1]);
        let heat = self.least[0].min(self.sought_low[0]).min(self.sought_low[1] - deadband);
        [heat, cool]
    }
}

/// The controllers of a candidate, without locks: these are looked at apart.
pub(super) fn settings(
    scale: Scale,
    rules: SetpointRules,
    modes: &UnitModes,
    controllers: usize,
) -> Settings {
    Settings {
        grid: scale.grid,
        display: scale.display,
        modes: modes.clone(),
        controllers: Controllers::main(),
        rules,
        locked_modes: ModeSet::NONE,
        key_locks: vec![KeyLocks::NONE; controllers],
    }
}

/// How a zone may have stood to its group at a fact.
fn standings(fact: &Fact, follows: bool) -> Vec<Standing> {
    let directions = match fact.direction {
        Some(direction) => vec![direction],
        None => Direction::BOTH.to_vec(),
    };
    let stand = |direction| {
        if follows { Standing::Follower(direction) } else { Standing::Own(direction) }
    };
    directions.into_iter().map(stand).collect()
}

fn setpoint_agrees(
    fact: &Fact,
    remembered: &[Setpoints],
    settings: &Settings,
    scale: Scale,
    follows: bool,
) -> bool {
    standings(fact, follows).into_iter().any(|standing| {
        remembered.iter().any(|pair| {
            let start = Stored { setpoints: *pair, mode: fact.mode, power: fact.power };
            let (after, refused) = pressed(settings, start, standing, fact.key, fact.times);
            after_agrees(fact, &after, refused, scale)
        })
    })
}

/// What several presses of a key at a controller without locks leave, and whether the last was
/// refused.
pub(super) fn pressed(
    settings: &Settings,
    start: Stored,
    standing: Standing,
    key: Key,
    times: u32,
) -> (Stored, bool) {
    let place = crate::control::ControllerIndex::new(0);
    let mut stored = start;
    let mut refused = false;
    for _ in 0..times {
        let request = Request::Press(key);
        let verdict = judge(settings, &stored, standing, request, Role::Occupant, place);
        let unchanged = verdict.after == stored;
        stored = verdict.after;
        refused = verdict.outcome == Outcome::Refused;
        if unchanged {
            break;
        }
    }
    (stored, refused)
}

fn after_agrees(fact: &Fact, after: &Stored, refused: bool, scale: Scale) -> bool {
    let read = &fact.after;
    let is = |shown: Option<f64>, side: Side| {
        shown.is_none_or(|shown| (scale.shown(after.setpoints.get(side)) - shown).abs() < 1e-9)
    };
    read.refused.is_none_or(|read| read == refused)
        && is(read.heat, Side::Heat)
        && is(read.cool, Side::Cool)
        && read.mode.is_none_or(|mode| mode == after.mode)
        && read.power.is_none_or(|power| power == after.power)
}

/// Whether lockouts and owner explain what a mode key did. Setpoints do not enter.
fn mode_agrees(fact: &Fact, modes: &UnitModes, locked: ModeSet, follows: bool) -> bool {
    let (mode, refused) = stepped(fact.mode, fact.power, fact.times, modes, locked, follows);
    let read = &fact.after;
    read.refused.is_none_or(|read| read == refused)
        && read.mode.is_none_or(|read| read == mode)
        && read.power.is_none_or(|power| power == fact.power)
        && read.heat.is_none_or(|heat| heat == fact.heat)
        && read.cool.is_none_or(|cool| cool == fact.cool)
}

/// Where the mode key leads, and whether its last press was refused.
pub(super) fn stepped(
    mode: Mode,
    power: Power,
    times: u32,
    modes: &UnitModes,
    locked: ModeSet,
    follows: bool,
) -> (Mode, bool) {
    let celsius = TemperatureUnit::Celsius;
    let wide = Range { low: -FAR, high: FAR };
    let limits = Limits { heat: wide, cool: wide };
    let parts = Grid::new(celsius, 1.0)
        .zip(SetpointRules::new(limits, Ticks::ONE, OnConflict::Push).ok())
        .and_then(|(grid, rules)| {
            Some((grid, rules, rules.start_dual(Ticks::ZERO, Ticks::ONE).ok()?))
        });
    let Some((grid, rules, setpoints)) = parts else { return (mode, false) };
    let scale = Scale { grid, display: None };
    let mut settings = settings(scale, rules, modes, 1);
    settings.locked_modes = locked;
    let standing = if follows {
        Standing::Follower(Direction::Heating)
    } else {
        Standing::Own(Direction::Heating)
    };
    let start = Stored { setpoints, mode, power };
    let (after, refused) = pressed(&settings, start, standing, Key::Mode, times);
    (after.mode, refused)
}

fn power_agrees(fact: &Fact) -> bool {
    let after = if fact.times % 2 == 1 { fact.power.toggled() } else { fact.power };
    let read = &fact.after;
    read.refused != Some(true)
        && read.power.is_none_or(|power| power == after)
        && read.mode.is_none_or(|mode| mode == fact.mode)
        && read.heat.is_none_or(|heat| heat == fact.heat)
        && read.cool.is_none_or(|cool| cool == fact.cool)
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
