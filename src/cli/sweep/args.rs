//! The arguments of `sweep` and `merge`.

use crate::cli::options::{Chosen, Print};
use crate::cli::source;
use std::num::NonZeroUsize;
use std::path::PathBuf;

use clap::Args;

use super::journal::Begin;
use super::{Failure, call};
use crate::engine::Model;
use crate::measures::FIGURES;
use crate::scenario::ValueGrid;
use crate::study::Wanted;
use crate::study::sweep::{Axis, Goal, GoalFault, NoValues, Sense, Share, Values};

/// What `--vary` calls the draws of what was fitted.
const FITTED: &str = "fitted";

/// Arguments of `sweep`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband sweep scenarios/reading_room.yaml --grid \
                        'zones.*.band=0..4:0.5'\n  setband sweep scenarios/reading_room.yaml \
                        --grid 'zones.*.band=0..4:0.5' \\\n    --vary \
                        'zones.*.controls.sensor.offset=normal(0, 0.3)' --draws 100 \\\n    \
                        --at-most degree_hours_outside_band=2 --minimise total_kwh\n  setband \
                        sweep FILE --grid ... --part 3/16 --out shares/3   and then   setband \
                        merge shares/* --out joined\n\nVALUES: a range with a step `0..4:0.5`, a \
                        list `[a, b]`, a unit after them `500..1500:250 W`; for --random, --latin \
                        and --vary also a range without a step, and for --vary `normal(MEAN, \
                        DEVIATION)`. PATH as in the file's variants; `*` is every zone, or every \
                        item of a list; `zones.*.band` sets heat and cool about their midpoint \
                        and the minimum deadband with them.\n\nFiles: sweep.json, cases.csv, \
                        cases.parquet, tradeoff.svg, tornado.svg (and .png), sweep.journal")]
pub(in crate::cli) struct SweepArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// A path into the file with the values that it takes; may be given several times
    #[arg(long, value_name = "PATH=VALUES")]
    pub(super) grid: Vec<String>,
    /// Not every combination but N settings by chance
    #[arg(long, value_name = "N", conflicts_with = "latin")]
    pub(super) random: Option<usize>,
    /// Not every combination but N settings in a Latin hypercube
    #[arg(long, value_name = "N")]
    pub(super) latin: Option<usize>,
    /// A path whose value differs from draw to draw, the same for every setting; may be given
    /// several times; `fitted` for the draws that `fit` has left beside the file
    #[arg(long, value_name = "PATH=VALUES")]
    pub(super) vary: Vec<String>,
    /// How many draws each setting has
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(super) draws: usize,
    #[command(flatten)]
    pub(super) goal: GoalArguments,
    /// Run only this share of the cases, as 3/16
    #[arg(long, value_name = "I/N", value_parser = part)]
    pub(super) part: Option<Share>,
    #[command(flatten)]
    pub(super) begin: BeginArguments,
    #[command(flatten)]
    pub(super) chosen: Chosen,
    /// Seed of the first draw, instead of the file's; each later draw has the next one
    #[arg(long, value_name = "N")]
    pub(super) seed: Option<u64>,
    /// How many threads to use [default: all]
    #[arg(long, value_name = "N")]
    pub(super) threads: Option<NonZeroUsize>,
    #[command(flatten)]
    pub(in crate::cli) print: Print,
}

/// Arguments of `merge`.
#[derive(Args, Debug)]
#[command(after_help = "Example:\n  setband merge shares/* --out joined\n\nThe shares must \
                        belong to one sweep and hold all its cases; what is missing is said. The \
                        files are those that the sweep would have written in one go, byte for \
                        byte: sweep.json, cases.csv, cases.parquet, and the charts")]
pub(in crate::cli) struct MergeArguments {
    /// The folders of the shares
    #[arg(required = true, value_name = "DIR")]
    pub(super) shares: Vec<PathBuf>,
    /// Folder for the files
    #[arg(long, value_name = "DIR")]
    pub(super) out: PathBuf,
    #[command(flatten)]
    pub(super) goal: GoalArguments,
    #[command(flatten)]
    pub(in crate::cli) print: Print,
}

/// What is asked of a sweep.
#[derive(Args, Debug)]
pub(in crate::cli) struct GoalArguments {
    /// Rank by this figure, least first [default: cost where there is a tariff, else `total_kwh`]
    #[arg(long, value_name = "FIGURE", conflicts_with = "maximise", alias = "minimize")]
    minimise: Option<String>,
    /// Rank by this figure, most first
    #[arg(long, value_name = "FIGURE", alias = "maximize")]
    maximise: Option<String>,
    /// Only settings whose mean of a figure is no more than this; may be given several times
    #[arg(long, value_name = "FIGURE=NUMBER")]
    at_most: Vec<String>,
    /// Only settings whose mean of a figure is no less than this; may be given several times
    #[arg(long, value_name = "FIGURE=NUMBER")]
    at_least: Vec<String>,
}

impl GoalArguments {
    /// Whether nothing is asked.
    pub(super) fn asks_nothing(&self) -> bool {
        let figure = self.minimise.as_ref().or(self.maximise.as_ref());
        figure.is_none() && self.at_most.is_empty() && self.at_least.is_empty()
    }

    /// The goal, where a file has a tariff or has none.
    pub(super) fn goal(&self, has_tariff: bool) -> Result<Goal, Failure> {
        self.made(if has_tariff { "cost" } else { "total_kwh" }, Sense::Minimise)
    }

    /// The goal, with the figure of another where none is asked for.
    pub(super) fn goal_or(&self, other: &Goal) -> Result<Goal, Failure> {
        self.made(&other.figure, other.sense)
    }

    /// The same where a ranking has an order of its own without a figure.
    pub(in crate::cli) fn wanted(&self) -> Result<Wanted, Failure> {
        let goal = self.made("total_kwh", Sense::Minimise)?;
        let asked = self.minimise.is_some() || self.maximise.is_some();
        let bounds = goal.bounds.clone();
        Ok(Wanted { figure: asked.then_some(goal), bounds })
    }

    fn made(&self, figure: &str, sense: Sense) -> Result<Goal, Failure> {
        let (figure, sense) = match (&self.minimise, &self.maximise) {
            (Some(figure), _) => (figure.as_str(), Sense::Minimise),
            (None, Some(figure)) => (figure.as_str(), Sense::Maximise),
            (None, None) => (figure, sense),
        };
        Goal::new(figure, sense, &self.at_most, &self.at_least).map_err(|fault| match fault {
            GoalFault::UnknownFigure(name) => {
                let known: Vec<&str> = FIGURES.iter().map(|figure| figure.key).collect();
                let near = crate::scenario::nearest(&name, known.iter().copied());
                let near = near.map_or_else(String::new, |it| format!("did you mean `{it}`? "));
                call(
                    format!("there is no figure `{name}`"),
                    format!("{near}Known are {}", known.join(", ")),
                )
            }
            GoalFault::NoBound(text) => call(
                format!("`{text}` is no bound"),
                "write a figure, `=` and a number, as `starved_hours=1`",
            ),
        })
    }
}

/// What to do with what is there already.
#[derive(Args, Debug)]
pub(super) struct BeginArguments {
    /// Go on with a sweep that was broken off
    #[arg(long)]
    resume: bool,
    /// Begin anew, and lose a sweep that was broken off
    #[arg(long, conflicts_with = "resume")]
    restart: bool,
}

impl BeginArguments {
    /// The same as one of three.
    pub(super) const fn begin(&self) -> Begin {
        match (self.resume, self.restart) {
            (true, _) => Begin::Resume,
            (false, true) => Begin::Restart,
            (false, false) => Begin::New,
        }
    }
}

/// Paths with their values, put on those that the keys of a model can have.
pub(super) fn axes(texts: &[String], base: &Model) -> Result<Vec<Axis>, Failure> {
    let axis = |text: &String| {
        let axis = Axis::parse(text)
            .map_err(|NoValues { what, help }| call(format!("{text}: {what}"), help))?;
        let grid = ValueGrid::of(&axis.path, base);
        let values = text.split_once('=').map_or("", |(_, values)| values.trim());
        let is_stepped = values.contains("..") && !values.starts_with('[');
        Ok(axis.on(grid, is_stepped))
    };
    texts.iter().map(axis).collect()
}

/// What `--vary` names: paths with their values, and the draws of what was fitted.
pub(super) fn varied(arguments: &SweepArguments, base: &Model) -> Result<Vec<Axis>, Failure> {
    let is_fitted = |text: &&String| text.trim() == FITTED;
    let paths: Vec<String> = arguments.vary.iter().filter(|it| !is_fitted(it)).cloned().collect();
    let mut all = axes(&paths, base)?;
    if paths.len() < arguments.vary.len() {
        all.extend(fitted(arguments)?);
    }
    Ok(all)
}

/// The draws beside the file, a row a draw.
fn fitted(arguments: &SweepArguments) -> Result<Vec<Axis>, Failure> {
    let file = &arguments.file;
    let draws = source::draws(file)?.ok_or_else(|| source::no_draws(file))?;
    let rows = draws.rows.len();
    if arguments.draws > rows {
        return Err(call(
            format!("{} draws are more than the {rows} that were fitted", arguments.draws),
            format!("give --draws {rows} or fewer, or fit again with more `--draws`"),
        ));
    }
    let axis = |(place, path): (usize, &String)| Axis {
        path: path.clone(),
        values: Values::Rows(draws.rows.iter().map(|row| row[place].clone()).collect()),
        grid: None,
        moved: 0,
    };
    Ok(draws.paths.iter().enumerate().map(axis).collect())
}

fn part(text: &str) -> Result<Share, String> {
    Share::parse(text).ok_or_else(|| "write which share of how many, as 3/16".into())
}
