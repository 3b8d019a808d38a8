//! Why a log cannot be read, and in which words.

use super::bad_rows::BadKind;
use super::table_fault::TableFault;

/// Why a log cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LogFault {
    /// A file cannot be opened; which, by its place in the list, and why.
    Unopened(usize, String),
    /// A file is no table; which, by its place in the list.
    Table(usize, TableFault),
    /// No file has columns or points of these names; the names there are.
    NoPoint {
        /// What was asked for.
        names: Vec<String>,
        /// What there is.
        known: Vec<String>,
    },
    /// More than half of the rows of a file are bad.
    MostlyBad {
        /// Which file, by its place in the list.
        file: usize,
        /// How many of its rows are bad,
        bad: usize,
        /// and how many it has.
        rows: usize,
        /// What is wrong with most of them.
        kind: BadKind,
        /// The line of the first of these.
        line: u32,
    },
    /// No row says when and how warm a zone was.
    Nothing,
}

/// So many names are listed in a remedy.
const LISTED: usize = 30;

impl LogFault {
    /// What is wrong and what would be right; `files` are the names of the files.
    pub fn words(&self, files: &[String]) -> (String, String) {
        let file = |place: &usize| files.get(*place).map_or("the log", String::as_str).to_owned();
        match self {
            Self::Unopened(place, why) => (
                format!("`{}` cannot be read: {why}", file(place)),
                "the name is looked up beside the scenario file".into(),
            ),
            Self::Table(place, fault) => {
                (format!("`{}` is no log: {fault}", file(place)), remedy(fault).into())
            }
            Self::NoPoint { names, known } => {
                let quoted: Vec<String> = names.iter().map(|name| format!("`{name}`")).collect();
                let verb = if names.len() == 1 {
                    "is no column or point"
                } else {
                    "are no columns or points"
                };
                let more = if known.len() > LISTED { ", ..." } else { "" };
                let known: Vec<&str> = known.iter().take(LISTED).map(String::as_str).collect();
                (
                    format!("{} {verb} of the log", quoted.join(", ")),
                    format!("it has {}{more}", known.join(", ")),
                )
            }
            Self::MostlyBad { file: place, bad, rows, kind, line } => (
                format!(
                    "{bad} of the {rows} rows of `{}` are bad: most {}, the first on line {line}",
                    file(place),
                    kind.words()
                ),
                "check the `log` block; `setband log` shows what is in a file".into(),
            ),
            Self::Nothing => (
                "the log has no row that can be used".into(),
                "check the time's format and the zones' columns; `setband log` shows what is in a \
                 file"
                    .into(),
            ),
        }
    }
}

const fn remedy(fault: &TableFault) -> &'static str {
    match fault {
        TableFault::TooLarge => "split it and list its parts under `file`",
        TableFault::Damaged(_) => "export it again",
        TableFault::NoText | TableFault::NoWorkbooks => "export it as CSV text",
        TableFault::Empty => "a log has a line of headings and rows below it",
        TableFault::TooWide { .. } => "keep the columns that are needed",
        TableFault::NoSheet(_) => "name one of these under `sheet`",
    }
}
