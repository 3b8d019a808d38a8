//! Cases that run together: each is stepped by itself, except over event-free intervals, which all
//! of them step side by side, one zone in each lane.

use super::exchange::{Coupled, Team};
use super::interval::{Interval, IntervalObserver, Place};
use super::lane::{EventFree, Lane};
use super::people::Living;
use super::rows::Batch;
use super::settle::Taken;
use super::warm_up::{WarmStart, WarmUp};
use crate::engine::halt::Halt;
use crate::engine::model::Model;
use crate::engine::observe::Nobody;
use crate::engine::step::Simulation;
use crate::time::Instant;

/// An interval that ends sooner than this was not worth its preparation.
const WORTH_IT: usize = 4;
/// After intervals that were not worth it, at most so many steps are made one by one before the
/// next is tried.
const LONGEST_REST: u32 = 32;

/// The simulation of a model, with its observer.
#[derive(Debug)]
pub struct Case<'m, O> {
    pub(super) simulation: Simulation<'m>,
    /// The warm-up, until it has found the periodic state.
    warm_up: Option<WarmUp>,
    warmup_days: u32,
    /// When it is over.
    end: Instant,
    /// Whether what is asked for at its very end has been judged.
    is_closed: bool,
    /// Why it ended before its time, if it did.
    halt: Option<Halt>,
    /// Whether the observer has ended it.
    is_stopped: bool,
    /// The start of the step or interval that the observer has been asked about last.
    seen: Option<Instant>,
    observer: O,
    /// Steps to be made one by one before another interval is tried, and how many it is next time.
    rest: u32,
    next_rest: u32,
    /// What its zones do in this round, and where their steps are, if it takes part.
    zones: Vec<EventFree>,
    places: Vec<Place>,
    /// Its groups on outdoor units, each with the place of its unit.
    teams: Vec<(usize, Place)>,
    /// What its people go through.
    living: Living,
    /// The longest interval that it may have in this round.
    pub(super) steps: usize,
    /// How many of its steps were event-free in every zone.
    event_free: usize,
}

impl<'m, O: IntervalObserver> Case<'m, O> {
    /// A model about to warm up.
    pub fn new(model: &'m Model, observer: O) -> Self {
        let (simulation, warm_up) = WarmUp::begin(model);
        Self::of(simulation, warm_up, 0, observer)
    }

    /// A model in rooms that are warm already: those of a model that differs in actions and seed
    /// alone.
    pub fn warm(warm: &WarmStart, model: &'m Model, observer: O) -> Self {
        Self::of(warm.simulation(model), None, warm.days, observer)
    }

    fn of(
        simulation: Simulation<'m>,
        warm_up: Option<WarmUp>,
        warmup_days: u32,
        observer: O,
    ) -> Self {
        let zones = simulation.model().zones.len();
        Self {
            end: simulation.model().period.end(),
            is_closed: false,
            halt: None,
            is_stopped: false,
            seen: None,
            simulation,
            warm_up,
            warmup_days,
            observer,
            rest: 0,
            next_rest: 1,
            zones: Vec::with_capacity(zones),
            places: vec![Place::default(); zones],
            teams: Vec::new(),
            living: Living::default(),
            steps: 0,
            event_free: 0,
        }
    }

    /// The observer, and how many warm-up days there were.
    pub fn finish(self) -> (O, u32) {
        (self.observer, self.warmup_days)
    }

    /// Whether any of its steps can be event-free, so that running it with other cases is faster.
    pub fn may_be_event_free(&self) -> bool {
        self.simulation.plan.may_be_event_free
    }

    /// Why it ended before its time; `None` where it did not.
    pub fn halt(&self) -> Option<Halt> {
        self.halt
    }

    pub(super) fn is_over(&self) -> bool {
        let is_ended = self.warm_up.is_none() && self.simulation.state.now >= self.end;
        is_ended || self.halt.is_some() || self.is_stopped
    }

    /// Whether the observer lets it go on with the next step.
    fn goes_on(&mut self) -> bool {
        let now = self.simulation.state.now;
        if self.warm_up.is_none() && self.seen != Some(now) {
            self.seen = Some(now);
            self.is_stopped = !self.observer.goes_on(&self.simulation);
        }
        !self.is_stopped
    }

    /// Judges what was asked for after the last step began, once.
    pub(super) fn close(&mut self) {
        if self.is_over() && self.halt.is_none() && !self.is_closed {
            self.is_closed = true;
            self.simulation.end(&mut self.observer);
        }
    }

    /// Makes steps one by one until the next might be event-free. How many might, zero at the end of the
    /// day.
    pub(super) fn step_to_interval(&mut self, day: i64) -> usize {
        while !self.is_over() && self.simulation.state.now.day() <= day && self.goes_on() {
            if self.rest == 0 {
                let steps = self.event_free_steps();
                if steps > 0 {
                    return steps;
                }
            }
            self.rest = self.rest.saturating_sub(1);
            self.step();
        }
        0
    }

    fn event_free_steps(&mut self) -> usize {
        if self.warm_up.is_none() && !self.observer.takes_intervals() {
            return 0;
        }
        let mut steps = self.simulation.steps_to_next_event();
        if self.warm_up.is_none() {
            let (now, step) = (self.simulation.state.now, self.simulation.model().period.step());
            steps = steps.min(self.observer.most_steps(now, step)).min(self.steps_left());
        }
        self.zones.clear();
        if steps > 0 {
            let zones = 0..self.simulation.model().zones.len();
            self.zones.extend(zones.map_while(|zone| self.simulation.event_free(zone)));
        }
        if self.zones.len() < self.simulation.model().zones.len() {
            return 0;
        }
        self.simulation.prepare_blocks();
        steps
    }

    /// How many steps begin before its end.
    fn steps_left(&self) -> usize {
        let left = self.end.since(self.simulation.state.now).get();
        let step = self.simulation.model().period.step().get();
        usize::try_from((left + step - 1) / step).unwrap_or(0)
    }

    pub(super) fn lane(&self, zone: usize) -> Lane<'_> {
        let lane = self.simulation.lane(zone, &self.zones[zone]);
        Lane { occupied: lane.occupied || self.observer.feels_always(), ..lane }
    }

    /// Where it is in what is worked out ahead: cases at the same place have the same acting on them.
    pub(super) fn place_in_day(&self) -> usize {
        self.simulation.scratch.place
    }

    /// Zones that have to do with each other within a step.
    pub(super) fn companies(&self) -> &[Vec<usize>] {
        &self.simulation.plan.companies
    }

    /// Says where the steps of a zone will be.
    pub(super) fn seat(&mut self, zone: usize, place: Place) {
        self.places[zone] = place;
    }

    /// Gives its outdoor units their places after those that each batch has already.
    pub(super) fn seat_teams(&mut self, taken: &mut [usize]) {
        self.teams.clear();
        for (at, group) in self.simulation.plan.groups.iter().enumerate() {
            if let (Some(_), Some(first)) = (group.outdoor, group.members.first()) {
                let Place { batch, .. } = self.places[*first];
                self.teams.push((at, Place { batch, lane: taken[batch] }));
                taken[batch] += 1;
            }
        }
    }

    /// Its outdoor units in a batch, in the order of their places.
    pub(super) fn teams_in(&self, batch: usize) -> impl Iterator<Item = Team<'_>> {
        let teams = self.teams.iter().filter(move |(_, place)| place.batch == batch);
        teams.filter_map(|(group, _)| {
            let members = self.simulation.plan.groups[*group].members.iter();
            let members =
                members.map(|zone| (self.places[*zone].lane, self.zones[*zone].service.direction));
            Some(Team::new(self.simulation.unit_start(*group)?, members))
        })
    }

    /// Its coupled zones in a batch.
    pub(super) fn blocks_in(&self, batch: usize) -> impl Iterator<Item = Coupled<'_>> {
        let blocks = self.simulation.coupled_blocks();
        let here = blocks.filter(move |(_, zones)| self.places[zones[0].get()].batch == batch);
        here.map(|(propagator, zones)| {
            let lanes = zones.iter().map(|zone| self.places[zone.get()].lane);
            Coupled::new(propagator, lanes.collect())
        })
    }

    fn step(&mut self) {
        match &mut self.warm_up {
            Some(warm_up) => self.simulation.step(&mut warm_up.day),
            None => self.simulation.step(&mut self.observer),
        }
        self.halt = self.simulation.halt();
        self.end_day();
    }

    /// At the end of a warm-up day another one begins, or the period.
    fn end_day(&mut self) {
        let Some(warm_up) = &mut self.warm_up else { return };
        if let Some(days) = warm_up.end_day(&mut self.simulation) {
            self.warmup_days = days;
            self.warm_up = None;
        }
    }

    /// The part of the interval in which every zone was event-free, with who is to take it whole; the
    /// warm-up takes its own at once.
    pub(super) fn show<'s>(
        &'s mut self,
        batches: &'s [Batch],
    ) -> Option<(&'s mut O, Interval<'s>)> {
        let event_free = |place: &Place| batches[place.batch].event_free(place.lane, self.steps);
        let steps = self.places.iter().map(event_free).min().unwrap_or(0);
        let Self { simulation, zones, places, teams, living, warm_up, observer, .. } = self;
        let steps = simulation.live_through((zones, places), batches, steps, living);
        self.event_free = steps;
        if steps == 0 {
            return None;
        }
        let people = living.lived();
        let interval = Interval { simulation, zones, places, teams, people, batches, steps };
        if let Some(warm_up) = warm_up {
            warm_up.day.interval(&interval, &mut ());
            return None;
        }
        interval.tell_calls(observer);
        Some((observer, interval))
    }

    /// Goes on from the end of that part. The step at which a zone was not event-free is left to be made
    /// by itself.
    pub(super) fn take_over(&mut self, batches: &[Batch]) {
        if self.event_free > 0 {
            let Self { zones, places, teams, event_free: steps, .. } = self;
            self.simulation.settle(&Taken { zones, places, teams, batches, steps: *steps });
            self.halt = self.simulation.halt();
            self.end_day();
        }
        if self.event_free < self.steps {
            let worth_it = self.event_free >= WORTH_IT;
            self.next_rest = if worth_it { 1 } else { (2 * self.next_rest).min(LONGEST_REST) };
            self.rest = self.next_rest;
        }
    }
}

impl<'m> Case<'m, Nobody> {
    /// A model that warms up and no more.
    pub(in crate::engine) fn at_the_start(model: &'m Model) -> Self {
        Self { end: Instant::START, is_closed: true, ..Self::new(model, Nobody) }
    }

    /// A simulation that goes on until an instant, and no end of its model.
    pub(super) fn going_on(simulation: Simulation<'m>, until: Instant) -> Self {
        Self { end: until, is_closed: true, ..Self::of(simulation, None, 0, Nobody) }
    }

    /// The simulation at its first step, and how many warm-up days there were.
    pub(in crate::engine) fn started(self) -> (Simulation<'m>, u32) {
        (self.simulation, self.warmup_days)
    }
}
