//! `setband check`: findings about the settings, without a simulation.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::failure::Failure;
use super::options::Print;
use super::{CommandOutput, source, terminal};
use crate::report;
use crate::study::{EnergyCode, Finding, check as find, explain_faults};

/// Arguments of `check`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband check scenarios/reading_room.yaml\n  setband check \
                        scenarios/reading_room.yaml --code ashrae90.1 --strict\n  setband check \
                        scenarios/reading_room.yaml --json\n\nWithout --code all three codes are \
                        looked at, as notes: whether one applies is yours to say.\n\nThe gravest comes first: what \
                        may freeze, who may wait, energy, comfort, the record. What is found alike in \
                        several zones is told once.")]
pub(super) struct CheckArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// The energy code that applies: its demands become warnings, the others are left out
    #[arg(long, value_name = "CODE")]
    pub(super) code: Option<Code>,
    /// Exit with 1 where there is any finding
    #[arg(long)]
    pub(super) strict: bool,
    /// List notes, too, which are only counted otherwise
    #[arg(long)]
    pub(super) all: bool,
    /// Which variant of the file; the file as written without it
    #[arg(long, value_name = "NAME")]
    pub(super) variant: Option<String>,
    #[command(flatten)]
    pub(super) print: Print,
}

/// An energy code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Code {
    /// ANSI/ASHRAE/IES Standard 90.1
    #[value(name = "ashrae90.1")]
    Ashrae901,
    /// International Energy Conservation Code
    #[value(name = "iecc")]
    Iecc,
    /// California Title 24, Part 6
    #[value(name = "title24")]
    Title24,
}

pub(super) fn check(arguments: &CheckArguments) -> Result<CommandOutput, Failure> {
    let code = arguments.code.map(|code| match code {
        Code::Ashrae901 => EnergyCode::Ashrae901,
        Code::Iecc => EnergyCode::Iecc,
        Code::Title24 => EnergyCode::Title24,
    });
    let study = match source::study(&arguments.file) {
        Ok(study) => study,
        Err(failure) => return explained(arguments, failure),
    };
    let model = match source::variant(&study, arguments.variant.as_deref()) {
        Ok(model) => model,
        Err(failure) => return explained(arguments, failure),
    };
    let findings = find(&study, model, code);
    let holds = findings.is_empty() || !arguments.strict;
    Ok(CommandOutput { text: words(arguments, &findings)?, holds })
}

fn words(arguments: &CheckArguments, findings: &[Finding]) -> Result<String, Failure> {
    Ok(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::findings_json(findings)?,
        (false, true) => String::new(),
        (false, false) => {
            let file = arguments.file.display().to_string();
            report::findings_text(&file, findings, arguments.all, terminal::style())
        }
    })
}

/// A file that does not run: its faults as findings for programs, in full for people.
fn explained(arguments: &CheckArguments, failure: Failure) -> Result<CommandOutput, Failure> {
    match &failure {
        Failure::Faults(faults) if arguments.print.json => {
            terminal::print(&report::findings_json(&explain_faults(faults))?)?;
            Err(failure)
        }
        _ => Err(failure),
    }
}
