//! How much there is to do for a zone, and what is left undone in long tables.

use std::collections::HashSet;

use super::facts::{Fact, Scale, scales};
use super::spread::Spread;
use crate::control::{OnConflict, Ticks};
use crate::study::sheet_csv::{Seen, ZoneRecord};
use crate::units::TemperatureUnit;

/// So many presses are tried at most for a zone: some seconds.
pub(super) const MOST_WORK: u64 = 40_000_000;
/// In tables of no more rows each is tried as the one that was misread; in longer ones those with
/// the highest and lowest readings.
pub(super) const FEW_ROWS: usize = 400;

/// The highest and lowest readings of a zone, and the smallest gap between them.
pub(super) struct Extremes {
    heat: [f64; 2],
    cool: [f64; 2],
    gap: f64,
}

impl Extremes {
    pub(super) fn of(zone: &ZoneRecord) -> Self {
        let ends = |values: &mut dyn Iterator<Item = f64>| {
            values.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], value| {
                [low.min(value), high.max(value)]
            })
        };
        let rows = || zone.rows.iter().map(|row| &row.read);
        let gaps = rows().filter_map(|read| Some(read.cool? - read.heat?));
        Self {
            heat: ends(&mut rows().filter_map(|read| read.heat)),
            cool: ends(&mut rows().filter_map(|read| read.cool)),
            gap: gaps.fold(f64::INFINITY, f64::min),
        }
    }

    /// Whether a reading is one of them.
    pub(super) fn holds(&self, read: &Seen) -> bool {
        read.heat.is_some_and(|heat| self.heat.contains(&heat))
            || read.cool.is_some_and(|cool| self.cool.contains(&cool))
            || read.heat.zip(read.cool).is_some_and(|(heat, cool)| cool - heat <= self.gap)
    }
}

/// How much there is to do for a zone, in presses that have to be tried: each with every limit of
/// every family.
pub(super) fn work(
    zone: &ZoneRecord,
    facts: &[Fact],
    unit: TemperatureUnit,
    may_follow: bool,
) -> u64 {
    let apart: HashSet<_> = facts.iter().map(Fact::likeness).collect();
    let of_scale = |scale: Scale| {
        let Some(spread) = Spread::of(zone, facts, scale, None) else { return 0 };
        let widest = spread.deadbands().last().unwrap_or(Ticks::ZERO);
        let (highest, lowest) = (spread.highest(widest), spread.lowest(widest));
        let limits: i64 = (0..2)
            .map(|side| {
                let above = (highest[side] - spread.most[side]).count() + 1;
                let below = (spread.least[side] - lowest[side]).count() + 1;
                i64::from(above.max(1)) + i64::from(below.max(1))
            })
            .sum();
        let limits = u64::try_from(limits).unwrap_or(u64::MAX);
        let deadbands = spread.deadbands().count() as u64;
        let practices = OnConflict::ALL.len() as u64;
        // What is remembered is followed through the rows under one of the practices.
        let memory =
            zone.rows.len() as u64 * u64::from(scale.grid.nearest(35.0).count().unsigned_abs());
        let tries = limits.saturating_mul(apart.len() as u64).saturating_mul(practices);
        deadbands.saturating_mul(tries.saturating_add(memory / 8))
    };
    let all: u64 = scales(zone, unit).map(of_scale).fold(0, u64::saturating_add);
    if may_follow { all.saturating_mul(2) } else { all }
}
