//! Why is it doing this now, and until when: the chain of causes at one instant.

mod timers;
mod words;

use crate::control::ZoneLogic;
use crate::engine::{
    GroupMemory, GroupView, LedgerRow, Model, Observer, Simulation, StepRow, ZoneIndex, ZoneState,
    ZoneView, start,
};
use crate::time::Instant;

/// What every zone does at an instant, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Explanation {
    /// The step that was looked at.
    pub at: Instant,
    /// Zone by zone.
    pub zones: Vec<ZoneExplanation>,
}

/// What one zone does at an instant, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneExplanation {
    /// Which zone.
    pub zone: ZoneIndex,
    /// The answer as a sentence.
    pub answer: String,
    /// The chain of causes.
    pub lines: Vec<Line>,
    /// The earliest instant at which what it does may change.
    pub earliest_change: Option<Instant>,
    /// When it does change in this run, if it does before the end.
    pub next_change: Option<Instant>,
}

/// One link of the chain.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// What it is about: power, mode, lockout, call, timers, sensor.
    pub about: &'static str,
    /// The statement, as a sentence.
    pub words: String,
}

/// Explains the step in which `at` lies; an instant beyond the period gives its last step.
pub fn explain(model: &Model, at: Instant) -> Explanation {
    let step = model.period.step();
    let last = model.period.end() - step;
    let at = Instant::new(at.min(last).get() / step.get() * step.get());
    let (mut simulation, _) = start(model);
    let mut probe = Probe { at, moments: Vec::new(), changed: Vec::new() };
    while simulation.state().now < model.period.end() && !probe.is_done(model) {
        let before = (simulation.state().now == at).then(|| simulation.state().clone());
        simulation.step(&mut probe);
        if before.is_some() {
            probe.keep_groups(&simulation);
        }
    }
    let zones = probe
        .moments
        .iter()
        .zip(&probe.changed)
        .map(|(moment, changed)| moment.explain(model, *changed))
        .collect();
    Explanation { at, zones }
}

/// Keeps what the zones were at one instant, and when each next does something else.
struct Probe {
    at: Instant,
    moments: Vec<Moment>,
    changed: Vec<Option<Instant>>,
}

/// One zone at the instant in question.
#[derive(Clone, Debug)]
struct Moment {
    row: StepRow,
    state: ZoneState,
    logic: ZoneLogic,
    group: Option<GroupMoment>,
}

/// The zone's group at that instant.
#[derive(Clone, Debug)]
struct GroupMoment {
    memory: GroupMemory,
    /// The zone's place among the members.
    place: usize,
    /// The owner zone and its thermostat, where an owner decides.
    owner: Option<(ZoneIndex, ZoneLogic)>,
}

impl Observer for Probe {
    fn zone(&mut self, view: &ZoneView<'_>) {
        let place = view.zone.get();
        if view.at == self.at {
            self.moments.push(Moment {
                row: view.row(),
                state: view.state.clone(),
                logic: view.logic.clone(),
                group: None,
            });
            self.changed.push(None);
        } else if view.at > self.at && self.changed[place].is_none() {
            let then = &self.moments[place].row;
            let differs = (then.call, then.served, then.power, then.mode)
                != (
                    view.call().direction(),
                    view.power.served,
                    view.state.stored.power,
                    view.state.stored.mode,
                );
            self.changed[place] = differs.then_some(view.at);
        }
    }

    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

impl Probe {
    fn is_done(&self, model: &Model) -> bool {
        self.changed.len() == model.zones.len() && self.changed.iter().all(Option::is_some)
    }

    fn keep_groups(&mut self, simulation: &Simulation<'_>) {
        for (zone, moment) in self.moments.iter_mut().enumerate() {
            let (memory, place, owner) = simulation.group_of(zone);
            let owner = owner.map(|owner| (owner, simulation.state().logic[owner.get()].clone()));
            moment.group = Some(GroupMoment { memory: memory.clone(), place, owner });
        }
    }
}
