//! One zone of a log beside its settings.

use super::statistics::scatter;
use crate::control::Mode;
use crate::direction::Direction;
use crate::engine::{Model, Zone};
use crate::log::{LogTime, Running, Sample, Series, SiteLog, samples};
use crate::study::scheduled::by_schedule;
use crate::units::TemperatureUnit;

/// One zone of a log beside its settings. Temperatures are in the file's unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Course {
    /// Its name in the file.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// Its place among the zones of the model,
    pub place: usize,
    /// and of the log.
    pub logged: usize,
    /// Its samples.
    pub samples: Vec<Sample>,
    /// The unit of the samples.
    pub unit: TemperatureUnit,
    /// Whether somebody is there by the settings, at each sample; nothing where people or a sensor
    /// decide.
    pub(super) by_schedule: Option<Vec<bool>>,
    /// The usual time between samples, s.
    pub(super) interval: i64,
    /// The step in which temperatures are recorded.
    pub(super) resolution: f64,
    /// The standard deviation of their noise, rounding included.
    pub(super) noise: f64,
    /// The settings.
    pub(super) zone: Box<ZoneSettings>,
}

/// What of a zone's settings an audit asks for.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ZoneSettings {
    pub controls: crate::control::ZoneControls,
    pub unit: crate::plant::IndoorUnit,
    /// Loss to outdoors, W/K.
    pub loss: f64,
    /// Heat that people, lights and machines give off at most, W.
    pub gains: f64,
    /// Comfort band of the air, in the file's unit.
    pub band: (f64, f64),
    /// Whether it shares an outdoor unit that serves one direction at a time.
    pub shares: bool,
}

/// A stretch in which the unit runs, or stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spell {
    /// Whether it runs.
    pub on: bool,
    /// The first sample,
    pub from: usize,
    /// and the sample after the last.
    pub to: usize,
    /// Whether its beginning was seen,
    pub begun: bool,
    /// and its end.
    pub ended: bool,
}

impl Course {
    /// The zones of a log that the model has.
    pub(in crate::study) fn of_log(model: &Model, site: &SiteLog) -> Vec<Self> {
        let named = site.source.mapping.zones.iter().enumerate();
        named
            .filter_map(|(logged, mapped)| {
                let zone = model.zone_named(&mapped.zone)?;
                Some(Self::new(model, site, zone.get(), logged))
            })
            .collect()
    }

    fn new(model: &Model, site: &SiteLog, place: usize, logged: usize) -> Self {
        let zone = &model.zones[place];
        let samples = samples(&site.log, &site.source.mapping, logged, model.unit);
        let resolution = resolution(site, &site.log.zones[logged].temperature, model.unit);
        Self {
            id: zone.id.clone(),
            label: zone.label.clone(),
            place,
            logged,
            unit: model.unit,
            by_schedule: by_schedule(model, zone, &samples),
            interval: site.log.axis.interval().unwrap_or(60).max(1),
            resolution,
            noise: noise(&samples).max(resolution / 12.0_f64.sqrt()),
            zone: Box::new(ZoneSettings::new(model, zone, place)),
            samples,
        }
    }

    /// When a sample's time ends: at the next one, or a usual interval later before a gap.
    pub(in crate::study) fn end_of(&self, place: usize) -> LogTime {
        let at = self.samples[place].at;
        match self.samples.get(place + 1) {
            Some(next) if !next.after_gap => next.at,
            _ => at + self.interval,
        }
    }

    /// How long a sample stands for, s.
    pub(super) fn seconds(&self, place: usize) -> i64 {
        self.end_of(place) - self.samples[place].at
    }

    /// Stretches of running and standing, cut at gaps and where nothing is known.
    pub(super) fn spells(&self) -> Vec<Spell> {
        let mut spells: Vec<Spell> = Vec::new();
        for (place, sample) in self.samples.iter().enumerate() {
            let Some(on) = sample.runs() else { continue };
            let follows = !sample.after_gap && spells.last().is_some_and(|last| last.to == place);
            match spells.last_mut() {
                Some(last) if follows && last.on == on => last.to = place + 1,
                last => {
                    if let Some(last) = last.filter(|_| follows) {
                        last.ended = true;
                    }
                    spells.push(Spell {
                        on,
                        from: place,
                        to: place + 1,
                        begun: follows,
                        ended: false,
                    });
                }
            }
        }
        spells
    }

    /// Length of a spell, s.
    pub(super) fn length(&self, spell: Spell) -> i64 {
        self.end_of(spell.to - 1) - self.samples[spell.from].at
    }

    /// In which direction the unit runs: as recorded; else as the mode says; else towards the nearer
    /// setpoint.
    pub(in crate::study) fn direction(&self, place: usize) -> Option<Direction> {
        let sample = &self.samples[place];
        match (sample.running?, sample.mode) {
            (Running::Off, _) => None,
            (Running::In(direction), _) => Some(direction),
            (Running::On, Some(Mode::Heat)) => Some(Direction::Heating),
            (Running::On, Some(Mode::Cool | Mode::Dry)) => Some(Direction::Cooling),
            (Running::On, _) => {
                let air = sample.temperature?;
                match (sample.heat, sample.cool) {
                    (Some(heat), Some(cool)) if air < f64::midpoint(heat, cool) => {
                        Some(Direction::Heating)
                    }
                    (_, Some(_)) => Some(Direction::Cooling),
                    (Some(_), None) => Some(Direction::Heating),
                    (None, None) => None,
                }
            }
        }
    }

    /// The setpoint of a direction.
    pub(in crate::study) fn setpoint(&self, place: usize, direction: Direction) -> Option<f64> {
        match direction {
            Direction::Heating => self.samples[place].heat,
            Direction::Cooling => self.samples[place].cool,
        }
    }

    /// Whether somebody is there: as recorded, else as the schedule says.
    pub(in crate::study) fn occupied(&self, place: usize) -> Option<bool> {
        let scheduled = || self.by_schedule.as_ref().map(|all| all[place]);
        self.samples[place].occupied.or_else(scheduled)
    }

    /// How far a recorded temperature can be from what the controller had.
    pub(super) fn tolerance(&self) -> f64 {
        let sensor = self.zone.controls.sensor.resolution / 2.0;
        self.resolution / 2.0 + 3.0 * self.noise + sensor + 0.02
    }
}

impl ZoneSettings {
    fn new(model: &Model, zone: &Zone, place: usize) -> Self {
        let input = zone.space.input();
        // Air leaks take heat with them: 0.33 Wh/(m3 K), air at room conditions.
        let air = 0.33 * input.floor * input.height * input.infiltration;
        let shares = model.outdoor_units.iter().any(|unit| {
            let single =
                matches!(unit.settings.sharing, crate::control::Sharing::SingleMode { .. });
            single && unit.zones.len() > 1 && unit.zones.iter().any(|it| it.get() == place)
        });
        let shown = |celsius: f64| model.unit.from_celsius(celsius);
        let (low, high) = zone.comfort.counted();
        Self {
            controls: zone.controls.clone(),
            unit: zone.unit.clone(),
            loss: input.opaque.max(0.0) + input.windows.max(0.0) + air.max(0.0),
            gains: zone.gains.iter().map(|gain| gain.power).sum(),
            band: (shown(low), shown(high)),
            shares,
        }
    }
}

/// The step in which a temperature is recorded, in the unit of the model; 0 where it can't be told.
pub(super) fn resolution(site: &SiteLog, series: &Series, unit: TemperatureUnit) -> f64 {
    const ENOUGH: usize = 20_000;
    let read = series.values().iter().copied().filter(|it| !it.is_nan());
    let step = crate::log::resolution(&read.take(ENOUGH).collect::<Vec<f64>>()).unwrap_or(0.0);
    unit.difference_from_kelvin(site.log.unit.difference_to_kelvin(step))
}

/// The noise of temperatures: the scatter of their second differences, which a steady course has
/// none of, over the root of 6.
fn noise(samples: &[Sample]) -> f64 {
    let mut differences = Vec::new();
    for three in samples.windows(3) {
        if three[1].after_gap || three[2].after_gap {
            continue;
        }
        if let (Some(a), Some(b), Some(c)) =
            (three[0].temperature, three[1].temperature, three[2].temperature)
        {
            differences.push(a - 2.0 * b + c);
        }
    }
    if differences.is_empty() { 0.0 } else { scatter(&differences) / 6.0_f64.sqrt() }
}
