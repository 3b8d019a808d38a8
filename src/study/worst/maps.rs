//! A step as a map of bounds: where the sensor's body lies in a range, what air, mass and body can
//! come to.
//!
//! The state after a step is linear in the state before it and in what drives it. Each bound after
//! the step is the most that a weighted sum of the state can be, plus what does not depend on it.
//! Weights are floating-point numbers; what they are wrong by, times the largest temperature there
//! can be, is added to the bound.

use super::basis::Basis;
use super::bounds::{AIR, BODY, Bounds, HELD, PAIRS, Shipment};
use super::heat::Piece;
use super::interval::Interval;
use super::reading::Reading;
use super::room::Room;

/// No temperature of a run lies further from 0 degrees C than this (see [`crate::engine::POSSIBLE`]).
pub(super) const LARGEST: f64 = 200.0;
/// No plant brings more than this, W.
const STRONGEST: f64 = 1e7;
/// Added to every bound of every step, K: a thousand times what rounding does to a dozen operations
/// on such numbers, in here and in the simulation.
const ROUNDING: f64 = 1e-9;

/// What acts on a room over a step.
#[derive(Clone, Debug)]
pub(super) struct Around {
    /// Outdoor air, degrees C.
    pub(super) outdoors: Interval,
    /// Internal gains, W.
    pub(super) internal: Interval,
    /// Sun, W.
    pub(super) solar: Interval,
    /// Air of each neighbour over the step, degrees C.
    pub(super) neighbours: Vec<Interval>,
}

/// How air and mass come into a bound after the step, for each of [`PAIRS`].
#[derive(Clone, Copy, Debug)]
struct Row {
    air: f64,
    mass: f64,
    body: f64,
    /// What the sensor's place being warmer than the air comes in by.
    place: f64,
}

fn row(pair: (usize, usize), basis: Basis, approach: f64) -> Row {
    let side =
        |which: usize| f64::from(u8::from(pair.0 == which)) - f64::from(u8::from(pair.1 == which));
    let [air, mass, body] = basis.of_held().map(|part| part * side(HELD));
    let body = body + side(BODY);
    // The body comes towards the air of the step's end before it is read.
    Row {
        air: air + side(AIR) + body * approach,
        mass,
        body: body * (1.0 - approach),
        place: body * approach,
    }
}

impl Row {
    /// What a heat flow into air and mass does to it.
    fn of_flow(self, room: &Room, into: [Interval; 2]) -> Interval {
        let at = |node: usize| room.gamma[node][0] * into[0] + room.gamma[node][1] * into[1];
        Interval::exactly(self.air) * at(0) + Interval::exactly(self.mass) * at(1)
    }

    fn of_heat_into_air(self, room: &Room) -> Interval {
        self.of_flow(room, [Interval::exactly(1.0), Interval::ZERO])
    }
}

/// What drives a room, for each of [`PAIRS`]: per kelvin outdoors, per watt, per kelvin next door.
#[derive(Clone, Debug)]
pub(super) struct Drive {
    rows: [DriveRow; 12],
    neighbours: Vec<Interval>,
}

#[derive(Clone, Copy, Debug)]
struct DriveRow {
    outdoors: Interval,
    internal: Interval,
    solar: Interval,
    /// Per watt into the air.
    air: Interval,
}

impl Drive {
    pub(super) fn new(room: &Room, reading: &Reading) -> Self {
        let drive = |pair| {
            let row = row(pair, room.basis, reading.approach);
            DriveRow {
                outdoors: row.of_flow(room, room.outdoors),
                internal: row.of_flow(room, room.internal),
                solar: row.of_flow(room, room.solar),
                air: row.of_heat_into_air(room),
            }
        };
        let neighbours = room.neighbours.iter().map(|(_, conductance)| *conductance).collect();
        Self { rows: PAIRS.map(drive), neighbours }
    }

    /// What it adds to each bound, at most.
    pub(super) fn most(&self, around: &Around) -> [f64; 12] {
        let neighbours = self.neighbours.iter().zip(&around.neighbours);
        let from_next_door = neighbours
            .map(|(conductance, air)| *conductance * *air)
            .fold(Interval::ZERO, |sum, heat| sum + heat);
        self.rows.map(|row| {
            let sum = row.outdoors * around.outdoors
                + row.internal * around.internal
                + row.solar * around.solar
                + row.air * from_next_door;
            sum.high()
        })
    }
}

/// One way of a step.
#[derive(Clone, Debug)]
pub(super) struct Map {
    /// It goes so where the body lies in this range, degrees C.
    pub(super) body: (f64, f64),
    /// The place of what is remembered after it.
    pub(super) next: usize,
    /// Where the air must be at its end, where the plant is ideal.
    pub(super) air_after: Option<(f64, f64)>,
    sums: [Shipment; 12],
    fixed: [f64; 12],
}

impl Map {
    /// A step in a room with so much heat into its air and a sensor's place so much warmer.
    pub(super) fn new(
        room: &Room,
        reading: &Reading,
        piece: &Piece,
        warmer: Interval,
        next: usize,
    ) -> Self {
        let mut map = Self {
            body: piece.body,
            next,
            air_after: None,
            sums: [Shipment::default(); 12],
            fixed: [0.0; 12],
        };
        for (at, &pair) in PAIRS.iter().enumerate() {
            let (weights, fixed) =
                weighted(row(pair, room.basis, reading.approach), room, piece, warmer);
            (map.sums[at], map.fixed[at]) = (Shipment::of(weights), fixed);
        }
        map
    }

    /// The bounds after the step, where anything of the bounds before it can go this way.
    pub(super) fn apply(&self, before: &Bounds, drive: &[f64; 12]) -> Option<Bounds> {
        let here = before.within(BODY, self.body.0, self.body.1)?;
        let mut after = [0.0; 12];
        for (at, slot) in after.iter_mut().enumerate() {
            *slot = here.most_of(&self.sums[at]) + drive[at] + self.fixed[at];
        }
        let after = Bounds::of(&after);
        match self.air_after {
            Some((low, high)) => after.within(AIR, low, high),
            None => Some(after),
        }
    }
}

/// Weights of air, mass and body in one bound, and what does not depend on them.
fn weighted(row: Row, room: &Room, piece: &Piece, warmer: Interval) -> ([f64; 3], f64) {
    let (air, mass) = (Interval::exactly(row.air), Interval::exactly(row.mass));
    let per_watt = row.of_heat_into_air(room);
    // More heat makes the bound larger, or smaller.
    let (watts, per_kelvin) = if per_watt.middle() >= 0.0 { piece.most } else { piece.least };
    let of_mass = air * room.phi[0][1] + mass * room.phi[1][1];
    // The mass before the step stands in what is held and in its parts of air and body.
    let [of_air, _, of_body] = room.basis.of_held().map(|part| Interval::exactly(-part));
    let weights = [
        air * room.phi[0][0] + mass * room.phi[1][0] + of_mass * of_air,
        of_mass,
        Interval::about(row.body, f64::EPSILON)
            + of_mass * of_body
            + per_watt * Interval::about(per_kelvin, f64::EPSILON),
    ];
    let fixed =
        per_watt * Interval::about(watts, f64::EPSILON) + Interval::exactly(row.place) * warmer;
    let wrong = weights.iter().map(|weight| weight.radius()).sum::<f64>() * LARGEST;
    let turns = if per_watt.has(0.0) { per_watt.radius() * STRONGEST } else { 0.0 };
    (weights.map(Interval::middle), fixed.high() + wrong + turns + ROUNDING)
}
