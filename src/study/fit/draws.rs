//! Draws of what was fitted: a table with a draw a row, whose columns are paths of the scenario file
//! as sweeps vary them, so that a draw is a change of the file.
//!
//! ```
//! use setband::study::fit::draws::Draws;
//!
//! let draws = Draws::read("draw,zones.hall.space.opaque\n1,112.4 W/K\n2,109.8 W/K\n").expect("two draws");
//! assert_eq!(draws.rows.len(), 2);
//! assert!(draws.changes(0).is_ok());
//! ```

use std::fmt::Write as _;

use crate::scenario::Override;
use crate::study::cells::{as_written, harmless};

/// Draws, each a value for every path.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Draws {
    /// Paths of the scenario file, as a variant has them.
    pub paths: Vec<String>,
    /// A draw a row, by path, as the file would have the value: `112.4 W/K`.
    pub rows: Vec<Vec<String>>,
}

/// Why a table holds no draws: what is wrong, and what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoDraws {
    /// The line, from 1.
    pub line: usize,
    /// What is wrong.
    pub what: String,
    /// What would be right.
    pub help: String,
}

/// What such a table is called beside the fitted file.
pub const DRAWS: &str = "draws.csv";
/// Most rows and columns of such a table.
const MOST: usize = 100_000;

const HELP: &str =
    "write it with `setband fit`: a header `draw,<path>,<path>,...` and a draw a row";

impl Draws {
    /// Reads the table.
    ///
    /// # Errors
    /// Its header is not that of draws, a row has other cells than the header, or a value is none that
    /// a file could have.
    pub fn read(text: &str) -> Result<Self, NoDraws> {
        let fault = |line: usize, what: String| NoDraws { line, what, help: HELP.into() };
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .from_reader(text.as_bytes());
        let mut draws = Self::default();
        for (place, record) in reader.records().enumerate() {
            let record = record.map_err(|error| fault(place + 1, error.to_string()))?;
            let line = record
                .position()
                .map_or(place + 1, |it| usize::try_from(it.line()).unwrap_or(place + 1));
            let cells = record.iter().skip(1).map(|cell| as_written(cell.trim()).to_owned());
            if place == 0 {
                if record.get(0).map(str::trim) != Some("draw") {
                    return Err(fault(line, "this is no table of draws".into()));
                }
                draws.paths = cells.collect();
                if draws.paths.is_empty() {
                    return Err(fault(line, "the table names no path".into()));
                }
                continue;
            }
            let row: Vec<String> = cells.collect();
            if row.len() != draws.paths.len() {
                let (have, want) = (row.len(), draws.paths.len());
                return Err(fault(line, format!("{have} values for {want} paths")));
            }
            for (path, value) in draws.paths.iter().zip(&row) {
                Override::new(path, value)
                    .map_err(|what| fault(line, format!("{path}: {what}")))?;
            }
            if draws.rows.len() >= MOST {
                return Err(fault(line, format!("more than {MOST} draws")));
            }
            draws.rows.push(row);
        }
        if draws.rows.is_empty() {
            return Err(fault(1, "the table has no draws".into()));
        }
        Ok(draws)
    }

    /// The table as text.
    pub fn write(&self) -> String {
        let mut text = "draw".to_owned();
        for path in &self.paths {
            let _ = write!(text, ",{}", quoted(path));
        }
        text.push('\n');
        for (place, row) in self.rows.iter().enumerate() {
            let _ = write!(text, "{}", place + 1);
            for value in row {
                let _ = write!(text, ",{}", quoted(value));
            }
            text.push('\n');
        }
        text
    }

    /// What a draw changes in the file.
    ///
    /// # Errors
    /// A value is none that a file could have; in words.
    pub fn changes(&self, draw: usize) -> Result<Vec<Override>, String> {
        let row = self.rows.get(draw).map_or(&[][..], |row| &row[..]);
        self.paths.iter().zip(row).map(|(path, value)| Override::new(path, value)).collect()
    }
}

fn quoted(cell: &str) -> String {
    let cell = harmless(cell);
    if cell.contains([',', '"', '\n']) {
        return format!("\"{}\"", cell.replace('"', "\"\""));
    }
    cell.into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read() {
        let draws = Draws {
            paths: vec!["zones.hall.space.opaque".into(), "zones.hall.unit.powers".into()],
            rows: vec![vec!["112.4 W/K".into(), "[0.6, 1]".into()]],
        };
        let text = draws.write();
        assert_eq!(
            text,
            "draw,zones.hall.space.opaque,zones.hall.unit.powers\n1,112.4 W/K,\"[0.6, 1]\"\n"
        );
        assert_eq!(Draws::read(&text), Ok(draws.clone()));
        assert_eq!(draws.changes(0).map(|it| it.len()), Ok(2));
    }

    #[test]
    fn other_tables_are_refused_with_their_line() {
        for (text, line) in [
            ("", 1),
            ("time,a\n1,2\n", 1),
            ("draw\n1\n", 1),
            ("draw,a.b\n", 1),
            ("draw,a.b\n1,2\n2,3,4\n", 3),
            ("draw,a.b\n1,\"{\"\n", 2),
        ] {
            assert_eq!(Draws::read(text).expect_err(text).line, line, "{text}");
        }
    }
}
