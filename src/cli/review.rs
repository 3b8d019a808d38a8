//! `setband review`: what a specification asks, held against the file.

use std::path::PathBuf;

use clap::Args;

use super::failure::Failure;
use super::options::Print;
use super::{CommandOutput, source, terminal};
use crate::report;
use crate::study::reach::MOST_STATES;
use crate::study::review::review as reviewed;

/// Arguments of `review`.
#[derive(Args, Debug)]
#[command(
    after_help = "Examples:\n  setband review school.yaml\n  setband review school.yaml --json\n\n\
                        The file says under `require` what is asked, for example\n  require:\n    - {id: \
                        R1, setting: min_deadband, at_least: 2, why: \"specification, 3.2\"}\n    - {id: \
                        R2, claim: \"cool >= 23\", zones: [hall, shop]}\n    - {id: R3, figure: \
                        starved_hours, at_most: 1}\n    - {id: R4, figure: changeovers, of: all, at_most: \
                        6, variant: wide}\n    - {id: R5, finding: lock_not_in_force, absent: true}\n\nEach \
                        holds, fails or cannot be shown: by the setting as read, by proof over every state \
                        that occupants can bring about, by simulating the period, by the findings of check. \
                        Where one fails stands the shortest way there.\n\nExit code 1 where a requirement \
                        fails or cannot be shown."
)]
pub(super) struct ReviewArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// Look at no more states than this in each zone
    #[arg(long, value_name = "N", default_value_t = MOST_STATES)]
    pub(super) most_states: usize,
    #[command(flatten)]
    pub(super) print: Print,
}

pub(super) fn review(arguments: &ReviewArguments) -> Result<CommandOutput, Failure> {
    let study = source::study(&arguments.file)?;
    if study.requirements.is_empty() {
        return Err(Failure::Call {
            what: "the file asks nothing: it has no requirements".into(),
            help: "add some under `require`; `setband review --help` shows how".into(),
        });
    }
    let review = reviewed(&study, arguments.most_states, None);
    let text = match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::review_json(&review)?,
        (false, true) => String::new(),
        (false, false) => report::review_text(&review, terminal::style()),
    };
    Ok(CommandOutput { text, holds: review.holds() })
}
