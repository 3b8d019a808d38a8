//! Adds a run up month by month.

use jiff::civil::Date;
use serde::Serialize;

use super::meter::Meter;
use super::summary::{EnergyUse, Summary, TemperatureFigures, ZoneFigures, as_map};
use crate::engine::{GroupView, LedgerRow, Model, Observer, ZoneIndex, ZoneView};
use crate::time::{DAY, Instant};

/// Runs of at least so many days are told month by month.
pub const MONTHS_FROM_DAYS: i64 = 28;

/// J in a kWh.
const JOULES_PER_KWH: f64 = 3.6e6;

/// The figures of a calendar month, as far as the period has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MonthFigures {
    /// Which, `2025-04`.
    pub month: String,
    /// Hours simulated.
    pub hours: f64,
    /// Energy, cost and carbon.
    pub energy: EnergyUse,
    /// Changes of the served direction.
    pub changeovers: u64,
    /// Hours in which one zone needed heating and another cooling.
    pub mixed_demand_hours: f64,
    /// What each zone did, by its id, in file order.
    #[serde(serialize_with = "as_map")]
    pub zones: Vec<(String, MonthZoneFigures)>,
}

/// What one zone did in a month.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct MonthZoneFigures {
    /// Electricity of its share, kWh.
    pub electric_kwh: f64,
    /// Hours served with heating.
    pub heating_hours: f64,
    /// Hours served with cooling.
    pub cooling_hours: f64,
    /// Hours starved.
    pub starved_hours: f64,
    /// Steps served in the direction opposite to the last served one.
    pub changeovers: u64,
    /// Hours occupied.
    pub occupied_hours: f64,
    /// Occupied hours with the operative temperature outside the comfort band.
    pub hours_outside_band: f64,
    /// Degree-hours outside the comfort band.
    pub degree_hours_outside_band: f64,
    /// Air temperature.
    pub temperature: TemperatureFigures,
}

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
            month: format!("{:04}-{:02}", self.first.year(), self.first.month()),
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

impl MonthFigures {
    /// Several months under one name: sums, and the extremes and the mean of temperatures.
    pub fn together<'a>(name: &str, months: impl Iterator<Item = &'a Self>) -> Option<Self> {
        months.fold(None, |sum: Option<Self>, month| {
            Some(match sum {
                None => Self { month: name.to_owned(), ..month.clone() },
                Some(sum) => sum.plus(month),
            })
        })
    }

    fn plus(mut self, other: &Self) -> Self {
        for ((_, to), (_, from)) in self.zones.iter_mut().zip(&other.zones) {
            to.add(from, self.hours, other.hours);
        }
        self.hours += other.hours;
        self.energy.add(&other.energy);
        self.changeovers += other.changeovers;
        self.mixed_demand_hours += other.mixed_demand_hours;
        self
    }
}

impl MonthZoneFigures {
    fn add(&mut self, other: &Self, own_hours: f64, other_hours: f64) {
        self.electric_kwh += other.electric_kwh;
        self.heating_hours += other.heating_hours;
        self.cooling_hours += other.cooling_hours;
        self.starved_hours += other.starved_hours;
        self.changeovers += other.changeovers;
        self.occupied_hours += other.occupied_hours;
        self.hours_outside_band += other.hours_outside_band;
        self.degree_hours_outside_band += other.degree_hours_outside_band;
        let (own, others) = (&mut self.temperature, &other.temperature);
        own.min = own.min.min(others.min);
        own.max = own.max.max(others.max);
        let weighted = own.mean * own_hours + others.mean * other_hours;
        own.mean = weighted / (own_hours + other_hours);
    }
}

impl EnergyUse {
    /// Adds what was used at another time; the highest demand is that of both.
    fn add(&mut self, other: &Self) {
        let both = |one: Option<f64>, other: Option<f64>| Some(one? + other?);
        *self = Self {
            heating_kwh: self.heating_kwh + other.heating_kwh,
            cooling_kwh: self.cooling_kwh + other.cooling_kwh,
            fan_kwh: self.fan_kwh + other.fan_kwh,
            backup_kwh: self.backup_kwh + other.backup_kwh,
            standby_kwh: self.standby_kwh + other.standby_kwh,
            total_kwh: self.total_kwh + other.total_kwh,
            heat_delivered_kwh: self.heat_delivered_kwh + other.heat_delivered_kwh,
            heat_removed_kwh: self.heat_removed_kwh + other.heat_removed_kwh,
            heat_recovered_kwh: self.heat_recovered_kwh + other.heat_recovered_kwh,
            peak_kw: self.peak_kw.max(other.peak_kw),
            cost: both(self.cost, other.cost),
            carbon_kg: both(self.carbon_kg, other.carbon_kg),
        };
    }
}
