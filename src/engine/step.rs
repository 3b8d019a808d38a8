//! One step of the simulation, in the order of rule 12.

use super::coming::Coming;
use super::drivers::Drivers;
use super::imposed::Imposed;
use super::model::{Action, Model, ZoneIndex};
use super::observe::{Observer, ZonePower};
use super::plan::Plan;
use super::state::{GroupMemory, State};
use super::trace::{Entry, Event, LedgerRow};
use crate::building::Water;
use crate::plant::{Ask, Given, Totals};
use crate::time::Instant;

/// A model in the middle of its run.
#[derive(Clone, Debug)]
pub struct Simulation<'m> {
    pub(super) plan: Plan<'m>,
    pub(super) state: State,
    pub(super) scratch: Scratch<'m>,
}

/// Working memory: worked out anew in each step, or kept only to save work.
#[derive(Clone, Debug)]
pub(super) struct Scratch<'m> {
    pub(super) drivers: Drivers<'m>,
    /// Place of the present step in the chunk of the drivers.
    pub(super) place: usize,
    pub(super) powers: Vec<ZonePower>,
    pub(super) totals: Vec<Totals>,
    pub(super) asks: Vec<Option<Ask>>,
    pub(super) given: Vec<Given>,
    pub(super) nodes: Vec<f64>,
    pub(super) flows: Vec<f64>,
    pub(super) next: Vec<f64>,
    /// What the water in the zones' air does, where it is followed.
    pub(super) water: Vec<Water>,
    /// What is imposed on the zones; empty where nothing is.
    pub(super) imposed: Vec<Imposed>,
    /// Before this instant nothing changes by the clock alone.
    pub(super) wake_at: Instant,
    /// When each zone is occupied next.
    pub(super) coming: Vec<Coming>,
    /// Whether people and schedules act: not on warm-up days.
    pub(super) acting: bool,
    /// How many rows the ledger has so far.
    pub(super) ledger_rows: usize,
}

impl Scratch<'_> {
    /// Whether people and schedules act from now on.
    pub(super) fn act(&mut self, acting: bool) {
        self.acting = acting;
        self.drivers.count_people(acting);
    }
}

impl<'m> Simulation<'m> {
    /// A simulation about to begin, with air and mass of each zone at these temperatures.
    pub(super) fn new(model: &'m Model, nodes: Vec<[f64; 2]>) -> Self {
        let plan = Plan::new(model);
        let zones = model.zones.len();
        let mut scratch = Scratch {
            drivers: Drivers::new(&plan),
            place: 0,
            powers: vec![ZonePower::default(); zones],
            totals: vec![Totals::default(); plan.groups.len()],
            asks: Vec::with_capacity(zones),
            given: Vec::with_capacity(zones),
            nodes: Vec::with_capacity(2 * zones),
            flows: Vec::with_capacity(2 * zones),
            next: vec![0.0; 2 * zones],
            water: Vec::new(),
            imposed: Vec::new(),
            wake_at: Instant::new(i64::MIN),
            coming: vec![Coming::UNKNOWN; zones],
            acting: true,
            ledger_rows: 0,
        };
        let state = State::fresh(model, &plan.group_members(), nodes);
        scratch.water = vec![Water::default(); state.water.len()];
        Self { plan, state, scratch }
    }

    /// A simulation that goes on from a state of the same zones.
    pub(super) fn from_state(model: &'m Model, state: State) -> Self {
        let mut simulation = Self::new(model, state.nodes.clone());
        simulation.resume(state);
        simulation
    }

    /// The model that runs.
    pub fn model(&self) -> &'m Model {
        self.plan.model
    }

    /// The state before the next step.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// A zone's group, its place among the members, and the owner zone where one decides.
    pub fn group_of(&self, zone: usize) -> (&GroupMemory, usize, Option<ZoneIndex>) {
        let plan = &self.plan.zones[zone];
        let memory = &self.state.groups[plan.group];
        let members = &self.plan.groups[plan.group].members;
        let owner = memory.settings.owner().map(|owner| ZoneIndex::new(members[owner]));
        (memory, plan.place, owner)
    }

    /// Goes on from another state of the same model.
    pub fn resume(&mut self, state: State) {
        self.state = state;
        self.scratch.wake_at = Instant::new(i64::MIN);
        self.scratch.coming.fill(Coming::UNKNOWN);
    }

    /// One step.
    pub fn step(&mut self, observer: &mut impl Observer) {
        self.step_with(&[], observer);
    }

    /// One step with further actions, which come before the model's own.
    /// Each is meant for now, whatever time it names.
    pub fn step_with(&mut self, doings: &[Action], observer: &mut impl Observer) {
        let now = self.state.now;
        self.scratch.place = self.scratch.drivers.seek(&self.plan, now);
        self.take_over_imposed(now);
        self.note_presence(now, observer);
        self.start_early(now, observer);
        self.apply_given(doings, now, observer);
        self.apply_actions(now, observer);
        self.people_act(now, observer);
        self.read_sensors(now, observer);
        self.decide(now, observer);
        self.enter_outputs();
        self.serve(now, observer);
        self.follow_water();
        self.record(now, observer);
        self.advance(now);
    }

    /// Applies actions before the next step, whatever times they name.
    pub fn act(&mut self, doings: &[Action], observer: &mut impl Observer) {
        self.apply_given(doings, self.state.now, observer);
    }

    /// Puts an event into the ledger.
    pub(super) fn event(
        &mut self,
        zone: usize,
        at: Instant,
        event: Event,
        observer: &mut impl Observer,
    ) {
        let stored = self.state.zones[zone].stored;
        self.scratch.ledger_rows += 1;
        observer.ledger(LedgerRow {
            at,
            zone: ZoneIndex::new(zone),
            entry: Entry::Event(event),
            before: stored,
            after: stored,
        });
    }
}
