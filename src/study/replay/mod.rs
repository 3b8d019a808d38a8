//! The same days with other settings: a run over the days of a log.
//!
//! The rooms begin as the log's first hours say ([`Unexplained`]), outdoor air (and sun, and presence)
//! are as logged, and the heat that the model does not explain, found by a smoother, is held
//! fixed.
//! *As logged*, setpoints, mode and power follow the log step by step: that checks the model. Variants
//! have controls of their own, of which the people of the log ask what they asked for at site
//! ([`logged_requests`]), or follow the setpoints of another log.
//!
//! A difference between a variant and the run as logged is taken in each draw of the fitted
//! parameters by itself: what all draws have in common falls out, and what is left is its interval.
//! What the model misses of the electricity as logged, it will miss elsewhere, too: that is part of the
//! interval where the two runs differ.
//!
//! ```
//! use std::num::NonZeroUsize;
//! use setband::scenario::read;
//! use setband::study::replay::{Asked, Days, NoReplay, replay};
//!
//! let text = "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW}, controls: {heat: 20, cool: 24}}
//! ";
//! let days = Days { logged: read(text, "hall.yaml", &|_| Err(String::new()))?.base, variants: vec![] };
//! let none = |_| Err("there are no draws".to_owned());
//! let found = replay(&days, (0, &none), &Asked::default(), NonZeroUsize::MIN);
//! assert_eq!(found.unwrap_err(), NoReplay::NoLog);
//! # Ok::<(), setband::scenario::Faults>(())
//! ```

mod base_load;
mod days;
mod drive;
mod fault;
mod figures;
mod missed;
mod record;
mod requests;
mod rerun;
mod templates;
mod unexplained;

use std::num::NonZeroUsize;

pub use days::{Days, Requests};
pub use drive::{RunCourse, ZoneCourse};
pub use fault::NoReplay;
pub use figures::{Estimate, Figures, Temperatures, ZoneFigures};
pub use record::{Record, ZoneRecord};
pub use requests::{LoggedRequest, Moved, logged_requests};
pub use rerun::Rerun;
pub use templates::{Templates, USUAL_DRAWS};
pub use unexplained::Unexplained;

use self::days::{Way, prepared};
use self::drive::{Drive, Follow};
use self::figures::{Seen, errors};
use self::missed::Missed;
use super::fit::Noise;
use super::parallel::in_parallel;
use crate::control::Outcome;
use crate::engine::Model;
use crate::units::TemperatureUnit;

/// What is asked.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// Whose requests the variants get.
    pub requests: Requests,
    /// Whether the heat that nothing explains is left out.
    pub no_disturbance: bool,
}

/// A finished replay.
#[derive(Clone, Debug)]
pub struct Replay {
    /// The file's unit.
    pub unit: TemperatureUnit,
    /// What the log has, step by step.
    pub record: Record,
    /// What was measured.
    pub measured: Figures,
    /// The run whose setpoints, mode and power are those of the log.
    pub as_logged: AsLogged,
    /// The variants.
    pub variants: Vec<Variant>,
    /// The heat that nothing explains, zone by zone.
    pub disturbance: Vec<Disturbance>,
    /// What the meter shows while nothing runs and the model does not have, W: added to all runs.
    pub base_load: f64,
    /// Whether it was left out of all runs.
    pub no_disturbance: bool,
    /// Over how many draws of the fitted parameters differences were taken.
    pub draws: usize,
    /// How many requests were found in the log; `None` where they were not asked for.
    pub requests: Option<usize>,
}

/// The run as logged.
#[derive(Clone, Debug)]
pub struct AsLogged {
    /// Its figures.
    pub figures: Figures,
    /// Its electricity over the draws, kWh.
    pub electricity: Estimate,
    /// Root of the mean square of its temperatures less those that were read, of all zones together
    /// and zone by zone, in the file's unit.
    pub rmse: f64,
    /// Zone by zone.
    pub zone_rmse: Vec<f64>,
    /// Its course.
    pub course: Course,
}

/// A variant.
#[derive(Clone, Debug)]
pub struct Variant {
    /// Its name.
    pub name: String,
    /// Its figures.
    pub figures: Figures,
    /// How many of the log's requests ended in each way, in the order of [`Outcome::ALL`].
    pub outcomes: [usize; Outcome::ALL.len()],
    /// Its electricity over the draws, kWh.
    pub electricity: Estimate,
    /// What is different to the run as logged, draw by draw.
    pub difference: Difference,
    /// Its course.
    pub course: Course,
}

/// A variant less the run as logged.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Electricity, kWh.
    pub electricity_kwh: Estimate,
    /// Zone by zone.
    pub zones: Vec<ZoneDifference>,
}

/// A zone of a variant less the same of the run as logged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ZoneDifference {
    /// Starts.
    pub starts: Estimate,
    /// Running hours, h.
    pub running_hours: Estimate,
    /// Mean temperature, in the file's unit.
    pub mean: Estimate,
    /// Hours below the comfort band.
    pub hours_below: Estimate,
    /// Hours above it.
    pub hours_above: Estimate,
}

/// A course with where it lies in 95 of 100 draws.
#[derive(Clone, Debug)]
pub struct Course {
    /// By the file as it is.
    pub run: RunCourse,
    /// Every how many steps there is a range.
    pub stride: usize,
    /// Lowest and highest of the zones' temperatures, zone by zone; empty without draws.
    pub ranges: Vec<Vec<(f64, f64)>>,
    /// Lowest and highest of the electricity used so far, kWh.
    pub used: Vec<(f64, f64)>,
}

/// How large the heat is that nothing explains.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disturbance {
    /// Its mean, W: what the model lacks all the time.
    pub mean: f64,
    /// The mean of its size, W.
    pub size: f64,
    /// The mean of the size of the plant's heat as logged, W.
    pub plant: f64,
}

/// Replays the days of a log. `draws` says how many draws of the fitted parameters there are and
/// gives the days of each.
///
/// # Errors
/// See [`NoReplay`].
pub fn replay(
    days: &Days,
    (count, draw): (usize, &(dyn Fn(usize) -> Result<Days, String> + Sync)),
    asked: &Asked,
    threads: NonZeroUsize,
) -> Result<Replay, NoReplay> {
    let site = days.logged.log.clone().ok_or(NoReplay::NoLog)?;
    let record = Record::of(&days.logged, &site)?;
    let way = Way::new(days, &site, &record, asked)?;
    let best = way.runs(days, &[])?;
    let numbers: Vec<usize> = (0..count).collect();
    let drawn = in_parallel(&numbers, threads, |number| {
        let days = draw(*number).map_err(|why| NoReplay::Draw(*number, why))?;
        way.runs(&days, &best.noise).map(|runs| Drawn::of(&runs, &days.logged, &record))
    });
    let drawn: Vec<Drawn> = drawn.into_iter().collect::<Result<_, _>>()?;
    let own = Drawn::of(&best, &days.logged, &record);
    let (zone_rmse, rmse) = errors(&record, &best.all[0]);
    let missed = Missed::of(&record, &best.all[0]);
    let missed: Vec<f64> =
        best.all.iter().map(|run| missed.where_differ(&best.all[0], run)).collect();
    let disturbance = best
        .heat
        .iter()
        .zip(&best.all[0].plant)
        .map(|(heat, plant)| Disturbance {
            mean: heat.iter().sum::<f64>() / heat.len() as f64,
            size: heat.iter().map(|it| it.abs()).sum::<f64>() / heat.len() as f64,
            plant: *plant,
        })
        .collect();
    let base_load = best.base_load;
    let mut runs = best.all.into_iter().enumerate().map(|(place, run)| {
        let course = Course::of(run, place, &drawn);
        (own.figures[place].clone(), own.electricity(place, &drawn), course)
    });
    let (figures, electricity, course) = runs.next().ok_or(NoReplay::NoLog)?;
    let as_logged = AsLogged { figures, electricity, rmse, zone_rmse, course };
    let variants = runs
        .zip(way.names(days))
        .enumerate()
        .map(|(place, ((figures, electricity, course), name))| Variant {
            name,
            figures,
            outcomes: course.run.outcomes,
            electricity,
            difference: own.difference(place + 1, &drawn, missed[place + 1]),
            course,
        })
        .collect();
    let measured = Seen::measured(&record).figures(&days.logged, &record);
    Ok(Replay {
        unit: days.logged.unit,
        measured,
        as_logged,
        variants,
        disturbance,
        base_load,
        no_disturbance: asked.no_disturbance,
        draws: count,
        requests: way.requests(),
        record,
    })
}

/// All runs with one set of parameters: as logged, then the variants.
struct Runs {
    all: Vec<RunCourse>,
    /// The heat that nothing explains, zone by zone.
    heat: Vec<Vec<f64>>,
    /// What was taken to be unknown, zone by zone.
    noise: Vec<Noise>,
    /// What the meter shows at rest and the model does not have, W.
    base_load: f64,
}

impl Way<'_> {
    fn runs(&self, days: &Days, noise: &[Noise]) -> Result<Runs, NoReplay> {
        let logged = prepared(&days.logged, Follow::Series(&[]));
        let found = self.followable.follow(&logged, noise)?;
        let noise = found.iter().map(|it| it.noise).collect();
        let start: Vec<[f64; 2]> = found.iter().map(|it| it.start).collect();
        let heat: Vec<Vec<f64>> = found.into_iter().map(|it| it.heat).collect();
        let none: &[Vec<f64>] = &[];
        let imposed = if self.no_disturbance { none } else { &heat };
        let run = |model: &Model, follow: Follow| {
            let drive = Drive { model, record: self.record, start: &start, heat: imposed, follow };
            drive.run()
        };
        let mut all = vec![run(&logged, Follow::Series(&self.record.zones))];
        for model in days.compared() {
            all.push(run(&prepared(model, self.follow()), self.follow()));
        }
        let base_load =
            if self.no_disturbance { 0.0 } else { base_load::base_load(self.record, &all[0]) };
        for run in &mut all {
            base_load::add(run, base_load);
        }
        Ok(Runs { all, heat, noise, base_load })
    }
}

/// The most places at which ranges of courses are kept.
const MOST_RANGES: usize = 720;

/// What is kept of the runs of a draw.
struct Drawn {
    figures: Vec<Figures>,
    /// Run by run: the temperature of each zone and the electricity so far, at the places of ranges.
    courses: Vec<(Vec<Vec<f64>>, Vec<f64>)>,
}

fn stride(steps: usize) -> usize {
    steps.div_ceil(MOST_RANGES).max(1)
}

/// Electricity up to each step, kWh, every so many steps.
fn used(run: &RunCourse, hours: f64, stride: usize) -> Vec<f64> {
    let mut sum = 0.0;
    let so_far = run.electric.iter().map(|watts| {
        sum += watts * hours / 1000.0;
        sum
    });
    so_far.step_by(stride).collect()
}

impl Drawn {
    fn of(runs: &Runs, model: &Model, record: &Record) -> Self {
        let hours = record.grid.step.get() as f64 / 3600.0;
        let stride = stride(record.grid.count);
        let thin = |all: &[f64]| all.iter().copied().step_by(stride).collect::<Vec<f64>>();
        Self {
            figures: runs
                .all
                .iter()
                .map(|run| Seen::simulated(record, run).figures(model, record))
                .collect(),
            courses: runs
                .all
                .iter()
                .map(|run| {
                    let zones = run.zones.iter().map(|zone| thin(&zone.sensed)).collect();
                    (zones, used(run, hours, stride))
                })
                .collect(),
        }
    }

    fn estimate(&self, drawn: &[Self], value: impl Fn(&Self) -> Option<f64>) -> Estimate {
        let of = |one: &Self| value(one).unwrap_or(f64::NAN);
        Estimate::of(of(self), drawn.iter().map(of))
    }

    fn electricity(&self, run: usize, drawn: &[Self]) -> Estimate {
        self.estimate(drawn, |it| it.figures[run].electricity_kwh)
    }

    /// A run less the one as logged; `missed` is what the model misses of such a difference, kWh.
    fn difference(&self, run: usize, drawn: &[Self], missed: f64) -> Difference {
        let less = |it: &Self| {
            let [own, logged] = [run, 0].map(|run| it.figures[run].electricity_kwh);
            own.zip(logged).map_or(f64::NAN, |(own, logged)| own - logged)
        };
        let off = missed::normal(drawn.len()).map(|it| missed * it);
        let electricity_kwh =
            Estimate::of(less(self), drawn.iter().zip(off).map(|(it, off)| less(it) + off));
        let zones = (0..self.figures[run].zones.len())
            .map(|zone| {
                let of = |value: &dyn Fn(&ZoneFigures) -> Option<f64>| {
                    self.estimate(drawn, |it| {
                        let [own, logged] = [run, 0].map(|run| value(&it.figures[run].zones[zone]));
                        Some(own? - logged?)
                    })
                };
                ZoneDifference {
                    starts: of(&|it| it.starts.map(f64::from)),
                    running_hours: of(&|it| it.running_hours),
                    mean: of(&|it| Some(it.temperature?.mean)),
                    hours_below: of(&|it| Some(it.temperature?.hours_below)),
                    hours_above: of(&|it| Some(it.temperature?.hours_above)),
                }
            })
            .collect();
        Difference { electricity_kwh, zones }
    }
}

impl Course {
    fn of(run: RunCourse, place: usize, drawn: &[Drawn]) -> Self {
        let steps = run.electric.len();
        let stride = stride(steps);
        let places = steps.div_ceil(stride);
        let range = |values: &dyn Fn(&Drawn, usize) -> f64| -> Vec<(f64, f64)> {
            (0..places)
                .map(|at| {
                    let all = Estimate::of(f64::NAN, drawn.iter().map(|it| values(it, at)));
                    all.interval.unwrap_or((f64::NAN, f64::NAN))
                })
                .collect()
        };
        if drawn.is_empty() {
            return Self { run, stride, ranges: Vec::new(), used: Vec::new() };
        }
        let zones = 0..run.zones.len();
        Self {
            stride,
            ranges: zones.map(|zone| range(&|it, at| it.courses[place].0[zone][at])).collect(),
            used: range(&|it, at| it.courses[place].1[at]),
            run,
        }
    }
}

#[cfg(test)]
mod tests;
