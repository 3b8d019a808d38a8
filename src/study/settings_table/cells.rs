//! What stands in the cells of a table, and where.

use std::fmt;

use crate::time::Seconds;
use crate::units::parse_number;

/// What a cell holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
}

impl Cell {
    /// A cell of a text, which may be nothing. It stays a text where it reads like a number: `007`
    /// may be the name of a zone.
    pub fn of(text: &str) -> Self {
        let text = text.trim();
        if text.is_empty() { Self::Empty } else { Self::Text(text.to_owned()) }
    }

    /// The number that it holds, or that its text is.
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Empty => None,
            Self::Number(number) => Some(*number),
            Self::Text(text) => parse_number(text),
        }
    }

    /// Whether another cell says the same, the last bits of numbers aside.
    pub fn is(&self, other: &Self) -> bool {
        match (self.number(), other.number()) {
            (Some(one), Some(other)) => (one - other).abs() < 1e-6 * one.abs().max(1.0),
            _ => self == other,
        }
    }
}

impl fmt::Display for Cell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => Ok(()),
            Self::Number(number) => write!(f, "{number}"),
            Self::Text(text) => f.write_str(text),
        }
    }
}

/// The place of a cell, counted from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Address {
    /// Its row.
    pub row: usize,
    /// Its column.
    pub column: usize,
}

impl fmt::Display for Address {
    /// As spreadsheets name it: `C4`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut letters = Vec::new();
        let mut left = self.column + 1;
        while left > 0 {
            left -= 1;
            letters.push(char::from(b'A' + u8::try_from(left % 26).unwrap_or(0)));
            left /= 26;
        }
        let letters: String = letters.into_iter().rev().collect();
        write!(f, "{letters}{}", self.row + 1)
    }
}

/// A length of time in minutes.
pub(super) fn minutes(time: Seconds) -> f64 {
    time.get() as f64 / 60.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cells_have_the_names_of_spreadsheets() {
        let name = |row, column| Address { row, column }.to_string();
        assert_eq!(
            [name(0, 0), name(3, 25), name(3, 26), name(9, 701), name(9, 702)],
            ["A1", "Z4", "AA4", "ZZ10", "AAA10"]
        );
    }

    #[test]
    fn a_cell_holds_a_number_where_its_text_is_one() {
        assert_eq!(Cell::of(" 20.5 ").number(), Some(20.5));
        assert_eq!(Cell::of(" 007 ").to_string(), "007");
        assert_eq!(Cell::of(" "), Cell::Empty);
        assert_eq!(Cell::of("heat cool").number(), None);
        assert!(Cell::of("20.50").is(&Cell::Number(20.5)));
    }
}
