//! One run with what weeks and years tell besides: months, mornings, the lock calendar.

use super::hours::steps_left;
use super::lock_calendar::{self, MonthStarts};
use super::mornings::{Morning, MorningWatch};
use super::simulate::{Finished, Keep, Recorder, finished};
use crate::control::Outcome;
use crate::engine::{
    Case, GroupView, Interval, IntervalObserver, LedgerRow, Model, Observer, PersonView,
    Simulation, ZoneIndex, ZoneView,
};
use crate::measures::{LawfulMeter, MONTHS_FROM_DAYS, Meter, MonthMeter, Seasonal};
use crate::people::PersonIndex;
use crate::time::{Instant, Seconds};

/// Simulates a model while others watch it, too, and adds what its length and its file ask for:
/// months from four weeks on, mornings where a setback ends with a schedule, and the lock
/// calendar where the file gives lawful temperatures.
pub fn simulate_season(
    model: &Model,
    keep: Keep,
    watcher: &mut impl IntervalObserver,
) -> (Finished, Vec<Morning>) {
    simulate_season_while(model, keep, watcher, &mut |_| true)
}

/// The same, as long as `go_on` says so, which is asked before each simulated hour; what was broken
/// off has figures of its first part alone.
pub fn simulate_season_while(
    model: &Model,
    keep: Keep,
    watcher: &mut impl IntervalObserver,
    go_on: &mut dyn FnMut(Instant) -> bool,
) -> (Finished, Vec<Morning>) {
    let starts = lock_calendar::is_wanted(model).then(|| MonthStarts::new(model));
    let season = Season {
        meter: Meter::new(model),
        recorder: Recorder::new(model, keep),
        months: (model.period.days() >= MONTHS_FROM_DAYS).then(|| MonthMeter::new(model)),
        mornings: MorningWatch::wanted(model),
        lawful: starts.as_ref().map(|_| LawfulMeter::new(model)),
        starts,
        watcher,
        go_on,
    };
    let case = Case::new(model, season).run();
    let halt = case.halt();
    let (season, warmup_days) = case.finish();
    let Season { meter, recorder, months, mut mornings, starts, lawful, .. } = season;
    // Those of the last step.
    mornings.iter_mut().for_each(MorningWatch::find_leads);
    let mut finished = finished(&meter, recorder, warmup_days, halt);
    let mornings = mornings.map(MorningWatch::finish).unwrap_or_default();
    finished.summary.seasonal = Seasonal {
        months: months.map(MonthMeter::months).unwrap_or_default(),
        mornings: super::mornings::figures(model, &mornings),
        lock_calendar: starts.map(|starts| starts.calendar(lawful)).unwrap_or_default(),
    };
    (finished, mornings)
}

/// Everybody who watches a run.
struct Season<'s, 'm, W> {
    meter: Meter<'m>,
    recorder: Recorder,
    months: Option<MonthMeter<'m>>,
    mornings: Option<MorningWatch<'m>>,
    starts: Option<MonthStarts<'m>>,
    lawful: Option<LawfulMeter<'m>>,
    watcher: &'s mut W,
    go_on: &'s mut dyn FnMut(Instant) -> bool,
}

impl<W: IntervalObserver> Season<'_, '_, W> {
    /// Tells all of them.
    fn each(&mut self, tell: impl FnOnce(&mut dyn Observer)) {
        let Self { meter, recorder, months, mornings, lawful, watcher, .. } = self;
        let seasons = &mut (months, &mut (mornings, lawful));
        tell(&mut (&mut (&mut (meter, recorder), seasons), &mut **watcher));
    }
}

impl<W: IntervalObserver> Observer for Season<'_, '_, W> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        self.each(|all| all.zone(view));
    }

    fn group(&mut self, view: &GroupView<'_>) {
        self.each(|all| all.group(view));
    }

    fn ledger(&mut self, row: LedgerRow) {
        self.each(|all| all.ledger(row));
    }

    fn call_began(&mut self, zone: ZoneIndex, at: Instant) {
        self.each(|all| all.call_began(zone, at));
    }

    fn person(&mut self, view: &PersonView) {
        self.each(|all| all.person(view));
    }

    fn person_pressed(&mut self, person: PersonIndex, outcome: Outcome) {
        self.each(|all| all.person_pressed(person, outcome));
    }
}

/// What they need room for to take intervals.
#[derive(Default)]
struct Room<M> {
    meter: <Meter<'static> as IntervalObserver>::Memory,
    recorder: <Recorder as IntervalObserver>::Memory,
    watcher: M,
}

impl<W: IntervalObserver> IntervalObserver for Season<'_, '_, W> {
    type Memory = Room<W::Memory>;

    fn intervals(each: &mut [(&mut Self, Interval<'_>)], room: &mut Self::Memory) {
        for (season, interval) in each {
            season.meter.interval(interval, &mut room.meter);
            season.recorder.interval(interval, &mut room.recorder);
            if let Some(months) = &mut season.months {
                months.interval(interval, &mut room.meter);
            }
            if let Some(mornings) = &mut season.mornings {
                mornings.interval(interval, &mut ());
            }
            season.watcher.interval(interval, &mut room.watcher);
        }
    }

    /// Lawful temperatures are counted step by step.
    fn takes_intervals(&self) -> bool {
        self.lawful.is_none() && self.recorder.takes_intervals() && self.watcher.takes_intervals()
    }

    fn goes_on(&mut self, simulation: &Simulation<'_>) -> bool {
        let now = simulation.state().now;
        if let Some(mornings) = &mut self.mornings {
            mornings.find_leads();
        }
        if now >= simulation.model().period.end()
            || (now.second_of_day() % 3600 == 0 && !(self.go_on)(now))
        {
            return false;
        }
        if let Some(starts) = &mut self.starts {
            starts.keep(simulation, &mut self.lawful);
        }
        if let Some(mornings) = &mut self.mornings {
            mornings.keep(simulation);
        }
        true
    }

    /// Each hour is seen from its beginning.
    fn most_steps(&self, at: Instant, step: Seconds) -> usize {
        steps_left(at, step).min(self.watcher.most_steps(at, step))
    }

    fn feels_always(&self) -> bool {
        self.recorder.feels_always() || self.watcher.feels_always()
    }
}
