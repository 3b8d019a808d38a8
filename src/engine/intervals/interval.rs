//! What observers see of an event-free interval: all its steps at once.

use super::batch::{Batch, LANES, Row};
use super::lane::{EventFree, Service};
use crate::control::ZoneLogic;
use crate::direction::Direction;
use crate::engine::model::ZoneIndex;
use crate::engine::observe::{Nobody, Observer};
use crate::engine::state::ZoneState;
use crate::engine::step::Simulation;
use crate::time::Instant;

/// An observer that takes event-free intervals whole, so that not every step must be shown to it.
pub trait IntervalObserver: Observer + Sized {
    /// What taking them needs room for, kept from one to the next.
    type Memory: Default;

    /// Takes the event-free intervals of several cases, each with its observer. The observers must
    /// end up as if every step had been shown to them.
    fn intervals(each: &mut [(&mut Self, Interval<'_>)], memory: &mut Self::Memory);

    /// One interval.
    fn interval(&mut self, interval: &Interval<'_>, memory: &mut Self::Memory) {
        Self::intervals(&mut [(self, *interval)], memory);
    }

    /// Whether it takes intervals at all; where it does not, every step is shown to it.
    fn takes_intervals(&self) -> bool {
        true
    }
}

/// A interval of steps in which nothing is decided but calls that begin and end: no request, no
/// other direction, no starved zone and no person present who might press a key.
#[derive(Clone, Copy, Debug)]
pub struct Interval<'s> {
    pub(super) simulation: &'s Simulation<'s>,
    /// What each zone does, and where its steps are.
    pub(super) zones: &'s [EventFree],
    pub(super) places: &'s [Place],
    pub(super) batches: &'s [Batch],
    pub(super) steps: usize,
}

/// Where the steps of a zone are.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub batch: usize,
    pub lane: usize,
}

/// What zones side by side come to, for observers that go through many zones at once: each zone has
/// its lane, see [`ZoneInterval::lane`]. Steps past a zone's own interval mean nothing.
#[derive(Clone, Copy, Debug)]
pub struct Rows<'s>(&'s Batch);

/// One zone of an interval.
#[derive(Clone, Copy, Debug)]
pub struct ZoneInterval<'s> {
    interval: &'s Interval<'s>,
    zone: usize,
    place: Place,
    service: &'s Service,
}

impl<'s> Interval<'s> {
    /// How many steps it has; at least one.
    pub const fn steps(&self) -> usize {
        self.steps
    }

    /// The start of its first step.
    pub fn from(&self) -> Instant {
        self.simulation.state.now
    }

    /// The start of a step.
    pub fn at(&self, step: usize) -> Instant {
        self.simulation.after(self.from(), step)
    }

    /// The zones, in file order.
    pub fn zones(&'s self) -> impl Iterator<Item = ZoneInterval<'s>> {
        let zones = self.zones.iter().zip(self.places).enumerate();
        zones.map(|(zone, (event_free, place))| ZoneInterval {
            interval: self,
            zone,
            place: *place,
            service: &event_free.service,
        })
    }

    /// How many batches there are, of up to [`LANES`] zones each.
    pub fn batches(&self) -> usize {
        self.batches.len()
    }

    /// The rows of a batch.
    pub fn rows(&self, batch: usize) -> Rows<'s> {
        Rows(&self.batches[batch])
    }

    /// Tells an observer of the calls that begin.
    pub(super) fn tell_calls(&self, observer: &mut impl Observer) {
        for (zone, place) in self.places.iter().enumerate() {
            for (step, on) in self.batches[place.batch].turns(place.lane, self.steps) {
                if on {
                    observer.call_began(ZoneIndex::new(zone), self.at(step));
                }
            }
        }
    }
}

impl<'s> Rows<'s> {
    /// Air at the start of a step, degrees C.
    pub fn air(self, step: usize) -> &'s Row {
        &self.0.air[step]
    }

    /// Operative temperature at the start of a step, degrees C, where a zone is occupied.
    pub fn operative(self, step: usize) -> &'s Row {
        &self.0.operative[step]
    }

    /// Heat that plants give or take over a step, W.
    pub fn heat(self, step: usize) -> &'s Row {
        &self.0.heat[step]
    }

    /// Electric power of the compressors over a step, W.
    pub fn compressor(self, step: usize) -> &'s Row {
        &self.0.compressor[step]
    }

    /// In which steps units give all that they are rated for.
    pub fn full(self) -> &'s [u64; LANES] {
        &self.0.full
    }

    /// In which steps there is a call, the first step lowest.
    pub fn on(self) -> &'s [u64; LANES] {
        &self.0.on
    }

    /// In which steps zones meet the start condition of their direction; never in fan or while they
    /// are off.
    pub fn starts(self) -> &'s [u64; LANES] {
        &self.0.starts
    }

    /// The same for the opposite direction.
    pub fn starts_opposite(self) -> &'s [u64; LANES] {
        &self.0.starts_opposite
    }
}

impl ZoneInterval<'_> {
    /// In which batch and in which of its lanes the zone's steps are.
    pub fn lane(&self) -> (usize, usize) {
        (self.place.batch, self.place.lane)
    }

    /// Fan power without and with a call, W.
    pub fn fan(&self) -> [f64; 2] {
        self.service.fan
    }

    /// Which zone.
    pub fn zone(&self) -> ZoneIndex {
        ZoneIndex::new(self.zone)
    }

    /// Its controllers, which stay as they are.
    pub fn state(&self) -> &ZoneState {
        &self.interval.simulation.state.zones[self.zone]
    }

    /// Its thermostat, which stays as it is but for its call and what is sensed.
    pub fn logic(&self) -> &ZoneLogic {
        &self.interval.simulation.state.logic[self.zone]
    }

    /// The direction in which its plant works where it does.
    pub fn direction(&self) -> Direction {
        self.service.direction
    }

    /// Air and mass at the start of each step, degrees C.
    pub fn nodes(&self) -> impl Iterator<Item = [f64; 2]> {
        let Place { batch, lane } = self.place;
        let batch = &self.interval.batches[batch];
        let rows = batch.air.iter().zip(&batch.mass).take(self.interval.steps);
        rows.map(move |(air, mass)| [air[lane], mass[lane]])
    }

    /// Pressure of water vapour in its air at the start of a step, Pa, where the weather says so.
    pub fn vapour(&self, step: usize) -> Option<f64> {
        let simulation = self.interval.simulation;
        simulation.vapour(self.zone, simulation.scratch.place + step)
    }
}

impl IntervalObserver for Nobody {
    type Memory = ();

    fn intervals(_: &mut [(&mut Self, Interval<'_>)], (): &mut ()) {}
}

impl<A: IntervalObserver, B: IntervalObserver> IntervalObserver for (&mut A, &mut B) {
    type Memory = (A::Memory, B::Memory);

    fn intervals(each: &mut [(&mut Self, Interval<'_>)], memory: &mut Self::Memory) {
        let mut one: Vec<_> = each.iter_mut().map(|(both, it)| (&mut *both.0, *it)).collect();
        A::intervals(&mut one, &mut memory.0);
        let mut other: Vec<_> = each.iter_mut().map(|(both, it)| (&mut *both.1, *it)).collect();
        B::intervals(&mut other, &mut memory.1);
    }

    fn takes_intervals(&self) -> bool {
        self.0.takes_intervals() && self.1.takes_intervals()
    }
}
