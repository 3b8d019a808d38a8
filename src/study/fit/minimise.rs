//! The lowest point of a smooth function of a few numbers: Broyden, Fletcher, Goldfarb and Shanno with
//! differences for slopes and a line search that halves (Nocedal and Wright, Numerical
//! Optimization, 2nd edition 2006, algorithm 6.1).
//!
//! Own code: what crates there are bring a second generator of random numbers, or eighteen versions of
//! one crate, into the lock file for these lines.

use super::super::matrix;

/// The width of a difference that stands for a slope: the numbers are logarithms.
const REACH: f64 = 1e-5;
/// It has converged where a step would bring less than this,
const WORTH: f64 = 1e-5;
/// and where a rough answer will do, less than this.
const ROUGHLY: f64 = 0.01;
/// The longest step in any one number.
const LONGEST: f64 = 1.0;

/// A lowest point.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Lowest {
    pub at: Vec<f64>,
    pub value: f64,
    /// What it believes the inverse of the second derivatives to be.
    pub inverse: Vec<Vec<f64>>,
}

/// How far a search goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Effort {
    most: usize,
    worth: f64,
}

impl Effort {
    /// To the lowest point, in at most so many steps.
    pub(super) const fn closely(most: usize) -> Self {
        Self { most, worth: WORTH }
    }

    /// To a value within a hundredth or so of the lowest, in at most so many steps.
    pub(super) const fn roughly(most: usize) -> Self {
        Self { most, worth: ROUGHLY }
    }
}

/// Goes down from a point. `inverse` is a guess at the inverse of the second
/// derivatives; without one each number is taken to be known to a tenth. The function is infinite
/// where it has no value.
pub(super) fn minimise(
    function: &mut dyn FnMut(&[f64]) -> f64,
    start: &[f64],
    inverse: Option<Vec<Vec<f64>>>,
    effort: Effort,
) -> Lowest {
    let size = start.len();
    let scaled = || matrix::from_fn(size, |row, column| if row == column { 0.01 } else { 0.0 });
    let mut here = Lowest {
        at: start.to_vec(),
        value: function(start),
        inverse: inverse.unwrap_or_else(scaled),
    };
    if size == 0 || !here.value.is_finite() {
        return here;
    }
    let mut slope = slopes(function, &here.at, here.value);
    let mut restarted = false;
    for _ in 0..effort.most {
        let mut way: Vec<f64> = here.inverse.iter().map(|row| -matrix::dot(row, &slope)).collect();
        let mut fall = matrix::dot(&way, &slope);
        if fall >= 0.0 {
            here.inverse = scaled();
            way = slope.iter().map(|slope| -0.01 * slope).collect();
            fall = matrix::dot(&way, &slope);
        }
        if -fall < effort.worth {
            break;
        }
        let longest = way.iter().fold(0.0_f64, |most, it| most.max(it.abs()));
        let mut length = (LONGEST / longest).min(1.0);
        let mut found = None;
        for _ in 0..12 {
            let at: Vec<f64> =
                here.at.iter().zip(&way).map(|(at, way)| at + length * way).collect();
            let value = function(&at);
            if value <= here.value + 1e-4 * length * fall {
                found = Some((at, value));
                break;
            }
            length *= 0.4;
        }
        let Some((at, value)) = found else {
            if restarted {
                break;
            }
            restarted = true;
            here.inverse = scaled();
            continue;
        };
        restarted = false;
        let gained = here.value - value;
        let next = slopes(function, &at, value);
        let moved: Vec<f64> = at.iter().zip(&here.at).map(|(new, old)| new - old).collect();
        let turned: Vec<f64> = next.iter().zip(&slope).map(|(new, old)| new - old).collect();
        update(&mut here.inverse, &moved, &turned);
        (here.at, here.value, slope) = (at, value, next);
        if gained < effort.worth * 0.1 {
            break;
        }
    }
    here
}

/// Slopes by differences to one side, or the other where the first has no value.
fn slopes(function: &mut dyn FnMut(&[f64]) -> f64, at: &[f64], value: f64) -> Vec<f64> {
    let mut near = at.to_vec();
    let mut slopes = Vec::with_capacity(at.len());
    for place in 0..at.len() {
        let mut slope = 0.0;
        for reach in [REACH, -REACH] {
            near[place] = at[place] + reach;
            slope = (function(&near) - value) / reach;
            if slope.is_finite() {
                break;
            }
            slope = 0.0;
        }
        near[place] = at[place];
        slopes.push(slope);
    }
    slopes
}

/// What a step has shown of the second derivatives: Nocedal and Wright, eq. (6.17).
fn update(inverse: &mut [Vec<f64>], moved: &[f64], turned: &[f64]) {
    let along = matrix::dot(moved, turned);
    if along <= 1e-12 {
        return;
    }
    let through: Vec<f64> = inverse.iter().map(|row| matrix::dot(row, turned)).collect();
    let factor = (1.0 + matrix::dot(turned, &through) / along) / along;
    for (row, line) in inverse.iter_mut().enumerate() {
        for (column, entry) in line.iter_mut().enumerate() {
            *entry += factor * moved[row] * moved[column]
                - (through[row] * moved[column] + moved[row] * through[column]) / along;
        }
    }
}

/// Second derivatives by differences.
pub(super) fn curvature(
    function: &mut dyn FnMut(&[f64]) -> f64,
    at: &[f64],
    reach: f64,
) -> Vec<Vec<f64>> {
    let size = at.len();
    let middle = function(at);
    let mut near = at.to_vec();
    let mut ends = vec![[0.0; 2]; size];
    for place in 0..size {
        for (end, side) in [-reach, reach].into_iter().enumerate() {
            near[place] = at[place] + side;
            ends[place][end] = function(&near);
        }
        near[place] = at[place];
    }
    let mut second = matrix::from_fn(size, |_, _| 0.0);
    for row in 0..size {
        second[row][row] = (ends[row][0] - 2.0 * middle + ends[row][1]) / (reach * reach);
        for column in 0..row {
            near[row] = at[row] + reach;
            near[column] = at[column] + reach;
            let both = function(&near);
            near[row] = at[row] - reach;
            near[column] = at[column] - reach;
            let neither = function(&near);
            near[row] = at[row];
            near[column] = at[column];
            let sides = ends[row][0] + ends[row][1] + ends[column][0] + ends[column][1];
            let entry = (both + neither + 2.0 * middle - sides) / (2.0 * reach * reach);
            second[row][column] = entry;
            second[column][row] = entry;
        }
    }
    second
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// The valley of Rosenbrock (1960), whose lowest point is at (1, 1).
    #[test]
    fn the_end_of_a_bent_valley_is_found() {
        let mut valley =
            |at: &[f64]| 100.0 * (at[1] - at[0] * at[0]).powi(2) + (1.0 - at[0]).powi(2);
        let lowest = minimise(&mut valley, &[-1.2, 1.0], None, Effort::closely(200));
        assert_abs_diff_eq!(lowest.at[0], 1.0, epsilon = 1e-2);
        assert_abs_diff_eq!(lowest.at[1], 1.0, epsilon = 2e-2);
        let second = curvature(&mut valley, &[1.0, 1.0], 1e-3);
        assert_abs_diff_eq!(second[0][0], 802.0, epsilon = 0.1);
        assert_abs_diff_eq!(second[0][1], -400.0, epsilon = 0.5);
    }

    #[test]
    fn where_a_function_ends_it_stops_before() {
        let mut edge = |at: &[f64]| if at[0] > 0.5 { f64::INFINITY } else { -at[0] };
        assert!(minimise(&mut edge, &[0.0], None, Effort::closely(100)).at[0] > 0.45);
    }
}
