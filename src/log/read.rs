//! From tables to series: the mapped points of a log, and what had to be left out.

use std::collections::{BTreeSet, HashMap};
use std::sync::Arc;

use csv::StringRecord;

use super::bad_rows::{BadKind, BadRows};
use super::clock::LogTime;
use super::fault::LogFault;
use super::mapping::{Layout, Mapping, Running, ZoneMapping};
use super::points::{Cell, CellFault, Point, points};
use super::series::{Axis, Held, Series};
use super::store::{Store, Taken};
use super::table::Table;
use super::table_fault::TableFault;
use crate::control::{Mode, Power};
use crate::units::TemperatureUnit;

/// A gap is longer than so many usual intervals,
const GAP_INTERVALS: i64 = 5;
/// and than this, s.
const SHORTEST_GAP: i64 = 15 * 60;

/// Points of a long log are named in messages up to so many.
const MOST_KNOWN: usize = 200;

/// What a log recorded, in its own units.
#[derive(Clone, Debug)]
pub struct Log {
    /// The unit of its temperatures.
    pub unit: TemperatureUnit,
    /// Outdoor air.
    pub outdoor: Option<Series>,
    /// Radiation on the horizontal, W/m2.
    pub radiation: Option<Series>,
    /// Electricity, meter by meter: W, or kWh where it counts.
    pub electricity: Vec<Series>,
    /// The zones, in the order of the mapping.
    pub zones: Vec<ZoneLog>,
    /// Rows that were left out.
    pub bad: BadRows,
    /// Rows that were read, with those left out.
    pub rows: usize,
    /// When anything was recorded at all, and on which line.
    pub axis: Arc<Axis>,
    /// Longer than this without a reading is a gap, s, where the mapping says so.
    gap: Option<i64>,
    /// When the first row of each file was taken that has any, with the file's place in the list.
    starts: Vec<(LogTime, usize)>,
}

/// What a log recorded of one zone.
#[derive(Clone, Debug)]
pub struct ZoneLog {
    /// Its name.
    pub zone: String,
    /// Its temperature.
    pub temperature: Series,
    /// Further sensors by name.
    pub others: Vec<(String, Series)>,
    /// Heat setpoint.
    pub heat: Option<Series>,
    /// Cool setpoint.
    pub cool: Option<Series>,
    /// Mode.
    pub mode: Option<Held<Mode>>,
    /// Power.
    pub power: Option<Held<Power>>,
    /// Whether its unit runs.
    pub running: Option<Held<Running>>,
    /// Share of full output.
    pub output: Option<Series>,
    /// Temperature of a pipe or of the supply air.
    pub coil: Option<Series>,
    /// Words at their times, with their lines.
    pub events: Vec<(LogTime, u32, String)>,
    /// How many people are there.
    pub people: Option<Series>,
    /// Whether anybody is.
    pub occupied: Option<Held<bool>>,
}

impl Log {
    /// Without a reading of any point for longer than this there is a gap, s: as the mapping says,
    /// or five usual intervals and at least a quarter of an hour.
    pub fn longest_step(&self) -> i64 {
        let usual = || self.axis.interval().unwrap_or(0) * GAP_INTERVALS;
        self.gap.unwrap_or_else(|| usual().max(SHORTEST_GAP))
    }

    /// In which file a time was recorded, by its place in the list: files follow each other in time.
    pub fn file_of(&self, at: LogTime) -> usize {
        let after = self.starts.partition_point(|(start, _)| *start <= at);
        self.starts.get(after.saturating_sub(1)).map_or(0, |(_, file)| *file)
    }

    /// From the first row to the last; `None` where there is none.
    pub fn span(&self) -> Option<(LogTime, LogTime)> {
        Some((*self.axis.at.first()?, *self.axis.at.last()?))
    }
}

/// Reads the points of a mapping out of tables, in the order of the list.
///
/// # Errors
/// A file is no table, a mapped point is nowhere, or more than half of a file's rows are bad.
pub fn read(tables: &[Table], mapping: &Mapping) -> Result<Log, LogFault> {
    let points = points(mapping);
    let mut reading = Reading::new(&points, mapping);
    for (file, table) in tables.iter().enumerate() {
        let before = (reading.bad.total(), reading.rows);
        let each = match mapping.layout {
            Layout::Wide => reading.wide(file, table)?,
            Layout::Long => reading.long(file, table)?,
        };
        each.map_err(|fault| LogFault::Table(file, fault))?;
        reading.check_bad(file, before)?;
    }
    reading.check_found(tables)?;
    Ok(reading.into_log())
}

fn no_point(name: &str, table: &Table) -> LogFault {
    LogFault::NoPoint { names: vec![name.to_owned()], known: table.header().to_vec() }
}

/// A log on its way from rows to series.
struct Reading<'m> {
    mapping: &'m Mapping,
    points: &'m [Option<Point<'m>>],
    stores: Vec<Option<Store>>,
    /// One axis for all points of a wide log, one for each of a long one.
    axes: Vec<Axis>,
    /// What the last row of each axis said.
    last: Vec<Vec<Cell>>,
    /// Which points have been found in a header or in rows.
    found: Vec<bool>,
    /// The points of a long log, for messages.
    known: BTreeSet<String>,
    bad: BadRows,
    worst: HashMap<(usize, BadKind), (usize, u32)>,
    rows: usize,
    starts: Vec<(LogTime, usize)>,
}

impl<'m> Reading<'m> {
    fn new(points: &'m [Option<Point<'m>>], mapping: &'m Mapping) -> Self {
        let axes = if mapping.layout == Layout::Wide { 1 } else { points.len() };
        let store = |point: &Option<Point<'_>>| point.as_ref().map(|it| Store::of(&it.kind));
        Self {
            mapping,
            points,
            stores: points.iter().map(store).collect(),
            axes: vec![Axis::default(); axes],
            last: vec![Vec::new(); axes],
            found: points.iter().map(Option::is_none).collect(),
            known: BTreeSet::new(),
            bad: BadRows::default(),
            worst: HashMap::new(),
            rows: 0,
            starts: Vec::new(),
        }
    }

    fn leave_out(&mut self, kind: BadKind, file: usize, line: u32, cell: &str) {
        self.bad.add(kind, file, line, cell);
        self.worst.entry((file, kind)).or_insert((0, line)).0 += 1;
    }

    /// Notes that a file's rows have begun.
    fn begin(&mut self, file: usize, at: LogTime) {
        if self.starts.last().is_none_or(|(_, last)| *last != file) {
            self.starts.push((at, file));
        }
    }

    /// The places of the time's columns.
    fn time_places(&self, table: &Table) -> Result<Vec<usize>, LogFault> {
        let place = |name: &String| table.column(name).ok_or_else(|| no_point(name, table));
        self.mapping.time.columns.iter().map(place).collect()
    }

    /// The time of a row, and whether it follows on the axis; counted where it is of no use.
    fn time(
        &mut self,
        axis: usize,
        (file, line): (usize, u32),
        record: &StringRecord,
        places: &[usize],
    ) -> Option<LogTime> {
        let cells: Vec<&str> = places.iter().filter_map(|it| record.get(*it)).collect();
        let cell = cells.join(" ");
        let last = self.axes[axis].at.last().copied();
        let Some(at) = self.mapping.time.reader.read(&cell, last) else {
            self.leave_out(BadKind::NoTime, file, line, &cell);
            return None;
        };
        if last.is_some_and(|last| at < last) {
            self.leave_out(BadKind::TimeRunsBack, file, line, &cell);
            return None;
        }
        Some(at)
    }

    fn wide(&mut self, file: usize, table: &Table) -> Result<Result<(), TableFault>, LogFault> {
        let times = self.time_places(table)?;
        let places: Vec<Option<usize>> = self
            .points
            .iter()
            .map(|point| point.as_ref().and_then(|point| table.column(point.name)))
            .collect();
        for (found, place) in self.found.iter_mut().zip(&places) {
            *found |= place.is_some();
        }
        let least = places.iter().flatten().chain(&times).max().map_or(0, |most| most + 1);
        Ok(table.each_row(|line, record| {
            if !self.counts((file, line), record, least) {
                return;
            }
            let Some(at) = self.time(0, (file, line), record, &times) else { return };
            let cells = self.cells(table, record, &places);
            match cells {
                Ok(cells) => self.keep(0, at, (file, line), cells),
                Err((fault, place)) => {
                    let cell = record.get(place).unwrap_or_default();
                    self.leave_out(bad_kind(fault), file, line, cell);
                }
            }
        }))
    }

    fn cells(
        &self,
        table: &Table,
        record: &StringRecord,
        places: &[Option<usize>],
    ) -> Result<Vec<Cell>, (CellFault, usize)> {
        let each = self.points.iter().zip(places);
        each.map(|(point, place)| {
            let (Some(point), Some(place)) = (point, place) else { return Ok(Cell::Nothing) };
            let cell = record.get(*place).unwrap_or_default();
            let read = point.read(cell, table.decimal(), self.mapping.unit);
            read.map_err(|fault| (fault, *place))
        })
        .collect()
    }

    /// Keeps what a row of a wide log says, unless it says the same again.
    fn keep(&mut self, axis: usize, at: LogTime, (file, line): (usize, u32), cells: Vec<Cell>) {
        if self.axes[axis].at.last() == Some(&at) {
            if self.last[axis] != cells {
                self.leave_out(BadKind::SameTimeOtherValues, file, line, &at.to_string());
            }
            return;
        }
        self.begin(file, at);
        self.axes[axis].at.push(at);
        self.axes[axis].line.push(line);
        self.last[axis].clone_from(&cells);
        for (store, cell) in self.stores.iter_mut().zip(cells) {
            if let Some(store) = store {
                store.push(cell);
            }
        }
    }

    /// Counts a row, and leaves it out where it has fewer cells than what is read.
    fn counts(&mut self, (file, line): (usize, u32), record: &StringRecord, least: usize) -> bool {
        self.rows += 1;
        let whole = record.len() >= least;
        if !whole {
            let cell = format!("{} cells", record.len());
            self.leave_out(BadKind::FewerColumns, file, line, &cell);
        }
        whole
    }

    fn long(&mut self, file: usize, table: &Table) -> Result<Result<(), TableFault>, LogFault> {
        let times = self.time_places(table)?;
        let column = |name: &str| table.column(name).ok_or_else(|| no_point(name, table));
        let (point_at, value_at) = (column("point")?, column("value")?);
        let mut named: HashMap<&str, Vec<usize>> = HashMap::new();
        for (place, point) in self.points.iter().enumerate() {
            if let Some(point) = point {
                named.entry(point.name).or_default().push(place);
            }
        }
        let least = times.iter().chain([&point_at, &value_at]).max().map_or(0, |most| most + 1);
        Ok(table.each_row(|line, record| {
            if !self.counts((file, line), record, least) {
                return;
            }
            let name = record.get(point_at).unwrap_or_default().trim();
            if self.known.len() < MOST_KNOWN && !self.known.contains(name) {
                self.known.insert(name.to_owned());
            }
            for place in named.get(name).into_iter().flatten() {
                self.found[*place] = true;
                let Some(at) = self.time(*place, (file, line), record, &times) else { return };
                self.keep_one(
                    *place,
                    at,
                    (file, line),
                    record.get(value_at).unwrap_or_default(),
                    table,
                );
            }
        }))
    }

    fn keep_one(
        &mut self,
        place: usize,
        at: LogTime,
        (file, line): (usize, u32),
        text: &str,
        table: &Table,
    ) {
        let Some(point) = &self.points[place] else { return };
        let cell = match point.read(text, table.decimal(), self.mapping.unit) {
            Ok(cell) => cell,
            Err(fault) => return self.leave_out(bad_kind(fault), file, line, text),
        };
        if self.axes[place].at.last() == Some(&at) {
            if self.last[place] != [cell] {
                self.leave_out(BadKind::SameTimeOtherValues, file, line, &at.to_string());
            }
            return;
        }
        self.begin(file, at);
        self.axes[place].at.push(at);
        self.axes[place].line.push(line);
        self.last[place] = vec![cell.clone()];
        if let Some(store) = &mut self.stores[place] {
            store.push(cell);
        }
    }

    fn check_bad(&self, file: usize, (bad, rows): (usize, usize)) -> Result<(), LogFault> {
        let (bad, rows) = (self.bad.total() - bad, self.rows - rows);
        if 2 * bad <= rows {
            return Ok(());
        }
        let own = self.worst.iter().filter(|((at, _), _)| *at == file);
        let most = own.max_by_key(|((_, kind), (count, _))| (*count, std::cmp::Reverse(*kind)));
        let Some(((_, kind), (_, line))) = most else { return Ok(()) };
        Err(LogFault::MostlyBad { file, bad, rows, kind: *kind, line: *line })
    }

    fn check_found(&self, tables: &[Table]) -> Result<(), LogFault> {
        let missing = self.found.iter().zip(self.points).filter(|(found, _)| !**found);
        let mut names: Vec<String> =
            missing.filter_map(|(_, point)| Some(point.as_ref()?.name.to_owned())).collect();
        names.dedup();
        if names.is_empty() {
            return Ok(());
        }
        let known = match self.mapping.layout {
            Layout::Wide => tables.iter().flat_map(Table::header).cloned().collect(),
            Layout::Long => self.known.iter().cloned().collect(),
        };
        Err(LogFault::NoPoint { names, known })
    }

    fn into_log(self) -> Log {
        let axes: Vec<Arc<Axis>> = self.axes.into_iter().map(Arc::new).collect();
        let stores = self.stores.into_iter().enumerate().map(|(place, store)| {
            let axis = if axes.len() == 1 { &axes[0] } else { &axes[place] };
            (store, Arc::clone(axis))
        });
        let axis = Axis::union(&axes);
        let mut taken = Taken::new(stores.collect());
        let mapping = self.mapping;
        Log {
            unit: mapping.unit,
            outdoor: taken.series(),
            radiation: taken.series(),
            electricity: mapping.electricity.iter().filter_map(|_| taken.series()).collect(),
            zones: mapping.zones.iter().map(|zone| zone_log(&mut taken, zone)).collect(),
            bad: self.bad,
            rows: self.rows,
            axis,
            gap: mapping.gap,
            starts: self.starts,
        }
    }
}

fn zone_log(taken: &mut Taken, mapping: &ZoneMapping) -> ZoneLog {
    let temperature = taken.series().unwrap_or_default();
    let others = mapping.others.iter();
    let others = others.filter_map(|(name, _)| Some((name.clone(), taken.series()?))).collect();
    let (heat, cool) = (taken.series(), taken.series());
    let mode = taken.held(Store::modes);
    let power = taken.held(Store::powers);
    let running = taken.held(Store::runs);
    let (output, coil) = (taken.series(), taken.series());
    let events = taken.words();
    let people = taken.series();
    let occupied = taken.held(Store::presence);
    ZoneLog {
        zone: mapping.zone.clone(),
        temperature,
        others,
        heat,
        cool,
        mode,
        power,
        running,
        output,
        coil,
        events,
        people,
        occupied,
    }
}

const fn bad_kind(fault: CellFault) -> BadKind {
    match fault {
        CellFault::NoNumber => BadKind::NoNumber,
        CellFault::Impossible => BadKind::ImpossibleTemperature,
        CellFault::UnknownWord => BadKind::UnknownWord,
    }
}
