//! Where two tables differ.

use super::cells::Cell;
use super::read::Filled;
use super::table::{Beside, Column};

/// One value that two tables have otherwise.
#[derive(Clone, Debug)]
pub struct Difference {
    /// Which setting.
    pub column: Column,
    /// In which zone, at which controller where the setting is a controller's.
    pub place: String,
    /// Which row of the first table that is, from 0.
    pub row: usize,
    /// The value in each.
    pub values: [Cell; 2],
}

/// A setting that stands in no row and that two scenarios have otherwise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BesideDifference {
    /// Where it stands in the file.
    pub path: String,
    /// What people call it.
    pub name: &'static str,
    /// The value in each; `None` where one lacks it.
    pub values: [Option<String>; 2],
}

/// All differences of two tables.
#[derive(Clone, Debug, Default)]
pub struct Differences {
    /// By setting, then in the order of the rows.
    pub values: Vec<Difference>,
    /// Settings of outdoor units and schedules, where both are scenarios.
    pub beside: Vec<BesideDifference>,
    /// Whether one of them is a table, in which these do not stand.
    pub is_of_rows_alone: bool,
    /// Zones that only one of them has.
    pub only_in: [Vec<String>; 2],
}

impl Differences {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.values.is_empty() && self.beside.is_empty() && self.only_in.iter().all(Vec::is_empty)
    }
}

/// Holds two tables against each other. A cell that a filled table leaves empty was not looked at
/// and differs from nothing.
pub fn differences(one: &Filled, other: &Filled) -> Differences {
    let mut all = Differences::default();
    let lacks = |table: &Filled, zone: &str| table.rows.iter().all(|(_, row)| row.zone != zone);
    for (slot, (table, against)) in [(one, other), (other, one)].into_iter().enumerate() {
        for (_, row) in &table.rows {
            if lacks(against, &row.zone) && !all.only_in[slot].contains(&row.zone) {
                all.only_in[slot].push(row.zone.clone());
            }
        }
    }
    for (at, (_, column)) in one.columns.iter().enumerate() {
        let same = |(_, it): &(usize, Column)| it.key() == column.key();
        let Some(beside) = other.columns.iter().position(same) else { continue };
        for (number, (_, row)) in one.rows.iter().enumerate() {
            let pair = |(_, it): &&(usize, super::Row)| {
                it.zone == row.zone && it.controller == row.controller
            };
            let Some((_, against)) = other.rows.iter().find(pair) else { continue };
            let (here, there) = (&row.cells[at], &against.cells[beside]);
            let unseen = |cell: &Cell, table: &Filled| *cell == Cell::Empty && !table.whole;
            if unseen(here, one) || unseen(there, other) || here.is(there) {
                continue;
            }
            let first = one.rows.iter().find(|(_, it)| it.zone == row.zone);
            let alone = first.is_some_and(|(_, it)| it.controller == row.controller);
            let place = if alone {
                row.zone.clone()
            } else {
                format!("{} at {}", row.zone, row.controller)
            };
            let values = [here.clone(), there.clone()];
            all.values.push(Difference { column: column.clone(), place, row: number, values });
        }
    }
    all.is_of_rows_alone = !(one.whole && other.whole);
    if !all.is_of_rows_alone {
        all.beside = beside(&one.beside, &other.beside);
    }
    all
}

fn beside(one: &[Beside], other: &[Beside]) -> Vec<BesideDifference> {
    let find = |all: &[Beside], path: &str| {
        all.iter().find(|it| it.path == path).map(|it| it.value.clone())
    };
    let mut all = Vec::new();
    for it in one.iter().chain(other) {
        let values = [find(one, &it.path), find(other, &it.path)];
        let known = all.iter().any(|known: &BesideDifference| known.path == it.path);
        if values[0] != values[1] && !known {
            all.push(BesideDifference { path: it.path.clone(), name: it.name, values });
        }
    }
    all
}
