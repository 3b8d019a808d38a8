//! What the electricity of a run costs, what its making gives off, and its highest demand.

use jiff::civil::Date;
use serde::Serialize;

use crate::engine::{DemandCharge, Model, Tariff};
use crate::time::{Instant, Period, Seconds};

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
    /// What the highest demand of each calendar month costs, as far as the period has the month.
    pub demand: f64,
    /// The highest demand of each calendar month, in order; empty where demand is not charged. The
    /// hour by which clocks may be ahead of the period's last day makes no month of its own.
    pub peaks: Vec<DemandPeak>,
}

/// The highest demand of a calendar month, as far as the period has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DemandPeak {
    /// The month, `2025-04`.
    pub month: String,
    /// The highest mean power of a quarter of an hour that is charged, kW.
    pub kw: f64,
    /// How many of the month's days the period has.
    pub days: i64,
    /// How many days the month has.
    pub days_of_month: i64,
    /// What it costs: the month's charge, shared out by days.
    pub charge: f64,
}

/// The days that a period has of calendar months of which it has only a part, and the days that
/// these months have: by them their demand charges are shared out. `None` where demand is not
/// charged or every month is whole.
pub fn shared_demand(model: &Model) -> Option<(i64, i64)> {
    model.tariff.as_ref()?.demand.as_ref()?;
    let period = &model.period;
    let mut days = (0, 0);
    let mut month: Option<(Date, i64)> = None;
    for day in 0..=period.days() {
        let first = period.date(day).first_of_month();
        match &mut month {
            Some((same, count)) if *same == first && day < period.days() => *count += 1,
            _ => {
                if let Some((first, count)) = month.filter(|(it, count)| length(*it) > *count) {
                    days = (days.0 + count, days.1 + length(first));
                }
                month = Some((first, 1));
            }
        }
    }
    (days.1 > 0).then_some(days)
}

/// Days of a month.
fn length(month: Date) -> i64 {
    i64::from(month.days_in_month())
}

/// Adds up power span by span.
#[derive(Clone, Debug)]
pub(super) struct BillTally<'m> {
    model: &'m Model,
    rates: Rates,
    /// The spans under way: one, but for an interval of steps that runs through several.
    spans: Vec<Span>,
    /// Power added up over the steps of each span, zone by zone, W.
    powers: Vec<f64>,
    /// How many steps a quarter has, if it has whole ones alone.
    steps_in_quarter: Option<i64>,
    /// The end of the quarter in which the last span began.
    quarter_ends: Instant,
    /// See [`BillTally::begins`].
    begins: u64,
    /// J times the price of a kWh.
    priced: f64,
    /// J times kg in a kWh.
    carbon: f64,
    /// The quarter that is being added, counted from the start, and its energy so far, J.
    quarter: (i64, f64),
    /// The highest energy of any quarter, J.
    highest: f64,
    /// The first of each month with its highest charged demand, kW.
    months: Vec<(Date, f64)>,
}

/// Mean power of a quarter of an hour, kW, from its energy, J.
fn in_kw(energy: f64) -> f64 {
    energy / DEMAND_OVER.get() as f64 / 1000.0
}

/// Whole steps within one quarter of an hour and at one price; or one step alone that has several.
#[derive(Clone, Copy, Debug)]
struct Span {
    from: Instant,
    end: Instant,
    price: f64,
    carbon: f64,
}

/// What a kWh costs and gives off, for a while.
#[derive(Clone, Copy, Debug)]
struct Rates {
    until: Instant,
    price: f64,
    carbon: f64,
}

impl Rates {
    const UNKNOWN: Self = Self { until: Instant::new(i64::MIN), price: 0.0, carbon: 0.0 };

    fn at(tariff: Option<&Tariff>, period: &Period, at: Instant) -> Self {
        let Some(Tariff { price, carbon, .. }) = tariff else {
            return Self { until: Instant::new(i64::MAX), ..Self::UNKNOWN };
        };
        let carbon_until = carbon.as_ref().map(|rate| rate.next_change(period, at));
        let until = price.next_change(period, at);
        Self {
            until: carbon_until.map_or(until, |other| until.min(other)),
            price: price.at(period, at),
            carbon: carbon.as_ref().map_or(0.0, |rate| rate.at(period, at)),
        }
    }
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
        let step = model.period.step().get();
        Self {
            model,
            rates: Rates::UNKNOWN,
            spans: Vec::new(),
            powers: Vec::new(),
            steps_in_quarter: (DEMAND_OVER.get() % step == 0).then(|| DEMAND_OVER.get() / step),
            quarter_ends: Instant::START,
            begins: 0,
            priced: 0.0,
            carbon: 0.0,
            quarter: (0, 0.0),
            highest: 0.0,
            months: Vec::new(),
        }
    }

    /// Begins an interval of so many steps, at most 64.
    pub(super) fn begin_interval(&mut self, from: Instant, steps: usize) {
        self.begin(from);
        let step = self.model.period.step().get();
        let steps = i64::try_from(steps).unwrap_or(i64::MAX);
        self.begins = 0;
        let under_way = self.spans.last().map_or(0, |span| span.end.since(from).get());
        let mut place = under_way / step;
        while place < steps {
            self.begins |= 1 << place;
            place += self.open(Instant::new(from.get() + place * step));
        }
    }

    /// In which steps of the interval, but for the first, another span begins: the first step
    /// lowest.
    pub(super) fn begins(&self) -> u64 {
        self.begins
    }

    /// What a zone has so far in the span under way, the first of an interval, W.
    pub(super) fn so_far(&self, zone: usize) -> f64 {
        self.powers[zone]
    }

    /// Says what a zone has in one of the spans under way, W.
    pub(super) fn set(&mut self, span: usize, zone: usize, power: f64) {
        self.powers[span * self.model.zones.len() + zone] = power;
    }

    /// Opens a span at a step if none is under way there.
    pub(super) fn begin(&mut self, at: Instant) {
        let over = |last: &Span| last.end <= at;
        if self.spans.last().is_none_or(over) || self.spans.len() > 1 {
            self.close_until(at);
            if self.spans.is_empty() {
                self.open(at);
            }
        }
    }

    /// Opens a span. How many steps it has.
    #[inline]
    fn open(&mut self, from: Instant) -> i64 {
        let (period, step) = (&self.model.period, self.model.period.step());
        let tariff = self.model.tariff.as_ref();
        if self.rates.until <= from {
            self.rates = Rates::at(tariff, period, from);
        }
        let Rates { until, mut price, mut carbon } = self.rates;
        // Most spans are whole quarters, one after the other: no division is needed for them.
        if from != self.quarter_ends {
            let began = from.get() - from.get().rem_euclid(DEMAND_OVER.get());
            self.quarter_ends = Instant::new(began);
        }
        let whole = from == self.quarter_ends;
        self.quarter_ends = self.quarter_ends + DEMAND_OVER;
        let most = until.min(self.quarter_ends).since(from).get();
        let steps = match self.steps_in_quarter {
            Some(steps) if whole && most == DEMAND_OVER.get() => steps,
            _ => (most / step.get()).max(1),
        };
        let end = Instant::new(from.get() + steps * step.get());
        if until < end
            && let Some(tariff) = tariff
        {
            price = tariff.price.over(period, from, step);
            carbon = tariff.carbon.as_ref().map_or(0.0, |rate| rate.over(period, from, step));
        }
        self.spans.push(Span { from, end, price, carbon });
        self.powers.resize(self.spans.len() * self.model.zones.len(), 0.0);
        steps
    }

    /// Closes the spans that end by then.
    fn close_until(&mut self, at: Instant) {
        let zones = self.model.zones.len();
        // They stand in the order of time.
        let over = self.spans.iter().take_while(|span| span.end <= at).count();
        for place in 0..over {
            let powers = &self.powers[place * zones..][..zones];
            let power = powers.iter().fold(0.0, |sum, power| sum + power);
            self.close(self.spans[place], power * self.model.period.step().get() as f64);
        }
        self.spans.drain(..over);
        self.powers.drain(..over * zones);
    }

    /// Adds the energy of a span that is over, J.
    fn close(&mut self, span: Span, energy: f64) {
        self.priced += energy * span.price;
        self.carbon += energy * span.carbon;
        let (mut from, end) = (span.from.get(), span.end.get());
        let length = end - from;
        while from < end {
            let number = from.div_euclid(DEMAND_OVER.get());
            if number != self.quarter.0 {
                self.end_quarter();
                self.quarter = (number, 0.0);
            }
            let to = end.min((number + 1) * DEMAND_OVER.get());
            // Most spans lie within a quarter.
            let whole = to - from == length;
            self.quarter.1 +=
                if whole { energy } else { energy * ((to - from) as f64 / length as f64) };
            from = to;
        }
    }

    /// What it all comes to so far.
    pub(super) fn figures(&self) -> BillFigures {
        let mut ended = self.clone();
        ended.close_until(Instant::new(i64::MAX));
        ended.end_quarter();
        let tariff = self.model.tariff.as_ref();
        let carbon = tariff.and_then(|tariff| tariff.carbon.as_ref());
        BillFigures {
            highest_kw: in_kw(ended.highest),
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
        let period = &self.model.period;
        let peak = |(first, kw): &(Date, f64)| {
            let same = |day: &i64| period.date(*day).first_of_month() == *first;
            let days = (0..period.days()).filter(same).map(|_| 1).sum::<i64>();
            let days_of_month = length(*first);
            let month = format!("{:04}-{:02}", first.year(), first.month());
            let charge = kw * charge.price * (days as f64 / days_of_month as f64);
            DemandPeak { month, kw: *kw, days, days_of_month, charge }
        };
        self.months.iter().map(peak).filter(|peak| peak.days > 0).collect()
    }

    fn end_quarter(&mut self) {
        let (number, energy) = self.quarter;
        self.highest = self.highest.max(energy);
        let charge = self.model.tariff.as_ref().and_then(|tariff| tariff.demand.as_ref());
        let began = Instant::new(number * DEMAND_OVER.get());
        let Some(charge) = charge else { return };
        let period = &self.model.period;
        let month = period.date(period.on_clocks(began).day()).first_of_month();
        if self.months.last().is_none_or(|(last, _)| *last != month) {
            self.months.push((month, 0.0));
        }
        let counts = charge.when.contains(&self.model.period, began);
        if let Some((_, highest)) = self.months.last_mut().filter(|_| counts) {
            *highest = highest.max(in_kw(energy));
        }
    }
}
