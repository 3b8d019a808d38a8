//! Rows that a reader leaves out, counted by kind.

use std::collections::BTreeMap;

/// What is wrong with a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum BadKind {
    /// It has fewer cells than the header.
    FewerColumns,
    /// Its time cannot be read.
    NoTime,
    /// Its time lies before that of the row above.
    TimeRunsBack,
    /// Its time is that of the row above, and its values are others.
    SameTimeOtherValues,
    /// A cell of a mapped point has no number.
    NoNumber,
    /// A temperature below -60 or above 80 degrees C.
    ImpossibleTemperature,
    /// A cell has a word that the mapping does not know.
    UnknownWord,
}

impl BadKind {
    /// What is wrong, in words that follow a count of rows.
    pub const fn words(self) -> &'static str {
        match self {
            Self::FewerColumns => "have fewer columns than the header",
            Self::NoTime => "have no time that can be read",
            Self::TimeRunsBack => "have a time before that of the row above",
            Self::SameTimeOtherValues => "have the time of the row above with other values",
            Self::NoNumber => "have no number where one is due",
            Self::ImpossibleTemperature => "have a temperature below -60 or above 80 C",
            Self::UnknownWord => "have a word that the mapping does not name",
        }
    }
}

/// Rows left out: how many of each kind, and the first of them.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BadRows {
    kinds: BTreeMap<BadKind, Kept>,
    total: usize,
}

#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Kept {
    count: usize,
    /// File by its place in the list, line, and the cell at fault.
    first: Vec<(usize, u32, String)>,
}

/// So many rows of a kind are kept by line.
const KEPT: usize = 20;
/// A cell is quoted up to so many characters.
const QUOTED: usize = 40;

impl BadRows {
    /// Counts a row.
    pub fn add(&mut self, kind: BadKind, file: usize, line: u32, cell: &str) {
        self.total += 1;
        let kept = self.kinds.entry(kind).or_default();
        kept.count += 1;
        if kept.first.len() < KEPT {
            kept.first.push((file, line, cell.chars().take(QUOTED).collect()));
        }
    }

    /// How many rows were left out.
    pub const fn total(&self) -> usize {
        self.total
    }

    /// Each kind with how many there were and the first of them: file by its place, line, cell.
    pub fn kinds(&self) -> impl Iterator<Item = (BadKind, usize, &[(usize, u32, String)])> {
        self.kinds.iter().map(|(kind, kept)| (*kind, kept.count, &*kept.first))
    }

    /// How many rows of a kind there were.
    pub fn count(&self, kind: BadKind) -> usize {
        self.kinds.get(&kind).map_or(0, |kept| kept.count)
    }
}
