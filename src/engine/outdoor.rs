//! Rule 15, part of phase 3: which directions the outdoor temperature allows at a step.

use super::state::OutdoorSensor;
use super::step::Simulation;
use crate::control::{OutdoorLimits, Permitted};

impl Simulation<'_> {
    /// Brings up to date what outdoor limits allow each zone: its own and its outdoor unit's.
    pub(super) fn note_outdoor_limits(&mut self) {
        if !self.plan.has_outdoor_limits {
            return;
        }
        let outdoor = self.outdoor_reading(self.scratch.place);
        for zone in 0..self.plan.zones.len() {
            let before = self.state.zones[zone].permitted;
            let next = outdoor.map(|outdoor| self.permitted(zone, before, outdoor));
            self.state.zones[zone].permitted = next;
            self.state.logic[zone].working.permitted = self.state.zones[zone].permitted();
        }
    }

    /// For how many of the next steps, at most `steps`, outdoor limits allow what they allow now.
    pub(super) fn steps_as_permitted(&self, steps: usize) -> usize {
        if !self.plan.has_outdoor_limits {
            return steps;
        }
        let stays = |zone: usize, step: usize| {
            let now = self.state.zones[zone].permitted;
            let outdoor = self.outdoor_reading(self.scratch.place + step);
            let next = outdoor.map(|outdoor| self.permitted(zone, now, outdoor));
            now.is_some() && next == now
        };
        let zones = self.plan.zones.len();
        (0..steps).find(|step| (0..zones).any(|zone| !stays(zone, *step))).unwrap_or(steps)
    }

    /// What a zone's own limits and those of its outdoor unit allow after what they allowed before.
    fn permitted(
        &self,
        zone: usize,
        before: Option<[Permitted; 2]>,
        outdoor: f64,
    ) -> [Permitted; 2] {
        let unit = self.plan.groups[self.plan.zones[zone].group].outdoor;
        let limits = [
            self.plan.model.zones[zone].controls.outdoor_limits,
            unit.map_or(OutdoorLimits::NONE, |unit| unit.outdoor_limits),
        ];
        std::array::from_fn(|at| match before {
            Some(before) => limits[at].next(before[at], outdoor),
            None => limits[at].at_start(outdoor),
        })
    }

    /// What outdoor limits compare with at the start of a step of the chunk that is worked out, in
    /// the file's unit: outdoor air, unless a tester holds the sensor. `None` where no limit counts.
    fn outdoor_reading(&self, place: usize) -> Option<f64> {
        match self.state.outdoor {
            OutdoorSensor::Air => {
                let air = self.scratch.drivers.outdoor(place).at_start;
                Some(self.plan.model.unit.from_celsius(air))
            }
            OutdoorSensor::Reads(value) => Some(value),
            OutdoorSensor::Ignored => None,
        }
    }
}
