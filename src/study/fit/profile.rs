//! Profile likelihood: how much worse a log is explained with one number held off its best, all others
//! at their best for it. Where that is worse by half of 3.84 the interval of 95 % ends (Venzon and
//! Moolgavkar, Applied Statistics 37 (1988) 87-94).

use super::minimise::{Effort, minimise};
use super::problem::{NOISES, Problem};
use super::search::{Found, Spread};
use crate::study::matrix;

/// The 95 % point of the chi-squared distribution with one degree of freedom, halved.
const WORSE: f64 = 3.841 / 2.0;
/// Close enough to the end of an interval, in standard deviations.
const CLOSE: f64 = 0.08;
/// Steps of a search from where the others are expected to be.
const MOST_STEPS: usize = 5;
/// Points tried for an end.
const MOST_POINTS: usize = 6;

/// A number's profile.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Profile {
    /// The ends of the interval of 95 %.
    pub low: f64,
    /// The upper one.
    pub high: f64,
    /// Values in rising order, with how much worse each explains the log: half the deviance.
    pub points: Vec<(f64, f64)>,
}

/// The profile of a free size, by its place: values as logarithms.
pub(super) fn of_size(found: &Found, spread: &Spread, place: usize) -> Profile {
    let size = found.problem.free[place];
    let own = NOISES + place;
    let variance = spread.numbers[own][own];
    let beside = spread.numbers[own].clone();
    let keep: Vec<usize> = (0..found.at.len()).filter(|it| *it != own).collect();
    let held = |value: f64| found.problem.holding(size, libm::exp(value));
    walk(found, &Line { middle: found.at[own], variance, beside, keep, spread }, held)
}

/// The profile of a gain, by its place.
pub(super) fn of_gain(found: &Found, spread: &Spread, place: usize) -> Profile {
    let beside = matrix::times(&spread.numbers, &spread.slopes[place]);
    let keep: Vec<usize> = (0..found.at.len()).collect();
    let (middle, variance) = (found.choice.gains[place], spread.gains[place]);
    let held = |value: f64| found.problem.holding_gain(place, value);
    walk(found, &Line { middle, variance, beside, keep, spread }, held)
}

/// A number that is held off its best, and what is expected of the others then.
struct Line<'s> {
    middle: f64,
    variance: f64,
    /// Covariance with the numbers of the search.
    beside: Vec<f64>,
    /// Those that are searched for.
    keep: Vec<usize>,
    spread: &'s Spread,
}

impl Line<'_> {
    /// Where the others are expected to be.
    fn start(&self, found: &Found, value: f64) -> Vec<f64> {
        let part = (value - self.middle) / self.variance;
        self.keep.iter().map(|it| found.at[*it] + self.beside[*it] * part).collect()
    }

    /// How sure they are then.
    fn inverse(&self) -> Vec<Vec<f64>> {
        matrix::from_fn(self.keep.len(), |row, column| {
            let (row, column) = (self.keep[row], self.keep[column]);
            self.spread.numbers[row][column]
                - self.beside[row] * self.beside[column] / self.variance
        })
    }
}

fn walk<'a>(found: &Found<'a>, line: &Line, held: impl Fn(f64) -> Problem<'a>) -> Profile {
    let deviation = line.variance.sqrt();
    let inverse = line.inverse();
    let mut points = vec![(line.middle, 0.0)];
    let mut end = |side: f64| {
        let mut off = 1.96 * deviation;
        let (mut inside, mut outside) = (0.0_f64, f64::INFINITY);
        for _ in 0..MOST_POINTS {
            let value = line.middle + side * off;
            let problem = held(value);
            let start = line.start(found, value);
            let effort = Effort::roughly(MOST_STEPS);
            let lowest =
                minimise(&mut |at| problem.value(at), &start, Some(inverse.clone()), effort);
            let worse = (lowest.value - found.choice.value).max(1e-6);
            if worse.is_finite() {
                points.push((value, worse));
            }
            let deviations = (2.0 * worse).sqrt();
            let wanted = (2.0 * WORSE).sqrt();
            if (deviations - wanted).abs() < CLOSE {
                break;
            }
            if worse < WORSE {
                inside = inside.max(off);
            } else {
                outside = outside.min(off);
            }
            let next = if worse.is_finite() { off * wanted / deviations } else { 0.5 * off };
            let most = if outside.is_finite() { outside } else { 3.0 * off };
            off = if next > inside && next < most {
                next
            } else if outside.is_finite() {
                f64::midpoint(inside, outside)
            } else {
                3.0 * off
            };
        }
        line.middle + side * off
    };
    let (low, high) = (end(-1.0), end(1.0));
    points.sort_by(|one, two| one.0.total_cmp(&two.0));
    Profile { low, high, points }
}
