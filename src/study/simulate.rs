//! One run with everything that outputs need.

use super::hours::{HourTally, steps_left};
use crate::engine::{
    Case, GroupView, Halt, Interval, IntervalObserver, LedgerRow, Model, Observer, Simulation,
    StepRow, VALUES, ZoneIndex, ZoneView,
};
use crate::measures::{Meter, Summary};
use crate::time::{Instant, Seconds};

/// Which step rows of a run are kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keep {
    /// None: only figures and the ledger.
    Nothing,
    /// Every step of every zone.
    Steps,
    /// Every step of every zone on one day, counted from 0.
    Day(i64),
    /// The hours of every zone, see [`HourTally`].
    Hours,
}

/// Runs with more rows than this are kept by the hour, so that memory does not grow with a year.
const MOST_ROWS: i64 = 500_000;

impl Keep {
    /// What charts of a model need: every step, or the hours of a run that is too long for that.
    pub fn for_charts(model: &Model) -> Self {
        let steps = model.period.days() * model.period.steps_per_day();
        let zones = i64::try_from(model.zones.len()).unwrap_or(i64::MAX);
        if steps.saturating_mul(zones) > MOST_ROWS { Self::Hours } else { Self::Steps }
    }

    /// The model as rows that are kept so show it: where they are hours, its steps are hours.
    pub fn shown(self, model: Model) -> Model {
        if self != Self::Hours {
            return model;
        }
        let by_hour = model.period.in_steps_of(Seconds::hours(1));
        Model { period: by_hour.unwrap_or(model.period), ..model }
    }
}

/// A finished run.
#[derive(Clone, Debug)]
pub struct Finished {
    /// Its figures.
    pub summary: Summary,
    /// Its steps, by time and then by zone; empty where none were kept.
    pub rows: Vec<StepRow>,
    /// Its ledger, by time.
    pub ledger: Vec<LedgerRow>,
    /// Why it ended before its time; then nothing else of it counts.
    pub halt: Option<Halt>,
}

/// Simulates a model.
pub fn simulate(model: &Model, keep: Keep) -> Finished {
    simulate_while(model, keep, &mut |_| true)
}

/// The same, as long as `go_on` says so, which hears where the run is before each of its steps or
/// intervals; what was broken off has figures of its first part alone.
pub(super) fn simulate_while(
    model: &Model,
    keep: Keep,
    go_on: &mut dyn FnMut(Instant) -> bool,
) -> Finished {
    let mut meter = Meter::new(model);
    let mut recorder = Recorder::new(model, keep);
    let observers = &mut (&mut recorder, &mut While { go_on });
    let case = Case::new(model, (&mut meter, observers)).run();
    let halt = case.halt();
    let (_, warmup_days) = case.finish();
    finished(&meter, recorder, warmup_days, halt)
}

/// Ends a run once nobody wants it any more.
struct While<'g> {
    go_on: &'g mut dyn FnMut(Instant) -> bool,
}

impl Observer for While<'_> {
    fn zone(&mut self, _: &ZoneView<'_>) {}
    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

impl IntervalObserver for While<'_> {
    type Memory = ();

    fn intervals(_: &mut [(&mut Self, Interval<'_>)], (): &mut ()) {}

    fn goes_on(&mut self, simulation: &Simulation<'_>) -> bool {
        let now = simulation.state().now;
        now < simulation.model().period.end() && (self.go_on)(now)
    }
}

/// What is left of a run that has ended.
pub(super) fn finished(
    meter: &Meter<'_>,
    recorder: Recorder,
    warmup_days: u32,
    halt: Option<Halt>,
) -> Finished {
    let Recorder { rows, mut ledger, .. } = recorder;
    // A starved spell is known only after a while and is dated back to its start.
    ledger.sort_by_key(|row| row.at);
    Finished { summary: meter.summary(warmup_days), rows, ledger, halt }
}

/// An observer that hands on every step row and keeps none.
#[derive(Debug)]
pub struct EachRow<F>(pub F);

impl<F: FnMut(&StepRow)> Observer for EachRow<F> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        (self.0)(&view.row());
    }

    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

pub(super) struct Recorder {
    keep: Keep,
    step: Seconds,
    hours: Vec<HourTally>,
    rows: Vec<StepRow>,
    ledger: Vec<LedgerRow>,
}

impl Recorder {
    pub(super) fn new(model: &Model, keep: Keep) -> Self {
        let hours = vec![HourTally::default(); model.zones.len()];
        let step = model.period.step();
        Self { keep, step, hours, rows: Vec::new(), ledger: Vec::new() }
    }
}

impl Observer for Recorder {
    fn zone(&mut self, view: &ZoneView<'_>) {
        match self.keep {
            Keep::Nothing => {}
            Keep::Steps => self.rows.push(view.row()),
            Keep::Day(day) => {
                if view.at.day() == day {
                    self.rows.push(view.row());
                }
            }
            Keep::Hours => {
                self.rows.extend(self.hours[view.zone.get()].add(&view.row(), self.step));
            }
        }
    }

    fn group(&mut self, _: &GroupView<'_>) {}

    fn ledger(&mut self, row: LedgerRow) {
        self.ledger.push(row);
    }

    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

/// Event-free intervals leave nothing in the ledger.
impl IntervalObserver for Recorder {
    type Memory = Vec<[f64; VALUES]>;

    fn intervals(each: &mut [(&mut Self, Interval<'_>)], sums: &mut Self::Memory) {
        for (recorder, interval) in each.iter_mut().filter(|(it, _)| it.keep == Keep::Hours) {
            let Recorder { hours, rows, .. } = &mut **recorder;
            sums.clear();
            sums.extend(hours.iter().map(HourTally::so_far));
            interval.add_values(sums);
            for ((hour, zone), sums) in hours.iter_mut().zip(interval.zones()).zip(&*sums) {
                rows.extend(hour.add_interval(interval, &zone, sums));
            }
        }
    }

    fn takes_intervals(&self) -> bool {
        matches!(self.keep, Keep::Nothing | Keep::Hours)
    }

    fn most_steps(&self, at: Instant, step: Seconds) -> usize {
        if self.keep == Keep::Hours { steps_left(at, step) } else { usize::MAX }
    }

    fn feels_always(&self) -> bool {
        self.keep == Keep::Hours
    }
}

impl<F: FnMut(&StepRow)> IntervalObserver for EachRow<F> {
    type Memory = ();

    fn intervals(_: &mut [(&mut Self, Interval<'_>)], (): &mut ()) {}

    fn takes_intervals(&self) -> bool {
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engine::{Entry, MOST_LEDGER_ROWS, Nobody};
    use crate::scenario::read;
    use crate::study::simulate_season;

    /// A unit that can only cool, in a room far below its low limit.
    #[test]
    fn a_low_limit_of_a_unit_that_cannot_heat_serves_nobody() {
        let text = "period: {from: 2025-01-16, step: 10 min}\nweather: {design_day: {high: -5, range: \
                    5}}\nzones:\n  loft: {space: {floor: 60 m2, start: 5}, unit: {cooling: 4 kW}, \
                    controls: {heat: 20, cool: 24, low_limit: 12}}\n";
        let model = read(text, "cold.yaml", &|_| Err(String::new())).expect("a scenario").base;
        let finished = simulate(&model, Keep::Steps);
        let (_, figures) = &finished.summary.zones[0];
        assert_eq!(figures.served_hours, 0.0);
        assert!(finished.rows.iter().all(|row| row.heat_w == 0.0 && row.served.is_none()));
        let acts = |row: &LedgerRow| format!("{:?}", row.entry).contains("LowLimit");
        assert!(!finished.ledger.iter().any(acts), "{:?}", finished.ledger);
    }

    /// Far more presses than anybody could read.
    #[test]
    fn a_ledger_that_cannot_be_kept_ends_the_run() {
        let text = "period: {from: 2025-04-16, step: 1 h}\nweather: {design_day: {high: 18, range: \
                    11}}\nzones:\n  hall: {space: {floor: 60 m2, start: 20}, unit: {heating: 4 kW, \
                    cooling: 4 kW}, controls: {heat: 20, cool: 24}}\nactions:\n  - {at: \"01:00\", \
                    zone: hall, press: mode}\n";
        let mut model = read(text, "busy.yaml", &|_| Err(String::new())).expect("a scenario").base;
        model.actions = vec![model.actions[0].clone(); MOST_LEDGER_ROWS + 1];
        let finished = simulate(&model, Keep::Nothing);
        let at = Instant::new(7200);
        assert_eq!(finished.halt, Some(Halt::LedgerFull { at }));
        model.actions.truncate(100);
        assert_eq!(simulate(&model, Keep::Nothing).halt, None);
    }

    /// Presses shortly before the end of the day, in steps of an hour and of a minute.
    #[test]
    fn what_is_asked_for_after_the_last_step_has_its_row() {
        for (step, at) in
            [("1 h", "23:30"), ("1 h", "23:59"), ("15 min", "23:50"), ("1 min", "23:59")]
        {
            let text = format!(
                "period: {{from: 2025-04-16, step: {step}}}\nweather: {{design_day: {{high: 18, \
                 range: 11}}}}\nzones:\n  hall: {{space: {{floor: 60 m2}}, unit: {{heating: 4 kW, \
                 cooling: 4 kW}}, controls: {{heat: 20, cool: 24}}}}\nactions:\n  - {{at: \
                 \"00:00\", zone: hall, press: warmer}}\n  - {{at: \"{at}\", zone: hall, press: \
                 cooler}}\n"
            );
            let study = read(&text, "late.yaml", &|_| Err(String::new())).expect("a scenario");
            let is_request = |row: &&LedgerRow| matches!(row.entry, Entry::Request { .. });
            let runs = [
                simulate(&study.base, Keep::Nothing),
                simulate(&study.base, Keep::Steps),
                simulate_season(&study.base, Keep::Nothing, &mut Nobody).0,
            ];
            for run in runs {
                let rows: Vec<&LedgerRow> = run.ledger.iter().filter(is_request).collect();
                assert_eq!(rows.len(), 2, "{step}, {at}");
                assert_eq!(rows[0].after, rows[1].before, "{step}, {at}");
                let (_, figures) = &run.summary.zones[0];
                let requests = &figures.requests;
                let all = requests.accepted
                    + requests.pushed
                    + requests.limited
                    + requests.refused
                    + requests.no_effect;
                assert_eq!(all, 2, "{step}, {at}");
            }
        }
    }
}
