//! Phase 6 of a step: the zones go exactly through it.

use super::plan::AirChanges;
use super::step::Simulation;
use crate::building::{AirChange, BlockPropagator, ZoneIndex};
use crate::time::Instant;

impl Simulation<'_> {
    /// Takes every zone to the end of the step.
    pub(super) fn advance(&mut self, now: Instant) {
        for at in 0..self.plan.blocks.len() {
            match self.plan.blocks[at].block.zones() {
                [zone] => self.advance_alone(zone.get()),
                _ => self.advance_coupled(at),
            }
        }
        for (ratio, water) in self.state.water.iter_mut().zip(&self.scratch.water) {
            *ratio = water.ratio;
        }
        self.state.now = now + self.plan.model.period.step();
    }

    fn advance_alone(&mut self, zone: usize) {
        let propagator = self.plan.zones[zone].propagator(self.air_change(zone));
        self.state.nodes[zone] = propagator.advance(self.state.nodes[zone], self.flows(zone));
    }

    /// How a zone exchanges air over the step, besides by infiltration.
    pub(super) fn air_change(&self, zone: usize) -> AirChange {
        let driver = self.scratch.drivers.zone(zone, self.scratch.place);
        AirChange {
            ventilation: driver.ventilated,
            window: self.state.zones[zone].window.is_open(),
        }
    }

    /// What flows into a zone's air and mass over the step, W, whatever their own temperatures.
    fn flows(&self, zone: usize) -> [f64; 2] {
        let (drivers, place) = (&self.scratch.drivers, self.scratch.place);
        let mut into_air = self.scratch.powers[zone].into_air();
        if self.state.zones[zone].window.is_open() {
            into_air += self.plan.zones[zone].window_exchange * drivers.outdoor(place).at_middle;
        }
        let driver = drivers.zone(zone, place);
        let closed = AirChange { ventilation: driver.ventilated, window: false };
        let network = self.plan.zones[zone].network(closed);
        let flows = network.flows(drivers.outdoor(place).at_middle, driver.gains);
        let flows = flows.with_plant(into_air);
        match self.imposed(zone) {
            Some(imposed) => [flows[0] + imposed.heat[0], flows[1] + imposed.heat[1]],
            None => flows,
        }
    }

    fn advance_coupled(&mut self, block: usize) {
        self.end_of_block(block);
        for (at, zone) in self.plan.blocks[block].block.zones().iter().enumerate() {
            self.state.nodes[zone.get()] =
                [self.scratch.next[2 * at], self.scratch.next[2 * at + 1]];
        }
    }

    /// Works out where a coupled block ends the step, into `scratch.next`.
    fn end_of_block(&mut self, block: usize) {
        let air = self.air_changes(block);
        self.scratch.nodes.clear();
        self.scratch.flows.clear();
        for place in 0..self.plan.blocks[block].block.zones().len() {
            let zone = self.plan.blocks[block].block.zones()[place].get();
            let flows = self.flows(zone);
            self.scratch.nodes.extend(self.state.nodes[zone]);
            self.scratch.flows.extend(flows);
        }
        let scratch = &mut self.scratch;
        let propagator = self.plan.block_propagator(block, air);
        let nodes = scratch.nodes.len();
        propagator.advance(&scratch.nodes, &scratch.flows, &mut scratch.next[..nodes]);
    }

    /// How the zones of a block exchange air over the step.
    fn air_changes(&self, block: usize) -> AirChanges {
        let zones = self.plan.blocks[block].block.zones().iter().enumerate();
        zones.fold(AirChanges::default(), |all, (place, zone)| {
            all.with(place, self.air_change(zone.get()))
        })
    }

    /// Makes sure that the steps of coupled blocks are worked out for their present air changes.
    pub(super) fn prepare_blocks(&mut self) {
        for block in 0..self.plan.blocks.len() {
            if self.plan.blocks[block].block.zones().len() > 1 {
                let air = self.air_changes(block);
                self.plan.block_propagator(block, air);
            }
        }
    }

    /// The coupled blocks, each with its step at the present air changes.
    pub(super) fn coupled_blocks(&self) -> impl Iterator<Item = (&BlockPropagator, &[ZoneIndex])> {
        let blocks = self.plan.blocks.iter().enumerate();
        blocks.filter(|(_, plan)| plan.block.zones().len() > 1).filter_map(|(at, plan)| {
            let propagator = plan.propagators.get(&self.air_changes(at))?;
            Some((propagator, plan.block.zones()))
        })
    }

    /// Where the air of every zone would end the step with what the plants give so far, degrees C.
    pub(super) fn free_air(&mut self) -> Vec<f64> {
        let mut free = vec![0.0; self.plan.zones.len()];
        for block in 0..self.plan.blocks.len() {
            if let [zone] = self.plan.blocks[block].block.zones() {
                let zone = zone.get();
                let propagator = self.plan.zones[zone].propagator(self.air_change(zone));
                free[zone] = propagator.advance(self.state.nodes[zone], self.flows(zone))[0];
                continue;
            }
            self.end_of_block(block);
            for (at, zone) in self.plan.blocks[block].block.zones().iter().enumerate() {
                free[zone.get()] = self.scratch.next[2 * at];
            }
        }
        free
    }

    /// What one watt in the air of one zone does to the air of another by the end of the step, K.
    pub(super) fn response(&self, to: usize, from: usize) -> f64 {
        let (to_plan, from_plan) = (&self.plan.zones[to], &self.plan.zones[from]);
        if to_plan.block != from_plan.block {
            return 0.0;
        }
        let plan = &self.plan.blocks[to_plan.block];
        if plan.block.zones().len() == 1 {
            return to_plan.propagator(self.air_change(to)).air_response();
        }
        let place = |zone: usize| plan.block.zones().iter().position(|it| it.get() == zone);
        match (plan.propagators.get(&self.air_changes(to_plan.block)), place(to), place(from)) {
            (Some(propagator), Some(to), Some(from)) => propagator.air_response(to, from),
            _ => 0.0,
        }
    }
}
