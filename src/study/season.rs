//! One run with what weeks and years tell besides: months, mornings, the lock calendar.

use super::lock_calendar::{self, MonthStarts};
use super::mornings::{Morning, MorningWatch};
use super::simulate::{Finished, Keep, Recorder, finished};
use crate::engine::{Model, Observer, start};
use crate::measures::{LawfulMeter, MONTHS_FROM_DAYS, Meter, MonthMeter, Seasonal};
use crate::time::Instant;

/// Simulates a model while others watch it, too, and adds what its length and its file ask for:
/// months from four weeks on, mornings where a setback ends with a schedule, and the lock
/// calendar where the file gives lawful temperatures.
pub fn simulate_season(
    model: &Model,
    keep: Keep,
    watcher: &mut impl Observer,
) -> (Finished, Vec<Morning>) {
    simulate_season_while(model, keep, watcher, &mut |_| true)
}

/// The same, as long as `go_on` says so, which is asked before each simulated hour; what was broken
/// off has figures of its first part alone.
pub fn simulate_season_while(
    model: &Model,
    keep: Keep,
    watcher: &mut impl Observer,
    go_on: &mut dyn FnMut(Instant) -> bool,
) -> (Finished, Vec<Morning>) {
    let (mut meter, mut recorder) = (Meter::new(model), Recorder::new(model, keep));
    let mut months = (model.period.days() >= MONTHS_FROM_DAYS).then(|| MonthMeter::new(model));
    let mut mornings = MorningWatch::wanted(model);
    let mut starts = lock_calendar::is_wanted(model).then(|| MonthStarts::new(model));
    let mut lawful = starts.as_ref().map(|_| LawfulMeter::new(model));

    let (mut simulation, warmup_days) = start(model);
    let mut asked = |now: Instant| now.second_of_day() % 3600 != 0 || go_on(now);
    while simulation.state().now < model.period.end()
        && simulation.halt().is_none()
        && asked(simulation.state().now)
    {
        if let Some(starts) = &mut starts {
            starts.keep(&simulation, &mut lawful);
        }
        if let Some(mornings) = &mut mornings {
            mornings.keep(&simulation);
        }
        let figures = &mut (&mut meter, &mut recorder);
        let seasons = &mut (&mut months, &mut (&mut mornings, &mut lawful));
        simulation.step(&mut (&mut (figures, seasons), &mut *watcher));
        if let Some(mornings) = &mut mornings {
            mornings.find_leads(&simulation);
        }
    }
    let figures = &mut (&mut meter, &mut recorder);
    let seasons = &mut (&mut months, &mut (&mut mornings, &mut lawful));
    simulation.end(&mut (&mut (figures, seasons), &mut *watcher));
    let mut finished = finished(&meter, recorder, warmup_days, simulation.halt());
    let mornings = mornings.map(MorningWatch::finish).unwrap_or_default();
    finished.summary.seasonal = Seasonal {
        months: months.map(MonthMeter::months).unwrap_or_default(),
        mornings: super::mornings::figures(model, &mornings),
        lock_calendar: starts.map(|starts| starts.calendar(lawful)).unwrap_or_default(),
    };
    (finished, mornings)
}
