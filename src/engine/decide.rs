//! Phase 3 of a step: calls and directions, group by group.

use super::model::ZoneIndex;
use super::observe::Observer;
use super::step::Simulation;
use crate::control::OutputState;
use crate::time::Instant;

impl Simulation<'_> {
    /// Decides every group's direction and every zone's call. Zones with an ideal plant have
    /// neither hysteresis nor timers: their call is what their plant has to do, found in phase 4.
    pub(super) fn decide(&mut self, now: Instant, observer: &mut impl Observer) {
        self.note_outdoor_limits();
        for (group, memory) in self.plan.groups.iter().zip(&mut self.state.groups) {
            if group.ideal {
                continue;
            }
            let outputs = &mut self.state.zones;
            let began = |zone: usize| {
                outputs[zone].output = OutputState::BEGINNING;
                observer.call_began(ZoneIndex::new(zone), now);
            };
            let zones = &mut self.state.logic;
            memory.state.decide(&memory.settings, &group.members, zones, now, began);
        }
    }
}
