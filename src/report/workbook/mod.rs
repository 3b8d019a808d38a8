//! `report.xlsx`: summary, settings record, ledger and hourly series as a workbook, for one run or
//! for a comparison. The same results give the same bytes: the date of creation is fixed.

mod hours;
mod ledger;
mod page;
mod people;
mod seasons;
mod settings;
mod summary;

use std::fmt;

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, XlsxError};

use super::run::Run;
use crate::study::{Comparison, Contender};

use page::Page;

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
pub fn run_workbook(run: &Run) -> Result<Vec<u8>, WorkbookFault> {
    let answer = vec![super::headline::headline(run)];
    written(&[Subject { name: None, run: *run }], &answer, |_| Ok(()))
}

/// The workbook of a comparison: a column for each contender, and one for each difference.
///
/// # Errors
/// The library cannot write it.
pub fn comparison_workbook(comparison: &Comparison) -> Result<Vec<u8>, WorkbookFault> {
    let subjects: Vec<Subject> = comparison.all().map(Subject::of).collect();
    let mut answer = super::compare::answer(comparison, |contender| contender.name.clone());
    let model = &comparison.base.model;
    answer.extend(comparison.knee.as_ref().map(|knee| super::compare::knee_sentence(model, knee)));
    answer.extend(comparison.notes.iter().cloned());
    let left_out = comparison.left_out.iter();
    answer.extend(left_out.map(|one| format!("{} could not be run and is left out.", one.name)));
    written(&subjects, &answer, |workbook| match &comparison.knee {
        Some(knee) => summary::deadbands(&mut Page::add(workbook, "Deadbands")?, model, knee),
        None => Ok(()),
    })
}

fn written(
    subjects: &[Subject],
    answer: &[String],
    more: impl FnOnce(&mut Workbook) -> Result<(), XlsxError>,
) -> Result<Vec<u8>, WorkbookFault> {
    let mut workbook = Workbook::new();
    let title = subjects.first().map_or("", |first| first.run.model.title.as_str());
    let properties = DocProperties::new()
        .set_title(page::fitting(title))
        .set_comment("Figures of a model, not a promise and not a test on site.")
        .set_creation_datetime(&ExcelDateTime::from_ymd(2000, 1, 1)?);
    workbook.set_properties(&properties);
    summary::write(&mut Page::add(&mut workbook, "Summary")?, subjects, answer)?;
    settings::write(&mut Page::add(&mut workbook, "Settings")?, subjects)?;
    more(&mut workbook)?;
    if subjects.iter().any(|subject| !subject.run.summary.people.is_empty()) {
        people::write(&mut Page::add(&mut workbook, "People")?, subjects)?;
    }
    if let [only] = subjects {
        seasons::write(&mut workbook, &only.run)?;
    }
    ledger::write(&mut Page::add(&mut workbook, "Ledger")?, subjects)?;
    hours::write(&mut Page::add(&mut workbook, "Hours")?, subjects)?;
    Ok(workbook.save_to_buffer()?)
}
