//! What is known of a moment: a zone's samples up to it, those of the zones beside it, its settings.

use crate::control::{Sharing, ZoneControls};
use crate::engine::{Entry, LedgerRow, Model, StepRow, ZoneIndex};
use crate::log::{LogTime, Running, Sample, SiteLog, samples};
use crate::plant::IndoorUnit;
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
    /// Further sensors at the moment, by name.
    pub(super) sensors: Vec<(String, f64)>,
    /// Room air less what the governing sensor reads, where a run knows both.
    pub(super) misread: Option<f64>,
    /// Who changed setpoints, and when, where a run knows.
    pub(super) by: Vec<(LogTime, String)>,
    pub(super) controls: ZoneControls,
    pub(super) machine: IndoorUnit,
    /// Comfort band of the air.
    pub(super) band: (f64, f64),
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
        let place = scene.place;
        scene.sensors = site.log.zones[own]
            .others
            .iter()
            .filter_map(|(name, series)| {
                Some((name.clone(), site.log.straight(series, model.unit)[place]?))
            })
            .collect();
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
        let now = rows.iter().filter(|row| row.zone == zone).nth(scene.place)?;
        scene.misread = Some(now.temperature - now.sensed);
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
        Some(Self {
            label: own.label.clone(),
            id: own.id.clone(),
            at,
            unit: model.unit,
            is_logged: false,
            place,
            samples,
            others,
            sensors: Vec::new(),
            misread: None,
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

    /// Since when something holds up to the moment.
    pub(super) fn since(&self, holds: impl Fn(&Sample) -> bool) -> LogTime {
        let mut first = self.place;
        while first > 0 && !self.samples[first].after_gap && holds(&self.samples[first - 1]) {
            first -= 1;
        }
        self.samples[first].at
    }

    /// How long something had lasted, for the end of a sentence.
    pub(super) fn lasted(&self, since: LogTime) -> String {
        match (self.at - since) / 60 {
            minutes if minutes < 2 => String::new(),
            minutes if minutes < 120 => format!(", for {minutes} min, since {since}"),
            minutes => format!(", for {} h, since {since}", minutes / 60),
        }
    }
}

/// The other zones on an outdoor unit that serves one direction at a time.
fn group(model: &Model, zone: ZoneIndex) -> Vec<ZoneIndex> {
    let single = model.outdoor_units.iter().find(|unit| {
        matches!(unit.settings.sharing, Sharing::SingleMode { .. }) && unit.zones.contains(&zone)
    });
    let members = single.map_or(&[][..], |unit| &unit.zones);
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
