//! `setband sheet`: a functional test sheet for site.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::failure::Failure;
use super::files::Folder;
use super::options::{Chosen, Print};
use super::{CommandOutput, source, terminal};
use crate::engine::{Model, ZoneIndex};
use crate::report::{self, SheetPlan, Sheeted};
use crate::study::sheet::{Conditions, Requirement, Scope, Section, choose, sheet_of, witness};
use crate::time::Seconds;
use crate::units::{Dimension, parse_quantity};

/// Arguments of `sheet`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband sheet scenarios/reading_room.yaml\n  setband sheet \
                        scenarios/reading_room.yaml --outdoor 5 --room 21\n  setband sheet \
                        scenarios/frost_guard.yaml --longest-wait \"12 h\"\n  setband sheet \
                        scenarios/dyehouse_32_rooms.yaml --alike once --within \"45 min\"\n  setband \
                        sheet scenarios/specified_surgery.yaml --for witness\n\nPress what a line \
                        says, read the display, fill in the read_ columns of sheet.csv, then: \
                        setband infer sheet.csv\n\nFiles: sheet.html, sheet.csv")]
pub(super) struct SheetArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// Only this zone; may be repeated
    #[arg(long, value_name = "ID")]
    pub(super) zone: Vec<String>,
    /// Of zones with the same settings and unit test the first whole, of the others what wiring may
    /// have mixed up
    #[arg(long, value_name = "HOW")]
    pub(super) alike: Option<Alike>,
    /// Choose what shows most settings within this time; with its unit, as in "45 min"
    #[arg(long, value_name = "TIME", value_parser = wait)]
    pub(super) within: Option<Seconds>,
    /// Only the few lines that show the requirements of the file
    #[arg(long = "for", value_name = "WHAT", conflicts_with_all = ["zone", "alike", "within"])]
    pub(super) purpose: Option<Purpose>,
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

/// How often alike zones are tested.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Alike {
    /// One of them whole
    Once,
    /// Each of them whole
    Each,
}

/// What a sheet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Purpose {
    /// To show the requirements of the file to somebody
    Witness,
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
    let none = || Failure::Form("the sheet could not be made".into());
    let mut plan = SheetPlan::default();
    let sheet = if arguments.purpose == Some(Purpose::Witness) {
        let variant = arguments.chosen.variant.as_ref();
        let asked = study.requirements.iter().filter(|it| it.variant.as_ref() == variant);
        let asked: Vec<&Requirement> = asked.collect();
        if asked.is_empty() {
            return Err(Failure::Call {
                what: "the file asks nothing: it has no requirements to be shown".into(),
                help: "add some under `require`; `setband review --help` shows how".into(),
            });
        }
        let shown = witness(model, conditions, &asked).ok_or_else(none)?;
        plan.witness = Some(shown.requirements);
        shown.sheet
    } else {
        let mut scope = scope(model, arguments)?;
        if let Some(within) = arguments.within {
            let choice = choose(model, conditions, &scope, within);
            plan.left_out = left_out(&scope, &choice.scope, model);
            scope = choice.scope.clone();
            plan.choice = Some((within, choice));
        }
        let sheet = sheet_of(model, conditions, &scope).ok_or_else(none)?;
        plan.scope = Some(scope);
        sheet
    };
    let sheeted = Sheeted { model, sheet: &sheet, plan: &plan };
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

/// What of the whole test is asked for.
fn scope(model: &Model, arguments: &SheetArguments) -> Result<Scope, Failure> {
    let mut zones = Vec::new();
    for id in &arguments.zone {
        zones.extend(source::zones(model, Some(id))?);
    }
    let scope = if zones.is_empty() { Scope::whole(model) } else { Scope::of_zones(model, &zones) };
    let once = arguments.alike == Some(Alike::Once);
    Ok(if once { scope.alike_once(model) } else { scope })
}

/// The sections of each zone that a choice leaves out.
fn left_out(all: &Scope, chosen: &Scope, model: &Model) -> Vec<(ZoneIndex, Section)> {
    let zones = (0..model.zones.len()).map(ZoneIndex::new);
    let sections = zones.flat_map(|zone| all.sections(zone).map(move |section| (zone, section)));
    sections.filter(|(zone, section)| !chosen.has(*zone, *section)).collect()
}

/// Reads a length of time with its unit.
fn wait(text: &str) -> Result<Seconds, String> {
    let help = || format!("write a time with its unit, as in `90 min`, up to {LONGEST}");
    let seconds = parse_quantity(text, Dimension::Duration).map_err(|_| help())?;
    let minutes = seconds / 60.0;
    let whole = (0..=LONGEST.get() / 60).find(|whole| minutes <= *whole as f64);
    whole.map(Seconds::minutes).filter(|_| seconds >= 0.0).ok_or_else(help)
}
