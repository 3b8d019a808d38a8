//! What papers show, when and by whom.

use jiff::civil::Date;

/// Where, when and by whom something was read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Witnessed {
    /// The day.
    pub date: Date,
    /// Who; empty where nobody is named.
    pub tester: String,
    /// The paper.
    pub paper: String,
    /// Its lines, or cells.
    pub lines: Vec<String>,
}

/// What a paper shows of something.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Shows {
    /// Everything as it is to be.
    Holds,
    /// Something is otherwise.
    Fails,
    /// Not everything was read, for this reason.
    InPart(String),
}

/// What a paper shows of one setting or requirement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Event {
    /// Which.
    pub subject: String,
    /// What it is to be.
    pub value: String,
    /// When.
    pub date: Date,
    /// By whom; often empty.
    pub tester: String,
    /// By which lines or cells.
    pub lines: Vec<String>,
    /// What.
    pub outcome: Shows,
}
