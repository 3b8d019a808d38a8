//! Readings along time.

use std::sync::Arc;

use super::clock::LogTime;

/// When readings were taken and on which line of the log each stands, in rising order of time.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Axis {
    /// When.
    pub at: Vec<LogTime>,
    /// On which line of its file, from 1.
    pub line: Vec<u32>,
}

impl Axis {
    /// How many readings there are.
    pub const fn len(&self) -> usize {
        self.at.len()
    }

    /// Whether there is none.
    pub const fn is_empty(&self) -> bool {
        self.at.is_empty()
    }

    /// All times of several axes, each once, with the line of the first axis that has it.
    pub(super) fn union(axes: &[Arc<Self>]) -> Arc<Self> {
        if let [only] = axes {
            return Arc::clone(only);
        }
        let each = axes.iter().flat_map(|axis| axis.at.iter().zip(&axis.line));
        let mut all: Vec<(LogTime, u32)> = each.map(|(at, line)| (*at, *line)).collect();
        all.sort_by_key(|(at, _)| *at);
        all.dedup_by_key(|(at, _)| *at);
        let (at, line) = all.into_iter().unzip();
        Arc::new(Self { at, line })
    }

    /// The usual time between readings, s: the median; `None` with fewer than two.
    pub fn interval(&self) -> Option<i64> {
        let mut steps: Vec<i64> = self.at.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let middle = steps.len() / 2;
        (!steps.is_empty()).then(|| *steps.select_nth_unstable(middle).1)
    }

    /// Where more than `longest` seconds pass from one reading to the next.
    pub fn gaps(&self, longest: i64) -> Vec<Gap> {
        let pairs = self.at.windows(2).zip(self.line.windows(2));
        pairs
            .filter(|(at, _)| at[1] - at[0] > longest)
            .map(|(at, line)| Gap { from: at[0], to: at[1], line: line[1] })
            .collect()
    }
}

/// A time without readings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Gap {
    /// The last reading before it.
    pub from: LogTime,
    /// The first reading after it.
    pub to: LogTime,
    /// The line of that one.
    pub line: u32,
}

/// Numbers that run straight from one reading to the next.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Series {
    axis: Arc<Axis>,
    /// A number for each place of the axis; not a number where nothing was recorded.
    value: Vec<f64>,
}

impl Series {
    /// Readings on an axis. A place without a reading has not-a-number.
    ///
    /// # Panics
    /// The two differ in length.
    pub fn new(axis: Arc<Axis>, value: Vec<f64>) -> Self {
        assert_eq!(axis.len(), value.len(), "one value for each place");
        Self { axis, value }
    }

    /// The axis.
    pub fn axis(&self) -> &Arc<Axis> {
        &self.axis
    }

    /// The values, not-a-number where nothing was recorded.
    pub fn values(&self) -> &[f64] {
        &self.value
    }

    /// Readings with their times and lines.
    pub fn readings(&self) -> impl Iterator<Item = (LogTime, f64, u32)> {
        let axis = self.axis.at.iter().zip(&self.axis.line);
        let all = axis.zip(&self.value).map(|((at, line), value)| (*at, *value, *line));
        all.filter(|(_, value, _)| !value.is_nan())
    }

    /// Whether nothing was recorded.
    pub fn is_empty(&self) -> bool {
        self.value.iter().all(|value| value.is_nan())
    }
}

/// Things that hold until the next reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Held<T> {
    axis: Arc<Axis>,
    /// `None` where nothing was recorded.
    value: Vec<Option<T>>,
}

impl<T: Copy + PartialEq> Held<T> {
    /// Readings on an axis; `None` where there is none.
    ///
    /// # Panics
    /// The two differ in length.
    pub fn new(axis: Arc<Axis>, value: Vec<Option<T>>) -> Self {
        assert_eq!(axis.len(), value.len(), "one value for each place");
        Self { axis, value }
    }

    /// Readings with their times and lines.
    pub fn readings(&self) -> impl Iterator<Item = (LogTime, T, u32)> {
        let axis = self.axis.at.iter().zip(&self.axis.line);
        axis.zip(&self.value).filter_map(|((at, line), value)| value.map(|it| (*at, it, *line)))
    }

    /// Where another value begins to hold: when, the value before and after, the line.
    pub fn changes(&self) -> Vec<(LogTime, T, T, u32)> {
        let readings: Vec<_> = self.readings().collect();
        let pairs = readings.windows(2).filter(|pair| pair[0].1 != pair[1].1);
        pairs.map(|pair| (pair[1].0, pair[0].1, pair[1].1, pair[1].2)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn axis(at: &[i64]) -> Arc<Axis> {
        let line = (2..).take(at.len()).collect();
        Arc::new(Axis { at: at.iter().copied().map(LogTime::new).collect(), line })
    }

    #[test]
    fn changes_of_a_switch_are_found() {
        let held = Held::new(axis(&[0, 60, 120, 180]), vec![Some(1), None, Some(2), Some(2)]);
        assert_eq!(held.changes(), [(LogTime::new(120), 1, 2, 4)]);
    }

    #[test]
    fn the_usual_interval_is_the_median_and_gaps_are_longer() {
        let axis = axis(&[0, 60, 120, 180, 3000, 3060]);
        assert_eq!(axis.interval(), Some(60));
        assert_eq!(
            axis.gaps(900),
            [Gap { from: LogTime::new(180), to: LogTime::new(3000), line: 6 }]
        );
        assert_eq!(Axis::default().interval(), None);
    }
}
