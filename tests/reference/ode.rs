//! The exact step against a general solver of differential equations, which is given the network
//! with its surface node, before any elimination.

use approx::assert_abs_diff_eq;
use ode_solvers::{DVector, Rk4, System};
use setband::building::{BlockPropagator, Coupling, HeatGains, Network, ZonePropagator};
use setband::time::Seconds;

use super::rooms::{hall, reading_room, store_room};

/// The general solver's steps in 100 s: far below the shortest time constant of these rooms, so
/// that its fourth order leaves nothing to see.
const STEPS: f64 = 100.0;
/// Room for the solver's error and its rounding over some thousands of its steps.
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

/// Some zones as a system of equations: air and mass of each, then the integrals of both.
struct CoupledZones<'a> {
    networks: &'a [Network],
    couplings: &'a [Coupling],
    plant: &'a [f64],
    seconds: f64,
}

impl System<f64, DVector<f64>> for CoupledZones<'_> {
    fn system(&self, _: f64, state: &DVector<f64>, rate: &mut DVector<f64>) {
        let nodes = 2 * self.networks.len();
        let mut into_air = self.plant.to_vec();
        for coupling in self.couplings {
            let difference = state[2 * coupling.one] - state[2 * coupling.other];
            into_air[coupling.one] -= coupling.conductance * difference;
            into_air[coupling.other] += coupling.conductance * difference;
        }
        for (zone, network) in self.networks.iter().enumerate() {
            let (air, mass) = (state[2 * zone], state[2 * zone + 1]);
            let warming = warming(network, air, mass, into_air[zone]);
            rate[2 * zone] = warming[0];
            rate[2 * zone + 1] = warming[1];
            rate[nodes + 2 * zone] = air / self.seconds;
            rate[nodes + 2 * zone + 1] = mass / self.seconds;
        }
    }
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
    let system = CoupledZones { networks, couplings, plant, seconds };
    let integrals = std::iter::repeat_n(0.0, nodes);
    let begin = DVector::from_iterator(2 * nodes, start.iter().copied().chain(integrals));
    let mut solver = Rk4::new(system, 0.0, begin, seconds, seconds.min(100.0) / STEPS);
    solver.integrate().expect("the solver arrives");
    let end = solver.y_out().last().expect("the solver keeps the end").as_slice();
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
