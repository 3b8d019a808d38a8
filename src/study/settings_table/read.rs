//! A filled table held against a scenario: what it changes, and what is wrong with it.

use std::collections::HashMap;

use super::cells::{Address, Cell};
use super::table::{BY, Beside, CONTROLLER, Column, Row, Table, ZONE, columns};
use crate::scenario::nearest;

/// So many lines may stand above the line of keys.
const HEAD: usize = 10;

/// Something wrong in a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TableFault {
    /// Where; `None` for the table as a whole.
    pub at: Option<Address>,
    /// What is wrong.
    pub what: String,
    /// What would be right.
    pub help: String,
}

impl TableFault {
    /// A fault of a cell.
    pub fn new(at: Address, what: impl Into<String>, help: impl Into<String>) -> Self {
        Self { at: Some(at), what: what.into(), help: help.into() }
    }

    /// A fault of the table as a whole.
    pub fn whole(what: impl Into<String>, help: impl Into<String>) -> Self {
        Self { at: None, what: what.into(), help: help.into() }
    }
}

/// A table as it was read: rows with the place of each cell.
#[derive(Clone, Debug)]
pub struct Filled {
    /// Whether an empty cell says that there is nothing, and not that nobody looked.
    pub whole: bool,
    /// The column of the zones.
    pub zone_column: usize,
    /// Its columns, each with its place.
    pub columns: Vec<(usize, Column)>,
    /// Its rows, each with its place; cells in the order of the columns.
    pub rows: Vec<(usize, Row)>,
    /// Who filled in each row and on which day, each empty where nothing says it.
    pub by: Vec<[String; 2]>,
    /// What fits into no row, where it was read from a scenario.
    pub beside: Vec<Beside>,
    /// What is wrong with columns and rows; values are looked at where they are used.
    pub faults: Vec<TableFault>,
}

impl Filled {
    /// Finds columns and rows in a grid of cells.
    ///
    /// # Errors
    /// No line names the columns.
    pub fn read(grid: &[Vec<Cell>]) -> Result<Self, TableFault> {
        let Some(head) = grid.iter().take(HEAD).position(|row| row.iter().any(is_zone)) else {
            let what = format!("no line names the columns: none has a cell `{ZONE}`");
            return Err(TableFault::whole(what, "keep the line of keys of the table as written"));
        };
        let mut faults = Vec::new();
        let heads = Heads::read(head, &grid[head], &mut faults);
        let (mut rows, mut by): (Vec<(usize, Row)>, Vec<[String; 2]>) = (Vec::new(), Vec::new());
        let mut known: HashMap<(String, String), usize> = HashMap::new();
        let zones = heads.zone.unwrap_or(0);
        for (at, cells) in grid.iter().enumerate().skip(head + 1) {
            let text = |column: usize| cells.get(column).map_or_else(String::new, Cell::to_string);
            let (zone, controller) = (text(zones), heads.controller.map_or_else(String::new, text));
            let own =
                |(column, _): &(usize, Column)| cells.get(*column).cloned().unwrap_or(Cell::Empty);
            let values: Vec<Cell> = heads.columns.iter().map(own).collect();
            if zone.is_empty() {
                if let Some(place) = values.iter().position(|cell| *cell != Cell::Empty) {
                    let address = Address { row: at, column: heads.columns[place].0 };
                    let help = format!("write the zone's id in column {ZONE}, or clear the row");
                    faults.push(TableFault::new(address, "this row names no zone", help));
                }
                continue;
            }
            if let Some(first) = known.insert((zone.clone(), controller.clone()), at) {
                let what = format!("`{zone}` stands in row {} already", first + 1);
                let help = "keep one row for each controller of a zone";
                faults.push(TableFault::new(Address { row: at, column: zones }, what, help));
                continue;
            }
            rows.push((at, Row { zone, controller, cells: values }));
            by.push(heads.by.map(|place| place.map_or_else(String::new, text)));
        }
        if rows.is_empty() && faults.is_empty() {
            faults.push(TableFault::whole("the table has no rows", "keep a row for each zone"));
        }
        Ok(Self {
            whole: false,
            zone_column: zones,
            columns: heads.columns,
            rows,
            by,
            beside: Vec::new(),
            faults,
        })
    }

    /// The place of the zone's id in a row.
    pub fn zone_address(&self, row: usize) -> Address {
        Address { row: self.rows[row].0, column: self.zone_column }
    }

    /// The place of a cell.
    pub fn address(&self, row: usize, column: usize) -> Address {
        Address { row: self.rows[row].0, column: self.columns[column].0 }
    }
}

impl From<Table> for Filled {
    fn from(table: Table) -> Self {
        Self {
            whole: true,
            zone_column: 0,
            columns: table.columns.into_iter().enumerate().collect(),
            by: vec![<[String; 2]>::default(); table.rows.len()],
            rows: table.rows.into_iter().enumerate().collect(),
            beside: table.beside,
            faults: Vec::new(),
        }
    }
}

fn is_zone(cell: &Cell) -> bool {
    matches!(cell, Cell::Text(text) if text == ZONE)
}

/// The line of keys.
struct Heads {
    zone: Option<usize>,
    controller: Option<usize>,
    /// The columns of [`BY`].
    by: [Option<usize>; 2],
    columns: Vec<(usize, Column)>,
}

impl Heads {
    fn read(row: usize, cells: &[Cell], faults: &mut Vec<TableFault>) -> Self {
        let all = columns();
        let names: Vec<String> = all.iter().map(Column::key).collect();
        let mut heads = Self { zone: None, controller: None, by: [None; 2], columns: Vec::new() };
        for (at, cell) in cells.iter().enumerate().filter(|(_, cell)| **cell != Cell::Empty) {
            let name = cell.to_string();
            let address = Address { row, column: at };
            let twice = match name.as_str() {
                ZONE => heads.zone.replace(at).is_some(),
                CONTROLLER => heads.controller.replace(at).is_some(),
                name if name == BY[0] => heads.by[0].replace(at).is_some(),
                name if name == BY[1] => heads.by[1].replace(at).is_some(),
                _ => heads.setting(at, &name, (&all, &names)).unwrap_or_else(|help| {
                    faults.push(TableFault::new(address, format!("`{name}` is no setting"), help));
                    false
                }),
            };
            if twice {
                let what = format!("the column `{name}` stands there twice");
                faults.push(TableFault::new(address, what, "leave one of them"));
            }
        }
        heads
    }

    /// Takes the column of a setting; whether there is one already, or what would be right.
    fn setting(
        &mut self,
        at: usize,
        name: &str,
        (all, names): (&[Column], &[String]),
    ) -> Result<bool, String> {
        let Some(place) = names.iter().position(|known| known == name) else {
            let near = nearest(name, names.iter().map(String::as_str)).unwrap_or_default();
            return Err(format!("the nearest is `{near}`; or leave the column out"));
        };
        let twice = self.columns.iter().any(|(_, it)| it.key() == name);
        self.columns.push((at, all[place].clone()));
        Ok(twice)
    }
}
