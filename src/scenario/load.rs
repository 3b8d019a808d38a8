//! The only place that opens files.
#![expect(clippy::disallowed_methods, reason = "the rest of the library has to do without files")]

use std::fs::{self, File};
use std::io::{self, Read};
use std::path::{Component, Path, PathBuf};
use std::sync::{Arc, OnceLock};

use super::fault::{Complaint, Faults, Sink};
use super::long_line::{LongLine, table_from};
use super::shelf::{utf8, weather_text};
use super::study::{Study, read_among, read_beside};
use super::template::Template;
use super::tree::Place;
use crate::units::TemperatureUnit;
use crate::weather::{Almanac, WeatherFile};

/// The path that stands for standard input.
pub const STANDARD_INPUT: &str = "-";
/// The largest scenario file, bytes.
const LARGEST_SCENARIO: u64 = 16 << 20;
/// The largest file that a scenario may name, bytes: a year of minutes fits.
const LARGEST_COMPANION: u64 = 64 << 20;

/// Reads a scenario file and the files that it names, which are looked up beside it. The path `-` is
/// standard input.
///
/// # Errors
/// Everything wrong with the file; also that it is not there, not to be read, or no text.
pub fn load(path: &Path) -> Result<Study, Faults> {
    let (name, text) = named_text(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let open = |companion: &str| companion_of(folder, companion);
    read_beside(&text, &name, &open)
}

/// Reads another text of a scenario file, with the companions that lie beside the file.
///
/// # Errors
/// Everything wrong with the text.
pub fn load_edited(path: &Path, text: &str) -> Result<Study, Faults> {
    let folder = path.parent().unwrap_or(Path::new(""));
    let open = |companion: &str| companion_of(folder, companion);
    read_beside(text, &name_of(path), &open)
}

/// The whole content of a text as plain values; `None` where it is no YAML.
pub fn content(text: &str) -> Option<serde_json::Value> {
    serde_yaml::from_str(text).ok()
}

/// Reads a scenario file, or a variant of it, as a template for other values.
///
/// # Errors
/// The file is not there, is no YAML, or has no such variant. What else is wrong with it shows
/// when a model is made of it. `almanac` is that of models of the file that have been read before.
pub fn load_template(
    path: &Path,
    variant: Option<&str>,
    almanac: &Arc<Almanac>,
) -> Result<Template, Faults> {
    load_template_in(path, variant, almanac, None)
}

/// The same with the rooms and units of another file, see [`Template::read_in_rooms`].
///
/// # Errors
/// As [`load_template`]; and the other file lacks one of its zones.
pub fn load_template_in(
    path: &Path,
    variant: Option<&str>,
    almanac: &Arc<Almanac>,
    rooms: Option<&Template>,
) -> Result<Template, Faults> {
    let (name, text) = named_text(path)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    let open = move |companion: &str| companion_of(&folder, companion);
    Template::read_in_rooms(&text, &name, Box::new(open), variant, almanac, rooms)
}

/// The file's name for messages, and its text.
pub(crate) fn named_text(path: &Path) -> Result<(String, String), Faults> {
    Ok((name_of(path), load_text(path)?))
}

fn name_of(path: &Path) -> String {
    let name = path.display().to_string();
    if name == STANDARD_INPUT { "standard input".into() } else { name }
}

pub(super) fn companion_of(folder: &Path, name: &str) -> Result<Vec<u8>, String> {
    table_of(&folder.join(name)).map_err(|unreadable| unreadable.why)
}

/// The text of a file beside another one; `None` where there is no such file.
///
/// # Errors
/// It is there, and not to be read, too large, or no text.
pub fn load_beside(file: &Path, name: &str) -> Result<Option<String>, Faults> {
    let path = file.parent().unwrap_or(Path::new("")).join(name);
    if !path.exists() {
        return Ok(None);
    }
    text_of(&path, LARGEST_COMPANION)
        .map(Some)
        .map_err(|it| it.into_faults(&path.display().to_string(), "look at it"))
}

/// The bytes of a log by itself.
///
/// # Errors
/// The file is not there, not to be read, or too large.
pub fn load_log_file(path: &Path) -> Result<Vec<u8>, Faults> {
    let name = path.display().to_string();
    table_of(path).map_err(|it| it.into_faults(&name, "check the name of the log"))
}

/// Reads a weather file by itself. `unit` is that of readings; typical years are in C.
///
/// # Errors
/// Everything wrong with the file; also that it is not there, not to be read, or no text.
pub fn load_weather(path: &Path, unit: TemperatureUnit) -> Result<WeatherFile, Faults> {
    let name = path.display().to_string();
    let text = table_of(path).and_then(|bytes| {
        weather_text(bytes).map_err(|why| Unreadable::new(why, "save it as UTF-8"))
    });
    let text = text.map_err(|it| it.into_faults(&name, "check the name of the weather file"))?;
    WeatherFile::read(&text, unit).map_err(|faults| {
        let sink = Sink::default();
        let number = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
        for fault in faults.as_slice() {
            let (line, column) = (number(fault.line), number(fault.column));
            let place = Place { line, column, width: number(fault.width) };
            let complaint = Complaint::new("weather-file", fault.what.clone());
            sink.add(place, String::new(), complaint.help(fault.remedy.clone()));
        }
        sink.into_faults(&name, &text)
    })
}

/// The text of a scenario file, unread.
///
/// # Errors
/// The file is not there, not to be read, too large, or no text.
pub fn load_text(path: &Path) -> Result<String, Faults> {
    let text = if path == Path::new(STANDARD_INPUT) {
        standard_input()
    } else {
        text_of(path, LARGEST_SCENARIO)
    };
    let help = "check the name; `setband init` writes a file to begin with";
    text.map_err(|it| it.into_faults(&name_of(path), help))
}

/// The files that a scenario from elsewhere may name: those in one folder and below, and none
/// where there is no folder.
#[derive(Clone, Debug, Default)]
pub struct Companions {
    folder: Option<PathBuf>,
    /// What is known of weather files by now, by what was in them.
    almanac: Arc<Almanac>,
}

impl Companions {
    /// Those beside a file.
    ///
    /// # Errors
    /// The folder is not there.
    pub fn beside(file: &Path) -> std::io::Result<Self> {
        let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
        let folder = folder.unwrap_or(Path::new(".")).canonicalize()?;
        Ok(Self { folder: Some(folder), almanac: Arc::default() })
    }

    /// Reads the text of a scenario that may name these files.
    ///
    /// # Errors
    /// Everything wrong with it.
    pub fn read(&self, text: &str, name: &str) -> Result<Study, Faults> {
        read_among(text, name, &|name| self.open(name), &self.almanac)
    }

    /// Reads the text of a scenario as a template for other values.
    ///
    /// # Errors
    /// It is no YAML. What else is wrong with it shows when a model is made of it.
    pub fn template(&self, text: &str, name: &str) -> Result<Template, Faults> {
        let companions = self.clone();
        let open = Box::new(move |name: &str| companions.open(name));
        Template::read_among(text, name, open, None, &self.almanac)
    }

    /// What is in one of them.
    ///
    /// # Errors
    /// Why it cannot be had: it is not there, or the way to it leaves the folder, be it by `..`,
    /// from the root, or by a link.
    pub fn open(&self, name: &str) -> Result<Vec<u8>, String> {
        let outside = || "it lies outside the folder of the scenario".to_owned();
        let folder = self.folder.as_ref().ok_or("this page opens no files beside a scenario")?;
        let name = Path::new(name);
        let inside = |part| matches!(part, Component::Normal(_) | Component::CurDir);
        if !name.components().all(inside) {
            return Err(outside());
        }
        let path = folder.join(name).canonicalize().map_err(|error| error.to_string())?;
        if !path.starts_with(folder) {
            return Err(outside());
        }
        table_of(&path).map_err(|unreadable| unreadable.why)
    }
}

/// The text of a file, or why there is none.
fn text_of(path: &Path, largest: u64) -> Result<String, Unreadable> {
    text_in(bytes_of(path, largest)?)
}

/// What is in a file, or why that cannot be told.
fn bytes_of(path: &Path, largest: u64) -> Result<Vec<u8>, Unreadable> {
    bytes_from(opened(path)?, largest)
}

/// What is in a table, or why that cannot be told.
fn table_of(path: &Path) -> Result<Vec<u8>, Unreadable> {
    let bytes = table_from(opened(path)?.take(LARGEST_COMPANION + 1))?.map_err(|line| {
        let LongLine { why, help, .. } = &line;
        Unreadable { why: why.clone(), help: Some(help), line: Some(line) }
    })?;
    small_enough(bytes, LARGEST_COMPANION)
}

fn opened(path: &Path) -> Result<File, Unreadable> {
    // Pipes and devices may wait for ever once they are opened, or do something.
    if !fs::metadata(path)?.is_file() {
        let is_folder = fs::metadata(path)?.is_dir();
        let why = if is_folder { "it is a folder" } else { "it is not a file" };
        let help = if is_folder { "name a file in it" } else { "write what it says into a file" };
        return Err(Unreadable::new(why, help));
    }
    Ok(File::open(path)?)
}

fn bytes_from(from: impl Read, largest: u64) -> Result<Vec<u8>, Unreadable> {
    let mut bytes = Vec::new();
    from.take(largest + 1).read_to_end(&mut bytes)?;
    small_enough(bytes, largest)
}

fn small_enough(bytes: Vec<u8>, largest: u64) -> Result<Vec<u8>, Unreadable> {
    if bytes.len() as u64 > largest {
        let why = format!("it is larger than {} MiB", largest >> 20);
        return Err(Unreadable::new(why, "take a smaller one"));
    }
    Ok(bytes)
}

fn text_in(bytes: Vec<u8>) -> Result<String, Unreadable> {
    utf8(bytes).map_err(|why| Unreadable::new(why, "save it as UTF-8"))
}

/// What standard input says; it is read once.
fn standard_input() -> Result<String, Unreadable> {
    static TEXT: OnceLock<Result<String, Unreadable>> = OnceLock::new();
    TEXT.get_or_init(|| text_in(bytes_from(std::io::stdin().lock(), LARGEST_SCENARIO)?)).clone()
}

/// Why a file has no text, and what would help where that is known.
#[derive(Clone, Debug)]
struct Unreadable {
    why: String,
    help: Option<&'static str>,
    /// The line with which it ends.
    line: Option<LongLine>,
}

impl Unreadable {
    fn new(why: impl Into<String>, help: &'static str) -> Self {
        Self { why: why.into(), help: Some(help), line: None }
    }

    /// The same of a file of that name; `help` where nothing better is known.
    fn into_faults(self, name: &str, help: &str) -> Faults {
        let message = format!("the file cannot be read: {}", self.why);
        let complaint = Complaint::new("unreadable-file", message);
        let complaint = complaint.help(self.help.unwrap_or(help));
        match self.line {
            Some(LongLine { number, begins, .. }) => {
                Faults::of_line(name, (number, begins), complaint)
            }
            None => Faults::of_file(name, complaint),
        }
    }
}

impl From<io::Error> for Unreadable {
    fn from(error: io::Error) -> Self {
        let help = match error.kind() {
            io::ErrorKind::PermissionDenied => Some("make the file readable for you"),
            io::ErrorKind::NotADirectory => Some("a part of the path is a file and no folder"),
            _ => None,
        };
        Self { why: error.to_string(), help, line: None }
    }
}
