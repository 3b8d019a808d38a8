//! Steps, deadbands and practices that a zone might have, each with the limits that agree.

use super::agree::{FAR, setpoint_agrees, settings};
use super::bits::Bits;
use super::candidates::Candidates;
use super::facts::{Fact, Scale, remembered};
use super::record::ZoneRecord;
use crate::control::{
    Grid, Key, Limits, OnConflict, Range, SetpointRules, Setpoints, Settings, Ticks,
};

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

/// What a search for limits needs to know of one step, deadband and practice.
struct Search<'a> {
    candidates: &'a Candidates,
    settings: Settings,
    /// What may be remembered before each fact.
    remembered: Vec<Vec<Setpoints>>,
    scale: Scale,
    deadband: Ticks,
    practice: OnConflict,
    follows: bool,
    /// Limits that more facts than this speak against are of no interest.
    most: u32,
}

/// The families of a zone with the limits that no more than `most` facts speak against.
pub(super) fn families(
    candidates: &Candidates,
    zone: &ZoneRecord,
    scales: &[Scale],
    follows: bool,
    most: u32,
) -> Vec<Family> {
    let mut all = Vec::new();
    for &scale in scales {
        let Some(spread) = Spread::of(zone, &candidates.facts, scale) else { continue };
        for deadband in spread.deadbands() {
            for practice in PRACTICES {
                // One setpoint knows no practice: any of them is as good.
                let search =
                    Search::new(candidates, zone, scale, deadband, practice, follows, most);
                all.extend(search.and_then(|mut search| search.family(&spread)));
            }
        }
    }
    all
}

impl<'a> Search<'a> {
    fn new(
        candidates: &'a Candidates,
        zone: &ZoneRecord,
        scale: Scale,
        deadband: Ticks,
        practice: OnConflict,
        follows: bool,
        most: u32,
    ) -> Option<Self> {
        let wide = rules([-FAR; 2], [FAR; 2], deadband, practice)?;
        Some(Self {
            remembered: remembered(zone, &candidates.facts, scale, &wide),
            settings: settings(scale, wide, &candidates.modes, candidates.controllers),
            candidates,
            scale,
            deadband,
            practice,
            follows,
            most,
        })
    }

    /// `None` where some kind of limit is left without any.
    fn family(&mut self, spread: &Spread) -> Option<Family> {
        let highest = spread.highest(self.deadband);
        let lowest = spread.lowest(self.deadband);
        let upper = self.ends(Key::Warmer, spread.most, highest);
        if upper.is_empty() {
            return None;
        }
        let lower = self.ends(Key::Cooler, lowest, spread.least);
        let Self { scale, deadband, practice, follows, .. } = *self;
        let family = Family { scale, practice, deadband, follows, upper, lower, highest, lowest };
        (!family.lower.is_empty()).then_some(family)
    }

    /// The limits from one pair to another that a key does not speak against too often: high ones
    /// for warmer, low ones for cooler.
    fn ends(&mut self, key: Key, from: [Ticks; 2], to: [Ticks; 2]) -> Vec<Ends> {
        let mut all = Vec::new();
        for heat in from[0].count()..=to[0].count() {
            for cool in from[1].count()..=to[1].count() {
                let (heat, cool) = (Ticks::new(heat), Ticks::new(cool));
                let (low, high) = match key {
                    Key::Warmer => ([-FAR; 2], [heat, cool]),
                    _ => ([heat, cool], [FAR; 2]),
                };
                let Some(rules) = rules(low, high, self.deadband, self.practice) else {
                    continue;
                };
                self.settings.rules = rules;
                let violates = self.candidates.violated(key, self.most, |at, fact: &Fact| {
                    let pairs = &self.remembered[at];
                    setpoint_agrees(fact, pairs, &self.settings, self.scale, self.follows)
                });
                all.extend(violates.map(|violates| Ends { heat, cool, violates }));
            }
        }
        all
    }
}

fn rules(
    low: [Ticks; 2],
    high: [Ticks; 2],
    deadband: Ticks,
    practice: OnConflict,
) -> Option<SetpointRules> {
    let limits = Limits {
        heat: Range { low: low[0], high: high[0] },
        cool: Range { low: low[1], high: high[1] },
    };
    SetpointRules::new(limits, deadband, practice).ok()
}

/// The scales that a zone may have: every step of its unit.
pub(super) fn scales(
    unit: crate::units::TemperatureUnit,
    display: Option<crate::control::Display>,
) -> Vec<Scale> {
    let grids = Grid::steps(unit).iter().filter_map(|&(step, _)| Grid::new(unit, step));
    grids.map(|grid| Scale { grid, display }).collect()
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
