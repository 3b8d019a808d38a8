//! `setband sweep`: many settings, many draws, ranked; and `setband merge`, which joins shares.

mod args;
mod journal;
mod merge;
mod outputs;
mod watch;

use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::Ordering;

use super::failure::Failure;
use super::files::Folder;
use super::{CommandOutput, source};
use crate::engine::Model;
use crate::scenario::{Override, Rejected, Template, load_template};
use crate::study::default_threads;
use crate::study::sweep::{
    About, Goal, Header, MOST_CASES, PlanFault, Results, Sampling, Share, SweepPlan, SweepRun, run,
};

pub(super) use args::{GoalArguments, MergeArguments, SweepArguments};
pub(super) use merge::merge;

use journal::JournalFile;
use watch::Watch;

/// So many values of one path are tried before the sweep begins, to find faults of the path.
const TRIED_FIRST: usize = 200;

pub(super) fn sweep(arguments: &SweepArguments) -> Result<CommandOutput, Failure> {
    let study = source::study(&arguments.file)?;
    let base = source::variant(&study, arguments.chosen.variant.as_deref())?;
    let plan = plan(arguments, base)?;
    let goal = arguments.goal.goal(base.tariff.is_some())?;
    let template =
        load_template(&arguments.file, arguments.chosen.variant.as_deref(), &base.almanac)?;
    try_paths(&plan, &template)?;
    let part = arguments.part.unwrap_or(Share::WHOLE);
    let about = About::of(base);
    let header = Header::new(&template.texts(), &plan, &about, part, &goal);
    let path = folder(arguments, part);
    let folder = Folder::prepare(path.clone(), "sweep")?;
    let (journal, known) = JournalFile::open(&path, &header, arguments.begin.begin())?;
    let mut results = Results::new(plan, about);
    for (case, outcome) in known {
        results.put(case, outcome);
    }
    let stopped = carry_out(arguments, &template, part, &mut results, journal)?;
    let print = arguments.print;
    if part != Share::WHOLE {
        return outputs::share(folder, &results, part, print, stopped);
    }
    outputs::whole(folder, &results, &goal, print, stopped)
}

/// Runs what is not done yet. Whether it was broken off.
fn carry_out(
    arguments: &SweepArguments,
    template: &Template,
    part: Share,
    results: &mut Results,
    journal: JournalFile,
) -> Result<bool, Failure> {
    let (plan, settings) = (results.plan.clone(), results.settings.clone());
    let own = part.cases(plan.cases());
    let left: Vec<bool> =
        (0..plan.cases()).map(|it| own.contains(&it) && results.outcome(it).is_none()).collect();
    let watch = Watch::new(left.iter().filter(|it| **it).count(), arguments.print.quiet)?;
    let shared = Mutex::new((results, journal));
    let threads = arguments.threads.unwrap_or_else(default_threads);
    let study = SweepRun::new(&plan, template, &settings);
    run(&study, &|case| left[case], threads, watch.stop(), &|case, outcome| {
        // A thread that panicked has left the journal whole: lines are written one by one.
        let mut shared = shared.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        let (results, journal) = &mut *shared;
        if !journal.note(case, &outcome) {
            watch.stop().store(true, Ordering::Relaxed);
        }
        results.put(case, outcome);
        watch.one_more();
    });
    watch.finish();
    let (_, journal) = shared.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
    journal.close()?;
    Ok(watch.stop().load(Ordering::Relaxed))
}

fn plan(arguments: &SweepArguments, base: &Model) -> Result<SweepPlan, Failure> {
    let sampling = match (arguments.random, arguments.latin) {
        (Some(count), _) => Sampling::Random(count),
        (None, Some(count)) => Sampling::Latin(count),
        (None, None) => Sampling::Grid,
    };
    let plan = SweepPlan {
        axes: args::axes(&arguments.grid, base)?,
        sampling,
        varied: args::varied(arguments, base)?,
        draws: arguments.draws,
        seed: arguments.seed.unwrap_or(base.seed),
    };
    if sampling != Sampling::Grid && plan.axes.is_empty() {
        return Err(call("there is nothing to sample", "add --grid PATH=VALUES"));
    }
    plan.check().map(|()| plan).map_err(|fault| in_words(&fault))
}

fn in_words(fault: &PlanFault) -> Failure {
    match fault {
        PlanFault::NoDraws => call("no draws are asked for", "give --draws 1 or more"),
        PlanFault::NoSamples => call("no samples are asked for", "give 1 or more"),
        PlanFault::Twice(path) => call(
            format!("the path `{path}` is given twice"),
            "give all its values in one --grid or --vary",
        ),
        PlanFault::Seed => call(
            "the seed is no path of a sweep: each draw has one of its own",
            "say how many with --draws, and where they begin with --seed",
        ),
        PlanFault::NoStep(path) => call(
            format!("the range of `{path}` has no step, so it has no end of values"),
            "add a step as in `0..4:0.5`, or sample it with --latin 100",
        ),
        PlanFault::TooMany(cases) => call(
            format!(
                "these are {} cases, more than {}",
                grouped(*cases),
                grouped(MOST_CASES as f64)
            ),
            "take larger steps, fewer draws, or a sample with --latin 1000",
        ),
    }
}

/// A large number with its thousands apart.
fn grouped(number: f64) -> String {
    let digits = format!("{number:.0}");
    let mut out = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// Finds paths that lead nowhere, and opens every file that a value may name.
fn try_paths(plan: &SweepPlan, template: &Template) -> Result<(), Failure> {
    for axis in plan.axes.iter().chain(&plan.varied) {
        for value in axis.samples().iter().take(TRIED_FIRST) {
            let change = Override::new(&axis.path, value).map_err(|what| {
                call(what, "write it as it would stand in the file, texts with `: ` in quotes")
            })?;
            if let Err(Rejected::Path { path, message, remedy }) = template.model(&[change]) {
                return Err(call(format!("`{path}`: {message}"), remedy));
            }
        }
    }
    Ok(())
}

/// Where the files go: those of a share into a folder of its own.
fn folder(arguments: &SweepArguments, part: Share) -> PathBuf {
    let folder = source::folder(&arguments.file, &arguments.chosen);
    if part == Share::WHOLE || arguments.chosen.out.is_some() {
        folder
    } else {
        folder.join(Path::new(&format!("part-{}-of-{}", part.number, part.of)))
    }
}

fn call(what: impl Into<String>, help: impl Into<String>) -> Failure {
    Failure::Call { what: what.into(), help: help.into() }
}

/// The goal that a call asks for.
fn goal_of(arguments: &args::GoalArguments, default: &Goal) -> Result<Goal, Failure> {
    if arguments.asks_nothing() { Ok(default.clone()) } else { arguments.goal_or(default) }
}
