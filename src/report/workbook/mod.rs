//! `report.xlsx`: summary, settings record, ledger and hourly series as a workbook, for one run or
//! for a comparison. The same results give the same bytes.

mod ledger;
mod settings;

use std::fmt;
use std::panic::{AssertUnwindSafe, catch_unwind};

use rust_xlsxwriter::{Workbook, XlsxError};

use super::cautions::cautions;
use super::content::{
    Column, Quantity, Table, Units, comparison, hours, matrix, people, seasons, zones,
};
use super::figures::days_in_words;
use super::headline::headline;
use super::render::xlsx::{self, Sheet};
use super::review::{requirements, review_answer};
use super::run::Run;
use super::settings::assumptions;
use crate::engine::Model;
use crate::study::review::Review;
use crate::study::{Comparison, Contender};

/// The most hours that are written: more make a workbook that few programs open in good time.
const MOST_HOURS: usize = 100_000;

/// So many of them become cells together.
const HOURS_AT_A_TIME: usize = 1000;

/// Why a workbook could not be made: the words of the library that writes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WorkbookFault(String);

impl fmt::Display for WorkbookFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the workbook could not be made: {}", self.0)
    }
}

impl std::error::Error for WorkbookFault {}

impl From<XlsxError> for WorkbookFault {
    fn from(fault: XlsxError) -> Self {
        Self(fault.to_string())
    }
}

/// A run with what it is called; a lone run has no name.
#[derive(Clone, Copy, Debug)]
struct Subject<'a> {
    name: Option<&'a str>,
    run: Run<'a>,
}

impl<'a> Subject<'a> {
    fn of(contender: &'a Contender) -> Self {
        Self { name: Some(&contender.name), run: Run::of(contender) }
    }
}

/// The workbook of a run.
///
/// # Errors
/// The library cannot write it.
pub fn run_workbook(run: &Run, review: Option<&Review<'_>>) -> Result<Vec<u8>, WorkbookFault> {
    caught(|| workbook_of_run(run, review))
}

/// What the library cannot write to its temporary file ends it there and then: a fault like others.
fn caught(make: impl FnOnce() -> Result<Vec<u8>, WorkbookFault>) -> Result<Vec<u8>, WorkbookFault> {
    catch_unwind(AssertUnwindSafe(make)).unwrap_or_else(|_| {
        Err(WorkbookFault("the folder for temporary files cannot be written".into()))
    })
}

fn workbook_of_run(run: &Run, review: Option<&Review<'_>>) -> Result<Vec<u8>, WorkbookFault> {
    let mut workbook = xlsx::workbook(&run.model.title)?;
    let subjects = [Subject { name: None, run: *run }];
    summary(&mut workbook, &subjects, &[headline(run)])?;
    if let Some(review) = review {
        sheet(&mut workbook, "Requirements", &requirements(review), Some(&review_answer(review)))?;
    }
    settings::write(&mut workbook, &subjects)?;
    settings_by_zone(&mut workbook, &subjects)?;
    let everybody: Vec<usize> = (0..run.summary.people.len()).collect();
    sheet(&mut workbook, "People", &people::people(run, &everybody), None)?;
    let (units, seasonal) = (Units::of(run.model), &run.summary.seasonal);
    let months = seasons::months(&seasonal.months, units);
    let by_zone = seasons::month_zones(&seasonal.months, units, |id| run.name_of(id));
    sheet(&mut workbook, "Months", &months, None)?;
    sheet(&mut workbook, "Months by zone", &by_zone, None)?;
    sheet(&mut workbook, "Mornings", &seasons::mornings(run), None)?;
    let words = seasons::lock_calendar_words(run);
    sheet(&mut workbook, "Lock calendar", &seasons::lock_calendar_zones(run), Some(&words))?;
    rows(&mut workbook, &subjects)?;
    Ok(workbook.save_to_buffer()?)
}

/// The workbook of a comparison: a column for each contender, and formulas for the differences.
///
/// # Errors
/// The library cannot write it.
pub fn comparison_workbook(comparison: &Comparison) -> Result<Vec<u8>, WorkbookFault> {
    caught(|| workbook_of_comparison(comparison))
}

fn workbook_of_comparison(comparison: &Comparison) -> Result<Vec<u8>, WorkbookFault> {
    let model = &comparison.base.model;
    let mut workbook = xlsx::workbook(&model.title)?;
    let subjects: Vec<Subject> = comparison.all().map(Subject::of).collect();
    let mut answer = super::compare::answer(comparison, |contender| contender.name.clone());
    answer.extend(comparison.knee.as_ref().map(|knee| super::compare::knee_sentence(model, knee)));
    answer.extend(comparison.notes.iter().cloned());
    let left_out = comparison.left_out.iter();
    answer.extend(left_out.map(|one| format!("{} could not be run and is left out.", one.name)));
    summary(&mut workbook, &subjects, &answer)?;
    settings::write(&mut workbook, &subjects)?;
    settings_by_zone(&mut workbook, &subjects)?;
    if let Some(knee) = &comparison.knee {
        let deadbands = comparison::deadbands(knee, Units::of(model));
        sheet(&mut workbook, "Deadbands", &deadbands, None)?;
    }
    let people =
        |run: &Run| people::people(run, &(0..run.summary.people.len()).collect::<Vec<_>>());
    sheet(&mut workbook, "People", &stacked(&subjects, people), None)?;
    rows(&mut workbook, &subjects)?;
    Ok(workbook.save_to_buffer()?)
}

/// The first sheet: the answer, every figure, every zone, what it rests on.
fn summary(
    workbook: &mut Workbook,
    subjects: &[Subject],
    answer: &[String],
) -> Result<(), XlsxError> {
    let Some(first) = subjects.first() else { return Ok(()) };
    let page = &mut Sheet::add(workbook, "Summary")?;
    let model = first.run.model;
    page.strong_line(&model.title)?;
    page.line(&days_in_words(&model.period))?;
    let sides: Vec<comparison::Side> = subjects
        .iter()
        .map(|it| {
            let name = it.name.unwrap_or("Value").into();
            comparison::Side { name, place: String::new(), summary: it.run.summary }
        })
        .collect();
    page.table(&comparison::figures(&sides, Units::of(model), true))?;
    page.skip();
    page.table(&stacked(subjects, zones::zones))?;
    page.section("What this shows", answer)?;
    page.section("What the figures rest on", &assumptions(model))?;
    let mut all: Vec<String> = Vec::new();
    for caution in subjects.iter().flat_map(|subject| cautions(&subject.run)) {
        if !all.contains(&caution) {
            all.push(caution);
        }
    }
    page.section("Bear in mind", &all)
}

/// The settings of all zones side by side.
fn settings_by_zone(workbook: &mut Workbook, subjects: &[Subject]) -> Result<(), XlsxError> {
    let models: Vec<(Option<&str>, &Model)> =
        subjects.iter().map(|it| (it.name, it.run.model)).collect();
    sheet(workbook, "Settings by zone", &matrix::settings_by_zone(&models), None)
}

/// A sheet of its own for a table, where it has any rows.
fn sheet(
    workbook: &mut Workbook,
    name: &str,
    table: &Table,
    note: Option<&str>,
) -> Result<(), XlsxError> {
    if table.is_empty() {
        return Ok(());
    }
    let mut sheet = Sheet::add(workbook, name)?;
    sheet.filtered(table)?;
    note.map_or(Ok(()), |words| {
        sheet.skip();
        sheet.line(words)
    })
}

/// The tables of all subjects in one, with their names before the rows where there are several.
fn stacked(subjects: &[Subject], table: impl Fn(&Run) -> Table) -> Table {
    let mut all = Table::default();
    for subject in subjects {
        let mut own = table(&subject.run);
        if let Some(name) = subject.name {
            own.columns.insert(0, Column::new("variant", Quantity::Name));
            own.rows.iter_mut().for_each(|row| row.cells.insert(0, name.into()));
        }
        if all.columns.is_empty() {
            all.columns = own.columns;
        }
        all.rows.extend(own.rows);
    }
    all
}

/// The ledger and the hours: a row each, and many of them.
fn rows(workbook: &mut Workbook, subjects: &[Subject]) -> Result<(), XlsxError> {
    let entries: usize = subjects.iter().map(|it| it.run.ledger.len()).sum();
    ledger::write(&mut Sheet::add_for(entries, workbook, "Ledger")?, subjects)?;
    let hours: Vec<_> = subjects.iter().map(|it| (it, hours::of(&it.run))).collect();
    let count: usize = hours.iter().map(|(_, rows)| rows.len()).sum();
    let page = &mut Sheet::add_for(count.min(MOST_HOURS), workbook, "Hours")?;
    if count > MOST_HOURS {
        return page.line(&format!(
            "{count} hours of zones are too many for a workbook. The steps of each run are in the \
             files that the run command writes."
        ));
    }
    for (subject, hours) in &hours {
        // Some at a time: the cells of all of them would take much memory.
        for some in hours.chunks(HOURS_AT_A_TIME) {
            let table = |run: &Run| hours::table(run, some);
            page.continued(&stacked(std::slice::from_ref(*subject), table))?;
        }
    }
    page.filter()
}
