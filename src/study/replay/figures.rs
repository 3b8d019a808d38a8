//! Figures of logged days, measured or simulated: both from courses, over the same steps.

use super::drive::RunCourse;
use super::record::Record;
use crate::engine::Model;
use crate::study::quantile::quantile;

/// Temperatures of a zone as its sensor reads them, in the file's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Temperatures {
    /// Mean.
    pub mean: f64,
    /// The lowest.
    pub lowest: f64,
    /// The highest.
    pub highest: f64,
    /// Hours below the comfort band.
    pub hours_below: f64,
    /// Hours above it.
    pub hours_above: f64,
}

/// Figures of a zone. `None` is what was not recorded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ZoneFigures {
    /// How often its unit started.
    pub starts: Option<u32>,
    /// How long it ran, h.
    pub running_hours: Option<f64>,
    /// Its temperatures; `None` where none was read.
    pub temperature: Option<Temperatures>,
}

/// Figures of all zones.
#[derive(Clone, Debug, PartialEq)]
pub struct Figures {
    /// Electricity of all zones together, kWh.
    pub electricity_kwh: Option<f64>,
    /// Zone by zone.
    pub zones: Vec<ZoneFigures>,
}

/// A value with the interval in which it lies in 95 of 100 draws; without draws there is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// By the file as it is.
    pub value: f64,
    /// Lower and upper end.
    pub interval: Option<(f64, f64)>,
}

impl Estimate {
    /// A value with the values of draws.
    pub(super) fn of(value: f64, draws: impl Iterator<Item = f64>) -> Self {
        let mut sorted: Vec<f64> = draws.filter(|it| !it.is_nan()).collect();
        sorted.sort_by(f64::total_cmp);
        let interval =
            (!sorted.is_empty()).then(|| (quantile(&sorted, 0.025), quantile(&sorted, 0.975)));
        // The file's own value is one that is as likely as any.
        let interval = interval.map(|(low, high)| (low.min(value), high.max(value)));
        Self { value, interval }
    }

    /// Whether the interval has 0 in it; not without an interval.
    pub fn includes_zero(&self) -> bool {
        self.interval.is_some_and(|(low, high)| low <= 0.0 && high >= 0.0)
    }
}

/// What is the same of what was measured and of a run.
pub(super) struct Seen<'a> {
    electric: Box<dyn Fn(usize) -> Option<f64> + 'a>,
    running: Box<dyn Fn(usize, usize) -> Option<bool> + 'a>,
    temperature: Box<dyn Fn(usize, usize) -> Option<f64> + 'a>,
}

impl<'a> Seen<'a> {
    /// What the log has.
    pub(super) fn measured(record: &'a Record) -> Self {
        Self {
            electric: Box::new(|step| record.electric[step].filter(|_| record.has_electricity)),
            running: Box::new(|zone, step| record.zones[zone].running[step]),
            temperature: Box::new(|zone, step| record.zones[zone].temperature[step]),
        }
    }

    /// What a run has, over the steps at which the log has something; over all where it has nothing
    /// of a kind.
    pub(super) fn simulated(record: &'a Record, course: &'a RunCourse) -> Self {
        let ran: Vec<bool> =
            record.zones.iter().map(|zone| zone.running.iter().any(Option::is_some)).collect();
        Self {
            electric: Box::new(|step| {
                let known = !record.has_electricity || record.electric[step].is_some();
                known.then(|| course.electric[step])
            }),
            running: Box::new(move |zone, step| {
                let known = !ran[zone] || record.zones[zone].running[step].is_some();
                known.then(|| course.zones[zone].running[step])
            }),
            temperature: Box::new(|zone, step| {
                let known = record.zones[zone].temperature[step].is_some();
                known.then(|| course.zones[zone].sensed[step])
            }),
        }
    }

    /// Its figures.
    pub(super) fn figures(&self, model: &Model, record: &Record) -> Figures {
        let hours = record.grid.step.get() as f64 / 3600.0;
        let steps = 0..record.grid.count;
        let powers: Vec<f64> = steps.clone().filter_map(|step| (self.electric)(step)).collect();
        let electricity = powers.iter().sum::<f64>() * hours / 1000.0;
        let zones = (0..record.zones.len())
            .map(|zone| {
                let (low, high) = model.zones[zone].comfort.counted();
                let band = (model.unit.from_celsius(low), model.unit.from_celsius(high));
                let read: Vec<f64> =
                    steps.clone().filter_map(|step| (self.temperature)(zone, step)).collect();
                let runs: Vec<Option<bool>> =
                    steps.clone().map(|step| (self.running)(zone, step)).collect();
                let known = runs.iter().any(Option::is_some);
                let starts = runs.windows(2).filter(|it| **it == [Some(false), Some(true)]).count();
                let ran = runs.iter().filter(|it| **it == Some(true)).count() as f64 * hours;
                ZoneFigures {
                    starts: known.then(|| u32::try_from(starts).unwrap_or(u32::MAX)),
                    running_hours: known.then_some(ran),
                    temperature: temperatures(&read, band, hours),
                }
            })
            .collect();
        Figures { electricity_kwh: (!powers.is_empty()).then_some(electricity), zones }
    }
}

fn temperatures(read: &[f64], (low, high): (f64, f64), hours: f64) -> Option<Temperatures> {
    if read.is_empty() {
        return None;
    }
    let count = |outside: &dyn Fn(f64) -> bool| {
        read.iter().filter(|it| outside(**it)).count() as f64 * hours
    };
    Some(Temperatures {
        mean: read.iter().sum::<f64>() / read.len() as f64,
        lowest: read.iter().copied().fold(f64::INFINITY, f64::min),
        highest: read.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        hours_below: count(&|it| it < low),
        hours_above: count(&|it| it > high),
    })
}

/// Root of the mean square of what a run reads less what was read, zone by zone and of all readings
/// together, in the file's unit; not a number where nothing was read.
pub(super) fn errors(record: &Record, course: &RunCourse) -> (Vec<f64>, f64) {
    let mut all = (0.0, 0.0);
    let root = |(sum, count): (f64, f64)| (sum / count).sqrt();
    let zones = record
        .zones
        .iter()
        .zip(&course.zones)
        .map(|(read, run)| {
            let pairs = read.temperature.iter().zip(&run.sensed);
            let own = pairs
                .filter_map(|(read, run)| Some((run - (*read)?).powi(2)))
                .fold((0.0, 0.0), |(sum, count): (f64, f64), square| (sum + square, count + 1.0));
            all = (all.0 + own.0, all.1 + own.1);
            root(own)
        })
        .collect();
    (zones, root(all))
}
