//! `setband replay`: the days of a log with other settings.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Args, ValueEnum};

use super::failure::Failure;
use super::files::Folder;
use super::options::Print;
use super::{CommandOutput, source, terminal};
use crate::engine::Model;
use crate::report::chart::{self, ChartFault};
use crate::report::{self, Replayed};
use crate::scenario::{STANDARD_INPUT, Study, load_template, load_template_in};
use crate::study::default_threads;
use crate::study::fit::draws::Draws;
use crate::study::replay::{Asked, NoReplay, Requests, Templates, USUAL_DRAWS, replay as run};

/// Arguments of `replay`.
#[derive(Args, Debug)]
#[command(
    after_help = "Examples:\n  setband replay week.yaml --with out/week/fitted.yaml\n  setband \
                        replay week.yaml --with fitted.yaml --requests none --variant wide\n  setband \
                        replay week.yaml --with fitted.yaml --requests other_week.yaml --json\n\nOutdoor \
                        air and presence are as logged; the rooms begin as the log says; heat that the \
                        model does not explain is held fixed. As logged, setpoints, mode and power follow \
                        the log: that checks the model. Differences are those to the run as logged, draw \
                        by draw over draws.csv beside the fitted file, with the interval that holds 95 of \
                        100.\n\nFiles: replay.json, replay.html, replay.svg, replay.png"
)]
pub(super) struct ReplayArguments {
    /// The scenario file, with a `log` block
    pub(super) file: PathBuf,
    /// Rooms and units come from this file, as `fit` writes it
    #[arg(long, value_name = "FITTED")]
    pub(super) with: Option<PathBuf>,
    /// Whose requests the variants get: `logged` (what was moved at site, judged by their rules),
    /// `none` (the file's own alone), or another scenario file whose log's setpoints, mode and power
    /// they follow
    #[arg(long, value_name = "WHOSE", default_value = "logged")]
    pub(super) requests: String,
    /// Whether the heat that the model does not explain is held fixed
    #[arg(long, value_name = "WHETHER", default_value = "on")]
    pub(super) disturbance: DisturbanceArgument,
    /// Only these variants of the file; may be given several times [default: all]
    #[arg(long, value_name = "NAME")]
    pub(super) variant: Vec<String>,
    /// At most so many draws of the fitted parameters [default: 100]
    #[arg(long, value_name = "N")]
    pub(super) draws: Option<usize>,
    /// How many threads to use [default: all]
    #[arg(long, value_name = "N")]
    pub(super) threads: Option<NonZeroUsize>,
    /// Folder for the files [default: out/<file stem>/]
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) print: Print,
}

/// Whether something is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum DisturbanceArgument {
    /// It is
    On,
    /// It is not
    Off,
}

pub(super) fn replay(arguments: &ReplayArguments) -> Result<CommandOutput, Failure> {
    let study = source::study(&arguments.file)?;
    source::site_log(&study.base)?;
    let templates = templates(arguments, &study)?;
    let draws = draws(arguments)?;
    let count = draws.as_ref().map_or(0, |it| it.rows.len());
    let count = count.min(arguments.draws.unwrap_or(USUAL_DRAWS));
    let asked = Asked {
        requests: requests(arguments, &study.base)?,
        no_disturbance: arguments.disturbance == DisturbanceArgument::Off,
    };
    let days = templates.days(&[]).map_err(|rejected| Failure::Call {
        what: rejected.to_string(),
        help: "correct the file, or the one whose rooms it takes".into(),
    })?;
    let draws = draws.unwrap_or_default();
    let draw = |number: usize| templates.drawn(&draws, number, &[]);
    let folder = source::folder_for(&arguments.file, arguments.out.as_deref(), None);
    let folder = Folder::prepare(folder, "replay")?;
    let threads = arguments.threads.unwrap_or_else(default_threads);
    let found = run(&days, (count, &draw), &asked, threads).map_err(|it| refused(&it))?;
    let replayed = Replayed { model: &days.logged, found: &found };
    let files = write(folder, &replayed)?;
    Ok(CommandOutput::with(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::replay_json(&replayed)?,
        (false, true) => String::new(),
        (false, false) => report::replay_text(&replayed, terminal::style(), &files),
    }))
}

fn refused(no: &NoReplay) -> Failure {
    Failure::Call { what: no.to_string(), help: no.help() }
}

/// The file and its variants, ready for other values.
fn templates(arguments: &ReplayArguments, study: &Study) -> Result<Templates, Failure> {
    let file = &arguments.file;
    if file == Path::new(STANDARD_INPUT) {
        return Err(Failure::Call {
            what: "replay reads its file more than once".into(),
            help: "give it a name instead of `-`".into(),
        });
    }
    let rooms = match &arguments.with {
        None => None,
        Some(with) => {
            let fitted = source::study(with)?;
            if fitted.base.unit != study.base.unit {
                return Err(Failure::Call {
                    what: format!("{} is in another temperature unit", with.display()),
                    help: "give both files the same `temperature`".into(),
                });
            }
            Some(load_template(with, None, &Arc::default())?)
        }
    };
    let almanac = Arc::default();
    for name in &arguments.variant {
        source::variant(study, Some(name))?;
    }
    let of_other = !matches!(arguments.requests.as_str(), "logged" | "none");
    let variants = study.variants.iter().map(|(name, _)| name.as_str());
    let template = |name: Option<&str>| load_template_in(file, name, &almanac, rooms.as_ref());
    let read = |name: &str| Ok(template(Some(name))?);
    Templates::new(template(None)?, variants, &arguments.variant, of_other, read)
}

/// The draws beside the fitted file, or beside the file itself; none where there is no such table.
fn draws(arguments: &ReplayArguments) -> Result<Option<Draws>, Failure> {
    let beside = arguments.with.as_ref().unwrap_or(&arguments.file);
    let found = source::draws(beside)?;
    if found.is_none() && arguments.draws.is_some_and(|it| it > 0) {
        return Err(source::no_draws(beside));
    }
    Ok(found)
}

fn requests(arguments: &ReplayArguments, base: &Model) -> Result<Requests, Failure> {
    match arguments.requests.as_str() {
        "logged" => Ok(Requests::Logged),
        "none" => Ok(Requests::Own),
        other => {
            let path = Path::new(other);
            let is_file = path.extension().is_some_and(|it| it == "yaml" || it == "yml");
            if !is_file && !path.exists() {
                return Err(Failure::Call {
                    what: format!("`{other}` is nobody whose requests could be taken"),
                    help: "write logged, none, or the name of a scenario file with a log".into(),
                });
            }
            let model = source::study(path)?.base;
            source::site_log(&model)?;
            if model.period.step() != base.period.step() {
                return Err(Failure::Call {
                    what: format!("{other} has another step"),
                    help: "give both files the same `step` under `period`".into(),
                });
            }
            Ok(Requests::Other(Box::new(model)))
        }
    }
}

fn write(mut folder: Folder, replayed: &Replayed) -> Result<Vec<String>, Failure> {
    let formed = |error: ChartFault| Failure::Form(error.to_string());
    folder.add("replay.json", report::replay_json(replayed)?.as_bytes())?;
    let page = report::replay_html(replayed).map_err(formed)?;
    folder.add("replay.html", page.as_bytes())?;
    let (title, span) = (&replayed.model.title, replayed.span());
    let svg =
        chart::replay_svg(&replayed.view(title, &span), chart::USUAL_WIDTH).map_err(formed)?;
    folder.add("replay.svg", svg.as_bytes())?;
    folder.add("replay.png", &chart::png(&svg).map_err(formed)?)?;
    folder.finish()
}
