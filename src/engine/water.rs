//! Phase 4b of a step, where the file asks for it: the water in the zones' air.

use super::step::Simulation;
use crate::building::{AIR_DENSITY, Water, WaterFlows};
use crate::control::{Mode, Selection};
use crate::direction::Direction;
use crate::moist_air::{
    HEAT_OF_EVAPORATION, STANDARD_PRESSURE, humidity_ratio, saturation_pressure, vapour_pressure,
};

fn ratio(vapour: f64) -> f64 {
    humidity_ratio(vapour, STANDARD_PRESSURE)
}

impl Simulation<'_> {
    /// Works out where the water in each zone's air goes over the step.
    pub(super) fn follow_water(&mut self) {
        if self.state.water.is_empty() {
            return;
        }
        let seconds = self.plan.model.period.step().get() as f64;
        let outdoors = self.scratch.drivers.outdoor(self.scratch.place).vapour.unwrap_or(0.0);
        let outdoors = ratio(outdoors);
        for zone in 0..self.state.water.len() {
            let flows = self.water_flows(zone, outdoors);
            self.scratch.water[zone] = flows.advance(self.state.water[zone], seconds);
        }
    }

    /// The part of the heat that a zone's unit moves that is sensible: all of it when heating, and
    /// where water is not followed.
    pub(super) fn sensible_share(&self, zone: usize, direction: Direction) -> f64 {
        match (direction, self.state.water.get(zone)) {
            (Direction::Cooling, Some(ratio)) => {
                let in_dry = self.state.logic[zone].selection == Selection::On(Mode::Dry);
                let coil = self.plan.model.zones[zone].unit.coil;
                coil.sensible_share(self.state.nodes[zone][0], *ratio, in_dry)
            }
            _ => 1.0,
        }
    }

    /// What acts on a zone's water, with the humidity ratio outdoors.
    fn water_flows(&self, zone: usize, outdoors: f64) -> WaterFlows {
        let driver = self.scratch.drivers.zone(zone, self.scratch.place);
        let model = &self.plan.model.zones[zone];
        let network = self.plan.zones[zone].network(self.air_change(zone));
        let share = self.sensible_share(zone, Direction::Cooling);
        let cooling = (-self.scratch.powers[zone].heat()).max(0.0);
        let input = model.space.input();
        WaterFlows {
            air: AIR_DENSITY * input.floor * input.height,
            exchange: network.air_exchange(),
            outdoors,
            gain: driver.latent / HEAT_OF_EVAPORATION,
            coil: cooling * (1.0 - share) / share / HEAT_OF_EVAPORATION,
            at_coil: ratio(saturation_pressure(model.unit.coil.surface)),
            saturated: ratio(saturation_pressure(self.state.nodes[zone][0])),
        }
    }

    /// Vapour pressure in a zone's air, Pa: followed, or else that of the outdoor air where the
    /// weather says so, at a place of the chunk of steps that is worked out.
    pub(super) fn vapour(&self, zone: usize, place: usize) -> Option<f64> {
        match self.state.water.get(zone) {
            Some(ratio) => Some(vapour_pressure(*ratio, STANDARD_PRESSURE)),
            None => self.scratch.drivers.outdoor(place).vapour,
        }
    }

    /// Where the water of a zone goes over the step, where it is followed.
    pub(super) fn water(&self, zone: usize) -> Option<Water> {
        self.scratch.water.get(zone).copied()
    }
}
