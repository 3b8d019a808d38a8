//! Every word that a user of setband meets, explained: the keys of the scenario file, the codes of
//! faults and findings, how requests end, what else stands in the ledger, the figures of a run, and
//! the terms that texts and charts use.
//!
//! Keys come from the table that the reader checks against, so a new one is here by itself. The
//! other words stand in tables of this folder; tests hold them to what the program really says.
//!
//! ```
//! let found = setband::reference::look_up("min_deadband");
//! let entry = &found.entries[0];
//! assert_eq!(entry.path.as_deref(), Some("zones.*.controls.min_deadband"));
//! assert!(entry.facts.iter().any(|(name, text)| *name == "rule" && text.contains("rules 2 to 6")));
//!
//! let none = setband::reference::look_up("min_deadbant");
//! assert_eq!(none.entries.len(), 0);
//! assert_eq!(none.near[0], "min_deadband");
//! ```

mod faults;
mod figures;
mod findings;
mod keys;
mod logs;
mod outcomes;
mod shipped;
mod terms;

use crate::scenario::nearest;

pub use shipped::{SHIPPED, Shipped};

/// What sort of word it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Class {
    /// A term of texts and charts.
    Term,
    /// A key of the scenario file.
    Key,
    /// A finding of `check`.
    Finding,
    /// A fault of a file that does not run.
    Fault,
    /// What `audit` finds in a log.
    LogFinding,
    /// Why somebody was cold or hot.
    Cause,
    /// How a request ends.
    Outcome,
    /// What else stands in the ledger.
    Event,
    /// A figure of a run.
    Figure,
}

impl Class {
    /// All, in the order in which they are told.
    pub const ALL: [Self; 9] = [
        Self::Term,
        Self::Key,
        Self::Outcome,
        Self::Event,
        Self::Figure,
        Self::Finding,
        Self::LogFinding,
        Self::Cause,
        Self::Fault,
    ];

    /// What people call one of them.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Term => "term",
            Self::Key => "key of the scenario file",
            Self::Finding => "finding of check",
            Self::LogFinding => "finding about a log",
            Self::Cause => "cause of a complaint",
            Self::Fault => "fault of a file",
            Self::Outcome => "outcome of a request",
            Self::Event => "event of the ledger",
            Self::Figure => "figure of a run",
        }
    }

    /// What people call all of them.
    pub const fn heading(self) -> &'static str {
        match self {
            Self::Term => "Terms",
            Self::Key => "Keys of the scenario file",
            Self::Finding => "Findings of check",
            Self::LogFinding => "Findings about logs",
            Self::Cause => "Causes of complaints",
            Self::Fault => "Faults of a file",
            Self::Outcome => "How a request ends",
            Self::Event => "Events of the ledger",
            Self::Figure => "Figures of a run",
        }
    }
}

/// A word explained.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// What sort of word it is.
    pub class: Class,
    /// The word.
    pub word: String,
    /// Of a key the way to it: `zones.*.controls.min_deadband`.
    pub path: Option<String>,
    /// What it is, in a sentence or two.
    pub what: String,
    /// What else there is to know, each under its name: `unit`, `range`, `default`, `rule` ...
    pub facts: Vec<(&'static str, String)>,
    /// How it is written.
    pub example: Option<String>,
    /// The shipped scenario that shows it, with the line where that is one.
    pub shown_in: Option<(&'static str, Option<u32>)>,
}

impl Entry {
    fn new(class: Class, word: &str, what: &str) -> Self {
        let (word, what) = (word.to_owned(), what.to_owned());
        Self { class, word, path: None, what, facts: Vec::new(), example: None, shown_in: None }
    }

    fn fact(mut self, name: &'static str, text: impl Into<String>) -> Self {
        self.facts.push((name, text.into()));
        self
    }

    /// What it goes by on a page: a name that no other entry has.
    pub fn anchor(&self) -> String {
        let name = self.path.as_deref().unwrap_or(&self.word);
        format!("{:?}-{name}", self.class).to_lowercase().replace(' ', "-")
    }

    /// Whether somebody who asks for this word means it: the word, the way to a key from the root or
    /// from anywhere below it, or the way to it in a file of their own.
    fn is_meant_by(&self, asked: &str) -> bool {
        if self.word.eq_ignore_ascii_case(asked) {
            return true;
        }
        let Some(path) = &self.path else { return false };
        let plain = |text: &str| text.replace("[]", "");
        let (path, asked) = (plain(path), without_places(asked));
        let parts: Vec<&str> = path.split('.').collect();
        let wanted: Vec<&str> = asked.split('.').collect();
        let same = |(own, one): (&&str, &&str)| *own == "*" || own == one;
        if wanted.len() < 2 || wanted.len() > parts.len() {
            return false;
        }
        // A way that begins in the middle begins with a word of the format, not with a name.
        let end = &parts[parts.len() - wanted.len()..];
        end[0] != "*" && end.iter().zip(&wanted).all(same)
    }
}

/// A path without the numbers of places in lists: `actions[2].at` is `actions.at`.
fn without_places(path: &str) -> String {
    let mut inside = false;
    path.chars()
        .filter(|letter| {
            inside = (inside || *letter == '[') && *letter != ']';
            !inside && *letter != ']'
        })
        .collect()
}

/// Every entry: by class in the order of [`Class::ALL`], keys in the order of the file, codes and
/// terms by name.
pub fn all() -> Vec<Entry> {
    let mut all = terms::entries();
    all.extend(keys::entries());
    all.extend(outcomes::entries());
    all.extend(figures::entries());
    all.extend(findings::entries());
    all.extend(logs::entries());
    all.extend(faults::entries());
    all
}

/// What was found for a word.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LookUp {
    /// The entries of that name.
    pub entries: Vec<Entry>,
    /// Where there are none, the names nearest to it.
    pub near: Vec<String>,
}

/// Looks a word up: a key or the way to it, a code, an outcome, an event, a figure, a term.
pub fn look_up(word: &str) -> LookUp {
    let word = word.trim().trim_matches('`');
    let all = all();
    let entries: Vec<Entry> = all.iter().filter(|entry| entry.is_meant_by(word)).cloned().collect();
    let near = if entries.is_empty() { nearest_few(word, &all) } else { Vec::new() };
    LookUp { entries, near }
}

/// The three names nearest to a word.
fn nearest_few(word: &str, all: &[Entry]) -> Vec<String> {
    let last = word.rsplit('.').next().unwrap_or(word);
    let mut names: Vec<&str> = all.iter().map(|entry| entry.word.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    let mut near = Vec::new();
    while near.len() < 3
        && let Some(name) = nearest(last, names.iter().copied())
    {
        names.retain(|it| *it != name);
        near.push(name.to_owned());
    }
    near
}
