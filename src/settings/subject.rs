//! Whose setting something is.

/// Whose setting it is, by places in the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// A zone.
    Zone(usize),
    /// A controller of a zone.
    Controller(usize, usize),
    /// An outdoor unit.
    Group(usize),
}
