//! Night, where the site is known: a light shade from sunset to sunrise.

use std::f64::consts::PI;

use super::ChartFault;
use super::canvas::{Area, Canvas, Stroke};
use super::palette::NIGHT;
use super::scale::TimeAxis;
use crate::time::{DAY, Instant, Period};
use crate::weather::{Site, Weather};

/// Shades the nights in an area, on axes whose days are wide enough to show them.
pub(super) fn draw(
    canvas: &mut Canvas,
    weather: &Weather,
    period: &Period,
    time: TimeAxis,
    area: Area,
) -> Result<(), ChartFault> {
    let Some(site) = weather.site() else { return Ok(()) };
    if time.is_long() {
        return Ok(());
    }
    canvas.layer("night", Stroke::Solid, |layer| {
        for day in time.first..time.first + time.days {
            for (from, to) in nights(&site, f64::from(period.date(day).day_of_year())) {
                let x =
                    |hour: f64| time.x(Instant::new(day * DAY)) + hour / 24.0 * time.day_width();
                layer.fill(Area { left: x(from), right: x(to), ..area }, NIGHT);
            }
        }
    })
}

/// The parts of a day, from and to in hours of clock time, in which the sun is down.
fn nights(site: &Site, day_of_year: f64) -> Vec<(f64, f64)> {
    // Declination: Cooper (1969), Solar Energy 12(3), 333-346.
    let declination = 23.45_f64.to_radians() * libm::sin(2.0 * PI * (284.0 + day_of_year) / 365.0);
    let cosine = -libm::tan(site.latitude.to_radians()) * libm::tan(declination);
    if cosine >= 1.0 {
        return vec![(0.0, 24.0)];
    }
    if cosine <= -1.0 {
        return Vec::new();
    }
    let half_day = libm::acos(cosine) / PI * 12.0;
    let noon = 12.0 + site.utc_offset - site.longitude / 15.0 - equation_of_time(day_of_year);
    let (rise, set) = (noon - half_day, noon + half_day);
    // A site far from its clock's meridian may see the sun on the other side of midnight.
    let wrapped = |hour: f64| hour - 24.0 * libm::floor(hour / 24.0);
    let (rise, set) = (wrapped(rise), wrapped(set));
    if rise < set { vec![(0.0, rise), (set, 24.0)] } else { vec![(set, rise)] }
}

/// How far the sun is ahead of mean time, h: Spencer (1971), Search 2(5), 172.
fn equation_of_time(day_of_year: f64) -> f64 {
    let angle = 2.0 * PI * (day_of_year - 1.0) / 365.0;
    let (sine, cosine) = libm::sincos(angle);
    let (sine_2, cosine_2) = libm::sincos(2.0 * angle);
    229.18 / 60.0
        * (0.000_075 + 0.001_868 * cosine
            - 0.032_077 * sine
            - 0.014_615 * cosine_2
            - 0.040_89 * sine_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    const EQUATOR: Site = Site { latitude: 0.0, longitude: 0.0, utc_offset: 0.0 };

    /// Source: geometry: on the equator day and night are twelve hours long.
    #[test]
    fn nights_on_the_equator_last_twelve_hours() {
        let hours: f64 = nights(&EQUATOR, 172.0).iter().map(|(from, to)| to - from).sum();
        assert!((hours - 12.0).abs() < 1e-9);
    }

    /// Source: geometry: within the polar circle the sun stays up in June and down in December.
    #[test]
    fn the_midnight_sun_and_the_polar_night() {
        let site = Site { latitude: 75.0, ..EQUATOR };
        assert!(nights(&site, 172.0).is_empty());
        assert_eq!(nights(&site, 355.0), [(0.0, 24.0)]);
    }

    /// Source: the extremes of the equation of time, about -14 min near day 42 and +16 min near
    /// day 307, are common knowledge of astronomy, from memory.
    #[test]
    fn the_sun_is_late_in_february_and_early_in_november() {
        assert!((equation_of_time(42.0) * 60.0 + 14.3).abs() < 0.5);
        assert!((equation_of_time(307.0) * 60.0 - 16.4).abs() < 0.5);
    }

    /// Source: a clock one hour ahead of the sun moves both ends of the night by one hour.
    #[test]
    fn clock_time_follows_the_offset() {
        let ahead = Site { utc_offset: 1.0, ..EQUATOR };
        let (plain, moved) = (nights(&EQUATOR, 80.0), nights(&ahead, 80.0));
        assert!((moved[0].1 - plain[0].1 - 1.0).abs() < 1e-9);
    }
}
