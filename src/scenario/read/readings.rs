//! Weather files that a scenario names: what is wrong in them is told at the key that names them,
//! with line and column of the file.

use std::sync::Arc;

use crate::scenario::fault::Complaint;
use crate::scenario::fields::Fields;
use crate::scenario::scalar::Scalar;
use crate::scenario::shelf::{Beside, Text};
use crate::scenario::shown::shortened;
use crate::time::Period;
use crate::weather::{
    Asked, DEGREE_DAY_BASE, FileFaults, Fill, Gap, Outstanding, Pick, Site, Stamp, Statistics,
    TypicalYear, Uncovered, Weather, WeatherFile, YearLayout,
};

/// How many faults of a weather file are told.
const MOST_TOLD: usize = 24;
/// How many gaps of a weather file are told.
const GAPS_TOLD: usize = 3;

/// Reads the weather file that a key of the weather names, whatever its layout.
pub(super) fn read(
    weather: &Fields,
    key: &str,
    period: &Period,
    site: Option<Site>,
    beside: &dyn Beside,
) -> Option<Weather> {
    let block = weather.block(key);
    let (fields, name) = match (&block, key) {
        (Some(block), "tmy3") => (block, "file"),
        (Some(block), _) => (block, "name"),
        (None, _) => (weather, key),
    };
    let (mut balance, mut day) = (DEGREE_DAY_BASE, None);
    if let Some(block) = &block {
        let given = block.optional("balance", Fields::number)?;
        balance = given.map_or(balance, |value| weather.checker.unit.to_celsius(value));
        day = block.optional("day", Fields::text)?;
    }
    let picked = day.as_ref().and_then(|day| Day::read(fields, day));
    let stamp = weather.pick("stamp", &Stamp::ALL, Stamp::name)?;
    let Text { text, content } = opened(fields, name, beside)?;
    if weather.has("stamp") && YearLayout::of(&text).is_some() {
        let says = Complaint::new("idle-stamp", "the layout of this file fixes its stamps");
        weather.fault("stamp", says.help("take the stamp out"));
    }
    let asked = Asked {
        file: content,
        unit: weather.checker.unit,
        day: day.map(|day| (day, balance)),
        stamp: weather.has("stamp").then_some(stamp),
        fill: weather.has("fill").then(|| weather.pick("fill", &Fill::ALL, Fill::name)).flatten(),
        is_dry: weather.has("humidity")
            && matches!(weather.read("humidity"), Some(Scalar::Number(_))),
        period: *period,
        site,
    };
    let known = beside.almanac().weather(&asked);
    known.or_else(|| {
        let found = made((fields, name), &text, &asked, picked)?;
        beside.almanac().keep(asked, &found);
        Some(found)
    })
}

/// The weather of a file's text, on the day that is repeated, if one is.
fn made(
    (fields, name): (&Fields, &str),
    text: &str,
    asked: &Asked,
    day: Option<Day>,
) -> Option<Weather> {
    let file = WeatherFile::read(text, asked.unit);
    let mut found = match file.map_err(|faults| tell(fields, name, &faults)).ok()? {
        WeatherFile::Typical(year) => {
            let pick = match &asked.day {
                Some((_, balance)) => day?.pick(&year, *balance)?,
                None => Pick::Dates,
            };
            year.weather(pick, &asked.period, asked.site)
        }
        WeatherFile::Logged(_) if asked.day.is_some() => {
            let message = "a day can be repeated of a typical year, not of a CSV of readings";
            let help = "take `day` out, or give the 24 values as `hours`";
            fields.fault("day", Complaint::new("bad-day", message).help(help));
            return None;
        }
        WeatherFile::Logged(logged) => {
            let stamp = asked.stamp.unwrap_or_default();
            let found = logged.weather(&asked.period, asked.site, stamp, asked.fill);
            found.map_err(|why| fields.fault(name, uncovered(&asked.period, why))).ok()?
        }
    };
    if let Weather::Record(record) = &mut found
        && asked.is_dry
    {
        Arc::make_mut(record).vapour = None;
    }
    Some(found)
}

fn uncovered(period: &Period, why: Uncovered) -> Complaint {
    match why {
        Uncovered::Ends => {
            let last = period.date(period.days() - 1);
            let first = period.first();
            let message = format!("the weather file does not cover {first} 00:00 to {last} 24:00");
            Complaint::new("weather-file", message)
                .help("change the period, or add rows from its first hour to its last")
        }
        Uncovered::Gaps(gaps) => Complaint::new("csv-gap", gaps_in_words(&gaps)).help(
            "add the rows, choose other days, or say what is put there: `fill: straight` or \
             `fill: hold`",
        ),
    }
}

/// The first gaps of a file that is to be run, and how many there are.
fn gaps_in_words(gaps: &[Gap]) -> String {
    let one = |gap: &Gap| {
        let [from, to] = [gap.from, gap.to].map(|time| time.strftime("%Y-%m-%d %H:%M"));
        format!("from {from} to {to} (before line {})", gap.line)
    };
    let told: Vec<String> = gaps.iter().take(GAPS_TOLD).map(one).collect();
    let more = gaps.len().saturating_sub(GAPS_TOLD);
    let more = if more > 0 { format!(", and {more} times more") } else { String::new() };
    format!("rows are missing in the weather file {}{more}", told.join(", "))
}

/// The day of the file that is repeated.
#[derive(Clone, Copy, Debug)]
enum Day {
    Outstanding(Outstanding),
    Date(i8, i8),
}

impl Day {
    fn read(fields: &Fields, text: &str) -> Option<Self> {
        match text {
            "coldest" => return Some(Self::Outstanding(Outstanding::Coldest)),
            "hottest" => return Some(Self::Outstanding(Outstanding::Hottest)),
            "mixed" => return Some(Self::Outstanding(Outstanding::Mixed)),
            _ => {}
        }
        let date = month_and_day(text);
        if date.is_none() {
            let message = format!("`{}` is no day of the year", shortened(text));
            let help = "write coldest, hottest, mixed, or month and day as in `04-16`";
            fields.fault("day", Complaint::new("bad-day", message).help(help));
        }
        date.map(|(month, day)| Self::Date(month, day))
    }

    fn pick(self, year: &TypicalYear, balance: f64) -> Option<Pick> {
        match self {
            Self::Date(month, day) => Some(Pick::Day(month, day)),
            Self::Outstanding(which) => {
                let date = Statistics::new(year.days(), balance)?.outstanding(which).date;
                Some(Pick::Day(date.month(), date.day()))
            }
        }
    }
}

/// `MM-DD`, 29 February included.
fn month_and_day(text: &str) -> Option<(i8, i8)> {
    let (month, day) = text.split_once('-')?;
    let two = |part: &str| part.len() == 2 && part.bytes().all(|byte| byte.is_ascii_digit());
    if !two(month) || !two(day) {
        return None;
    }
    let (month, day) = (month.parse().ok()?, day.parse().ok()?);
    jiff::civil::Date::new(2024, month, day).ok().map(|date| (date.month(), date.day()))
}

fn opened(fields: &Fields, key: &str, beside: &dyn Beside) -> Option<Text> {
    let name = fields.text(key)?;
    let text = beside.text(&name).map_err(|why| {
        let message = format!("`{}` cannot be read: {why}", shortened(&name));
        let help = "the name is looked up beside the scenario file";
        fields.fault(key, Complaint::new("unreadable-file", message).help(help));
    });
    text.ok()
}

/// Tells what is wrong in a weather file, of a file that is wrong all over the beginning.
fn tell(fields: &Fields, key: &str, faults: &FileFaults) {
    for fault in faults.as_slice().iter().take(MOST_TOLD) {
        let message = format!(
            "line {}, column {} of the weather file: {}",
            fault.line, fault.column, fault.what
        );
        fields.fault(key, Complaint::new("weather-file", message).help(fault.remedy.clone()));
    }
    let rest = faults.count().saturating_sub(MOST_TOLD);
    if rest > 0 {
        let message = format!("the weather file has {rest} more faults");
        let help = "`setband weather FILE` shows them";
        fields.fault(key, Complaint::new("weather-file", message).help(help));
    }
}
