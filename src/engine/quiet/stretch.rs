//! What observers see of a quiet stretch: all its steps at once.

use super::lane::Service;
use super::trace::{MOST_LANES, Trace};
use crate::control::ZoneLogic;
use crate::direction::Direction;
use crate::engine::model::ZoneIndex;
use crate::engine::observe::{Nobody, Observer, ZonePower, ZoneView};
use crate::engine::state::{State, ZoneState};
use crate::engine::step::Simulation;
use crate::time::Instant;

/// An observer that takes quiet stretches whole, so that not every step must be shown to it.
pub trait StretchObserver: Observer {
    /// A stretch of quiet steps of all zones: what comes of it must be what showing each step would
    /// have brought.
    fn stretch(&mut self, stretch: &Stretch<'_>);

    /// Whether it takes stretches at all; where it does not, every step is shown to it.
    fn takes_stretches(&self) -> bool {
        true
    }
}

/// A stretch of steps in which nothing is decided but calls that begin and end: no request, no
/// other direction, nobody starved and nobody there who might press.
#[derive(Clone, Copy, Debug)]
pub struct Stretch<'s> {
    pub(super) simulation: &'s Simulation<'s>,
    /// Where each zone's steps are, by zone.
    pub(super) places: &'s [Place],
    pub(super) traces: &'s [Trace],
    pub(super) steps: usize,
}

/// Where the steps of a zone are, and what its plant does.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub trace: usize,
    pub lane: usize,
    pub service: Service,
}

/// One zone of a stretch.
#[derive(Clone, Copy, Debug)]
pub struct ZoneStretch<'s> {
    stretch: &'s Stretch<'s>,
    zone: usize,
    place: &'s Place,
}

impl<'s> Stretch<'s> {
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
    pub fn zones(&'s self) -> impl Iterator<Item = ZoneStretch<'s>> {
        let places = self.places.iter().enumerate();
        places.map(|(zone, place)| ZoneStretch { stretch: self, zone, place })
    }

    /// Tells an observer of the calls that begin.
    pub(super) fn tell_calls(&self, observer: &mut impl Observer) {
        for (zone, place) in self.places.iter().enumerate() {
            for (step, on) in self.traces[place.trace].turns(place.lane, self.steps) {
                if on {
                    observer.call_began(ZoneIndex::new(zone), self.at(step));
                }
            }
        }
    }

    /// The state of the world at the start of the first step.
    pub fn state(&self) -> &State {
        &self.simulation.state
    }
}

impl ZoneStretch<'_> {
    /// Which zone.
    pub fn zone(&self) -> ZoneIndex {
        ZoneIndex::new(self.zone)
    }

    /// Its controllers, which stay as they are.
    pub fn state(&self) -> &ZoneState {
        &self.stretch.simulation.state.zones[self.zone]
    }

    /// Its thermostat, which stays as it is but for its call and what is sensed.
    pub fn logic(&self) -> &ZoneLogic {
        &self.stretch.simulation.state.logic[self.zone]
    }

    /// The direction in which its plant works where it does.
    pub fn direction(&self) -> Direction {
        self.place.service.direction
    }

    /// Air and mass at the start of each step, degrees C.
    pub fn nodes(&self) -> impl Iterator<Item = [f64; 2]> {
        let mass = self.rows(&self.trace().mass);
        self.air().zip(mass).map(|(air, mass)| [air, mass])
    }

    /// Air at the start of each step, degrees C.
    pub fn air(&self) -> impl Iterator<Item = f64> {
        self.rows(&self.trace().air)
    }

    /// Operative temperature at the start of each step, degrees C.
    pub fn operative(&self) -> impl Iterator<Item = f64> {
        self.rows(&self.trace().operative)
    }

    /// Heat that the plant gives or takes over a step, W, where it is served.
    pub fn served_heat(&self, step: usize) -> Option<f64> {
        let (trace, lane) = (self.trace(), self.place.lane);
        trace.is_on(lane, step).then(|| trace.heat[step][lane])
    }

    /// Whether the zone meets the start condition of a direction in a step.
    pub fn meets_start(&self, direction: Direction, step: usize) -> bool {
        let logic = self.logic();
        logic.thermostat.starts(direction, self.sensed(step), logic.working)
    }

    /// Pressure of water vapour in its air at the start of a step, Pa, where the weather says so.
    pub fn vapour(&self, step: usize) -> Option<f64> {
        let simulation = self.stretch.simulation;
        simulation.vapour(self.zone, simulation.scratch.place + step)
    }

    /// What the plant does in a step.
    pub fn power(&self, step: usize) -> ZonePower {
        let (trace, lane) = (self.trace(), self.place.lane);
        self.place.service.power(trace.is_on(lane, step), trace.heat[step][lane])
    }

    /// Shows one step as an observer of steps would see it.
    pub fn show<R>(&self, step: usize, observer: impl FnOnce(&ZoneView<'_>) -> R) -> R {
        let (simulation, lane) = (self.stretch.simulation, self.place.lane);
        let (trace, power) = (self.trace(), self.power(step));
        let mut logic = ZoneLogic { sensed: self.sensed(step), ..self.logic().clone() };
        for (turn, on) in trace.turns(lane, step + 1) {
            logic.state.note_steady(on, self.stretch.at(turn));
        }
        let place = simulation.scratch.place + step;
        observer(&ZoneView {
            logic: &logic,
            nodes: [trace.air[step][lane], trace.mass[step][lane]],
            power: &power,
            ..simulation.view_at(self.zone, self.stretch.at(step), place)
        })
    }

    fn sensed(&self, step: usize) -> f64 {
        let sensor = &self.stretch.simulation.plan.zones[self.zone].sensor;
        sensor.report(self.trace().body[step][self.place.lane])
    }

    fn trace(&self) -> &Trace {
        &self.stretch.traces[self.place.trace]
    }

    fn rows<'t>(&self, rows: &'t [[f64; MOST_LANES]]) -> impl Iterator<Item = f64> + 't {
        let lane = self.place.lane;
        rows[..self.stretch.steps].iter().map(move |row| row[lane])
    }
}

impl StretchObserver for Nobody {
    fn stretch(&mut self, _: &Stretch<'_>) {}
}

impl<A: StretchObserver, B: StretchObserver> StretchObserver for (&mut A, &mut B) {
    fn stretch(&mut self, stretch: &Stretch<'_>) {
        self.0.stretch(stretch);
        self.1.stretch(stretch);
    }

    fn takes_stretches(&self) -> bool {
        self.0.takes_stretches() && self.1.takes_stretches()
    }
}
