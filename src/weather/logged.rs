//! Weather as a logger writes it: a CSV with a header line and rows in the order of time.
//!
//! Columns, in any order: `time` as `2025-04-16T08:00`, with seconds if need be, with a space for
//! the `T` if that is easier; `temperature` at that time, in the reader's unit; optionally
//! `humidity`, relative, percent, at that time; optionally `radiation`, W/m2 from sun and sky on
//! the horizontal, the mean since the row before. Times are clock time of the building. Where rows
//! are missing there is a gap ([`super::Gap`]), which is told and not filled unasked.

use std::sync::Arc;

use jiff::civil::{Date, DateTime};

use super::fault::{FileFault, FileFaults};
use super::fields::{Row, find_nul, lines, shown};
use super::gaps::{self, Fill, Gap};
use super::quantity::{COLDEST, Quantity, WARMEST};
use super::record::Record;
use super::source::{Course, Reading, Site, Weather};
use super::spell::{Light, Spell};
use super::vapour::of_humidity;
use crate::time::{DAY, Period};
use crate::units::{TemperatureUnit, parse_number};

/// An hourly file of one day has its last row at 23:00: the rows may begin and end this far
/// inside the period, s.
const SLACK: f64 = 3600.0;
/// The columns there may be.
const KNOWN: [&str; 4] = ["time", "temperature", "humidity", "radiation"];

/// A file of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Logged {
    rows: Vec<LoggedRow>,
    has_humidity: bool,
    has_radiation: bool,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct LoggedRow {
    line: usize,
    time: DateTime,
    /// Degrees C.
    temperature: f64,
    /// Percent.
    humidity: f64,
    /// W/m2.
    radiation: f64,
}

impl Logged {
    /// Reads a file's text; its temperatures are in `unit`.
    ///
    /// # Errors
    /// Everything wrong with it.
    pub fn read(text: &str, unit: TemperatureUnit) -> Result<Self, FileFaults> {
        let mut faults = FileFaults::default();
        find_nul(text, &mut faults);
        let mut lines = lines(text).map(|(line, text)| Row::new(line, text));
        let Some(columns) = lines.next().and_then(|row| Columns::find(&row, &mut faults)) else {
            if faults.count() == 0 {
                faults.add(empty);
            }
            return faults.unless_any(None);
        };
        let mut rows: Vec<LoggedRow> = Vec::new();
        for line in lines {
            let Some(row) = columns.read(&line, unit, &mut faults) else { continue };
            if rows.last().is_some_and(|last| last.time >= row.time) {
                let what = "its time is not after the row before".to_owned();
                faults.add(|| {
                    line.fault(columns.time, what, "sort the rows by time, each time once")
                });
                continue;
            }
            rows.push(row);
        }
        let has = |column: Option<usize>| column.is_some();
        let (has_humidity, has_radiation) = (has(columns.humidity), has(columns.radiation));
        if rows.is_empty() && faults.count() == 0 {
            faults.add(empty);
        }
        faults.unless_any(Some(Self { rows, has_humidity, has_radiation }))
    }

    /// The weather of a period: the rows around it, with one to spare at each end.
    ///
    /// # Errors
    /// The rows do not cover it, or leave gaps longer than three hours and nobody says what to put
    /// there.
    pub fn weather(
        &self,
        period: &Period,
        site: Option<Site>,
        fill: Option<Fill>,
    ) -> Result<Weather, Uncovered> {
        let seconds = self.seconds(period.first());
        let end = (period.days() * DAY) as f64;
        let covers = |first: &f64, last: &f64| *first <= SLACK && *last >= end - SLACK;
        if !seconds.first().zip(seconds.last()).is_some_and(|(first, last)| covers(first, last)) {
            return Err(Uncovered::Ends);
        }
        let from = seconds.partition_point(|second| *second <= 0.0).saturating_sub(1);
        let to = (seconds.partition_point(|second| *second < end) + 1).min(seconds.len());
        let usual = gaps::usual(&seconds);
        let mut touched = gaps_in(&self.rows[from..to], &seconds[from..to], usual, fill);
        // A gap that reaches into the period by less than its ends may lack is no more than that.
        let first = period.first();
        let inside =
            |gap: &Gap| second_of(gap.to, first).min(end) - second_of(gap.from, first).max(0.0);
        touched.retain(|gap| inside(gap) > SLACK || !gap.is_long());
        if fill.is_none() && touched.iter().any(Gap::is_long) {
            return Err(Uncovered::Gaps(touched.into_iter().filter(Gap::is_long).collect()));
        }
        let own = (&self.rows[from..to], &seconds[from..to]);
        Ok(self.of_rows(&filled(own, usual, &touched), site, touched))
    }

    /// Times without rows, from the first row to the last.
    pub fn gaps(&self) -> Vec<Gap> {
        let Some(first) = self.rows.first() else { return Vec::new() };
        let seconds = self.seconds(first.time.date());
        gaps_in(&self.rows, &seconds, gaps::usual(&seconds), None)
    }

    /// When its rows are, in seconds from midnight of a day.
    fn seconds(&self, first: Date) -> Vec<f64> {
        self.rows.iter().map(|row| second_of(row.time, first)).collect()
    }

    /// The weather of some rows, each with its time in seconds.
    fn of_rows(&self, rows: &[(LoggedRow, f64)], site: Option<Site>, gaps: Vec<Gap>) -> Weather {
        let seconds: Vec<f64> = rows.iter().map(|(_, second)| *second).collect();
        let rows = || rows.iter().map(|(row, second)| (row, second));
        let temperatures: Vec<Reading> = rows()
            .map(|(row, second)| Reading { second: *second, temperature: row.temperature })
            .collect();
        if !self.has_humidity && !self.has_radiation && gaps.is_empty() {
            return Weather::Readings(temperatures);
        }
        let vapour = rows().map(|(row, _)| of_humidity(row.temperature, row.humidity));
        let spells = rows().enumerate().map(|(place, (row, to))| Spell {
            // Nobody knows since when the first row's mean is; only its end matters.
            from: if place == 0 { to - SLACK } else { seconds[place - 1] },
            to: *to,
            light: Light::Global(row.radiation),
        });
        let vapour = self.has_humidity.then(|| vapour.collect());
        let light = self.has_radiation.then(|| spells.collect());
        let record = Record { temperatures, vapour, light, site, gaps, ..Record::default() };
        Weather::Record(Arc::new(record))
    }

    /// Its whole days with their temperatures at 01:00 to 24:00, degrees C.
    pub fn days(&self) -> Vec<(Date, [f64; 24])> {
        let [Some(first), Some(last)] = [self.rows.first(), self.rows.last()] else {
            return Vec::new();
        };
        let start = first.time.date();
        let reading = |row: &LoggedRow| Reading {
            second: second_of(row.time, start),
            temperature: row.temperature,
        };
        let weather = Weather::Readings(self.rows.iter().map(reading).collect());
        let (begin, end) = (second_of(first.time, start), second_of(last.time, start));
        let mut course = Course::new(&weather, start);
        // A day of which hours are missing is no whole one.
        let holes: Vec<(f64, f64)> = self
            .gaps()
            .iter()
            .filter(|gap| gap.is_long())
            .map(|gap| (second_of(gap.from, start), second_of(gap.to, start)))
            .collect();
        let is_whole = |day: i32| {
            let (from, to) = (f64::from(day) * DAY as f64, f64::from(day + 1) * DAY as f64);
            !holes.iter().any(|(begin, end)| *begin < to && *end > from)
        };
        let days = (0..).take_while(|day| f64::from(*day + 1) * DAY as f64 <= end + SLACK);
        days.filter(|day| f64::from(*day) * DAY as f64 + SLACK >= begin)
            .filter(|day| is_whole(*day))
            .map(|day| {
                let at = |hour: usize| f64::from(day) * DAY as f64 + (hour + 1) as f64 * 3600.0;
                let date = start.saturating_add(jiff::Span::new().days(day));
                (date, std::array::from_fn(|hour| course.outdoor(at(hour))))
            })
            .collect()
    }
}

/// Why readings are no weather for a period.
#[derive(Clone, Debug, PartialEq)]
pub enum Uncovered {
    /// They begin too late or end too early.
    Ends,
    /// There are gaps longer than three hours: these.
    Gaps(Vec<Gap>),
}

/// The times without rows between some rows. What nobody says is filled on a straight line.
fn gaps_in(rows: &[LoggedRow], seconds: &[f64], usual: f64, fill: Option<Fill>) -> Vec<Gap> {
    let apart = seconds.windows(2).map(|pair| pair[1] - pair[0]);
    let pairs = rows.windows(2).zip(apart).filter(|(_, apart)| gaps::is_gap(*apart, usual));
    pairs
        .map(|(pair, seconds)| Gap {
            from: pair[0].time,
            to: pair[1].time,
            line: pair[1].line,
            seconds,
            fill: fill.unwrap_or(Fill::Straight),
        })
        .collect()
}

/// The rows with one more in each gap, a usual distance before the gap's end.
fn filled(
    (rows, seconds): (&[LoggedRow], &[f64]),
    usual: f64,
    gaps: &[Gap],
) -> Vec<(LoggedRow, f64)> {
    let mut all: Vec<(LoggedRow, f64)> = Vec::with_capacity(rows.len() + gaps.len());
    let mut gaps = gaps.iter().peekable();
    for (row, second) in rows.iter().zip(seconds) {
        if let Some(gap) = gaps.next_if(|gap| gap.line == row.line)
            && let Some((before, begin)) = all.last().copied()
        {
            let at = second - usual;
            let part = (at - begin) / (second - begin);
            let line = |from: f64, to: f64| from + part * (to - from);
            let put = match gap.fill {
                Fill::Hold => before,
                Fill::Straight => LoggedRow {
                    temperature: line(before.temperature, row.temperature),
                    humidity: line(before.humidity, row.humidity),
                    radiation: before.radiation.midpoint(row.radiation),
                    ..before
                },
            };
            all.push((put, at));
        }
        all.push((*row, *second));
    }
    all
}

fn empty() -> FileFault {
    FileFault {
        line: 1,
        column: 1,
        width: 1,
        what: "the weather file has no rows".into(),
        remedy: "begin with the line `time,temperature`; rows follow".into(),
    }
}

/// Seconds from midnight of a day.
fn second_of(time: DateTime, first: Date) -> f64 {
    let days = i64::from((time.date() - first).get_days());
    let (hour, minute, second) = (time.hour(), time.minute(), time.second());
    let of_day = i64::from(hour) * 3600 + i64::from(minute) * 60 + i64::from(second);
    (days * DAY + of_day) as f64
}

/// Where the columns stand.
struct Columns {
    count: usize,
    time: usize,
    temperature: usize,
    humidity: Option<usize>,
    radiation: Option<usize>,
}

impl Columns {
    fn find(header: &Row, faults: &mut FileFaults) -> Option<Self> {
        for (place, name) in header.fields().enumerate() {
            let twice = header.fields().position(|it| it == name) != Some(place);
            if !KNOWN.contains(&name) {
                let what = format!("the weather file has the column `{}`", shown(name));
                let remedy = "known are time, temperature, humidity and radiation";
                faults.add(|| header.fault(place, what, remedy));
            } else if twice {
                let what = format!("the weather file has the column `{name}` twice");
                faults.add(|| header.fault(place, what, "keep one"));
            }
        }
        let find = |name: &str| header.fields().position(|field| field == name);
        let mut needed = |name: &str| {
            let place = find(name);
            if place.is_none() {
                let what = format!("the weather file has no column `{name}`");
                let remedy = "its first line must be `time,temperature`, and may have `humidity` \
                              and `radiation` as well";
                faults.add(|| header.fault(0, what, remedy));
            }
            place
        };
        let (time, temperature) = (needed("time"), needed("temperature"));
        Some(Self {
            count: header.len(),
            time: time?,
            temperature: temperature?,
            humidity: find("humidity"),
            radiation: find("radiation"),
        })
    }

    /// Reads a row; `None` where it is wrong.
    fn read(&self, row: &Row, unit: TemperatureUnit, faults: &mut FileFaults) -> Option<LoggedRow> {
        if row.len() != self.count {
            let what = format!("this row has {} columns, and the header {}", row.len(), self.count);
            faults
                .add(|| row.fault(row.len(), what, "each row needs as many columns as the header"));
            return None;
        }
        let time = time(row.field(self.time));
        if time.is_none() {
            let what = format!("`{}` is no time", shown(row.field(self.time)));
            faults.add(|| row.fault(self.time, what, "write it like 2025-04-16T08:00"));
        }
        let temperature = temperature(row.field(self.temperature), unit)
            .map_err(|(what, remedy)| {
                faults.add(|| row.fault(self.temperature, what, &remedy));
            })
            .ok();
        let humidity = optional(row, self.humidity, Quantity::Humidity, faults);
        let radiation = optional(row, self.radiation, Quantity::Global, faults);
        Some(LoggedRow {
            line: row.line,
            time: time?,
            temperature: temperature?,
            humidity: humidity?,
            radiation: radiation?,
        })
    }
}

/// A value of a column that may be left out as a whole; then it is 0, and nobody reads it.
fn optional(
    row: &Row,
    column: Option<usize>,
    quantity: Quantity,
    faults: &mut FileFaults,
) -> Option<f64> {
    let Some(place) = column else { return Some(0.0) };
    let what = match quantity.read(row.field(place)) {
        Ok(Some(value)) => return Some(value),
        Ok(None) => format!("the {} is missing", quantity.name()),
        Err(what) => what,
    };
    faults.add(|| row.fault(place, what, &quantity.remedy()));
    None
}

fn time(text: &str) -> Option<DateTime> {
    let plain = |byte: u8| byte.is_ascii_digit() || matches!(byte, b'-' | b':' | b'T' | b' ');
    if !matches!(text.len(), 16 | 19) || !text.bytes().all(plain) {
        return None;
    }
    text.parse().ok()
}

/// A temperature in degrees C, or what is wrong and what would be right.
fn temperature(text: &str, unit: TemperatureUnit) -> Result<f64, (String, String)> {
    let letter = unit.letter();
    let Some(number) = parse_number(text) else {
        let what = format!("`{}` is no temperature", shown(text));
        return Err((what, format!("write a plain number, in {letter}")));
    };
    let celsius = unit.to_celsius(number);
    if (COLDEST..=WARMEST).contains(&celsius) {
        return Ok(celsius);
    }
    let (low, high) = (unit.from_celsius(COLDEST), unit.from_celsius(WARMEST));
    let what = format!("{} {letter} is no outdoor temperature", shown(text));
    Err((what, format!("accepted is {low:.0} to {high:.0} {letter}")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Seconds;
    use jiff::civil::date;
    use std::fmt::Write as _;
    use std::iter;

    const CELSIUS: TemperatureUnit = TemperatureUnit::Celsius;

    fn faults(text: &str) -> Vec<String> {
        let faults = Logged::read(text, CELSIUS).expect_err("something is wrong");
        let words = |fault: &FileFault| format!("{}:{} {}", fault.line, fault.column, fault.what);
        faults.as_slice().iter().map(words).collect()
    }

    #[test]
    fn every_fault_of_a_file_is_found_at_once() {
        let text = "time,temperature,radiation\n2025-01-01T00:00,cold,5\n2025-01-01,3,x\n\n\
                    2025-01-01T02:00,1,0\n2025-01-01T01:00,1,0\n2025-01-01T03:00,99\n";
        assert_eq!(
            faults(text),
            [
                "2:18 `cold` is no temperature",
                "3:1 `2025-01-01` is no time",
                "3:14 `x` is no global radiation",
                "6:1 its time is not after the row before",
                "7:20 this row has 2 columns, and the header 3",
            ]
        );
        assert_eq!(faults("")[0], "1:1 the weather file has no rows");
        assert_eq!(faults("wind,wind\n").len(), 4);
    }

    #[test]
    fn humidity_and_radiation_come_with_the_temperatures() {
        let head = "radiation,time,humidity,temperature".to_owned();
        let rows = (0..24).map(|hour| format!("{},2025-06-21 {hour:02}:00,50,{hour}", hour * 10));
        let text = iter::once(head).chain(rows).collect::<Vec<_>>().join("\n");
        let logged = Logged::read(&text, CELSIUS).expect("right");
        let period = Period::new(date(2025, 6, 21), 1, Seconds::minutes(1)).expect("a period");
        let weather = logged.weather(&period, None, None).expect("covered");
        let record = weather.record().expect("more than temperatures");
        let spells = record.light.as_ref().expect("radiation");
        assert_eq!((spells[5].from, spells[5].to), (4.0 * 3600.0, 5.0 * 3600.0));
        assert_eq!(spells[5].light, Light::Global(50.0));
        let mut course = Course::new(&weather, period.first());
        let half = 0.5 * crate::moist_air::over_water(10.0);
        let found = course.vapour(10.0 * 3600.0).expect("humidity");
        assert!((found - half).abs() < 1e-9, "{found}");
        assert_eq!(course.outdoor(10.5 * 3600.0), 10.5);
    }

    /// Hourly rows of three days without those from 10:00 to 19:00 of the second.
    fn with_a_hole() -> Logged {
        let mut text = String::from("time,temperature,radiation\n");
        for hour in (0..72_i32).filter(|hour| !(34..43).contains(hour)) {
            let (day, of_day) = (hour / 24 + 1, hour % 24);
            let _ = writeln!(text, "2025-01-0{day}T{of_day:02}:00,{},{}", hour - 20, 10 * hour);
        }
        Logged::read(&text, CELSIUS).expect("right")
    }

    #[test]
    fn a_gap_is_told_and_nothing_is_put_there_unasked() {
        let logged = with_a_hole();
        let [gap] = logged.gaps()[..] else { panic!("{:?}", logged.gaps()) };
        let times = (gap.from.to_string(), gap.to.to_string());
        assert_eq!(times, ("2025-01-02T09:00:00".into(), "2025-01-02T19:00:00".into()));
        assert_eq!((gap.line, gap.seconds), (36, 36_000.0));
        let days: Vec<Date> = logged.days().iter().map(|(date, _)| *date).collect();
        assert_eq!(days, [date(2025, 1, 1), date(2025, 1, 3)]);
        let period = |day, days| {
            Period::new(date(2025, 1, day), days, Seconds::minutes(10)).expect("a period")
        };
        let refused = logged.weather(&period(1, 3), None, None).expect_err("refused");
        assert_eq!(refused, Uncovered::Gaps(vec![gap]));
        let elsewhere = logged.weather(&period(3, 1), None, None).expect("not touched");
        assert!(elsewhere.record().is_some_and(|record| record.gaps.is_empty()));
        assert_eq!(logged.weather(&period(1, 4), None, None), Err(Uncovered::Ends));
    }

    #[test]
    fn what_is_put_into_a_gap_is_what_was_asked_for() {
        let period = Period::new(date(2025, 1, 1), 3, Seconds::minutes(10)).expect("a period");
        let with = |fill| with_a_hole().weather(&period, None, Some(fill)).expect("filled");
        let (held, straight) = (with(Fill::Hold), with(Fill::Straight));
        let at = |weather: &Weather, hour: f64| weather.outdoor(period.first(), hour * 3600.0);
        assert_eq!(
            [33.0, 38.0, 42.0, 42.5, 43.0].map(|it| at(&held, it)),
            [13.0, 13.0, 13.0, 18.0, 23.0]
        );
        let line = [33.0, 38.0, 42.0, 43.0].map(|it| at(&straight, it));
        assert_eq!(line, [13.0, 18.0, 22.0, 23.0]);
        let lights = |weather: &Weather| {
            let record = weather.record().expect("radiation");
            assert_eq!(record.gaps.len(), 1);
            record.light.as_ref().expect("radiation")[34..36]
                .iter()
                .map(|spell| (spell.to - spell.from, spell.light))
                .collect::<Vec<_>>()
        };
        let own = (3600.0, Light::Global(430.0));
        assert_eq!(lights(&held), [(32_400.0, Light::Global(330.0)), own]);
        assert_eq!(lights(&straight), [(32_400.0, Light::Global(380.0)), own]);
    }

    #[test]
    fn rows_every_six_hours_leave_gaps_however_regular_they_are() {
        let rows = (0..5).map(|row| format!("2025-01-0{}T{:02}:00,1", row / 4 + 1, row % 4 * 6));
        let text = iter::once("time,temperature".to_owned()).chain(rows).collect::<Vec<_>>();
        let logged = Logged::read(&text.join("\n"), CELSIUS).expect("right");
        assert_eq!(logged.gaps().len(), 4);
    }

    #[test]
    fn whole_days_are_read_at_their_hours() {
        let mut lines = vec!["time,temperature".to_owned(), "2025-01-01T20:00,-5".to_owned()];
        for day in 2..=3 {
            lines.extend(
                (0..24).map(|hour| format!("2025-01-0{day}T{hour:02}:00,{}", day * 10 + hour)),
            );
        }
        let text = lines.join("\n");
        let days = Logged::read(&text, CELSIUS).expect("right").days();
        let dates: Vec<Date> = days.iter().map(|(date, _)| *date).collect();
        assert_eq!(dates, [date(2025, 1, 2), date(2025, 1, 3)]);
        assert_eq!((days[0].1[0], days[0].1[23], days[1].1[22]), (21.0, 30.0, 53.0));
    }
}
