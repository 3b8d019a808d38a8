//! Missing values are filled: temperature and humidity on a straight line between the hours
//! around the gap, the last hour of the year next to the first; radiation from the same hour of
//! the nearest days before and after, since a line through a night or a noon would be wrong.

use super::super::fault::{FileFault, FileFaults};
use super::super::quantity::Quantity;
use super::super::record::Filled;
use super::super::spell::Light;
use super::super::vapour::{of_dew_point, of_humidity};
use super::rows::RawHour;
use super::{Hour, Notice, Station, TypicalYear, YearLayout};

/// A file without any temperature is of no use.
pub(super) fn check_dry_bulb(raw: &[RawHour], header_line: usize, faults: &mut FileFaults) {
    if !raw.is_empty() && raw.iter().all(|row| row.value(Quantity::DryBulb).is_none()) {
        faults.add(|| FileFault {
            line: header_line,
            column: 1,
            width: 1,
            what: "every dry-bulb temperature is missing".into(),
            remedy: "take a file with temperatures".into(),
        });
    }
}

/// A complete year from rows that are all there.
pub(super) fn complete(
    raw: &[RawHour],
    layout: YearLayout,
    station: Station,
    leap: bool,
) -> TypicalYear {
    let temperatures =
        straight(&raw.iter().map(|row| row.value(Quantity::DryBulb)).collect::<Vec<_>>(), 1)
            .unwrap_or_default();
    let vapour: Vec<_> =
        raw.iter().zip(&temperatures).map(|(row, air)| vapour(row, *air)).collect();
    let vapour = straight(&vapour, 1);
    let light = lights(raw);
    let hours = raw.iter().enumerate().map(|(at, row)| Hour {
        line: row.line,
        temperature: temperatures[at],
        vapour: vapour.as_ref().map_or(0.0, |vapour| vapour[at]),
        light: light.as_ref().map_or(Light::NONE, |light| light[at]),
    });
    let absent = |quantity: &Quantity| raw.iter().all(|row| row.value(*quantity).is_none());
    TypicalYear {
        layout,
        station,
        leap,
        hours: hours.collect(),
        has_vapour: vapour.is_some(),
        has_light: light.is_some(),
        filled: Quantity::ALL.into_iter().filter_map(|it| gaps(raw, it)).collect(),
        notices: Quantity::ALL
            .into_iter()
            .filter(|it| *it != Quantity::Wind && absent(it))
            .map(Notice::Absent)
            .collect(),
        means: Quantity::ALL.map(|quantity| mean(raw.iter().map(|row| row.value(quantity)))),
    }
}

/// The mean of what is there.
fn mean(values: impl Iterator<Item = Option<f64>>) -> Option<f64> {
    let (sum, count) =
        values.flatten().fold((0.0, 0_u32), |(sum, count), value| (sum + value, count + 1));
    (count > 0).then(|| sum / f64::from(count))
}

fn vapour(row: &RawHour, air: f64) -> Option<f64> {
    let from_humidity = row.value(Quantity::Humidity).map(|percent| of_humidity(air, percent));
    from_humidity
        .or_else(|| row.value(Quantity::DewPoint).map(|dew_point| of_dew_point(air, dew_point)))
}

/// Radiation hour by hour: beam and diffuse where both are given, else global; a file without
/// any has none.
fn lights(raw: &[RawHour]) -> Option<Vec<Light>> {
    let series =
        |quantity| -> Vec<Option<f64>> { raw.iter().map(|row| row.value(quantity)).collect() };
    let (beam, diffuse) = (series(Quantity::Beam), series(Quantity::Diffuse));
    let global = series(Quantity::Global);
    let filled = [&beam, &diffuse, &global].map(|values| straight(values, 24));
    let light = |at: usize| match (beam[at], diffuse[at], global[at], &filled) {
        (Some(beam), Some(diffuse), _, _) => Light::Split { beam, diffuse },
        (_, _, Some(global), _) => Light::Global(global),
        (_, _, None, [Some(beam), Some(diffuse), _]) => {
            Light::Split { beam: beam[at], diffuse: diffuse[at] }
        }
        (_, _, None, [_, _, global]) => Light::Global(global.as_ref().map_or(0.0, |it| it[at])),
    };
    let has_any = matches!(filled, [Some(_), Some(_), _] | [_, _, Some(_)]);
    has_any.then(|| (0..raw.len()).map(light).collect())
}

/// The values with their gaps filled from those `stride` hours apart, round the year; `None` where
/// there is no value at all. Where none stands at such a distance the nearest hours do.
fn straight(values: &[Option<f64>], stride: usize) -> Option<Vec<f64>> {
    values.iter().find_map(|value| *value)?;
    let filled = values.iter().enumerate().map(|(at, value)| {
        value.or_else(|| between(values, at, stride)).or_else(|| between(values, at, 1))
    });
    filled.collect()
}

fn between(values: &[Option<f64>], at: usize, stride: usize) -> Option<f64> {
    let count = values.len();
    let most = count / stride;
    let find = |back: bool| {
        (1..most).find_map(|steps| {
            let far = steps * stride % count;
            let place = if back { (at + count - far) % count } else { (at + far) % count };
            values[place].map(|value| (steps as f64, value))
        })
    };
    let ((before, low), (after, high)) = (find(true)?, find(false)?);
    Some(low + before / (before + after) * (high - low))
}

/// How many values of a quantity are missing, where some are and some are not.
fn gaps(raw: &[RawHour], quantity: Quantity) -> Option<Filled> {
    let first = raw.iter().find(|row| row.value(quantity).is_none())?;
    let (mut hours, mut longest, mut run) = (0, 0, 0);
    for row in raw {
        run = if row.value(quantity).is_none() { run + 1 } else { 0 };
        hours += usize::from(run > 0);
        longest = longest.max(run);
    }
    (hours < raw.len()).then_some(Filled { quantity, hours, longest, first_line: first.line })
}
