//! The table of a sheet, with what must be read and room for what was read.

use super::record::{Claim, NotShown, PutOff};
use super::{
    CLOCK, COLUMNS, FIELDS, LEAVE, LOOK, NO, NOT_RUNNING, OUTDOORS, POWER_FAILURE, RESTORE, RETURN,
    WAITING, WINDOW_CLOSED, WINDOW_OPEN, YES, claims, stated,
};
use crate::control::Opening;
use crate::engine::Model;
use crate::study::cells::harmless;
use crate::study::sheet::{Deed, Step};

/// The words of a line.
#[derive(Clone, Debug)]
pub struct Words {
    /// What part of the test it belongs to.
    pub part: String,
    /// What it proves, or what is to be done.
    pub proves: String,
    /// The settings and requirements that it shows.
    pub shows: Vec<Claim>,
}

/// What stands behind the table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Behind {
    /// Settings and requirements that no line shows, or not whole, and why.
    pub not_shown: Vec<NotShown>,
    /// Parts that have to wait.
    pub put_off: Vec<PutOff>,
}

/// Columns behind those of what was read that a tester fills in: tester, date, remarks.
const BY_HAND: usize = 3;

/// The whole file. Settings stand in lines that begin with `#`, the table follows; `words` says
/// what each line, counted from 0, is about.
///
/// # Errors
/// Those of the CSV writer, which an unbounded buffer gives no reason for.
pub fn write(
    model: &Model,
    steps: &[Step],
    words: impl Fn(usize, &Step) -> Words,
    behind: &Behind,
) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(stated::head(model).into_bytes());
    writer.write_record(COLUMNS)?;
    for (at, step) in steps.iter().enumerate() {
        let row = row(model, at + 1, step, words(at, step));
        writer.write_record(row.iter().map(|cell| harmless(cell).into_owned()))?;
    }
    let mut table = writer.into_inner().map_err(csv::IntoInnerError::into_error)?;
    for comment in claims::comments(&behind.not_shown, &behind.put_off) {
        table.extend_from_slice(comment.as_bytes());
        table.push(b'\n');
    }
    Ok(table)
}

fn row(model: &Model, line: usize, step: &Step, words: Words) -> Vec<String> {
    let zone = &model.zones[step.place.zone.get()];
    let (action, times, wait) = match &step.deed {
        Deed::Look => (LOOK, String::new(), 0),
        Deed::Wait(time) => (WAITING, String::new(), time.get()),
        Deed::Press { key, times } => (key.name(), times.to_string(), 0),
        Deed::Restore { .. } => (RESTORE, String::new(), 0),
        Deed::PowerFailure(time) => (POWER_FAILURE, String::new(), time.get()),
        Deed::Leave => (LEAVE, String::new(), 0),
        Deed::Return => (RETURN, String::new(), 0),
        Deed::Window(Opening::Open) => (WINDOW_OPEN, String::new(), 0),
        Deed::Window(Opening::Closed) => (WINDOW_CLOSED, String::new(), 0),
        Deed::Outdoors(_) => (OUTDOORS, String::new(), 0),
        Deed::Clock(_) => (CLOCK, String::new(), 0),
    };
    let expected = &step.expected;
    let refused = expected.refused.map_or("", |refused| if refused { YES } else { NO });
    let running = match expected.running {
        _ if !step.part.reads_running() => "",
        Some(direction) => direction.name(),
        None => NOT_RUNNING,
    };
    let mut row = vec![
        line.to_string(),
        words.part,
        zone.id.clone(),
        zone.controls.settings.controllers.id(step.place.controller).to_owned(),
        action.to_owned(),
        times,
        if wait > 0 { wait.to_string() } else { String::new() },
        expected.heat.to_string(),
        expected.cool.to_string(),
        expected.mode.name().into(),
        expected.power.name().into(),
        running.into(),
        refused.into(),
    ];
    // What was read, and whether it is as expected.
    row.extend(std::iter::repeat_n(String::new(), FIELDS.len() + 1));
    row.push(words.proves);
    row.push(claims::cell(&words.shows));
    row.extend(std::iter::repeat_n(String::new(), BY_HAND));
    row
}
