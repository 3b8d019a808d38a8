//! The exact solution over a step with constant inputs.
//!
//! The nodes obey C x' = q - K x, K symmetric, so with A = -C^-1 K and z = A dt
//!
//! - the end of the step is exp(z) x + dt phi1(z) C^-1 q,
//! - the mean over it is phi1(z) x + dt phi2(z) C^-1 q,
//!
//! with phi1(z) = (exp(z) - 1) / z and phi2(z) = (phi1(z) - 1) / z as power series, so that a zone
//! which loses no heat, whose A is singular, needs no exception. All three are blocks of one
//! matrix exponential (Van Loan, Computing integrals involving the matrix exponential, IEEE
//! Transactions on Automatic Control 23 (1978) 395-404).

use nalgebra::DMatrix;

use super::block::Coupling;
use super::network::Network;
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
            |from: &DMatrix<f64>| [[from[(0, 0)], from[(0, 1)]], [from[(1, 0)], from[(1, 1)]]];
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

fn apply(phi: &[[f64; 2]; 2], gamma: &[[f64; 2]; 2], state: [f64; 2], flows: [f64; 2]) -> [f64; 2] {
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
    /// Rows of phi and gamma side by side, row after row.
    end: Vec<f64>,
    /// Rows of the same for the mean.
    mean: Vec<f64>,
}

impl BlockPropagator {
    /// The step of the zones of a block, each in one state of its ventilation.
    pub fn new(networks: &[Network], couplings: &[Coupling], step: Seconds) -> Self {
        let solution = Solution::new(networks, couplings, step);
        Self {
            nodes: 2 * networks.len(),
            end: side_by_side(&solution.phi, &solution.gamma),
            mean: side_by_side(&solution.mean_phi, &solution.mean_gamma),
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
        let place = 2 * to * 2 * self.nodes + self.nodes + 2 * from;
        let inside = 2 * from < self.nodes;
        self.end.get(place).copied().filter(|_| inside).unwrap_or(0.0)
    }

    fn multiply(&self, rows: &[f64], state: &[f64], flows: &[f64], out: &mut [f64]) {
        for (row, out) in rows.chunks_exact(2 * self.nodes).zip(out) {
            let (phi, gamma) = row.split_at(self.nodes);
            *out = dot(phi, state) + dot(gamma, flows);
        }
    }
}

fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}

fn side_by_side(phi: &DMatrix<f64>, gamma: &DMatrix<f64>) -> Vec<f64> {
    let rows = phi.row_iter().zip(gamma.row_iter());
    rows.flat_map(|(phi, gamma)| phi.iter().chain(gamma.iter()).copied().collect::<Vec<_>>())
        .collect()
}

/// The four operators of a step.
struct Solution {
    phi: DMatrix<f64>,
    gamma: DMatrix<f64>,
    mean_phi: DMatrix<f64>,
    mean_gamma: DMatrix<f64>,
}

impl Solution {
    fn new(networks: &[Network], couplings: &[Coupling], step: Seconds) -> Self {
        let nodes = 2 * networks.len();
        let seconds = step.get() as f64;
        let capacities: Vec<f64> =
            networks.iter().flat_map(|it| [it.air_capacity, it.mass_capacity]).collect();
        let conductance = conductance_matrix(networks, couplings);
        let mut augmented = DMatrix::zeros(3 * nodes, 3 * nodes);
        for row in 0..nodes {
            for column in 0..nodes {
                augmented[(row, column)] = -seconds * conductance[(row, column)] / capacities[row];
            }
            augmented[(row, nodes + row)] = 1.0;
            augmented[(nodes + row, 2 * nodes + row)] = 1.0;
        }
        let exponential = augmented.exp();
        let block = |column: usize| exponential.view((0, column * nodes), (nodes, nodes));
        let per_watt = |phi: &DMatrix<f64>| {
            DMatrix::from_fn(nodes, nodes, |row, column| {
                phi[(row, column)] * seconds / capacities[column]
            })
        };
        let (phi_1, phi_2) = (block(1).into_owned(), block(2).into_owned());
        Self {
            phi: block(0).into_owned(),
            gamma: per_watt(&phi_1),
            mean_gamma: per_watt(&phi_2),
            mean_phi: phi_1,
        }
    }
}

/// K: what flows out of each node per kelvin of each, W/K.
fn conductance_matrix(networks: &[Network], couplings: &[Coupling]) -> DMatrix<f64> {
    let nodes = 2 * networks.len();
    let mut matrix = DMatrix::zeros(nodes, nodes);
    for (zone, network) in networks.iter().enumerate() {
        let (air, mass, reduced) = (2 * zone, 2 * zone + 1, network.reduced());
        matrix[(air, air)] += reduced.air_to_outdoors;
        matrix[(mass, mass)] += reduced.mass_to_outdoors;
        couple(&mut matrix, air, mass, reduced.air_to_mass);
    }
    for coupling in couplings {
        couple(&mut matrix, 2 * coupling.one, 2 * coupling.other, coupling.conductance);
    }
    matrix
}

fn couple(matrix: &mut DMatrix<f64>, one: usize, other: usize, conductance: f64) {
    matrix[(one, one)] += conductance;
    matrix[(other, other)] += conductance;
    matrix[(one, other)] -= conductance;
    matrix[(other, one)] -= conductance;
}
