//! `setband run`: one scenario, simulated.

use std::io;

use super::args::RunArguments;
use super::failure::{Failure, possible};
use super::files::{Folder, Spooled};
use super::moment::MomentArgument;
use super::options::Steps;
use super::{CommandOutput, source, terminal};
use crate::engine::{Model, Nobody, StepRow};
use crate::report::chart::{RunCharts, USUAL_WIDTH};
use crate::report::{self, Run};
use crate::study::reach::MOST_STATES;
use crate::study::review::{Ran, Review, review};
use crate::study::{EachRow, Finished, Keep, Morning, explain, simulate_season};
use crate::time::Instant;

pub(super) fn run(arguments: &RunArguments) -> Result<CommandOutput, Failure> {
    let common = &arguments.common;
    let study = source::study(&arguments.file)?;
    let model = source::model(&study, common)?;
    if let Some(moment) = arguments.at {
        return explained(&model, moment, common.print.json);
    }
    if arguments.explain_defaults {
        return Ok(CommandOutput::with(if common.print.json {
            report::defaults_json(&model)?
        } else {
            report::defaults_text(&model, terminal::style())
        }));
    }
    let folder = Folder::prepare(source::folder(&arguments.file, &common.chosen), "run")?;
    let keep = Keep::for_charts(&model);
    let ((finished, mornings), steps) = simulated(&folder, &model, keep, common.steps)?;
    let Finished { summary, rows, ledger, halt } = finished;
    possible(halt, &model)?;
    let model = keep.shown(model);
    let finished = Run { model: &model, rows: &rows, ledger: &ledger, summary: &summary };
    let ran = Ran { summary: &summary, ledger: &ledger };
    let review = (!study.requirements.is_empty()).then(|| review(&study, MOST_STATES, Some(ran)));
    let files = write(folder, &finished, (&mornings, review.as_ref()), steps)?;
    let text = match (common.print.json, common.print.quiet) {
        (true, _) => report::summary_json(&summary)?,
        (false, true) => String::new(),
        (false, false) => {
            let asked = review
                .as_ref()
                .map_or_else(String::new, |review| format!("{}\n", report::review_answer(review)));
            report::run_text(&finished, terminal::style(), &files) + &asked
        }
    };
    Ok(CommandOutput::with(text))
}

/// A finished run with its mornings.
type Season = (Finished, Vec<Morning>);

/// Simulates, and writes the steps while they come: none but those of the charts are kept.
fn simulated(
    folder: &Folder,
    model: &Model,
    keep: Keep,
    steps: Steps,
) -> Result<(Season, Option<Spooled>), Failure> {
    let (finished, file) = match steps {
        Steps::None => return Ok((simulate_season(model, keep, &mut Nobody), None)),
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
) -> io::Result<Season> {
    let mut taken = Ok(());
    let mut rows = EachRow(|row: &StepRow| {
        if taken.is_ok() {
            taken = take(row);
        }
    });
    let finished = simulate_season(model, keep, &mut rows);
    taken.map(|()| finished)
}

fn write(
    mut folder: Folder,
    run: &Run<'_>,
    (mornings, review): (&[Morning], Option<&Review<'_>>),
    steps: Option<Spooled>,
) -> Result<Vec<String>, Failure> {
    folder.add("summary.json", report::summary_json(run.summary)?.as_bytes())?;
    if let Some(steps) = steps {
        folder.take(steps);
    }
    let ledger = report::ledger_csv(run.model, run.ledger).map_err(formed)?;
    folder.add("ledger.csv", &ledger)?;
    folder.add("report.xlsx", &report::run_workbook(run, review).map_err(formed)?)?;
    seasons(&mut folder, run, mornings)?;
    let charts = RunCharts::of(run).map_err(formed)?;
    draw(&mut folder, "day", &charts.day)?;
    let page = report::run_html_with(run, Some(&charts), review).map_err(formed)?;
    folder.add("report.html", page.as_bytes())?;
    for (unit, chart) in (1..).zip(&charts.units) {
        let number = if charts.units.len() > 1 { format!("-{unit}") } else { String::new() };
        draw(&mut folder, &format!("group{number}"), chart)?;
    }
    folder.finish()
}

/// What weeks and years tell besides, each file where there is anything to tell.
fn seasons(folder: &mut Folder, run: &Run<'_>, mornings: &[Morning]) -> Result<(), Failure> {
    let seasonal = &run.summary.seasonal;
    if !mornings.is_empty() {
        folder.add("mornings.csv", &report::mornings_csv(run.model, mornings).map_err(formed)?)?;
    }
    if !seasonal.lock_calendar.is_empty() {
        let calendar = report::lock_calendar_csv(&seasonal.lock_calendar).map_err(formed)?;
        folder.add("lock_calendar.csv", &calendar)?;
    }
    if seasonal.months.is_empty() {
        return Ok(());
    }
    folder.add("months.csv", &report::months_csv(&seasonal.months).map_err(formed)?)?;
    let zones = report::month_zones_csv(&seasonal.months).map_err(formed)?;
    folder.add("month_zones.csv", &zones)?;
    let sheets = report::chart::heatmap_sheets(run);
    for sheet in 0..sheets {
        let number = if sheets > 1 { format!("-{}", sheet + 1) } else { String::new() };
        let chart = report::chart::heatmap_svg(run, USUAL_WIDTH, sheet).map_err(formed)?;
        draw(folder, &format!("heatmap{number}"), &chart)?;
    }
    Ok(())
}

/// Adds a chart as it is and in px.
fn draw(folder: &mut Folder, name: &str, chart: &str) -> Result<(), Failure> {
    folder.add(&format!("{name}.svg"), chart.as_bytes())?;
    folder.add(&format!("{name}.png"), &report::chart::png(chart).map_err(formed)?)
}

fn formed(error: impl std::fmt::Display) -> Failure {
    Failure::Form(error.to_string())
}

fn explained(model: &Model, moment: MomentArgument, json: bool) -> Result<CommandOutput, Failure> {
    let period = &model.period;
    let Some(at) = moment.within(period) else {
        let (first, end) = (period.clock_stamp(Instant::START), period.clock_stamp(period.end()));
        return Err(Failure::Call {
            what: "--at lies outside the period".into(),
            help: format!(
                "on clocks the file simulates from {} to before {}",
                first.replace('T', " "),
                end.replace('T', " ")
            ),
        });
    };
    let explanation = explain(model, at);
    Ok(CommandOutput::with(if json {
        report::explanation_json(model, &explanation)?
    } else {
        report::explanation_text(model, &explanation, terminal::style())
    }))
}
