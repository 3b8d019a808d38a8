//! The exact solution over a step with constant inputs.
//!
//! The nodes obey C x' = q - K x with K symmetric. With A = -C^-1 K and z = A dt
//!
//! - the end of the step is exp(z) x + dt phi1(z) C^-1 q,
//! - the mean over it is phi1(z) x + dt phi2(z) C^-1 q,
//!
//! where phi1(z) = (exp(z) - 1) / z and phi2(z) = (phi1(z) - 1) / z are power series, so that a
//! zone which loses no heat, whose A is singular, needs no exception (Hochbruck and Ostermann,
//! Exponential integrators, Acta Numerica 19 (2010) 209-286, section 2.1). C^(1/2) A C^(-1/2) is
//! symmetric, so the three functions of the matrix are those of its eigenvalues.

use super::block::Coupling;
use super::network::Network;
use super::symmetric::{Eigen, Square};
use crate::numbers::Number;
use crate::time::Seconds;

/// Steps one zone that has no neighbours. States and flows are air first, then mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ZonePropagator {
    /// State at the end per state at the start.
    pub phi: [[f64; 2]; 2],
    /// State at the end per flow, K/W.
    pub gamma: [[f64; 2]; 2],
    /// Mean state per state at the start.
    pub mean_phi: [[f64; 2]; 2],
    /// Mean state per flow, K/W.
    pub mean_gamma: [[f64; 2]; 2],
}

impl ZonePropagator {
    /// The step of a zone.
    pub fn new(network: &Network, step: Seconds) -> Self {
        let solution = Solution::new(std::slice::from_ref(network), &[], step);
        let small =
            |from: &Square| [[from.get(0, 0), from.get(0, 1)], [from.get(1, 0), from.get(1, 1)]];
        Self {
            phi: small(&solution.phi),
            gamma: small(&solution.gamma),
            mean_phi: small(&solution.mean_phi),
            mean_gamma: small(&solution.mean_gamma),
        }
    }

    /// The state at the end of the step.
    pub fn advance(&self, state: [f64; 2], flows: [f64; 2]) -> [f64; 2] {
        apply(&self.phi, &self.gamma, state, flows)
    }

    /// The mean state over the step.
    pub fn mean(&self, state: [f64; 2], flows: [f64; 2]) -> [f64; 2] {
        apply(&self.mean_phi, &self.mean_gamma, state, flows)
    }

    /// How much one more watt into the air over the step raises the air at its end, K/W.
    pub fn air_response(&self) -> f64 {
        self.gamma[0][0]
    }
}

/// Steps rooms that have no neighbours, side by side.
#[derive(Clone, Copy, Debug)]
pub struct ZonePropagators<V> {
    phi: [[V; 2]; 2],
    gamma: [[V; 2]; 2],
}

impl<V: Number> ZonePropagators<V> {
    /// The steps of rooms, each in its lane.
    #[inline(always)]
    pub fn new<'p>(token: V::Token, of: impl Fn(usize) -> &'p ZonePropagator) -> Self {
        let matrix = |pick: fn(&ZonePropagator) -> &[[f64; 2]; 2]| {
            let entry =
                |row: usize, column: usize| V::from_fn(token, |lane| pick(of(lane))[row][column]);
            [[entry(0, 0), entry(0, 1)], [entry(1, 0), entry(1, 1)]]
        };
        Self { phi: matrix(|it| &it.phi), gamma: matrix(|it| &it.gamma) }
    }

    /// The states at the end of the step, as [`ZonePropagator::advance`] has them.
    #[inline(always)]
    pub fn advance(&self, state: [V; 2], flows: [V; 2]) -> [V; 2] {
        apply(&self.phi, &self.gamma, state, flows)
    }
}

#[inline(always)]
fn apply<V: Number>(
    phi: &[[V; 2]; 2],
    gamma: &[[V; 2]; 2],
    state: [V; 2],
    flows: [V; 2],
) -> [V; 2] {
    let row = |row: usize| {
        phi[row][0] * state[0]
            + phi[row][1] * state[1]
            + gamma[row][0] * flows[0]
            + gamma[row][1] * flows[1]
    };
    [row(0), row(1)]
}

/// Steps the zones of a block together. States and flows are slices with air and mass of each
/// zone in turn, so zone `i` of the block has its air at `2 i` and its mass at `2 i + 1`.
#[derive(Clone, Debug, PartialEq)]
pub struct BlockPropagator {
    nodes: usize,
    /// Columns of phi, then of gamma: adding up columns keeps the order of the sums and yet lets
    /// the compiler do several rows at a time.
    end: Vec<f64>,
    /// The same for the mean.
    mean: Vec<f64>,
}

impl BlockPropagator {
    /// The step of the zones of a block, each in one state of its ventilation.
    pub fn new(networks: &[Network], couplings: &[Coupling], step: Seconds) -> Self {
        let solution = Solution::new(networks, couplings, step);
        Self {
            nodes: 2 * networks.len(),
            end: columns(&solution.phi, &solution.gamma),
            mean: columns(&solution.mean_phi, &solution.mean_gamma),
        }
    }

    /// How many states there are: two a zone.
    pub fn nodes(&self) -> usize {
        self.nodes
    }

    /// Puts the state at the end of the step into `next`.
    pub fn advance(&self, state: &[f64], flows: &[f64], next: &mut [f64]) {
        self.multiply(&self.end, state, flows, next);
    }

    /// Puts the mean state over the step into `mean`.
    pub fn mean(&self, state: &[f64], flows: &[f64], mean: &mut [f64]) {
        self.multiply(&self.mean, state, flows, mean);
    }

    /// How much one more watt into the air of zone `from` over the step raises the air of zone
    /// `to` at its end, K/W; zero for a zone that the block does not have.
    pub fn air_response(&self, to: usize, from: usize) -> f64 {
        let mut gamma = self.end.chunks_exact(self.nodes).skip(self.nodes);
        let column = gamma.nth(2 * from);
        column.and_then(|column| column.get(2 * to)).copied().unwrap_or(0.0)
    }

    fn multiply(&self, columns: &[f64], state: &[f64], flows: &[f64], out: &mut [f64]) {
        out.fill(0.0);
        let inputs = state.iter().chain(flows);
        for (column, input) in columns.chunks_exact(self.nodes).zip(inputs) {
            for (out, factor) in out.iter_mut().zip(column) {
                *out += factor * input;
            }
        }
    }
}

fn columns(phi: &Square, gamma: &Square) -> Vec<f64> {
    let nodes = phi.size();
    let of = |matrix: &Square, place: usize| matrix.get(place % nodes, place / nodes);
    let all = 0..nodes * nodes;
    all.clone().map(|place| of(phi, place)).chain(all.map(|place| of(gamma, place))).collect()
}

/// The four operators of a step.
struct Solution {
    phi: Square,
    gamma: Square,
    mean_phi: Square,
    mean_gamma: Square,
}

impl Solution {
    fn new(networks: &[Network], couplings: &[Coupling], step: Seconds) -> Self {
        let seconds = step.get() as f64;
        let capacities = networks.iter().flat_map(|it| [it.air_capacity, it.mass_capacity]);
        let roots: Vec<f64> = capacities.map(f64::sqrt).collect();
        let conductances = conductances(networks, couplings);
        let nodes = roots.len();
        let scaled = Square::from_fn(nodes, |row, column| {
            conductances.get(row, column) / (roots[row] * roots[column])
        });
        let eigen = Eigen::of(scaled);
        let functions = |of: fn(f64) -> f64| -> Vec<f64> {
            eigen.values.iter().map(|value| of(-value * seconds)).collect()
        };
        let per_state = |values: &[f64]| {
            Square::from_fn(nodes, |row, column| {
                eigen.entry(values, row, column) * roots[column] / roots[row]
            })
        };
        let per_watt = |values: &[f64]| {
            Square::from_fn(nodes, |row, column| {
                eigen.entry(values, row, column) * seconds / (roots[row] * roots[column])
            })
        };
        let (phi_1, phi_2) = (functions(phi_1), functions(phi_2));
        Self {
            phi: per_state(&functions(libm::exp)),
            gamma: per_watt(&phi_1),
            mean_phi: per_state(&phi_1),
            mean_gamma: per_watt(&phi_2),
        }
    }
}

/// (exp(z) - 1) / z.
fn phi_1(z: f64) -> f64 {
    if z == 0.0 { 1.0 } else { libm::expm1(z) / z }
}

/// (phi1(z) - 1) / z: within one of zero by its series, sum of z^k / (k + 2)!, where the
/// difference would cancel.
fn phi_2(z: f64) -> f64 {
    /// 1 / 20! is below the rounding of 1 / 2!.
    const TERMS: u32 = 18;
    if z.abs() < 1.0 {
        let nested = |sum: f64, term: u32| 1.0 + sum * z / f64::from(term + 2);
        0.5 * (1..=TERMS).rev().fold(1.0, nested)
    } else {
        (phi_1(z) - 1.0) / z
    }
}

/// K: what flows out of each node per kelvin of each, W/K.
fn conductances(networks: &[Network], couplings: &[Coupling]) -> Square {
    let mut matrix = Square::zero(2 * networks.len());
    for (zone, network) in networks.iter().enumerate() {
        let (air, mass, reduced) = (2 * zone, 2 * zone + 1, network.reduced());
        *matrix.at(air, air) += reduced.air_to_outdoors;
        *matrix.at(mass, mass) += reduced.mass_to_outdoors;
        couple(&mut matrix, air, mass, reduced.air_to_mass);
    }
    for coupling in couplings {
        couple(&mut matrix, 2 * coupling.one, 2 * coupling.other, coupling.conductance);
    }
    matrix
}

fn couple(matrix: &mut Square, one: usize, other: usize, conductance: f64) {
    *matrix.at(one, one) += conductance;
    *matrix.at(other, other) += conductance;
    *matrix.at(one, other) -= conductance;
    *matrix.at(other, one) -= conductance;
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn sealed() -> Network {
        Network {
            ventilation: 0.0,
            air_to_surface: 400.0,
            windows: 0.0,
            surface_to_mass: 900.0,
            mass_to_outdoors: 0.0,
            air_capacity: 1e6,
            mass_capacity: 2e7,
            mass_share: 0.5,
            surface_share: 0.5,
            window_share: 0.0,
        }
    }

    #[test]
    fn the_functions_join_where_the_series_ends() {
        // Either way at -1: phi2(-1) = exp(-1).
        assert_relative_eq!(phi_2(-1.0), libm::exp(-1.0), max_relative = 1e-15);
        let inside = phi_2(-1.0 + f64::EPSILON);
        assert_relative_eq!(inside, libm::exp(-1.0), max_relative = 1e-15);
        assert_relative_eq!(phi_2(0.0), 0.5);
        assert_relative_eq!(phi_1(0.0), 1.0);
        assert_relative_eq!(phi_1(-1e-12), 1.0 - 0.5e-12, max_relative = 1e-15);
    }

    #[test]
    fn a_zone_that_loses_no_heat_keeps_what_it_gets() {
        let zone = ZonePropagator::new(&sealed(), Seconds::hours(1));
        let end = zone.advance([20.0, 20.0], [500.0, 0.0]);
        let stored = sealed().stored(end) - sealed().stored([20.0, 20.0]);
        assert_relative_eq!(stored, 500.0 * 3600.0, max_relative = 1e-9);
        let still = zone.advance([20.0, 20.0], [0.0, 0.0]);
        assert_abs_diff_eq!(still.as_slice(), [20.0, 20.0].as_slice(), epsilon = 1e-12);
    }

    #[test]
    fn a_block_without_couplings_steps_like_its_zones() {
        let networks = [sealed(), Network { ventilation: 80.0, windows: 20.0, ..sealed() }];
        let block = BlockPropagator::new(&networks, &[], Seconds::minutes(10));
        let (state, flows) = ([20.0, 21.0, 15.0, 16.0], [100.0, 30.0, -200.0, 10.0]);
        let mut end = [0.0; 4];
        let mut mean = [0.0; 4];
        block.advance(&state, &flows, &mut end);
        block.mean(&state, &flows, &mut mean);
        for (zone, network) in networks.iter().enumerate() {
            let alone = ZonePropagator::new(network, Seconds::minutes(10));
            let (air, mass) = (2 * zone, 2 * zone + 1);
            let (from, with) = ([state[air], state[mass]], [flows[air], flows[mass]]);
            assert_abs_diff_eq!(end[air..=mass], alone.advance(from, with), epsilon = 1e-12);
            assert_abs_diff_eq!(mean[air..=mass], alone.mean(from, with), epsilon = 1e-12);
            let response = block.air_response(zone, zone);
            assert_relative_eq!(response, alone.air_response(), max_relative = 1e-12);
        }
        assert_abs_diff_eq!(block.air_response(0, 1), 0.0);
        assert_abs_diff_eq!(block.air_response(2, 0), 0.0);
        assert_abs_diff_eq!(block.air_response(0, 2), 0.0);
    }

    #[test]
    fn heat_into_one_zone_warms_its_neighbour_as_much_as_the_reverse() {
        let networks = [sealed(), Network { air_capacity: 3e5, ventilation: 50.0, ..sealed() }];
        let coupling = Coupling { one: 0, other: 1, conductance: 25.0 };
        let block = BlockPropagator::new(&networks, &[coupling], Seconds::hours(1));
        assert!(block.air_response(1, 0) > 0.0);
        let there_and_back = (block.air_response(1, 0), block.air_response(0, 1));
        assert_relative_eq!(there_and_back.0, there_and_back.1, max_relative = 1e-12);
    }
}
