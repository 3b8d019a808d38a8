//! `setband handover`: pages to print for people, owner and technician.

use std::path::PathBuf;

use clap::Args;

use super::failure::Failure;
use super::files::Folder;
use super::options::Chosen;
use super::{CommandOutput, register, source};
use crate::report::{self, Registered};
use crate::study::check;
use crate::study::reach::MOST_STATES;
use crate::study::review::review;

/// Arguments of `handover`.
#[derive(Args, Debug)]
#[command(
    after_help = "Example:\n  setband handover scenarios/specified_surgery.yaml\n  setband handover \
                        surgery.yaml --register papers/\n\nFor each zone \
                        one side for the people in it (what the keys do, how far, what happens while \
                        nobody is there, who decides between heating and cooling), one for the owner \
                        (what was asked and what holds, what is owed, cautions, the settings record), \
                        one for the next technician.\n\nFiles: handover.html"
)]
pub(super) struct HandoverArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// The folder with the filled sheets and tables of the building: tells the owner what was shown
    /// on site, and what was not yet
    #[arg(long, value_name = "DIR")]
    pub(super) register: Option<PathBuf>,
    #[command(flatten)]
    pub(super) chosen: Chosen,
    /// Print nothing but errors
    #[arg(long, short)]
    pub(super) quiet: bool,
}

pub(super) fn handover(arguments: &HandoverArguments) -> Result<CommandOutput, Failure> {
    let study = source::study(&arguments.file)?;
    let model = source::variant(&study, arguments.chosen.variant.as_deref())?;
    let register = arguments.register.as_deref().map(register::read).transpose()?;
    let mut folder =
        Folder::prepare(source::folder(&arguments.file, &arguments.chosen), "handover")?;
    let review = review(&study, MOST_STATES, None);
    let findings = check(&study, model, None);
    let shown = register.as_ref().map(|register| Registered {
        register,
        title: &model.title,
        weather: None,
    });
    let page = report::handover_page(model, &review, &findings, shown.as_ref());
    folder.add("handover.html", page.as_bytes())?;
    let files = folder.finish()?;
    let zones = model.zones.len();
    Ok(CommandOutput::with(if arguments.quiet {
        String::new()
    } else {
        let sides = if zones == 1 { "1 side".into() } else { format!("{zones} sides") };
        format!(
            "{sides} for people, one part for the owner and one for the next technician.\n\nFiles\n  \
             {}\n",
            files.join("\n  ")
        )
    }))
}
