//! The layouts of typical years that are read, told by the content of a file: where their columns
//! stand, what their rows are stamped with, and when the values of a row hold.

use jiff::civil::Date;

use super::super::fields::{Row, lines};
use super::super::quantity::Quantity;
use super::HOUR;

/// A layout of a year by the hour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum YearLayout {
    /// Two header lines, the station and the columns' names; rows are stamped at the end of their
    /// hour, `MM/DD/YYYY,01:00` to `24:00`: Wilcox and Marion, Users Manual for TMY3 Data Sets,
    /// NREL/TP-581-43156 (2008).
    Tmy3,
    /// Eight header lines, the first with the station after the word `LOCATION`; rows begin with
    /// year, month, day, hour 1 to 24 (the hour that ends then) and minute: Crawley, Hand and
    /// Lawrie (1999), Improving the weather information available to simulation programs.
    Epw,
    /// Three header lines: names of what is known of the station, their values, the columns'
    /// names; rows begin with year, month, day, hour 0 to 23 and minute 30, the middle of the hour
    /// of which they are the mean: National Solar Radiation Database.
    Nsrdb,
}

impl YearLayout {
    /// The layout that a text has, whatever the file's name.
    pub fn of(text: &str) -> Option<Self> {
        let head: Vec<Row> = lines(text).take(3).map(|(line, text)| Row::new(line, text)).collect();
        let field = |line: usize, place: usize| {
            head.get(line).map_or_else(String::new, |row| row.field(place).to_lowercase())
        };
        if field(0, 0) == "location" {
            return Some(Self::Epw);
        }
        let begins = |place: usize, word: &str| field(1, place).starts_with(word);
        if begins(0, "date") && begins(1, "time") {
            return Some(Self::Tmy3);
        }
        let stamps = ["year", "month", "day", "hour", "minute"];
        let is_nsrdb = head.get(2).is_some_and(|names| {
            stamps.iter().all(|it| names.fields().any(|name| name.eq_ignore_ascii_case(it)))
        });
        is_nsrdb.then_some(Self::Nsrdb)
    }

    /// What it is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Tmy3 => "TMY3",
            Self::Epw => "EPW",
            Self::Nsrdb => "NSRDB CSV",
        }
    }

    /// What its stamps mean, in words.
    pub const fn stamps(self) -> &'static str {
        match self {
            Self::Tmy3 | Self::Epw => {
                "rows are stamped at the end of their hour: temperature and humidity hold then, \
                 radiation is the mean of the hour before"
            }
            Self::Nsrdb => {
                "rows are stamped in the middle of their hour: temperature and humidity hold then, \
                 radiation is the mean of the hour around"
            }
        }
    }

    /// How many lines stand before the rows.
    pub(super) const fn header_lines(self) -> usize {
        match self {
            Self::Tmy3 => 2,
            Self::Epw => 8,
            Self::Nsrdb => 3,
        }
    }

    /// Seconds before the end of a row's hour at which its temperature holds.
    pub(super) const fn lead(self) -> f64 {
        match self {
            Self::Tmy3 | Self::Epw => 0.0,
            Self::Nsrdb => 0.5 * HOUR,
        }
    }

    /// Where a quantity stands in a row whose columns have these names, in small letters and
    /// without units.
    pub(super) fn place(self, quantity: Quantity, names: &[String]) -> Option<usize> {
        let named = |name: &str| names.iter().position(|it| it == name);
        match (self, quantity) {
            (Self::Tmy3, _) => named(quantity.heading()),
            (Self::Epw, Quantity::DryBulb) => Some(6),
            (Self::Epw, Quantity::DewPoint) => Some(7),
            (Self::Epw, Quantity::Humidity) => Some(8),
            (Self::Epw, Quantity::Global) => Some(13),
            (Self::Epw, Quantity::Beam) => Some(14),
            (Self::Epw, Quantity::Diffuse) => Some(15),
            (Self::Epw, Quantity::Wind) => Some(21),
            (Self::Nsrdb, Quantity::DryBulb) => named("temperature"),
            (Self::Nsrdb, Quantity::DewPoint) => named("dew point"),
            (Self::Nsrdb, Quantity::Humidity) => named("relative humidity"),
            (Self::Nsrdb, Quantity::Wind) => named("wind speed"),
            (Self::Nsrdb, Quantity::Global | Quantity::Beam | Quantity::Diffuse) => {
                named(quantity.heading())
            }
        }
    }

    /// What a right stamp looks like.
    pub(super) const fn stamp_remedy(self) -> &'static str {
        match self {
            Self::Tmy3 => "stamps are MM/DD/YYYY,HH:00 with hours from 01:00 to 24:00",
            Self::Epw => "rows begin year,month,day,hour 1 to 24,minute 0 or 60: one row an hour",
            Self::Nsrdb => {
                "rows have year, month, day, hour 0 to 23 and minute 30: fetch the file with one \
                 row an hour"
            }
        }
    }

    /// Month, day and hour 1 to 24 of a row, `at` being the places of year, month, day, hour and
    /// minute where columns have names.
    pub(super) fn stamp(self, row: &Row, at: [usize; 5]) -> Option<(i8, i8, i8)> {
        if self == Self::Tmy3 {
            return tmy3_stamp(row.field(0), row.field(1));
        }
        let [year, month, day, hour, minute] = at.map(|place| row.field(place));
        let (month, day) = (digits(month)?, digits(day)?);
        let (hour, minute) = (digits(hour)?, digits(minute)?);
        let is_year = year.len() == 4 && year.bytes().all(|it| it.is_ascii_digit());
        // A leap year has every date there is.
        Date::new(2024, month, day).ok().filter(|_| is_year)?;
        match self {
            Self::Nsrdb => {
                ((0..24).contains(&hour) && minute == 30).then_some((month, day, hour + 1))
            }
            _ => {
                ((1..=24).contains(&hour) && matches!(minute, 0 | 60)).then_some((month, day, hour))
            }
        }
    }
}

/// Month, day and hour 1 to 24. Midnight as `00:00` is the end of the day before.
fn tmy3_stamp(date: &str, time: &str) -> Option<(i8, i8, i8)> {
    let mut parts = date.split('/');
    let (month, day) = (digits(parts.next()?)?, digits(parts.next()?)?);
    let year = parts.next()?;
    let is_year = matches!(year.len(), 2 | 4) && year.bytes().all(|it| it.is_ascii_digit());
    let date = Date::new(2024, month, day).ok()?;
    let (hour, minute) = time.split_once(':')?;
    let hour = digits(hour)?;
    if !is_year || parts.next().is_some() || digits(minute)? != 0 || hour > 24 {
        return None;
    }
    if hour > 0 {
        return Some((month, day, hour));
    }
    let before = if (month, day) == (1, 1) {
        Date::new(2024, 12, 31).ok()?
    } else {
        date.yesterday().ok()?
    };
    Some((before.month(), before.day(), 24))
}

fn digits(text: &str) -> Option<i8> {
    let fits = matches!(text.len(), 1 | 2) && text.bytes().all(|it| it.is_ascii_digit());
    fits.then(|| text.parse().ok()).flatten()
}
