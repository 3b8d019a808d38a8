//! The hourly series: a row for each hour and zone.

use rust_xlsxwriter::XlsxError;

use super::Subject;
use super::page::{Cell, Page, Shown};
use crate::control::Direction;
use crate::engine::StepRow;
use crate::report::figures::unit_sign;
use crate::study::hourly;

/// The most hours that are written: more make a workbook that few programs open in good time.
const MOST_ROWS: usize = 100_000;

pub(super) fn write(page: &mut Page, subjects: &[Subject]) -> Result<(), XlsxError> {
    let hours = |subject: &Subject| {
        let run = &subject.run;
        hourly(run.rows, run.model.zones.len(), run.model.period.step())
    };
    let all: Vec<(&Subject, Vec<StepRow>)> = subjects.iter().map(|it| (it, hours(it))).collect();
    let count: usize = all.iter().map(|(_, rows)| rows.len()).sum();
    if count > MOST_ROWS {
        return page.line(&format!(
            "{count} hours of zones are too many for a workbook. The steps of each run are in the \
             files that the run command writes."
        ));
    }
    let compared = subjects.len() > 1;
    let sign = subjects.first().map_or("", |first| unit_sign(first.run.model.unit));
    let heads = heads(sign, compared);
    let mut widths = vec![17.0, 20.0, 12.0];
    if compared {
        widths.insert(0, 16.0);
    }
    page.widths(&widths, heads.len() - widths.len())?;
    page.heads(&heads, if compared { 3 } else { 2 })?;
    for (subject, rows) in &all {
        for row in rows {
            let name = compared.then(|| Cell::from(subject.name.unwrap_or_default()));
            let cells: Vec<Cell> = name.into_iter().chain(cells(subject, row)).collect();
            page.row(&cells)?;
        }
    }
    page.filter(0, heads.len())
}

fn heads(sign: &str, compared: bool) -> Vec<String> {
    let mut heads = vec![
        "Hour from".to_owned(),
        "Zone".into(),
        format!("Outdoor, {sign}"),
        format!("Air, {sign}"),
        format!("Operative, {sign}"),
        format!("Sensor, {sign}"),
        format!("Heat setpoint, {sign}"),
        format!("Cool setpoint, {sign}"),
        "Mode".into(),
        "Power".into(),
        "Served".into(),
        "Occupied".into(),
        "Starved".into(),
        "Heat into the zone, W".into(),
        "Electric power, W".into(),
    ];
    if compared {
        heads.insert(0, "Variant".into());
    }
    heads
}

fn cells(subject: &Subject, row: &StepRow) -> Vec<Cell> {
    let run = &subject.run;
    let mut cells = vec![Cell::Time(run.model.period, row.at), run.label(row.zone).into()];
    let temperatures =
        [row.outdoor, row.temperature, row.operative, row.sensed, row.heat, row.cool];
    cells.extend(temperatures.map(|value| Cell::Number(Some(value), Shown::One)));
    let yes = |whether: bool| if whether { "yes" } else { "no" };
    let served = row.served.map_or("no", Direction::name);
    let words = [row.mode.name(), row.power.name(), served, yes(row.occupied), yes(row.starved)];
    cells.extend(words.map(Cell::from));
    cells.extend([row.heat_w, row.electric_w].map(|it| Cell::Number(Some(it), Shown::Whole)));
    cells
}
