//! Cases that run together: each is stepped by itself, except over event-free intervals, which all
//! of them step side by side, one zone in each lane.

use super::batch::{Batch, LANES};
use super::interval::{Interval, IntervalObserver, Place};
use super::lane::{EventFree, Lane};
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
    simulation: Simulation<'m>,
    /// The warm-up, until it has found the periodic state.
    warm_up: Option<WarmUp>,
    warmup_days: u32,
    /// When it is over.
    end: Instant,
    /// Whether what is asked for at its very end has been judged.
    is_closed: bool,
    /// Why it ended before its time, if it did.
    halt: Option<Halt>,
    observer: O,
    /// Steps to be made one by one before another interval is tried, and how many it is next time.
    rest: u32,
    next_rest: u32,
    /// What its zones do in this round, and where their steps are, if it takes part.
    zones: Vec<EventFree>,
    places: Vec<Place>,
    /// The longest interval that it may have in this round.
    steps: usize,
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
            simulation,
            warm_up,
            warmup_days,
            observer,
            rest: 0,
            next_rest: 1,
            zones: Vec::with_capacity(zones),
            places: Vec::with_capacity(zones),
            steps: 0,
            event_free: 0,
        }
    }

    /// Runs it to its end, by itself.
    #[must_use]
    pub fn run(self) -> Self {
        let mut alone = [self];
        run_together(&mut alone);
        let [case] = alone;
        case
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

    fn is_over(&self) -> bool {
        let is_ended = self.warm_up.is_none() && self.simulation.state.now >= self.end;
        is_ended || self.halt.is_some()
    }

    /// Judges what was asked for after the last step began, once.
    fn close(&mut self) {
        if self.is_over() && self.halt.is_none() && !self.is_closed {
            self.is_closed = true;
            self.simulation.end(&mut self.observer);
        }
    }

    /// Makes steps one by one until the next might be event-free. How many might, zero at the end of the
    /// day.
    fn step_to_interval(&mut self, day: i64) -> usize {
        while !self.is_over() && self.simulation.state.now.day() <= day {
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
        let steps = self.simulation.steps_to_next_event();
        self.zones.clear();
        if steps > 0 {
            let zones = 0..self.simulation.model().zones.len();
            self.zones.extend(zones.map_while(|zone| self.simulation.event_free(zone)));
        }
        if self.zones.len() < self.simulation.model().zones.len() { 0 } else { steps }
    }

    fn lane(&self, zone: usize) -> Lane<'_> {
        self.simulation.lane(zone, &self.zones[zone])
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
    fn show<'s>(&'s mut self, batches: &'s [Batch]) -> Option<(&'s mut O, Interval<'s>)> {
        let event_free = |place: &Place| batches[place.batch].event_free(place.lane, self.steps);
        self.event_free = self.places.iter().map(event_free).min().unwrap_or(0);
        if self.event_free == 0 {
            return None;
        }
        let Self { simulation, zones, places, warm_up, observer, event_free: steps, .. } = self;
        let interval = Interval { simulation, zones, places, batches, steps: *steps };
        if let Some(warm_up) = warm_up {
            warm_up.day.interval(&interval, &mut ());
            return None;
        }
        interval.tell_calls(observer);
        Some((observer, interval))
    }

    /// Goes on from the end of that part. The step at which a zone was not event-free is left to be made
    /// by itself.
    fn take_over(&mut self, batches: &[Batch]) {
        if self.event_free > 0 {
            self.simulation.settle(&self.zones, &self.places, batches, self.event_free);
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

    /// The simulation at its first step, and how many warm-up days there were.
    pub(in crate::engine) fn started(self) -> (Simulation<'m>, u32) {
        (self.simulation, self.warmup_days)
    }
}

/// Lets cases work out together what they have in common: weather, and what acts on rooms that are
/// alike. No result changes.
pub fn share<O: IntervalObserver>(cases: &mut [Case<'_, O>]) {
    for at in 1..cases.len() {
        let (before, rest) = cases.split_at_mut(at);
        let own = &mut rest[0].simulation;
        for other in before {
            if own.scratch.drivers.has_company() {
                break;
            }
            let other = &mut other.simulation;
            own.scratch.drivers.share(&own.plan, &mut other.scratch.drivers, &other.plan);
        }
    }
}

/// Runs cases to their ends. Each gives the results that it gives alone.
pub fn run_together<O: IntervalObserver>(cases: &mut [Case<'_, O>]) {
    let zones: usize = cases.iter().map(|case| case.simulation.model().zones.len()).sum();
    let mut batches = vec![Batch::new(); zones.div_ceil(LANES)];
    // The case and the zone of each lane, batch by batch.
    let mut wanted: Vec<(usize, usize)> = Vec::with_capacity(zones);
    let mut memory = O::Memory::default();
    loop {
        wanted.clear();
        cases.iter_mut().for_each(Case::close);
        // Nobody begins a day before all have ended the day before: what they have in common is
        // then worked out once, and they meet again.
        let running = cases.iter().filter(|case| !case.is_over());
        let Some(day) = running.map(|case| case.simulation.state.now.day()).min() else { return };
        for (at, case) in cases.iter_mut().enumerate() {
            case.places.clear();
            case.steps = case.step_to_interval(day);
            if case.steps > 0 {
                wanted.extend((0..case.simulation.model().zones.len()).map(|zone| (at, zone)));
            }
        }
        // Cases at the same place stand together: the same acts on them.
        wanted.sort_unstable_by_key(|&(case, zone)| {
            (cases[case].simulation.scratch.place, case, zone)
        });
        for (number, (batch, wanted)) in batches.iter_mut().zip(wanted.chunks(LANES)).enumerate() {
            follow(number, batch, wanted, cases);
        }
        let in_interval = cases.iter_mut().filter(|case| case.steps > 0);
        let mut shown: Vec<_> = in_interval.filter_map(|case| case.show(&batches)).collect();
        O::intervals(&mut shown, &mut memory);
        for case in cases.iter_mut().filter(|case| case.steps > 0) {
            case.take_over(&batches);
        }
    }
}

/// Takes zones of cases through their intervals side by side, and tells the cases where they are.
fn follow<O: IntervalObserver>(
    number: usize,
    batch: &mut Batch,
    wanted: &[(usize, usize)],
    cases: &mut [Case<'_, O>],
) {
    let mut steps = [0; LANES];
    {
        let mut lanes = [None; LANES];
        for (at, &(case, zone)) in wanted.iter().enumerate() {
            steps[at] = cases[case].steps;
            lanes[at] = Some(cases[case].lane(zone));
        }
        let Some(first) = &lanes[0] else { return };
        let lanes = std::array::from_fn(|at| lanes[at].as_ref().unwrap_or(first));
        batch.follow(&lanes, &steps[..wanted.len()]);
    }
    for (lane, &(case, _)) in wanted.iter().enumerate() {
        cases[case].places.push(Place { batch: number, lane });
    }
}
