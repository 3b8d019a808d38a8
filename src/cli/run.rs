//! `setband run`: one scenario, simulated.

use std::io;

use super::args::{RunArguments, Steps};
use super::failure::Failure;
use super::files::{Folder, Spooled};
use super::moment::Moment;
use super::{Done, source, terminal};
use crate::engine::{Model, StepRow};
use crate::report::chart::GroupView;
use crate::report::{self, Run};
use crate::study::{EachRow, Finished, Keep, explain, simulate, simulate_watched};

/// Width of the charts, px.
const CHART_WIDTH: u32 = 1000;

pub(super) fn run(arguments: &RunArguments) -> Result<Done, Failure> {
    let common = &arguments.common;
    let study = source::study(&arguments.file)?;
    let model = source::model(&study, common)?;
    if let Some(moment) = arguments.at {
        return explained(&model, moment, common.json);
    }
    let folder = Folder::prepare(source::folder(&arguments.file, common))?;
    let keep = Keep::for_charts(&model);
    let (Finished { summary, rows, ledger }, steps) =
        simulated(&folder, &model, keep, common.steps)?;
    let model = keep.shown(model);
    let finished = Run { model: &model, rows: &rows, ledger: &ledger, summary: &summary };
    let files = write(folder, &finished, steps)?;
    let text = match (common.json, common.quiet) {
        (true, _) => report::summary_json(&summary)?,
        (false, true) => String::new(),
        (false, false) => report::run_text(&finished, terminal::style(), &files),
    };
    Ok(Done::with(text))
}

/// Simulates, and writes the steps while they come: none but those of the charts are kept.
fn simulated(
    folder: &Folder,
    model: &Model,
    keep: Keep,
    steps: Steps,
) -> Result<(Finished, Option<Spooled>), Failure> {
    let (finished, file) = match steps {
        Steps::None => return Ok((simulate(model, keep), None)),
        Steps::Csv => folder.spool("steps.csv", |file| {
            let mut writer = report::StepsWriter::new(model, file)?;
            let finished = each_row(model, keep, |row| writer.row(row))?;
            writer.finish()?;
            Ok(finished)
        })?,
        Steps::Parquet => folder.spool("steps.parquet", |file| {
            let mut writer = report::StepsParquet::new(model, file)?;
            let finished = each_row(model, keep, |row| writer.row(row))?;
            writer.finish()?;
            Ok(finished)
        })?,
    };
    Ok((finished, Some(file)))
}

/// Simulates and hands every row on; the first error is kept, and nothing is handed on after it.
fn each_row(
    model: &Model,
    keep: Keep,
    mut take: impl FnMut(&StepRow) -> io::Result<()>,
) -> io::Result<Finished> {
    let mut taken = Ok(());
    let mut rows = EachRow(|row: &StepRow| {
        if taken.is_ok() {
            taken = take(row);
        }
    });
    let finished = simulate_watched(model, keep, &mut rows);
    taken.map(|()| finished)
}

fn write(
    mut folder: Folder,
    run: &Run<'_>,
    steps: Option<Spooled>,
) -> Result<Vec<String>, Failure> {
    folder.add("summary.json", report::summary_json(run.summary)?.as_bytes())?;
    if let Some(steps) = steps {
        folder.take(steps);
    }
    let ledger = report::ledger_csv(run.model, run.ledger).map_err(formed)?;
    folder.add("ledger.csv", &ledger)?;
    let chart = report::chart::day_svg(run, CHART_WIDTH).map_err(formed)?;
    folder.add("day.svg", chart.as_bytes())?;
    folder.add("day.png", &report::chart::png(&chart).map_err(formed)?)?;
    for unit in 0..run.model.outdoor_units.len() {
        let number = if run.model.outdoor_units.len() > 1 {
            format!("-{}", unit + 1)
        } else {
            String::new()
        };
        let view = GroupView::of_unit(run.model, unit);
        let chart = report::chart::group_svg(run, CHART_WIDTH, &view).map_err(formed)?;
        folder.add(&format!("group{number}.svg"), chart.as_bytes())?;
        folder.add(&format!("group{number}.png"), &report::chart::png(&chart).map_err(formed)?)?;
    }
    folder.finish()
}

fn formed(error: impl std::fmt::Display) -> Failure {
    Failure::Form(error.to_string())
}

fn explained(model: &Model, moment: Moment, json: bool) -> Result<Done, Failure> {
    let Some(at) = moment.within(&model.period) else {
        return Err(Failure::Call {
            what: "--at lies outside the period".into(),
            help: format!(
                "the file simulates {} day(s): d1 00:00 to d{0} 23:59",
                model.period.days()
            ),
        });
    };
    let explanation = explain(model, at);
    Ok(Done::with(if json {
        report::explanation_json(model, &explanation)?
    } else {
        report::explanation_text(model, &explanation, terminal::style())
    }))
}
