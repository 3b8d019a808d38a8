//! What a month comes to.

use std::fmt;

use serde::{Serialize, Serializer};

use super::energy_use::EnergyUse;
use super::maps::as_map;
use super::zone_figures::TemperatureFigures;
use crate::time::Month;

/// The figures of a calendar month, as far as the period has it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MonthFigures {
    /// Which, `2025-04`.
    pub month: Months,
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

/// The month that figures are of, or several under one name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Months {
    /// One.
    One(Month),
    /// The months of a season, whichever year they are of.
    Season(&'static str),
}

impl fmt::Display for Months {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::One(month) => month.fmt(f),
            Self::Season(name) => f.write_str(name),
        }
    }
}

impl Serialize for Months {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(self)
    }
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

impl MonthFigures {
    /// Several months under one name: sums, and the extremes and the mean of temperatures.
    pub fn together<'a>(
        season: &'static str,
        months: impl Iterator<Item = &'a Self>,
    ) -> Option<Self> {
        months.fold(None, |sum: Option<Self>, month| {
            Some(match sum {
                None => Self { month: Months::Season(season), ..month.clone() },
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
