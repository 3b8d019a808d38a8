//! How much work a table is worth, and which of its rows are looked at twice.

use std::cell::Cell;

use crate::study::sheet_csv::{Seen, ZoneRecord};

/// So many presses are tried at most for a table: some seconds.
const MOST_WORK: usize = 30_000_000;
/// In tables of no more rows each is tried as the one that was misread; in longer ones those with
/// the highest and lowest readings.
pub(super) const FEW_ROWS: usize = 400;

/// The work that is left for a table, in presses that may be tried.
#[derive(Debug)]
pub(super) struct Budget(Cell<usize>);

impl Budget {
    /// What a table is worth.
    pub(super) const fn of_a_table() -> Self {
        Self(Cell::new(MOST_WORK))
    }

    /// Takes some of it; false once there is none left, and then nothing that was worked out counts.
    pub(super) fn spend(&self, work: usize) -> bool {
        self.0.set(self.0.get().saturating_sub(work));
        !self.is_spent()
    }

    pub(super) fn is_spent(&self) -> bool {
        self.0.get() == 0
    }
}

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
