//! The log of a site: which column is what, and the days and the weather that it brings.

use std::sync::Arc;

use super::neighbours::unknown_zone;
use crate::control::{Mode, Power};
use crate::log::{
    Clock, Layout, Log, LogFault, LogSource, LogTime, Mapping, Meter, OutputColumn, Running,
    SiteLog, TimeColumns, TimeFault, TimeReader, WordColumn, ZoneMapping,
};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};
use crate::scenario::near::nearest;
use crate::scenario::scalar::Scalar;
use crate::scenario::shelf::Beside;
use crate::scenario::tree::{Node, Place, Value};
use crate::time::{DAY, Period, PeriodFault, Seconds};
use crate::units::TemperatureUnit;
use crate::weather::{Light, Reading, Record, Site, Spell, Weather};

/// Reads the block and the log that it names.
pub(super) fn read(log: &Fields, file: &Fields, beside: &dyn Beside) -> Checked<Arc<SiteLog>> {
    let zones = zones(log, file);
    let time = time(log, file);
    let electricity = electricity(log);
    let gap = log.optional("gap", Fields::seconds)?;
    let mapping = Mapping {
        layout: log.pick("layout", &[Layout::Wide, Layout::Long], |it| match it {
            Layout::Wide => "wide",
            Layout::Long => "long",
        })?,
        time: time?,
        unit: unit(log)?,
        gap: gap.map(Seconds::get),
        outdoor: log.optional("outdoor", Fields::text)?,
        radiation: log.optional("radiation", Fields::text)?,
        electricity: electricity?,
        zones: zones?,
    };
    let files = texts(log, "file")?;
    let source = LogSource { files, sheet: log.optional("sheet", Fields::text)?, mapping };
    if !log.checker.sink.is_empty() {
        // A mapping with faults elsewhere is told before its log is read.
        return None;
    }
    let names = source.files.clone();
    let faults = match beside.log(source) {
        Ok(read) => return Some(read),
        Err(faults) => faults,
    };
    for fault in &faults {
        tell(log, fault, &names);
    }
    None
}

/// Tells a fault of the log where the file names what is wrong.
fn tell(log: &Fields, fault: &LogFault, files: &[String]) {
    if let LogFault::NoPoint { names, known } = fault {
        for name in names {
            let one = LogFault::NoPoint { names: vec![name.clone()], known: known.clone() };
            let (message, mut help) = one.words(files);
            if let Some(near) = nearest(name, known.iter().map(String::as_str)) {
                help = format!("the nearest is `{near}`; {help}");
            }
            let place = log.written().and_then(|node| place_of(node, name)).unwrap_or(log.place);
            let complaint = Complaint::new("log-point", message).help(help);
            log.checker.fault(place, &log.path, || complaint);
        }
        return;
    }
    let (message, help) = fault.words(files);
    log.fault("file", Complaint::new("log-file", message).help(help));
}

/// Where a text stands in a block, other than as a key.
fn place_of(node: &Node, text: &str) -> Option<Place> {
    match &node.value {
        Value::Scalar { text: own, .. } => (&**own == text).then_some(node.place),
        Value::List(items) => items.iter().find_map(|item| place_of(item, text)),
        Value::Block(entries) => entries
            .iter()
            .filter(|entry| &*entry.key != "values")
            .find_map(|entry| place_of(&entry.node, text)),
    }
}

fn unit(log: &Fields) -> Option<TemperatureUnit> {
    match log.optional("unit", Fields::text)?.as_deref() {
        Some("F") => Some(TemperatureUnit::Fahrenheit),
        Some(_) => Some(TemperatureUnit::Celsius),
        None => Some(log.checker.unit),
    }
}

/// One text, or a list of them; its default where it is left out.
fn texts(fields: &Fields, key: &str) -> Option<Vec<String>> {
    match fields.items(key) {
        Some(items) => items.iter().map(|it| it.text().map(str::to_owned)).collect(),
        None => Some(vec![fields.text(key)?]),
    }
}

fn time(log: &Fields, file: &Fields) -> Option<TimeColumns> {
    let time = log.block_or_defaults("time")?;
    let columns = texts(&time, "column")?;
    let format = time.text("format")?;
    let format = (format != "iso").then_some(format);
    let year = time.optional("year", Fields::whole)?.and_then(|year| i16::try_from(year).ok());
    #[expect(clippy::cast_possible_truncation, reason = "within a day by its range")]
    let ahead = log.number("ahead")?.round() as i64;
    let clock = match time.text("clock")?.as_str() {
        "local" => Clock::Local(daylight(file)),
        "utc" => Clock::Utc { offset: utc_offset(&time, file)? },
        _ => Clock::Standard,
    };
    match TimeReader::new(format.as_deref(), year, clock, ahead) {
        Ok(reader) => Some(TimeColumns { columns, reader }),
        Err(TimeFault::NoYear) => {
            let none = Complaint::new("log-time", "these times have no year");
            time.fault("format", none.help("add the year, as in `year: 2025`"));
            None
        }
        Err(TimeFault::Format(why)) => {
            let message = format!("this format cannot be read: {why}");
            let help = "write it like `%d.%m.%Y %H:%M`, or `iso` for 2025-04-16 08:40";
            time.fault("format", Complaint::new("log-time", message).help(help));
            None
        }
    }
}

/// When clocks are ahead, as the file's calendar has it: they are changed at 2:00 standard time.
fn daylight(file: &Fields) -> Option<[LogTime; 2]> {
    let calendar = file.block("calendar")?;
    let saving = calendar.block("daylight_saving")?;
    let date = |key: &str| match saving.read(key)? {
        Scalar::Date(date) => Some(LogTime::midnight(date) + 2 * 3600),
        _ => None,
    };
    Some([date("from")?, date("to")?])
}

fn utc_offset(time: &Fields, file: &Fields) -> Option<i64> {
    let weather = file.block("weather");
    let site = weather.as_ref().and_then(|weather| weather.block("site"));
    let hours = site.as_ref().and_then(|site| site.number("utc_offset"));
    if hours.is_none() {
        let message = "times in UTC need the building's offset from it";
        let help = "add `site: {latitude: ..., longitude: ..., utc_offset: ...}` under `weather`";
        time.fault("clock", Complaint::new("log-time", message).help(help));
    }
    #[expect(clippy::cast_possible_truncation, reason = "at most 14 hours by its range")]
    hours.map(|hours| (hours * 3600.0).round() as i64)
}

fn electricity(log: &Fields) -> Option<Vec<Meter>> {
    let plain = |column: String| Meter { column, counts: false };
    let mut meters = Vec::new();
    match log.node("electricity").map(|node| &node.value) {
        None | Some(Value::Block(_)) => {}
        Some(Value::Scalar { .. }) => meters.push(plain(log.text("electricity")?)),
        Some(Value::List(items)) => {
            meters.extend(items.iter().filter_map(Node::text).map(|it| plain(it.to_owned())));
        }
    }
    let mut whole = true;
    log.each("electricity", |meter| {
        let read = meter.text("column").zip(meter.flag("counts"));
        whole &= read.is_some();
        meters.extend(read.map(|(column, counts)| Meter { column, counts }));
    });
    whole.then_some(meters)
}

fn zones(log: &Fields, file: &Fields) -> Option<Vec<ZoneMapping>> {
    let known = file.node("zones").map_or(&[][..], Node::entries);
    let written = log.node("zones").map_or(&[][..], Node::entries);
    if written.is_empty() {
        let none = Complaint::new("log-zones", "the log has no zones");
        log.fault("zones", none.help("name a zone with its `temperature`"));
        return None;
    }
    let path = log.path.key("zones");
    for entry in written {
        if !known.iter().any(|zone| zone.key == entry.key) {
            log.checker
                .fault(entry.place, &path.key(&entry.key), || unknown_zone(&entry.key, known));
        }
    }
    let mut zones = Vec::new();
    log.each_named("zones", |name, fields| zones.push(zone(name, &fields)));
    zones.into_iter().collect()
}

fn zone(name: &str, fields: &Fields) -> Option<ZoneMapping> {
    let mut others = Vec::new();
    for entry in fields.node("others").map_or(&[][..], Node::entries) {
        others.push((entry.key.to_string(), entry.node.text()?.to_owned()));
    }
    let text = |key: &str| fields.optional(key, Fields::text);
    let yes = [("yes", true), ("no", false)];
    let modes = [Mode::Heat, Mode::Cool, Mode::Auto, Mode::Dry, Mode::Fan];
    Some(ZoneMapping {
        zone: name.to_owned(),
        temperature: fields.text("temperature")?,
        others,
        heat: text("heat")?,
        cool: text("cool")?,
        mode: words(fields, "mode", &modes.map(|it| (it.name(), it)))?,
        power: words(fields, "power", &[("on", Power::On), ("off", Power::Off)])?,
        running: words(fields, "running", &Running::ALL.map(|it| (it.name(), it)))?,
        output: output(fields)?,
        coil: text("coil")?,
        events: text("events")?,
        people: text("people")?,
        occupied: words(fields, "occupied", &yes)?,
    })
}

/// A column of words: with `values`, or with our own words where only the column is named.
fn words<T: Copy>(fields: &Fields, key: &str, all: &[(&str, T)]) -> Checked<Option<WordColumn<T>>> {
    let meaning = |word: &str| {
        // `true` is a word for on in files of settings, too.
        let word = match word {
            "true" | "True" | "TRUE" => "on",
            "false" | "False" | "FALSE" => "off",
            word => word,
        };
        all.iter().find(|(name, _)| *name == word).map(|(_, it)| *it)
    };
    let Some(node) = fields.node(key) else { return Some(None) };
    if let Some(column) = node.text() {
        let values = all.iter().map(|(word, it)| ((*word).to_owned(), *it)).collect();
        return Some(Some(WordColumn { column: column.to_owned(), values }));
    }
    let block = fields.block(key)?;
    let values = block.node("values").map_or(&[][..], Node::entries);
    let values: Option<Vec<(String, T)>> = values
        .iter()
        .map(|entry| Some((entry.key.to_string(), meaning(entry.node.text()?)?)))
        .collect();
    Some(Some(WordColumn { column: block.text("column")?, values: values? }))
}

fn output(fields: &Fields) -> Checked<Option<OutputColumn>> {
    let Some(node) = fields.node("output") else { return Some(None) };
    if let Some(column) = node.text() {
        return Some(Some(OutputColumn { column: column.to_owned(), full: 100.0 }));
    }
    let block = fields.block("output")?;
    Some(Some(OutputColumn { column: block.text("column")?, full: block.number("full")? }))
}

/// The days of a log, in steps of a minute: for a file that names no others.
pub(super) fn period(file: &Fields, log: &SiteLog) -> Option<Period> {
    let (first, last) = log.log.span()?;
    // A row at midnight ends the day before.
    let days = (last - LogTime::midnight(first.date()) - 1).max(0) / DAY + 1;
    Period::new(first.date(), days, Seconds::minutes(1))
        .map_err(|fault| {
            let message = match fault {
                PeriodFault::Days => format!("the log spans {days} days"),
                PeriodFault::Step | PeriodFault::Calendar => {
                    "the log ends after the calendar".into()
                }
            };
            let help = "say which days are meant: `period: {from: ..., days: ...}`, at most 366";
            file.fault("log", Complaint::new("log-span", message).help(help));
        })
        .ok()
}

/// The weather that a log recorded, where a file names no other.
pub(super) fn weather(
    weather: &Fields,
    log: &Log,
    period: &Period,
    site: Option<Site>,
) -> Option<Weather> {
    log.outdoor.as_ref()?;
    let recorded = recorded_weather(log, period, site);
    if recorded.is_none() {
        let (first, last) = (period.first(), period.date(period.days() - 1));
        let message = format!("the log has no outdoor temperature from {first} to {last}");
        let help = "change the period, or give the weather";
        weather.fault_here(Complaint::new("log-span", message).help(help));
    }
    recorded.map(|record| Weather::Record(Arc::new(record)))
}

/// Outdoor air, and radiation where there is a site, as a log has them over a period; `None` where it
/// has no outdoor temperature of that time.
pub fn recorded_weather(log: &Log, period: &Period, site: Option<Site>) -> Option<Record> {
    let midnight = LogTime::midnight(period.first());
    let second = |at: LogTime| (at - midnight) as f64;
    let temperatures: Vec<Reading> = log
        .outdoor
        .as_ref()?
        .readings()
        .map(|(at, value, _)| Reading {
            second: second(at),
            temperature: log.unit.to_celsius(value),
        })
        .collect();
    let covers = |reading: &Reading| (0.0..=period.end().get() as f64).contains(&reading.second);
    if !temperatures.iter().any(covers) {
        return None;
    }
    let light = log.radiation.as_ref().filter(|_| site.is_some()).map(|radiation| {
        let readings: Vec<(LogTime, f64, u32)> = radiation.readings().collect();
        let pairs = readings.windows(2).filter(|pair| pair[1].0 - pair[0].0 <= log.longest_step());
        pairs
            .map(|pair| Spell {
                from: second(pair[0].0),
                to: second(pair[1].0),
                light: Light::Global(pair[0].1.max(0.0)),
            })
            .collect()
    });
    let light = light.filter(|spells: &Vec<Spell>| !spells.is_empty());
    Some(Record { temperatures, light, site, ..Record::default() })
}
