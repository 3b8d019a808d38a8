//! The arguments of every command.

use std::num::NonZeroUsize;
use std::path::{Path, PathBuf};

use clap::{Args, Parser, Subcommand, ValueEnum};
use clap_complete::Shell;

use super::audit::AuditArguments;
use super::check::CheckArguments;
use super::explain::ExplainArguments;
use super::fit::FitArguments;
use super::handover::HandoverArguments;
use super::infer::InferArguments;
use super::log::LogArguments;
use super::moment::MomentArgument;
use super::options::{Common, UnitArgument};
use super::reach::ReachArguments;
use super::register::RegisterArguments;
use super::replay::ReplayArguments;
use super::review::ReviewArguments;
use super::serve::ServeArguments;
use super::settings::SettingsArguments;
use super::sheet::SheetArguments;
use super::sweep::{GoalArguments, MergeArguments, SweepArguments};
use super::weather::WeatherArguments;
use super::why::WhyArguments;
use super::worst::WorstArguments;

/// Simulates setpoint control logic: heat and cool setpoints, deadbands, limits, locks and mode
/// owners of multi-zone heat-pump systems.
///
/// Start with `setband init my-building.yaml`, then `setband run my-building.yaml`.
#[derive(Debug, Parser)]
#[command(
    name = "setband",
    version,
    after_help = "Exit codes: 0 done; 1 a check that you asked for does not hold; 2 the file or \
                  the call is wrong, or what comes of it cannot be written; 130 broken \
                  off.\n\nEvery command explains itself with --help."
)]
pub(super) struct Arguments {
    #[command(subcommand)]
    pub(super) command: Command,
}

/// What can be done.
#[derive(Debug, Subcommand)]
pub(super) enum Command {
    /// Simulate a scenario and write its summary, steps, ledger and chart
    Run(RunArguments),
    /// Report what is worth knowing about the settings: place, consequence, remedy, source
    Check(CheckArguments),
    /// Run the variants of a file, or several files, side by side and show the differences
    Compare(CompareArguments),
    /// Explore everything that occupants can bring about by pressing keys; prove claims about it
    Reach(ReachArguments),
    /// Prove how cold and how warm rooms can become, whatever people press and whatever the weather
    Worst(WorstArguments),
    /// Hold the requirements of the file against it: what holds, what fails, by what it is shown
    Review(ReviewArguments),
    /// Write the settings of all zones as a table, read it back into the file, or compare two
    Settings(SettingsArguments),
    /// Write a functional test sheet for site: what to press, what must be read, what it proves
    Sheet(SheetArguments),
    /// From readings taken at site: which settings agree with them, and what to press next
    Infer(InferArguments),
    /// From filled sheets and tables of a building: what was shown when and by whom, what is owed
    Register(RegisterArguments),
    /// Say what a log from a site holds: of any table, or of the points that a scenario maps
    Log(LogArguments),
    /// Fit a zone's own keys to its log, with intervals, and say what the log cannot tell
    Fit(FitArguments),
    /// Hold a site's log against the settings: what contradicts them, what is worth a look
    Audit(AuditArguments),
    /// Run the days of a log again with other settings: what they would have been, with an interval
    Replay(ReplayArguments),
    /// Write pages to print at handover: for the people in each zone, the owner, the technician
    Handover(HandoverArguments),
    /// Say why somebody was cold or hot, from a site's log or a simulated run, and what would help
    Why(WhyArguments),
    /// Rank who should decide between heating and cooling for a group: every zone, every policy
    Owners(OwnersArguments),
    /// Summarise a weather file (TMY3 or CSV) and say what is wrong with it
    Weather(WeatherArguments),
    /// Try many settings under many draws and rank them; can be broken off, resumed and shared out
    Sweep(Box<SweepArguments>),
    /// Join the shares of a sweep
    Merge(MergeArguments),
    /// Serve a page on this machine on which settings are moved and the day is redrawn at once
    Serve(ServeArguments),
    /// Write a commented scenario file to begin with
    Init(InitArguments),
    /// Explain a word: a key of the file, a code, an outcome, a figure, a term
    Explain(ExplainArguments),
    /// Print the JSON Schema of the scenario file, for editors that complete and check
    Schema,
    /// Write the manual pages
    Manual(ManualArguments),
    /// Print the completions of a shell
    Completions {
        /// Which shell
        shell: Shell,
    },
}

impl Command {
    /// Whether programs read what is printed: then it stays as it is whatever the locale.
    pub(super) fn is_for_programs(&self) -> bool {
        match self {
            Self::Run(it) => it.common.print.json,
            Self::Check(it) => it.print.json,
            Self::Compare(it) => it.json || it.csv,
            Self::Explain(it) => it.print.json,
            Self::Reach(it) => it.print.json,
            Self::Worst(it) => it.print.json,
            Self::Review(it) => it.print.json,
            Self::Sheet(it) => it.print.json,
            Self::Infer(it) => it.print.json,
            Self::Register(it) => it.print.json,
            Self::Log(it) => it.print.json,
            Self::Fit(it) => it.print.json,
            Self::Why(it) => it.print.json,
            Self::Audit(it) => it.print.json,
            Self::Replay(it) => it.print.json,
            Self::Owners(it) => it.common.print.json,
            Self::Weather(it) => it.print.json,
            Self::Sweep(it) => it.print.json,
            Self::Merge(it) => it.print.json,
            Self::Settings(it) => it.print.json,
            Self::Serve(_) | Self::Handover(_) | Self::Manual(_) => false,
            Self::Init(it) => it.path().is_none(),
            Self::Schema | Self::Completions { .. } => true,
        }
    }
}

/// Arguments of `run`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband run scenarios/reading_room.yaml\n  setband run \
                        scenarios/reading_room.yaml --variant single\n  setband run \
                        scenarios/reading_room.yaml --at 14:20\n  setband run \
                        scenarios/reading_room.yaml --explain-defaults\n\nFiles: summary.json, steps.csv, \
                        ledger.csv, day.svg, day.png, report.html, report.xlsx; with a setback and a schedule mornings.csv; from 28 \
                        days on months.csv, month_zones.csv, heatmap.svg, heatmap.png; with \
                        lawful temperatures lock_calendar.csv")]
pub(super) struct RunArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// Explain why each zone does what it does at this time (`14:20`, `d2 14:20` for the
    /// second day, or `2025-07-04 14:20`), and write no files
    #[arg(long, value_name = "TIME")]
    pub(super) at: Option<MomentArgument>,
    /// Show the defaults that changed since the first edition of the physics, beside what they
    /// were and whether they count for this file, and write no files
    #[arg(long, conflicts_with = "at")]
    pub(super) explain_defaults: bool,
    #[command(flatten)]
    pub(super) common: Common,
}

/// Arguments of `compare`.
#[derive(Args, Debug)]
#[command(
    after_help = "Examples:\n  setband compare scenarios/reading_room.yaml\n  setband compare \
                        scenarios/reading_room.yaml --variant wide --csv\n  setband compare \
                        today.yaml proposal.yaml --json\n\nThe file as written, or the first \
                        file, is the base. All run under the base's weather and random draws. A \
                        variant that cannot be run is reported, and the others go on.\n\nFiles: \
                        compare.json, compare.csv, compare.html, compare.xlsx, and as .svg and .png: overlay \
                        (all on one set of axes), multiples (a row each), differences (bars), knee \
                        (changeovers and electricity against the deadband)"
)]
pub(super) struct CompareArguments {
    /// A scenario file with variants, or several scenario files of the same days
    #[arg(required = true, value_name = "FILE")]
    pub(super) files: Vec<PathBuf>,
    /// Only these variants of the file; may be given several times
    #[arg(long, value_name = "NAME")]
    pub(super) variant: Vec<String>,
    /// Folder for the files [default: out/<stem of the first file>/]
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    /// Seed of everything random, instead of the base's
    #[arg(long, value_name = "N")]
    pub(super) seed: Option<u64>,
    /// How many threads to use [default: all]
    #[arg(long, value_name = "N")]
    pub(super) threads: Option<NonZeroUsize>,
    /// Which charts are drawn. None spares the base's runs at deadbands from 0 to 4 K, too, which
    /// the knee chart takes: for long periods
    #[arg(long, value_name = "WHICH", default_value = "all")]
    pub(super) charts: Charts,
    /// Print JSON instead of text
    #[arg(long)]
    pub(super) json: bool,
    /// Print CSV instead of text
    #[arg(long, conflicts_with = "json")]
    pub(super) csv: bool,
    /// Print nothing but errors
    #[arg(long, short, conflicts_with_all = ["json", "csv"])]
    pub(super) quiet: bool,
}

/// Which charts are drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum Charts {
    /// All of them
    All,
    /// None
    None,
}

/// Arguments of `owners`.
#[derive(Args, Debug)]
#[command(after_help = "Example:\n  setband owners scenarios/weavers_yard_wrong_owner.yaml --by \
                        mean\n\nFiles: owners.json, owners.svg, owners.png (a number for each \
                        group where there are several)")]
pub(super) struct OwnersArguments {
    /// The scenario file
    pub(super) file: PathBuf,
    /// Whose degree-hours outside the comfort band count first: those of the zone that fares
    /// worst, or the mean over the zones
    #[arg(long, value_name = "WHAT", default_value = "worst")]
    pub(super) by: By,
    /// How many threads to use [default: all]
    #[arg(long, value_name = "N")]
    pub(super) threads: Option<NonZeroUsize>,
    #[command(flatten)]
    pub(super) goal: GoalArguments,
    #[command(flatten)]
    pub(super) common: Common,
}

/// What a ranking goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(super) enum By {
    /// The zone that fares worst
    Worst,
    /// The mean over the zones
    Mean,
}

impl InitArguments {
    /// The file, unless standard output is meant.
    pub(super) fn path(&self) -> Option<&Path> {
        self.file.as_deref().filter(|file| *file != Path::new("-"))
    }
}

/// Arguments of `init`.
#[derive(Args, Debug)]
pub(super) struct InitArguments {
    /// The file to write; standard output without it, or with `-`
    pub(super) file: Option<PathBuf>,
    /// The unit of its temperatures
    #[arg(long, value_name = "UNIT", default_value = "C", ignore_case = true)]
    pub(super) temperature: UnitArgument,
    /// Overwrite a file that is there
    #[arg(long)]
    pub(super) force: bool,
}

/// Arguments of `manual`.
#[derive(Args, Debug)]
#[command(
    after_help = "Example:\n  setband manual --out man/man1 && man man/man1/setband-run.1\n\n\
                        Files: setband.1, and a page for each command, as setband-run.1"
)]
pub(super) struct ManualArguments {
    /// Folder for the pages
    #[arg(long, value_name = "DIR")]
    pub(super) out: PathBuf,
}
