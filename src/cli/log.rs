//! `setband log`: what a log from a site holds.

use std::path::{Path, PathBuf};

use clap::Args;

use super::failure::Failure;
use super::files::Folder;
use super::options::Print;
use super::{CommandOutput, source, terminal};
use crate::engine::Model;
use crate::log::{LogTime, Sample, SiteLog, Table, TableFault, guess, samples, survey};
use crate::report::chart::{self, LogPanel, LogView};
use crate::report::{self, Logged, Surveyed};
use crate::scenario::{STANDARD_INPUT, load_log_file};
use crate::time::{DAY, Period, Seconds};

/// Arguments of `log`.
#[derive(Args, Debug)]
#[command(
    after_help = "Examples:\n  setband log week.csv\n  setband log monday.csv.gz tuesday.xlsx \
                        --json\n  setband log site.yaml\n\nOf a table of which nothing is \
                        known it says what each column seems to hold and writes a `log` block as a \
                        guess, with the reason for each guess. Of a scenario with a `log` block it says \
                        what was recorded of each point.\n\nFiles, with a scenario: log.csv (the \
                        columns of steps.csv, as far as they are known), log.svg, log.png"
)]
pub(super) struct LogArguments {
    /// Logs (CSV, also as .gz, or workbooks), or one scenario file with a `log` block
    #[arg(required = true, value_name = "LOG")]
    pub(super) files: Vec<PathBuf>,
    /// The sheet of a workbook, where no scenario names it [default: its first]
    #[arg(long, value_name = "NAME")]
    pub(super) sheet: Option<String>,
    /// Folder for the files of a scenario [default: out/<file stem>/]
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) print: Print,
}

pub(super) fn log(arguments: &LogArguments) -> Result<CommandOutput, Failure> {
    match &arguments.files[..] {
        [file] if is_scenario(file) => of_scenario(arguments, file),
        files if files.iter().any(|file| is_scenario(file)) => Err(Failure::Call {
            what: "a scenario is looked at by itself".into(),
            help: "list its logs under `log: {file: [...]}`".into(),
        }),
        files => of_tables(arguments, files),
    }
}

fn is_scenario(file: &Path) -> bool {
    let ending = file.extension().and_then(|it| it.to_str()).unwrap_or_default();
    file == Path::new(STANDARD_INPUT)
        || ["yaml", "yml"].iter().any(|it| ending.eq_ignore_ascii_case(it))
}

fn of_tables(arguments: &LogArguments, files: &[PathBuf]) -> Result<CommandOutput, Failure> {
    let mut all = Vec::new();
    for path in files {
        let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
        let refused = |fault: TableFault| {
            let fault = crate::log::LogFault::Table(0, fault);
            let (what, help) = fault.words(&[path.display().to_string()]);
            Failure::Call { what, help }
        };
        let bytes = load_log_file(path)?;
        let table = Table::open(&bytes, arguments.sheet.as_deref()).map_err(refused)?;
        let survey = survey(&table).map_err(refused)?;
        let guesses = guess(&survey);
        all.push(Surveyed { file: name, survey, guesses });
    }
    Ok(CommandOutput::with(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::survey_json(&all)?,
        (false, true) => String::new(),
        (false, false) => report::survey_text(&all, terminal::style()),
    }))
}

fn of_scenario(arguments: &LogArguments, file: &Path) -> Result<CommandOutput, Failure> {
    let study = source::study(file)?;
    let model = &study.base;
    let site = source::site_log(model)?;
    let logged = Logged::new(site);
    let folder = source::folder_for(file, arguments.out.as_deref(), None);
    let files = write(Folder::prepare(folder, "log")?, model, &logged)?;
    Ok(CommandOutput::with(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::log_json(&logged)?,
        (false, true) => String::new(),
        (false, false) => report::log_text(&logged, terminal::style(), &files),
    }))
}

fn write(mut folder: Folder, model: &Model, logged: &Logged) -> Result<Vec<String>, Failure> {
    let formed = |error: &dyn std::fmt::Display| Failure::Form(error.to_string());
    let site = logged.site;
    let mapping = &site.source.mapping;
    let zones: Vec<Vec<Sample>> = (0..mapping.zones.len())
        .map(|zone| samples(&site.log, mapping, zone, model.unit))
        .collect();
    let named: Vec<(&str, &[Sample])> =
        mapping.zones.iter().zip(&zones).map(|(zone, it)| (zone.zone.as_str(), &it[..])).collect();
    let rows = report::log_csv(model, &named).map_err(|error| formed(&error))?;
    folder.add("log.csv", &rows)?;
    let notes: Vec<Vec<(LogTime, String)>> = site.log.zones.iter().map(notes).collect();
    let panels: Vec<LogPanel> = named
        .iter()
        .zip(&notes)
        .map(|((name, samples), notes)| LogPanel {
            name: label(model, name),
            samples,
            spans: &[],
            notes,
        })
        .collect();
    let view = LogView {
        title: &format!("Log: {}", model.title),
        subtitle: &logged.answer(),
        unit: model.unit,
        period: days_of(site, model),
        panels: &panels,
    };
    let svg = chart::log_svg(&view, chart::USUAL_WIDTH).map_err(|error| formed(&error))?;
    folder.add("log.svg", svg.as_bytes())?;
    folder.add("log.png", &chart::png(&svg).map_err(|error| formed(&error))?)?;
    folder.finish()
}

fn notes(zone: &crate::log::ZoneLog) -> Vec<(LogTime, String)> {
    zone.events.iter().map(|(at, _, words)| (*at, words.clone())).collect()
}

/// What people call a zone of the log.
fn label<'m>(model: &'m Model, id: &'m str) -> &'m str {
    model.zones.iter().find(|zone| zone.id == id).map_or(id, |zone| &zone.label)
}

/// The days of a log; those of the scenario where it spans more than a year.
fn days_of(site: &SiteLog, model: &Model) -> Period {
    let Some((first, last)) = site.log.span() else { return model.period };
    let days = (last - LogTime::midnight(first.date()) - 1).max(0) / DAY + 1;
    Period::new(first.date(), days, Seconds::minutes(1)).unwrap_or(model.period)
}
