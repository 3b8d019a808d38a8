//! What each day of a period was like: how long zones were starved and out of band, how often they
//! changed over, what they took.

use super::simulate::{Finished, Keep, Recorder, finished};
use crate::direction::Direction;
use crate::engine::{
    Case, GroupView, Interval, IntervalObserver, LedgerRow, Model, Observer, ZoneIndex, ZoneView,
};
use crate::measures::Meter;
use crate::time::Instant;

/// J in a kWh.
const JOULES_PER_KWH: f64 = 3.6e6;

/// What one zone did on one day.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ZoneDay {
    /// Hours starved.
    pub starved_hours: f64,
    /// Occupied hours with the operative temperature outside the comfort band.
    pub hours_outside_band: f64,
    /// Steps served in the direction opposite to the last served one.
    pub changeovers: u64,
    /// Electricity of its share, kWh.
    pub kwh: f64,
}

/// The days of a run: of each day, from the first on, what each zone did.
pub type Days = Vec<Vec<ZoneDay>>;

/// Simulates a model as `simulate` does, and adds up each day by itself.
///
/// ```
/// use setband::Scenario;
/// use setband::study::{Keep, simulate_days};
///
/// let scenario = Scenario::parse(
///     "period: {from: 2025-01-16, days: 2, step: 10 min}
/// weather: {design_day: {high: 2, range: 6}}
/// zones:
///   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
/// ",
/// )?;
/// let (finished, days) = simulate_days(scenario.model(), Keep::Nothing);
/// let kwh: f64 = days.iter().flatten().map(|zone| zone.kwh).sum();
/// assert!((kwh - finished.summary.energy.total_kwh).abs() < 1e-6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
pub fn simulate_days(model: &Model, keep: Keep) -> (Finished, Days) {
    let (mut meter, mut recorder) = (Meter::new(model), Recorder::new(model, keep));
    let mut tally = DayTally::new(model);
    let others = &mut (&mut recorder, &mut tally);
    let case = Case::new(model, (&mut meter, others)).run();
    let halt = case.halt();
    let (_, warmup_days) = case.finish();
    (finished(&meter, recorder, warmup_days, halt), tally.days)
}

struct DayTally<'m> {
    model: &'m Model,
    days: Days,
    /// The direction in which each zone was served last.
    last: Vec<Option<Direction>>,
}

impl<'m> DayTally<'m> {
    fn new(model: &'m Model) -> Self {
        let days = usize::try_from(model.period.days()).unwrap_or(0);
        let zones = model.zones.len();
        Self { model, days: vec![vec![ZoneDay::default(); zones]; days], last: vec![None; zones] }
    }
}

impl Observer for DayTally<'_> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        let place = view.zone.get();
        let step = self.model.period.step();
        let day = usize::try_from(view.at.day()).ok().and_then(|day| self.days.get_mut(day));
        let Some(of_day) = day.and_then(|day| day.get_mut(place)) else { return };
        let row = view.row();
        let hours = step.in_hours();
        if row.starved {
            of_day.starved_hours += hours;
        }
        let (low, high) = self.model.zones[place].comfort.counted();
        let operative = view.operative();
        if row.occupied && (operative < low || operative > high) {
            of_day.hours_outside_band += hours;
        }
        of_day.kwh += row.electric_w * step.get() as f64 / JOULES_PER_KWH;
        if let Some(direction) = row.served {
            let last = self.last[place].replace(direction);
            of_day.changeovers += u64::from(last.is_some_and(|last| last != direction));
        }
    }

    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}

/// Every step is looked at by itself.
impl IntervalObserver for DayTally<'_> {
    type Memory = ();

    fn intervals(_: &mut [(&mut Self, Interval<'_>)], (): &mut ()) {}

    fn takes_intervals(&self) -> bool {
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::read;

    /// Two rooms of which one starves, over three days.
    #[test]
    fn days_add_up_to_the_figures_of_the_whole() {
        let text = "period: {from: 2025-04-08, days: 3, step: 5 min}\nweather: {design_day: {high: 14, \
            range: 9}}\noutdoor_unit: {owner: loom, heating: [{outdoor: 8, capacity: 12 kW, cop: 3.7}], \
            cooling: [{outdoor: 20, capacity: 12 kW, cop: 5.2}]}\nzones:\n  loom: {space: {floor: 90 \
            m2}, gains: {from: \"06:30\", to: \"15:30\", power: 3300 W}, unit: {heating: 5 kW, cooling: \
            5 kW}, controls: {heat: 19, cool: 22}}\n  office: {space: {floor: 40 m2}, unit: {heating: 3 \
            kW, cooling: 3 kW}, controls: {heat: 21, cool: 24}}\n";
        let model = read(text, "loom.yaml", &|_| Err(String::new())).expect("a scenario").base;
        let (finished, days) = simulate_days(&model, Keep::Nothing);
        assert_eq!(days.len(), 3);
        let close = |one: f64, other: f64| assert!((one - other).abs() < 1e-6, "{one} {other}");
        for (place, (_, figures)) in finished.summary.zones.iter().enumerate() {
            let sum = |of: fn(&ZoneDay) -> f64| days.iter().map(|day| of(&day[place])).sum::<f64>();
            close(sum(|day| day.starved_hours), figures.starved_hours);
            close(sum(|day| day.hours_outside_band), figures.hours_outside_band);
            let changeovers: u64 = days.iter().map(|day| day[place].changeovers).sum();
            assert_eq!(changeovers, figures.changeovers);
        }
        let starved = days[0][1].starved_hours;
        assert!(starved > 1.0 && finished.summary.zones[1].1.starved_hours > 0.0, "{starved}");
        close(days.iter().flatten().map(|zone| zone.kwh).sum(), finished.summary.energy.total_kwh);
    }
}
