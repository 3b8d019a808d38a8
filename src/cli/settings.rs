//! `setband settings`: the settings of many zones as a table, written, read back and compared.

pub(super) mod grid;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::Args;

use super::failure::Failure;
use super::files::{Folder, write_whole};
use super::options::Print;
use super::{CommandOutput, source};
use crate::report;
use crate::scenario::{self, Faults, edit, is_written, load_edited, load_text};
use crate::study::settings_table::{
    Changes, Filled, Table, TableFault, changes, differences, like, new_zones,
};

/// Arguments of `settings`.
#[derive(Args, Debug)]
#[command(
    after_help = "Examples:\n  setband settings school.yaml\n  setband settings school.yaml \
                        --out school.csv\n  setband settings school.yaml --apply school.xlsx \
                        --sheet found --out as-found.yaml\n  setband settings --diff school.yaml \
                        as-found.yaml\n  setband settings --diff school.xlsx#specified \
                        school.xlsx#left\n\nThe table has a row for each zone, another one for \
                        each further controller, and a column for each setting: numbers in the \
                        file's unit, times in minutes. Above the rows stand words and the keys of \
                        the file. The workbook has the sheets specified, found and left; cells of \
                        the last two that differ from what is specified are marked. With --apply \
                        an empty cell changes nothing.\n\nFiles: settings.xlsx, settings.csv; with \
                        --apply the scenario with the table's values.\n\nExit code 1 where --diff \
                        finds differences."
)]
pub(super) struct SettingsArguments {
    /// The scenario file
    #[arg(required_unless_present = "diff")]
    pub(super) file: Option<PathBuf>,
    /// The file to write: .xlsx or .csv for the table, a scenario with --apply [default: in
    /// out/<stem>/]
    #[arg(long, value_name = "FILE", conflicts_with = "diff")]
    pub(super) out: Option<PathBuf>,
    /// Write the scenario with the values of this table
    #[arg(long, value_name = "TABLE", conflicts_with = "diff")]
    pub(super) apply: Option<PathBuf>,
    /// Which sheet of the workbook is applied
    #[arg(long, value_name = "NAME", requires = "apply", default_value = report::SHEETS[0])]
    pub(super) sheet: String,
    /// Zones that the table has and the file lacks are made like this one
    #[arg(long, value_name = "ZONE", requires = "apply")]
    pub(super) like: Option<String>,
    /// Hold two files, tables or sheets (table.xlsx#found) against each other
    #[arg(long, num_args = 2, value_names = ["ONE", "OTHER"], conflicts_with = "file")]
    pub(super) diff: Option<Vec<String>>,
    #[command(flatten)]
    pub(super) print: Print,
}

pub(super) fn settings(arguments: &SettingsArguments) -> Result<CommandOutput, Failure> {
    match (&arguments.diff, &arguments.file, &arguments.apply) {
        (Some(two), ..) => compared(two, arguments.print),
        (None, Some(file), Some(table)) => applied(arguments, file, table),
        (None, Some(file), None) => written(file, arguments),
        (None, None, _) => Err(Failure::Call {
            what: "no scenario file is named".into(),
            help: "name one, as in `setband settings school.yaml`".into(),
        }),
    }
}

/// Writes the table.
fn written(file: &Path, arguments: &SettingsArguments) -> Result<CommandOutput, Failure> {
    let study = source::study(file)?;
    let table = Table::of(&study.base);
    let csv = || report::settings_csv(&table).map_err(|error| Failure::Form(error.to_string()));
    let workbook = || {
        let title = study.base.title.as_str();
        report::settings_workbook(&table, title).map_err(|error| Failure::Form(error.to_string()))
    };
    let files = match &arguments.out {
        None => {
            let mut folder = Folder::prepare(source::folder_for(file, None, None), "settings")?;
            folder.add("settings.xlsx", &workbook()?)?;
            folder.add("settings.csv", &csv()?)?;
            folder.finish()?
        }
        Some(path) => {
            let bytes = match extension(path).as_str() {
                "csv" => csv()?,
                "xlsx" => workbook()?,
                _ => return Err(no_table(&path.display().to_string())),
            };
            write_whole(path, &bytes)?;
            vec![path.display().to_string()]
        }
    };
    let (rows, columns) = (table.rows.len(), table.columns.len());
    Ok(CommandOutput::with(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::settings_json(&table)?,
        (false, true) => String::new(),
        (false, false) => {
            format!("{rows} rows, {columns} columns of settings.\n{}", listed(&files))
        }
    }))
}

fn listed(files: &[String]) -> String {
    format!("\nFiles\n  {}\n", files.join("\n  "))
}

fn extension(path: &Path) -> String {
    path.extension().map_or_else(String::new, |it| it.to_string_lossy().to_lowercase())
}

fn no_table(name: &str) -> Failure {
    Failure::Call {
        what: format!("{name} is no table"),
        help: "name a file that ends in .xlsx or .csv".into(),
    }
}

/// Writes a scenario with the values of a table.
fn applied(
    arguments: &SettingsArguments,
    file: &Path,
    table: &Path,
) -> Result<CommandOutput, Failure> {
    let name = table.display().to_string();
    let refused = |faults: Vec<TableFault>| Failure::Table(report::cell_faults(&name, &faults));
    let mut text = load_text(file)?;
    let mut model = load_edited(file, &text)?.base;
    let grid = grid::read(table, Some(&arguments.sheet))?;
    let filled = Filled::read(&grid).map_err(|fault| refused(vec![fault]))?;
    let new = new_zones(&model, &filled);
    if let (Some(zone), false) = (&arguments.like, new.is_empty()) {
        text = with_zones(&text, zone, &new)?;
        model = load_edited(file, &text)?.base;
    }
    let changed = changes(&model, &filled, |path| is_written(&text, path)).map_err(refused)?;
    let text = edit(&text, &changed.edits).map_err(|fault| {
        refused(vec![TableFault::whole(fault.to_string(), "edit the file by hand")])
    })?;
    if let Err(faults) = load_edited(file, &text) {
        return Err(refused(in_cells(&faults, &changed)));
    }
    let files = if let Some(out) = &arguments.out {
        write_whole(out, text.as_bytes())?;
        vec![out.display().to_string()]
    } else {
        let name = file.file_name().unwrap_or(file.as_os_str()).to_string_lossy();
        let mut folder = Folder::prepare(source::folder_for(file, None, None), "settings")?;
        folder.add(&name, text.as_bytes())?;
        folder.finish()?
    };
    if arguments.print.json {
        return Ok(CommandOutput::with(report::changes_json(&changed.cells, &new)?));
    }
    if arguments.print.quiet {
        return Ok(CommandOutput::with(String::new()));
    }
    let mut said = report::changes_text(&changed.cells);
    if !new.is_empty() {
        let _ = writeln!(said, "New zones: {}.", new.join(", "));
    }
    Ok(CommandOutput::with(said + &listed(&files)))
}

/// The text with further zones, each like another one.
fn with_zones(text: &str, zone: &str, new: &[String]) -> Result<String, Failure> {
    let none = || Failure::Call {
        what: format!("the file has no zone `{zone}` to be --like"),
        help: "name one of its zones".into(),
    };
    let content = scenario::content(text).ok_or_else(none)?;
    let edits = like(&content, zone, new).ok_or_else(none)?;
    edit(text, &edits).map_err(|fault| Failure::Call {
        what: fault.to_string(),
        help: "add the zones to the file by hand".into(),
    })
}

/// Faults of the scenario with a table's values, at the cells that brought them.
fn in_cells(faults: &Faults, changed: &Changes) -> Vec<TableFault> {
    let cell = |fault: &scenario::Fault| {
        let at = changed.cells.iter().find(|cell| {
            cell.path == fault.path || fault.path.starts_with(&format!("{}[", cell.path))
        });
        let at = at.or_else(|| {
            let zone = |path: &str| path.split('.').take(2).collect::<Vec<_>>().join(".");
            changed.cells.iter().find(|cell| zone(&cell.path) == zone(&fault.path))
        });
        let what = format!("{}: {}", fault.path, fault.message);
        TableFault { at: at.map(|cell| cell.at), what, help: fault.remedy.clone() }
    };
    faults.as_slice().iter().map(cell).collect()
}

/// Holds two tables against each other.
fn compared(two: &[String], print: Print) -> Result<CommandOutput, Failure> {
    let [one, other] = two else {
        return Err(Failure::Call {
            what: "two files are compared".into(),
            help: "name both, as in `setband settings --diff one.yaml other.yaml`".into(),
        });
    };
    let all = differences(&table_at(one)?, &table_at(other)?);
    let text = match (print.json, print.quiet) {
        (true, _) => report::differences_json(&all)?,
        (false, true) => String::new(),
        (false, false) => report::differences_text([one, other], &all),
    };
    Ok(CommandOutput { text, holds: all.is_empty() })
}

/// A scenario's settings, or a table; `#` parts the sheet from the name of a workbook.
fn table_at(named: &str) -> Result<Filled, Failure> {
    let (path, sheet) = match named.rsplit_once('#') {
        Some((path, sheet)) => (path, Some(sheet)),
        None => (named, None),
    };
    let path = Path::new(path);
    if ["csv", "xlsx"].contains(&extension(path).as_str()) {
        let grid = grid::read(path, sheet.or(Some(report::SHEETS[0])))?;
        let refused = |faults: &[TableFault]| Failure::Table(report::cell_faults(named, faults));
        let filled = Filled::read(&grid).map_err(|fault| refused(&[fault]))?;
        let whole = filled.faults.is_empty();
        return if whole { Ok(filled) } else { Err(refused(&filled.faults)) };
    }
    Ok(Table::of(&source::study(path)?.base).into())
}
