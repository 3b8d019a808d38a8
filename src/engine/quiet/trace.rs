//! Zones going through their steps side by side, and what they come to.

use super::lane::Lane;
use crate::building::{SideBySide, Surfaces, operative};
use crate::control::SteadySideBySide;
use crate::engine::sensor::SensorBody;
use crate::number::{Four, Number};
use crate::plant::proportional_output;

/// The longest stretch, in steps: long enough to pay for its preparation, short enough to stay near
/// the processor and to lose little where a zone ends it early.
pub(super) const MOST_STEPS: usize = 32;
/// So many zones go side by side: four times four, so that the processor has something to do for
/// three fours while the other waits for a result.
pub(super) const MOST_LANES: usize = 16;

/// One number for each lane.
type Row = [f64; MOST_LANES];
/// A bit for each lane, the first lowest.
type Bits = u32;

/// What zones side by side come to, step by step; steps past a zone's own stretch mean nothing.
#[derive(Clone, Debug)]
pub(super) struct Trace {
    /// At the start of each step and at the end of the last, degrees C.
    pub air: [Row; MOST_STEPS + 1],
    pub mass: [Row; MOST_STEPS + 1],
    /// The sensor's body, degrees C.
    pub body: [Row; MOST_STEPS],
    /// Heat given or taken by the plant on a call, W.
    pub heat: [Row; MOST_STEPS],
    /// At the start of each step, degrees C.
    pub operative: [Row; MOST_STEPS],
    /// Which zones have a call.
    on: [Bits; MOST_STEPS],
    /// Which of them have another than in the step before: one began, or one ended.
    turned: [Bits; MOST_STEPS],
    /// Which zones may have something else to decide.
    unsteady: [Bits; MOST_STEPS],
    forcing: Forcing,
}

/// What acts on the zones, step by step.
#[derive(Clone, Debug)]
struct Forcing {
    air: [Row; MOST_STEPS],
    mass: [Row; MOST_STEPS],
    surface: [Row; MOST_STEPS],
    outdoor: [Row; MOST_STEPS],
}

/// Zones side by side: as many as a `V` has lanes.
struct Side<V: Number> {
    nodes: [V; 2],
    body: V,
    thermostats: SteadySideBySide<V>,
    sensors: SensorBody<V>,
    warmer: V,
    low_limit: V,
    throttling_range: V,
    turndown: V,
    rated: V,
    sign: V,
    fan: [V; 2],
    rooms: SideBySide<V>,
    surfaces: Surfaces<V>,
    /// Length of a step, s.
    step: V,
}

impl<V: Number> Side<V> {
    fn new(lanes: &[&Lane<'_>]) -> Self {
        let all = |pick: fn(&Lane<'_>) -> f64| V::of(|at| pick(lanes[at]));
        Self {
            nodes: [all(|it| it.nodes[0]), all(|it| it.nodes[1])],
            body: all(|it| it.body),
            thermostats: SteadySideBySide::new(|at| &lanes[at].thermostat),
            sensors: SensorBody::side_by_side(|at| lanes[at].sensor),
            warmer: all(|it| it.warmer),
            low_limit: all(|it| it.low_limit),
            throttling_range: all(|it| it.service.throttling_range),
            turndown: all(|it| it.service.turndown),
            rated: all(|it| it.service.rated),
            sign: all(|it| it.service.direction.sign()),
            fan: [all(|it| it.service.fan[0]), all(|it| it.service.fan[1])],
            rooms: SideBySide::new(|at| lanes[at].propagator),
            surfaces: Surfaces::new(|at| lanes[at].network),
            step: all(|it| it.step),
        }
    }
}

impl Trace {
    pub(super) fn new() -> Self {
        let rows = [[0.0; MOST_LANES]; MOST_STEPS];
        let nodes = [[0.0; MOST_LANES]; MOST_STEPS + 1];
        Self {
            air: nodes,
            mass: nodes,
            body: rows,
            heat: rows,
            operative: rows,
            on: [0; MOST_STEPS],
            turned: [0; MOST_STEPS],
            unsteady: [0; MOST_STEPS],
            forcing: Forcing { air: rows, mass: rows, surface: rows, outdoor: rows },
        }
    }

    /// Takes the first of these zones through so many steps each, as if all of them were quiet; the
    /// others only fill lanes.
    pub(super) fn follow(&mut self, lanes: &[&Lane<'_>; MOST_LANES], steps: &[usize]) {
        let most = steps.iter().copied().max().unwrap_or(0);
        self.forcing.fill(lanes, steps);
        match steps.len() {
            0 => {}
            1 => self.go::<f64, 1>(lanes, most),
            2..=4 => self.go::<Four, 1>(lanes, most),
            5..=8 => self.go::<Four, 2>(lanes, most),
            9..=12 => self.go::<Four, 3>(lanes, most),
            _ => self.go::<Four, 4>(lanes, most),
        }
    }

    /// `SIDES` times as many zones as a `V` has lanes.
    fn go<V: Number, const SIDES: usize>(&mut self, lanes: &[&Lane<'_>; MOST_LANES], steps: usize) {
        let mut sides: [Side<V>; SIDES] =
            std::array::from_fn(|side| Side::new(&lanes[side * V::LANES..]));
        for step in 0..steps {
            let (mut on, mut turned, mut unsteady) = (0, 0, 0);
            for (number, side) in sides.iter_mut().enumerate() {
                let from = number * V::LANES;
                let bits = self.step(side, step, from);
                on |= bits[0] << from;
                turned |= bits[1] << from;
                unsteady |= bits[2] << from;
            }
            (self.on[step], self.turned[step], self.unsteady[step]) = (on, turned, unsteady);
        }
        for (number, side) in sides.iter().enumerate() {
            side.nodes[0].store(&mut self.air[steps][number * V::LANES..]);
            side.nodes[1].store(&mut self.mass[steps][number * V::LANES..]);
        }
    }

    /// Phases 2 to 6 of a step (rule 12) for the lanes from one on, as long as none of their
    /// thermostats turns. Which have a call, which have another than before, which are unsteady.
    #[inline]
    fn step<V: Number>(&mut self, side: &mut Side<V>, step: usize, from: usize) -> [Bits; 3] {
        let [air, mass] = side.nodes;
        let before = side.thermostats.on();
        let place = air + V::choose(before, side.warmer, V::all(0.0));
        side.body = side.sensors.follow(side.body, place);
        let sensed = side.sensors.report(side.body);

        let decided = side.thermostats.step(sensed, V::all(step as f64) * side.step);
        let on = V::bits(decided.on);
        // Where nobody has a call, no room waits for its sensor.
        let (mut into_air, mut heat) = (side.fan[0], V::all(0.0));
        if on != 0 {
            let output =
                proportional_output(decided.distance, side.throttling_range, side.turndown);
            heat = side.rated * output;
            into_air = V::choose(decided.on, side.sign * heat + side.fan[1], side.fan[0]);
        }

        let outdoor = V::load(&self.forcing.outdoor[step][from..]);
        let gain = V::load(&self.forcing.surface[step][from..]);
        let felt = operative(air, side.surfaces.temperature(side.nodes, outdoor, gain));

        air.store(&mut self.air[step][from..]);
        mass.store(&mut self.mass[step][from..]);
        side.body.store(&mut self.body[step][from..]);
        heat.store(&mut self.heat[step][from..]);
        felt.store(&mut self.operative[step][from..]);

        let flows = [
            V::load(&self.forcing.air[step][from..]) + into_air,
            V::load(&self.forcing.mass[step][from..]),
        ];
        side.nodes = side.rooms.advance(side.nodes, flows);
        let cold = side.low_limit.at_or_above(sensed);
        [on, on ^ V::bits(before), V::bits(decided.unsteady | cold)]
    }

    /// How many of the first steps of a lane are quiet.
    pub(super) fn quiet(&self, lane: usize, steps: usize) -> usize {
        let unsteady = self.unsteady[..steps].iter().position(|bits| bits >> lane & 1 == 1);
        unsteady.unwrap_or(steps)
    }

    /// Whether a lane has a call in a step.
    pub(super) fn is_on(&self, lane: usize, step: usize) -> bool {
        self.on[step] >> lane & 1 == 1
    }

    /// The first of so many steps at which a lane's calls begin and end, in order.
    pub(super) fn turns(&self, lane: usize, steps: usize) -> impl Iterator<Item = (usize, bool)> {
        let turned = self.turned[..steps].iter().enumerate();
        let turned = turned.filter(move |(_, bits)| *bits >> lane & 1 == 1);
        turned.map(move |(step, _)| (step, self.is_on(lane, step)))
    }
}

impl Forcing {
    fn fill(&mut self, lanes: &[&Lane<'_>], steps: &[usize]) {
        for (at, (lane, &steps)) in lanes.iter().zip(steps).enumerate() {
            for (step, driver) in lane.drivers[..steps].iter().enumerate() {
                self.air[step][at] = driver.flows.air;
                self.mass[step][at] = driver.flows.mass;
                self.surface[step][at] = driver.flows.surface;
            }
            for (step, air) in lane.outdoors[..steps].iter().enumerate() {
                self.outdoor[step][at] = air.at_start;
            }
        }
    }
}
