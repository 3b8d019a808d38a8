//! Phase 1 of a step: what people and schedules have asked for since the step before.

use super::model::{Action, Change, Doing, Model};
use super::observe::Observer;
use super::step::Simulation;
use super::trace::{Asker, Entry, LedgerRow};
use crate::control::{ChangeOutcome, Outcome, Power, Request, Role, Side, Words, judge};
use crate::time::Instant;

impl<'m> Simulation<'m> {
    /// Applies every action whose time has come, in the order of time, then of the file.
    pub(super) fn apply_actions(&mut self, now: Instant, observer: &mut impl Observer) {
        if !self.scratch.acting {
            return;
        }
        let model: &'m Model = self.plan.model;
        while let Some(action) = model.actions.get(self.state.actions_done) {
            if action.at > now {
                break;
            }
            self.state.actions_done += 1;
            self.apply(action, now, observer);
        }
    }

    /// Applies one action and writes its row.
    pub(super) fn apply(&mut self, action: &Action, now: Instant, observer: &mut impl Observer) {
        let zone = action.zone.get();
        let before = self.state.zones[zone].stored;
        let (entry, reason) = match (&action.what, self.dark_until(action.zone)) {
            (Doing::PowerFailure(lasts), _) => self.fail_power(action, *lasts),
            (Doing::Request(request), Some(until)) => {
                self.meets_dark(action, request_words(*request), until)
            }
            (Doing::Set(change), Some(until)) => {
                self.meets_dark(action, format!("set {}", change.words), until)
            }
            (Doing::Request(request), None) => self.request(action, *request),
            (Doing::Set(change), None) => self.change(action, change),
        };
        if self.dark_until(action.zone).is_none() {
            self.after_action(action, before.power);
        }
        observer.ledger(LedgerRow {
            at: action.at,
            zone: action.zone,
            entry,
            before,
            after: self.state.zones[zone].stored,
            reason,
        });
        self.refresh(zone, now);
        // Overrides, presence and automatic off run on clocks that this may have started.
        self.scratch.wake_at = now;
    }

    fn request(&mut self, action: &Action, request: Request) -> (Entry, String) {
        let zone = action.zone.get();
        let (plan, group) =
            (&self.plan.zones[zone], &self.state.groups[self.plan.zones[zone].group]);
        let standing = group.standing(plan.place, &self.state.logic[zone]);
        let state = &mut self.state.zones[zone];
        let (role, controller) = (action.role, action.controller);
        let side = match request {
            Request::Setpoint(side, _) => Some(side),
            Request::Press(_) => state.stored.active(standing),
            Request::Power(_) | Request::Mode(_) => None,
        };
        let verdict = judge(&state.settings, &state.stored, standing, request, role, controller);
        let owner = group.settings.owner().map(|owner| self.plan.groups[plan.group].members[owner]);
        let words = Words {
            settings: &state.settings,
            owner: owner.map(|owner| self.plan.model.zones[owner].label.as_str()),
        };
        let reason = words.reason(&verdict);
        state.stored = verdict.after;
        let moves = request.moves_setpoint();
        if role == Role::Occupant && moves {
            let lasts = self.plan.model.zones[zone].controls.override_time;
            state.presence.asked(verdict.outcome, action.at, lasts);
        }
        let side = side.filter(|_| moves);
        (entry(action, request_words(request), verdict.outcome, side), reason)
    }

    fn change(&mut self, action: &Action, change: &Change) -> (Entry, String) {
        let zone = action.zone.get();
        let at = &self.plan.zones[zone];
        let group = &mut self.state.groups[at.group];
        let standing = group.standing(at.place, &self.state.logic[zone]);
        let state = &mut self.state.zones[zone];
        let before = state.stored.setpoints;
        let outcome = change.zone.apply(&mut state.settings, &mut state.stored, standing);
        let words = Words { settings: &state.settings, owner: None };
        let reason = words.change(&change.zone, outcome, &before, &state.stored.setpoints);
        let outcome = match outcome {
            ChangeOutcome::Accepted => Outcome::Accepted,
            ChangeOutcome::Pushed => Outcome::Pushed,
            ChangeOutcome::Refused(_) => Outcome::Refused,
        };
        if outcome != Outcome::Refused {
            change.group.apply(&mut group.settings);
        }
        (entry(action, format!("set {}", change.words), outcome, None), reason)
    }

    /// Clocks that an action starts or stops.
    fn after_action(&mut self, action: &Action, before: Power) {
        let state = &mut self.state.zones[action.zone.get()];
        match (before, state.stored.power) {
            (Power::Off, Power::On) => state.on_since = Some(action.at),
            (_, Power::Off) => state.on_since = None,
            (Power::On, Power::On) => {}
        }
        if action.role == Role::Occupant {
            state.presence.see(action.at);
        }
    }
}

pub(super) fn entry(
    action: &Action,
    request: String,
    outcome: Outcome,
    side: Option<Side>,
) -> Entry {
    let asker = Asker { controller: action.controller, by: action.by.clone(), role: action.role };
    Entry::Request { asker, request, outcome, side }
}

/// A request in the words of a scenario file.
fn request_words(request: Request) -> String {
    match request {
        Request::Power(power) => format!("power {}", power.name()),
        Request::Mode(mode) => format!("mode {}", mode.name()),
        Request::Setpoint(side, value) => format!("{} {value}", side.name()),
        Request::Press(key) => format!("press {}", key.name()),
    }
}
