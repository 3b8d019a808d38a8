//! A zone's points side by side: one sample for each time at which anything was recorded.

use super::clock::LogTime;
use super::mapping::{Mapping, Running};
use super::read::Log;
use super::series::{Held, Series};
use crate::control::{Mode, Power};
use crate::direction::Direction;
use crate::units::TemperatureUnit;

/// A pipe or supply air this far from the room's air tells that the unit runs, K (common practice,
/// no source).
const COIL_APART: f64 = 6.0;

/// What is known of a zone at one time. `None` is what was not recorded.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// When.
    pub at: LogTime,
    /// On which line of the log.
    pub line: u32,
    /// Whether a gap lies before it, or nothing.
    pub after_gap: bool,
    /// Zone air, in the unit asked for.
    pub temperature: Option<f64>,
    /// Heat setpoint, likewise.
    pub heat: Option<f64>,
    /// Cool setpoint, likewise.
    pub cool: Option<f64>,
    /// Mode.
    pub mode: Option<Mode>,
    /// Power.
    pub power: Option<Power>,
    /// Whether the unit runs; told by its output or its coil where it was not recorded.
    pub running: Option<Running>,
    /// Share of full output, 0 to 1.
    pub output: Option<f64>,
    /// Whether anybody is there; told by how many there are where that was recorded.
    pub occupied: Option<bool>,
    /// Outdoor air, in the unit asked for.
    pub outdoor: Option<f64>,
    /// Electricity of all meters, W.
    pub electric_w: Option<f64>,
}

impl Sample {
    /// Whether the unit runs, if that is known.
    pub fn runs(&self) -> Option<bool> {
        self.running.map(|running| running != Running::Off)
    }
}

/// The samples of a zone, by its place in the mapping; temperatures in `unit`.
pub fn samples(log: &Log, mapping: &Mapping, zone: usize, unit: TemperatureUnit) -> Vec<Sample> {
    let Some(points) = log.zones.get(zone) else { return Vec::new() };
    let longest = log.longest_step();
    let at = &log.axis.at;
    let none = || vec![None; at.len()];
    let straight = |series: &Series| log.straight(series, unit);
    let temperature = straight(&points.temperature);
    let setpoint = |series: &Option<Series>| {
        series.as_ref().map_or_else(none, |it| log.stepped(it, |value| log.shown(value, unit)))
    };
    let (heat, cool) = (setpoint(&points.heat), setpoint(&points.cool));
    let mode = held(log, points.mode.as_ref());
    let power = held(log, points.power.as_ref());
    let full = mapping.zones.get(zone).and_then(|it| it.output.as_ref()).map_or(1.0, |it| it.full);
    let output =
        points.output.as_ref().map_or_else(none, |it| log.stepped(it, |value| value / full));
    let coil = points.coil.as_ref().map_or_else(none, straight);
    let occupied = held(log, points.occupied.as_ref());
    let people = points.people.as_ref().map_or_else(none, |it| log.stepped(it, |value| value));
    let mut running = held(log, points.running.as_ref());
    if points.running.is_none() {
        running = (0..at.len())
            .map(|place| told(output[place], coil[place], temperature[place], unit))
            .collect();
    }
    let outdoor = log.outdoor.as_ref().map_or_else(none, straight);
    let electric = electricity(log, mapping);
    (0..at.len())
        .map(|place| Sample {
            at: at[place],
            line: log.axis.line[place],
            after_gap: place == 0 || at[place] - at[place - 1] > longest,
            temperature: temperature[place],
            heat: heat[place],
            cool: cool[place],
            mode: mode[place],
            power: power[place],
            running: running[place],
            output: output[place],
            occupied: occupied[place].or(people[place].map(|count| count > 0.0)),
            outdoor: outdoor[place],
            electric_w: electric[place],
        })
        .collect()
}

/// Whether the unit runs, as its output or its coil tells.
fn told(
    output: Option<f64>,
    coil: Option<f64>,
    air: Option<f64>,
    unit: TemperatureUnit,
) -> Option<Running> {
    let apart = coil.zip(air).map(|(coil, air)| unit.difference_to_kelvin(coil - air));
    match (output, apart) {
        (Some(output), _) if output <= 0.0 => Some(Running::Off),
        (_, Some(apart)) if apart >= COIL_APART => Some(Running::In(Direction::Heating)),
        (_, Some(apart)) if apart <= -COIL_APART => Some(Running::In(Direction::Cooling)),
        (Some(_), _) => Some(Running::On),
        (None, Some(_)) => Some(Running::Off),
        (None, None) => None,
    }
}

fn held<T: Copy + PartialEq>(log: &Log, points: Option<&Held<T>>) -> Vec<Option<T>> {
    let Some(points) = points else { return vec![None; log.axis.len()] };
    stepped(log, points.readings().map(|(at, value, _)| (at, value)))
}

/// Readings that hold until the next one, at the times of the log; not across a gap.
fn stepped<T: Copy>(log: &Log, readings: impl Iterator<Item = (LogTime, T)>) -> Vec<Option<T>> {
    let longest = log.longest_step();
    let mut readings = readings.peekable();
    let mut last = None;
    let mut before = None;
    log.axis
        .at
        .iter()
        .map(|at| {
            if before.is_some_and(|before| *at - before > longest) {
                last = None;
            }
            before = Some(*at);
            while let Some((_, value)) = readings.next_if(|(time, _)| time <= at) {
                last = Some(value);
            }
            last
        })
        .collect()
}

impl Log {
    /// A temperature of the log in another unit.
    pub fn shown(&self, value: f64, unit: TemperatureUnit) -> f64 {
        if self.unit == unit { value } else { unit.from_celsius(self.unit.to_celsius(value)) }
    }

    /// Numbers that hold until the next reading, at the times of the log.
    pub fn stepped(&self, series: &Series, turn: impl Fn(f64) -> f64) -> Vec<Option<f64>> {
        stepped(self, series.readings().map(|(at, value, _)| (at, turn(value))))
    }

    /// Temperatures that run straight between readings, at the times of the log and in `unit`; not
    /// across a gap. After the last reading before a gap the value holds no longer than a gap is; where
    /// rows go on without the point for longer than that, it was recorded by change and holds.
    pub fn straight(&self, series: &Series, unit: TemperatureUnit) -> Vec<Option<f64>> {
        let longest = self.longest_step();
        let readings: Vec<(LogTime, f64)> =
            series.readings().map(|(at, value, _)| (at, self.shown(value, unit))).collect();
        // The number of the gap-free stretch in which a time lies.
        let starts: Vec<LogTime> = self.axis.gaps(longest).iter().map(|gap| gap.to).collect();
        let stretch = |at: LogTime| starts.partition_point(|start| *start <= at);
        let mut next = 0;
        let value = |at: &LogTime| {
            while next < readings.len() && readings[next].0 <= *at {
                next += 1;
            }
            let (from, before) = *readings.get(next.checked_sub(1)?)?;
            if from == *at {
                return Some(before);
            }
            let whole =
                |to: &LogTime| stretch(*to) == stretch(*at) && stretch(from) == stretch(*at);
            match readings.get(next) {
                // Who records only what changes leaves out what stays the same.
                Some((to, _)) if whole(to) && *to - from > longest => Some(before),
                Some((to, after)) if whole(to) => {
                    let part = (*at - from) as f64 / (*to - from) as f64;
                    Some(before + (after - before) * part)
                }
                _ => (*at - from <= longest && stretch(from) == stretch(*at)).then_some(before),
            }
        };
        self.axis.at.iter().map(value).collect()
    }
}

/// Electric power of all meters at the times of the log, W: as read, or the rise of a counter until
/// its next reading. `None` where one of them says nothing.
fn electricity(log: &Log, mapping: &Mapping) -> Vec<Option<f64>> {
    let mut sum = vec![if log.electricity.is_empty() { None } else { Some(0.0) }; log.axis.len()];
    for (series, meter) in log.electricity.iter().zip(&mapping.electricity) {
        let power = if meter.counts {
            let readings: Vec<(LogTime, f64, u32)> = series.readings().collect();
            let pairs = readings.windows(2).map(|pair| {
                let rise = pair[1].1 - pair[0].1;
                let seconds = (pair[1].0 - pair[0].0) as f64;
                // A counter that falls has been set back.
                (pair[0].0, (rise >= 0.0).then(|| rise * 3.6e6 / seconds))
            });
            stepped(log, pairs).into_iter().map(Option::flatten).collect()
        } else {
            log.stepped(series, |value| value)
        };
        for (sum, power) in sum.iter_mut().zip(power) {
            *sum = sum.zip(power).map(|(sum, power)| sum + power);
        }
    }
    sum
}
