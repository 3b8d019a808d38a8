//! `setband worst`: how cold and how warm rooms can become, proved.

mod region;

use std::path::{Path, PathBuf};

use clap::Args;

use super::failure::Failure;
use super::files::Folder;
use super::options::{Chosen, Print};
use super::{CommandOutput, source, terminal};
use crate::engine::Model;
use crate::report::{self, Worst, ZoneWorst};
use crate::scenario::{Companions, load_text};
use crate::study::worst::{
    End, Found, Limits, Question, Reached, Remedied, Source, bound, find, remedies,
};
use crate::time::Seconds;
use crate::units::{Dimension, parse_quantity};

/// Width of the pictures, px.
const CHART_WIDTH: u32 = 900;

/// Arguments of `worst`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband worst scenarios/frost_guard.yaml --coldest -12\n  \
                        setband worst scenarios/frost_guard.yaml --coldest -12 --at-least 12 \
                        --for \"72 h\"\n  setband worst scenarios/locked_heat.yaml --outage \"4 h\" \
                        --json\n\nOver everything at once: any presses of occupants at any time, \
                        outdoor air between the coldest and the hottest, sun from none to clear, \
                        gains from none to all. Temperatures are in the file's unit. A bound that is \
                        asked for and not proved ends with exit code 1.\n\nFiles: \
                        worst_<zone>.svg, worst_<zone>.png: the range over the time; \
                        worst_<zone>_lowest.yaml, worst_<zone>_highest.yaml: the worst runs found, for \
                        `run`")]
pub(super) struct WorstArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// Only this zone
    #[arg(long, value_name = "ID")]
    pub(super) zone: Option<String>,
    /// It is never colder outside [default: the lowest of the file's weather]
    #[arg(long, value_name = "T", allow_negative_numbers = true)]
    pub(super) coldest: Option<f64>,
    /// It is never warmer outside [default: the highest of the file's weather]
    #[arg(long, value_name = "T", allow_negative_numbers = true)]
    pub(super) hottest: Option<f64>,
    /// Within this time from the first midnight
    #[arg(long = "for", value_name = "TIME", default_value = "72 h", value_parser = duration)]
    pub(super) lasts: Seconds,
    /// The supply fails once for so long, at any time
    #[arg(long, value_name = "TIME", value_parser = duration)]
    pub(super) outage: Option<Seconds>,
    /// Windows may be opened at any time
    #[arg(long)]
    pub(super) windows: bool,
    /// Start with air and mass at this temperature [default: anywhere a room can be by itself]
    #[arg(long, value_name = "T", allow_negative_numbers = true)]
    pub(super) from: Option<f64>,
    /// Over the rooms that a fit holds possible: those of draws.csv beside this fitted file, but for
    /// one in twenty; what would help is bounded over them, too, which takes ten times as long
    #[arg(long, value_name = "FITTED")]
    pub(super) with: Option<PathBuf>,
    /// So many draws at most
    #[arg(long, value_name = "N", default_value_t = 40, requires = "with",
          value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub(super) draws: u32,
    /// Prove that no room gets colder than this
    #[arg(long, value_name = "T", allow_negative_numbers = true)]
    pub(super) at_least: Option<f64>,
    /// Prove that no room gets warmer than this
    #[arg(long, value_name = "T", allow_negative_numbers = true)]
    pub(super) at_most: Option<f64>,
    /// Do not look for what would help
    #[arg(long)]
    pub(super) no_remedies: bool,
    #[command(flatten)]
    pub(super) chosen: Chosen,
    #[command(flatten)]
    pub(super) print: Print,
}

#[expect(clippy::cast_possible_truncation, reason = "a year of seconds at most")]
fn duration(text: &str) -> Result<Seconds, String> {
    let wrong = || format!("`{text}` is no time; write for example \"72 h\" or \"90 min\"");
    let seconds = parse_quantity(text, Dimension::Duration).map_err(|_| wrong())?;
    let whole = seconds.round();
    if !(60.0..=366.0 * 86_400.0).contains(&whole) {
        return Err(format!("`{text}` is not between a minute and 366 days"));
    }
    Ok(Seconds::new(whole as i64))
}

/// What was bounded, and over how many draws of a fit.
struct Bounded {
    zones: Vec<ZoneWorst>,
    draws: Option<usize>,
}

pub(super) fn worst(arguments: &WorstArguments) -> Result<CommandOutput, Failure> {
    let study = source::study(&arguments.file)?;
    let model = source::variant(&study, arguments.chosen.variant.as_deref())?;
    let chosen = source::zones(model, arguments.zone.as_deref())?;
    let question = question(model, arguments);
    let mut folder = Folder::prepare(source::folder(&arguments.file, &arguments.chosen), "worst")?;
    let bounded = match &arguments.with {
        Some(fitted) => region::over_draws(arguments, fitted)?,
        None => of_file(arguments, model, &question)?,
    };
    let is_chosen = |zone: &ZoneWorst| chosen.contains(&zone.reached.zone);
    let zones: Vec<ZoneWorst> = bounded.zones.into_iter().filter(is_chosen).collect();
    for (found, name) in zones.iter().flat_map(|zone| zone.found.iter().flatten()) {
        folder.add(name, found.scenario.as_bytes())?;
    }
    let celsius = |value: f64| model.unit.to_celsius(value);
    let worst = Worst {
        model,
        question: &question,
        zones: &zones,
        at_least: arguments.at_least.map(celsius),
        at_most: arguments.at_most.map(celsius),
        draws: bounded.draws,
    };
    for zone in &zones {
        let id = &model.zones[zone.reached.zone.get()].id;
        let picture = report::chart::worst_svg(&worst, zone, CHART_WIDTH)?;
        let png = report::chart::png(&picture)?;
        folder.add(&format!("worst_{id}.svg"), picture.as_bytes())?;
        folder.add(&format!("worst_{id}.png"), &png)?;
    }
    let files = folder.finish()?;
    let text = match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::worst_json(&worst)?,
        (false, true) => String::new(),
        (false, false) => report::worst_text(&worst, terminal::style(), &files),
    };
    Ok(CommandOutput { text, holds: worst.holds() })
}

/// Every zone of the file, with the worst runs found and what would help.
fn of_file(
    arguments: &WorstArguments,
    model: &Model,
    question: &Question,
) -> Result<Bounded, Failure> {
    let reached = bound(model, question).map_err(|it| refused(&it))?;
    let found = End::BOTH.map(|end| found(arguments, model, question, &reached, end));
    let remedied = helps(arguments, model, question)?;
    let zones = reached.into_iter().map(|reached| told(model, reached, &found, &remedied));
    Ok(Bounded { zones: zones.collect(), draws: None })
}

fn question(model: &Model, arguments: &WorstArguments) -> Question {
    let own = Limits::of_weather(model);
    let celsius = |value: f64| model.unit.to_celsius(value);
    Question {
        limits: Limits {
            coldest: arguments.coldest.map_or(own.coldest, celsius),
            hottest: arguments.hottest.map_or(own.hottest, celsius),
        },
        lasts: arguments.lasts,
        any_window: arguments.windows,
        outage: arguments.outage,
        from: arguments.from.map(celsius),
    }
}

/// The worst runs found, zone by zone.
fn found(
    arguments: &WorstArguments,
    model: &Model,
    question: &Question,
    reached: &[Reached],
    end: End,
) -> Vec<Option<Found>> {
    let none = || vec![None; model.zones.len()];
    let file: &Path = &arguments.file;
    // What came from standard input cannot be read again.
    if file == Path::new(crate::scenario::STANDARD_INPUT) {
        return none();
    }
    let Ok(text) = load_text(file) else { return none() };
    let beside = Companions::beside(file).unwrap_or_default();
    let open = |name: &str| beside.open(name);
    let name = file.display().to_string();
    let source = Source {
        text: &text,
        name: &name,
        variant: arguments.chosen.variant.as_deref(),
        open: &open,
    };
    find(&source, model, question, reached, end)
}

/// What changes would come to.
fn helps(
    arguments: &WorstArguments,
    model: &Model,
    question: &Question,
) -> Result<[Vec<Remedied>; 2], Failure> {
    if arguments.no_remedies {
        return Ok([Vec::new(), Vec::new()]);
    }
    let tried =
        |end: End| remedies(model, question, end, arguments.at_least).map_err(|it| refused(&it));
    Ok([tried(End::Lowest)?, tried(End::Highest)?])
}

fn told(
    model: &Model,
    reached: Reached,
    found: &[Vec<Option<Found>>; 2],
    remedied: &[Vec<Remedied>; 2],
) -> ZoneWorst {
    let (place, id) = (reached.zone.get(), &model.zones[reached.zone.get()].id);
    let named = End::BOTH.map(|end| {
        let found = found[end as usize][place].clone()?;
        Some((found, file_of(id, end)))
    });
    ZoneWorst::new(reached, named, [&remedied[0], &remedied[1]])
}

/// The file of the worst run found in a zone.
fn file_of(id: &str, end: End) -> String {
    format!("worst_{id}_{}.yaml", end.name())
}

fn refused(refusal: &crate::study::worst::Refusal) -> Failure {
    Failure::Call { what: "this file cannot be bounded".into(), help: refusal.to_string() }
}
