//! A weather file, as text and as JSON.

mod light;

use serde_json::{Value, json};

pub(super) use light::LIGHT_TITLE;
use light::{LIGHT_NOTE, light_json, light_table, means, means_json, no_light};

use super::content::{self, Cell, Column, Table, Units};
use super::figures::{date_in_words, day_and_month, one_digit, unit_sign};
use super::render::fit::{clean, hang};
use super::render::text::{self, Style};
use crate::units::TemperatureUnit;
use crate::weather::{
    DayFigures, Fill, Filled, Gap, MonthOfLight, Notice, Outstanding, Quantity, Stamp, Station,
    Statistics, WeatherFile,
};

/// How many oddities the text for people shows.
const MOST_SHOWN: usize = 20;

/// A weather file with what its temperatures add up to.
#[derive(Clone, Copy, Debug)]
pub struct Climate<'a> {
    /// The file's name.
    pub name: &'a str,
    /// The file.
    pub file: &'a WeatherFile,
    /// Its figures.
    pub statistics: &'a Statistics,
    /// What sun and sky send onto the faces of a building, where the file has radiation and the
    /// place is known.
    pub light: Option<&'a [MonthOfLight]>,
    /// Where the stamps of readings stand.
    pub stamp: Stamp,
    /// The unit of what is shown.
    pub unit: TemperatureUnit,
}

impl Climate<'_> {
    pub(super) fn station(&self) -> Option<&Station> {
        match self.file {
            WeatherFile::Typical(year) => Some(year.station()),
            WeatherFile::Logged(_) => None,
        }
    }

    /// The place, or the file's name where it names none.
    pub(super) fn place(&self) -> String {
        let named = self.station().filter(|station| !station.name.is_empty());
        named.map_or_else(
            || self.name.to_owned(),
            |station| match station.region.as_str() {
                "" => station.name.clone(),
                region => format!("{}, {region}", station.name),
            },
        )
    }

    fn filled(&self) -> &[Filled] {
        match self.file {
            WeatherFile::Typical(year) => year.filled(),
            WeatherFile::Logged(_) => &[],
        }
    }

    fn notices(&self) -> &[Notice] {
        match self.file {
            WeatherFile::Typical(year) => year.notices(),
            WeatherFile::Logged(_) => &[],
        }
    }

    pub(super) fn shown(&self, celsius: f64) -> f64 {
        self.unit.from_celsius(celsius)
    }

    fn degree_days(&self, kelvin_days: f64) -> f64 {
        self.unit.difference_from_kelvin(kelvin_days)
    }

    /// Heating and cooling degree-days in the unit shown.
    pub(super) fn both_degree_days(&self) -> (f64, f64) {
        let statistics = self.statistics;
        let (heating, cooling) =
            (statistics.heating_degree_days(), statistics.cooling_degree_days());
        (self.degree_days(heating), self.degree_days(cooling))
    }

    /// The answer as a sentence.
    pub(super) fn answer(&self) -> String {
        let (heating, cooling) = self.both_degree_days();
        let (low, high) = self.statistics.extremes();
        let sign = unit_sign(self.unit);
        format!(
            "{}: mean {} {sign}, from {} to {} {sign}; {heating:.0} heating and {cooling:.0} \
             cooling degree-days on the base {} {sign}.",
            self.place(),
            one_digit(self.shown(self.statistics.mean())),
            one_digit(self.shown(low)),
            one_digit(self.shown(high)),
            one_digit(self.shown(self.statistics.base)),
        )
    }

    /// What is odd or was missing, a sentence each.
    fn oddities(&self) -> Vec<String> {
        let filled = self.filled().iter().map(filled_in_words);
        let notices = self.notices().iter().map(|notice| self.notice_in_words(*notice));
        let gaps = self.file.gaps();
        let count = (gaps.len() > 1).then(|| {
            let hours: f64 = gaps.iter().map(|gap| gap.seconds / 3600.0).sum();
            format!("There are {} gaps, {} h in all.", gaps.len(), one_digit(hours))
        });
        let gaps = gaps.iter().map(|gap| {
            let long = if gap.is_long() { "; a scenario has to say what is put there" } else { "" };
            format!("{}{long}.", gap_alone(gap))
        });
        count.into_iter().chain(gaps).chain(filled).chain(notices).collect()
    }

    fn notice_in_words(&self, notice: Notice) -> String {
        match notice {
            Notice::Jump { line, kelvin } => {
                let by = one_digit(self.unit.difference_from_kelvin(kelvin.abs()));
                let way = if kelvin < 0.0 { "falls" } else { "rises" };
                let sign = unit_sign(self.unit);
                format!("Line {line}: the temperature {way} by {by} {sign} within an hour.")
            }
            Notice::Columns(count) => {
                format!("Line 2: the header has {count} columns; the layout has 68 or 71.")
            }
            Notice::Absent(quantity) => {
                let instead = match quantity {
                    Quantity::Humidity => {
                        " A scenario takes it from the dew point, if there is one."
                    }
                    Quantity::Beam | Quantity::Diffuse => {
                        " A scenario splits global radiation, if there is any."
                    }
                    Quantity::Global | Quantity::DryBulb | Quantity::DewPoint | Quantity::Wind => {
                        ""
                    }
                };
                format!("The file has no {}.{instead}", quantity.name())
            }
        }
    }
}

/// What was missing, as a sentence.
pub(super) fn filled_in_words(filled: &Filled) -> String {
    let Filled { quantity, hours, longest, first_line } = *filled;
    let plural = if hours == 1 { "" } else { "s" };
    format!(
        "{hours} hour{plural} of {} missing, the first on line {first_line}, the longest gap \
         {longest} h; filled by interpolation.",
        quantity.name()
    )
}

/// A time without rows and what was put there, as a sentence.
pub(super) fn gap_in_words(gap: &Gap) -> String {
    let filled = match gap.fill {
        Fill::Hold => "filled with the row before them",
        Fill::Straight => "filled on a straight line",
    };
    format!("{}; {filled}.", gap_alone(gap))
}

fn gap_alone(gap: &Gap) -> String {
    let [from, to] = [gap.from, gap.to].map(|time| time.strftime("%Y-%m-%d %H:%M"));
    let hours = one_digit(gap.seconds / 3600.0);
    format!("Rows are missing from {from} to {to} ({hours} h), before line {}", gap.line)
}

/// The text for people: the answer, the days that stand out, and what is wrong with the file.
pub fn weather_text(climate: &Climate, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &climate.answer());
    out.push_str(&hang("", &clean(&from_where(climate)), style.width));
    out.push('\n');
    out.push_str(&text::table(&days(climate), style));
    let note = "Mixed: the day that swings farthest across the base, by the smaller of its \
                degree-hours above and below. A day is its 24 rows, 01:00 to 24:00; degree-days \
                come from daily means.";
    out.push('\n');
    out.push_str(&hang("", note, style.width));
    out.push('\n');
    out.push_str(&hang("", &means(climate), style.width));
    out.push('\n');
    if let Some(months) = climate.light {
        text::strong(&mut out, style, LIGHT_TITLE);
        out.push_str(&text::table(&light_table(months), style));
        out.push('\n');
        out.push_str(&hang("", LIGHT_NOTE, style.width));
    } else {
        out.push_str(&hang("", no_light(climate), style.width));
    }
    out.push('\n');
    text::strong(&mut out, style, "What is wrong with the file");
    let oddities = climate.oddities();
    if oddities.is_empty() {
        out.push_str("  Nothing was found: all values are there, and none is odd.\n");
    }
    for oddity in oddities.iter().take(MOST_SHOWN) {
        out.push_str(&hang("  ", oddity, style.width));
    }
    if oddities.len() > MOST_SHOWN {
        let more = format!("And {} more; they stand in weather.json.", oddities.len() - MOST_SHOWN);
        out.push_str(&hang("  ", &more, style.width));
    }
    text::files(&mut out, style, files);
    out
}

fn from_where(climate: &Climate) -> String {
    let days = climate.statistics.days().len();
    let layout = climate.file.layout();
    let Some(station) = climate.station() else {
        let (first, last) = (climate.statistics.days().first(), climate.statistics.days().last());
        let span = first.zip(last).map(|(first, last)| {
            format!(": {} to {}", date_in_words(first.date), date_in_words(last.date))
        });
        let span = span.unwrap_or_default();
        return format!(
            "Layout: {layout}. Readings of {days} whole days{span}. {}",
            stamps(climate)
        );
    };
    let site = station.site;
    let elevation = station.elevation.map(|metres| format!(", {metres} m above the sea"));
    format!(
        "Layout: {layout}. A year of {days} days. Station {}: {} {}, {} {}{}, UTC{:+}. {}",
        station.code,
        degrees(site.latitude),
        if site.latitude < 0.0 { "south" } else { "north" },
        degrees(site.longitude),
        if site.longitude < 0.0 { "west" } else { "east" },
        elevation.unwrap_or_default(),
        site.utc_offset,
        stamps(climate),
    )
}

/// What the stamps mean, as a sentence.
fn stamps(climate: &Climate) -> String {
    match climate.file {
        WeatherFile::Typical(year) => {
            let station = year.station();
            let clock = if station.stamps_offset == station.site.utc_offset {
                "local standard time".to_owned()
            } else {
                format!("UTC{:+}", station.stamps_offset)
            };
            format!("In {clock}, {}.", year.layout().stamps())
        }
        WeatherFile::Logged(_) => format!(
            "Times are taken for the building's clock; radiation is the mean of the time {} the \
             stamp.",
            match climate.stamp {
                Stamp::Start => "after",
                Stamp::Middle => "around",
                Stamp::End => "before",
            }
        ),
    }
}

fn degrees(value: f64) -> String {
    format!("{:.2}°", value.abs())
}

/// The days that stand out.
pub(super) const OUTSTANDING: [(Outstanding, &str); 3] = [
    (Outstanding::Coldest, "coldest"),
    (Outstanding::Mixed, "mixed"),
    (Outstanding::Hottest, "hottest"),
];

fn days(climate: &Climate) -> Table {
    let units = Units::new(climate.unit, "");
    let air = |head| Column::in_unit(head, content::Quantity::Temperature, units).under("air");
    let hours = |head| Column::new(head, content::Quantity::Count).under("degree-hours");
    let mut table = Table::new(vec![
        Column::new("day", content::Quantity::Name),
        Column::new("date", content::Quantity::Name),
        air("low"),
        air("mean"),
        air("high"),
        hours("above base"),
        hours("below"),
    ]);
    for (which, name) in OUTSTANDING {
        let day = climate.statistics.outstanding(which);
        table.row([
            name.into(),
            day_and_month(day.date).into(),
            Cell::from(climate.shown(day.low)),
            climate.shown(day.mean).into(),
            climate.shown(day.high).into(),
            climate.degree_days(day.above).into(),
            climate.degree_days(day.below).into(),
        ]);
    }
    table
}

/// The figures for programs.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn weather_json(climate: &Climate) -> Result<String, serde_json::Error> {
    let statistics = climate.statistics;
    let (heating, cooling) = climate.both_degree_days();
    let (low, high) = statistics.extremes();
    let day = |which| month_day(statistics.outstanding(which));
    let mut value = json!({
        "file": climate.name,
        "layout": climate.file.layout(),
        "stamps": stamps(climate),
        "temperature_unit": climate.unit.letter(),
        "days": statistics.days().len(),
        "mean": climate.shown(statistics.mean()),
        "min": climate.shown(low),
        "max": climate.shown(high),
        "heating_degree_days": heating,
        "cooling_degree_days": cooling,
        "base": climate.shown(statistics.base),
        "coldest_day": day(Outstanding::Coldest),
        "hottest_day": day(Outstanding::Hottest),
        "mixed_day": day(Outstanding::Mixed),
        "filled": climate.filled().iter().map(filled_json).collect::<Vec<_>>(),
        "gaps": climate.file.gaps().iter().map(gap_json).collect::<Vec<_>>(),
        "notices": climate.oddities(),
        "means": means_json(climate),
    });
    if let Some(months) = climate.light {
        value["radiation_kwh_m2"] = light_json(months);
    }
    if let Some(station) = climate.station() {
        value["station"] = json!({
            "code": station.code,
            "name": station.name,
            "region": station.region,
            "latitude": station.site.latitude,
            "longitude": station.site.longitude,
            "utc_offset": station.site.utc_offset,
            "elevation_m": station.elevation,
            "stamps_utc_offset": station.stamps_offset,
        });
    }
    let mut text = serde_json::to_string_pretty(&value)?;
    text.push('\n');
    Ok(text)
}

fn month_day(day: &DayFigures) -> String {
    format!("{:02}-{:02}", day.date.month(), day.date.day())
}

fn gap_json(gap: &Gap) -> Value {
    json!({
        "from": gap.from.to_string(),
        "to": gap.to.to_string(),
        "hours": gap.seconds / 3600.0,
        "line": gap.line,
    })
}

fn filled_json(filled: &Filled) -> Value {
    json!({
        "quantity": filled.quantity.name(),
        "hours": filled.hours,
        "longest_gap_hours": filled.longest,
        "first_line": filled.first_line,
    })
}
