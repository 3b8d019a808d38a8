//! `setband reach`: everything that occupants can bring about by pressing keys.

use std::path::PathBuf;

use clap::Args;

use super::failure::Failure;
use super::files::Folder;
use super::options::{Chosen, Print};
use super::{CommandOutput, source, terminal};
use crate::engine::{Model, ZoneIndex};
use crate::report::{self, Reached};
use crate::study::reach::{Claim, MOST_STATES, Reach, explore};

/// Arguments of `reach`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband reach scenarios/reading_room.yaml\n  setband reach \
                        scenarios/reading_room.yaml --prove \"cool >= 23\" --prove \"cool - heat \
                        >= 3\"\n  setband reach scenarios/reading_room.yaml --zone reading_room \
                        --prove \"mode = cool or heat <= 22\"\n\nClaims: heat, cool and numbers \
                        with + and -, compared by >= <= > < = !=; mode = heat|cool|auto|dry|fan; \
                        power = on|off; joined by and, or, not and brackets. Numbers are in the \
                        file's unit. A claim that does not hold ends with exit code 1.\n\nFiles: \
                        reach_<zone>.svg, reach_<zone>.png")]
pub(super) struct ReachArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// Prove this in every state, or show the shortest presses that break it; may be repeated
    #[arg(long, value_name = "CLAIM")]
    pub(super) prove: Vec<String>,
    /// Only this zone
    #[arg(long, value_name = "ID")]
    pub(super) zone: Option<String>,
    /// Look at no more states than this in each zone
    #[arg(long, value_name = "N", default_value_t = MOST_STATES)]
    pub(super) most_states: usize,
    #[command(flatten)]
    pub(super) chosen: Chosen,
    #[command(flatten)]
    pub(super) print: Print,
}

pub(super) fn reach(arguments: &ReachArguments) -> Result<CommandOutput, Failure> {
    let claims: Vec<Claim> =
        arguments.prove.iter().map(|text| claim(text)).collect::<Result<_, _>>()?;
    let study = source::study(&arguments.file)?;
    let model = source::variant(&study, arguments.chosen.variant.as_deref())?;
    let chosen = source::zones(model, arguments.zone.as_deref())?;
    let mut folder = Folder::prepare(source::folder(&arguments.file, &arguments.chosen), "reach")?;
    let zones: Vec<Reach> =
        chosen.into_iter().map(|zone| explored(model, zone, &claims, arguments)).collect();
    for reach in &zones {
        let id = &model.zones[reach.zone.get()].id;
        let picture = report::chart::reach_svg(model, reach).map_err(formed)?;
        folder.add(&format!("reach_{id}.svg"), picture.as_bytes())?;
        let picture = report::chart::png(&picture).map_err(formed)?;
        folder.add(&format!("reach_{id}.png"), &picture)?;
    }
    let files = folder.finish()?;
    let reached = Reached { model, zones: &zones, claims: &claims };
    let text = match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::reach_json(&reached)?,
        (false, true) => String::new(),
        (false, false) => report::reach_text(&reached, terminal::style(), &files),
    };
    Ok(CommandOutput { text, holds: reached.all_hold() })
}

fn explored(model: &Model, zone: ZoneIndex, claims: &[Claim], arguments: &ReachArguments) -> Reach {
    let id = &model.zones[zone.get()].id;
    let quiet = arguments.print.quiet || arguments.print.json;
    let mut progress = |states: usize| {
        if !quiet {
            terminal::progress(&format!("{id}: {states} states found"));
        }
    };
    let reach = explore(model, zone, claims, arguments.most_states, &mut progress);
    if !quiet {
        terminal::progress("");
    }
    reach
}

fn claim(text: &str) -> Result<Claim, Failure> {
    Claim::parse(text).map_err(|fault| Failure::Call {
        what: format!("`{text}` is no claim: {fault}"),
        help: "write for example \"cool >= 23\" or \"cool - heat >= 3 and power = on\"".into(),
    })
}

fn formed(error: impl std::fmt::Display) -> Failure {
    Failure::Form(error.to_string())
}
