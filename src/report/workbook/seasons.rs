//! What weeks and years tell besides: months, mornings, and what locking a mode out would cost.

use rust_xlsxwriter::{Workbook, XlsxError};

use super::page::{Cell, Page, Shown};
use crate::measures::{MonthFigures, MonthZoneFigures};
use crate::report::figures::unit_sign;
use crate::report::run::Run;
use crate::report::season_text::{lock_calendar_words, name_of};

/// The sheets, each where the run has anything of it.
pub(super) fn write(workbook: &mut Workbook, run: &Run) -> Result<(), XlsxError> {
    let seasonal = &run.summary.seasonal;
    if !seasonal.months.is_empty() {
        months(&mut Page::add(workbook, "Months")?, run)?;
    }
    if !seasonal.mornings.is_empty() {
        mornings(&mut Page::add(workbook, "Mornings")?, run)?;
    }
    if !seasonal.lock_calendar.is_empty() {
        lock_calendar(&mut Page::add(workbook, "Lock calendar")?, run)?;
    }
    Ok(())
}

fn owned(heads: &[&str]) -> Vec<String> {
    heads.iter().map(|head| (*head).to_owned()).collect()
}

fn number(value: f64, shown: Shown) -> Cell {
    Cell::Number(Some(value), shown)
}

/// The months, then the same by zone.
fn months(page: &mut Page, run: &Run) -> Result<(), XlsxError> {
    let currency = run.model.tariff.as_ref().map_or("", |tariff| &tariff.currency);
    let mut heads = owned(&[
        "Month",
        "Hours",
        "Heating, kWh",
        "Cooling, kWh",
        "Fans, kWh",
        "Backup heat, kWh",
        "Standby, kWh",
        "Electricity in all, kWh",
        "Highest quarter of an hour, kW",
    ]);
    heads.push(format!("Cost, {currency}").trim_end_matches([',', ' ']).to_owned());
    heads.extend(owned(&["Carbon dioxide, kg", "Changeovers", "Mixed demand, h"]));
    page.widths(&[12.0, 20.0, 13.0], heads.len() - 3)?;
    page.heads(&heads, 1)?;
    let months = &run.summary.seasonal.months;
    for month in months {
        page.row(&month_cells(month))?;
    }
    page.skip();
    page.plain_heads(&zone_heads(run))?;
    for month in months {
        for (id, zone) in &month.zones {
            page.row(&zone_cells(month, name_of(run, id), zone))?;
        }
    }
    Ok(())
}

fn month_cells(month: &MonthFigures) -> Vec<Cell> {
    let energy = &month.energy;
    let mut cells = vec![month.month.clone().into(), number(month.hours, Shown::One)];
    let used = [
        energy.heating_kwh,
        energy.cooling_kwh,
        energy.fan_kwh,
        energy.backup_kwh,
        energy.standby_kwh,
        energy.total_kwh,
        energy.peak_kw,
    ];
    cells.extend(used.map(|value| number(value, Shown::Three)));
    cells.push(Cell::Number(energy.cost, Shown::Two));
    cells.push(Cell::Number(energy.carbon_kg, Shown::Three));
    cells.push(number(month.changeovers as f64, Shown::Whole));
    cells.push(number(month.mixed_demand_hours, Shown::One));
    cells
}

fn zone_heads(run: &Run) -> Vec<String> {
    let sign = unit_sign(run.model.unit);
    let mut heads = owned(&[
        "Month",
        "Zone",
        "Electricity, kWh",
        "Heated, h",
        "Cooled, h",
        "Starved, h",
        "Changeovers",
        "Occupied, h",
        "Outside comfort, h",
    ]);
    heads.push(format!("Outside comfort, {sign} h"));
    heads.extend(["Lowest", "Mean", "Highest"].map(|which| format!("{which} air, {sign}")));
    heads
}

fn zone_cells(month: &MonthFigures, name: String, zone: &MonthZoneFigures) -> Vec<Cell> {
    let mut cells = vec![
        month.month.clone().into(),
        name.into(),
        number(zone.electric_kwh, Shown::Three),
        number(zone.heating_hours, Shown::One),
        number(zone.cooling_hours, Shown::One),
        number(zone.starved_hours, Shown::One),
        number(zone.changeovers as f64, Shown::Whole),
    ];
    let rest = [
        zone.occupied_hours,
        zone.hours_outside_band,
        zone.degree_hours_outside_band,
        zone.temperature.min,
        zone.temperature.mean,
        zone.temperature.max,
    ];
    cells.extend(rest.map(|value| number(value, Shown::One)));
    cells
}

fn mornings(page: &mut Page, run: &Run) -> Result<(), XlsxError> {
    let mut heads = owned(&[
        "Zone",
        "Mornings",
        "Ready in time",
        "Late",
        "Switched off",
        "Late whatever the start",
    ]);
    heads.push(format!("Missing at worst, {}", unit_sign(run.model.unit)));
    heads.push("Longest start needed, h".into());
    page.widths(&[24.0, 14.0], heads.len() - 2)?;
    page.heads(&heads, 1)?;
    for (id, morning) in &run.summary.seasonal.mornings {
        let mut cells: Vec<Cell> = vec![name_of(run, id).into()];
        let counts = [
            morning.mornings,
            morning.ready,
            morning.late,
            morning.off,
            morning.late_whatever_the_start,
        ];
        cells.extend(counts.map(|count| number(count as f64, Shown::Whole)));
        cells.push(number(morning.worst_missing, Shown::One));
        cells.push(Cell::Number(morning.longest_lead_hours, Shown::Two));
        page.row(&cells)?;
    }
    Ok(())
}

fn lock_calendar(page: &mut Page, run: &Run) -> Result<(), XlsxError> {
    let heads = owned(&[
        "Month",
        "Zone",
        "Below the lawful minimum, h",
        "Below without heating, h",
        "Below without cooling, h",
        "Above the lawful maximum, h",
        "Above without heating, h",
        "Above without cooling, h",
    ]);
    page.widths(&[12.0, 24.0, 16.0], heads.len() - 3)?;
    page.heads(&heads, 2)?;
    for month in &run.summary.seasonal.lock_calendar {
        for (id, cost) in &month.zones {
            let mut cells: Vec<Cell> = vec![month.month.clone().into(), name_of(run, id).into()];
            let ways = [cost.as_is, cost.without_heating, cost.without_cooling];
            cells.extend(ways.map(|hours| number(hours.hours_below, Shown::One)));
            cells.extend(ways.map(|hours| number(hours.hours_above, Shown::One)));
            page.row(&cells)?;
        }
    }
    page.skip();
    page.line(&lock_calendar_words(run))
}
