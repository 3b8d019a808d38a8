//! `months.csv`, `month_zones.csv`, `mornings.csv` and `lock_calendar.csv`.

use std::io;

use crate::engine::Model;
use crate::measures::{LockMonth, MonthFigures};
use crate::study::{Morning, Readiness};
use crate::time::Seconds;

/// One row a month: energy by use, and what the plant did.
///
/// # Errors
/// Those of the CSV writer; memory gives it no reason to.
pub fn months_csv(months: &[MonthFigures]) -> io::Result<Vec<u8>> {
    let mut rows = Rows::new(&[
        "month",
        "hours",
        "heating_kwh",
        "cooling_kwh",
        "fan_kwh",
        "backup_kwh",
        "standby_kwh",
        "total_kwh",
        "heat_delivered_kwh",
        "heat_removed_kwh",
        "heat_recovered_kwh",
        "peak_kw",
        "cost",
        "carbon_kg",
        "changeovers",
        "mixed_demand_hours",
    ])?;
    for month in months {
        let energy = &month.energy;
        let mut row = vec![month.month.clone(), number(month.hours)];
        let used = [
            energy.heating_kwh,
            energy.cooling_kwh,
            energy.fan_kwh,
            energy.backup_kwh,
            energy.standby_kwh,
            energy.total_kwh,
            energy.heat_delivered_kwh,
            energy.heat_removed_kwh,
            energy.heat_recovered_kwh,
            energy.peak_kw,
        ];
        row.extend(used.map(number));
        row.extend([energy.cost, energy.carbon_kg].map(maybe));
        row.extend([month.changeovers.to_string(), number(month.mixed_demand_hours)]);
        rows.add(&row)?;
    }
    rows.finish()
}

/// One row a month and zone.
///
/// # Errors
/// Those of the CSV writer; memory gives it no reason to.
pub fn month_zones_csv(months: &[MonthFigures]) -> io::Result<Vec<u8>> {
    let mut rows = Rows::new(&[
        "month",
        "zone",
        "electric_kwh",
        "heating_hours",
        "cooling_hours",
        "starved_hours",
        "changeovers",
        "occupied_hours",
        "hours_outside_band",
        "degree_hours_outside_band",
        "temperature_min",
        "temperature_mean",
        "temperature_max",
    ])?;
    for month in months {
        for (zone, did) in &month.zones {
            let mut row = vec![month.month.clone(), zone.clone()];
            let hours = [did.electric_kwh, did.heating_hours, did.cooling_hours, did.starved_hours];
            row.extend(hours.map(number));
            row.push(did.changeovers.to_string());
            let rest = [
                did.occupied_hours,
                did.hours_outside_band,
                did.degree_hours_outside_band,
                did.temperature.min,
                did.temperature.mean,
                did.temperature.max,
            ];
            row.extend(rest.map(number));
            rows.add(&row)?;
        }
    }
    rows.finish()
}

/// One row a zone and morning. `time` is local standard time; `readiness` is `ready`, `late` or
/// `off`; `lead_needed_h` is blank unless a late morning could have been saved.
///
/// # Errors
/// Those of the CSV writer, and a morning of a zone that the model does not have.
pub fn mornings_csv(model: &Model, mornings: &[Morning]) -> io::Result<Vec<u8>> {
    let mut rows = Rows::new(&[
        "time",
        "zone",
        "readiness",
        "sensed",
        "operative",
        "heat",
        "cool",
        "missing",
        "ready_after_h",
        "lead_needed_h",
    ])?;
    for morning in mornings {
        let zone = model.zones.get(morning.zone.get()).ok_or_else(|| {
            io::Error::other("a morning names a zone that the model does not have")
        })?;
        let (readiness, lead) = match morning.readiness {
            Readiness::Ready => ("ready", None),
            Readiness::Off => ("off", None),
            Readiness::Late { lead } => ("late", lead),
        };
        let mut row =
            vec![model.period.timestamp(morning.at), zone.id.clone(), readiness.to_owned()];
        let read =
            [morning.sensed, morning.operative, morning.heat, morning.cool, morning.missing()];
        row.extend(read.map(number));
        row.push(maybe(morning.ready_after.map(Seconds::in_hours)));
        row.push(maybe(lead.map(Seconds::in_hours)));
        rows.add(&row)?;
    }
    rows.finish()
}

/// One row a month, zone and lockout: `none`, `heating` or `cooling`.
///
/// # Errors
/// Those of the CSV writer; memory gives it no reason to.
pub fn lock_calendar_csv(calendar: &[LockMonth]) -> io::Result<Vec<u8>> {
    let mut rows = Rows::new(&[
        "month",
        "zone",
        "locked_out",
        "hours_below",
        "hours_above",
        "degree_hours_below",
        "degree_hours_above",
    ])?;
    for month in calendar {
        for (zone, cost) in &month.zones {
            let ways = [
                ("none", cost.as_is),
                ("heating", cost.without_heating),
                ("cooling", cost.without_cooling),
            ];
            for (way, hours) in ways {
                let mut row = vec![month.month.clone(), zone.clone(), way.to_owned()];
                let all = [
                    hours.hours_below,
                    hours.hours_above,
                    hours.degree_hours_below,
                    hours.degree_hours_above,
                ];
                row.extend(all.map(number));
                rows.add(&row)?;
            }
        }
    }
    rows.finish()
}

/// The shortest form that reads back the same, and never `-0`.
fn number(value: f64) -> String {
    (value + 0.0).to_string()
}

fn maybe(value: Option<f64>) -> String {
    value.map(number).unwrap_or_default()
}

struct Rows(csv::Writer<Vec<u8>>);

impl Rows {
    fn new(heads: &[&str]) -> io::Result<Self> {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(heads)?;
        Ok(Self(writer))
    }

    fn add(&mut self, row: &[String]) -> io::Result<()> {
        Ok(self.0.write_record(row)?)
    }

    fn finish(self) -> io::Result<Vec<u8>> {
        self.0.into_inner().map_err(|fault| io::Error::other(fault.to_string()))
    }
}
