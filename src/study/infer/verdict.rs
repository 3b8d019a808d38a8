//! What a record comes to as a whole.

use super::{Done, Failed, ZoneInference};
use crate::settings::controls::{CALL_START, CALL_STOP, CHANGEOVER_DELAY};
use crate::settings::unit::{MIN_OFF, MIN_ON};

/// What a record comes to. A line that reads otherwise than expected is never agreement, also where
/// every press agrees with the settings as stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Agreement {
    /// How many presses could be used.
    pub presses: usize,
    /// How many lines were read of which something was expected.
    pub lines: usize,
    /// How many lines were not read of which something was expected.
    pub unread: usize,
    /// How many of `lines` read otherwise.
    pub failed: usize,
    /// How many readings no settings explain together with the others.
    pub contradictions: usize,
    /// Whether presses in some zone do not agree with the settings as stated.
    pub differs: bool,
}

impl Agreement {
    /// Whether nothing speaks against the settings as stated.
    pub const fn holds(&self) -> bool {
        self.failed == 0 && self.contradictions == 0 && !self.differs
    }
}

/// Adds the zones up.
pub fn verdict(zones: &[ZoneInference]) -> Agreement {
    let sum = |count: fn(&ZoneInference) -> usize| zones.iter().map(count).sum();
    Agreement {
        presses: sum(|zone| zone.presses),
        lines: sum(|zone| zone.lines),
        unread: sum(|zone| zone.unread),
        failed: sum(|zone| zone.failed.len()),
        contradictions: sum(|zone| zone.contradictions.len()),
        differs: zones.iter().any(|zone| zone.as_stated == Some(false)),
    }
}

impl Failed {
    /// Whether nothing but the running of the unit reads otherwise: no press tells why.
    pub(super) const fn is_of_calls(&self) -> bool {
        let read = &self.read;
        let others = read.heat.is_none() && read.cool.is_none() && read.mode.is_none();
        others && read.power.is_none() && read.refused.is_none() && read.running.is_some()
    }
}

impl ZoneInference {
    /// The settings of calls and timers that may be behind lines in which only the running of the
    /// unit reads otherwise: those that the sheet says the first of them shows; where it says nothing,
    /// after a press where the call begins and ends, after a wait how long it is held. Empty where
    /// other things read otherwise.
    pub fn suspected(&self) -> Vec<String> {
        if !self.suspects.first.is_empty() {
            return self.suspects.first.clone();
        }
        let of = |waited: bool| {
            self.failed.iter().any(|it| {
                it.is_of_calls() && waited == !matches!(it.done, Done::Pressed(..) | Done::Looked)
            })
        };
        let mut all = Vec::new();
        if of(false) {
            all.extend([CALL_START.name, CALL_STOP.name, "sensor"]);
        }
        if of(true) {
            all.extend([MIN_ON.name, MIN_OFF.name, CHANGEOVER_DELAY.name]);
        }
        all.into_iter().map(str::to_owned).collect()
    }
}
