//! What ends a run before its time: results that cannot be, or that nobody could keep.

use std::ops::RangeInclusive;

use super::model::{Model, ZoneIndex};
use super::step::Simulation;
use crate::time::Instant;

/// Air beyond these is that of no building, degrees C: colder than any outdoor air that was ever
/// measured (see [`crate::weather::COLDEST`]), hotter than any sauna. Common practice, no source.
pub const POSSIBLE: RangeInclusive<f64> = -90.0..=150.0;
/// Air beyond these is hardly that of a building, degrees C. Common practice, no source.
pub const PLAUSIBLE: RangeInclusive<f64> = -60.0..=90.0;
/// The longest ledger that is kept, rows: some 300 bytes each.
pub const MOST_LEDGER_ROWS: usize = 300_000;

/// Why a run ended before its time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Halt {
    /// The air of a zone came to a temperature that no building has.
    Impossible {
        /// Which zone.
        zone: ZoneIndex,
        /// When.
        at: Instant,
        /// Its air, degrees C.
        air: f64,
    },
    /// More was written into the ledger than can be kept.
    LedgerFull {
        /// When.
        at: Instant,
    },
}

impl Halt {
    /// What happened, and what would help.
    pub fn in_words(&self, model: &Model) -> (String, &'static str) {
        match self {
            Self::Impossible { zone, at, air } => {
                let zone = &model.zones[zone.get()].label;
                let (air, unit) = (model.unit.from_celsius(*air), model.unit.letter());
                let when = model.period.timestamp(*at);
                let what =
                    format!("{zone} came to {air:.0} {unit} at {when}: no building gets there");
                let help = "its capacity, gains or fabric are out of proportion, or the step is too \
                            long for them: `setband check` names what stands out";
                (what, help)
            }
            Self::LedgerFull { at } => {
                let when = model.period.timestamp(*at);
                let what = format!("the ledger has {MOST_LEDGER_ROWS} rows by {when}, and is full");
                (what, "let there be fewer people, or a shorter period")
            }
        }
    }
}

impl Simulation<'_> {
    /// Why the run cannot go on, if so.
    pub fn halt(&self) -> Option<Halt> {
        let at = self.state.now;
        if self.scratch.ledger_rows > MOST_LEDGER_ROWS {
            return Some(Halt::LedgerFull { at });
        }
        // What is no number is not possible either.
        let impossible = |nodes: &[f64; 2]| !POSSIBLE.contains(&nodes[0]);
        let zone = self.state.nodes.iter().position(impossible)?;
        let air = self.state.nodes[zone][0];
        Some(Halt::Impossible { zone: ZoneIndex::new(zone), at, air })
    }
}
