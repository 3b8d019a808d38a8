//! The exact step against a general solver of differential equations, which is given the network
//! with its surface node, before any elimination.

use approx::assert_abs_diff_eq;
use diffsol::{DenseMatrix, NalgebraMat, OdeBuilder, OdeSolverMethod};
use setband::building::{BlockPropagator, Coupling, HeatGains, Network, ZonePropagator};
use setband::time::Seconds;

use crate::rooms::{hall, reading_room, store_room};

/// Asked of the general solver, relative and absolute.
const SOLVER: f64 = 1e-11;
/// Room for the solver's error to grow over some hundreds of its steps.
const AGREEMENT: f64 = 1e-6;

const OUTDOOR: f64 = -4.5;
const GAINS: HeatGains = HeatGains { internal: 1800.0, solar: 650.0 };

/// Warming of air and mass, K/s, by the equations of ISO 13790:2008, annex C, with Ts found from
/// the balance of the surface node and a capacity at the air node.
fn warming(network: &Network, air: f64, mass: f64, into_air: f64) -> [f64; 2] {
    let radiant = 0.5 * GAINS.internal + GAINS.solar;
    let to_surface = network.surface_share * radiant;
    let surface = (network.air_to_surface * air
        + network.surface_to_mass * mass
        + network.windows * OUTDOOR
        + to_surface)
        / (network.air_to_surface + network.surface_to_mass + network.windows);
    let air_heat = network.ventilation * (OUTDOOR - air)
        + network.air_to_surface * (surface - air)
        + 0.5 * GAINS.internal
        + into_air;
    let mass_heat = network.mass_to_outdoors * (OUTDOOR - mass)
        + network.surface_to_mass * (surface - mass)
        + network.mass_share * radiant;
    [air_heat / network.air_capacity, mass_heat / network.mass_capacity]
}

/// The zones after so many seconds, and the means until then, by the general solver: each zone
/// has its air, its mass and the integrals of both.
fn solved(
    networks: &[Network],
    couplings: &[Coupling],
    start: &[f64],
    plant: &[f64],
    seconds: f64,
) -> (Vec<f64>, Vec<f64>) {
    let nodes = start.len();
    let problem = OdeBuilder::<NalgebraMat<f64>>::new()
        .rtol(SOLVER)
        .atol([SOLVER])
        .rhs(|state, _, _, rate| {
            let mut into_air = plant.to_vec();
            for coupling in couplings {
                let difference = state[2 * coupling.one] - state[2 * coupling.other];
                into_air[coupling.one] -= coupling.conductance * difference;
                into_air[coupling.other] += coupling.conductance * difference;
            }
            for (zone, network) in networks.iter().enumerate() {
                let (air, mass) = (state[2 * zone], state[2 * zone + 1]);
                let warming = warming(network, air, mass, into_air[zone]);
                rate[2 * zone] = warming[0];
                rate[2 * zone + 1] = warming[1];
                rate[nodes + 2 * zone] = air / seconds;
                rate[nodes + 2 * zone + 1] = mass / seconds;
            }
        })
        .init(
            |_, _, state| {
                let integrals = std::iter::repeat_n(&0.0, nodes);
                for (place, value) in start.iter().chain(integrals).enumerate() {
                    state[place] = *value;
                }
            },
            2 * nodes,
        )
        .build()
        .expect("the problem is complete");
    let mut solver = problem.tsit45().expect("the solver starts");
    let (states, _) = solver.solve_dense(&[seconds]).expect("the solver arrives");
    let end: Vec<f64> = (0..2 * nodes).map(|row| states.column(0)[row]).collect();
    (end[..nodes].to_vec(), end[nodes..].to_vec())
}

#[test]
fn a_single_zone_steps_as_the_general_solver_says() {
    for (space, plant) in [(reading_room(), 7000.0), (store_room(), -900.0), (hall(), 0.0)] {
        for seconds in [1, 60, 900, 3600] {
            let network = Network::new(&space, true);
            let start = [19.5, 18.0];
            let step = ZonePropagator::new(&network, Seconds::new(seconds));
            let flows = network.flows(OUTDOOR, GAINS).with_plant(plant);
            let (end, mean) = solved(&[network], &[], &start, &[plant], seconds as f64);
            assert_abs_diff_eq!(step.advance(start, flows)[..], end[..], epsilon = AGREEMENT);
            assert_abs_diff_eq!(step.mean(start, flows)[..], mean[..], epsilon = AGREEMENT);
        }
    }
}

#[test]
fn coupled_zones_step_as_the_general_solver_says() {
    let networks = [reading_room(), store_room(), hall()].map(|space| Network::new(&space, true));
    let couplings = [
        Coupling { one: 0, other: 1, conductance: 25.0 },
        Coupling { one: 2, other: 0, conductance: 140.0 },
    ];
    let start = [21.0, 20.0, 12.0, 13.5, 17.0, 18.0];
    let plant = [-2500.0, 800.0, 15_000.0];
    for seconds in [60, 3600] {
        let block = BlockPropagator::new(&networks, &couplings, Seconds::new(seconds));
        let flows: Vec<f64> = networks
            .iter()
            .zip(plant)
            .flat_map(|(network, plant)| network.flows(OUTDOOR, GAINS).with_plant(plant))
            .collect();
        let (mut end, mut mean) = ([0.0; 6], [0.0; 6]);
        block.advance(&start, &flows, &mut end);
        block.mean(&start, &flows, &mut mean);
        let solved = solved(&networks, &couplings, &start, &plant, seconds as f64);
        assert_abs_diff_eq!(end[..], solved.0[..], epsilon = AGREEMENT);
        assert_abs_diff_eq!(mean[..], solved.1[..], epsilon = AGREEMENT);
    }
}
