//! Cells of tables that people open in spreadsheets: none of them is taken for a formula.
//!
//! A spreadsheet takes a cell for a formula that begins with `=`, `+`, `-`, `@`, a tab or a return,
//! and does what it says. Titles, names and reasons come from files that others may have written, so
//! such a cell gets an apostrophe before it: `=1+1` stands in the file as `'=1+1`. Numbers keep their
//! signs. A text that has apostrophes before such a sign gets one more, so that every text can be
//! read back ([`as_written`]).
//!
//! ```
//! use setband::study::cells::{as_written, harmless};
//!
//! assert_eq!(harmless("=1+1"), "'=1+1");
//! assert_eq!(as_written("'=1+1"), "=1+1");
//! ```

use std::borrow::Cow;

/// What a formula begins with: OWASP, "CSV Injection" (owasp.org, from memory).
const BEGINS_A_FORMULA: [char; 6] = ['=', '+', '-', '@', '\t', '\r'];

/// The text as it stands in a table.
pub fn harmless(text: &str) -> Cow<'_, str> {
    if is_formula(text) { Cow::Owned(format!("'{text}")) } else { Cow::Borrowed(text) }
}

/// The text that stands in a table as [`harmless`] leaves it.
pub fn as_written(cell: &str) -> &str {
    cell.strip_prefix('\'').filter(|rest| is_formula(rest)).unwrap_or(cell)
}

/// What parts the cells of a text: commas or semicolons.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Separator {
    /// Commas; numbers have points.
    #[default]
    Comma,
    /// Semicolons, as spreadsheets write where commas stand in numbers.
    Semicolon,
}

impl Separator {
    /// What the first line has more of.
    pub fn of(line: &str) -> Self {
        let semicolons = line.matches(';').count() > line.matches(',').count();
        if semicolons { Self::Semicolon } else { Self::Comma }
    }

    /// As a byte of the text.
    pub const fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
        }
    }

    /// A number's text with a point.
    pub fn pointed(self, number: &str) -> Cow<'_, str> {
        match self {
            Self::Comma => Cow::Borrowed(number),
            Self::Semicolon => Cow::Owned(number.replace(',', ".")),
        }
    }
}

fn is_formula(text: &str) -> bool {
    let begins = text.trim_start_matches('\'').starts_with(BEGINS_A_FORMULA);
    begins && text.parse::<f64>().is_err()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn semicolons_go_with_decimal_commas() {
        let semicolons = Separator::of("zone;heat, cool;mode");
        assert_eq!((semicolons, semicolons.byte()), (Separator::Semicolon, b';'));
        assert_eq!(semicolons.pointed("20,5"), "20.5");
        assert_eq!(Separator::of("zone,heat;cool"), Separator::Comma);
        assert_eq!(Separator::Comma.pointed("20,5"), "20,5");
    }

    #[test]
    fn formulas_become_texts_and_numbers_stay_numbers() {
        for formula in
            ["=1+1", "+1-1", "-A1", "@SUM(A1)", "\t=1", "\r=1", "-", "=cmd|' /C calc'!A0"]
        {
            assert_eq!(harmless(formula), format!("'{formula}"));
        }
        for plain in ["", "21.5", "-3", "+2", "-1e-3", "a=b", "hall", "'quoted'", "it's -2"] {
            assert_eq!(harmless(plain), plain);
            assert_eq!(as_written(plain), plain);
        }
        assert_eq!(harmless("'=1"), "''=1");
    }

    proptest! {
        #[test]
        fn every_text_is_read_back_as_it_was(text in "['=+@\\-\t\r a1.]{0,8}") {
            let cell = harmless(&text);
            prop_assert_eq!(as_written(&cell), &*text);
            prop_assert!(!cell.starts_with(BEGINS_A_FORMULA) || cell.parse::<f64>().is_ok());
        }
    }
}
