//! Rule 15, part of phase 3: which directions the outdoor temperature allows at a step.

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
            let next = self.permitted(zone, self.state.zones[zone].permitted, outdoor);
            self.state.zones[zone].permitted = Some(next);
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
            now.is_some_and(|now| self.permitted(zone, Some(now), outdoor) == now)
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

    /// Outdoor air at the start of a step of the chunk that is worked out, in the file's unit.
    fn outdoor_reading(&self, place: usize) -> f64 {
        self.plan.model.unit.from_celsius(self.scratch.drivers.outdoor(place).at_start)
    }
}
