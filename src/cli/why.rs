//! `setband why`: why somebody was cold or hot.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::failure::{Failure, possible};
use super::moment::MomentArgument;
use super::options::Print;
use super::{CommandOutput, source, terminal};
use crate::engine::{Model, ZoneIndex};
use crate::log::LogTime;
use crate::report::{self, AnswerFrom, Explained};
use crate::scenario::load_template;
use crate::study::replay::Rerun;
use crate::study::why::{Answer, Felt, Scene, remedies, why as ask};
use crate::study::{Keep, simulate};
use crate::time::Instant;

/// Arguments of `why`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband why site.yaml --zone parlour --at \
                        \"2025-11-12 09:30\" --felt cold\n  setband why scenarios/reading_room.yaml \
                        --zone hall --at 14:20 --felt hot --json\n\nWhere the file names a log the \
                        causes come from it, else (or with --simulated) from the simulated run. Up to \
                        three settings that would have helped are simulated: over the days of \
                        the log, in which people ask for what they asked for at site, else over the \
                        file's days.")]
pub(super) struct WhyArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// Which zone
    #[arg(long, value_name = "ZONE")]
    pub(super) zone: String,
    /// When, as clocks show it (`14:20`, `d2 14:20` for the second day, or `2025-07-04 14:20`)
    #[arg(long, value_name = "TIME")]
    pub(super) at: MomentArgument,
    /// What somebody felt
    #[arg(long, value_name = "WHAT")]
    pub(super) felt: FeltArgument,
    /// Ask the simulated run, also where the file names a log
    #[arg(long)]
    pub(super) simulated: bool,
    /// Which variant of the file; the file as written without it
    #[arg(long, value_name = "NAME")]
    pub(super) variant: Option<String>,
    #[command(flatten)]
    pub(super) print: Print,
}

/// What somebody felt.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum FeltArgument {
    /// Too cold
    Cold,
    /// Too hot
    Hot,
}

pub(super) fn why(arguments: &WhyArguments) -> Result<CommandOutput, Failure> {
    let study = source::study(&arguments.file)?;
    let model = source::variant(&study, arguments.variant.as_deref())?;
    let zone = source::zones(model, Some(&arguments.zone))?[0];
    let period = &model.period;
    let Some(at) = arguments.at.within(period) else {
        return Err(Failure::Call {
            what: "--at lies outside the period".into(),
            help: format!("the file has {} day(s) from {}", period.days(), period.first()),
        });
    };
    let felt = match arguments.felt {
        FeltArgument::Cold => Felt::Cold,
        FeltArgument::Hot => Felt::Hot,
    };
    let (scene, answer) = answered(model, zone, at, felt, arguments.simulated)?;
    let template = load_template(&arguments.file, arguments.variant.as_deref(), &model.almanac)?;
    let site = model.log.as_deref().filter(|_| scene.is_logged);
    let days = site.map(|site| Rerun::of(model, site));
    let (days, no_days) = match days {
        Some(Ok(days)) => (Some(days), None),
        Some(Err(why)) => (None, Some(why.to_string())),
        None => (None, None),
    };
    let (helped, tried) =
        remedies(&template, model, (zone, at), felt, &answer.causes, days.as_ref());
    let explained = Explained {
        id: &scene.id,
        answer: &answer,
        remedies: &helped,
        tried,
        unit: model.unit,
        from: match (scene.is_logged, &days, &no_days) {
            (false, ..) => AnswerFrom::Run,
            (true, Some(days), _) => AnswerFrom::Log { requests: days.requests(at) },
            (true, None, why) => AnswerFrom::FileDays { why: why.as_deref().unwrap_or_default() },
        },
    };
    Ok(CommandOutput::with(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::why_json(&explained)?,
        (false, true) => String::new(),
        (false, false) => report::why_text(&explained, terminal::style()),
    }))
}

fn answered(
    model: &Model,
    zone: ZoneIndex,
    at: Instant,
    felt: Felt,
    simulated: bool,
) -> Result<(Scene, Answer), Failure> {
    let moment = LogTime::midnight(model.period.first()) + at.get();
    let scene = if let Some(site) = model.log.as_deref().filter(|_| !simulated) {
        Scene::of_log(model, site, zone, moment)
    } else {
        let run = simulate(model, Keep::Steps);
        possible(run.halt, model)?;
        Scene::of_run(model, (&run.rows, &run.ledger), zone, moment)
    };
    let found = scene.and_then(|scene| ask(&scene, felt).map(|answer| (scene, answer)));
    found.ok_or_else(|| Failure::Call {
        what: "the log has nothing of that zone at that time".into(),
        help: "choose a time that it covers, or ask the simulated run with --simulated".into(),
    })
}
