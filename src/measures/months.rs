//! Adds a run up month by month.

use jiff::civil::Date;

use super::meter::Meter;
use super::month_figures::{MonthFigures, MonthZoneFigures, Months};
use super::summary::Summary;
use super::zone_figures::ZoneFigures;
use crate::engine::{
    GroupView, Interval, IntervalObserver, LedgerRow, Model, Observer, ZoneIndex, ZoneView,
};
use crate::time::{DAY, Instant, Month};

/// Runs of at least so many days are told month by month.
pub const MONTHS_FROM_DAYS: i64 = 28;

/// J in a kWh.
const JOULES_PER_KWH: f64 = 3.6e6;

/// An observer that adds up each month by itself: in each it is a [`Meter`] at zero.
#[derive(Clone, Debug)]
pub struct MonthMeter<'m> {
    model: &'m Model,
    /// The month that is being added, and when it ends.
    first: Date,
    until: Instant,
    meter: Meter<'m>,
    /// Electric power of each zone, summed over steps, W.
    electric: Vec<f64>,
    done: Vec<MonthFigures>,
}

impl<'m> MonthMeter<'m> {
    /// A meter at zero.
    pub fn new(model: &'m Model) -> Self {
        let first = model.period.date(0).first_of_month();
        Self {
            model,
            first,
            until: end_of_month(model, 0),
            meter: Meter::new(model),
            electric: vec![0.0; model.zones.len()],
            done: Vec::new(),
        }
    }

    /// The months of a run that has ended.
    pub fn months(mut self) -> Vec<MonthFigures> {
        self.close();
        self.done
    }

    /// Goes on to the month of an instant.
    fn turn_to(&mut self, at: Instant) {
        if at >= self.until && at < self.model.period.end() {
            self.close();
            self.first = self.model.period.date(at.day()).first_of_month();
            self.until = end_of_month(self.model, at.day());
            self.meter = Meter::new(self.model);
            self.electric.fill(0.0);
        }
    }

    fn close(&mut self) {
        let step = self.model.period.step();
        let Summary { period, energy, group, zones, .. } = self.meter.summary(0);
        let zone = |((id, figures), electric): ((String, ZoneFigures), &f64)| {
            let [heating_hours, cooling_hours] = figures.served_hours_by_direction;
            let figures = MonthZoneFigures {
                electric_kwh: electric * step.get() as f64 / JOULES_PER_KWH,
                heating_hours,
                cooling_hours,
                starved_hours: figures.starved_hours,
                changeovers: figures.changeovers,
                occupied_hours: figures.occupied_hours,
                hours_outside_band: figures.hours_outside_band,
                degree_hours_outside_band: figures.degree_hours_outside_band,
                temperature: figures.temperature,
            };
            (id, figures)
        };
        self.done.push(MonthFigures {
            month: Months::One(Month::of(self.first)),
            hours: period.hours,
            energy,
            changeovers: group.changeovers,
            mixed_demand_hours: group.mixed_demand_hours,
            zones: zones.into_iter().zip(&self.electric).map(zone).collect(),
        });
    }
}

/// Midnight at which the month of a day ends.
pub(super) fn end_of_month(model: &Model, day: i64) -> Instant {
    let date = model.period.date(day);
    Instant::new((day + i64::from(date.days_in_month()) - i64::from(date.day()) + 1) * DAY)
}

impl Observer for MonthMeter<'_> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        self.turn_to(view.at);
        self.meter.zone(view);
        self.electric[view.zone.get()] += view.power.electric();
    }

    fn group(&mut self, view: &GroupView<'_>) {
        self.meter.group(view);
    }

    fn ledger(&mut self, row: LedgerRow) {
        self.turn_to(row.at);
        self.meter.ledger(row);
    }

    fn call_began(&mut self, zone: ZoneIndex, at: Instant) {
        self.turn_to(at);
        self.meter.call_began(zone, at);
    }
}

/// Months turn at midnight, which no interval passes.
impl IntervalObserver for MonthMeter<'_> {
    type Memory = <Meter<'static> as IntervalObserver>::Memory;

    fn intervals(each: &mut [(&mut Self, Interval<'_>)], memory: &mut Self::Memory) {
        for (months, interval) in &mut *each {
            months.turn_to(interval.from());
            for (sum, zone) in months.electric.iter_mut().zip(interval.zones()) {
                (0..interval.steps()).for_each(|step| *sum += zone.electric(step));
            }
        }
        let mut meters: Vec<_> = each.iter_mut().map(|(it, of)| (&mut it.meter, *of)).collect();
        Meter::intervals(&mut meters, memory);
    }
}
