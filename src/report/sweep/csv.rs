//! `cases.csv`: one row a case.

use std::io;

use crate::measures::FIGURES;
use crate::study::cells::harmless;
use crate::study::sweep::{CaseOutcome, Results};

/// The cases that are done, in their order: number, draw, seed, the value of every path, every
/// figure, and the reason where a case could not be run.
///
/// # Errors
/// Those of writing to memory: none that a caller could cause.
pub fn cases_csv(results: &Results) -> io::Result<Vec<u8>> {
    let plan = &results.plan;
    let mut writer = csv::Writer::from_writer(Vec::new());
    let paths = plan.axes.iter().chain(&plan.varied).map(|axis| axis.path.as_str());
    let figures = FIGURES.iter().map(|figure| figure.key);
    let columns = ["case", "draw", "seed"].into_iter().chain(paths).chain(figures);
    writer.write_record(columns.chain(["fault"]).map(|name| harmless(name).into_owned()))?;
    let varied: Vec<Vec<String>> = (0..plan.draws).map(|draw| plan.varied_values(draw)).collect();
    for case in 0..plan.cases() {
        let Some(outcome) = results.outcome(case) else { continue };
        let (setting, draw) = plan.split(case);
        let mut row = vec![case.to_string(), draw.to_string(), plan.seed_of(draw).to_string()];
        row.extend(results.settings[setting].iter().chain(&varied[draw]).cloned());
        match outcome {
            CaseOutcome::Ran { figures, .. } => {
                row.extend(figures.iter().map(|value| number(*value)));
                row.push(String::new());
            }
            CaseOutcome::Unfit(why) => {
                row.extend(FIGURES.iter().map(|_| String::new()));
                row.push(why.to_string());
            }
        }
        writer.write_record(row.iter().map(|cell| harmless(cell).into_owned()))?;
    }
    writer.into_inner().map_err(|fault| io::Error::other(fault.to_string()))
}

/// In the shortest form that reads back the same; blank where there is none.
fn number(value: f64) -> String {
    if value.is_nan() { String::new() } else { value.to_string() }
}
