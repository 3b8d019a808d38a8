//! How much work a table is worth.

use std::cell::Cell;

/// So many presses are tried at most for a table: some seconds. No table that a building gave was
/// ever near it.
const MOST_WORK: usize = 60_000_000;

/// The work that is left for a table, in presses that may be tried.
#[derive(Debug)]
pub(super) struct Budget(Cell<usize>);

impl Budget {
    /// What a table is worth.
    pub(super) const fn of_a_table() -> Self {
        Self(Cell::new(MOST_WORK))
    }

    /// What guesses about misread lines are worth, beside the table itself.
    pub(super) const fn of_a_guess() -> Self {
        Self(Cell::new(MOST_WORK / 4))
    }

    /// Takes some of it; false once there is none left, and then nothing that was worked out counts.
    pub(super) fn spend(&self, work: usize) -> bool {
        self.0.set(self.0.get().saturating_sub(work));
        !self.is_spent()
    }

    pub(super) fn is_spent(&self) -> bool {
        self.0.get() == 0
    }
}
