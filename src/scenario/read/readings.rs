//! A weather file in CSV: a header line with `time` and `temperature`, then rows in the order of
//! time. `time` is `2025-04-16T08:00`, with seconds if need be, with a space for the `T` if that
//! is easier; `temperature` is in the scenario's unit.

use jiff::civil::DateTime;

use super::Open;
use crate::scenario::fault::Complaint;
use crate::scenario::ranges::OUTDOOR;
use crate::scenario::scalar::tidy;
use crate::scenario::tree::shortened;
use crate::time::{DAY, Period};
use crate::units::{TemperatureUnit, parse_number};
use crate::weather::Reading;

/// An hourly file of one day has its last row at 23:00: the readings may begin and end this far
/// inside the period, s.
const SLACK: f64 = 3600.0;

/// Reads the rows around the period.
pub(super) fn read(
    name: &str,
    period: &Period,
    unit: TemperatureUnit,
    open: Open,
) -> Result<Vec<Reading>, Complaint> {
    let text = open(name).map_err(|why| {
        Complaint::new("unreadable-file", format!("`{}` cannot be read: {why}", shortened(name)))
            .help("the name is looked up beside the scenario file")
    })?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    let mut table = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let columns = Columns::find(table.headers().map_err(|error| broken(&error))?)?;
    let mut readings: Vec<Reading> = Vec::new();
    for record in table.records() {
        let record = record.map_err(|error| broken(&error))?;
        let reading = columns.row(&record, period, unit)?;
        if readings.last().is_some_and(|last| last.second >= reading.second) {
            return Err(at_line(&record, "its time is not after the row before")
                .help("sort the rows by time, each time once"));
        }
        readings.push(reading);
    }
    covering(readings, period)
}

fn broken(error: &csv::Error) -> Complaint {
    Complaint::new("csv", format!("the weather file is no table: {error}"))
        .help("each row needs as many columns as the header")
}

fn at_line(record: &csv::StringRecord, what: &str) -> Complaint {
    let line = record.position().map_or(0, csv::Position::line);
    Complaint::new("csv", format!("line {line} of the weather file: {what}"))
}

struct Columns {
    time: usize,
    temperature: usize,
}

impl Columns {
    fn find(headers: &csv::StringRecord) -> Result<Self, Complaint> {
        let find = |name: &str| {
            headers.iter().position(|header| header == name).ok_or_else(|| {
                Complaint::new("csv", format!("the weather file has no column `{name}`"))
                    .help("its first line must be `time,temperature`")
            })
        };
        let columns = Self { time: find("time")?, temperature: find("temperature")? };
        let other = headers.iter().find(|header| !matches!(*header, "time" | "temperature"));
        match other {
            None => Ok(columns),
            Some(name @ ("radiation" | "humidity")) => {
                let message = format!("this version does not simulate the column `{name}`");
                Err(Complaint::new("not-yet", message).help("take the column out of the file"))
            }
            Some(name) => {
                let message = format!("the weather file has the column `{}`", shortened(name));
                Err(Complaint::new("csv", message).help("known are time and temperature"))
            }
        }
    }

    fn row(
        &self,
        record: &csv::StringRecord,
        period: &Period,
        unit: TemperatureUnit,
    ) -> Result<Reading, Complaint> {
        let (time, value) = (&record[self.time], &record[self.temperature]);
        let second = second_of(time, period).ok_or_else(|| {
            at_line(record, &format!("`{}` is no time", shortened(time)))
                .help("write it like 2025-04-16T08:00")
        })?;
        let number = parse_number(value).ok_or_else(|| {
            at_line(record, &format!("`{}` is no temperature", shortened(value)))
                .help("write a plain number, in the scenario's unit")
        })?;
        let temperature = unit.to_celsius(number);
        if !(OUTDOOR.low..=OUTDOOR.high).contains(&temperature) {
            let (low, high) = (unit.from_celsius(OUTDOOR.low), unit.from_celsius(OUTDOOR.high));
            let what = format!("{} {} is no outdoor temperature", tidy(number), unit.letter());
            let span = format!("accepted is {} to {} {}", tidy(low), tidy(high), unit.letter());
            return Err(at_line(record, &what).help(span));
        }
        Ok(Reading { second, temperature })
    }
}

/// Seconds from the start of the period.
fn second_of(text: &str, period: &Period) -> Option<f64> {
    let plain = |byte: u8| byte.is_ascii_digit() || matches!(byte, b'-' | b':' | b'T' | b' ');
    if !matches!(text.len(), 16 | 19) || !text.bytes().all(plain) {
        return None;
    }
    let time: DateTime = text.parse().ok()?;
    let days = i64::from((time.date() - period.first()).get_days());
    let (hour, minute, second) = (time.hour(), time.minute(), time.second());
    let of_day = i64::from(hour) * 3600 + i64::from(minute) * 60 + i64::from(second);
    Some((days * DAY + of_day) as f64)
}

/// The rows that the period needs, with one to spare at each end.
fn covering(readings: Vec<Reading>, period: &Period) -> Result<Vec<Reading>, Complaint> {
    let end = period.end().get() as f64;
    let covers = readings.first().is_some_and(|row| row.second <= SLACK)
        && readings.last().is_some_and(|row| row.second >= end - SLACK);
    if !covers {
        let last = period.date(period.days() - 1);
        let message =
            format!("the weather file does not cover {} 00:00 to {last} 24:00", period.first());
        return Err(Complaint::new("csv", message)
            .help("change the period, or add rows from its first hour to its last"));
    }
    let from = readings.partition_point(|row| row.second <= 0.0).saturating_sub(1);
    let to = readings.partition_point(|row| row.second < end) + 1;
    Ok(readings.into_iter().take(to).skip(from).collect())
}
