//! What a log has, put on the steps of a run.

use super::NoReplay;
use crate::control::{Mode, Power};
use crate::engine::{Model, ZoneIndex};
use crate::log::{LogTime, Sample, SiteLog, samples};
use crate::study::fit::Grid;
use crate::time::{Instant, Seconds};

/// What a log has of one zone, step by step; temperatures in the file's unit. Setpoints, mode, power
/// and presence hold on over gaps, since a run needs some; readings do not.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ZoneRecord {
    /// What was read, at the start of each step.
    pub temperature: Vec<Option<f64>>,
    /// Whether the unit ran.
    pub running: Vec<Option<bool>>,
    /// The heat setpoint.
    pub heat: Vec<Option<f64>>,
    /// The cool setpoint.
    pub cool: Vec<Option<f64>>,
    /// The mode.
    pub mode: Vec<Option<Mode>>,
    /// The power.
    pub power: Vec<Option<Power>>,
    /// Whether somebody was there.
    pub occupied: Vec<Option<bool>>,
}

/// What a log has of all zones over the steps of a run.
#[derive(Clone, Debug)]
pub struct Record {
    /// The steps.
    pub grid: Grid,
    /// The start of the first step, counted from the period's first midnight.
    pub from: Instant,
    /// The usual time between rows, s.
    pub interval: i64,
    /// The zones of the model, in its order.
    pub zones: Vec<ZoneRecord>,
    /// Electric power of all meters over each step, W; `None` where it is not known throughout.
    pub electric: Vec<Option<f64>>,
    /// Whether the log has any electricity.
    pub has_electricity: bool,
}

impl Record {
    /// What the log of a model has over the model's period.
    ///
    /// # Errors
    /// A zone has no temperature in the log, or the log none in the period.
    pub fn of(model: &Model, site: &SiteLog) -> Result<Self, NoReplay> {
        let mapped = mapped(model, site);
        let none = |place: &usize| {
            mapped[*place].is_none_or(|at| site.log.zones[at].temperature.is_empty())
        };
        let missing: Vec<String> =
            (0..model.zones.len()).filter(none).map(|it| model.zones[it].label.clone()).collect();
        if !missing.is_empty() {
            return Err(NoReplay::NoTemperature(missing));
        }
        let places: Vec<usize> = mapped.into_iter().flatten().collect();
        let grid = grid(model, site, &places)?;
        let read: Vec<Vec<Sample>> = places
            .iter()
            .map(|place| samples(&site.log, &site.source.mapping, *place, model.unit))
            .collect();
        let interval = site.log.axis.interval().unwrap_or(60).max(1);
        let longest = site.log.longest_step();
        let zones = read
            .iter()
            .map(|samples| ZoneRecord::of(samples, grid.count, longest, |step| grid.at(step)))
            .collect();
        Ok(Self {
            grid,
            from: Instant::new(grid.from - LogTime::midnight(model.period.first())),
            interval,
            zones,
            electric: electric(&read[0], &grid, interval),
            has_electricity: !site.log.electricity.is_empty(),
        })
    }

    /// The start of a step.
    pub fn at(&self, step: usize) -> Instant {
        self.from + Seconds::new(self.grid.at(step) - self.grid.from)
    }

    /// Its end.
    pub fn end(&self) -> Instant {
        self.at(self.grid.count)
    }

    /// Setpoints, mode and power of another log at the same clock times of the same days, counted
    /// from the first day of either period. Zones that it does not have keep their own.
    ///
    /// # Errors
    /// It has none of the zones, or nothing at these times.
    pub fn of_other(
        &self,
        model: &Model,
        other: &Model,
        site: &SiteLog,
    ) -> Result<Vec<ZoneRecord>, NoReplay> {
        let midnight = LogTime::midnight(other.period.first());
        let longest = site.log.longest_step();
        let mapped = mapped(model, site);
        let record = |place: &Option<usize>| match place {
            None => ZoneRecord::empty(self.grid.count),
            Some(place) => {
                let samples = samples(&site.log, &site.source.mapping, *place, model.unit);
                let at = |step: usize| midnight + self.at(step).get();
                ZoneRecord::of(&samples, self.grid.count, longest, at)
            }
        };
        let zones: Vec<ZoneRecord> = mapped.iter().map(record).collect();
        if mapped.iter().all(Option::is_none) {
            return Err(NoReplay::OtherZones);
        }
        let knows = |zone: &ZoneRecord| zone.heat.iter().chain(&zone.cool).any(Option::is_some);
        if zones.iter().any(knows) { Ok(zones) } else { Err(NoReplay::OtherTimes) }
    }
}

/// Where each zone of a model stands in a log.
fn mapped(model: &Model, site: &SiteLog) -> Vec<Option<usize>> {
    let named = &site.source.mapping.zones;
    let place = |id: &str| named.iter().position(|it| it.zone == id);
    model.zones.iter().map(|zone| place(&zone.id)).collect()
}

/// The steps of the model's period in which all zones have readings.
fn grid(model: &Model, site: &SiteLog, places: &[usize]) -> Result<Grid, NoReplay> {
    let midnight = LogTime::midnight(model.period.first());
    let step = model.period.step().get();
    let readings = |place: &usize| site.log.zones[*place].temperature.readings();
    let firsts = places.iter().filter_map(|it| readings(it).next()).map(|it| it.0);
    let lasts = places.iter().filter_map(|it| readings(it).last()).map(|it| it.0);
    let outside = || {
        let (from, to) = site.log.span().unwrap_or((midnight, midnight));
        NoReplay::Outside(from, to)
    };
    let (first, last) = (firsts.max().ok_or_else(outside)?, lasts.min().ok_or_else(outside)?);
    let from = (first - midnight).max(0);
    let from = (from + step - 1) / step;
    let interval = site.log.axis.interval().unwrap_or(step).min(step);
    let to = (last + interval - midnight).min(model.period.end().get()) / step;
    let count = usize::try_from(to - from).ok().filter(|count| *count > 1).ok_or_else(outside)?;
    Ok(Grid { from: midnight + from * step, step: model.period.step(), count })
}

impl ZoneRecord {
    fn empty(count: usize) -> Self {
        Self {
            temperature: vec![None; count],
            running: vec![None; count],
            heat: vec![None; count],
            cool: vec![None; count],
            mode: vec![None; count],
            power: vec![None; count],
            occupied: vec![None; count],
        }
    }

    /// Samples at the starts of steps.
    fn of(samples: &[Sample], count: usize, longest: i64, at: impl Fn(usize) -> LogTime) -> Self {
        let mut own = Self::empty(count);
        let (mut next, mut last) = (0, [None; 2]);
        let (mut mode, mut power, mut occupied) = (None, None, None);
        for step in 0..count {
            let now = at(step);
            while next < samples.len() && samples[next].at <= now {
                let sample = &samples[next];
                last = [sample.heat.or(last[0]), sample.cool.or(last[1])];
                mode = sample.mode.or(mode);
                power = sample.power.or(power);
                occupied = sample.occupied.or(occupied);
                next += 1;
            }
            [own.heat[step], own.cool[step]] = last;
            (own.mode[step], own.power[step], own.occupied[step]) = (mode, power, occupied);
            let Some(before) = next.checked_sub(1).map(|it| &samples[it]) else { continue };
            let after = samples.get(next).filter(|it| !it.after_gap);
            if now - before.at > longest {
                continue;
            }
            own.running[step] =
                before.runs().filter(|_| after.is_some() || now - before.at < longest);
            own.temperature[step] = match (before.temperature, after) {
                (known, _) if before.at == now => known,
                (Some(one), Some(after)) => after.temperature.map(|other| {
                    one + (other - one) * (now - before.at) as f64 / (after.at - before.at) as f64
                }),
                _ => None,
            };
        }
        own
    }
}

/// The mean electric power over each step that is known throughout.
fn electric(samples: &[Sample], grid: &Grid, interval: i64) -> Vec<Option<f64>> {
    let mut sums = vec![(0.0, 0.0); grid.count];
    for (place, sample) in samples.iter().enumerate() {
        let Some(power) = sample.electric_w else { continue };
        let end = match samples.get(place + 1) {
            Some(next) if !next.after_gap => next.at,
            _ => sample.at + interval,
        };
        grid.share_out(sample.at, end, |step, part| {
            sums[step].0 += part * power;
            sums[step].1 += part;
        });
    }
    sums.into_iter().map(|(sum, part)| (part > 0.999).then(|| sum / part)).collect()
}

/// The zones of a model.
pub(super) fn zones(model: &Model) -> impl Iterator<Item = ZoneIndex> {
    (0..model.zones.len()).map(ZoneIndex::new)
}
