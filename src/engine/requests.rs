//! Phase 1 of a step: what the file's actions ask for since the step before.

use std::sync::Arc;

use super::model::{Action, Change, Doing, Model, ZoneIndex};
use super::observe::Observer;
use super::step::Simulation;
use super::trace::{Asker, Entry, LedgerRow, Why};
use crate::control::{ChangeOutcome, Outcome, Override, Power, Request, Role, Side, judge};
use crate::time::Instant;

/// Somebody who asks for something, where and when.
#[derive(Clone, Debug)]
pub(super) struct Asking {
    pub at: Instant,
    pub zone: ZoneIndex,
    pub asker: Asker,
}

impl Asking {
    fn of(action: &Action) -> Self {
        let asker =
            Asker { controller: action.controller, by: action.by.clone(), role: action.role };
        Self { at: action.at, zone: action.zone, asker }
    }
}

/// What came of it.
#[derive(Clone, Debug)]
pub(super) struct Answer {
    pub outcome: Outcome,
    pub side: Option<Side>,
    pub why: Why,
}

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
            let asking = Asking::of(action);
            self.apply(&asking, &action.what, now, observer);
        }
    }

    /// At the end of the period: what was asked for after the last step began is judged as things
    /// stand then, so that every request has its row.
    pub fn end(&mut self, observer: &mut impl Observer) {
        self.apply_actions(self.state.now, observer);
    }

    /// Applies what somebody does now, whatever times these actions name.
    pub(super) fn apply_given(
        &mut self,
        doings: &[Action],
        now: Instant,
        observer: &mut impl Observer,
    ) {
        for action in doings {
            let asking = Asking { at: now, ..Asking::of(action) };
            self.apply(&asking, &action.what, now, observer);
        }
    }

    /// Applies what somebody asks for and writes its row. Returns how it ended.
    pub(super) fn apply(
        &mut self,
        asking: &Asking,
        what: &Doing,
        now: Instant,
        observer: &mut impl Observer,
    ) -> Outcome {
        let zone = asking.zone.get();
        let before = self.state.zones[zone].stored;
        let answer = match (what, self.dark_until(asking.zone)) {
            (Doing::PowerFailure(lasts), _) => self.fail_power(asking, *lasts),
            (Doing::Window(to), _) => self.move_window(asking, *to),
            (Doing::Request(_) | Doing::Set(_), Some(until)) => meets_dark(until),
            (Doing::Request(request), None) => self.request(asking, *request),
            (Doing::Set(change), None) => self.change(asking, change),
        };
        if self.dark_until(asking.zone).is_none() {
            self.after_action(asking, before.power);
        }
        self.scratch.ledger_rows += 1;
        observer.ledger(LedgerRow {
            at: asking.at,
            zone: asking.zone,
            entry: Entry::Request {
                asker: asking.asker.clone(),
                what: what.clone(),
                outcome: answer.outcome,
                side: answer.side,
                why: Box::new(answer.why),
            },
            before,
            after: self.state.zones[zone].stored,
        });
        // A contact ceases to act as soon as the window is closed.
        self.note_window(zone, now, observer);
        self.refresh(zone, now);
        // Overrides, presence and automatic off run on clocks that this may have started.
        self.scratch.wake_at = now;
        answer.outcome
    }

    fn request(&mut self, asking: &Asking, request: Request) -> Answer {
        let zone = asking.zone.get();
        let (plan, group) =
            (&self.plan.zones[zone], &self.state.groups[self.plan.zones[zone].group]);
        let standing = group.standing(plan.place, &self.state.logic[zone]);
        let state = &mut self.state.zones[zone];
        let (role, controller) = (asking.asker.role, asking.asker.controller);
        let side = match request {
            Request::Setpoint(side, _) => Some(side),
            Request::Press(_) => state.stored.active(standing),
            Request::Power(_) | Request::Mode(_) => None,
        };
        let verdict = judge(&state.settings, &state.stored, standing, request, role, controller);
        let owner = group.settings.owner().map(|owner| self.plan.groups[plan.group].members[owner]);
        let why = Why::Judged {
            verdict,
            settings: Arc::clone(&state.settings),
            owner: owner.map(ZoneIndex::new),
        };
        state.stored = verdict.after;
        let moves = request.moves_setpoint();
        if role == Role::Occupant && moves {
            let controls = &self.plan.model.zones[zone].controls;
            let (until, time) = (controls.override_until, controls.override_time);
            let midnight = self.plan.model.period.end_of_clocks_day(asking.at);
            let starts = Override::starting(until, time, asking.at, midnight);
            state.presence.asked(verdict.outcome, starts);
        }
        let side = side.filter(|_| moves);
        Answer { outcome: verdict.outcome, side, why }
    }

    fn change(&mut self, asking: &Asking, change: &Change) -> Answer {
        let zone = asking.zone.get();
        let at = &self.plan.zones[zone];
        let group = &mut self.state.groups[at.group];
        let standing = group.standing(at.place, &self.state.logic[zone]);
        let state = &mut self.state.zones[zone];
        let settings = Arc::make_mut(&mut state.settings);
        let outcome = change.zone.apply(settings, &mut state.stored, standing);
        let why = Why::Changed { outcome, settings: Arc::clone(&state.settings) };
        let outcome = match outcome {
            ChangeOutcome::Accepted => Outcome::Accepted,
            ChangeOutcome::Pushed => Outcome::Pushed,
            ChangeOutcome::Refused(_) => Outcome::Refused,
        };
        if outcome != Outcome::Refused {
            change.group.apply(&mut group.settings);
        }
        Answer { outcome, side: None, why }
    }

    /// Clocks that an action starts or stops.
    fn after_action(&mut self, asking: &Asking, before: Power) {
        let state = &mut self.state.zones[asking.zone.get()];
        match (before, state.stored.power) {
            (Power::Off, Power::On) => state.on_since = Some(asking.at),
            (_, Power::Off) => state.on_since = None,
            (Power::On, Power::On) => {}
        }
        if asking.asker.role == Role::Occupant {
            state.presence.see(asking.at);
        }
    }
}

/// A request that meets a dark controller.
const fn meets_dark(until: Instant) -> Answer {
    Answer { outcome: Outcome::NoEffect, side: None, why: Why::Dark { until } }
}
