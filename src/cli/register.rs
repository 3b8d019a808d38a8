//! `setband register`: what filled sheets and tables of a building have shown, and what is owed.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use clap::Args;

use super::failure::Failure;
use super::files::Folder;
use super::options::Print;
use super::settings::grid;
use super::{CommandOutput, source, terminal};
use crate::report::{self, REGISTER_COLUMNS, Registered};
use crate::scenario::load_weather;
use crate::study::register::{Day, Paper, Register, Tables, register as put_together};
use crate::study::settings_table::Cell;
use crate::units::TemperatureUnit;

/// Larger sheets are not read, bytes.
const LARGEST: u64 = 16 << 20;
/// Folders within folders are looked into so deep.
const DEEPEST: usize = 4;
/// A building has no more papers than this.
const MOST_PAPERS: usize = 2_000;

/// Arguments of `register`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband register papers/\n  setband register papers/ \
                        --weather town.epw\n\nRead are, also in folders within: sheet.csv of \
                        `setband sheet` as the page saves it or filled in by hand, whatever its \
                        name; workbooks of `setband settings` with their sheets found and left; \
                        the same tables as CSV, named ...specified.csv, ...found.csv and \
                        ...left.csv. Other files are passed over. Each line that was read needs a \
                        day (2026-04-02) in its row or in one above.\n\nFiles: register.html, \
                        register.csv\n\nExit code 1 where something fails and nothing shows that \
                        it was mended.")]
pub(super) struct RegisterArguments {
    /// The folder with the papers of one building
    pub(super) folder: PathBuf,
    /// A weather file of a typical year: names the weeks that suit what had to wait
    #[arg(long, value_name = "FILE")]
    pub(super) weather: Option<PathBuf>,
    /// Folder for the files [default: out/<name of the folder>/]
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) print: Print,
}

pub(super) fn register(arguments: &RegisterArguments) -> Result<CommandOutput, Failure> {
    let found = read(&arguments.folder)?;
    let weather = arguments.weather.as_deref().map(days).transpose()?;
    let title = title(&found, &arguments.folder);
    let registered = Registered {
        register: &found,
        title: &title,
        weather: weather.as_ref().map(|(name, days)| (name.as_str(), days.as_slice())),
    };
    let out = source::folder_for(&arguments.folder, arguments.out.as_deref(), None);
    let mut folder = Folder::prepare(out, "register")?;
    folder.add("register.html", report::register_page(&registered).as_bytes())?;
    let table = report::register_csv(&registered);
    folder.add("register.csv", &table.map_err(|error| Failure::Form(error.to_string()))?)?;
    let files = folder.finish()?;
    let text = match (arguments.print.json, arguments.print.quiet) {
        (true, _) => report::register_json(&registered)?,
        (false, true) => String::new(),
        (false, false) => report::register_text(&registered, terminal::style(), &files),
    };
    Ok(CommandOutput { text, holds: found.holds() })
}

/// Tables that belong together, and where each of them is.
#[derive(Default)]
struct Group {
    tables: Tables,
    names: [String; 3],
}

/// Reads the papers of a folder.
pub(super) fn read(folder: &Path) -> Result<Register, Failure> {
    let mut paths = Vec::new();
    walk(folder, 0, &mut paths).map_err(|error| Failure::Call {
        what: format!("{} cannot be read: {error}", folder.display()),
        help: "name a folder with filled sheets and tables".into(),
    })?;
    paths.sort();
    let (mut papers, mut faults) = (Vec::new(), Vec::new());
    let mut groups: BTreeMap<String, Group> = BTreeMap::new();
    for path in &paths {
        let name = path.strip_prefix(folder).unwrap_or(path).display().to_string();
        match paper(path, &name, &mut groups) {
            Ok(found) => papers.extend(found),
            Err(said) => faults.push(said),
        }
    }
    for Group { tables, names } in groups.values() {
        let filled = names.iter().rev().find(|name| !name.is_empty());
        let name = filled.map_or("", |name| name.split('#').next().unwrap_or(name));
        match tables.paper(name) {
            Ok(paper) => papers.push(paper),
            Err(all) => {
                for (part, name) in report::SHEETS.into_iter().zip(names) {
                    let own = all.iter().filter(|(it, _)| *it == part);
                    let own: Vec<_> = own.map(|(_, fault)| fault.clone()).collect();
                    if !own.is_empty() {
                        let path = folder.join(name).display().to_string();
                        faults.push(report::cell_faults(&path, &own));
                    }
                }
            }
        }
    }
    if !faults.is_empty() {
        return Err(Failure::Table(faults.join("\n\n")));
    }
    if papers.is_empty() {
        return Err(Failure::Call {
            what: format!("{} has no filled sheet and no filled table", folder.display()),
            help: "put there what `setband sheet` and `setband settings` wrote, filled in".into(),
        });
    }
    Ok(put_together(papers))
}

/// Every table and workbook of a folder and those within.
fn walk(folder: &Path, depth: usize, found: &mut Vec<PathBuf>) -> std::io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let path = entry?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        // Hidden, or a file that a spreadsheet has open.
        if name.starts_with('.') || name.starts_with('~') {
            continue;
        }
        if path.is_dir() && depth < DEEPEST {
            walk(&path, depth + 1, found)?;
        } else if path.is_file() && ["csv", "xlsx"].contains(&extension(&path).as_str()) {
            if found.len() >= MOST_PAPERS {
                let what = format!("more than {MOST_PAPERS} tables are in it");
                return Err(std::io::Error::other(what));
            }
            found.push(path);
        }
    }
    Ok(())
}

fn extension(path: &Path) -> String {
    path.extension().map_or_else(String::new, |it| it.to_string_lossy().to_lowercase())
}

/// What one file is: a sheet, or a table or part of one, which is put to its others. Nothing where it
/// is a register.
fn paper(
    path: &Path,
    name: &str,
    groups: &mut BTreeMap<String, Group>,
) -> Result<Option<Paper>, String> {
    let said = |failure: Failure| failure.to_string();
    if extension(path) == "xlsx" {
        let part = |sheet: &str| grid::read(path, Some(sheet)).map_err(said);
        let [specified, found, left] = report::SHEETS;
        let (specified, found, left) = (part(specified)?, Some(part(found)?), Some(part(left)?));
        let names = report::SHEETS.map(|part| format!("{name}#{part}"));
        let tables = Tables { specified, found, left };
        groups.insert(name.to_owned(), Group { tables, names });
        return Ok(None);
    }
    let text = text_of(path)?;
    let is_comment = |line: &&str| line.trim_start_matches('"').starts_with('#');
    let mut rows = text.trim_start_matches('\u{feff}').lines().filter(|line| !is_comment(line));
    let heads: Vec<&str> = rows.by_ref().filter(|line| !line.trim().is_empty()).take(2).collect();
    let has = |name: &str| {
        heads.iter().any(|head| head.split([',', ';']).any(|cell| cell.trim_matches('"') == name))
    };
    if heads.first().is_some_and(|head| head.starts_with(&REGISTER_COLUMNS[..3].join(","))) {
        return Ok(None);
    }
    if has("action") {
        let told = |faults: Vec<_>| report::table_faults(&path.display().to_string(), &faults);
        return Paper::of_sheet(name, &text).map(Some).map_err(told);
    }
    let stem = name.strip_suffix(".csv").or(name.strip_suffix(".CSV")).unwrap_or(name);
    let part = report::SHEETS.iter().position(|part| stem.ends_with(part));
    let (Some(part), true) = (part, has("zone")) else {
        return Err(format!(
            "error: {} is no sheet and no table of settings\n = help: keep the head line with its \
             columns; name tables ...specified.csv, ...found.csv and ...left.csv, or take the file out",
            path.display()
        ));
    };
    let own = stem.trim_end_matches(report::SHEETS[part]).trim_end_matches(['-', '_', '.', ' ']);
    let cells: Vec<Vec<Cell>> = grid::read(path, None).map_err(said)?;
    let group = groups.entry(own.to_owned()).or_default();
    name.clone_into(&mut group.names[part]);
    match part {
        0 => group.tables.specified = cells,
        1 => group.tables.found = Some(cells),
        _ => group.tables.left = Some(cells),
    }
    Ok(None)
}

fn text_of(path: &Path) -> Result<String, String> {
    let unreadable = |why: String| {
        format!(
            "error: {} cannot be read: {why}\n = help: save it as CSV in UTF-8, or take it out",
            path.display()
        )
    };
    let size = fs::metadata(path).map_err(|error| unreadable(error.to_string()))?.len();
    if size > LARGEST {
        return Err(unreadable("it is too large".into()));
    }
    let bytes = fs::read(path).map_err(|error| unreadable(error.to_string()))?;
    String::from_utf8(bytes).map_err(|_| unreadable("it is no text in UTF-8".into()))
}

/// What the register is of: what the latest sheet is of, or the folder's name.
fn title(found: &Register, folder: &Path) -> String {
    let titles = found.papers.iter().rev().map(|paper| paper.title.as_str());
    let first = titles.into_iter().find(|title| !title.is_empty());
    first.map_or_else(|| source::stem(folder), str::to_owned)
}

/// The name of a weather file and its days.
fn days(path: &Path) -> Result<(String, Vec<Day>), Failure> {
    let file = load_weather(path, TemperatureUnit::Celsius)?;
    let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
    Ok((name, file.days()))
}
