//! Times without rows in a file of readings, and what may be put there.

use jiff::civil::DateTime;

/// A run that touches a longer gap has to be told how to fill it, s.
const LONGEST_TACIT: f64 = 3.0 * 3600.0;
/// Rows further apart than so many times their usual distance have a gap between them.
const USUAL_TIMES: f64 = 1.5;
/// No usual distance is longer: rows every six hours leave gaps, however regular they are, s.
const LONGEST_USUAL: f64 = 2.0 * 3600.0;

/// What is put into a gap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fill {
    /// The row before it holds, until a usual distance before the row after it.
    Hold,
    /// A straight line from the row before to the row after; radiation is the mean of the two.
    Straight,
}

impl Fill {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Hold, Self::Straight];

    /// Its word in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Hold => "hold",
            Self::Straight => "straight",
        }
    }
}

/// A time without rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gap {
    /// The row before it.
    pub from: DateTime,
    /// The row after it.
    pub to: DateTime,
    /// The line of the row after it.
    pub line: usize,
    /// How long it is, s.
    pub seconds: f64,
    /// What was put there.
    pub fill: Fill,
}

impl Gap {
    /// Whether it is too long for a straight line that nobody has asked for.
    pub fn is_long(&self) -> bool {
        self.seconds > LONGEST_TACIT
    }
}

/// The usual distance of rows, s: the median, in bounds.
pub(super) fn usual(seconds: &[f64]) -> f64 {
    let mut apart: Vec<f64> = seconds.windows(2).map(|pair| pair[1] - pair[0]).collect();
    apart.sort_by(f64::total_cmp);
    apart.get(apart.len() / 2).map_or(LONGEST_USUAL, |middle| middle.min(LONGEST_USUAL))
}

/// Whether rows so far apart have a gap between them, s.
pub(super) fn is_gap(apart: f64, usual: f64) -> bool {
    apart > USUAL_TIMES * usual
}
