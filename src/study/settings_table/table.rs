//! The settings of many zones as one table: a row a zone, a column a setting. It is written to be
//! filled in, read back, and held against another.

use super::cells::{Cell, minutes};
use crate::engine::Model;
use crate::settings::{self, Access, ENDS, Entry, Kind, Subject, Value};
use crate::units::TemperatureUnit;

/// The column of zones.
pub const ZONE: &str = "zone";
/// The column of controllers.
pub const CONTROLLER: &str = "controller";
/// Columns behind the settings of who filled in a row, and on which day.
pub const BY: [&str; 2] = ["tester", "date"];

/// A column: a setting, or one end of one that has two.
#[derive(Clone, Debug)]
pub struct Column {
    /// The setting.
    pub entry: Entry,
    /// Of a span, which end.
    pub end: Option<usize>,
}

impl Column {
    /// The way to it in the file from its zone, with the end of a span behind.
    pub fn key(&self) -> String {
        match self.end {
            Some(end) => format!("{}.{}", self.entry.key.path, ENDS[end]),
            None => self.entry.key.path.to_owned(),
        }
    }

    /// What people call it.
    pub fn heading(&self) -> String {
        match self.end {
            Some(end) => format!("{}, {}", self.entry.setting.name, ["lowest", "highest"][end]),
            None => self.entry.setting.name.to_owned(),
        }
    }

    /// The unit of its numbers; empty where they have none.
    pub fn unit(&self, unit: TemperatureUnit) -> String {
        match kind_of_cell(&self.entry.key.kind) {
            Some(Kind::Temperature(_) | Kind::Difference(_)) => format!("°{}", unit.letter()),
            Some(Kind::Duration(_)) => "min".into(),
            Some(Kind::Size(dimension, _) | Kind::SizeOrBare(dimension, _)) => {
                dimension.base().into()
            }
            _ => String::new(),
        }
    }

    /// The words to choose from; none where anything else is written.
    pub fn choices(&self) -> &'static [&'static str] {
        match self.entry.key.kind {
            Kind::Word(words) => words,
            Kind::OnOff => &["on", "off"],
            Kind::YesNo => &["true", "false"],
            _ => &[],
        }
    }

    /// What a cell holds for a value.
    fn cell(&self, value: &Value) -> Cell {
        match (value, self.end) {
            (Value::Nothing, _) => Cell::Empty,
            (Value::Number(number), _) => Cell::Number(tidy(*number)),
            (Value::Time(time), _) => Cell::Number(minutes(*time)),
            (Value::Span(span), Some(end)) => Cell::Number(tidy(span[end])),
            (value, _) => Cell::Text(value.to_string()),
        }
    }
}

/// What is worked out from a capacity and a count is not written to the last bit.
fn tidy(value: f64) -> f64 {
    libm::round(value * 1e6) / 1e6
}

/// The kind of what stands in a cell; `None` where a setting does not fit into cells.
fn kind_of_cell(kind: &'static Kind) -> Option<&'static Kind> {
    match kind {
        Kind::Exactly(2, inner) => Some(inner),
        Kind::Either(kinds) => kinds.iter().find_map(kind_of_cell),
        Kind::Temperature(_)
        | Kind::Difference(_)
        | Kind::Number(_)
        | Kind::Whole(_)
        | Kind::Size(..)
        | Kind::SizeOrBare(..)
        | Kind::Duration(_)
        | Kind::YesNo
        | Kind::OnOff
        | Kind::Word(_)
        | Kind::Words(..)
        | Kind::Name => Some(kind),
        _ => None,
    }
}

/// Every column: the settings of a zone that fit into cells. Spans of occupancy do not, and a
/// controller's name is the row's.
pub fn columns() -> Vec<Column> {
    let mut all = Vec::new();
    for entry in settings::of_zones() {
        let in_list = entry.key.path.contains("[]");
        let of_controller = matches!(entry.setting.access, Access::Controller { .. });
        let a_name = of_controller && matches!(entry.key.kind, Kind::Name);
        if kind_of_cell(&entry.key.kind).is_none() || in_list != of_controller || a_name {
            continue;
        }
        let ends: &[Option<usize>] = match entry.key.kind {
            Kind::Exactly(2, _) => &[Some(0), Some(1)],
            _ => &[None],
        };
        all.extend(ends.iter().map(|end| Column { entry: *entry, end: *end }));
    }
    all
}

/// A row: a zone with its first controller, or another controller of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The zone's id.
    pub zone: String,
    /// The controller's id.
    pub controller: String,
    /// A cell for each column; empty where the column is none of this row.
    pub cells: Vec<Cell>,
}

/// The table.
#[derive(Clone, Debug)]
pub struct Table {
    /// The unit of its temperatures.
    pub unit: TemperatureUnit,
    /// Its columns.
    pub columns: Vec<Column>,
    /// Its rows.
    pub rows: Vec<Row>,
    /// What fits into no row.
    pub beside: Vec<Beside>,
}

/// A setting that fits into no row: of an outdoor unit, or a daily schedule.
#[derive(Clone, Debug, PartialEq)]
pub struct Beside {
    /// Where it stands in the file.
    pub path: String,
    /// What people call it.
    pub name: &'static str,
    /// What it is, in one line.
    pub value: String,
}

/// The settings of a model that fit into no row of the table.
fn beside(model: &Model) -> Vec<Beside> {
    let of_groups = settings::of_groups().iter();
    let schedules = settings::of_zones().iter().filter(|entry| {
        matches!(entry.setting.access, Access::Zone { .. })
            && (kind_of_cell(&entry.key.kind).is_none() || entry.key.path.contains("[]"))
    });
    let mut all = Vec::new();
    for entry in of_groups.chain(schedules) {
        for subject in entry.subjects(model) {
            let value = entry.get(model, subject).to_string();
            let (path, name) = (entry.path(model, subject), entry.setting.name);
            all.push(Beside { path, name, value });
        }
    }
    all
}

impl Table {
    /// The settings of a model.
    pub fn of(model: &Model) -> Self {
        let columns = columns();
        let mut rows = Vec::new();
        for (at, zone) in model.zones.iter().enumerate() {
            for (place, controller) in
                zone.controls.settings.controllers.as_slice().iter().enumerate()
            {
                let cell = |column: &Column| {
                    let subject = match column.entry.setting.access {
                        Access::Controller { .. } => Subject::Controller(at, place),
                        _ if place > 0 => return Cell::Empty,
                        _ => Subject::Zone(at),
                    };
                    column.cell(&column.entry.get(model, subject))
                };
                rows.push(Row {
                    zone: zone.id.clone(),
                    controller: controller.id.clone(),
                    cells: columns.iter().map(cell).collect(),
                });
            }
        }
        Self { unit: model.unit, columns, rows, beside: beside(model) }
    }
}
