//! `setband infer`: from readings taken at site to the settings that agree with them.

use std::path::{Path, PathBuf};

use clap::Args;

use super::failure::Failure;
use super::options::Print;
use super::{CommandOutput, terminal};
use crate::report;
use crate::study::infer::{TableFault, infer as inferred, read_record, verdict};

/// Larger tables are not read, bytes.
const LARGEST: u64 = 16 << 20;

/// Arguments of `infer`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband infer sheet.csv\n  setband infer readings.csv \
                        --json\n\nThe table is sheet.csv with its read_ columns filled in, or any \
                        list of presses with the columns action (warmer, cooler, mode, power, \
                        look, wait, ...), times, zone, controller, read_heat, read_cool, \
                        read_mode, read_power, read_running (heating, cooling, none), read_refused \
                        (yes, no), ok (ok alone means: as \
                        expected). Semicolons with decimal commas are read, too. What is empty was not read; a press can be used where the \
                        reading before it is whole. Lines before the table such as `# temperature \
                        = C` or `# zones.hall.controls.min_deadband = 2` state what is meant to \
                        be set.\n\nExit code 1 where a line reads otherwise than expected, or readings \
                        contradict each other or the stated settings.")]
pub(super) struct InferArguments {
    /// The filled sheet, or any list of presses and readings
    pub(super) file: PathBuf,
    #[command(flatten)]
    pub(super) print: Print,
}

pub(super) fn infer(arguments: &InferArguments) -> Result<CommandOutput, Failure> {
    let text = text_of(&arguments.file)?;
    let told = |faults: Vec<TableFault>| {
        Failure::Table(report::table_faults(&arguments.file.display().to_string(), &faults))
    };
    let record = read_record(&text).map_err(told)?;
    let zones = inferred(&record).map_err(told)?;
    let holds = verdict(&zones).holds();
    let text = match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::infer_json(&zones)?,
        (false, true) => String::new(),
        (false, false) => report::infer_text(&zones, terminal::style()),
    };
    Ok(CommandOutput { text, holds })
}

fn text_of(path: &Path) -> Result<String, Failure> {
    let unreadable = |why: String| Failure::Call {
        what: format!("{} cannot be read: {why}", path.display()),
        help: "name a CSV table in UTF-8; `setband sheet` writes one to fill in".into(),
    };
    let size = std::fs::metadata(path).map_err(|error| unreadable(error.to_string()))?;
    if !size.is_file() || size.len() > LARGEST {
        return Err(unreadable("it is no file, or too large a one".into()));
    }
    std::fs::read_to_string(path).map_err(|error| unreadable(error.to_string()))
}
