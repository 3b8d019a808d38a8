//! `steps.parquet`: the columns of `steps.csv` in the open column format Apache Parquet.

use std::io::{self, Write};
use std::sync::Arc;

use jiff::civil::{Date, date};
use parquet::basic::Compression;
use parquet::column::writer::ColumnWriter;
use parquet::data_type::ByteArray;
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::parser::parse_message_type;

use crate::control::Direction;
use crate::engine::{Model, StepRow};
use crate::time::{Instant, Period};

/// The columns. Times are local and carry no zone; nothing is ever missing.
const SCHEMA: &str = "message steps {
    required int64 time (TIMESTAMP(MILLIS,false));
    required binary zone (STRING);
    required double outdoor;
    required double temperature;
    required double mass_temperature;
    required double sensed;
    required double heat;
    required double cool;
    required binary mode (STRING);
    required binary power (STRING);
    required binary direction (STRING);
    required binary call (STRING);
    required binary served (STRING);
    required boolean starved;
    required double heat_w;
    required double electric_w;
}";

/// The column more where clocks are ever changed: what they show; `time` is standard time.
const CLOCK: &str = "required int64 clock (TIMESTAMP(MILLIS,false));\n    required binary zone";

/// The column more where the water in the zones' air is followed.
const HUMIDITY: &str = "    required double relative_humidity;\n}";

/// So many rows are gathered before they are written: some megabytes.
const ROWS_OF_A_GROUP: usize = 32_768;

/// Days from 1 January 1970, from which the format counts its times.
const EPOCH: Date = date(1970, 1, 1);

/// Writes the rows of `steps.parquet` group by group, so that a year needs no memory.
pub struct StepsParquet<'a, W: Write + Send> {
    model: &'a Model,
    writer: SerializedFileWriter<W>,
    rows: Vec<StepRow>,
    /// The names of the zones, shared by all their rows.
    zones: Vec<ByteArray>,
    /// Milliseconds from the epoch to the start of the period.
    start: i64,
}

impl<'a, W: Write + Send> StepsParquet<'a, W> {
    /// Writes the head of the file.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn new(model: &'a Model, to: W) -> io::Result<Self> {
        let mut columns = SCHEMA.to_owned();
        if model.humidity.is_followed() {
            columns = columns.replace('}', HUMIDITY);
        }
        if model.period.has_daylight_saving() {
            columns = columns.replace("required binary zone", CLOCK);
        }
        let schema = Arc::new(parse_message_type(&columns).map_err(failed)?);
        let properties = WriterProperties::builder().set_compression(Compression::SNAPPY).build();
        let writer = SerializedFileWriter::new(to, schema, Arc::new(properties)).map_err(failed)?;
        Ok(Self {
            model,
            writer,
            rows: Vec::with_capacity(ROWS_OF_A_GROUP),
            zones: model.zones.iter().map(|zone| ByteArray::from(zone.id.as_str())).collect(),
            start: milliseconds(&model.period),
        })
    }

    /// Takes one row.
    ///
    /// # Errors
    /// Those of the writer, and a row of a zone that the model does not have.
    pub fn row(&mut self, row: &StepRow) -> io::Result<()> {
        if row.zone.get() >= self.model.zones.len() {
            return Err(io::Error::other("a row names a zone that the model does not have"));
        }
        self.rows.push(*row);
        if self.rows.len() == ROWS_OF_A_GROUP {
            self.write_group()?;
        }
        Ok(())
    }

    /// Hands back the writer with everything in it.
    ///
    /// # Errors
    /// Those of the writer.
    pub fn finish(mut self) -> io::Result<W> {
        if !self.rows.is_empty() {
            self.write_group()?;
        }
        self.writer.into_inner().map_err(failed)
    }

    fn write_group(&mut self) -> io::Result<()> {
        let (period, start) = (&self.model.period, self.start);
        let mut group = self.writer.next_row_group().map_err(failed)?;
        let mut place = 0;
        while let Some(column) = group.next_column().map_err(failed)? {
            // The clock stands behind the time and moves what follows by one.
            let values = match (place, period.has_daylight_saving()) {
                (1, true) => {
                    let shown = |row: &StepRow| start + thousandths(period.on_clocks(row.at));
                    Values::Times(self.rows.iter().map(shown).collect())
                }
                (0, _) | (_, false) => values_of(place, &self.rows, &self.zones, self.start),
                (_, true) => values_of(place - 1, &self.rows, &self.zones, self.start),
            };
            write_column(column, &values).map_err(failed)?;
            place += 1;
        }
        group.close().map_err(failed)?;
        self.rows.clear();
        Ok(())
    }
}

/// The values of one column.
enum Values {
    Times(Vec<i64>),
    Numbers(Vec<f64>),
    Words(Vec<ByteArray>),
    Flags(Vec<bool>),
}

/// The column at a place of the schema.
fn values_of(place: usize, rows: &[StepRow], zones: &[ByteArray], start: i64) -> Values {
    // Adding zero turns -0 into 0, as in the CSV.
    let numbers = |value: fn(&StepRow) -> f64| {
        Values::Numbers(rows.iter().map(|row| value(row) + 0.0).collect())
    };
    let words = |word: fn(&StepRow) -> &'static str| {
        Values::Words(rows.iter().map(|row| ByteArray::from(word(row))).collect())
    };
    match place {
        0 => Values::Times(rows.iter().map(|row| start + thousandths(row.at)).collect()),
        1 => Values::Words(rows.iter().map(|row| zones[row.zone.get()].clone()).collect()),
        2 => numbers(|row| row.outdoor),
        3 => numbers(|row| row.temperature),
        4 => numbers(|row| row.mass_temperature),
        5 => numbers(|row| row.sensed),
        6 => numbers(|row| row.heat),
        7 => numbers(|row| row.cool),
        8 => words(|row| row.mode.name()),
        9 => words(|row| row.power.name()),
        10 => words(|row| row.direction.name()),
        11 => words(|row| row.call.map_or("none", Direction::name)),
        12 => words(|row| row.served.map_or("none", Direction::name)),
        13 => Values::Flags(rows.iter().map(|row| row.starved).collect()),
        14 => numbers(|row| row.heat_w),
        15 => numbers(|row| row.electric_w),
        _ => numbers(|row| row.humidity.unwrap_or(f64::NAN)),
    }
}

fn write_column(
    mut column: SerializedColumnWriter<'_>,
    values: &Values,
) -> Result<(), ParquetError> {
    let written = match (column.untyped(), values) {
        (ColumnWriter::Int64ColumnWriter(to), Values::Times(all)) => {
            to.write_batch(all, None, None)
        }
        (ColumnWriter::DoubleColumnWriter(to), Values::Numbers(all)) => {
            to.write_batch(all, None, None)
        }
        (ColumnWriter::ByteArrayColumnWriter(to), Values::Words(all)) => {
            to.write_batch(all, None, None)
        }
        (ColumnWriter::BoolColumnWriter(to), Values::Flags(all)) => to.write_batch(all, None, None),
        _ => Err(ParquetError::General("a column is of another kind than its values".into())),
    };
    written?;
    column.close()
}

/// From the epoch to midnight of the first day.
fn milliseconds(period: &Period) -> i64 {
    let days = period.first().duration_since(EPOCH).as_secs() / 86_400;
    days * 86_400_000
}

const fn thousandths(at: Instant) -> i64 {
    at.get() * 1000
}

fn failed(error: impl std::error::Error + Send + Sync + 'static) -> io::Error {
    io::Error::other(error)
}
