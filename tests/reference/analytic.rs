//! Closed forms of one and two capacities: `analytic_cases.json`.

use std::f64::consts::TAU;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use serde::Deserialize;
use setband::building::{HeatGains, Network, ZonePropagator};
use setband::time::Seconds;

use super::rooms::{one_capacity, two_capacities};
use super::sheet::part;

const CASES: &str = include_str!("data/analytic_cases.json");
/// The file gives ten digits.
const TEN_DIGITS: f64 = 2e-9;
/// Temperatures of the file have eight decimals.
const EIGHT_DECIMALS: f64 = 1e-8;
/// A sinusoid held over each minute is off by up to (w^2 + 2 w dt / tau) / 24 with w = omega dt:
/// 1.2e-5 for the fastest mode, 33 min.
const HELD_FOR_A_MINUTE: f64 = 1.5e-5;
/// The same as a part of the day, h: 24 / (2 pi) of it.
const LAG: f64 = 6e-5;
const MINUTE: Seconds = Seconds::minutes(1);

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct Step {
    UA: f64,
    C: f64,
    T0: f64,
    Te: f64,
    Q: f64,
    t: Vec<i64>,
    T: Vec<f64>,
}

#[test]
fn one_capacity_answers_a_step_as_the_exponential_does() {
    for case in part::<Vec<Step>>(CASES, "/step_1R1C") {
        let network = one_capacity(case.UA, case.C);
        let flows = network.flows(case.Te, HeatGains::default()).with_plant(case.Q);
        for (seconds, expected) in case.t.iter().zip(&case.T) {
            // The exact step may be as long as it likes; many short ones must end there, too.
            let at_once = ZonePropagator::new(&network, Seconds::new(*seconds));
            let end = at_once.advance([case.T0, 0.0], flows)[0];
            assert_abs_diff_eq!(end, *expected, epsilon = EIGHT_DECIMALS);
            let minute = ZonePropagator::new(&network, MINUTE);
            let mut state = [case.T0, 0.0];
            for _ in 0..seconds / 60 {
                state = minute.advance(state, flows);
            }
            assert_abs_diff_eq!(state[0], *expected, epsilon = EIGHT_DECIMALS);
        }
    }
}

/// Amplitude over that of the outdoor air and lag, h, of air and mass under a daily sinusoid.
fn daily_response(network: &Network) -> [(f64, f64); 2] {
    let minute = ZonePropagator::new(network, MINUTE);
    let angle = |second: f64| TAU * second / 86_400.0;
    let mut state = [0.0, 0.0];
    let mut sums = [[0.0; 2]; 2];
    // After fifty days the slowest case, 70 h, has forgotten its start to 4e-8.
    for step in 0..51 * 1440 {
        let start = f64::from(step) * 60.0;
        if step >= 50 * 1440 {
            let (sin, cos) = angle(start).sin_cos();
            for (sum, value) in sums.iter_mut().zip(state) {
                sum[0] += value * sin / 720.0;
                sum[1] += value * cos / 720.0;
            }
        }
        let flows = network.flows(angle(start + 30.0).sin(), HeatGains::default());
        state = minute.advance(state, flows.with_plant(0.0));
    }
    sums.map(|[sin, cos]| (sin.hypot(cos), (-cos).atan2(sin) * 24.0 / TAU))
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct OneCapacity {
    UA: f64,
    C: f64,
    amplitude_ratio: f64,
    lag_h: f64,
}

#[test]
fn one_capacity_weakens_and_delays_a_daily_sinusoid() {
    for case in part::<Vec<OneCapacity>>(CASES, "/periodic_1R1C") {
        let (amplitude, lag) = daily_response(&one_capacity(case.UA, case.C))[0];
        assert_relative_eq!(amplitude, case.amplitude_ratio, max_relative = HELD_FOR_A_MINUTE);
        assert_abs_diff_eq!(lag, case.lag_h, epsilon = LAG);
    }
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct TwoCapacities {
    C_i: f64,
    C_m: f64,
    H_im: f64,
    H_ie: f64,
    H_me: f64,
}

impl TwoCapacities {
    fn network(&self) -> Network {
        two_capacities([self.C_i, self.C_m], self.H_im, [self.H_ie, self.H_me])
    }
}

#[derive(Deserialize)]
struct TwoPeriodic {
    #[serde(flatten)]
    sizes: TwoCapacities,
    amp_ratio_air: f64,
    lag_air_h: f64,
    amp_ratio_mass: f64,
    lag_mass_h: f64,
}

#[test]
fn two_capacities_weaken_and_delay_a_daily_sinusoid() {
    for pointer in ["/periodic_2R2C", "/periodic_2R2C_series"] {
        for case in part::<Vec<TwoPeriodic>>(CASES, pointer) {
            let [air, mass] = daily_response(&case.sizes.network());
            assert_relative_eq!(air.0, case.amp_ratio_air, max_relative = HELD_FOR_A_MINUTE);
            assert_relative_eq!(mass.0, case.amp_ratio_mass, max_relative = HELD_FOR_A_MINUTE);
            assert_abs_diff_eq!(air.1, case.lag_air_h, epsilon = LAG);
            assert_abs_diff_eq!(mass.1, case.lag_mass_h, epsilon = LAG);
        }
    }
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct Inputs {
    Te: f64,
    Q_air_W: f64,
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct Held {
    #[serde(flatten)]
    sizes: TwoCapacities,
    x0: [f64; 2],
    u: Inputs,
    dt_s: f64,
    Ad: [[f64; 2]; 2],
    Bd: [[f64; 2]; 2],
    x_after_1: [f64; 2],
    n: u32,
    x_after_n: [f64; 2],
}

#[test]
fn two_capacities_step_exactly_under_held_inputs() {
    for case in part::<Vec<Held>>(CASES, "/zoh_2R2C") {
        let network = case.sizes.network();
        #[allow(clippy::cast_possible_truncation, reason = "the file's steps are whole seconds")]
        let step = ZonePropagator::new(&network, Seconds::new(case.dt_s as i64));
        let outdoors = [case.sizes.H_ie, case.sizes.H_me];
        for row in 0..2 {
            for column in 0..2 {
                let (ours, theirs) = (step.phi[row][column], case.Ad[row][column]);
                assert_relative_eq!(ours, theirs, max_relative = TEN_DIGITS);
            }
            let per_outdoor = step.gamma[row][0] * outdoors[0] + step.gamma[row][1] * outdoors[1];
            assert_relative_eq!(per_outdoor, case.Bd[row][0], max_relative = TEN_DIGITS);
            assert_relative_eq!(step.gamma[row][0], case.Bd[row][1], max_relative = TEN_DIGITS);
        }
        let flows = network.flows(case.u.Te, HeatGains::default()).with_plant(case.u.Q_air_W);
        let mut state = case.x0;
        for number in 1..=case.n {
            state = step.advance(state, flows);
            if number == 1 {
                assert_abs_diff_eq!(state[..], case.x_after_1[..], epsilon = EIGHT_DECIMALS);
            }
        }
        assert_abs_diff_eq!(state[..], case.x_after_n[..], epsilon = EIGHT_DECIMALS);
    }
}
