//! What acts on a zone, step by step, as its log has it; the file's where the log has nothing.

use super::grid::Grid;
use super::plant_heat::{PlantHeat, plant_heat};
use super::readings::{Readings, readings};
use crate::building::{Gain, Space, is_ventilated};
use crate::engine::{Model, SunOver, ZoneIndex};
use crate::log::{LogTime, SiteLog};
use crate::study::audit::Course;
use crate::study::scheduled::period_over;
use crate::time::{Instant, Period, Seconds};
use crate::weather::{Course as WeatherCourse, Reading, Weather};

/// What a log and its file say of one zone, put on steps. Temperatures in degrees C, heat in W.
#[derive(Clone, Debug)]
pub struct Inputs {
    /// The steps.
    pub grid: Grid,
    /// The days in which they lie.
    pub period: Period,
    /// Readings of the zone at the start of each step.
    pub readings: Readings,
    /// Outdoor air at the middle of each step.
    pub outdoor: Vec<f64>,
    /// Whether the log has it.
    pub outdoor_is_logged: bool,
    /// Whether scheduled ventilation runs.
    pub ventilated: Vec<bool>,
    /// For each entry of the zone's `gains`, whether it counts (1 or 0).
    pub scheduled: Vec<Vec<f64>>,
    /// How many people are there, where the log has it.
    pub people: Option<Vec<f64>>,
    /// Whether anybody is there (1 or 0), where the log has it.
    pub occupied: Option<Vec<f64>>,
    /// The sun's heat through the file's windows.
    pub solar: Vec<f64>,
    /// The unit's heat.
    pub plant: PlantHeat,
    /// Electric power, of the whole log.
    pub electric: Vec<Option<f64>>,
    /// Conductance to neighbours whose temperature is logged, W/K,
    pub neighbours: f64,
    /// and what they would bring if the zone were at the outdoor temperature.
    pub from_neighbours: Vec<f64>,
}

/// Why a zone cannot be fitted or followed at all.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum NoInputs {
    /// The log has no zone of that name, or no temperature of it.
    NoTemperature(String),
    /// The log does not reach into these steps.
    Outside,
}

impl Inputs {
    /// What a log says of a zone over the steps of a grid.
    ///
    /// # Errors
    /// See [`NoInputs`].
    pub fn of(
        model: &Model,
        site: &SiteLog,
        zone: ZoneIndex,
        grid: Grid,
    ) -> Result<Self, NoInputs> {
        Self::of_courses(model, site, &Course::of_log(model, site), zone, grid)
    }

    /// The same with the log's courses at hand: many models of the same days have them in common.
    ///
    /// # Errors
    /// See [`NoInputs`].
    pub(in crate::study) fn of_courses(
        model: &Model,
        site: &SiteLog,
        courses: &[Course],
        zone: ZoneIndex,
        grid: Grid,
    ) -> Result<Self, NoInputs> {
        let name = &model.zones[zone.get()].id;
        let none = || NoInputs::NoTemperature(name.clone());
        let course = courses.iter().find(|it| it.place == zone.get()).ok_or_else(none)?;
        let readings = readings(&site.log, course.logged, &grid);
        if site.log.zones[course.logged].temperature.is_empty() {
            return Err(none());
        }
        let period = period_over(model, grid.from, grid.at(grid.count)).ok_or(NoInputs::Outside)?;
        if readings.at.iter().all(Option::is_none) {
            return Err(NoInputs::Outside);
        }
        let outdoor = outdoor(model, site, &grid, &period);
        let (neighbours, from_neighbours) = neighbours(model, site, zone, courses, &grid, &outdoor);
        let steps = Steps { grid: &grid, period: &period };
        let space = &model.zones[zone.get()].space;
        let gains = &model.zones[zone.get()].gains;
        Ok(Self {
            readings,
            outdoor_is_logged: site.log.outdoor.is_some() || model.weather.record().is_some(),
            ventilated: steps.each(|at| is_ventilated(space, &period, at)),
            scheduled: gains.iter().map(|gain| steps.scheduled(gain)).collect(),
            people: site.log.zones[course.logged].people.as_ref().map(|series| {
                let held = site.log.stepped(series, |value| value.max(0.0));
                let values: Vec<f64> = held.iter().map(|it| it.unwrap_or(f64::NAN)).collect();
                held_mean(course, &grid, |place| Some(values[place]).filter(|it| !it.is_nan()))
                    .into_iter()
                    .map(|it| it.unwrap_or(0.0))
                    .collect()
            }),
            occupied: site.log.zones[course.logged].occupied.as_ref().map(|_| {
                let there =
                    |place: usize| course.samples[place].occupied.map(|it| f64::from(u8::from(it)));
                let mean = held_mean(course, &grid, there);
                mean.into_iter().map(|it| it.unwrap_or(0.0)).collect()
            }),
            solar: solar(model, zone, &grid),
            plant: plant_heat(model, course, &grid, courses.len()),
            electric: held_mean(course, &grid, |place| course.samples[place].electric_w),
            outdoor,
            neighbours,
            from_neighbours,
            period,
            grid,
        })
    }

    /// Where an entry of gains counts (1 or 0).
    pub fn schedule(&self, gain: &Gain) -> Vec<f64> {
        let steps = Steps { grid: &self.grid, period: &self.period };
        steps.scheduled(gain)
    }

    /// The first steps alone.
    #[must_use]
    pub(super) fn until(&self, count: usize) -> Self {
        let mut all = self.clone();
        let count = count.min(all.grid.count);
        all.grid.count = count;
        all.readings.at.truncate(count);
        all.readings.shown.truncate(count);
        all.outdoor.truncate(count);
        all.ventilated.truncate(count);
        all.scheduled.iter_mut().for_each(|it| it.truncate(count));
        for course in [&mut all.people, &mut all.occupied].into_iter().flatten() {
            course.truncate(count);
        }
        all.solar.truncate(count);
        all.plant.by_stage.iter_mut().for_each(|it| it.truncate(count));
        all.plant.unsure.truncate(count);
        all.plant.ran.truncate(count);
        all.electric.truncate(count);
        all.from_neighbours.truncate(count);
        all
    }

    /// The steps that suit a log: of its usual interval, but no shorter than a minute, from its first
    /// reading of a zone to its last, so many at most.
    pub fn grid(model: &Model, site: &SiteLog, zone: ZoneIndex, most: usize) -> Option<Grid> {
        let name = &model.zones[zone.get()].id;
        let mapped = site.source.mapping.zones.iter().position(|it| it.zone == *name)?;
        let series = &site.log.zones[mapped].temperature;
        let first = series.readings().next()?.0;
        let last = series.readings().last()?.0;
        let mut step = site.log.axis.interval().unwrap_or(60).max(60);
        // Whole minutes keep steps and clock together.
        step = (step + 30) / 60 * 60;
        while usize::try_from((last - first) / step).unwrap_or(usize::MAX) > most {
            step *= 2;
        }
        let count = usize::try_from((last - first) / step).ok()? + 1;
        Some(Grid { from: first, step: Seconds::new(step), count })
    }

    /// The network of a room, with what its neighbours take.
    pub fn network(&self, space: &Space, ventilated: bool) -> crate::building::Network {
        let own = crate::building::Network::new(space, ventilated);
        crate::building::Network { ventilation: own.ventilation + self.neighbours, ..own }
    }
}

/// Steps and the days in which they lie.
struct Steps<'a> {
    grid: &'a Grid,
    period: &'a Period,
}

impl Steps<'_> {
    /// The second after the period's first midnight at which the middle of a step lies.
    fn middle(&self, place: usize) -> i64 {
        let midnight = LogTime::midnight(self.period.first());
        self.grid.at(place) - midnight + self.grid.step.get() / 2
    }

    fn scheduled(&self, gain: &Gain) -> Vec<f64> {
        self.each(|at| f64::from(u8::from(gain.when.contains(self.period, at))))
    }

    fn each<T>(&self, value: impl Fn(Instant) -> T) -> Vec<T> {
        (0..self.grid.count).map(|place| value(Instant::new(self.middle(place)))).collect()
    }
}

/// The mean over each step of what holds from one sample to the next; `None` where less than half of
/// it is known.
fn held_mean(
    course: &Course,
    grid: &Grid,
    value: impl Fn(usize) -> Option<f64>,
) -> Vec<Option<f64>> {
    let mut sums = vec![(0.0, 0.0); grid.count];
    for place in 0..course.samples.len() {
        let Some(value) = value(place) else { continue };
        grid.share_out(course.samples[place].at, course.end_of(place), |step, part| {
            sums[step].0 += part * value;
            sums[step].1 += part;
        });
    }
    sums.into_iter().map(|(sum, part)| (part >= 0.5).then(|| sum / part)).collect()
}

fn outdoor(model: &Model, site: &SiteLog, grid: &Grid, period: &Period) -> Vec<f64> {
    let midnight = LogTime::midnight(period.first());
    let logged = site.log.outdoor.as_ref().map(|series| {
        let reading = |(at, value, _): (LogTime, f64, u32)| Reading {
            second: (at - midnight) as f64,
            temperature: site.log.unit.to_celsius(value),
        };
        Weather::Readings(series.readings().map(reading).collect())
    });
    let (weather, first) = match &logged {
        Some(weather) => (weather, period.first()),
        None => (&model.weather, model.period.first()),
    };
    let from = LogTime::midnight(first);
    let mut course = WeatherCourse::new(weather, first);
    let half = grid.step.get() as f64 / 2.0;
    (0..grid.count).map(|place| course.outdoor((grid.at(place) - from) as f64 + half)).collect()
}

fn solar(model: &Model, zone: ZoneIndex, grid: &Grid) -> Vec<f64> {
    let from = LogTime::midnight(model.period.first());
    let Some(sun) = SunOver::new(model) else { return vec![0.0; grid.count] };
    let second = |place: usize| (grid.at(place) - from + grid.step.get() / 2) as f64;
    (0..grid.count).map(|place| sun.gains(second(place))[zone.get()]).collect()
}

/// The conductance to neighbours whose temperature is logged, and the heat that they would bring to a
/// zone at the outdoor temperature.
fn neighbours(
    model: &Model,
    site: &SiteLog,
    zone: ZoneIndex,
    courses: &[Course],
    grid: &Grid,
    outdoor: &[f64],
) -> (f64, Vec<f64>) {
    let mut conductance = 0.0;
    let mut heat = vec![0.0; grid.count];
    for neighbour in &model.neighbours {
        let other = match zone {
            it if it == neighbour.one => neighbour.other,
            it if it == neighbour.other => neighbour.one,
            _ => continue,
        };
        let Some(course) = courses.iter().find(|it| it.place == other.get()) else { continue };
        let celsius =
            |place: usize| course.samples[place].temperature.map(|it| course.unit.to_celsius(it));
        let mut last = None;
        let air = held_mean(course, grid, celsius);
        let first = air.iter().flatten().next().copied();
        if first.is_none() || site.log.zones[course.logged].temperature.is_empty() {
            continue;
        }
        conductance += neighbour.conductance;
        for ((heat, air), outdoor) in heat.iter_mut().zip(air).zip(outdoor) {
            last = air.or(last).or(first);
            *heat += neighbour.conductance * (last.unwrap_or(*outdoor) - outdoor);
        }
    }
    (conductance, heat)
}
