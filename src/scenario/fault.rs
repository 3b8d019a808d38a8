//! What is wrong in a scenario file: faults with their place, and how people read them.

use std::cell::{Cell, RefCell};
use std::fmt;

use serde::Serialize;

use super::tree::Place;

/// One thing wrong in a scenario file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Fault {
    /// What kind of fault, the same for ever: `unknown-key`.
    pub code: &'static str,
    /// Line, from 1; 0 where the file could not be read at all.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
    /// Where in the file's structure: `zones.hall.controls.heat`, `actions[2].at`.
    pub path: String,
    /// What is wrong.
    pub message: String,
    /// What would mend it.
    pub remedy: String,
    #[serde(skip)]
    width: u32,
    #[serde(skip)]
    excerpt: String,
}

/// Everything wrong in a scenario file, in the order of the file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Faults {
    /// The file's name as it was given.
    file: String,
    #[serde(rename = "faults")]
    list: Vec<Fault>,
    /// How many there were; more than are listed where a file is wrong all over.
    count: usize,
}

impl Faults {
    /// How many faults the text for people shows.
    const SHOWN: usize = 50;

    /// A fault of the file as a whole, which has no place in it.
    pub(super) fn of_file(file: &str, complaint: Complaint) -> Self {
        let sink = Sink::default();
        sink.add(Place::default(), String::new(), complaint);
        sink.into_faults(file, "")
    }

    /// A fault of a line, with its number and the words that it begins with.
    pub(super) fn of_line(file: &str, (line, begins): (u32, String), complaint: Complaint) -> Self {
        let Complaint { code, message, remedy } = complaint;
        let (path, excerpt) = (String::new(), begins);
        let fault = Fault { code, line, column: 1, path, message, remedy, width: 1, excerpt };
        Self { file: file.into(), list: vec![fault], count: 1 }
    }

    /// The file's name as it was given.
    pub fn file(&self) -> &str {
        &self.file
    }

    /// The faults, in the order of the file. Of a file that is wrong all over the first thousand.
    pub fn as_slice(&self) -> &[Fault] {
        &self.list
    }

    /// How many faults there are, listed or not.
    pub const fn count(&self) -> usize {
        self.count
    }
}

impl fmt::Display for Faults {
    /// For people: each fault with its code, place, excerpt and remedy, then the count.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for fault in self.list.iter().take(Self::SHOWN) {
            fault.write(f, &self.file)?;
            writeln!(f)?;
        }
        match self.count {
            1 => write!(f, "1 fault in {}", self.file),
            count if count > Self::SHOWN => {
                write!(f, "{count} faults in {}, the first {} shown", self.file, Self::SHOWN)
            }
            count => write!(f, "{count} faults in {}", self.file),
        }
    }
}

impl std::error::Error for Faults {}

impl Fault {
    fn write(&self, f: &mut fmt::Formatter<'_>, file: &str) -> fmt::Result {
        writeln!(f, "error[{}]: {}", self.code, self.message)?;
        let gutter = self.line.to_string().len();
        if self.line == 0 {
            writeln!(f, "  --> {file}")?;
        } else {
            write!(f, "{:gutter$}--> {file}:{}:{}", "", self.line, self.column)?;
            writeln!(
                f,
                "{}",
                if self.path.is_empty() { "" } else { "  " }.to_owned() + &self.path
            )?;
            let (window, indent) = window(&self.excerpt, self.column);
            let marks = "^".repeat(marked(&window, indent, self.width));
            writeln!(f, "{:gutter$} |", "")?;
            writeln!(f, "{} | {window}", self.line)?;
            writeln!(f, "{:gutter$} | {:indent$}{marks}", "", "")?;
        }
        if !self.remedy.is_empty() {
            writeln!(f, "{:gutter$} = help: {}", "", self.remedy)?;
        }
        Ok(())
    }
}

/// The part of a line that is shown, and how far in the marked place stands.
fn window(line: &str, column: u32) -> (String, usize) {
    const WIDEST: usize = 100;
    let at = usize::try_from(column).unwrap_or(1).saturating_sub(1);
    let start = if at < WIDEST * 3 / 4 { 0 } else { at - WIDEST / 2 };
    let visible = |letter: char| if letter.is_control() { ' ' } else { letter };
    let text: String = line.chars().skip(start).take(WIDEST).map(visible).collect();
    let text = text.trim_end();
    if start == 0 {
        return (text.to_owned(), at);
    }
    (format!("...{text}"), at - start + 3)
}

/// How many marks fit under the window.
fn marked(window: &str, indent: usize, width: u32) -> usize {
    let room = window.chars().count().saturating_sub(indent);
    usize::try_from(width).unwrap_or(1).min(room).max(1)
}

/// A fault without its place: code, message and remedy.
#[derive(Clone, Debug)]
pub(super) struct Complaint {
    pub(super) code: &'static str,
    pub(super) message: String,
    pub(super) remedy: String,
}

impl Complaint {
    pub(super) fn new(code: &'static str, message: impl Into<String>) -> Self {
        Self { code, message: message.into(), remedy: String::new() }
    }

    /// Says what would mend it.
    pub(super) fn help(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = remedy.into();
        self
    }
}

/// Where readers leave the faults that they find, so that they can go on.
#[derive(Debug, Default)]
pub(super) struct Sink {
    faults: RefCell<Vec<Fault>>,
    count: Cell<usize>,
}

impl Sink {
    /// A file that is wrong all over is not listed beyond this.
    const MOST: usize = 1000;

    /// Notes a fault.
    pub(super) fn add(&self, place: Place, path: String, complaint: Complaint) {
        self.count.set(self.count.get() + 1);
        let mut faults = self.faults.borrow_mut();
        if faults.len() >= Self::MOST {
            return;
        }
        let Complaint { code, message, remedy } = complaint;
        let Place { line, column, width } = place;
        let excerpt = String::new();
        faults.push(Fault { code, line, column, path, message, remedy, width, excerpt });
    }

    /// Whether more faults would only be counted: then readers need not explain them.
    pub(super) fn is_full(&self) -> bool {
        self.faults.borrow().len() >= Self::MOST
    }

    /// Whether there are none.
    pub(super) fn is_empty(&self) -> bool {
        self.count.get() == 0
    }

    /// Takes over what another sink has.
    pub(super) fn absorb(&self, other: &Self) {
        let more = other.faults.borrow();
        self.count.set(self.count.get() + other.count.get());
        let mut faults = self.faults.borrow_mut();
        let room = Self::MOST.saturating_sub(faults.len());
        faults.extend(more.iter().take(room).cloned());
    }

    /// Moves every fault outside the lines given to `place` and says where it really shows: a
    /// variant's fault belongs to the variant, even where it shows in what the file already had.
    pub(super) fn gather(&self, lines: std::ops::RangeInclusive<u32>, place: Place) {
        for fault in self.faults.borrow_mut().iter_mut().filter(|f| !lines.contains(&f.line)) {
            if fault.line > 0 {
                fault.message = format!("{} (on line {})", fault.message, fault.line);
            }
            (fault.line, fault.column, fault.width) = (place.line, place.column, place.width);
        }
    }

    /// Tells a fault of several zones once where it stands in what is written for all of them, which
    /// are these lines; `path` is the way there.
    pub(super) fn tell_once(&self, lines: std::ops::RangeInclusive<u32>, path: &str) {
        let mut faults = self.faults.borrow_mut();
        let before = faults.len();
        let mut told: Vec<Fault> = Vec::with_capacity(before);
        for fault in faults.drain(..) {
            let is_shared = lines.contains(&fault.line) && fault.path.starts_with("zones.");
            let same = |it: &&mut Fault| {
                (it.line, it.column, it.code) == (fault.line, fault.column, fault.code)
                    && it.message == fault.message
            };
            match told.iter_mut().find(same) {
                Some(first) if is_shared => {
                    let below = fault.path.splitn(3, '.').nth(2).unwrap_or_default();
                    first.path = format!("{path}.{below}");
                }
                _ => told.push(fault),
            }
        }
        self.count.set(self.count.get() - (before - told.len()));
        *faults = told;
    }

    /// The faults in the order of the file, each with its line of the text.
    pub(super) fn into_faults(self, file: &str, text: &str) -> Faults {
        let mut faults = self.faults.into_inner();
        faults.sort_by_key(|fault| (fault.line, fault.column));
        let mut lines = text.strip_prefix('\u{feff}').unwrap_or(text).lines().zip(1_u32..);
        let mut present = ("", 0);
        for fault in &mut faults {
            while present.1 < fault.line {
                let Some(next) = lines.next() else { break };
                present = next;
            }
            if present.1 == fault.line {
                fault.excerpt = excerpt(present.0, fault.column);
            }
        }
        Faults { file: file.into(), list: faults, count: self.count.get() }
    }
}

/// A line of the file, cut where it is so long that keeping it would be costly.
fn excerpt(line: &str, column: u32) -> String {
    let reach = usize::try_from(column).unwrap_or(usize::MAX).saturating_add(200);
    line.chars().take(reach).collect()
}
