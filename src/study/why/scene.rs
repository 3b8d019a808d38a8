//! What is known of a moment: a zone's samples up to it, those of the zones beside it, its settings.

use super::CauseFound;
use crate::control::{OutdoorLimits, Sharing, ZoneControls};
use crate::direction::Direction;
use crate::engine::{Entry, LedgerRow, Model, OutdoorGroup, StepRow, ZoneIndex};
use crate::log::{LogTime, Running, Sample, SiteLog, samples};
use crate::plant::IndoorUnit;
use crate::study::scheduled::by_schedule;
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// What is known of a zone up to a moment. Temperatures are in the file's unit.
#[derive(Clone, Debug)]
pub struct Scene {
    /// What people call the zone.
    pub label: String,
    /// Its name in the file.
    pub id: String,
    /// When.
    pub at: LogTime,
    /// The file's unit.
    pub unit: TemperatureUnit,
    /// Whether it comes from a log, and not from a run.
    pub is_logged: bool,
    pub(super) samples: Vec<Sample>,
    /// The sample of the moment.
    pub(super) place: usize,
    /// Samples of the other zones on the same outdoor unit that serves one direction at a time, with
    /// what people call them.
    pub(super) others: Vec<(String, Vec<Sample>)>,
    /// Whether another zone or a rule of the group decides its direction.
    pub(super) follows: bool,
    /// The zone that decides for all of the outdoor unit, where it is another.
    pub(super) decider: Option<String>,
    /// The least rest of its outdoor unit.
    pub(super) outdoor_rest: Seconds,
    /// Outdoor temperatures beyond which it may not heat or cool: its own and its outdoor unit's.
    pub(super) outdoor_limits: [OutdoorLimits; 2],
    /// Further sensors by name, sample by sample.
    pub(super) sensors: Vec<(String, Vec<Option<f64>>)>,
    /// What only a run knows, sample by sample; nothing for a log.
    pub(super) facts: Vec<Facts>,
    /// Who changed setpoints, and when, where a run knows.
    pub(super) by: Vec<(LogTime, String)>,
    pub(super) controls: ZoneControls,
    pub(super) machine: IndoorUnit,
    /// Comfort band of the air.
    pub(super) band: (f64, f64),
}

/// What only a run knows of a sample.
#[derive(Clone, Copy, Debug)]
pub(super) struct Facts {
    /// What the governing sensor reads.
    pub sensed: f64,
    /// The direction that the zone has.
    pub direction: Direction,
}

/// A temperature with up to one digit after the point.
pub(super) fn shown(value: f64) -> String {
    format!("{}", libm::round(value * 10.0) / 10.0)
}

impl Scene {
    /// A moment of a log; `None` where the log has nothing of that zone before it.
    pub fn of_log(model: &Model, site: &SiteLog, zone: ZoneIndex, at: LogTime) -> Option<Self> {
        let mapping = &site.source.mapping;
        let logged = |index: ZoneIndex| {
            let id = &model.zones[index.get()].id;
            mapping.zones.iter().position(|mapped| mapped.zone == *id)
        };
        let own = logged(zone)?;
        let read = |place: usize| samples(&site.log, mapping, place, model.unit);
        let others = group(model, zone)
            .into_iter()
            .filter_map(|other| {
                Some((model.zones[other.get()].label.clone(), read(logged(other)?)))
            })
            .collect();
        let mut scene = Self::new(model, zone, at, read(own), others)?;
        let others = site.log.zones[own].others.iter();
        scene.sensors = others
            .map(|(name, series)| (name.clone(), site.log.straight(series, model.unit)))
            .collect();
        // Where nobody recorded who was there the schedule of the settings says it.
        if let Some(there) = by_schedule(model, &model.zones[zone.get()], &scene.samples) {
            for (sample, there) in scene.samples.iter_mut().zip(there) {
                sample.occupied = sample.occupied.or(Some(there));
            }
        }
        scene.is_logged = true;
        Some(scene)
    }

    /// A moment of a run; `None` before its first step.
    pub fn of_run(
        model: &Model,
        (rows, ledger): (&[StepRow], &[LedgerRow]),
        zone: ZoneIndex,
        at: LogTime,
    ) -> Option<Self> {
        let midnight = LogTime::midnight(model.period.first());
        let of = |index: ZoneIndex| -> Vec<Sample> {
            let own = rows.iter().filter(|row| row.zone == index);
            own.enumerate().map(|(place, row)| sample(row, midnight, place)).collect()
        };
        let others = group(model, zone)
            .into_iter()
            .map(|other| (model.zones[other.get()].label.clone(), of(other)))
            .collect();
        let mut scene = Self::new(model, zone, at, of(zone), others)?;
        let own = rows.iter().filter(|row| row.zone == zone);
        scene.facts =
            own.map(|row| Facts { sensed: row.sensed, direction: row.direction }).collect();
        scene.by = ledger
            .iter()
            .filter(|row| row.zone == zone && row.before.setpoints != row.after.setpoints)
            .filter_map(|row| match &row.entry {
                Entry::Request { asker, .. } => {
                    Some((midnight + row.at.get(), asker.by.to_string()))
                }
                Entry::Event(_) => None,
            })
            .collect();
        Some(scene)
    }

    fn new(
        model: &Model,
        zone: ZoneIndex,
        at: LogTime,
        samples: Vec<Sample>,
        others: Vec<(String, Vec<Sample>)>,
    ) -> Option<Self> {
        let place = samples.partition_point(|sample| sample.at <= at).checked_sub(1)?;
        // Hours after the last row nothing is known.
        if at - samples[place].at > 3600 {
            return None;
        }
        let own = &model.zones[zone.get()];
        let (low, high) = own.comfort.counted();
        let unit = model.outdoor_units.iter().find(|unit| unit.zones.contains(&zone));
        let owner = unit.and_then(|unit| Some(unit.zones[unit.settings.owner()?]));
        let owner = owner.filter(|_| single(unit).is_some());
        Some(Self {
            label: own.label.clone(),
            id: own.id.clone(),
            at,
            unit: model.unit,
            is_logged: false,
            place,
            samples,
            others,
            follows: single(unit).is_some_and(|unit| unit.zones.len() > 1) && owner != Some(zone),
            decider: owner
                .filter(|owner| *owner != zone)
                .map(|owner| model.zones[owner.get()].label.clone()),
            outdoor_rest: unit.map_or(Seconds::ZERO, |unit| unit.settings.min_off),
            outdoor_limits: [
                own.controls.outdoor_limits,
                unit.map_or(OutdoorLimits::NONE, |unit| unit.outdoor_limits),
            ],
            sensors: Vec::new(),
            facts: Vec::new(),
            by: Vec::new(),
            controls: own.controls.clone(),
            machine: own.unit.clone(),
            band: (model.unit.from_celsius(low), model.unit.from_celsius(high)),
        })
    }

    /// The sample of the moment.
    pub(super) fn sample(&self) -> Option<&Sample> {
        self.samples.get(self.place)
    }

    /// What the governing sensor reads at a sample: of a log, what was recorded.
    pub(super) fn sensed(&self, place: usize) -> Option<f64> {
        let known = self.facts.get(place).map(|it| it.sensed);
        known.or_else(|| self.samples.get(place)?.temperature)
    }

    /// The direction that the zone has, where a run knows.
    pub(super) fn direction(&self, place: usize) -> Option<Direction> {
        self.facts.get(place).map(|it| it.direction)
    }

    /// How long something had lasted, for the end of a sentence.
    pub(super) fn lasted(&self, cause: &CauseFound) -> String {
        if let Some(until) = cause.until {
            return format!(", until {until}, from which it had not yet recovered");
        }
        let since = cause.since;
        match (self.at - since) / 60 {
            minutes if minutes < 2 => String::new(),
            minutes if minutes < 120 => format!(", for {minutes} min, since {since}"),
            minutes => format!(", for {} h, since {since}", minutes / 60),
        }
    }
}

/// The outdoor unit, if it serves one direction at a time.
fn single(unit: Option<&OutdoorGroup>) -> Option<&OutdoorGroup> {
    unit.filter(|unit| matches!(unit.settings.sharing, Sharing::SingleMode { .. }))
}

/// The other zones on an outdoor unit that serves one direction at a time.
fn group(model: &Model, zone: ZoneIndex) -> Vec<ZoneIndex> {
    let members = single(model.outdoor_units.iter().find(|unit| unit.zones.contains(&zone)));
    let members = members.map_or(&[][..], |unit| &unit.zones);
    members.iter().copied().filter(|other| *other != zone).collect()
}

fn sample(row: &StepRow, midnight: LogTime, place: usize) -> Sample {
    Sample {
        at: midnight + row.at.get(),
        line: u32::try_from(place + 2).unwrap_or(u32::MAX),
        after_gap: place == 0,
        temperature: Some(row.temperature),
        heat: Some(row.heat),
        cool: Some(row.cool),
        mode: Some(row.mode),
        power: Some(row.power),
        running: Some(row.served.map_or(Running::Off, Running::In)),
        output: None,
        occupied: Some(row.occupied),
        outdoor: Some(row.outdoor),
        electric_w: Some(row.electric_w),
    }
}
