//! The log's clock against the sun, where radiation is logged.
//!
//! Clouds shift the middle of a day's energy by an hour and more, and the times at which it grows light
//! and dark by minutes. So each day's light, from its first to its last radiation worth the name, is
//! held against the time that the sun is up; the middle of the two tells how far the clock is off. A
//! wall to the east or clouds in the evening shift it by a little, as told in [`EDGE`] and [`ALWAYS`].

use super::statistics::{median, probability, scatter, strength};
use super::{ERROR_RATE, LogFinding, Unsaid, Weight, figure, shown};
use crate::engine::Model;
use crate::log::{LogTime, Series, SiteLog};
use crate::time::DAY;
use crate::weather::{Site, SunPath};

/// It is light from so much radiation on, W/m2: well above what a sensor shows at night.
const LIGHT: f64 = 10.0;
/// So high stands the sun then, degrees: about 1 under a clear sky, 4 under a thick one (assumed).
const ALTITUDE: f64 = 2.5;
/// By how much that differs from day to day, as a standard deviation, degrees (assumed).
const EDGE: f64 = 1.5;
/// What is the same every day, horizon, place and recorder, as a standard deviation, min (assumed).
const ALWAYS: f64 = 3.0;
/// Light that is broken for less than this is one day's, s.
const DARK: i64 = 3 * 3600;
/// Light that lasts longer or shorter than the sun is up by more than this was not seen whole, s.
const UNLIKE: i64 = 2 * 3600;
/// How finely the sun's rise and setting are looked for, s.
const FINE: i64 = 120;

/// How far the log's clock is ahead of the sun.
#[derive(Clone, Debug)]
pub(super) struct SunOffset {
    /// The median over the days, min.
    pub minutes: f64,
    /// Its standard error, min.
    pub error: f64,
    /// How probable it is by chance with a right clock.
    pub chance: f64,
    /// Light by light, with the lines of first and last radiation.
    days: Vec<Light>,
}

/// From the first radiation of a day to the last.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Light {
    from: LogTime,
    to: LogTime,
    line: u32,
}

impl Light {
    fn length(self) -> i64 {
        self.to - self.from
    }

    fn middle(self) -> LogTime {
        self.from + self.length() / 2
    }
}

/// A day of the sun at [`ALTITUDE`] and above.
#[derive(Clone, Copy, Debug)]
struct Up {
    light: Light,
    /// By how much the middle differs from day to day, min.
    apart: f64,
}

impl SunOffset {
    /// Whether the clock is wrong, in [`ERROR_RATE`] of right ones by chance.
    pub(super) fn is_off(&self) -> bool {
        self.chance < ERROR_RATE
    }

    /// For a sentence.
    pub(super) fn words(&self) -> String {
        let days = self.days.len();
        format!(
            "{:.0} min {} than the sun's over {days} {}, give or take {:.0} min ({}: by chance with a \
             probability {})",
            self.minutes.abs(),
            if self.minutes > 0.0 { "later" } else { "earlier" },
            if days == 1 { "day" } else { "days" },
            2.0 * self.error,
            strength(self.chance),
            probability(self.chance)
        )
    }
}

/// How far the light of a log is off the sun's; `None` where radiation or place are missing, or no day
/// of light was seen whole.
pub(super) fn offset(model: &Model, site: &SiteLog) -> Option<SunOffset> {
    let series = site.log.radiation.as_ref()?;
    let interval = series.axis().interval()?;
    let days = lights(series, site.log.longest_step());
    let (first, last) = (days.first()?.from, days.last()?.to);
    let ups = ups(model.site?, first, last)?;
    let mut offsets = Vec::new();
    let mut apart = Vec::new();
    let mut whole = Vec::new();
    for day in days {
        let away = |up: &&Up| (day.middle() - up.light.middle()).abs();
        let Some(up) = ups.iter().min_by_key(away) else { continue };
        if (day.length() - up.light.length()).abs() <= UNLIKE {
            offsets.push((day.middle() - up.light.middle()) as f64 / 60.0);
            apart.push(up.apart);
            whole.push(day);
        }
    }
    if offsets.is_empty() {
        return None;
    }
    let minutes = median(&offsets);
    let spread = scatter(&offsets).max(median(&apart));
    let interval = interval as f64 / 60.0;
    // Morning and evening fall anywhere between two rows, every day at the same place.
    let always = ALWAYS * ALWAYS + interval * interval / 24.0;
    let error = (spread * spread / offsets.len() as f64 + always).sqrt();
    // A recorder may have the mean of the time before a row or after it.
    let beyond = (minutes.abs() - interval / 2.0).max(0.0);
    let chance = libm::erfc(beyond / error / std::f64::consts::SQRT_2);
    Some(SunOffset { minutes, error, chance, days: whole })
}

/// Stretches of light, cut at gaps.
fn lights(series: &Series, longest: i64) -> Vec<Light> {
    let readings: Vec<(LogTime, f64, u32)> = series.readings().collect();
    let mut all: Vec<Light> = Vec::new();
    let mut begun: Option<(LogTime, u32)> = None;
    for pair in readings.windows(2) {
        let ((at, was, _), (next, is, line)) = (pair[0], pair[1]);
        if next - at > longest {
            // How long it was light is not known.
            begun = None;
            continue;
        }
        #[expect(clippy::cast_possible_truncation, reason = "within one interval of the log")]
        let crossed = || at + ((LIGHT - was) / (is - was) * (next - at) as f64) as i64;
        if was <= LIGHT && is > LIGHT {
            begun = Some((crossed(), line));
        } else if let (true, Some((from, line))) =
            (was > LIGHT && is <= LIGHT, begun.take_if(|_| is <= LIGHT))
        {
            let to = crossed();
            match all.last_mut() {
                Some(last) if from - last.to < DARK => last.to = to,
                _ => all.push(Light { from, to, line }),
            }
        }
    }
    all
}

/// The days of the sun around a span.
fn ups(place: Site, first: LogTime, last: LogTime) -> Option<Vec<Up>> {
    let start = first.date().yesterday().ok()?;
    let midnight = LogTime::midnight(start);
    let days = (last - midnight) / DAY + 2;
    let path = SunPath::new(place, start, days)?;
    let altitude = |second: i64| path.position(second as f64).altitude - ALTITUDE;
    let mut ups = Vec::new();
    let mut rise: Option<(i64, f64)> = None;
    let mut was = altitude(0);
    for second in (FINE..=days * DAY).step_by(usize::try_from(FINE).ok()?) {
        let is = altitude(second);
        let rate = (is - was).abs() / (FINE as f64 / 60.0);
        if was <= 0.0 && is > 0.0 {
            rise = Some((second, rate));
        } else if was > 0.0
            && is <= 0.0
            && let Some((from, rising)) = rise.take()
        {
            let light = Light { from: midnight + from, to: midnight + second, line: 0 };
            let (one, other) = (EDGE / rising, EDGE / rate);
            ups.push(Up { light, apart: 0.5 * (one * one + other * other).sqrt() });
        }
        was = is;
    }
    Some(ups)
}

/// A clock that is off the sun.
pub(super) fn look(sun: Option<&SunOffset>, site: &SiteLog, findings: &mut Vec<LogFinding>) {
    let Some(sun) = sun.filter(|sun| sun.is_off()) else { return };
    let (Some(first), Some(last)) = (sun.days.first(), sun.days.last()) else { return };
    let seconds: i64 = sun.days.iter().map(|day| day.length()).sum();
    let message = format!(
        "By the radiation the log's days come {}: the log's clock is wrong, or another than `clock` \
         says, or the place or its `utc_offset` in the settings is.",
        sun.words()
    );
    let found = LogFinding {
        code: "clock_off",
        weight: Weight::Contradiction,
        zone: None,
        from: first.from,
        to: last.to,
        count: sun.days.len(),
        minutes: seconds as f64 / 60.0,
        message,
        remedy: put_right(site, sun.minutes),
        rows: sun.days.iter().map(|day| day.line).take(super::KEPT).collect(),
        values: std::collections::BTreeMap::new(),
        spans: sun.days.iter().map(|day| (day.from, day.to)).take(super::KEPT_SPANS).collect(),
    };
    findings.push(
        found
            .with("minutes", figure(sun.minutes))
            .with("against", "sun")
            .with("days", sun.days.len())
            .with("error_min", figure(sun.error)),
    );
}

/// What puts a log's clock right that is so many minutes ahead.
pub(super) fn put_right(site: &SiteLog, minutes: f64) -> String {
    let known = site.source.mapping.time.reader.ahead() as f64 / 60.0;
    format!("write `ahead: {} min` into the `log` block", shown((known + minutes).round()))
}

/// Why the sun says nothing about the clock although radiation is logged.
pub(super) fn silent(model: &Model, site: &SiteLog, sun: Option<&SunOffset>) -> Option<Unsaid> {
    if site.log.radiation.is_none() || sun.is_some() {
        return None;
    }
    let why = match model.site {
        None => {
            "radiation is logged, and the file does not say where the building stands (`weather.site`)"
        }
        Some(_) => "radiation is logged, and on no day from first to last light",
    };
    Some(Unsaid { setting: "log.ahead".into(), why: why.into() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    use crate::log::Axis;

    #[test]
    fn light_that_breaks_off_for_a_while_is_one_day_and_gaps_end_it() {
        let at = |minute: i64| LogTime::new(minute * 60);
        let series = |all: &[(i64, f64)]| {
            let axis = Axis {
                at: all.iter().map(|(minute, _)| at(*minute)).collect(),
                line: (2..).take(all.len()).collect(),
            };
            Series::new(Arc::new(axis), all.iter().map(|it| it.1).collect())
        };
        let broken = series(&[(0, 0.0), (10, 20.0), (20, 300.0), (30, 0.0), (40, 30.0), (50, 0.0)]);
        let all = lights(&broken, 900);
        assert_eq!(all.len(), 1);
        assert_eq!((all[0].from, all[0].line), (at(5), 3));
        assert_eq!(all[0].to, at(46) + 40);
        let cut = series(&[(0, 0.0), (10, 20.0), (100, 300.0), (110, 0.0)]);
        assert_eq!(lights(&cut, 900), []);
    }
}
