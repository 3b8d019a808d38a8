//! The exact step against a general solver of differential equations, which is given the network
//! with its surface node, before any elimination.

use approx::assert_abs_diff_eq;
use setband::building::{BlockPropagator, Coupling, HeatGains, Network, ZonePropagator};
use setband::time::Seconds;

use super::rooms::{hall, reading_room, store_room};

/// The general solver's steps in every 100 s begun: far below the shortest time constant of these
/// rooms, so that its fourth order leaves nothing to see.
const STEPS: u32 = 100;
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

impl CoupledZones<'_> {
    fn rate(&self, state: &[f64]) -> Vec<f64> {
        let mut into_air = self.plant.to_vec();
        for coupling in self.couplings {
            let difference = state[2 * coupling.one] - state[2 * coupling.other];
            into_air[coupling.one] -= coupling.conductance * difference;
            into_air[coupling.other] += coupling.conductance * difference;
        }
        let nodes = 2 * self.networks.len();
        let mut rate = vec![0.0; 2 * nodes];
        for (zone, network) in self.networks.iter().enumerate() {
            let (air, mass) = (state[2 * zone], state[2 * zone + 1]);
            let warming = warming(network, air, mass, into_air[zone]);
            rate[2 * zone] = warming[0];
            rate[2 * zone + 1] = warming[1];
            rate[nodes + 2 * zone] = air / self.seconds;
            rate[nodes + 2 * zone + 1] = mass / self.seconds;
        }
        rate
    }

    /// The state a step later, by the classical method of Runge and Kutta of fourth order
    /// (W. Kutta, Zeitschrift fuer Mathematik und Physik 46, 1901; Hairer, Noersett, Wanner,
    /// Solving Ordinary Differential Equations I, table II.1.2).
    fn after(&self, state: &[f64], step: f64) -> Vec<f64> {
        let moved = |by: f64, rate: &[f64]| -> Vec<f64> {
            state.iter().zip(rate).map(|(value, rate)| value + by * rate).collect()
        };
        let first = self.rate(state);
        let second = self.rate(&moved(step / 2.0, &first));
        let third = self.rate(&moved(step / 2.0, &second));
        let fourth = self.rate(&moved(step, &third));
        let mean: Vec<f64> = (0..state.len())
            .map(|at| (first[at] + 2.0 * second[at] + 2.0 * third[at] + fourth[at]) / 6.0)
            .collect();
        moved(step, &mean)
    }
}

/// The zones after so many seconds, and the means until then, by the general solver: each zone
/// has its air, its mass and the integrals of both.
fn solved(
    networks: &[Network],
    couplings: &[Coupling],
    start: &[f64],
    plant: &[f64],
    seconds: u32,
) -> (Vec<f64>, Vec<f64>) {
    let nodes = start.len();
    let steps = STEPS * seconds.div_ceil(100);
    let seconds = f64::from(seconds);
    let step = seconds / f64::from(steps);
    let system = CoupledZones { networks, couplings, plant, seconds };
    let begin = [start, &vec![0.0; nodes]].concat();
    let end = (0..steps).fold(begin, |state, _| system.after(&state, step));
    (end[..nodes].to_vec(), end[nodes..].to_vec())
}

/// The solver by itself: of the fourth order, so that half the step leaves a sixteenth of its
/// error, here on a store room that cools down for an hour.
#[test]
fn the_general_solver_is_of_fourth_order() {
    let network = Network::new(&store_room(), true);
    let system =
        CoupledZones { networks: &[network], couplings: &[], plant: &[500.0], seconds: 3600.0 };
    let after = |steps: u32| {
        let begin = vec![30.0, 10.0, 0.0, 0.0];
        let step = 3600.0 / f64::from(steps);
        (0..steps).fold(begin, |state, _| system.after(&state, step))[0]
    };
    let exact = after(4000);
    let (coarse, fine) = (after(20) - exact, after(40) - exact);
    assert!((14.0..18.0).contains(&(coarse / fine)), "{coarse} against {fine}");
}

#[test]
fn a_single_zone_steps_as_the_general_solver_says() {
    for (space, plant) in [(reading_room(), 7000.0), (store_room(), -900.0), (hall(), 0.0)] {
        for seconds in [1, 60, 900, 3600] {
            let network = Network::new(&space, true);
            let start = [19.5, 18.0];
            let step = ZonePropagator::new(&network, Seconds::new(i64::from(seconds)));
            let flows = network.flows(OUTDOOR, GAINS).with_plant(plant);
            let (end, mean) = solved(&[network], &[], &start, &[plant], seconds);
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
        let block = BlockPropagator::new(&networks, &couplings, Seconds::new(i64::from(seconds)));
        let flows: Vec<f64> = networks
            .iter()
            .zip(plant)
            .flat_map(|(network, plant)| network.flows(OUTDOOR, GAINS).with_plant(plant))
            .collect();
        let (mut end, mut mean) = ([0.0; 6], [0.0; 6]);
        block.advance(&start, &flows, &mut end);
        block.mean(&start, &flows, &mut mean);
        let solved = solved(&networks, &couplings, &start, &plant, seconds);
        assert_abs_diff_eq!(end[..], solved.0[..], epsilon = AGREEMENT);
        assert_abs_diff_eq!(mean[..], solved.1[..], epsilon = AGREEMENT);
    }
}
