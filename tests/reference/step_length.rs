//! What the length of the step may change.

use jiff::civil::date;
use setband::building::{HeatGains, Network, ZonePropagator};
use setband::time::Seconds;
use setband::weather::Weather;

use super::rooms::{hall, reading_room, store_room};

/// Rounding over a day of steps.
const CONSTANT_INPUTS: f64 = 1e-9;
/// Weather held at its middle over each minute.
const HOURLY_WEATHER: f64 = 1e-4;

const GAINS: HeatGains = HeatGains { internal: 900.0, solar: 400.0 };

/// States at each hour of a day that begins at 19.5 degrees, free-floating.
fn day(network: &Network, step: i64, weather: &Weather) -> Vec<[f64; 2]> {
    let propagator = ZonePropagator::new(network, Seconds::new(step));
    let mut state = [19.5, 19.5];
    let mut hours = Vec::new();
    for start in (0..86_400).step_by(usize::try_from(step).expect("positive")) {
        let middle = start as f64 + 0.5 * step as f64;
        let flows = network.flows(weather.outdoor(date(2025, 4, 16), middle), GAINS);
        state = propagator.advance(state, flows.with_plant(0.0));
        if (start + step) % 3600 == 0 {
            hours.push(state);
        }
    }
    hours
}

fn largest_difference(one: &[[f64; 2]], other: &[[f64; 2]]) -> f64 {
    assert_eq!(one.len(), 24);
    let pairs = one.iter().flatten().zip(other.iter().flatten());
    pairs.map(|(one, other)| (one - other).abs()).fold(0.0, f64::max)
}

fn networks() -> [Network; 3] {
    [reading_room(), store_room(), hall()].map(|space| Network::new(&space, true))
}

#[test]
fn under_constant_inputs_no_step_is_better_than_another() {
    let weather = Weather::Hours(Box::new([3.0; 24]));
    for network in networks() {
        for step in [3600, 900, 60] {
            let whole = day(&network, step, &weather);
            let halves = day(&network, step / 2, &weather);
            assert!(largest_difference(&whole, &halves) < CONSTANT_INPUTS);
        }
    }
}

#[test]
fn under_hourly_weather_half_the_step_has_a_quarter_of_the_error() {
    // An invented day with a warm front at noon.
    let weather = Weather::Hours(Box::new([
        4.0, 3.0, 2.5, 2.0, 1.0, 1.5, 2.0, 4.0, 6.0, 7.5, 9.0, 10.0, 15.0, 16.0, 16.5, 16.0, 15.0,
        13.0, 11.0, 9.5, 8.0, 7.0, 6.0, 5.0,
    ]));
    for network in networks() {
        let days = [240, 120, 60, 30].map(|step| day(&network, step, &weather));
        let differences = [0, 1, 2].map(|place| largest_difference(&days[place], &days[place + 1]));
        for (coarse, fine) in [(0, 1), (1, 2)] {
            let ratio = differences[coarse] / differences[fine];
            assert!((3.9..4.1).contains(&ratio), "{ratio}");
        }
        assert!(differences[2] < HOURLY_WEATHER, "{differences:?}");
    }
}
