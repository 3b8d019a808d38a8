//! A room's step as numbers known to lie between two others: what its air and mass come to.
//!
//! All couplings conduct from warm to cold, so every entry of the step is nonnegative: more heat or
//! warmer air anywhere makes no temperature lower. The network is *cooperative* and its solution
//! *monotone* in state and inputs (H. L. Smith, Monotone Dynamical Systems, AMS 1995, chapter 3;
//! Angeli and Sontag, Monotone control systems, IEEE Transactions on Automatic Control 48 (2003)
//! 1684-1698). The lowest courses of weather, sun, gains and neighbours therefore bring about the
//! lowest temperatures, whatever happens in between; a neighbour comes in as what it is for one
//! room, a temperature beyond a conductance.

use super::basis::Basis;
use super::interval::Interval;
use super::reading::Reading;
use crate::building::{AirChange, HeatGains, Network, ZonePropagator};
use crate::engine::{Model, ZoneIndex};

/// The step's entries come from eigenvalues in floating-point numbers; they are right within this
/// part of themselves, with more than enough to spare for sums of four terms, and so are what the
/// simulation computes from the same numbers.
const COMPUTED: f64 = 1e-11;

/// A room at one air change: its step, and what drives it.
#[derive(Clone, Debug)]
pub(super) struct Room {
    /// Air and mass at the end per air and mass at the start.
    pub(super) phi: [[Interval; 2]; 2],
    /// Air and mass at the end per watt into air and mass, K/W.
    pub(super) gamma: [[Interval; 2]; 2],
    /// Heat into air and mass per kelvin outdoors, W/K.
    pub(super) outdoors: [Interval; 2],
    /// Heat into air and mass per watt of internal gains.
    pub(super) internal: [Interval; 2],
    /// Heat into air and mass per watt of sun.
    pub(super) solar: [Interval; 2],
    /// Other rooms, with the conductance to their air, W/K.
    pub(super) neighbours: Vec<(usize, Interval)>,
    /// Part of the way from the mass to its balance that is left after a second, 1/s: conductances
    /// that meet at it over its capacity.
    pub(super) mass: MassBalance,
    /// How its mass is followed.
    pub(super) basis: Basis,
}

/// What the mass alone comes to under steady temperatures around it.
#[derive(Clone, Copy, Debug)]
pub(super) struct MassBalance {
    /// To the air, W/K.
    pub(super) to_air: f64,
    /// Outdoors, W/K.
    pub(super) to_outdoors: f64,
    /// How far it can go in a step per kelvin around it.
    pub(super) per_step: f64,
}

impl Room {
    /// A zone at each air change that it may have.
    pub(super) fn all(
        model: &Model,
        zone: ZoneIndex,
        airs: &[AirChange],
        reading: &Reading,
    ) -> Vec<Self> {
        let space = &model.zones[zone.get()].space;
        let room = |air: &AirChange| Self::new(model, zone, &Network::at(space, *air));
        let mut rooms: Vec<Self> = airs.iter().map(room).collect();
        // One for all of them, that of the first. A body beside warmer air tells less of the mass.
        let knows = reading.stratification == [0.0; 2];
        if let Some(room) = rooms.first().filter(|_| knows) {
            let phi = room.phi.map(|row| row.map(Interval::middle));
            let heat = room.gamma.map(|row| row[0].middle());
            let basis = Basis::of(phi, heat, reading.approach);
            for room in &mut rooms {
                room.basis = basis;
            }
        }
        rooms
    }

    fn new(model: &Model, zone: ZoneIndex, network: &Network) -> Self {
        let neighbours: Vec<(usize, f64)> = neighbours(model, zone);
        let around: f64 = neighbours.iter().map(|(_, conductance)| conductance).sum();
        let open = Network { ventilation: network.ventilation + around, ..*network };
        let step = model.period.step();
        let propagator = ZonePropagator::new(&open, step);
        let about = |value: f64| Interval::about(value, COMPUTED);
        let square = |entries: [[f64; 2]; 2]| entries.map(|row| row.map(about));
        let unit = |outdoor, internal, solar| {
            let flows = network.flows(outdoor, HeatGains { internal, solar });
            [about(flows.air), about(flows.mass)]
        };
        // All that meets at the mass: what an outdoor temperature drives, and the rest by the air.
        let to_outdoors = network.flows(1.0, HeatGains::default()).mass;
        let sum = network.air_to_surface + network.surface_to_mass + network.windows;
        let to_air = network.air_to_surface * network.surface_to_mass / sum;
        let per_step = (to_air + to_outdoors) * step.get() as f64 / network.mass_capacity;
        Self {
            phi: square(propagator.phi),
            gamma: square(propagator.gamma),
            outdoors: unit(1.0, 0.0, 0.0),
            internal: unit(0.0, 1.0, 0.0),
            solar: unit(0.0, 0.0, 1.0),
            neighbours: neighbours.into_iter().map(|(other, it)| (other, about(it))).collect(),
            mass: MassBalance { to_air, to_outdoors, per_step },
            basis: Basis::PLAIN,
        }
    }

    /// How far the air of a room can leave the range of its values at the steps' ends within a step.
    /// With the mass at rest the air goes from one end to the other without turning back; so it leaves
    /// the range by no more than the mass moves. That goes towards where it would be at rest, which
    /// lies in the range of all that is given here (air at the steps' ends, mass, outdoors, next door)
    /// but for what heat of gains and sun, W, adds, and for what the air leaves its range by.
    pub(super) fn within_step(&self, all: Interval, internal: Interval, sun: f64) -> f64 {
        let per_kelvin = self.mass.to_air + self.mass.to_outdoors;
        let heat = self.internal[1].high() * internal.high().max(0.0) + self.solar[1].high() * sun;
        let cold = self.internal[1].high() * internal.low().min(0.0);
        let kelvins = all.high() - all.low() + (heat - cold) / per_kelvin;
        let part = self.mass.per_step;
        if part < 0.5 { part * kelvins / (1.0 - part) } else { f64::INFINITY }
    }
}

/// The zones whose air is coupled to a zone's, with the conductances, W/K.
fn neighbours(model: &Model, zone: ZoneIndex) -> Vec<(usize, f64)> {
    let zones = model.zones.len();
    let other = |it: &crate::building::Neighbour| {
        let other = if it.one == zone {
            it.other
        } else if it.other == zone {
            it.one
        } else {
            return None;
        };
        (other != zone && other.get() < zones).then_some((other.get(), it.conductance))
    };
    model.neighbours.iter().filter_map(other).collect()
}
