//! What readings and presses of a zone span, and with it which settings are worth a try.

use super::EXTREMES;
use super::facts::{FAR, Fact, Scale};
use crate::control::{Key, Ticks};
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
}
