//! `setband explain`: what a word of setband means.

use std::path::PathBuf;

use clap::Args;

use super::failure::Failure;
use super::files::Folder;
use super::options::Print;
use super::{CommandOutput, terminal};
use crate::reference::{all, look_up};
use crate::report::{reference_index, reference_json, reference_page, reference_text};

/// Arguments of `explain`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband explain min_deadband\n  setband explain \
                        zones.hall.controls.heat\n  setband explain lock-not-in-force\n  setband \
                        explain limited\n  setband explain --all --out reference\n\nA word may be a \
                        key of the scenario file or the way to it, the code of a fault, a finding or \
                        a cause, how a request ended, an event of the ledger, a figure, or a term. \
                        Without a word all of them are listed.\n\nFiles, with --all: reference.html")]
pub(super) struct ExplainArguments {
    /// The word; several belong together (`low limit from`)
    #[arg(value_name = "WORD", conflicts_with = "all")]
    word: Vec<String>,
    /// Every word there is: as one page of HTML with --out, else on the terminal
    #[arg(long)]
    all: bool,
    /// Folder for the page
    #[arg(long, value_name = "DIR", requires = "all")]
    out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) print: Print,
}

pub(super) fn explain(arguments: &ExplainArguments) -> Result<CommandOutput, Failure> {
    let entries = match (arguments.all, arguments.word.join(" ")) {
        (false, word) if !word.is_empty() => named(&word)?,
        _ => all(),
    };
    let files = match &arguments.out {
        Some(out) => {
            let mut folder = Folder::prepare(out.clone(), "explain")?;
            folder.add("reference.html", reference_page(&entries, None).as_bytes())?;
            folder.finish()?
        }
        None => Vec::new(),
    };
    let asks_nothing = !arguments.all && arguments.word.is_empty();
    Ok(CommandOutput::with(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => reference_json(&entries)?,
        (false, true) => String::new(),
        (false, false) if asks_nothing => reference_index(&entries, terminal::style()),
        (false, false) if !files.is_empty() => {
            format!("{} words explained.\n\nFiles\n  {}\n", entries.len(), files.join("\n  "))
        }
        (false, false) => reference_text(&entries, terminal::style()),
    }))
}

fn named(word: &str) -> Result<Vec<crate::reference::Entry>, Failure> {
    let found = look_up(word);
    if found.entries.is_empty() {
        let near: Vec<String> = found.near.iter().map(|name| format!("`{name}`")).collect();
        return Err(Failure::Call {
            what: format!("`{}` is no word of setband", word.escape_debug()),
            help: format!("the nearest are {}; `setband explain` lists all", near.join(", ")),
        });
    }
    Ok(found.entries)
}
