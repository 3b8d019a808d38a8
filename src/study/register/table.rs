//! A filled table of settings: what was found and left, held against what was specified.

use jiff::civil::Date;

use super::paper::{Paper, PaperKind};
use super::seen::{Event, Shows};
use crate::study::settings_table::{Address, Cell, Column, Filled, Row, TableFault, in_words};
use crate::units::TemperatureUnit;

/// The tables of one building: what was specified, and what was found and left.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tables {
    /// What was specified.
    pub specified: Vec<Vec<Cell>>,
    /// What was found, if it was written down.
    pub found: Option<Vec<Vec<Cell>>>,
    /// What was left, if it was written down.
    pub left: Option<Vec<Vec<Cell>>>,
}

/// What stands in cells as read, in the order in which it was looked at.
const PARTS: [&str; 2] = ["found", "left"];
/// What they are held against.
const SPECIFIED: &str = "specified";

impl Tables {
    /// What they show. A cell that is as specified shows its setting; another one fails it, until it is
    /// left as specified. Who and when stand in the columns `tester` and `date`, at least in the first
    /// row of a day.
    ///
    /// # Errors
    /// Everything that is wrong with them, each with the table in which it is.
    pub fn paper(&self, name: &str) -> Result<Paper, Vec<(&'static str, TableFault)>> {
        if self.specified.is_empty() {
            let what = "there is no table of what was specified to hold this against";
            let fault = TableFault::whole(what, "put it beside, named ...specified.csv");
            return Err(vec![(if self.found.is_some() { PARTS[0] } else { PARTS[1] }, fault)]);
        }
        let mut faults: Vec<(&'static str, TableFault)> = Vec::new();
        let mut read = |part: &'static str, grid: &[Vec<Cell>]| match Filled::read(grid) {
            Ok(filled) => {
                faults.extend(filled.faults.iter().map(|fault| (part, fault.clone())));
                Some(filled)
            }
            Err(fault) => {
                faults.push((part, fault));
                None
            }
        };
        let specified = read(SPECIFIED, &self.specified);
        let parts = [&self.found, &self.left];
        let filled: Vec<(&'static str, Filled)> = PARTS
            .into_iter()
            .zip(parts)
            .filter_map(|(part, grid)| Some((part, read(part, grid.as_ref()?)?)))
            .collect();
        let mut paper = Paper::empty(name, PaperKind::Table);
        if let Some(specified) = &specified {
            for (part, filled) in &filled {
                let mut reader = Reader { specified, part, filled, paper: &mut paper };
                reader.read(&mut faults);
            }
        }
        if faults.is_empty() { Ok(paper) } else { Err(faults) }
    }
}

struct Reader<'t> {
    specified: &'t Filled,
    part: &'static str,
    filled: &'t Filled,
    paper: &'t mut Paper,
}

impl Reader<'_> {
    fn read(&mut self, faults: &mut Vec<(&'static str, TableFault)>) {
        let (mut day, mut who): (Option<Date>, &str) = (None, "");
        for (at, (_, row)) in self.filled.rows.iter().enumerate() {
            let mut fault = |address: Address, what: String, help: &str| {
                faults.push((self.part, TableFault::new(address, what, help)));
            };
            let place = self.filled.zone_address(at);
            let [tester, date] = &self.filled.by[at];
            if !tester.is_empty() {
                who = tester;
            }
            if !date.is_empty() {
                match date.parse() {
                    Ok(date) => day = Some(date),
                    Err(_) => fault(place, format!("`{date}` is no day"), "write it as 2026-04-02"),
                }
            }
            let same =
                |(_, it): &(usize, Row)| (&it.zone, &it.controller) == (&row.zone, &row.controller);
            let Some(own) = self.specified.rows.iter().position(same) else {
                let what = format!("`{}` stands in no row of what is specified", row.zone);
                fault(place, what, "write the zone and the controller as they stand there");
                continue;
            };
            if row.cells.iter().all(|cell| *cell == Cell::Empty) {
                self.paper.unread += 1;
                continue;
            }
            let Some(date) = day else {
                if date.is_empty() {
                    let help =
                        "write it in the column `date`, at least in the first row of each day";
                    fault(place, "nothing says on which day this row was read".into(), help);
                    break;
                }
                continue;
            };
            self.paper.day(date, who);
            self.row(at, own, date, who);
        }
    }

    /// Takes in the cells of a row that was filled in.
    fn row(&mut self, at: usize, own: usize, date: Date, tester: &str) {
        let (filled, specified) = (self.filled, self.specified);
        let row = &filled.rows[at].1;
        for (column, (_, it)) in filled.columns.iter().enumerate() {
            let same = |(_, other): &(usize, Column)| other.key() == it.key();
            let Some(beside) = specified.columns.iter().position(same) else { continue };
            let (cell, wanted) = (&row.cells[column], &specified.rows[own].1.cells[beside]);
            if *cell == Cell::Empty || *wanted == Cell::Empty {
                continue;
            }
            // Which unit it is does not change what a number is.
            let words = |cell: &Cell| in_words(cell, it, TemperatureUnit::Celsius);
            let holds = cell.is(wanted);
            let address = filled.address(at, column);
            let line = if holds {
                format!("{} {address}", self.part)
            } else {
                format!("{} {address}: {}", self.part, words(cell))
            };
            let outcome = if holds { Shows::Holds } else { Shows::Fails };
            self.paper.good += usize::from(holds);
            self.paper.otherwise += usize::from(!holds);
            self.paper.events.push(Event {
                subject: self.path(own, it),
                value: words(wanted),
                date,
                tester: tester.to_owned(),
                lines: vec![line],
                outcome,
            });
        }
    }

    /// Where a setting stands in the file.
    fn path(&self, own: usize, column: &Column) -> String {
        let zone = &self.specified.rows[own].1.zone;
        let earlier = self.specified.rows[..own].iter();
        let place = earlier.filter(|(_, it)| it.zone == *zone).count();
        let key = column.key().replace("[]", &format!("[{place}]"));
        format!("zones.{zone}.{key}")
    }
}
