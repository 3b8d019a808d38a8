//! `setband sheet`: a functional test sheet for site.

use std::path::PathBuf;

use clap::Args;

use super::failure::Failure;
use super::files::Folder;
use super::options::{Chosen, Print};
use super::{CommandOutput, source, terminal};
use crate::report::{self, Sheeted};
use crate::study::sheet::{Conditions, sheet as write_sheet};
use crate::time::Seconds;
use crate::units::{Dimension, parse_quantity};

/// Arguments of `sheet`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband sheet scenarios/reading_room.yaml\n  setband sheet \
                        scenarios/reading_room.yaml --outdoor 5 --room 21\n  setband sheet \
                        scenarios/frost_guard.yaml --longest-wait \"12 h\"\n\nPress what a line \
                        says, read the display, fill in the read_ columns of sheet.csv, then: \
                        setband infer sheet.csv\n\nFiles: sheet.html, sheet.csv")]
pub(super) struct SheetArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// What every room reads at the time, in the file's unit [default: for each zone what lets
    /// most be tested]
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub(super) room: Option<f64>,
    /// Outdoor temperature at the time, in the file's unit: what the season forbids is deferred
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub(super) outdoor: Option<f64>,
    /// No wait on the sheet is longer; with its unit, as in "12 h"
    #[arg(long, value_name = "TIME", default_value = "3 h", value_parser = wait)]
    pub(super) longest_wait: Seconds,
    #[command(flatten)]
    pub(super) chosen: Chosen,
    #[command(flatten)]
    pub(super) print: Print,
}

/// Temperatures beyond these are none that a room or outdoor air has, in either unit.
const TEMPERATURES: std::ops::RangeInclusive<f64> = -100.0..=200.0;
/// Waits beyond this are not for a sheet.
const LONGEST: Seconds = Seconds::hours(48);

pub(super) fn sheet(arguments: &SheetArguments) -> Result<CommandOutput, Failure> {
    for (name, value) in [("--room", arguments.room), ("--outdoor", arguments.outdoor)] {
        if value.is_some_and(|value| !TEMPERATURES.contains(&value)) {
            return Err(Failure::Call {
                what: format!("{name} is no temperature of a room or of outdoor air"),
                help: format!("give degrees in the unit of the file, as in `{name} 21`"),
            });
        }
    }
    let study = source::study(&arguments.file)?;
    let model = source::variant(&study, arguments.chosen.variant.as_deref())?;
    let mut folder = Folder::prepare(source::folder(&arguments.file, &arguments.chosen), "sheet")?;
    let conditions = Conditions {
        room: arguments.room,
        outdoor: arguments.outdoor,
        longest_wait: arguments.longest_wait,
    };
    let sheet = write_sheet(model, conditions)
        .ok_or_else(|| Failure::Form("the sheet could not be made".into()))?;
    let sheeted = Sheeted { model, sheet: &sheet };
    folder.add("sheet.html", report::sheet_page(&sheeted).as_bytes())?;
    let table = report::sheet_csv(&sheeted).map_err(|error| Failure::Form(error.to_string()))?;
    folder.add("sheet.csv", &table)?;
    let files = folder.finish()?;
    Ok(CommandOutput::with(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::sheet_json(&sheeted)?,
        (false, true) => String::new(),
        (false, false) => report::sheet_text(&sheeted, terminal::style(), &files),
    }))
}

/// Reads a length of time with its unit.
fn wait(text: &str) -> Result<Seconds, String> {
    let help = || format!("write a time with its unit, as in `90 min`, up to {LONGEST}");
    let seconds = parse_quantity(text, Dimension::Duration).map_err(|_| help())?;
    let minutes = seconds / 60.0;
    let whole = (0..=LONGEST.get() / 60).find(|whole| minutes <= *whole as f64);
    whole.map(Seconds::minutes).filter(|_| seconds >= 0.0).ok_or_else(help)
}
