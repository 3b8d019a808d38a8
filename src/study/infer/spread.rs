//! What readings and presses of a zone span, and with it which settings are worth a try.

use super::EXTREMES;
use super::facts::{FAR, Fact, Scale};
use super::ways::{SIDES, Ways, along};
use crate::control::{Key, Limits, OnConflict, Range, SetpointRules, Ticks};
use crate::study::sheet_csv::ZoneRecord;

/// What readings and presses span: the extremes read and the extremes pressed for.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Spread {
    /// Highest heat and cool read, lowest heat and cool read.
    pub most: [Ticks; 2],
    pub least: [Ticks; 2],
    /// Highest and lowest values that presses went for.
    sought_high: [Ticks; 2],
    sought_low: [Ticks; 2],
    /// The smallest gap that was read, by the nearest stored values.
    gap: Ticks,
}

impl Spread {
    /// `None` where a reading is none of this scale, or nothing was read. The readings of the row
    /// `without` do not count.
    pub(super) fn of(
        zone: &ZoneRecord,
        facts: &[Fact],
        scale: Scale,
        without: Option<usize>,
    ) -> Option<Self> {
        let mut spread: Option<Self> = None;
        for (_, row) in zone.rows.iter().enumerate().filter(|(at, _)| Some(*at) != without) {
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
        for fact in facts.iter().filter(|it| it.moves_setpoint() && Some(it.row - 1) != without) {
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
        // Presses beyond what controllers have behave like those up to there.
        let [lowest, highest] =
            EXTREMES[scale.grid.unit() as usize].map(|end| scale.grid.nearest(end));
        spread.sought_high = spread.sought_high.map(|sought| sought.min(highest + Ticks::ONE));
        spread.sought_low = spread.sought_low.map(|sought| sought.max(lowest - Ticks::ONE));
        let read_both = spread.most.iter().all(|most| *most > -FAR) && spread.gap < FAR;
        read_both.then_some(spread)
    }

    /// The deadbands that the readings leave: none larger than the smallest gap. One setpoint for
    /// both only where no gap was read.
    pub(super) fn deadbands(&self) -> impl Iterator<Item = Ticks> + use<> {
        let (gap, never_apart) =
            (self.gap.count(), self.most == self.least || self.gap.count() == 0);
        (0..=gap.max(0)).filter(move |ticks| *ticks > 0 || never_apart).map(Ticks::new)
    }

    pub(super) fn highest(&self, deadband: Ticks) -> [Ticks; 2] {
        let heat = self.most[0].max(self.sought_high[0]);
        let cool = self.most[1].max(self.sought_high[1]).max(self.sought_high[0] + deadband);
        [heat, cool]
    }

    pub(super) fn lowest(&self, deadband: Ticks) -> [Ticks; 2] {
        let cool = self.least[1].min(self.sought_low[1]);
        let heat = self.least[0].min(self.sought_low[0]).min(self.sought_low[1] - deadband);
        [heat, cool]
    }

    /// Whether a deadband is among those.
    pub(super) fn has(&self, deadband: Ticks) -> bool {
        self.deadbands().any(|it| it == deadband)
    }

    /// The largest of them.
    pub(super) const fn gap(&self) -> Ticks {
        self.gap
    }

    /// The pairs of limits ahead of a key that are worth a try under a family, those of heat in the
    /// outer order. `None` where one of them is none.
    pub(super) fn pairs(&self, key: Key, ways: Ways) -> Option<Vec<Pair>> {
        let (from, to) = self.corners(key, ways.deadband);
        let mut all = Vec::new();
        for heat in from[0].count()..=to[0].count() {
            for cool in from[1].count()..=to[1].count() {
                let ends = [Ticks::new(heat), Ticks::new(cool)];
                all.push(Pair { ends, limits: limits(key, ends, ways)? });
            }
        }
        Some(all)
    }

    fn corners(&self, key: Key, deadband: Ticks) -> ([Ticks; 2], [Ticks; 2]) {
        if key == Key::Warmer {
            (self.most, self.highest(deadband))
        } else {
            (self.lowest(deadband), self.least)
        }
    }

    /// Between which limits of each side all those pairs lie, whatever the family.
    pub(super) fn spans(&self) -> Option<Spans> {
        let mut all: Option<Spans> = None;
        let ends = [self.deadbands().next(), self.deadbands().nth(1), self.deadbands().last()];
        for deadband in ends.into_iter().flatten() {
            for practice in [OnConflict::Push, OnConflict::Hold] {
                let ways = Ways { deadband, practice };
                let of = |key: Key| {
                    let (from, to) = self.corners(key, deadband);
                    let (one, other) = (limits(key, from, ways)?, limits(key, to, ways)?);
                    Some(
                        [0, 1].map(|side| [one[side].min(other[side]), one[side].max(other[side])]),
                    )
                };
                let own = Spans { warmer: of(Key::Warmer)?, cooler: of(Key::Cooler)? };
                all = Some(all.map_or(own, |all| all.and(&own)));
            }
        }
        all
    }
}

/// Two limits ahead of a key.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair {
    /// Of heat and of cool, as they are set.
    pub ends: [Ticks; 2],
    /// As they bind each side, counted along the key.
    pub limits: [i32; 2],
}

/// How limits of heat and of cool ahead of a key bind each side, counted along the key. Where the
/// other side must not move, a side's own limit counts and the other as it stands.
pub(super) fn limits(key: Key, ends: [Ticks; 2], ways: Ways) -> Option<[i32; 2]> {
    let [heat, cool] = ends.map(|end| match key {
        Key::Warmer => Range { low: -FAR, high: end },
        _ => Range { low: end, high: FAR },
    });
    let rules = SetpointRules::new(Limits { heat, cool }, ways.deadband, ways.practice).ok()?;
    let own = ways.practice == OnConflict::Hold && !rules.is_single();
    Some(SIDES.map(|side| {
        let range = if own { rules.written(side) } else { rules.range(side) };
        along(key, if key == Key::Warmer { range.high } else { range.low })
    }))
}

/// The first and the last limit of each side, counted along each key.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spans {
    warmer: [[i32; 2]; 2],
    cooler: [[i32; 2]; 2],
}

impl Spans {
    pub(super) fn of(&self, key: Key) -> [[i32; 2]; 2] {
        if key == Key::Cooler { self.cooler } else { self.warmer }
    }

    /// Those that hold both.
    pub(super) fn and(&self, other: &Self) -> Self {
        let both = |one: [[i32; 2]; 2], two: [[i32; 2]; 2]| {
            [0, 1].map(|side| [one[side][0].min(two[side][0]), one[side][1].max(two[side][1])])
        };
        Self { warmer: both(self.warmer, other.warmer), cooler: both(self.cooler, other.cooler) }
    }
}

/// The rows without which the readings would span something else.
pub(super) fn suspects(zone: &ZoneRecord, facts: &[Fact], scales: &[Scale]) -> Vec<usize> {
    let mut rows: Vec<usize> =
        scales.iter().flat_map(|scale| alone_at_an_end(zone, facts, *scale)).collect();
    rows.sort_unstable();
    rows.dedup();
    let spreads = |without| {
        let of = |scale: &Scale| Spread::of(zone, facts, *scale, without);
        scales.iter().map(of).collect::<Vec<_>>()
    };
    let as_read = spreads(None);
    rows.retain(|row| spreads(Some(*row)) != as_read);
    rows
}

/// The rows that alone read what no other row reaches, or alone what is none of this scale.
fn alone_at_an_end(zone: &ZoneRecord, facts: &[Fact], scale: Scale) -> Vec<usize> {
    let mut strange = Vec::new();
    let mut ends: [End; 9] = Default::default();
    for (at, row) in zone.rows.iter().enumerate() {
        let read = [row.read.heat, row.read.cool].map(|shown| shown.map(|it| scale.stored(it)));
        if read.iter().flatten().any(Vec::is_empty) {
            strange.push(at);
            continue;
        }
        let first = |side: usize| read[side].as_ref().map(|it| it[0].count());
        let last = |side: usize| read[side].as_ref().map(|it| it[it.len() - 1].count());
        for side in 0..2 {
            ends[side].put(first(side), at);
            ends[2 + side].put(last(side).map(|it| -it), at);
        }
        let gap = last(1).zip(first(0)).map(|(cool, heat)| heat - cool);
        ends[4].put(gap, at);
    }
    for fact in facts.iter().filter(|it| it.moves_setpoint()) {
        let Ok(times) = i32::try_from(fact.times) else { continue };
        for (side, shown) in [fact.heat, fact.cool].into_iter().enumerate() {
            let stored = scale.stored(shown);
            let (Some(first), Some(last)) = (stored.first(), stored.last()) else { continue };
            if fact.key == Key::Warmer {
                ends[5 + side].put(Some(last.count() + times), fact.row - 1);
            } else {
                ends[7 + side].put(Some(times - first.count()), fact.row - 1);
            }
        }
    }
    match strange.as_slice() {
        [] => ends.iter().filter_map(End::only).collect(),
        [only] => vec![*only],
        _ => Vec::new(),
    }
}

/// The largest of some numbers, and the rows that have it, as far as one can be told from several.
#[derive(Clone, Copy, Debug, Default)]
struct End {
    most: Option<i32>,
    row: usize,
    several: bool,
}

impl End {
    fn put(&mut self, value: Option<i32>, row: usize) {
        match value {
            Some(_) if value > self.most => *self = Self { most: value, row, several: false },
            Some(_) if value == self.most && row != self.row => self.several = true,
            _ => {}
        }
    }

    fn only(&self) -> Option<usize> {
        (self.most.is_some() && !self.several).then_some(self.row)
    }
}
