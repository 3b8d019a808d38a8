//! One zone's rows as lines and spans over time, thinned to what the px can show.

use super::canvas::Point;
use super::scale::{Linear, TimeAxis};
use super::state::State;
use crate::engine::{StepRow, ZoneIndex};
use crate::report::run::Run;
use crate::time::{Instant, Seconds};

/// The rows of one zone in the order of time.
#[derive(Clone, Debug)]
pub(in crate::report) struct Series<'a> {
    rows: Vec<&'a StepRow>,
    step: Seconds,
    /// Whether it shares an outdoor unit with others.
    shares_unit: bool,
}

/// A stretch of time over which something stays the same.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stretch<K> {
    /// What stays the same.
    pub what: K,
    /// Its beginning.
    pub from: Instant,
    /// Its end.
    pub to: Instant,
}

impl<K> Stretch<K> {
    /// How long it is, h.
    pub(super) fn hours(&self) -> f64 {
        self.to.since(self.from).in_hours()
    }
}

impl<'a> Series<'a> {
    /// The rows of a zone.
    pub(in crate::report) fn of(run: &Run<'a>, zone: ZoneIndex) -> Self {
        Self::with(run, zone, run.rows.iter().filter(|row| row.zone == zone).collect())
    }

    /// The rows of every zone, in file order: all are gone through once.
    pub(in crate::report) fn of_each(run: &Run<'a>) -> Vec<Self> {
        let all = rows_of_each(run.rows, run.model.zones.len()).into_iter().enumerate();
        all.map(|(zone, rows)| Self::with(run, ZoneIndex::new(zone), rows)).collect()
    }

    fn with(run: &Run, zone: ZoneIndex, rows: Vec<&'a StepRow>) -> Self {
        let shares_unit = run.model.outdoor_units.iter().any(|unit| unit.zones.contains(&zone));
        Self { rows, step: run.model.period.step(), shares_unit }
    }

    /// What a row of the zone shows. With a plant of its own, a zone that needs the direction
    /// that it does not have waits for its own mode or delay, and nobody starves it.
    pub(in crate::report) fn state(&self, row: &StepRow) -> State {
        match State::of(row) {
            State::Starved if !self.shares_unit => State::Waiting,
            state => state,
        }
    }

    /// The rows themselves.
    pub(in crate::report) fn rows(&self) -> &[&'a StepRow] {
        &self.rows
    }

    /// The first row at or after an instant; the last one where there is none.
    pub(super) fn row_at(&self, at: Instant) -> Option<&'a StepRow> {
        let place = self.rows.partition_point(|row| row.at < at);
        self.rows.get(place).or(self.rows.last()).copied()
    }

    /// The lowest and highest of a value.
    pub(super) fn extent(&self, value: impl Fn(&StepRow) -> f64) -> Option<(f64, f64)> {
        self.rows.iter().map(|row| value(row)).fold(None, |extent, value| {
            let (low, high) = extent.unwrap_or((value, value));
            Some((low.min(value), high.max(value)))
        })
    }

    /// A value that moves smoothly from row to row, as a line.
    pub(super) fn line(
        &self,
        time: TimeAxis,
        scale: Linear,
        value: impl Fn(&StepRow) -> f64,
    ) -> Vec<Point> {
        thinned(self.rows.iter().map(|row| (time.x(row.at), scale.at(value(row)))), time)
    }

    /// A value that stays for the length of a step, as a line with corners.
    pub(super) fn corners(
        &self,
        time: TimeAxis,
        scale: Linear,
        value: impl Fn(&StepRow) -> f64 + Copy,
    ) -> Vec<Point> {
        let stretches = self.stretches(|row| value(row).to_bits());
        let points = stretches.iter().flat_map(|stretch| {
            let y = scale.at(f64::from_bits(stretch.what));
            [(time.x(stretch.from), y), (time.x(stretch.to), y)]
        });
        thinned(points, time)
    }

    /// Neighbouring rows of which the same is true, taken together.
    pub(super) fn stretches<K: PartialEq>(&self, key: impl Fn(&StepRow) -> K) -> Vec<Stretch<K>> {
        let mut all: Vec<Stretch<K>> = Vec::new();
        for row in &self.rows {
            let (what, from, to) = (key(row), row.at, row.at + self.step);
            match all.last_mut() {
                Some(last) if last.what == what && last.to == from => last.to = to,
                _ => all.push(Stretch { what, from, to }),
            }
        }
        all
    }

    /// Cuts the axis into `columns` equal parts and gives each its rows.
    pub(super) fn in_columns(
        &self,
        time: TimeAxis,
        columns: usize,
    ) -> impl Iterator<Item = (f64, f64, &[&'a StepRow])> {
        let width = (time.right - time.left) / columns as f64;
        let mut next = 0;
        (0..columns).map(move |column| {
            let left = time.left + column as f64 * width;
            let right = left + width;
            let from = next;
            // Half a thousandth of a px forgives the rounding of the division.
            let end = time.second(right - 5e-4);
            while next < self.rows.len() && (self.rows[next].at.get() as f64) < end {
                next += 1;
            }
            (left, right, &self.rows[from..next])
        })
    }
}

/// The rows of each zone, in the order in which they come.
pub(super) fn rows_of_each(rows: &[StepRow], zones: usize) -> Vec<Vec<&StepRow>> {
    let mut each = vec![Vec::with_capacity(rows.len() / zones.max(1)); zones];
    for row in rows {
        if let Some(own) = each.get_mut(row.zone.get()) {
            own.push(row);
        }
    }
    each
}

/// Where several points share a px column, keeps the first, the lowest, the highest and the last
/// of them, in their order: the picture stays the same and long runs stay small.
pub(super) fn thinned(points: impl Iterator<Item = Point>, time: TimeAxis) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::new();
    let mut column: Vec<Point> = Vec::new();
    let mut present = f64::NEG_INFINITY;
    for point in points {
        let here = libm::floor(point.0 - time.left);
        if here > present {
            keep_extremes(&mut column, &mut out);
            present = here;
        }
        column.push(point);
    }
    keep_extremes(&mut column, &mut out);
    out
}

fn keep_extremes(column: &mut Vec<Point>, out: &mut Vec<Point>) {
    if column.len() > 4 {
        let by_height = |a: &usize, b: &usize| column[*a].1.total_cmp(&column[*b].1);
        let mut kept = vec![0, column.len() - 1];
        kept.extend((0..column.len()).min_by(by_height));
        kept.extend((0..column.len()).max_by(by_height));
        kept.sort_unstable();
        kept.dedup();
        out.extend(kept.into_iter().map(|place| column[place]));
        column.clear();
    } else {
        out.append(column);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thinning_keeps_what_the_eye_could_see() {
        let time = TimeAxis { first: 0, days: 1, left: 0.0, right: 10.0 };
        let points = (0..1000).map(|place| {
            let height = if place == 555 { 99.0 } else { f64::from(place % 7) };
            (f64::from(place) / 100.0, height)
        });
        let kept = thinned(points, time);
        assert!(kept.len() <= 40, "{}", kept.len());
        assert!(kept.iter().any(|point| point.1 > 98.0));
        assert!(kept.is_sorted_by(|one, other| one.0 < other.0), "order of time");
        let few = [(0.1, 1.0), (0.2, 2.0), (5.0, 3.0)];
        assert_eq!(thinned(few.into_iter(), time), few);
    }
}
