//! The only place that opens files.
#![expect(clippy::disallowed_methods, reason = "the rest of the library has to do without files")]

use std::fs::File;
use std::io::Read;
use std::path::{Component, Path, PathBuf};

use super::fault::{Complaint, Faults, Sink};
use super::study::{Study, read};
use super::template::Template;
use super::tree::Place;
use crate::units::TemperatureUnit;
use crate::weather::WeatherFile;

/// The largest scenario file, bytes.
const LARGEST_SCENARIO: u64 = 16 << 20;
/// The largest file that a scenario may name, bytes: a year of minutes fits.
const LARGEST_COMPANION: u64 = 64 << 20;

/// Reads a scenario file and the files that it names, which are looked up beside it.
///
/// # Errors
/// Everything wrong with the file; also that it is not there, not to be read, or no text.
pub fn load(path: &Path) -> Result<Study, Faults> {
    let (name, text) = named_text(path)?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let open = |companion: &str| text_of(&folder.join(companion), LARGEST_COMPANION);
    read(&text, &name, &open)
}

/// Reads a scenario file, or a variant of it, as a template for other values.
///
/// # Errors
/// The file is not there, is no YAML, or has no such variant. What else is wrong with it shows
/// when a model is made of it.
pub fn load_template(path: &Path, variant: Option<&str>) -> Result<Template, Faults> {
    let (name, text) = named_text(path)?;
    let folder = path.parent().unwrap_or(Path::new("")).to_owned();
    let open = move |companion: &str| text_of(&folder.join(companion), LARGEST_COMPANION);
    Template::read(&text, &name, Box::new(open), variant)
}

/// The file's name for messages, and its text.
fn named_text(path: &Path) -> Result<(String, String), Faults> {
    let name = path.display().to_string();
    Ok((name, load_text(path)?))
}

/// Reads a weather file by itself. `unit` is that of readings; typical years are in C.
///
/// # Errors
/// Everything wrong with the file; also that it is not there, not to be read, or no text.
pub fn load_weather(path: &Path, unit: TemperatureUnit) -> Result<WeatherFile, Faults> {
    let name = path.display().to_string();
    let text = text_of(path, LARGEST_COMPANION).map_err(|why| {
        let message = format!("the file cannot be read: {why}");
        let unreadable = Complaint::new("unreadable-file", message);
        Faults::of_file(&name, unreadable.help("check the name of the weather file"))
    })?;
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
    text_of(path, LARGEST_SCENARIO).map_err(|why| {
        let unreadable =
            Complaint::new("unreadable-file", format!("the file cannot be read: {why}"));
        Faults::of_file(
            &path.display().to_string(),
            unreadable.help("check the name; `setband init` writes a file to begin with"),
        )
    })
}

/// The files that a scenario from elsewhere may name: those in one folder and below, and none
/// where there is no folder.
#[derive(Clone, Debug, Default)]
pub struct Companions {
    folder: Option<PathBuf>,
}

impl Companions {
    /// Those beside a file.
    ///
    /// # Errors
    /// The folder is not there.
    pub fn beside(file: &Path) -> std::io::Result<Self> {
        let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty());
        let folder = folder.unwrap_or(Path::new(".")).canonicalize()?;
        Ok(Self { folder: Some(folder) })
    }

    /// The text of one of them.
    ///
    /// # Errors
    /// Why it cannot be had: it is not there, or the way to it leaves the folder, be it by `..`,
    /// from the root, or by a link.
    pub fn open(&self, name: &str) -> Result<String, String> {
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
        text_of(&path, LARGEST_COMPANION)
    }
}

/// The text of a file, or why there is none.
fn text_of(path: &Path, largest: u64) -> Result<String, String> {
    let file = File::open(path).map_err(|error| error.to_string())?;
    let kind = file.metadata().map_err(|error| error.to_string())?;
    if !kind.is_file() {
        return Err("it is not a file".into());
    }
    let mut bytes = Vec::new();
    file.take(largest + 1).read_to_end(&mut bytes).map_err(|error| error.to_string())?;
    if bytes.len() as u64 > largest {
        return Err(format!("it is larger than {} MiB", largest >> 20));
    }
    String::from_utf8(bytes).map_err(|error| {
        format!("it is not UTF-8 text (byte {} does not fit)", error.utf8_error().valid_up_to())
    })
}
