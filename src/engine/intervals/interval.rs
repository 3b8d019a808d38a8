//! What observers see of an event-free interval: all its steps at once.

use super::lane::{EventFree, Service};
use super::rows::{Batch, LANES, Row};
use crate::control::ZoneLogic;
use crate::direction::Direction;
use crate::engine::model::ZoneIndex;
use crate::engine::observe::{Nobody, Observer};
use crate::engine::sensor::SensorBody;
use crate::engine::state::{Starving, ZoneState};
use crate::engine::step::Simulation;
use crate::engine::trace::StepRow;
use crate::numbers::low_bits;
use crate::people::{Lived, PersonIndex};
use crate::time::{Instant, Seconds};

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

    /// Sees a simulation before each step or interval of its period. The run ends there where it says
    /// so: false.
    fn goes_on(&mut self, _: &Simulation<'_>) -> bool {
        true
    }

    /// How many steps an interval that begins at an instant may have for it.
    fn most_steps(&self, _: Instant, _: Seconds) -> usize {
        usize::MAX
    }

    /// Whether it asks for operative temperatures where nobody is there, too.
    fn feels_always(&self) -> bool {
        false
    }
}

/// A interval of steps in which nothing is decided but calls that begin and end: no request, no
/// other direction, no zone that is starved from then on or no longer, nobody who presses a key.
#[derive(Clone, Copy, Debug)]
pub struct Interval<'s> {
    pub(super) simulation: &'s Simulation<'s>,
    /// What each zone does, and where its steps are.
    pub(super) zones: &'s [EventFree],
    pub(super) places: &'s [Place],
    /// The groups on outdoor units, each with the place of its unit.
    pub(super) teams: &'s [(usize, Place)],
    /// Those who are there, with what they go through.
    pub(super) people: &'s [(PersonIndex, Lived)],
    pub(super) batches: &'s [Batch],
    pub(super) steps: usize,
}

/// What an outdoor unit does over an interval.
#[derive(Clone, Copy, Debug)]
pub struct UnitInterval<'s> {
    /// Its group.
    pub group: usize,
    /// How often its compressor starts.
    pub starts: u64,
    /// Heat moved from cooled zones to heated ones in each step, W.
    pub recovered: &'s [f64],
}

/// Where the steps of a zone are.
#[derive(Clone, Copy, Debug, Default)]
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
    pub(super) place: Place,
    pub(super) service: &'s Service,
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

    /// The outdoor units that zones share.
    pub fn units(&'s self) -> impl Iterator<Item = UnitInterval<'s>> {
        self.teams.iter().map(|(group, place)| {
            let trace = &self.batches[place.batch].teams[place.lane];
            UnitInterval {
                group: *group,
                starts: u64::from((trace.started & low_bits(self.steps)).count_ones()),
                recovered: &trace.recovered[..self.steps],
            }
        })
    }

    /// Those who are there throughout, with how often it is too cold and too warm for them.
    pub const fn people(&self) -> &'s [(PersonIndex, Lived)] {
        self.people
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

    /// In which steps with a call units give all that they are rated for, or their plants less than
    /// was asked of them.
    pub fn full(self) -> &'s [u64; LANES] {
        &self.0.full
    }

    /// In which steps there is a call, the first step lowest.
    pub fn on(self) -> &'s [u64; LANES] {
        &self.0.on
    }

    /// In which of these it is served.
    pub fn served(self) -> &'s [u64; LANES] {
        &self.0.served
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

    /// Its part of the standby power of its outdoor unit, W.
    pub fn standby(&self) -> f64 {
        self.service.standby
    }

    /// Whether its group decides its direction, and not the zone itself.
    pub fn is_led(&self) -> bool {
        self.interval.simulation.is_led(self.zone)
    }

    /// Whether it is starved throughout, or not at all.
    pub fn is_starved(&self) -> bool {
        self.state().starving != Starving::No
    }

    /// What its sensor reports at a step, in the file's unit.
    pub fn sensed(&self, step: usize) -> f64 {
        let Place { batch, lane } = self.place;
        let body = self.interval.batches[batch].body[step][lane];
        self.interval.simulation.plan.zones[self.zone].sensor.report(body)
    }

    /// What leads to that.
    pub(super) fn sensor(&self) -> &SensorBody<f64> {
        &self.interval.simulation.plan.zones[self.zone].sensor.body
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

    /// The row of a step that is recorded, as [`crate::engine::ZoneView::row`] has it; its operative temperature means
    /// something where the observer asks for that always.
    pub fn row(&self, step: usize) -> StepRow {
        let (state, logic) = (self.state(), self.logic());
        let Place { batch, lane } = self.place;
        let batch = &self.interval.batches[batch];
        let set = |bits: &[u64; LANES]| bits[lane] >> step & 1 == 1;
        let served = set(&batch.served).then_some(self.service.direction);
        let (simulation, unit) = (self.interval.simulation, self.interval.simulation.model().unit);
        let outdoor = simulation.scratch.drivers.outdoor(simulation.scratch.place + step);
        StepRow {
            at: self.interval.at(step),
            zone: self.zone(),
            outdoor: unit.from_celsius(outdoor.at_start),
            temperature: unit.from_celsius(batch.air[step][lane]),
            mass_temperature: unit.from_celsius(batch.mass[step][lane]),
            operative: unit.from_celsius(batch.operative[step][lane]),
            sensed: self.sensed(step),
            heat: logic.working.heat,
            cool: logic.working.cool,
            mode: state.stored.mode,
            power: state.stored.power,
            occupied: state.presence.is_occupied(),
            direction: logic.state.direction(),
            call: set(&batch.on).then_some(self.service.direction),
            served,
            starved: self.is_starved(),
            heat_w: served.map_or(0.0, |direction| direction.sign() * batch.heat[step][lane]),
            electric_w: self.electric(step),
            // Where water is followed there are no intervals.
            humidity: None,
        }
    }

    /// All electric power of the zone's share over a step, W.
    pub fn electric(&self, step: usize) -> f64 {
        let Place { batch, lane } = self.place;
        let batch = &self.interval.batches[batch];
        let [at_rest, running] = self.service.fan;
        let fan = if batch.served[lane] >> step & 1 == 1 { running } else { at_rest };
        batch.compressor[step][lane] + fan + self.service.standby
    }

    /// In which steps of the interval it has a call, and in which it is served, the first lowest.
    pub fn called_and_served(&self) -> [u64; 2] {
        let Place { batch, lane } = self.place;
        let batch = &self.interval.batches[batch];
        [batch.on, batch.served].map(|bits| bits[lane] & low_bits(self.interval.steps))
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

    fn goes_on(&mut self, simulation: &Simulation<'_>) -> bool {
        let one = self.0.goes_on(simulation);
        self.1.goes_on(simulation) && one
    }

    fn most_steps(&self, at: Instant, step: Seconds) -> usize {
        self.0.most_steps(at, step).min(self.1.most_steps(at, step))
    }

    fn feels_always(&self) -> bool {
        self.0.feels_always() || self.1.feels_always()
    }
}
