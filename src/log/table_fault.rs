//! Why a table cannot be read, and how large one may be.

/// Once unpacked a log may have so many bytes.
pub(super) const LARGEST: u64 = 256 << 20;
/// The most columns of a log.
pub(super) const MOST_COLUMNS: usize = 2_000;
/// The longest cell of a log, bytes.
pub(super) const LONGEST_CELL: usize = 20_000;

/// Why a table cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TableFault {
    /// It has more bytes than a log may have, once unpacked.
    TooLarge,
    /// It is damaged: which kind of file it seems to be.
    Damaged(&'static str),
    /// It has NUL bytes and is no workbook.
    NoText,
    /// It has no row below a header.
    Empty,
    /// It has too many columns, or a cell that is too long, on a line.
    TooWide {
        /// The line, from 1.
        line: u32,
    },
    /// The workbook has no sheet of that name; these it has.
    NoSheet(Vec<String>),
    /// It is a workbook, and this build reads none (feature `cli`).
    NoWorkbooks,
}

impl std::fmt::Display for TableFault {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::TooLarge => write!(f, "it has more than {} MiB", LARGEST >> 20),
            Self::Damaged(kind) => write!(f, "it begins like {kind} and is damaged"),
            Self::NoText => f.write_str("it is neither text nor a workbook"),
            Self::Empty => f.write_str("it has no row below a header"),
            Self::TooWide { line } => write!(
                f,
                "line {line} has more than {MOST_COLUMNS} columns or a cell of more than \
                 {LONGEST_CELL} bytes"
            ),
            Self::NoWorkbooks => f.write_str("it is a workbook, which this build does not read"),
            Self::NoSheet(names) => {
                write!(f, "it has no sheet of that name; it has {}", names.join(", "))
            }
        }
    }
}
