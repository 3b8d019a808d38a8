//! Phase 6 of a step: the zones go exactly through it.

use super::step::Simulation;
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
        let driver = self.scratch.drivers.zone(zone, self.scratch.place);
        let propagator = &self.plan.zones[zone].propagators[usize::from(driver.ventilated)];
        let flows = driver.flows.with_plant(self.scratch.powers[zone].into_air());
        self.state.nodes[zone] = propagator.advance(self.state.nodes[zone], flows);
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
        let ventilated = self.ventilated(block);
        let scratch = &mut self.scratch;
        scratch.nodes.clear();
        scratch.flows.clear();
        for zone in self.plan.blocks[block].block.zones() {
            let zone = zone.get();
            let driver = scratch.drivers.zone(zone, scratch.place);
            let flows = driver.flows.with_plant(scratch.powers[zone].into_air());
            scratch.nodes.extend(self.state.nodes[zone]);
            scratch.flows.extend(flows);
        }
        let propagator = self.plan.block_propagator(block, ventilated);
        let nodes = scratch.nodes.len();
        propagator.advance(&scratch.nodes, &scratch.flows, &mut scratch.next[..nodes]);
    }

    /// Which zones of a block have scheduled ventilation running, a bit for each.
    fn ventilated(&self, block: usize) -> u64 {
        let zones = self.plan.blocks[block].block.zones().iter().enumerate();
        zones.fold(0, |bits, (bit, zone)| {
            let driver = self.scratch.drivers.zone(zone.get(), self.scratch.place);
            bits | u64::from(driver.ventilated) << bit
        })
    }

    /// Where the air of every zone would end the step with what the plants give so far, degrees C.
    pub(super) fn free_air(&mut self) -> Vec<f64> {
        let mut free = vec![0.0; self.plan.zones.len()];
        for block in 0..self.plan.blocks.len() {
            if let [zone] = self.plan.blocks[block].block.zones() {
                let zone = zone.get();
                let driver = self.scratch.drivers.zone(zone, self.scratch.place);
                let propagator = &self.plan.zones[zone].propagators[usize::from(driver.ventilated)];
                let flows = driver.flows.with_plant(self.scratch.powers[zone].into_air());
                free[zone] = propagator.advance(self.state.nodes[zone], flows)[0];
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
            let driver = self.scratch.drivers.zone(to, self.scratch.place);
            return to_plan.propagators[usize::from(driver.ventilated)].air_response();
        }
        let place = |zone: usize| plan.block.zones().iter().position(|it| it.get() == zone);
        match (plan.propagators.get(&self.ventilated(to_plan.block)), place(to), place(from)) {
            (Some(propagator), Some(to), Some(from)) => propagator.air_response(to, from),
            _ => 0.0,
        }
    }
}
