//! How a thermostat cycles a staged unit, through the whole engine: one capacity with hysteresis,
//! the cycling rate against the run fraction, and the part-load factor of a start-up transient.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use serde::Deserialize;
use setband::building::SpaceInput;
use setband::control::{Differential, Direction, Mode};
use setband::engine::{Model, StepRow};
use setband::plant::{Rise, StartUp, UnitControl};
use setband::time::{Instant, Seconds};

use super::sheet::part;
use crate::rig::given::one_capacity;
use crate::rig::{Given, model, period, rows_of, run};

const CASES: &str = include_str!("data/analytic_cases.json");
/// The controller looks once a second.
const SECOND: Seconds = Seconds::new(1);
/// Each end of a call is seen up to a second late, and so is each start; what was overshot in
/// that second takes up to two more to make up at the rates of these cases.
const LATE: f64 = 5.0;
/// The same second as a part of a hysteresis of an eighth of a kelvin at 1.5 K/h, twice a cycle,
/// and what is left of the exponential's bend.
const SMALL_HYSTERESIS: f64 = 0.01;
/// The rise is averaged exactly over each step, so only rounding is left.
const EXACT: f64 = 1e-9;
/// The table has four digits.
const FOUR_DIGITS: f64 = 5e-5;

/// A zone of one capacity in `heat` with a staged unit, a second a step, one day.
fn heated(space: SpaceInput, outdoor: f64, heat: f64, heating: f64, given: Given) -> Model {
    let zone = Given { space, heat, cool: heat + 5.0, heating, mode: Mode::Heat, ..given };
    Model { period: period(1, SECOND), ..model(outdoor, vec![zone.zone("test")]) }
}

/// Every full cycle of a run: from a start to the next, with the end in between.
struct Cycles {
    starts: Vec<Instant>,
    ends: Vec<Instant>,
}

impl Cycles {
    fn of(rows: &[StepRow]) -> Self {
        let changes = |to: Option<Direction>| {
            rows.windows(2)
                .filter(|pair| pair[0].served != pair[1].served && pair[1].served == to)
                .map(|pair| pair[1].at)
                .collect::<Vec<Instant>>()
        };
        let (starts, mut ends) = (changes(Some(Direction::Heating)), changes(None));
        ends.retain(|end| *end > starts[0]);
        Self { starts, ends }
    }

    /// Mean seconds on and off.
    fn on_and_off(&self) -> (f64, f64) {
        let cycles = self.starts.len() - 1;
        assert!(cycles >= 3, "{cycles} cycles");
        let on: i64 = (0..cycles).map(|at| self.ends[at].get() - self.starts[at].get()).sum();
        let all = self.starts[cycles].get() - self.starts[0].get();
        (on as f64 / cycles as f64, (all - on) as f64 / cycles as f64)
    }
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct Hysteresis {
    UA: f64,
    C: f64,
    Te: f64,
    Q: f64,
    T_set: f64,
    band: f64,
    t_on_s: f64,
    t_off_s: f64,
}

#[test]
fn one_capacity_cycles_through_its_hysteresis_as_the_exponentials_say() {
    for case in part::<Vec<Hysteresis>>(CASES, "/hysteresis_1R1C") {
        let mut given = Given::default();
        let half = Differential::same(case.band / 2.0);
        (given.thermostat.call_start, given.thermostat.call_stop) = (half, half);
        let space = one_capacity(case.UA, case.C, case.T_set);
        let finished = run(&heated(space, case.Te, case.T_set, case.Q, given));
        let (on, off) = Cycles::of(&rows_of(&finished, 0)).on_and_off();
        assert_abs_diff_eq!(on, case.t_on_s, epsilon = LATE);
        assert_abs_diff_eq!(off, case.t_off_s, epsilon = LATE);
    }
}

/// A zone whose full ramp makes `most` cycles an hour with a hysteresis of an eighth of a kelvin,
/// and whose load is the part `load` of its capacity at 20 C: over 12 kelvin, which bends little.
fn ramp(most: f64, load: f64, time_constant: f64) -> Model {
    let (hysteresis, span, heating) = (0.125, 12.0, 4000.0);
    let capacity = heating * 3600.0 / (4.0 * most * hysteresis);
    let start_up = StartUp { time_constant, ..StartUp::NONE };
    let mut given = Given { start_up, ..Given::default() };
    let half = Differential::same(hysteresis / 2.0);
    (given.thermostat.call_start, given.thermostat.call_stop) = (half, half);
    let space = one_capacity(load * heating / span, capacity, 20.0);
    heated(space, 20.0 - span, 20.0, heating, given)
}

#[test]
fn with_small_hysteresis_the_cycling_rate_is_a_parabola_of_the_run_fraction() {
    // N = 4 Nmax X (1 - X), attributed to NEMA DC 3 (from memory); derived exactly for a linear
    // ramp with Nmax = r / (4 D): X = 0.2, 0.5, 0.8 give 0.64, 1, 0.64 of Nmax.
    for (load, of_most) in [(0.2, 0.64), (0.5, 1.0), (0.8, 0.64)] {
        let finished = run(&ramp(3.0, load, 0.0));
        let (on, off) = Cycles::of(&rows_of(&finished, 0)).on_and_off();
        assert_relative_eq!(3600.0 / (on + off), 3.0 * of_most, max_relative = SMALL_HYSTERESIS);
        assert_relative_eq!(on / (on + off), load, max_relative = SMALL_HYSTERESIS);
    }
}

/// Henderson and Rengarajan, ASHRAE Transactions 1996, no. 3958: the part of its steady capacity
/// that a unit delivers while it runs a part `fraction` of the time.
fn part_load_factor(tau: f64, most: f64, fraction: f64) -> f64 {
    let a = 4.0 * tau / 3600.0 * most * (1.0 - fraction);
    1.0 - a * (1.0 - (-1.0 / a).exp())
}

/// The same zone with a modulating unit four times as large, which goes down to a quarter and is asked
/// for less: it cycles at its turndown as a staged one does at its capacity.
fn ramp_at_turndown(most: f64, load: f64, time_constant: f64) -> Model {
    let mut model = ramp(most, load, time_constant);
    let unit = &mut model.zones[0].unit;
    unit.control = UnitControl::proportional(0.25, 20.0);
    unit.heating.as_mut().expect("it heats").rated *= 4.0;
    model
}

#[test]
fn over_its_cycles_a_unit_has_the_part_load_factor_of_its_cycling_rate() {
    let cases = [(30.0, 0.2), (60.0, 0.5), (76.0, 0.5), (80.0, 0.7)];
    let staged = cases.map(|(tau, load)| (tau, ramp(3.0, load, tau)));
    let modulating = cases.map(|(tau, load)| (tau, ramp_at_turndown(3.0, load, tau)));
    for (tau, model) in staged.into_iter().chain(modulating) {
        let finished = run(&model);
        let rows = rows_of(&finished, 0);
        let cycles = Cycles::of(&rows);
        // One cycle is as long as the next but for a second; take one, with its own rate.
        let (start, end, next) = (cycles.starts[1], cycles.ends[1], cycles.starts[2]);
        let (on, period) = (end.since(start).get() as f64, next.since(start).get() as f64);
        let fraction = on / period;
        let most = 3600.0 / period / (4.0 * fraction * (1.0 - fraction));
        let of_cycle = rows.iter().filter(|row| start <= row.at && row.at < next);
        let delivered: f64 = of_cycle.clone().map(|row| row.heat_w).sum();
        let electric: f64 = of_cycle.map(|row| row.electric_w).sum();
        let expected = part_load_factor(tau, most, fraction);
        assert_relative_eq!(delivered / (4000.0 * on), expected, max_relative = EXACT);
        // The electric power is full from the first second, so the COP falls by the same factor.
        assert_relative_eq!(delivered / electric, 3.2 * expected, max_relative = EXACT);
    }
}

/// The run fraction at which the unit covers a part `load` of its capacity: X PLF(X) = load.
fn fraction_for(tau: f64, most: f64, load: f64) -> f64 {
    let (mut low, mut high) = (load, 1.0);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if middle * part_load_factor(tau, most, middle) < load {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

#[test]
fn the_rise_after_a_start_gives_the_published_form_of_the_part_load_factor() {
    // tau, Nmax, then PLF at a cooling load factor of 0.2, 0.5 and 0.8, with the run fraction
    // X = CLF / PLF: computed from the published form of the curve.
    let table = [
        (30.0, 3.0, [0.9217, 0.9525, 0.9815]),
        (60.0, 3.0, [0.8474, 0.9099, 0.9657]),
        (80.0, 3.0, [0.8012, 0.8842, 0.9564]),
        (60.0, 6.0, [0.7202, 0.8388, 0.9403]),
    ];
    for (tau, most, factors) in table {
        for (load, expected) in [0.2, 0.5, 0.8].into_iter().zip(factors) {
            let fraction = fraction_for(tau, most, load);
            let on = 3600.0 / (4.0 * most * (1.0 - fraction));
            // In one step and in sixty: the mean over a step is exact however long it is.
            for pieces in [1_u32, 60] {
                let rise = Rise::new(tau, on / f64::from(pieces));
                let (mut lacking, mut sum) = (1.0, 0.0);
                for _ in 0..pieces {
                    sum += rise.delivered(lacking);
                    lacking = rise.after(lacking);
                }
                let mean = sum / f64::from(pieces);
                assert_abs_diff_eq!(mean, expected, epsilon = FOUR_DIGITS);
            }
        }
    }
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct Droop {
    UA: f64,
    Te: f64,
    Kp_W_K: f64,
    T_set: f64,
    T_ss: f64,
    Q_ss: f64,
    Qmax: f64,
}

/// The file gives ten digits of a temperature near 20 degrees.
const STEADY: f64 = 1e-7;

#[test]
fn a_modulating_unit_settles_where_proportional_control_does() {
    for case in part::<Vec<Droop>>(CASES, "/proportional_droop_1R1C") {
        let range = case.Qmax / case.Kp_W_K;
        let control = UnitControl::proportional(0.0, range);
        let given = Given { control, ..Given::default() };
        let space = one_capacity(case.UA, 1e6, case.T_ss - 1.0);
        let mut model = heated(space, case.Te, case.T_set, case.Qmax, given);
        model.period = period(1, Seconds::minutes(1));
        let last = *rows_of(&run(&model), 0).last().expect("rows");
        assert_abs_diff_eq!(last.temperature, case.T_ss, epsilon = STEADY);
        assert_relative_eq!(last.heat_w, case.Q_ss, max_relative = STEADY);
    }
}

#[derive(Deserialize)]
#[allow(non_snake_case, reason = "the keys of the file")]
struct Recovery {
    UA: f64,
    C: f64,
    Te: f64,
    Q: f64,
    T_start: f64,
    T_target: f64,
    t_recover_s: f64,
}

#[test]
fn one_capacity_recovers_from_a_setback_in_the_time_of_the_exponential() {
    for case in part::<Vec<Recovery>>(CASES, "/setback_recovery_1R1C") {
        let space = one_capacity(case.UA, case.C, case.T_start);
        let model = heated(space, case.Te, case.T_target, case.Q, Given::default());
        let rows = rows_of(&run(&model), 0);
        let end = rows.iter().find(|row| row.served.is_none()).expect("it recovers").at;
        // Seen at the first whole second after it.
        let late = end.get() as f64 - case.t_recover_s;
        assert!((0.0..=1.0).contains(&late), "{late}");
    }
}
