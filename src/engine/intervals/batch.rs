//! Zones stepped side by side, and their trajectories.

use super::lane::Lane;
use crate::building::{Surfaces, ZoneFlows, ZonePropagators, operative};
use crate::control::ThermostatLanes;
use crate::engine::sensor::SensorBody;
use crate::numbers::{Kernel, Number, low_bits, ones, run_scalar, run_simd};
use crate::plant::{Rise, proportional_output};

/// The longest interval, in steps: long enough to pay for its preparation, short enough to stay near
/// the processor and to lose little where a zone ends it early. Not above 64: notes have no more
/// bits.
pub const MAX_STEPS: usize = 60;
/// Number of lanes: zones that step side by side.
pub const LANES: usize = 32;
/// Several of the widest vectors are stepped in turn, so that the processor has work to do for the
/// others while one waits for a result.
const MAX_VECTORS: usize = 4;

/// One number for each lane.
pub type Row = [f64; LANES];

/// The trajectories of zones, one in each lane, step by step; steps past a zone's own interval mean nothing.
#[derive(Clone, Debug)]
#[repr(align(64))]
pub(super) struct Batch {
    /// At the start of each step and at the end of the last, degrees C.
    pub air: [Row; MAX_STEPS + 1],
    pub mass: [Row; MAX_STEPS + 1],
    /// The sensor's body, degrees C.
    pub body: [Row; MAX_STEPS],
    /// Heat given or taken by the plant and electric power of its compressor, W: none without a
    /// call.
    pub heat: [Row; MAX_STEPS],
    pub compressor: [Row; MAX_STEPS],
    /// At the start of each step, degrees C, where a zone is occupied.
    pub operative: [Row; MAX_STEPS],
    /// For each lane in which steps it has a call, the first step lowest.
    pub on: [u64; LANES],
    /// In which of these the unit gives all that it is rated for.
    pub full: [u64; LANES],
    /// What the units lack of their output after each step.
    pub lacking: [Row; MAX_STEPS],
    /// Whether it had one in the step before the first.
    was_on: [bool; LANES],
    /// In which it meets the start condition of its direction and of the opposite one.
    pub starts: [u64; LANES],
    pub starts_opposite: [u64; LANES],
    /// In which it may have something else to decide.
    events: [u64; LANES],
}

/// What acts on zones over a step: flows into their nodes, W, and outdoor air, degrees C.
struct Acting<V> {
    air: V,
    mass: V,
    surface: V,
    outdoor: V,
}

/// Zones in the lanes of one vector.
struct ZoneVector<'l, V: Number> {
    token: V::Token,
    lanes: &'l [&'l Lane<'l>],
    /// Whether the same acts on all of them.
    alike: bool,
    nodes: [V; 2],
    body: V,
    thermostats: ThermostatLanes<V>,
    sensors: SensorBody<V>,
    /// How much warmer the sensors' places are than the air without and after a call, if any are.
    warmer: Option<[V; 2]>,
    /// Where the low limits are, if there are any.
    low_limit: Option<V>,
    per_degree: V,
    turndown: V,
    rated: V,
    sign: V,
    fan: [V; 2],
    lacking: V,
    rise: Rise<V>,
    /// Whether the compressors take the same power for a watt in all lanes.
    same_power: bool,
    rooms: ZonePropagators<V>,
    /// If any zone is occupied.
    surfaces: Option<Surfaces<V>>,
    /// From the first step to this one, and length of a step, s.
    time: V,
    step: V,
    on: V::Bitmask,
    full: V::Bitmask,
    starts: V::Bitmask,
    starts_opposite: V::Bitmask,
    events: V::Bitmask,
}

impl<'l, V: Number> ZoneVector<'l, V> {
    #[inline(always)]
    fn new(token: V::Token, lanes: &'l [&'l Lane<'l>]) -> Self {
        let lanes = &lanes[..V::LANES];
        let all = |pick: fn(&Lane<'_>) -> f64| V::from_fn(token, |at| pick(lanes[at]));
        let any = |is: fn(&Lane<'_>) -> bool| lanes.iter().any(|lane| is(lane));
        Self {
            token,
            lanes,
            alike: lanes.iter().all(|lane| lane.is_like(lanes[0])),
            nodes: [all(|it| it.nodes[0]), all(|it| it.nodes[1])],
            body: all(|it| it.body),
            thermostats: ThermostatLanes::from_fn(token, |at| lanes[at].thermostat),
            sensors: SensorBody::from_fn(token, |at| lanes[at].sensor),
            warmer: any(|lane| lane.warmer != [0.0; 2])
                .then(|| [all(|it| it.warmer[0]), all(|it| it.warmer[1])]),
            low_limit: any(|lane| lane.low_limit > f64::NEG_INFINITY)
                .then(|| all(|it| it.low_limit)),
            per_degree: all(|it| it.service.per_degree),
            turndown: all(|it| it.service.turndown),
            rated: all(|it| it.service.rated),
            sign: all(|it| it.service.direction.sign()),
            fan: [all(|it| it.service.fan[0]), all(|it| it.service.fan[1])],
            lacking: all(|it| it.lacking),
            rise: Rise::from_fn(token, |at| lanes[at].rise),
            same_power: lanes.iter().all(|lane| lane.per_heat.is_like(&lanes[0].per_heat)),
            rooms: ZonePropagators::new(token, |at| lanes[at].propagator),
            surfaces: any(|lane| lane.occupied)
                .then(|| Surfaces::new(token, |at| lanes[at].network)),
            time: all(|_| 0.0),
            step: all(|it| it.step),
            on: V::no_bits(token),
            full: V::no_bits(token),
            starts: V::no_bits(token),
            starts_opposite: V::no_bits(token),
            events: V::no_bits(token),
        }
    }

    /// Phases 2 to 6 of a step (rule 12) for the lanes from one on, as long as none of their
    /// thermostats turns.
    #[inline(always)]
    fn step(&mut self, batch: &mut Batch, step: usize, from: usize) {
        let [air, mass] = self.nodes;
        let (mut place, was_on) = (air, self.thermostats.on());
        if let Some([at_rest, after_call]) = self.warmer {
            place = air + V::select(was_on, after_call, at_rest);
        }
        self.body = self.sensors.follow(self.body, place);
        let sensed = self.sensors.report(self.body);

        let decided = self.thermostats.step(sensed, self.time);
        self.time = self.time + self.step;
        // Where nobody has a call, no room waits for its sensor.
        let (mut into_air, mut heat) = (self.fan[0], air.splat(0.0));
        let mut compressor = heat;
        if V::any(decided.on) {
            let output = proportional_output(decided.distance, self.per_degree, self.turndown);
            let share = self.rated * output;
            let lacking = V::select(was_on, self.lacking, air.splat(1.0));
            compressor = V::select(decided.on, share * self.per_heat(step), heat);
            heat = V::select(decided.on, share * self.rise.delivered(lacking), heat);
            self.lacking = V::select(decided.on, self.rise.after(lacking), self.lacking);
            into_air = V::select(decided.on, self.sign * heat + self.fan[1], self.fan[0]);
            let full = decided.on & output.ge(air.splat(1.0));
            self.full = V::set_bit(self.full, full, step);
        }

        let acting = self.acting(step);
        if let Some(surfaces) = &self.surfaces {
            let surface = surfaces.temperature(self.nodes, acting.outdoor, acting.surface);
            operative(air, surface).store(&mut batch.operative[step][from..]);
        }
        let flows = [acting.air + into_air, acting.mass];

        air.store(&mut batch.air[step][from..]);
        mass.store(&mut batch.mass[step][from..]);
        self.body.store(&mut batch.body[step][from..]);
        heat.store(&mut batch.heat[step][from..]);
        compressor.store(&mut batch.compressor[step][from..]);
        self.lacking.store(&mut batch.lacking[step][from..]);

        self.nodes = self.rooms.advance(self.nodes, flows);
        self.on = V::set_bit(self.on, decided.on, step);
        self.starts = V::set_bit(self.starts, decided.starts, step);
        self.starts_opposite = V::set_bit(self.starts_opposite, decided.starts_opposite, step);
        let mut event = decided.event;
        if let Some(low_limit) = self.low_limit {
            event = event | low_limit.ge(sensed);
        }
        self.events = V::set_bit(self.events, event, step);
    }

    /// Electric power of the compressors for a watt of heat.
    #[inline(always)]
    fn per_heat(&self, step: usize) -> V {
        if self.same_power {
            return self.sign.splat(self.lanes[0].per_heat.at(step));
        }
        V::from_fn(self.token, |at| self.lanes[at].per_heat.at(step))
    }

    /// What acts on the zones over a step. Most have the weather in common, and zones of several
    /// cases everything.
    #[inline(always)]
    fn acting(&self, step: usize) -> Acting<V> {
        if self.alike {
            let (driver, outdoor) = self.lanes[0].acting(step);
            let all = |value| V::from_fn(self.token, |_| value);
            let ZoneFlows { air, mass, surface } = driver.flows;
            let outdoor = all(outdoor.at_start);
            return Acting { air: all(air), mass: all(mass), surface: all(surface), outdoor };
        }
        let each = |pick: fn(&ZoneFlows) -> f64| {
            V::from_fn(self.token, |at| pick(&self.lanes[at].acting(step).0.flows))
        };
        Acting {
            air: each(|flows| flows.air),
            mass: each(|flows| flows.mass),
            surface: each(|flows| flows.surface),
            outdoor: V::from_fn(self.token, |at| self.lanes[at].acting(step).1.at_start),
        }
    }

    /// What the zones come to after so many steps.
    #[inline(always)]
    fn end(&self, batch: &mut Batch, steps: usize, from: usize) {
        self.nodes[0].store(&mut batch.air[steps][from..]);
        self.nodes[1].store(&mut batch.mass[steps][from..]);
        V::store_bits(self.on, &mut batch.on[from..]);
        V::store_bits(self.full, &mut batch.full[from..]);
        V::store_bits(self.starts, &mut batch.starts[from..]);
        V::store_bits(self.starts_opposite, &mut batch.starts_opposite[from..]);
        V::store_bits(self.events, &mut batch.events[from..]);
    }
}

/// Zones that go through so many steps.
struct Follow<'t, 'l> {
    batch: &'t mut Batch,
    lanes: &'t [&'l Lane<'l>; LANES],
    /// How many steps each of the lanes that count goes; the others only fill up.
    each: &'t [usize],
}

impl Kernel for Follow<'_, '_> {
    type Result = ();

    #[inline(always)]
    fn run<V: Number>(mut self, token: V::Token) {
        let steps = self.each.iter().copied().max().unwrap_or(0);
        for from in (0..self.each.len()).step_by(MAX_VECTORS * V::LANES) {
            match (self.each.len() - from).div_ceil(V::LANES) {
                1 => self.vectors::<V, 1>(token, from, steps),
                2 => self.vectors::<V, 2>(token, from, steps),
                3 => self.vectors::<V, 3>(token, from, steps),
                _ => self.vectors::<V, MAX_VECTORS>(token, from, steps),
            }
        }
    }
}

impl Follow<'_, '_> {
    #[inline(always)]
    fn vectors<V: Number, const VECTORS: usize>(
        &mut self,
        token: V::Token,
        first_lane: usize,
        steps: usize,
    ) {
        let from = |vector: usize| first_lane + vector * V::LANES;
        let mut vectors: [ZoneVector<'_, V>; VECTORS] =
            std::array::from_fn(|vector| ZoneVector::new(token, &self.lanes[from(vector)..]));
        for step in 0..steps {
            for (number, vector) in vectors.iter_mut().enumerate() {
                vector.step(self.batch, step, from(number));
            }
        }
        for (number, vector) in vectors.iter().enumerate() {
            vector.end(self.batch, steps, from(number));
        }
    }
}

impl Batch {
    pub(super) fn new() -> Self {
        let rows = [[0.0; LANES]; MAX_STEPS];
        let nodes = [[0.0; LANES]; MAX_STEPS + 1];
        Self {
            air: nodes,
            mass: nodes,
            body: rows,
            heat: rows,
            compressor: rows,
            full: [0; LANES],
            lacking: rows,
            operative: rows,
            on: [0; LANES],
            was_on: [false; LANES],
            starts: [0; LANES],
            starts_opposite: [0; LANES],
            events: [0; LANES],
        }
    }

    /// Takes the first of these zones through so many steps each, as if all of them were event-free; the
    /// others only fill lanes.
    pub(super) fn follow(&mut self, lanes: &[&Lane<'_>; LANES], steps: &[usize]) {
        self.was_on = std::array::from_fn(|lane| lanes[lane].thermostat.is_on());
        let kernel = Follow { batch: self, lanes, each: steps };
        if steps.len() > 1 { run_simd(kernel) } else { run_scalar(kernel) }
    }

    /// How many of the first steps of a lane are event-free.
    pub(super) fn event_free(&self, lane: usize, steps: usize) -> usize {
        steps.min(self.events[lane].trailing_zeros() as usize)
    }

    /// Whether a lane has a call in a step.
    pub(super) fn is_on(&self, lane: usize, step: usize) -> bool {
        self.on[lane] >> step & 1 == 1
    }

    /// The last of so many steps in which a lane has a call.
    pub(super) fn last_on(&self, lane: usize, steps: usize) -> Option<usize> {
        (self.on[lane] & low_bits(steps)).checked_ilog2().map(|step| step as usize)
    }

    /// The first of so many steps at which a lane's calls begin and end, in order.
    pub(super) fn turns(&self, lane: usize, steps: usize) -> impl Iterator<Item = (usize, bool)> {
        let before = self.on[lane] << 1 | u64::from(self.was_on[lane]);
        let turned = (self.on[lane] ^ before) & low_bits(steps);
        ones(turned).map(move |step| (step, self.is_on(lane, step)))
    }
}
