//! Which states have been found, in a table with a slot for each that can be.

use crate::control::{Mode, SetpointRules, Side, Stored};

/// No state.
const EMPTY: u32 = u32::MAX;
/// Neither side stands where it was not asked to, or heat does, or cool does.
const PUSHED: usize = 3;
/// On and off.
const POWERS: usize = 2;

/// A slot for every state. What was asked of both sides and which of them is pushed away from it
/// tells the setpoints: a press puts its own side where it is asked, and the other is at its asked
/// value or exactly at the deadband (rule 3).
#[derive(Debug)]
pub(super) struct Table {
    low: i32,
    width: usize,
    slots: Vec<u32>,
}

impl Table {
    /// An empty table for what these rules allow.
    pub(super) fn new(rules: &SetpointRules) -> Self {
        let (heat, cool) = (rules.written(Side::Heat), rules.written(Side::Cool));
        let low = heat.low.min(cool.low).count();
        let high = heat.high.max(cool.high).count();
        let width = usize::try_from(high.saturating_sub(low)).unwrap_or(0) + 1;
        let slots = vec![EMPTY; width * width * PUSHED * Mode::ALL.len() * POWERS];
        Self { low, width, slots }
    }

    /// Where a state has its slot.
    fn slot(&self, stored: &Stored) -> usize {
        let pair = &stored.setpoints;
        let (heat, cool) = (pair.asked(Side::Heat), pair.asked(Side::Cool));
        let pushed = usize::from(pair.heat() != heat) + 2 * usize::from(pair.cool() != cool);
        let offset = |count: i32| usize::try_from(count - self.low).unwrap_or(usize::MAX);
        let state = (stored.mode as usize * POWERS + stored.power as usize) * PUSHED + pushed;
        (state * self.width + offset(heat.count())) * self.width + offset(cool.count())
    }

    /// The state's number, if it has been found.
    pub(super) fn get(&self, stored: &Stored) -> Option<u32> {
        self.slots.get(self.slot(stored)).copied().filter(|id| *id != EMPTY)
    }

    /// Notes a state's number.
    pub(super) fn put(&mut self, stored: &Stored, id: u32) {
        let slot = self.slot(stored);
        if let Some(entry) = self.slots.get_mut(slot) {
            *entry = id;
        }
    }
}
