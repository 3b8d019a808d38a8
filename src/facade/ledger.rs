//! A row of the ledger in words.

use std::fmt;

use crate::control::Outcome;
use crate::engine::{Entry, LedgerRow, Model};
use crate::report::{reason_words, request_words};
use crate::time::Instant;

/// A row of the ledger: a request with its outcome and its reason, or an event.
#[derive(Clone, Debug, PartialEq)]
pub struct LedgerLine<'a> {
    /// When.
    pub at: Instant,
    /// The same as clocks show it.
    pub clock: String,
    /// The zone's name in the file.
    pub zone: &'a str,
    /// Who asked; empty for an event that is nobody's.
    pub by: &'a str,
    /// What was asked, or which event it is.
    pub request: String,
    /// How the request ended; `None` for an event.
    pub outcome: Option<Outcome>,
    /// Why.
    pub reason: String,
    /// The row that it was made from.
    pub row: &'a LedgerRow,
}

impl<'a> LedgerLine<'a> {
    pub(super) fn new(model: &'a Model, row: &'a LedgerRow) -> Self {
        let (by, request, outcome) = match &row.entry {
            Entry::Request { asker, what, outcome, .. } => {
                (&*asker.by, request_words(what), Some(*outcome))
            }
            Entry::Event(event) => {
                let person = event.person().and_then(|person| model.people.get(person.get()));
                (person.map_or("", |person| &*person.shown), event.name().to_owned(), None)
            }
        };
        let (zone, clock) = (&*model.zones[row.zone.get()].id, model.period.clock(row.at));
        Self {
            at: row.at,
            clock,
            zone,
            by,
            request,
            outcome,
            reason: reason_words(model, row),
            row,
        }
    }
}

impl fmt::Display for LedgerLine<'_> {
    /// `09:15 hall caretaker: press warmer: pushed: ...`
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.clock, self.zone)?;
        if !self.by.is_empty() {
            write!(f, " {}", self.by)?;
        }
        write!(f, ": {}", self.request)?;
        if let Some(outcome) = self.outcome {
            write!(f, ": {}", outcome.name())?;
        }
        write!(f, ": {}", self.reason)
    }
}
