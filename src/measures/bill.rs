//! What the electricity of a run costs, what its making gives off, and its highest demand.

use jiff::civil::Date;
use serde::Serialize;

use crate::engine::{DemandCharge, Model};
use crate::time::{Instant, Seconds};

/// Demand is the mean power over each quarter of an hour of the clock.
pub const DEMAND_OVER: Seconds = Seconds::minutes(15);
/// J in a kWh.
const JOULES_PER_KWH: f64 = 3.6e6;

/// What electricity costs, by its parts.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bill {
    /// In which currency.
    pub currency: String,
    /// What the kWh cost, each at the price of its time.
    pub energy: f64,
    /// What the highest demand of each calendar month costs.
    pub demand: f64,
    /// The highest demand of each calendar month, in order; empty where demand is not charged.
    pub peaks: Vec<DemandPeak>,
}

/// The highest demand of a calendar month, as far as the period has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DemandPeak {
    /// The month, `2025-04`.
    pub month: String,
    /// The highest mean power of a quarter of an hour that is charged, kW.
    pub kw: f64,
    /// What it costs.
    pub charge: f64,
}

/// Adds up power step by step.
#[derive(Clone, Debug)]
pub(super) struct BillTally<'m> {
    model: &'m Model,
    /// The step that is being added, and the power of its zones so far, W.
    present: Option<(Instant, f64)>,
    /// J times the price of a kWh.
    priced: f64,
    /// J times kg in a kWh.
    carbon: f64,
    /// The quarter that is being added, counted from the start, and its energy so far, J.
    quarter: (i64, f64),
    /// Of any quarter, kW.
    highest: f64,
    /// The first of each month with its highest charged demand, kW.
    months: Vec<(Date, f64)>,
}

/// What a run's electricity comes to.
#[derive(Clone, Debug)]
pub(super) struct BillFigures {
    pub(super) highest_kw: f64,
    pub(super) carbon_kg: Option<f64>,
    pub(super) bill: Option<Bill>,
}

impl<'m> BillTally<'m> {
    pub(super) fn new(model: &'m Model) -> Self {
        let months = Vec::new();
        let quarter = (0, 0.0);
        Self { model, present: None, priced: 0.0, carbon: 0.0, quarter, highest: 0.0, months }
    }

    /// Adds the electric power of one zone over the step that begins at `at`, W.
    pub(super) fn add(&mut self, at: Instant, power: f64) {
        match &mut self.present {
            Some((present, sum)) if *present == at => *sum += power,
            _ => {
                self.end_step();
                self.present = Some((at, power));
            }
        }
    }

    /// Adds the electric power of all zones together, step after step from `from` on, W.
    pub(super) fn add_steps(&mut self, from: Instant, powers: impl Iterator<Item = f64>) {
        self.end_step();
        let mut at = from;
        for power in powers {
            self.add_whole_step(at, power);
            at = at + self.model.period.step();
        }
    }

    /// What it all comes to so far.
    pub(super) fn figures(&self) -> BillFigures {
        let mut ended = self.clone();
        ended.end_step();
        ended.end_quarter();
        let tariff = self.model.tariff.as_ref();
        let carbon = tariff.and_then(|tariff| tariff.carbon.as_ref());
        BillFigures {
            highest_kw: ended.highest,
            carbon_kg: carbon.map(|_| ended.carbon / JOULES_PER_KWH),
            bill: tariff.map(|tariff| {
                let demand = tariff.demand.as_ref();
                let peaks = demand.map_or_else(Vec::new, |charge| ended.peaks(charge));
                Bill {
                    currency: tariff.currency.clone(),
                    energy: ended.priced / JOULES_PER_KWH,
                    // An empty sum of floats is -0.
                    demand: peaks.iter().fold(0.0, |sum, peak| sum + peak.charge),
                    peaks,
                }
            }),
        }
    }

    fn peaks(&self, charge: &DemandCharge) -> Vec<DemandPeak> {
        let peak = |(first, kw): &(Date, f64)| DemandPeak {
            month: format!("{:04}-{:02}", first.year(), first.month()),
            kw: *kw,
            charge: kw * charge.price,
        };
        self.months.iter().map(peak).collect()
    }

    fn end_step(&mut self) {
        if let Some((at, power)) = self.present.take() {
            self.add_whole_step(at, power);
        }
    }

    fn add_whole_step(&mut self, at: Instant, power: f64) {
        let (period, step) = (&self.model.period, self.model.period.step());
        if let Some(tariff) = &self.model.tariff {
            let energy = power * step.get() as f64;
            self.priced += energy * tariff.price.over(period, at, step);
            if let Some(carbon) = &tariff.carbon {
                self.carbon += energy * carbon.over(period, at, step);
            }
        }
        let (mut from, end) = (at.get(), (at + step).get());
        // Most steps lie within the quarter under way: no division is needed for them.
        let began = self.quarter.0 * DEMAND_OVER.get();
        if began <= from && end <= began + DEMAND_OVER.get() {
            self.quarter.1 += power * (end - from) as f64;
            return;
        }
        while from < end {
            let number = from.div_euclid(DEMAND_OVER.get());
            if number != self.quarter.0 {
                self.end_quarter();
                self.quarter = (number, 0.0);
            }
            let to = end.min((number + 1) * DEMAND_OVER.get());
            self.quarter.1 += power * (to - from) as f64;
            from = to;
        }
    }

    fn end_quarter(&mut self) {
        let (number, energy) = self.quarter;
        let demand = energy / DEMAND_OVER.get() as f64 / 1000.0;
        self.highest = self.highest.max(demand);
        let charge = self.model.tariff.as_ref().and_then(|tariff| tariff.demand.as_ref());
        let began = Instant::new(number * DEMAND_OVER.get());
        let Some(charge) = charge else { return };
        let month = self.model.period.date(began.day()).first_of_month();
        if self.months.last().is_none_or(|(last, _)| *last != month) {
            self.months.push((month, 0.0));
        }
        let counts = charge.when.contains(&self.model.period, began);
        if let Some((_, highest)) = self.months.last_mut().filter(|_| counts) {
            *highest = highest.max(demand);
        }
    }
}
