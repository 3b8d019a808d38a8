//! What is in a table of which nothing is known: for each column what it seems to hold, its range,
//! its resolution and what is missing, and from these a mapping as a guess.

use super::clock::{Clock, LogTime, TimeReader};
use super::number::Decimal;
use super::table::Table;
use super::table_fault::TableFault;

/// So many different words or codes make a switch; more are words.
const MOST_CODES: usize = 12;
/// Different values are kept up to so many.
const MOST_DISTINCT: usize = 4_000;
/// So much of a column must be numbers to be one of numbers.
const MOSTLY: f64 = 0.9;

/// What a column seems to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnKind {
    /// Times.
    Time,
    /// A temperature of air.
    Temperature,
    /// A temperature that stands still and jumps in round steps.
    Setpoint,
    /// Few different values: a mode, a power, a stage.
    Switch,
    /// A number that only grows.
    Counter,
    /// Other numbers.
    Number,
    /// Words.
    Words,
    /// Nothing at all.
    Empty,
}

impl ColumnKind {
    /// In one word.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Temperature => "temperature",
            Self::Setpoint => "setpoint",
            Self::Switch => "switch",
            Self::Counter => "counter",
            Self::Number => "number",
            Self::Words => "words",
            Self::Empty => "empty",
        }
    }
}

/// What is in one column.
#[derive(Clone, Debug, PartialEq)]
pub struct ColumnSurvey {
    /// Its heading.
    pub name: String,
    /// What it seems to hold.
    pub kind: ColumnKind,
    /// Lowest and highest number.
    pub range: Option<(f64, f64)>,
    /// The step that all its numbers are whole multiples of.
    pub resolution: Option<f64>,
    /// Cells without anything, and cells in all.
    pub missing: (usize, usize),
    /// The longest run of rows with one value, and the line where it begins.
    pub longest_still: (usize, u32),
    /// The different values of a switch, most frequent first.
    pub values: Vec<String>,
}

/// What is in a table.
#[derive(Clone, Debug, PartialEq)]
pub struct Survey {
    /// How it is written, in words.
    pub layout: String,
    /// Line of the header.
    pub header_line: u32,
    /// Rows below it.
    pub rows: usize,
    /// The columns.
    pub columns: Vec<ColumnSurvey>,
    /// The format of the times, if it could be told: none for ISO 8601.
    pub time: Option<TimeGuess>,
}

/// Where the times are and how they are written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TimeGuess {
    /// Places of the columns.
    pub columns: Vec<usize>,
    /// Their format; `None` for ISO 8601.
    pub format: Option<&'static str>,
    /// Whether the year has to be given.
    pub lacks_year: bool,
    /// First and last time.
    pub span: (LogTime, LogTime),
    /// The usual interval, s.
    pub interval: i64,
    /// How many gaps of more than five intervals, at least a quarter of an hour, there are.
    pub gaps: usize,
}

/// Formats that are tried, in turn, after ISO 8601. Where day and month could be either, the one
/// that keeps time running on wins.
const FORMATS: [&str; 14] = [
    "%Y-%m-%d %H:%M:%S",
    "%Y-%m-%d %H:%M",
    "%Y/%m/%d %H:%M:%S",
    "%Y/%m/%d %H:%M",
    "%d.%m.%Y %H:%M:%S",
    "%d.%m.%Y %H:%M",
    "%d/%m/%Y %H:%M:%S",
    "%d/%m/%Y %H:%M",
    "%m/%d/%Y %H:%M:%S",
    "%m/%d/%Y %H:%M",
    "%m/%d/%Y %I:%M:%S %p",
    "%m/%d/%Y %I:%M %p",
    "%m/%d %H:%M:%S",
    "%m/%d %H:%M",
];
/// So many rows tell whether a format is worth a try.
const FEW: usize = 200;
/// A year for formats that lack one, only to read on.
const ANY_YEAR: i16 = 2021;

/// Looks a table over.
///
/// # Errors
/// A row is wider than a log may be.
pub fn survey(table: &Table) -> Result<Survey, TableFault> {
    let mut columns: Vec<Gathering> =
        table.header().iter().map(|name| Gathering::new(name)).collect();
    let mut rows = 0;
    table.each_row(|line, record| {
        rows += 1;
        for (place, column) in columns.iter_mut().enumerate() {
            column.take(record.get(place).unwrap_or_default().trim(), line, table.decimal());
        }
    })?;
    let time = time_guess(table, &columns)?;
    let is_time = |place: &usize| time.as_ref().is_some_and(|it| it.columns.contains(place));
    let columns = columns.into_iter().enumerate();
    let columns = columns.map(|(place, column)| column.finish(rows, is_time(&place))).collect();
    Ok(Survey {
        layout: table.layout_words(),
        header_line: table.header_line(),
        rows,
        columns,
        time,
    })
}

/// A column as its cells come.
struct Gathering {
    name: String,
    cells: usize,
    numbers: usize,
    range: Option<(f64, f64)>,
    falls: usize,
    rises: usize,
    last: Option<f64>,
    distinct: std::collections::HashMap<String, usize>,
    still: (String, usize, u32),
    longest_still: (usize, u32),
    samples: Vec<f64>,
}

impl Gathering {
    fn new(name: &str) -> Self {
        Self {
            name: name.to_owned(),
            cells: 0,
            numbers: 0,
            range: None,
            falls: 0,
            rises: 0,
            last: None,
            distinct: std::collections::HashMap::new(),
            still: (String::new(), 0, 0),
            longest_still: (0, 0),
            samples: Vec::new(),
        }
    }

    fn take(&mut self, cell: &str, line: u32, decimal: Decimal) {
        if cell.is_empty() {
            return;
        }
        self.cells += 1;
        if let Some(count) = self.distinct.get_mut(cell) {
            *count += 1;
        } else if self.distinct.len() < MOST_DISTINCT {
            self.distinct.insert(cell.to_owned(), 1);
        }
        if self.still.0 == cell {
            self.still.1 += 1;
        } else {
            self.still.0.clear();
            self.still.0.push_str(cell);
            (self.still.1, self.still.2) = (1, line);
        }
        if self.still.1 > self.longest_still.0 {
            self.longest_still = (self.still.1, self.still.2);
        }
        let Some(value) = decimal.parse(cell) else { return };
        self.numbers += 1;
        if self.samples.len() < MOST_DISTINCT {
            self.samples.push(value);
        }
        let (low, high) = self.range.unwrap_or((value, value));
        self.range = Some((low.min(value), high.max(value)));
        match self.last.map(|last| value.total_cmp(&last)) {
            Some(std::cmp::Ordering::Less) => self.falls += 1,
            Some(std::cmp::Ordering::Greater) => self.rises += 1,
            _ => {}
        }
        self.last = Some(value);
    }

    fn finish(self, rows: usize, is_time: bool) -> ColumnSurvey {
        let kind = if is_time { ColumnKind::Time } else { self.kind() };
        let mut values: Vec<(&String, &usize)> = self.distinct.iter().collect();
        values.sort_by(|one, other| other.1.cmp(one.1).then(one.0.cmp(other.0)));
        let is_switch = kind == ColumnKind::Switch;
        let values = values.into_iter().filter(|_| is_switch).map(|it| it.0.clone()).collect();
        ColumnSurvey {
            kind,
            range: self.range,
            resolution: resolution(&self.samples),
            missing: (rows - self.cells, rows),
            longest_still: self.longest_still,
            values,
            name: self.name,
        }
    }

    fn kind(&self) -> ColumnKind {
        if self.cells == 0 {
            return ColumnKind::Empty;
        }
        let numeric = self.numbers as f64 >= MOSTLY * self.cells as f64;
        let few = self.distinct.len() <= MOST_CODES && self.cells > 2 * self.distinct.len();
        let Some((low, high)) = self.range.filter(|_| numeric) else {
            return if few { ColumnKind::Switch } else { ColumnKind::Words };
        };
        let plausible = low >= -60.0 && high <= 130.0;
        let changes = self.falls + self.rises;
        let whole = self.samples.iter().all(|value| value.fract() == 0.0);
        if plausible && low >= 5.0 && says_setpoint(&self.name) && 20 * changes < self.cells {
            ColumnKind::Setpoint
        } else if self.falls == 0
            && self.rises > 2
            && high - low > 1.0
            && self.distinct.len() > MOST_CODES
        {
            ColumnKind::Counter
        } else if few && whole && high - low <= 12.0 && low >= 0.0 && high <= 20.0 {
            ColumnKind::Switch
        } else if plausible && low >= 5.0 && 20 * changes < self.cells && named_setpoint(self) {
            ColumnKind::Setpoint
        } else if plausible && high > 5.0 && !named_otherwise(&self.name) {
            ColumnKind::Temperature
        } else {
            ColumnKind::Number
        }
    }
}

/// Few changes between round values, or a name that says it.
fn named_setpoint(column: &Gathering) -> bool {
    let step = resolution(&column.samples).unwrap_or(0.0);
    says_setpoint(&column.name) || (column.distinct.len() <= 40 && step >= 0.5)
}

/// A name that says that it is a setpoint.
fn says_setpoint(name: &str) -> bool {
    let name = name.to_lowercase();
    let ends = name.split(|letter: char| !letter.is_alphanumeric()).any(|word| word == "sp");
    ends || ["setp", "spt", "soll", "target"].iter().any(|part| name.contains(part))
}

/// A name that says that it is no temperature.
fn named_otherwise(name: &str) -> bool {
    let name = name.to_lowercase();
    ["humid", "rh", "co2", "flow", "power", "watt", "kwh", "percent", "pct", "%", "people", "wind"]
        .iter()
        .any(|part| name.contains(part))
}

/// The largest usual step that all values are whole multiples of.
pub fn resolution(values: &[f64]) -> Option<f64> {
    const STEPS: [f64; 8] = [10.0, 5.0, 1.0, 0.5, 0.25, 0.1, 0.05, 0.01];
    let fits = |step: &f64| {
        values.iter().all(|value| (value / step - (value / step).round()).abs() < 1e-6)
    };
    STEPS.into_iter().find(|step| !values.is_empty() && fits(step))
}

/// The columns and the format that give every sampled row a time, running on.
fn time_guess(table: &Table, columns: &[Gathering]) -> Result<Option<TimeGuess>, TableFault> {
    let mut candidates: Vec<Vec<usize>> = Vec::new();
    for (place, column) in columns.iter().enumerate() {
        let name = column.name.to_lowercase();
        if ["time", "date", "zeit", "datum", "stamp", "when"].iter().any(|it| name.contains(it)) {
            candidates.push(vec![place]);
            if place + 1 < columns.len() {
                candidates.push(vec![place, place + 1]);
            }
        }
    }
    candidates.push(vec![0]);
    let mut best: Option<(usize, TimeGuess)> = None;
    candidates.dedup();
    for columns in candidates {
        for format in std::iter::once(None).chain(FORMATS.into_iter().map(Some)) {
            let lacks_year = format.is_some_and(|it| !it.contains("%Y"));
            let year = lacks_year.then_some(ANY_YEAR);
            let Ok(reader) = TimeReader::new(format, year, Clock::Standard, 0) else { continue };
            // A few rows tell most formats apart; what is left is read to the end.
            if try_times(table, &columns, &reader, FEW)?.is_none() {
                continue;
            }
            let Some((good, span, interval, gaps)) =
                try_times(table, &columns, &reader, usize::MAX)?
            else {
                continue;
            };
            if best.as_ref().is_none_or(|(most, _)| good > *most) {
                let guess = TimeGuess {
                    columns: columns.clone(),
                    format,
                    lacks_year,
                    span,
                    interval,
                    gaps,
                };
                best = Some((good, guess));
            }
        }
    }
    Ok(best.map(|(_, guess)| guess))
}

/// How many rows a reader gives a time that runs on; `None` unless most do.
#[expect(clippy::type_complexity, reason = "four plain numbers that are used once, just above")]
fn try_times(
    table: &Table,
    columns: &[usize],
    reader: &TimeReader,
    most: usize,
) -> Result<Option<(usize, (LogTime, LogTime), i64, usize)>, TableFault> {
    let mut rows = 0_usize;
    let mut axis = super::series::Axis::default();
    table.rows_while(|line, record| {
        rows += 1;
        let cells: Vec<&str> = columns.iter().filter_map(|it| record.get(*it)).collect();
        let last = axis.at.last().copied();
        if let Some(at) =
            reader.read(&cells.join(" "), last).filter(|at| last.is_none_or(|last| *at >= last))
        {
            axis.at.push(at);
            axis.line.push(line);
        }
        rows < most
    })?;
    let good = axis.at.len();
    let (Some(first), Some(last)) = (axis.at.first(), axis.at.last()) else { return Ok(None) };
    let interval = axis.interval().unwrap_or(0);
    let gaps = axis.gaps((5 * interval).max(900)).len();
    Ok((2 * good > rows).then_some((good, (*first, *last), interval, gaps)))
}
