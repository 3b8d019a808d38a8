//! What must hold for any room: heat adds up, and without gains and plant no temperature leaves
//! the span of what there is.

use proptest::prelude::*;
use setband::building::{
    Balance, BlockPropagator, Coupling, HeatGains, Network, Space, ZoneHeat, ZonePropagator,
};
use setband::time::Seconds;

use super::rooms::any_room;

/// Part of all heat moved, as the physics asks.
const HEAT_ADDS_UP: f64 = 1e-9;
/// Rounding of temperatures up to 50 degrees over fifty steps, K.
const ROUNDING: f64 = 1e-10;
/// Steps of a run.
const STEPS: usize = 50;

/// Outdoor temperature, gains and plant of a step.
type Drive = (f64, HeatGains, f64);

fn any_drive() -> impl Strategy<Value = Drive> {
    (-30.0..45.0, 0.0..8000.0, 0.0..5000.0, -9000.0..9000.0).prop_map(
        |(outdoor, internal, solar, plant)| (outdoor, HeatGains { internal, solar }, plant),
    )
}

fn drives() -> impl Strategy<Value = Vec<Drive>> {
    prop::collection::vec(any_drive(), STEPS)
}

/// One zone; its ventilation runs in every third step.
fn run_alone(space: &Space, drives: &[Drive], step: i64) -> Balance {
    let networks = [true, false].map(|ventilated| Network::new(space, ventilated));
    let steps = networks.map(|network| ZonePropagator::new(&network, Seconds::new(step)));
    let mut balance = Balance::default();
    let mut state = [20.0, 20.0];
    for (number, (outdoor, gains, plant)) in drives.iter().enumerate() {
        let which = usize::from(number % 3 != 0);
        let (network, propagator) = (&networks[which], &steps[which]);
        let flows = network.flows(*outdoor, *gains).with_plant(*plant);
        let (mean, end) = (propagator.mean(state, flows), propagator.advance(state, flows));
        let heat = ZoneHeat::over_step(network, mean, *outdoor, *gains, *plant, 0.0);
        balance.add(&heat, step as f64, network.stored(state), network.stored(end));
        state = end;
    }
    balance
}

/// Three zones in a chain; the same drive in each, the plant in the first alone.
fn run_coupled(networks: &[Network; 3], door: f64, drives: &[Drive], step: i64) -> [Balance; 4] {
    let couplings = [(0, 1), (1, 2)].map(|(one, other)| Coupling { one, other, conductance: door });
    let block = BlockPropagator::new(networks, &couplings, Seconds::new(step));
    let mut balances = [Balance::default(); 4];
    let mut state = [20.0; 6];
    for (outdoor, gains, plant) in drives {
        let plants = [*plant, 0.0, 0.0];
        let flows: Vec<f64> = (0..3)
            .flat_map(|zone| networks[zone].flows(*outdoor, *gains).with_plant(plants[zone]))
            .collect();
        let (mut mean, mut end) = ([0.0; 6], [0.0; 6]);
        block.mean(&state, &flows, &mut mean);
        block.advance(&state, &flows, &mut end);
        let mut to_neighbours = [0.0; 3];
        for coupling in &couplings {
            let heat = coupling.heat(mean[2 * coupling.one], mean[2 * coupling.other]);
            to_neighbours[coupling.one] += heat;
            to_neighbours[coupling.other] -= heat;
        }
        for zone in 0..3 {
            let nodes = |of: &[f64; 6]| [of[2 * zone], of[2 * zone + 1]];
            let network = &networks[zone];
            let heat = ZoneHeat::over_step(
                network,
                nodes(&mean),
                *outdoor,
                *gains,
                plants[zone],
                to_neighbours[zone],
            );
            let (before, after) = (network.stored(nodes(&state)), network.stored(nodes(&end)));
            balances[zone].add(&heat, step as f64, before, after);
            balances[3].add(&heat, step as f64, before, after);
        }
        state = end;
    }
    balances
}

proptest! {
    #[test]
    fn heat_adds_up_in_any_room(room in any_room(), drives in drives(), step in 1_i64..=3600) {
        let balance = run_alone(&room, &drives, step);
        prop_assert!(balance.moved() > 0.0);
        prop_assert!(balance.residual() < HEAT_ADDS_UP, "{balance:?} {}", balance.residual());
    }

    #[test]
    fn heat_adds_up_in_coupled_rooms(
        rooms in [any_room(), any_room(), any_room()],
        door in 0.0..500.0,
        drives in drives(),
        step in 1_i64..=3600,
    ) {
        let networks = rooms.map(|room| Network::new(&room, true));
        for balance in run_coupled(&networks, door, &drives, step) {
            prop_assert!(balance.residual() < HEAT_ADDS_UP, "{balance:?} {}", balance.residual());
        }
    }

    #[test]
    fn without_gains_no_room_leaves_the_span_of_start_and_weather(
        room in any_room(),
        start in [-20.0..40.0, -20.0..40.0],
        outdoors in prop::collection::vec(-30.0..50.0, STEPS),
        step in 1_i64..=3600,
    ) {
        let network = Network::new(&room, true);
        let propagator = ZonePropagator::new(&network, Seconds::new(step));
        let mut state: [f64; 2] = start;
        let (mut low, mut high) = (state[0].min(state[1]), state[0].max(state[1]));
        for outdoor in outdoors {
            (low, high) = (f64::min(low, outdoor), f64::max(high, outdoor));
            let flows = network.flows(outdoor, HeatGains::default()).with_plant(0.0);
            state = propagator.advance(state, flows);
            let surface = network.surface_temperature(state, outdoor, 0.0);
            for temperature in [state[0], state[1], surface] {
                prop_assert!(low - ROUNDING <= temperature && temperature <= high + ROUNDING);
            }
        }
    }

    #[test]
    fn without_gains_coupled_rooms_stay_between_the_coldest_and_the_warmest(
        rooms in [any_room(), any_room()],
        door in 0.0..500.0,
        start in [-20.0..40.0, -20.0..40.0, -20.0..40.0, -20.0..40.0],
        outdoor in -30.0..50.0,
        step in 1_i64..=3600,
    ) {
        let networks = rooms.map(|room| Network::new(&room, true));
        let coupling = Coupling { one: 0, other: 1, conductance: door };
        let block = BlockPropagator::new(&networks, &[coupling], Seconds::new(step));
        let flows: Vec<f64> = networks
            .iter()
            .flat_map(|network| network.flows(outdoor, HeatGains::default()).with_plant(0.0))
            .collect();
        let low = start.into_iter().fold(outdoor, f64::min) - ROUNDING;
        let high = start.into_iter().fold(outdoor, f64::max) + ROUNDING;
        let (mut state, mut next) = (start, start);
        for _ in 0..STEPS {
            block.advance(&state, &flows, &mut next);
            state = next;
            prop_assert!(state.iter().all(|node| low <= *node && *node <= high));
        }
    }
}
