//! Readings of a temperature as measurements: what recorders round away is taken into account.
//!
//! A recorder that keeps half degrees shows one value for an hour: its error is then the same all the
//! time, and sixty rows know no more than one. What such a log knows well is when the temperature
//! passes from one value to the next: then it lies half way between them. So where most rows repeat
//! the one before, only passages count, each at the row before and the row after it.

use super::grid::Grid;
use crate::log::{Log, LogTime, resolution};

/// Fewer passages than this tell less than the rows themselves.
const ENOUGH: usize = 12;
/// Then a row each so many seconds.
const THINNED: i64 = 30 * 60;

/// A zone's readings at the steps of a grid.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    /// What is known at the start of each step, degrees C.
    pub at: Vec<Option<f64>>,
    /// What the log shows then, degrees C.
    pub shown: Vec<Option<f64>>,
    /// The step in which they are recorded, K.
    pub resolution: f64,
}

impl Readings {
    /// Whether all are the same.
    pub(super) fn stand_still(&self) -> bool {
        let mut all = self.shown.iter().flatten();
        let first = all.next();
        all.all(|it| Some(it) == first)
    }
}

/// The readings of a zone of a log, by its place there.
pub(super) fn readings(log: &Log, zone: usize, grid: &Grid) -> Readings {
    let rows = rows(log, zone);
    let values: Vec<f64> = rows.iter().map(|row| row.1).take(20_000).collect();
    let own: Vec<f64> = values.iter().map(|it| log.unit.from_celsius(*it)).collect();
    let resolution = log.unit.difference_to_kelvin(resolution(&own).unwrap_or(0.0));
    let chosen = chosen(&rows, log.longest_step(), resolution);
    Readings { at: on_steps(&chosen, grid), shown: on_steps(&rows, grid), resolution }
}

/// Readings at the steps nearest to them, their mean where there are several.
fn on_steps(rows: &[(LogTime, f64)], grid: &Grid) -> Vec<Option<f64>> {
    let mut sums = vec![(0.0, 0_u32); grid.count];
    for (at, value) in rows {
        if let Some(place) = grid.nearest(*at) {
            sums[place].0 += value;
            sums[place].1 += 1;
        }
    }
    let mean = |(sum, count): (f64, u32)| (count > 0).then(|| sum / f64::from(count));
    sums.into_iter().map(mean).collect()
}

/// Times and readings, degrees C. Where only changes are recorded, the value holds in between.
fn rows(log: &Log, zone: usize) -> Vec<(LogTime, f64)> {
    let series = &log.zones[zone].temperature;
    let recorded: Vec<(LogTime, f64)> =
        series.readings().map(|(at, value, _)| (at, log.unit.to_celsius(value))).collect();
    let pairs = recorded.windows(2);
    let repeats = pairs.filter(|pair| pair[0].1 == pair[1].1).count();
    let by_change = recorded.len() * 10 < log.axis.len() * 7 && repeats * 20 < recorded.len();
    if !by_change {
        return recorded;
    }
    let held = log.stepped(series, |value| log.unit.to_celsius(value));
    log.axis.at.iter().zip(held).filter_map(|(at, value)| Some((*at, value?))).collect()
}

/// The rows that count, with what they say.
fn chosen(rows: &[(LogTime, f64)], longest: i64, resolution: f64) -> Vec<(LogTime, f64)> {
    let follows = |place: usize| rows[place + 1].0 - rows[place].0 <= longest;
    let pairs = rows.len().saturating_sub(1);
    let repeats = (0..pairs).filter(|&it| rows[it].1 == rows[it + 1].1).count();
    if resolution == 0.0 || 2 * repeats < pairs {
        return rows.to_vec();
    }
    let passes = |place: usize| follows(place) && rows[place].1 != rows[place + 1].1;
    let mut chosen = Vec::new();
    for (place, (at, value)) in rows.iter().enumerate() {
        let before = place > 0 && passes(place - 1);
        let after = place < pairs && passes(place);
        match (before, after) {
            // It moves through this value: any place in it is as likely.
            (true, true) => chosen.push((*at, *value)),
            (true, false) => chosen.push((*at, f64::midpoint(rows[place - 1].1, *value))),
            (false, true) => chosen.push((*at, f64::midpoint(*value, rows[place + 1].1))),
            (false, false) => {}
        }
    }
    if chosen.len() >= ENOUGH {
        return chosen;
    }
    let mut thinned: Vec<(LogTime, f64)> = Vec::new();
    for row in rows {
        if thinned.last().is_none_or(|last| row.0 - last.0 >= THINNED) {
            thinned.push(*row);
        }
    }
    thinned
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(minutes: &[(i64, f64)]) -> Vec<(LogTime, f64)> {
        minutes.iter().map(|(minute, value)| (LogTime::new(60 * minute), *value)).collect()
    }

    #[test]
    fn rows_that_seldom_repeat_all_count() {
        let rows = at(&[(0, 20.1), (1, 20.2), (2, 20.2), (3, 20.4)]);
        assert_eq!(chosen(&rows, 900, 0.1), rows);
    }

    #[test]
    fn of_rounded_rows_the_passages_count() {
        let mut rows = Vec::new();
        for minute in 0..400 {
            rows.push((minute, 20.0 + 0.5 * (minute / 20) as f64));
        }
        let chosen = chosen(&at(&rows), 900, 0.5);
        assert_eq!(chosen.len(), 38);
        assert_eq!(chosen[0], (LogTime::new(19 * 60), 20.25));
        assert_eq!(chosen[1], (LogTime::new(20 * 60), 20.25));
    }

    #[test]
    fn a_value_that_never_passes_is_thinned() {
        let rows: Vec<(i64, f64)> = (0..120).map(|minute| (minute, 21.0)).collect();
        assert_eq!(chosen(&at(&rows), 900, 0.5).len(), 4);
    }
}
