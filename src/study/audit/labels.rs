//! Labels: heat and cool swapped, one unit among the other.

use super::course::Course;
use super::statistics::{at_least, median, probability, strength};
use super::switching::switchings;
use super::{ERROR_RATE, LogFinding, Seen, Weight, shown};
use crate::direction::Direction;
use crate::log::{LogTime, SiteLog};
use crate::units::TemperatureUnit;

/// Celsius among Fahrenheit, in the readings of the zone's temperature or between these and the
/// setpoints. Whether that was found.
pub(super) fn units(course: &Course, site: &SiteLog, findings: &mut Vec<LogFinding>) -> bool {
    let found = strays(course, site).or_else(|| other_unit(course, site));
    let is = found.is_some();
    findings.extend(found);
    is
}

/// The reading as it would be had it been in the other unit.
fn turned(value: f64, unit: TemperatureUnit) -> f64 {
    match unit {
        TemperatureUnit::Celsius => (value - 32.0) / 1.8,
        TemperatureUnit::Fahrenheit => value * 1.8 + 32.0,
    }
}

/// Readings that lie far from their neighbours, and near them once turned into the other unit.
fn strays(course: &Course, site: &SiteLog) -> Option<LogFinding> {
    const BESIDE: usize = 60;
    let log = &site.log;
    let readings: Vec<(LogTime, f64, u32)> =
        log.zones[course.logged].temperature.readings().collect();
    let values: Vec<f64> = readings.iter().map(|it| it.1).collect();
    let whole = median(&values);
    let far = log.unit.difference_from_kelvin(9.0);
    let near = log.unit.difference_from_kelvin(4.0);
    let mut seen = Seen::default();
    for (place, (at, value, line)) in readings.iter().enumerate() {
        if (value - whole).abs() < far {
            continue;
        }
        let around = &values[place.saturating_sub(BESIDE)..(place + BESIDE).min(values.len())];
        let middle =
            if 2 * around.iter().filter(|it| (*it - value).abs() < near).count() > around.len() {
                whole
            } else {
                median(around)
            };
        if (value - middle).abs() >= far && (turned(*value, log.unit) - middle).abs() < near {
            seen.spans.push((*at, *at + course.interval));
            seen.rows.push(*line);
            seen.seconds += course.interval;
        }
    }
    if seen.count() < 3 {
        return None;
    }
    let other = match log.unit {
        TemperatureUnit::Celsius => "F",
        TemperatureUnit::Fahrenheit => "C",
    };
    let first = seen.rows.first().copied().unwrap_or_default();
    let message = format!(
        "{} of {} readings of the temperature are in {other} among others in {}, the first on line \
         {first}: read so they lie within {} of their neighbours, as they stand further than {} off.",
        seen.count(),
        readings.len(),
        log.unit.letter(),
        shown(near),
        shown(far)
    );
    let remedy = "look which recorder or panel writes these rows, and turn them into one unit";
    seen.finding(course, "unit_mixed", Weight::Contradiction, message, remedy)
}

/// Temperatures in one unit and setpoints in the other.
fn other_unit(course: &Course, site: &SiteLog) -> Option<LogFinding> {
    let unit = site.log.unit;
    let of = |values: Vec<f64>| (!values.is_empty()).then(|| median(&values));
    let numbers = |series: Option<&crate::log::Series>| {
        of(series?.readings().map(|it| it.1).collect::<Vec<_>>())
    };
    let zone = &site.log.zones[course.logged];
    let air = numbers(Some(&zone.temperature))?;
    let setpoints: Vec<f64> =
        [numbers(zone.heat.as_ref()), numbers(zone.cool.as_ref())].into_iter().flatten().collect();
    if setpoints.is_empty() {
        return None;
    }
    let middle = setpoints.iter().sum::<f64>() / setpoints.len() as f64;
    let (far, near) = (unit.difference_from_kelvin(15.0), unit.difference_from_kelvin(9.0));
    if (air - middle).abs() < far {
        return None;
    }
    let other = match unit {
        TemperatureUnit::Celsius => TemperatureUnit::Fahrenheit,
        TemperatureUnit::Fahrenheit => TemperatureUnit::Celsius,
    };
    let fits = |value: f64, beside: f64, unit: TemperatureUnit| {
        (turned(value, unit) - beside).abs() < near
    };
    let wrong = if fits(air, middle, unit) || fits(air, middle, other) {
        "the temperature and the setpoints are in different units"
    } else {
        return None;
    };
    let mut seen = Seen::default();
    seen.add(course, 0, course.samples.len());
    let message = format!(
        "Half of the temperatures lie above {} and half below, the setpoints around {}: {wrong}. One \
         of the two is not in {}.",
        shown(air),
        shown(middle),
        unit.letter()
    );
    let remedy = "give each its unit: split the log, or turn one of the columns";
    seen.finding(course, "unit_mixed", Weight::Contradiction, message, remedy)
}

/// Heat and cool swapped: setpoints that stand crossed, or runs that begin at the other one. Whether
/// the setpoints are.
pub(super) fn swapped(course: &Course, findings: &mut Vec<LogFinding>) -> bool {
    let both = |place: usize| course.samples[place].heat.zip(course.samples[place].cool);
    let known = (0..course.samples.len()).filter(|place| both(*place).is_some()).count();
    let crossed = |place: usize| both(place).is_some_and(|(heat, cool)| heat > cool + 1e-6);
    let count = (0..course.samples.len()).filter(|place| crossed(*place)).count();
    if known > 0 && 10 * count >= 9 * known {
        let seen = super::setpoints::stretches(course, crossed);
        let message = format!(
            "The column mapped as heat setpoint lies above that of the cool setpoint in {count} of \
             {known} rows, which no controller allows: the labels are swapped."
        );
        let remedy = "swap `heat` and `cool` in the `log` block";
        findings.extend(seen.finding(
            course,
            "labels_swapped",
            Weight::Contradiction,
            message,
            remedy,
        ));
        return count > 0;
    }
    findings.extend(runs(course));
    false
}

/// Runs labelled heating that begin when it is too warm, and the other way round.
fn runs(course: &Course) -> Option<LogFinding> {
    let mut seen = Seen::default();
    let (mut wrong, mut telling) = (0, 0);
    for it in switchings(course, true) {
        let (Some(heat), Some(cool), Some(air)) = (
            course.samples[it.place].heat,
            course.samples[it.place].cool,
            course.samples[it.place].temperature,
        ) else {
            continue;
        };
        let middle = f64::midpoint(heat, cool);
        let room = course.tolerance().min((cool - heat) / 4.0);
        if (air - middle).abs() < room || cool <= heat {
            continue;
        }
        telling += 1;
        let needs = if air < middle { Direction::Heating } else { Direction::Cooling };
        if it.direction != needs {
            wrong += 1;
            seen.add(course, it.place, it.place + 1);
        }
    }
    let chance = at_least(wrong, telling, 0.5);
    if telling < 5 || chance >= ERROR_RATE {
        return None;
    }
    let message = format!(
        "{wrong} of {telling} runs begin in a room that needs the opposite: heating and cooling are \
         swapped in what ran ({}: by chance so often with a probability {}).",
        strength(chance),
        probability(chance)
    );
    let remedy = "swap heating and cooling under `running` in the `log` block";
    seen.finding(course, "labels_swapped", Weight::Contradiction, message, remedy)
}
