//! `steps.csv` and `ledger.csv`.
//!
//! Numbers are written in the shortest form that reads back the same; rounding belongs to what
//! people read. No cell is taken for a formula ([`crate::study::cells`]).

use std::fmt::Write as _;
use std::io;

use super::events::{reason_words, request_words};
use crate::control::{Direction, Grid, Role, Stored};
use crate::engine::{Entry, LedgerRow, Model, StepRow};
use crate::study::cells::harmless;
use crate::time::Instant;

pub(super) const STEP_COLUMNS: [&str; 16] = [
    "time",
    "zone",
    "outdoor",
    "temperature",
    "mass_temperature",
    "sensed",
    "heat",
    "cool",
    "mode",
    "power",
    "direction",
    "call",
    "served",
    "starved",
    "heat_w",
    "electric_w",
];

/// A column more, percent, where the water in the zones' air is followed.
const HUMIDITY_COLUMN: &str = "relative_humidity";

const LEDGER_COLUMNS: [&str; 14] = [
    "time",
    "zone",
    "controller",
    "by",
    "role",
    "request",
    "outcome",
    "heat_before",
    "cool_before",
    "heat_after",
    "cool_after",
    "mode_after",
    "power_after",
    "reason",
];

/// The second column of files about times, where the scenario has daylight saving: what clocks
/// show. `time` is standard time.
pub(super) const CLOCK_COLUMN: &str = "clock";

/// Columns of which the first is `time`, with `clock` behind it where clocks are ever changed.
pub(super) fn with_clock<'c>(model: &Model, columns: &[&'c str]) -> Vec<&'c str> {
    let mut all = columns.to_vec();
    if model.period.has_daylight_saving() {
        all.insert(1, CLOCK_COLUMN);
    }
    all
}

/// Writes the rows of `steps.csv` one by one, so that a year needs no memory.
#[derive(Debug)]
pub struct StepsWriter<'a, W: io::Write> {
    model: &'a Model,
    fields: Fields<W>,
    time: Timestamps,
}

impl<'a, W: io::Write> StepsWriter<'a, W> {
    /// Writes the head line.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn new(model: &'a Model, to: W) -> io::Result<Self> {
        let mut fields = Fields::new(to);
        let mut columns = with_clock(model, &STEP_COLUMNS);
        columns.extend(model.humidity.is_followed().then_some(HUMIDITY_COLUMN));
        fields.record(&columns)?;
        Ok(Self { model, fields, time: Timestamps::default() })
    }

    /// Writes one row.
    ///
    /// # Errors
    /// Those of the writer, and a row of a zone that the model does not have.
    pub fn row(&mut self, row: &StepRow) -> io::Result<()> {
        let zone = self.model.zones.get(row.zone.get()).ok_or_else(unknown_zone)?;
        self.time.write(self.model, row.at, &mut self.fields)?;
        self.fields.text(&zone.id)?;
        let temperatures =
            [row.outdoor, row.temperature, row.mass_temperature, row.sensed, row.heat, row.cool];
        for value in temperatures {
            self.fields.number(value)?;
        }
        let words = [
            row.mode.name(),
            row.power.name(),
            row.direction.name(),
            direction_or_none(row.call),
            direction_or_none(row.served),
            if row.starved { "true" } else { "false" },
        ];
        for word in words {
            self.fields.text(word)?;
        }
        self.fields.number(row.heat_w)?;
        self.fields.number(row.electric_w)?;
        if let Some(percent) = row.humidity {
            self.fields.number(percent)?;
        }
        self.fields.end()
    }

    /// Hands back the writer with everything in it.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn finish(self) -> io::Result<W> {
        self.fields.finish()
    }
}

/// The whole of `steps.csv` in memory; [`StepsWriter`] is for long runs.
///
/// # Errors
/// A row of a zone that the model does not have.
pub fn steps_csv(model: &Model, rows: &[StepRow]) -> io::Result<Vec<u8>> {
    let mut writer = StepsWriter::new(model, Vec::new())?;
    for row in rows {
        writer.row(row)?;
    }
    writer.finish()
}

/// The whole of `ledger.csv`.
///
/// # Errors
/// A row of a zone or a controller that the model does not have.
pub fn ledger_csv(model: &Model, ledger: &[LedgerRow]) -> io::Result<Vec<u8>> {
    let mut fields = Fields::new(Vec::new());
    fields.record(&with_clock(model, &LEDGER_COLUMNS))?;
    for row in ledger {
        ledger_row(&mut fields, model, row)?;
    }
    fields.finish()
}

fn ledger_row(fields: &mut Fields<Vec<u8>>, model: &Model, row: &LedgerRow) -> io::Result<()> {
    let zone = model.zones.get(row.zone.get()).ok_or_else(unknown_zone)?;
    fields.text(&model.period.timestamp(row.at))?;
    if model.period.has_daylight_saving() {
        fields.text(&model.period.clock_stamp(row.at))?;
    }
    fields.text(&zone.id)?;
    match &row.entry {
        Entry::Request { asker, what, outcome, .. } => {
            let controllers = zone.controls.settings.controllers.as_slice();
            let controller = controllers.get(asker.controller.get()).ok_or_else(|| {
                io::Error::other("a ledger row names a controller that its zone does not have")
            })?;
            fields.text(&controller.id)?;
            fields.text(&asker.by)?;
            fields.text(asker.role.name())?;
            fields.text(&request_words(what))?;
            fields.text(outcome.name())?;
        }
        Entry::Event(kind) => {
            let person = kind.person().and_then(|person| model.people.get(person.get()));
            let role = person.map_or("", |_| Role::Occupant.name());
            let by = person.map_or("", |person| &*person.shown);
            for word in ["", by, role, kind.name(), "event"] {
                fields.text(word)?;
            }
        }
    }
    let grid = zone.controls.settings.grid;
    pair(fields, grid, &row.before)?;
    pair(fields, grid, &row.after)?;
    fields.text(row.after.mode.name())?;
    fields.text(row.after.power.name())?;
    fields.text(&reason_words(model, row))?;
    fields.end()
}

fn pair(fields: &mut Fields<Vec<u8>>, grid: Grid, stored: &Stored) -> io::Result<()> {
    fields.number(grid.value(stored.setpoints.heat()))?;
    fields.number(grid.value(stored.setpoints.cool()))
}

fn direction_or_none(direction: Option<Direction>) -> &'static str {
    direction.map_or("none", Direction::name)
}

fn unknown_zone() -> io::Error {
    io::Error::other("a row names a zone that the model does not have")
}

/// A CSV writer that takes field by field and keeps its scratch memory.
#[derive(Debug)]
pub(super) struct Fields<W: io::Write> {
    writer: csv::Writer<W>,
    scratch: String,
}

impl<W: io::Write> Fields<W> {
    pub(super) fn new(to: W) -> Self {
        Self { writer: csv::Writer::from_writer(to), scratch: String::new() }
    }

    pub(super) fn record(&mut self, fields: &[&str]) -> io::Result<()> {
        Ok(self.writer.write_record(fields)?)
    }

    pub(super) fn text(&mut self, text: &str) -> io::Result<()> {
        Ok(self.writer.write_field(harmless(text).as_bytes())?)
    }

    pub(super) fn number(&mut self, value: f64) -> io::Result<()> {
        self.scratch.clear();
        // Adding zero turns -0 into 0 and leaves every other number as it is.
        write!(self.scratch, "{}", value + 0.0).map_err(io::Error::other)?;
        Ok(self.writer.write_field(&self.scratch)?)
    }

    pub(super) fn end(&mut self) -> io::Result<()> {
        Ok(self.writer.write_record(None::<&[u8]>)?)
    }

    pub(super) fn finish(self) -> io::Result<W> {
        self.writer.into_inner().map_err(|fault| io::Error::other(fault.to_string()))
    }
}

/// The texts of the last instant, standard time and clocks: the zones of a step share them.
#[derive(Debug, Default)]
struct Timestamps {
    last: Option<(Instant, String, Option<String>)>,
}

impl Timestamps {
    fn write<W: io::Write>(
        &mut self,
        model: &Model,
        at: Instant,
        fields: &mut Fields<W>,
    ) -> io::Result<()> {
        if self.last.as_ref().is_none_or(|(last, ..)| *last != at) {
            self.last = None;
        }
        let period = &model.period;
        let (_, time, clock) = self.last.get_or_insert_with(|| {
            let clock = period.has_daylight_saving().then(|| period.clock_stamp(at));
            (at, period.timestamp(at), clock)
        });
        fields.text(time)?;
        clock.as_ref().map_or(Ok(()), |clock| fields.text(clock))
    }
}
