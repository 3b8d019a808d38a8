//! For how long on end something is so.

use crate::control::Side;
use crate::engine::{StepRow, Zone};
use crate::time::{Instant, Seconds};

/// Shorter waits are part of every call: the plant needs its time, and a start may be delayed.
const SHORTEST: Seconds = Seconds::minutes(30);

/// A time on end that a zone stood past a setpoint and nothing came.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wait {
    /// Past which.
    pub(super) side: Side,
    /// Since when.
    pub(super) from: Instant,
    pub(super) length: Seconds,
}

/// The longest of a zone's rows; `None` where there is none worth telling.
pub(super) fn longest_wait<'r>(
    rows: impl Iterator<Item = &'r StepRow>,
    zone: &Zone,
    step: Seconds,
) -> Option<Wait> {
    let start = zone.controls.thermostat.call_start;
    let mut open: Option<Wait> = None;
    let mut longest: Option<Wait> = None;
    for row in rows {
        let side = if row.sensed < row.heat - start.heating {
            Some(Side::Heat)
        } else if row.sensed > row.cool + start.cooling {
            Some(Side::Cool)
        } else {
            None
        };
        open = match (side.filter(|_| row.served.is_none()), open) {
            (None, _) => None,
            (Some(side), Some(wait)) if wait.side == side => {
                Some(Wait { length: Seconds::new(wait.length.get() + step.get()), ..wait })
            }
            (Some(side), _) => Some(Wait { side, from: row.at, length: step }),
        };
        if let Some(wait) = open
            && longest.is_none_or(|it| it.length < wait.length)
        {
            longest = open;
        }
    }
    longest.filter(|wait| wait.length >= SHORTEST)
}
