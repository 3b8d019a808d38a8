//! Cases that run together, interval by interval.

use super::case::Case;
use super::exchange::Exchange;
use super::interval::IntervalObserver;
use super::rows::Batch;
use super::seats::Seats;
use crate::engine::step::Simulation;
use crate::time::Instant;

impl<O: IntervalObserver> Case<'_, O> {
    /// Runs it to its end, by itself.
    #[must_use]
    pub fn run(self) -> Self {
        let mut alone = [self];
        run_together(&mut alone);
        let [case] = alone;
        case
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
    Together::default().run(cases);
}

/// Working memory of runs, for many short ones.
#[derive(Debug)]
pub struct Together {
    batches: Vec<Batch>,
    exchange: Exchange,
    seats: Seats,
}

impl Default for Together {
    fn default() -> Self {
        Self { batches: Vec::new(), exchange: Exchange::new(), seats: Seats::default() }
    }
}

impl Together {
    /// Lets a simulation go on, unseen, until the start of the first step at or after an instant.
    #[must_use]
    pub fn pass<'m>(&mut self, simulation: Simulation<'m>, until: Instant) -> Simulation<'m> {
        let mut alone = [Case::going_on(simulation, until)];
        self.run(&mut alone);
        let [case] = alone;
        case.started().0
    }

    fn run<O: IntervalObserver>(&mut self, cases: &mut [Case<'_, O>]) {
        let Self { batches, exchange, seats } = self;
        let mut memory = O::Memory::default();
        loop {
            cases.iter_mut().for_each(Case::close);
            // Nobody begins a day before all have ended the day before: what they have in common is
            // then worked out once, and they meet again.
            let running = cases.iter().filter(|case| !case.is_over());
            let day = running.map(|case| case.simulation.state.now.day()).min();
            let Some(day) = day else { return };
            for case in &mut *cases {
                case.steps = case.step_to_interval(day);
            }
            seats.assign(cases);
            batches.resize_with(seats.batches().max(batches.len()), Batch::new);
            for (number, batch) in batches[..seats.batches()].iter_mut().enumerate() {
                seats.follow(number, batch, exchange, cases);
            }
            let in_interval = cases.iter_mut().filter(|case| case.steps > 0);
            let mut shown: Vec<_> = in_interval.filter_map(|case| case.show(batches)).collect();
            O::intervals(&mut shown, &mut memory);
            for case in cases.iter_mut().filter(|case| case.steps > 0) {
                case.take_over(batches);
            }
        }
    }
}
