//! Tables as data: columns with heading, quantity and unit, and rows of values.

use std::borrow::Cow;

use super::quantity::{Quantity, Units};
use crate::time::{Instant, Period};

/// Where a column stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::report) enum Medium {
    /// Text of a terminal.
    Terminal,
    /// A page.
    Page,
    /// A sheet of a workbook.
    Workbook,
    /// A CSV file.
    Csv,
}

impl Medium {
    const ALL: &'static [Self] = &[Self::Terminal, Self::Page, Self::Workbook, Self::Csv];
    /// What people read from above to below.
    pub(in crate::report) const BRIEF: &'static [Self] = &[Self::Terminal, Self::Page];
    /// What is looked up, filtered and reckoned with.
    pub(in crate::report) const FULL: &'static [Self] = &[Self::Workbook, Self::Csv];
}

/// What a piece of text is about. Colour only repeats what the words say.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Tone {
    /// Nothing in particular.
    #[default]
    Plain,
    /// Something to be read first.
    Strong,
    /// Something that may be passed over.
    Faint,
    /// About heating.
    Heating,
    /// About cooling.
    Cooling,
    /// Something that went against a wish.
    Warning,
}

/// A value of a table.
#[derive(Clone, Debug, Default, PartialEq)]
pub(in crate::report) enum Value {
    /// There is none.
    #[default]
    Nothing,
    /// Words, or a number written already.
    Words(String),
    /// A number of the column's quantity, in full.
    Number(f64),
    /// So many of so many.
    Part(u64, u64),
    /// A time of a period.
    #[cfg_attr(not(feature = "cli"), expect(dead_code, reason = "only workbooks have it"))]
    Time(Period, Instant),
    /// A column less another, by their places in the table, and what that is.
    Less(usize, usize, f64),
    /// The same in percent of the other.
    LessInPercent(usize, usize, f64),
}

impl From<f64> for Value {
    fn from(value: f64) -> Self {
        Self::Number(value)
    }
}

impl From<u64> for Value {
    fn from(count: u64) -> Self {
        Self::Number(count as f64)
    }
}

impl<T: Into<Self>> From<Option<T>> for Value {
    fn from(value: Option<T>) -> Self {
        value.map_or(Self::Nothing, Into::into)
    }
}

impl From<&str> for Value {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

impl From<String> for Value {
    fn from(words: String) -> Self {
        Self::Words(words)
    }
}

/// A value with its tone.
#[derive(Clone, Debug, Default)]
pub(in crate::report) struct Cell {
    /// The value.
    pub(in crate::report) value: Value,
    /// Its tone.
    pub(in crate::report) tone: Tone,
    /// Which figure of the JSON it is, as `energy/cost`; empty where it is none.
    pub(in crate::report) figure: String,
}

impl Cell {
    /// A value in a tone.
    pub(in crate::report) fn toned(value: impl Into<Value>, tone: Tone) -> Self {
        Self { value: value.into(), tone, figure: String::new() }
    }
}

impl<T: Into<Value>> From<T> for Cell {
    fn from(value: T) -> Self {
        Self::toned(value, Tone::Plain)
    }
}

/// A column.
#[derive(Clone, Debug)]
pub(in crate::report) struct Column {
    /// Its place in `summary.json` below that of the row, as `energy/cost`; empty where it has
    /// none.
    pub(in crate::report) path: &'static str,
    /// What it shares with its neighbours of the same group; often empty.
    pub(in crate::report) group: &'static str,
    /// What it is called, in small letters. A soft hyphen says where it may break.
    pub(in crate::report) head: Cow<'static, str>,
    /// In what it is counted.
    pub(in crate::report) quantity: Quantity,
    /// Its unit; often empty.
    pub(in crate::report) unit: String,
    /// Where it stands.
    pub(in crate::report) media: &'static [Medium],
    /// Whether it says how the column before it differs from another: a page has it in that
    /// column's cells.
    pub(in crate::report) differs: bool,
}

impl Column {
    /// A column of that quantity, without a unit, that stands everywhere.
    pub(in crate::report) fn new(head: impl Into<Cow<'static, str>>, quantity: Quantity) -> Self {
        Self {
            path: "",
            group: "",
            head: head.into(),
            quantity,
            unit: String::new(),
            media: Medium::ALL,
            differs: false,
        }
    }

    /// The same with its unit.
    pub(in crate::report) fn in_unit(
        head: impl Into<Cow<'static, str>>,
        quantity: Quantity,
        units: Units,
    ) -> Self {
        Self { unit: units.unit(quantity), ..Self::new(head, quantity) }
    }

    /// The same under a head that it shares with its neighbours.
    pub(in crate::report) fn under(self, group: &'static str) -> Self {
        Self { group, ..self }
    }

    /// Its name in CSV: `energy/heating_kwh` is `heating_kwh`, `temperature/min` is
    /// `temperature_min`.
    pub(in crate::report) fn key(&self) -> String {
        self.path.trim_start_matches("energy/").replace('/', "_")
    }
}

/// A row.
#[derive(Clone, Debug, Default)]
pub(in crate::report) struct Row {
    /// Its cells, one a column; a row without any leaves a line free.
    pub(in crate::report) cells: Vec<Cell>,
    /// In what the numbers are counted whose columns do not say it.
    pub(in crate::report) quantity: Option<Quantity>,
}

impl Row {
    /// In what a cell of that column is counted.
    pub(in crate::report) fn quantity(&self, column: &Column) -> Quantity {
        match (column.quantity, self.quantity) {
            (Quantity::Number, Some(own)) => own,
            (quantity, _) => quantity,
        }
    }
}

/// A column with how the things that the rows are about have its value.
#[derive(Debug)]
pub(in crate::report) struct Field<T> {
    path: &'static str,
    group: &'static str,
    head: &'static str,
    quantity: Quantity,
    media: &'static [Medium],
    minded: bool,
    value: fn(&T) -> Value,
}

impl<T> Field<T> {
    /// A field that stands everywhere; see [`Column`].
    pub(in crate::report) const fn new(
        path: &'static str,
        head: &'static str,
        quantity: Quantity,
        value: fn(&T) -> Value,
    ) -> Self {
        Self { path, group: "", head, quantity, media: Medium::ALL, minded: false, value }
    }

    /// The same under a head that it shares with its neighbours.
    pub(in crate::report) const fn under(mut self, group: &'static str) -> Self {
        self.group = group;
        self
    }

    /// The same in some media only.
    pub(in crate::report) const fn only(mut self, media: &'static [Medium]) -> Self {
        self.media = media;
        self
    }

    /// The same where any value but none and 0 went against somebody's wish.
    pub(in crate::report) const fn minded(mut self) -> Self {
        self.minded = true;
        self
    }

    /// The value of a thing whose place in `summary.json` is `place`, if it has one there.
    pub(in crate::report) fn cell(&self, place: &str, of: &T) -> Cell {
        let value = (self.value)(of);
        let against = match &value {
            Value::Part(done, all) => done < all,
            Value::Number(number) => {
                self.quantity.shown(*number).chars().any(|it| matches!(it, '1'..='9'))
            }
            _ => false,
        };
        let figure = match (place, self.path) {
            ("", _) | (_, "") => String::new(),
            (place, path) => format!("{place}/{path}"),
        };
        let tone = if self.minded && against { Tone::Warning } else { Tone::Plain };
        Cell { value, tone, figure }
    }

    /// Its column.
    pub(in crate::report) fn column(&self, units: Units) -> Column {
        Column {
            path: self.path,
            group: self.group,
            head: Cow::Borrowed(self.head),
            quantity: self.quantity,
            unit: units.unit(self.quantity),
            media: self.media,
            differs: false,
        }
    }
}

/// A table.
#[derive(Clone, Debug, Default)]
pub(in crate::report) struct Table {
    /// Its columns.
    pub(in crate::report) columns: Vec<Column>,
    /// Its rows.
    pub(in crate::report) rows: Vec<Row>,
}

impl Table {
    /// An empty table.
    pub(in crate::report) fn new(columns: Vec<Column>) -> Self {
        Self { columns, rows: Vec::new() }
    }

    /// A table with a row for each thing, each with its place in `summary.json`.
    pub(in crate::report) fn of<T>(
        units: Units,
        fields: &[Field<T>],
        things: impl IntoIterator<Item = (String, T)>,
    ) -> Self {
        let row = |(place, thing): (String, T)| Row {
            cells: fields.iter().map(|field| field.cell(&place, &thing)).collect(),
            quantity: None,
        };
        Self {
            columns: fields.iter().map(|field| field.column(units)).collect(),
            rows: things.into_iter().map(row).collect(),
        }
    }

    /// Adds a row; missing cells are blank.
    pub(in crate::report) fn row(&mut self, cells: impl IntoIterator<Item = Cell>) {
        let mut cells: Vec<Cell> = cells.into_iter().collect();
        if !cells.is_empty() {
            cells.resize(self.columns.len(), Cell::default());
        }
        self.rows.push(Row { cells, quantity: None });
    }

    /// Whether there is anything in it.
    pub(in crate::report) fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The places of the columns of a medium. What people read leaves out columns of which no row
    /// has a value.
    pub(in crate::report) fn columns_in(&self, medium: Medium) -> Vec<usize> {
        let says = |place: usize| {
            let value =
                |row: &Row| row.cells.get(place).is_some_and(|it| it.value != Value::Nothing);
            !Medium::BRIEF.contains(&medium) || self.is_empty() || self.rows.iter().any(value)
        };
        let stands = |place: &usize| self.columns[*place].media.contains(&medium) && says(*place);
        (0..self.columns.len()).filter(stands).collect()
    }
}
