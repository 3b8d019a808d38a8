//! Rule 14: power failures. The supply of a whole group fails: every zone on the outdoor unit of
//! the zone named, or that zone alone where it has a plant of its own.

use super::model::ZoneIndex;
use super::observe::Observer;
use super::requests::{Answer, Asking};
use super::state::Starving;
use super::step::Simulation;
use super::trace::{Event, Why};
use crate::control::{Outcome, Power};
use crate::time::{Instant, Seconds};

impl Simulation<'_> {
    /// The power goes for a while: calls are taken away, controllers are dark.
    pub(super) fn fail_power(&mut self, asking: &Asking, lasts: Seconds) -> Answer {
        let until = asking.at + lasts;
        let group = self.plan.zones[asking.zone.get()].group;
        for &zone in &self.plan.groups[group].members {
            let state = &mut self.state.zones[zone];
            state.dark_until = state.dark_until.max(Some(until));
            state.low_limit = false;
            state.starving = Starving::No;
        }
        for place in 0..self.plan.groups[group].members.len() {
            self.refresh(self.plan.groups[group].members[place], asking.at);
        }
        let others = self.plan.groups[group].members.len() - 1;
        Answer { outcome: Outcome::Accepted, side: None, why: Why::Fails { until, others } }
    }

    /// The power of a zone comes back where its time has come: what is stored works again, timers
    /// and overrides start anew, and `min_off` runs.
    pub(super) fn restore_power(
        &mut self,
        zone: usize,
        now: Instant,
        observer: &mut impl Observer,
    ) {
        let state = &mut self.state.zones[zone];
        if state.dark_until.is_none_or(|until| now < until) {
            return;
        }
        state.dark_until = None;
        state.presence.restart();
        state.on_since = (state.stored.power == Power::On).then_some(now);
        self.state.logic[zone].state.restart(now);
        self.state.groups[self.plan.zones[zone].group].state.restart(now);
        self.event(zone, now, Event::PowerBack, observer);
    }

    /// Until when a zone is without power.
    pub(super) fn dark_until(&self, zone: ZoneIndex) -> Option<Instant> {
        self.state.zones[zone.get()].dark_until
    }
}
