//! From a tree to a model: first everything is held against the table of keys, then each reader
//! looks at what several keys say together. Readers go on after a fault.

mod actions;
mod calendar;
mod changes;
mod controls;
mod limits;
mod log;
mod neighbours;
mod outdoor;
mod people;
mod points;
mod readings;
mod require;
mod sensing;
mod space;
mod tariff;
mod unit;
mod weather;
mod zone;

pub use log::recorded_weather;
pub(super) use require::requirements;

use std::sync::Arc;

use super::conform::{Checker, missing_key};
use super::every_zone;
use super::fault::{Complaint, Sink};
use super::fields::Fields;
use super::keys::{FILE, Kind};
use super::path::Path;
use super::scalar::Scalar;
use super::shelf::Beside;
use super::tree::{Node, Value};
use crate::engine::Model;
use crate::time::{Period, PeriodFault};
use crate::units::TemperatureUnit;

/// The most actions of a model, repetitions counted.
pub(super) const MOST_ACTIONS: usize = 2_000_000;

/// What a file needs besides its tree.
pub(super) struct Around<'a> {
    /// The title where the file gives none.
    pub(super) title: &'a str,
    /// Which variant it is.
    pub(super) variant: Option<&'a str>,
    pub(super) beside: &'a dyn Beside,
    /// How many actions it may have.
    pub(super) most_actions: usize,
}

/// Reads a model; `None` where the sink says why.
pub(super) fn model(root: &Node, around: &Around, sink: &Sink) -> Option<Model> {
    let checker = Checker { unit: unit_of(root), sink, in_part: false };
    checker.check(root, &Kind::Block(FILE), &Path::ROOT);
    let file = Fields::new(checker, FILE, root, Path::ROOT);

    if !zone::count_fits(&file) {
        return None;
    }
    let is_block = matches!(root.value, Value::Block(_));
    for key in FILE.keys.iter().filter(|key| ["period", "weather"].contains(&key.name)) {
        if is_block && !file.has(key.name) && !file.has("log") {
            file.fault_here(missing_key(key));
        }
    }
    let logged = file.block("log").map(|fields| log::read(&fields, &file, around.beside));
    let logged_days = logged.as_ref().and_then(Option::as_ref);
    let period = match (file.block("period"), logged_days) {
        (Some(fields), _) => read_period(&fields),
        (None, Some(log)) => log::period(&file, log),
        (None, None) => None,
    };
    let period = match file.block("calendar") {
        Some(fields) => period.and_then(|period| calendar::read(&fields, period)),
        None => period,
    };
    let outdoors = file
        .block_or_defaults("weather")
        .filter(|_| file.has("weather") || logged_days.is_some())
        .and_then(|fields| weather::read(&fields, period.as_ref(), around.beside, logged_days));
    let groups = outdoor::read(&file);
    let sunny = outdoors.as_ref().is_none_or(|it| it.site.is_some());
    let zones = zone::read_all(&file, sunny, &groups);
    let neighbours = neighbours::read(&file);
    let actions = match &period {
        Some(period) => actions::read(&file, period, &zones, &groups, around.most_actions),
        None => Vec::new(),
    };
    let people = people::read(&file, &zones, period.as_ref());
    let tariff = file.block("tariff").map(|fields| tariff::read(&fields));
    if !sink.is_empty() {
        if let Some(shared) = root.entry(every_zone::KEY) {
            sink.tell_once(shared.place.line..=shared.node.last_line(), every_zone::KEY);
        }
        return None;
    }
    let outdoors = outdoors?;
    Some(Model {
        title: file.text("title").unwrap_or_else(|| around.title.to_owned()),
        variant: around.variant.map(str::to_owned),
        unit: checker.unit,
        period: period?,
        seed: file.whole("seed")?,
        weather: outdoors.weather,
        site: outdoors.site,
        sky: outdoors.sky,
        humidity: outdoors.humidity,
        zones: zones.into_iter().map(|(_, zone)| zone).collect::<Option<_>>()?,
        neighbours,
        outdoor_units: groups.list.into_iter().collect::<Option<_>>()?,
        actions,
        people,
        log: match logged {
            Some(log) => Some(log?),
            None => None,
        },
        tariff: match tariff {
            Some(tariff) => Some(tariff?),
            None => None,
        },
        almanac: Arc::clone(around.beside.almanac()),
    })
}

/// The file's unit; anything that is not `F` is read as `C` and reported by its own key.
fn unit_of(root: &Node) -> TemperatureUnit {
    match root.get("temperature").and_then(Node::text) {
        Some("F") => TemperatureUnit::Fahrenheit,
        _ => TemperatureUnit::Celsius,
    }
}

fn read_period(fields: &Fields) -> Option<Period> {
    let Scalar::Date(first) = fields.read("from")? else { return None };
    let days = i64::try_from(fields.whole("days")?).ok()?;
    let step = fields.seconds("step")?;
    let complaint = match Period::new(first, days, step) {
        Ok(period) => return Some(period),
        Err(PeriodFault::Days) => return None,
        Err(PeriodFault::Step) => {
            let message = format!("a day is no whole number of steps of {step}");
            let help = "steps that divide a day are 10 s, 30 s, 1 min, 5 min, 15 min, 1 h";
            ("step", Complaint::new("step", message).help(help))
        }
        Err(PeriodFault::Calendar) => {
            let late = Complaint::new("out-of-range", "the period ends after the calendar");
            ("from", late.help("begin it earlier"))
        }
    };
    fields.fault(complaint.0, complaint.1);
    None
}
