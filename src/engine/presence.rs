//! Phase 0 of a step: what only the clock changes: occupancy, setback, overrides, automatic off.

use super::model::ZoneIndex;
use super::observe::Observer;
use super::step::Simulation;
use super::trace::{Entry, Event, LedgerRow};
use crate::control::{Occupancy, Power};
use crate::time::Instant;

impl Simulation<'_> {
    /// Brings occupancy and working setpoints up to date, where the clock may have changed them.
    pub(super) fn note_presence(&mut self, now: Instant, observer: &mut impl Observer) {
        if now < self.scratch.wake_at {
            return;
        }
        let mut wake_at = Instant::new(i64::MAX);
        for zone in 0..self.plan.zones.len() {
            self.restore_power(zone, now, observer);
            self.switch_off_by_itself(zone, now, observer);
            self.note_window(zone, now, observer);
            let occupied = self.is_occupied(zone, now);
            if self.state.zones[zone].presence.note(occupied) {
                let setback = self.plan.model.zones[zone].controls.setback.is_some();
                let event = if occupied {
                    Event::UnoccupiedUntil
                } else {
                    Event::UnoccupiedFrom { setback }
                };
                self.event(zone, now, event, observer);
            }
            self.refresh(zone, now);
            wake_at = wake_at.min(self.next_wake(zone, now));
        }
        self.scratch.wake_at = wake_at;
    }

    /// Takes over what stored values, presence and low limit now mean for the thermostat.
    pub(super) fn refresh(&mut self, zone: usize, now: Instant) {
        let controls = &self.plan.model.zones[zone].controls;
        let state = &self.state.zones[zone];
        let logic = &mut self.state.logic[zone];
        let (stored, grid) = (&state.stored.setpoints, state.settings.grid);
        logic.working = state.presence.working(
            stored,
            controls.setback.as_ref(),
            grid,
            state.window.does(),
            now,
        );
        if let Some(imposed) = self.scratch.imposed.get(zone) {
            logic.working = imposed.over(logic.working);
        }
        logic.working.permitted = state.permitted();
        logic.selection = state.selection();
    }

    fn is_occupied(&mut self, zone: usize, now: Instant) -> bool {
        if let Some(occupied) = self.imposed(zone).and_then(|imposed| imposed.occupied) {
            return occupied;
        }
        let model = self.plan.model;
        let people = self.scratch.acting.then_some(&self.plan.crowds[zone]);
        let there = people.is_some_and(|crowd| crowd.count(now) > 0);
        match &model.zones[zone].controls.occupancy {
            Occupancy::Always => true,
            Occupancy::Schedule(spans) => {
                spans.iter().any(|span| span.contains(&model.period, now))
            }
            Occupancy::Sensor { hold } => {
                let presence = &mut self.state.zones[zone].presence;
                let step = model.period.step();
                let went = people.and_then(|crowd| crowd.empty_since(now));
                if let Some(went) = went.filter(|went| now.since(*went) < step) {
                    presence.see(went);
                }
                there || presence.reported(*hold, now)
            }
            Occupancy::People => there,
        }
    }

    fn switch_off_by_itself(&mut self, zone: usize, now: Instant, observer: &mut impl Observer) {
        let Some(after) = self.plan.model.zones[zone].controls.auto_off else { return };
        let state = &mut self.state.zones[zone];
        let Some(since) = state.on_since.filter(|_| state.dark_until.is_none()) else { return };
        if now.since(since) < after {
            return;
        }
        let before = state.stored;
        state.stored.power = Power::Off;
        state.on_since = None;
        let after_switch = state.stored;
        observer.ledger(LedgerRow {
            at: now,
            zone: ZoneIndex::new(zone),
            entry: Entry::Event(Event::AutoOff { after }),
            before,
            after: after_switch,
        });
    }

    /// The next instant at which the clock alone may change something in a zone.
    fn next_wake(&self, zone: usize, now: Instant) -> Instant {
        let controls = &self.plan.model.zones[zone].controls;
        let state = &self.state.zones[zone];
        let never = Instant::new(i64::MAX);
        let people = self.plan.crowds[zone].next_change(now).unwrap_or(never);
        let occupancy = match &controls.occupancy {
            Occupancy::Always | Occupancy::People => never,
            Occupancy::Schedule(spans) => {
                let edges = spans.iter().flat_map(|span| [span.from(), span.to()]);
                self.plan.model.period.next_on_clocks(now, edges)
            }
            Occupancy::Sensor { hold } => state.presence.reports_until(*hold).unwrap_or(never),
        };
        let over = state.presence.override_until().filter(|end| *end > now).unwrap_or(never);
        let off = match (controls.auto_off, state.on_since) {
            (Some(after), Some(since)) => since + after,
            _ => never,
        };
        let back = state.dark_until.unwrap_or(never);
        let window = state.window.acts_at(&controls.window_contact).unwrap_or(never);
        [occupancy, people, over, off, back, window]
            .into_iter()
            .filter(|at| *at > now)
            .min()
            .unwrap_or(never)
    }
}
