use super::*;
use crate::study::fit::state_space::Noise;
use approx::assert_relative_eq;

/// A state of one number: the air keeps the part 0.9 of itself in a step and gets one degree for each
/// watt, with a new heat of 0.5 W in each step.
fn one_state() -> StateSpace<3> {
    let mut step = StateSpace { transition: [[0.0; 3]; 3], per_watt: [[0.0; 2]; 3] };
    step.transition[0][0] = 0.9;
    step.per_watt[0][0] = 1.0;
    step
}

const NOISE: Noise = Noise { reading: 0.3, heat: 0.5, slow: 0.0, slow_time: Seconds::hours(1) };

fn task<'a>(reading: &'a [Option<f64>], quiet: &'a [bool], sure: &'a [f64]) -> Task<'a, 3> {
    Task {
        steps: [one_state(); 2],
        step: Seconds::hours(1),
        noise: NOISE,
        reading,
        ventilated: quiet,
        unsure: sure,
        flows: vec![[2.0, 0.0]; reading.len()],
        columns: Vec::new(),
        at_start: [2.0, 0.0],
    }
}

/// Three readings are a normal vector: with x0 of variance 4 around the first reading, the state has
/// the variances p0 = 4, p1 = 0.81 * 4 + 0.25 = 3.49, p2 = 0.81 p1 + 0.25 = 3.0769 and the covariances
/// 0.9 p0, 0.81 p0 and 0.9 p1; readings add 0.09 to each variance.
#[test]
fn the_likelihood_of_one_state_is_that_of_a_normal_vector() {
    let reading = [Some(20.0), Some(19.2), Some(20.1)];
    let (quiet, sure) = ([false; 3], [0.0; 3]);
    let sums = task(&reading, &quiet, &sure).sums();
    let (p0, p1): (f64, f64) = (4.0, 0.81 * 4.0 + 0.25);
    let p2 = 0.81 * p1 + 0.25;
    let covariance = [
        [p0 + 0.09, 0.9 * p0, 0.81 * p0],
        [0.9 * p0, p1 + 0.09, 0.9 * p1],
        [0.81 * p0, 0.9 * p1, p2 + 0.09],
    ];
    let mean = [20.0, 0.9 * 20.0 + 2.0, 0.9 * (0.9 * 20.0 + 2.0) + 2.0];
    let off: [f64; 3] = [0.0, 19.2 - mean[1], 20.1 - mean[2]];
    let minor = |a: usize, b: usize, c: usize, d: usize| {
        covariance[a][c] * covariance[b][d] - covariance[a][d] * covariance[b][c]
    };
    let determinant = covariance[0][0] * minor(1, 2, 1, 2) - covariance[0][1] * minor(1, 2, 0, 2)
        + covariance[0][2] * minor(1, 2, 0, 1);
    // The inverse by cofactors; the first of `off` is nothing.
    let inverse = [
        [minor(0, 2, 0, 2) / determinant, -minor(0, 2, 0, 1) / determinant],
        [-minor(0, 2, 0, 1) / determinant, minor(0, 1, 0, 1) / determinant],
    ];
    let square = off[1] * off[1] * inverse[0][0]
        + 2.0 * off[1] * off[2] * inverse[0][1]
        + off[2] * off[2] * inverse[1][1];
    let deviance = 3.0 * core::f64::consts::TAU.ln() + determinant.ln() + square;
    assert_relative_eq!(sums.deviance(&[]), deviance, max_relative = 1e-12);
    assert_eq!(sums.readings, 3);
}

/// A missing reading leaves the vector of the others.
#[test]
fn a_missing_reading_counts_for_nothing() {
    let reading = [Some(20.0), None, Some(20.1)];
    let (quiet, sure) = ([false; 3], [0.0; 3]);
    let sums = task(&reading, &quiet, &sure).sums();
    let p2: f64 = 0.81 * (0.81 * 4.0 + 0.25) + 0.25;
    let (v0, v2, both) = (4.09, p2 + 0.09, 0.81 * 4.0);
    let determinant: f64 = v0 * v2 - both * both;
    let off: f64 = 20.1 - (0.9 * (0.9 * 20.0 + 2.0) + 2.0);
    let deviance =
        2.0 * core::f64::consts::TAU.ln() + determinant.ln() + off * off * v0 / determinant;
    assert_relative_eq!(sums.deviance(&[]), deviance, max_relative = 1e-12);
    assert_eq!(sums.readings, 2);
}

/// The sums by gains are what the filter gives with those gains among the flows, also after the
/// covariance has come to rest, and after a gap.
#[test]
fn gains_in_columns_are_gains_in_the_flows() {
    let steps = 400;
    let reading: Vec<Option<f64>> =
        (0..steps).map(|at| (at % 150 != 40).then(|| 20.0 + (f64::from(at) / 9.0).sin())).collect();
    let (quiet, sure) = (vec![false; reading.len()], vec![0.0; reading.len()]);
    let one: Vec<f64> = (0..steps).map(|at| f64::from(u8::from(at % 24 < 8))).collect();
    let two = vec![1.0; reading.len()];
    let mut with = task(&reading, &quiet, &sure);
    let flows = [[1.0, 0.0]; 2];
    with.columns = vec![Column { flows, course: &one }, Column { flows, course: &two }];
    let gains = [0.7, -0.3];
    let known = with.with_gains(&gains).sums();
    assert_relative_eq!(with.sums().deviance(&gains), known.deviance(&[]), max_relative = 1e-9);
    // The run that is kept has the same innovations.
    let kept = with.with_gains(&gains).run();
    let square: f64 = kept.iter().filter_map(|it| Some(it.innovation?.powi(2) / it.variance)).sum();
    assert_relative_eq!(square, known.square, max_relative = 1e-12);
}
