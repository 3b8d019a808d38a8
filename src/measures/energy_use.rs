//! Electricity and heat of a run or a month.

use serde::Serialize;

/// Electricity and heat, kWh.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct EnergyUse {
    /// Compressor electricity while heating.
    pub heating_kwh: f64,
    /// Compressor electricity while cooling.
    pub cooling_kwh: f64,
    /// Fans.
    pub fan_kwh: f64,
    /// Electric backup heat.
    pub backup_kwh: f64,
    /// Standby.
    pub standby_kwh: f64,
    /// All of these.
    pub total_kwh: f64,
    /// Heat from the plant into the zones.
    pub heat_delivered_kwh: f64,
    /// Heat that the plant took out of the zones, positive.
    pub heat_removed_kwh: f64,
    /// Heat that simultaneous units moved from cooled zones to heated ones.
    pub heat_recovered_kwh: f64,
    /// The highest mean power of a quarter of an hour, kW.
    pub peak_kw: f64,
    /// Cost in the tariff's currency; `null` without a tariff.
    pub cost: Option<f64>,
    /// Carbon dioxide; `null` where the tariff does not say.
    pub carbon_kg: Option<f64>,
}

impl EnergyUse {
    /// Adds what was used at another time; the highest demand is that of both.
    pub(super) fn add(&mut self, other: &Self) {
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
