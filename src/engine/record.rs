//! Phase 5 of a step: what observers see, and starved spells.

use super::model::ZoneIndex;
use super::observe::{GroupView, Observer, ZoneView};
use super::state::Starving;
use super::step::Simulation;
use super::trace::Event;
use crate::control::Sharing;
use crate::direction::Direction;
use crate::time::Instant;

impl Simulation<'_> {
    /// Shows every zone, then every group, to the observer.
    pub(super) fn record(&mut self, now: Instant, observer: &mut impl Observer) {
        for zone in 0..self.plan.zones.len() {
            self.note_starving(zone, now, observer);
            observer.zone(&self.view(zone, now));
        }
        for at in 0..self.plan.groups.len() {
            let changed_over = self.note_changeover(at);
            observer.group(&GroupView {
                at: now,
                group: at,
                members: &self.plan.groups[at].members,
                state: &self.state,
                powers: &self.scratch.powers,
                totals: &self.scratch.totals[at],
                changed_over,
            });
        }
    }

    /// One zone as it stands at the start of the step, with what it is given over it.
    pub(super) fn view(&self, zone: usize, now: Instant) -> ZoneView<'_> {
        let place = self.scratch.place;
        let driver = self.scratch.drivers.zone(zone, place);
        let outdoor = self.scratch.drivers.outdoor(place);
        let network = self.plan.zones[zone].network(self.air_change(zone));
        ZoneView {
            at: now,
            zone: ZoneIndex::new(zone),
            unit: self.plan.model.unit,
            state: &self.state.zones[zone],
            logic: &self.state.logic[zone],
            network,
            nodes: self.state.nodes[zone],
            outdoor: outdoor.at_start,
            vapour: self.vapour(zone, place),
            water: self.water(zone),
            surface_gain: network.surface_gain(driver.gains),
            power: &self.scratch.powers[zone],
            led: self.is_led(zone),
        }
    }

    /// Whether a zone's direction is decided by its group: by an owner, or by a policy.
    pub(super) fn is_led(&self, zone: usize) -> bool {
        let plan = &self.plan.zones[zone];
        let settings = &self.state.groups[plan.group].settings;
        let single = matches!(settings.sharing, Sharing::SingleMode { .. });
        single && settings.owner() != Some(plan.place)
    }

    /// Writes a starved spell into the ledger once it has lasted a quarter of an hour, and its end.
    fn note_starving(&mut self, zone: usize, now: Instant, observer: &mut impl Observer) {
        let starved = self.scratch.powers[zone].starved;
        if !starved && self.state.zones[zone].starving == Starving::No {
            return;
        }
        let opposite = || {
            let group = self.plan.zones[zone].group;
            self.state.groups[group].state.direction().opposite()
        };
        self.state.zones[zone].starving = match (self.state.zones[zone].starving, starved) {
            (Starving::No, true) => Starving::Since(now),
            (Starving::Since(start), true) if now.since(start) >= Starving::TOLD_AFTER => {
                self.event(zone, start, Event::StarvedFrom { needs: opposite() }, observer);
                Starving::Told
            }
            (present @ (Starving::Since(_) | Starving::Told), true) => present,
            (Starving::Told, false) => {
                self.event(zone, now, Event::StarvedUntil, observer);
                Starving::No
            }
            (Starving::No | Starving::Since(_), false) => Starving::No,
        };
    }

    /// Whether a group's served direction changed in this step.
    fn note_changeover(&mut self, at: usize) -> bool {
        let memory = &mut self.state.groups[at];
        if matches!(memory.settings.sharing, Sharing::Simultaneous) {
            return false;
        }
        let mut members = self.plan.groups[at].members.iter();
        let served: Option<Direction> = members.find_map(|&zone| self.scratch.powers[zone].served);
        let changed = served.is_some_and(|now| memory.last_served == Some(now.opposite()));
        memory.last_served = served.or(memory.last_served);
        changed
    }
}
