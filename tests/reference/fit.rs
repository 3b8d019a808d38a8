//! The filter and the smoother against a general-purpose library: `data/kalman.py` has the model and
//! says how its values were made.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use serde::Deserialize;
use setband::study::fit::{Noise, StateSpace, Task, smooth};
use setband::time::Seconds;

/// Two programs in double precision differ by rounding alone, over 60 steps.
const AGREEMENT: f64 = 1e-9;

#[derive(Deserialize)]
struct Made {
    transition: [[f64; 3]; 3],
    per_watt: [[f64; 2]; 3],
    heat_in_step: f64,
    slow: f64,
    reading_sd: f64,
    start_sd: [f64; 2],
    flows: Vec<[f64; 2]>,
    readings: Vec<Option<f64>>,
    log_likelihood: f64,
    smoothed: Vec<[f64; 3]>,
}

#[test]
fn likelihood_and_smoothed_states_are_those_of_a_general_library() {
    let made: Made = serde_json::from_str(include_str!("data/kalman.json")).expect("it is JSON");
    let own = StateSpace { transition: made.transition, per_watt: made.per_watt };
    let quiet = vec![false; made.readings.len()];
    let sure = vec![0.0; made.readings.len()];
    let task = Task {
        steps: [own, own],
        // With steps of an hour the heat of a step is that of an hour.
        step: Seconds::hours(1),
        noise: Noise {
            reading: made.reading_sd,
            heat: made.heat_in_step,
            slow: made.slow,
            slow_time: Seconds::hours(1),
        },
        reading: &made.readings,
        ventilated: &quiet,
        unsure: &sure,
        flows: made.flows,
        columns: Vec::new(),
        at_start: made.start_sd,
    };
    let likelihood = -0.5 * task.sums().deviance(&[]);
    assert_relative_eq!(likelihood, made.log_likelihood, max_relative = AGREEMENT);
    let states = smooth(&task, &task.run()).states;
    assert_eq!(states.len(), made.smoothed.len());
    for (own, other) in states.iter().zip(&made.smoothed) {
        for (own, other) in own.iter().zip(other) {
            assert_abs_diff_eq!(*own, *other, epsilon = AGREEMENT * other.abs().max(1.0));
        }
    }
}
