//! Zones in the lanes of one vector: the phases of a step, each as formulas for all of them.

use super::acting::Acting;
use super::exchange::Exchange;
use super::lane::Lane;
use super::rows::Batch;
use crate::building::{Inflows, Surfaces, ZoneFlows, ZonePropagators, operative};
use crate::control::{LaneEnd, LaneStep, ThermostatLanes};
use crate::engine::sensor::SensorBody;
use crate::numbers::Number;
use crate::plant::{ALL, Rise, proportional_output};

/// What plants give over a step, W.
#[derive(Clone, Copy)]
struct Output<V> {
    /// Into the air, the fan's heat included.
    into_air: V,
    heat: V,
    compressor: V,
}

/// What zones ask of plants that they share, on the way from one phase of a step to the next.
struct Asking<V: Number> {
    sensed: V,
    half: LaneEnd<V>,
    was_on: V::Mask,
    /// With a call, and with one that has been served before.
    on: V::Mask,
    held: V::Mask,
    /// Heat asked for, W, what part of it arrives during the rise, and the part of what is rated.
    share: V,
    rise: V,
    output: V,
}

/// Zones in the lanes of one vector.
pub(super) struct ZoneVector<'l, V: Number> {
    token: V::Token,
    lanes: &'l [&'l Lane<'l>],
    acting: Acting<'l, V>,
    inflows: Inflows<V>,
    nodes: [V; 2],
    body: V,
    thermostats: ThermostatLanes<V>,
    sensors: SensorBody<V>,
    /// How much warmer the sensors' places are than the air after a step without and with service, if
    /// any are.
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
    /// Where zones have plants of their own.
    own: V::Mask,
    /// Where zones were served in the step before, and where a call under way has been.
    was_served: V::Mask,
    has_been_served: V::Mask,
    asking: Asking<V>,
    on: V::Bitmask,
    served: V::Bitmask,
    full: V::Bitmask,
    starts: V::Bitmask,
    starts_opposite: V::Bitmask,
    events: V::Bitmask,
}

impl<'l, V: Number> ZoneVector<'l, V> {
    #[inline(always)]
    pub(super) fn new(token: V::Token, lanes: &'l [&'l Lane<'l>], steps: usize) -> Self {
        let lanes = &lanes[..V::LANES];
        let all = |pick: fn(&Lane<'_>) -> f64| V::from_fn(token, |at| pick(lanes[at]));
        let any = |is: fn(&Lane<'_>) -> bool| lanes.iter().any(|lane| is(lane));
        let mask = |is: fn(&Lane<'_>) -> bool| V::mask_from_fn(token, |at| is(lanes[at]));
        let thermostats = ThermostatLanes::from_fn(token, |at| lanes[at].thermostat);
        let nothing = all(|_| 0.0);
        Self {
            token,
            lanes,
            acting: Acting::new(token, lanes, steps),
            inflows: Inflows::new(token, |at| lanes[at].network),
            nodes: [all(|it| it.nodes[0]), all(|it| it.nodes[1])],
            body: all(|it| it.body),
            asking: Asking {
                sensed: nothing,
                half: LaneEnd::nothing(mask(|_| false)),
                was_on: thermostats.on(),
                on: thermostats.on(),
                held: thermostats.on(),
                share: nothing,
                rise: nothing,
                output: nothing,
            },
            thermostats,
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
            time: nothing,
            step: all(|it| it.step),
            own: mask(|it| it.service.is_own),
            was_served: mask(|it| it.was_served),
            has_been_served: mask(|it| it.has_been_served),
            on: V::no_bits(token),
            served: V::no_bits(token),
            full: V::no_bits(token),
            starts: V::no_bits(token),
            starts_opposite: V::no_bits(token),
            events: V::no_bits(token),
        }
    }

    /// Phases 2 to 6 of a step (rule 12) for the lanes from one on, where each zone has a plant and
    /// walls of its own.
    #[inline(always)]
    pub(super) fn step(&mut self, batch: &mut Batch, step: usize, from: usize) {
        let was_on = self.thermostats.on();
        let sensed = self.sense(was_on);
        let decided = self.thermostats.step(sensed, self.time);
        // Where nobody has a call, no room waits for its sensor.
        let nothing = self.sign.splat(0.0);
        let mut output = Output { into_air: self.fan[0], heat: nothing, compressor: nothing };
        if V::any(decided.on) {
            let part = proportional_output(decided.distance, self.per_degree, self.turndown);
            let share = self.rated * part;
            let lacking = V::select(was_on, self.lacking, nothing.splat(1.0));
            let heat = share * self.rise.delivered(lacking);
            output = self.output(decided.on, heat, share * self.per_heat(step));
            self.lacking = V::select(decided.on, self.rise.after(lacking), self.lacking);
            self.full = V::set_bit(self.full, decided.on & part.ge(nothing.splat(1.0)), step);
        }
        let flows = self.flows(batch, step, from, output.into_air);
        self.store(batch, step, from, &output);
        self.nodes = self.rooms.advance(self.nodes, flows);
        self.note(&decided, decided.on, sensed, step);
    }

    /// Phase 2 and the first half of phase 3: sensors, and calls that end.
    #[inline(always)]
    pub(super) fn sense_and_end(&mut self, exchange: &mut Exchange, step: usize, from: usize) {
        let was_on = self.thermostats.on();
        let sensed = self.sense(self.was_served);
        let half = self.thermostats.end(sensed, self.time);
        let goes_on = self.thermostats.on() & self.has_been_served;
        let one = sensed.splat(1.0);
        V::select(goes_on, one, one.splat(0.0)).store(&mut exchange.goes_on[from..]);
        if V::any(self.own) {
            self.per_heat(step).store(&mut exchange.per_heat[from..]);
        }
        self.asking = Asking { sensed, half, was_on, ..self.asking };
    }

    /// The second half of phase 3, and what zones then ask for.
    #[inline(always)]
    pub(super) fn start_and_ask(&mut self, exchange: &mut Exchange, step: usize, from: usize) {
        let Asking { sensed, half, was_on, .. } = self.asking;
        let one = sensed.splat(1.0);
        let may = V::load(self.token, &exchange.may_start[from..]).ge(one);
        let decided = self.thermostats.start(half, may, sensed, self.time);
        let on = decided.on;
        let output = proportional_output(decided.distance, self.per_degree, self.turndown);
        let share = V::select(on, self.rated * output, one.splat(0.0));
        let held = was_on & self.has_been_served;
        let lacking = V::select(held, self.lacking, one);
        let rise = self.rise.delivered(lacking);
        self.lacking = V::select(on, self.rise.after(lacking), self.lacking);
        share.store(&mut exchange.asked[from..]);
        self.asking = Asking { on, held, share, rise, output, ..self.asking };
        self.note_decided(&decided, sensed, step);
    }

    /// Phases 4 to 6, with what the plants give of what was asked.
    #[inline(always)]
    pub(super) fn serve(
        &mut self,
        batch: &mut Batch,
        exchange: &mut Exchange,
        step: usize,
        from: usize,
    ) {
        let Asking { on, held, share, rise, output, .. } = self.asking;
        let load = |row: &[f64]| V::load(self.token, &row[from..]);
        let given = share * load(&exchange.fraction);
        let nothing = given.splat(0.0);
        let served = on & (self.own | !nothing.ge(given));
        let (heat, delivered) = (given * rise, share * rise);
        let electric = given * load(&exchange.per_heat) * load(&exchange.shared_work);
        let result = self.output(served, heat, electric);
        let is_all = output.ge(nothing.splat(1.0)) | !heat.ge(delivered * nothing.splat(ALL));
        self.full = V::set_bit(self.full, on & is_all, step);
        self.served = V::set_bit(self.served, served, step);
        self.thermostats.serve_first(served & !held, self.time);
        self.was_served = served;
        self.has_been_served = served | (held & on);
        let flows = self.flows(batch, step, from, result.into_air);
        self.store(batch, step, from, &result);
        let next = self.rooms.advance(self.nodes, flows);
        for (node, flow) in flows.into_iter().enumerate() {
            self.nodes[node].store(&mut exchange.nodes[node][from..]);
            flow.store(&mut exchange.flows[node][from..]);
        }
        self.nodes = next;
        self.time = self.time + self.step;
    }

    /// Takes over where zones that are coupled to others come to.
    #[inline(always)]
    pub(super) fn arrive(&mut self, exchange: &mut Exchange, from: usize) {
        let coupled = V::load(self.token, &exchange.coupled[from..]).ge(self.step.splat(1.0));
        for node in 0..2 {
            let next = V::load(self.token, &exchange.nodes[node][from..]);
            self.nodes[node] = V::select(coupled, next, self.nodes[node]);
        }
    }

    /// What the sensors report, in the file's unit; `served` is where zones were served in the step
    /// before.
    #[inline(always)]
    fn sense(&mut self, served: V::Mask) -> V {
        let mut place = self.nodes[0];
        if let Some([at_rest, after_service]) = self.warmer {
            place = place + V::select(served, after_service, at_rest);
        }
        self.body = self.sensors.follow(self.body, place);
        self.sensors.report(self.body)
    }

    /// What plants give where zones are served.
    #[inline(always)]
    fn output(&self, served: V::Mask, heat: V, compressor: V) -> Output<V> {
        let nothing = heat.splat(0.0);
        let heat = V::select(served, heat, nothing);
        Output {
            heat,
            compressor: V::select(served, compressor, nothing),
            into_air: V::select(served, self.sign * heat + self.fan[1], self.fan[0]),
        }
    }

    /// What flows into air and mass, W. Notes operative temperatures where somebody is there.
    #[inline(always)]
    fn flows(&self, batch: &mut Batch, step: usize, from: usize, into_air: V) -> [V; 2] {
        let [at_start, at_middle] = self.acting.outdoor(step);
        let ZoneFlows { air, mass, surface } =
            self.inflows.flows(at_middle, self.acting.gains(step));
        if let Some(surfaces) = &self.surfaces {
            let surface = surfaces.temperature(self.nodes, at_start, surface);
            operative(self.nodes[0], surface).store(&mut batch.operative[step][from..]);
        }
        [air + into_air, mass]
    }

    #[inline(always)]
    fn store(&self, batch: &mut Batch, step: usize, from: usize, output: &Output<V>) {
        self.nodes[0].store(&mut batch.air[step][from..]);
        self.nodes[1].store(&mut batch.mass[step][from..]);
        self.body.store(&mut batch.body[step][from..]);
        output.heat.store(&mut batch.heat[step][from..]);
        output.compressor.store(&mut batch.compressor[step][from..]);
        self.lacking.store(&mut batch.lacking[step][from..]);
    }

    #[inline(always)]
    fn note(&mut self, decided: &LaneStep<V>, served: V::Mask, sensed: V, step: usize) {
        self.note_decided(decided, sensed, step);
        self.served = V::set_bit(self.served, served, step);
        self.time = self.time + self.step;
    }

    #[inline(always)]
    fn note_decided(&mut self, decided: &LaneStep<V>, sensed: V, step: usize) {
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

    /// What the zones come to after so many steps.
    #[inline(always)]
    pub(super) fn end(&self, batch: &mut Batch, steps: usize, from: usize) {
        self.nodes[0].store(&mut batch.air[steps][from..]);
        self.nodes[1].store(&mut batch.mass[steps][from..]);
        V::store_bits(self.on, &mut batch.on[from..]);
        V::store_bits(self.served, &mut batch.served[from..]);
        V::store_bits(self.full, &mut batch.full[from..]);
        V::store_bits(self.starts, &mut batch.starts[from..]);
        V::store_bits(self.starts_opposite, &mut batch.starts_opposite[from..]);
        V::store_bits(self.events, &mut batch.events[from..]);
    }
}
