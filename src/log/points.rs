//! Where the mapped points stand in a table, and how their cells are taken.

use super::mapping::{Mapping, Running, WordColumn, ZoneMapping};
use super::number::Decimal;
use crate::control::{Mode, Power};
use crate::units::TemperatureUnit;

/// Lowest and highest air temperature that a reading can be, degrees C.
const POSSIBLE: std::ops::RangeInclusive<f64> = -60.0..=80.0;

/// What a cell is read as.
#[derive(Clone, Debug)]
pub(super) enum Kind<'m> {
    /// A temperature, kept in the log's unit.
    Temperature,
    /// Any number.
    Number,
    Mode(&'m WordColumn<Mode>),
    Power(&'m WordColumn<Power>),
    Running(&'m WordColumn<Running>),
    Occupied(&'m WordColumn<bool>),
    /// Words that are kept.
    Words,
}

/// One point: its column or name, and what its cells are read as.
#[derive(Clone, Debug)]
pub(super) struct Point<'m> {
    pub name: &'m str,
    pub kind: Kind<'m>,
}

/// What a cell says.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Cell {
    Nothing,
    Number(f64),
    Mode(Mode),
    Power(Power),
    Running(Running),
    Occupied(bool),
    Words(String),
}

/// Why a cell cannot be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum CellFault {
    NoNumber,
    Impossible,
    UnknownWord,
}

impl Point<'_> {
    /// Reads a cell.
    pub(super) fn read(
        &self,
        cell: &str,
        decimal: Decimal,
        unit: TemperatureUnit,
    ) -> Result<Cell, CellFault> {
        let cell = cell.trim();
        if cell.is_empty() {
            return Ok(Cell::Nothing);
        }
        let word = CellFault::UnknownWord;
        match &self.kind {
            Kind::Temperature => {
                let value = decimal.parse(cell).ok_or(CellFault::NoNumber)?;
                let possible = POSSIBLE.contains(&unit.to_celsius(value));
                if possible { Ok(Cell::Number(value)) } else { Err(CellFault::Impossible) }
            }
            Kind::Number => decimal.parse(cell).map(Cell::Number).ok_or(CellFault::NoNumber),
            Kind::Mode(words) => words.meaning(cell).map(Cell::Mode).ok_or(word),
            Kind::Power(words) => words.meaning(cell).map(Cell::Power).ok_or(word),
            Kind::Running(words) => words.meaning(cell).map(Cell::Running).ok_or(word),
            Kind::Occupied(words) => words.meaning(cell).map(Cell::Occupied).ok_or(word),
            Kind::Words => Ok(Cell::Words(cell.to_owned())),
        }
    }
}

/// All points of a mapping, always in the same order: outdoor, radiation, meters, then zone by
/// zone. What the log lacks is `None`.
pub(super) fn points(mapping: &Mapping) -> Vec<Option<Point<'_>>> {
    let mut all = vec![
        mapping.outdoor.as_ref().map(|name| Point { name, kind: Kind::Temperature }),
        mapping.radiation.as_ref().map(|name| Point { name, kind: Kind::Number }),
    ];
    all.extend(
        mapping.electricity.iter().map(|it| Some(Point { name: &it.column, kind: Kind::Number })),
    );
    for zone in &mapping.zones {
        zone_points(zone, &mut all);
    }
    all
}

fn zone_points<'m>(zone: &'m ZoneMapping, all: &mut Vec<Option<Point<'m>>>) {
    let temperature = |name: &'m String| Point { name, kind: Kind::Temperature };
    let number = |name: &'m String| Point { name, kind: Kind::Number };
    all.push(Some(temperature(&zone.temperature)));
    all.extend(zone.others.iter().map(|(_, column)| Some(temperature(column))));
    all.push(zone.heat.as_ref().map(temperature));
    all.push(zone.cool.as_ref().map(temperature));
    all.push(zone.mode.as_ref().map(|it| Point { name: &it.column, kind: Kind::Mode(it) }));
    all.push(zone.power.as_ref().map(|it| Point { name: &it.column, kind: Kind::Power(it) }));
    all.push(zone.running.as_ref().map(|it| Point { name: &it.column, kind: Kind::Running(it) }));
    all.push(zone.output.as_ref().map(|it| number(&it.column)));
    all.push(zone.coil.as_ref().map(temperature));
    all.push(zone.events.as_ref().map(|name| Point { name, kind: Kind::Words }));
    all.push(zone.people.as_ref().map(number));
    all.push(zone.occupied.as_ref().map(|it| Point { name: &it.column, kind: Kind::Occupied(it) }));
}
