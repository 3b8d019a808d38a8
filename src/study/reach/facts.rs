//! What the states that were found say.

use std::collections::BTreeSet;

use super::explore::Presser;
use crate::control::{Key, Mode, Outcome, Power, SetpointRules, Side, Stored, Ticks};
use crate::direction::Direction;

/// The lowest and highest setpoints in one mode.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ModeReach {
    /// Which mode.
    pub mode: Mode,
    /// Lowest and highest heat setpoint.
    pub heat: (Ticks, Ticks),
    /// Lowest and highest cool setpoint.
    pub cool: (Ticks, Ticks),
}

/// What a key does, counted over every state, controller and direction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KeyEffect {
    /// Which key.
    pub key: Key,
    /// How many presses there are to make.
    pub presses: u64,
    /// How many of them change nothing.
    pub idle: u64,
    /// How many of these are refused.
    pub refused: u64,
    /// How many of these run against a limit or the deadband.
    pub limited: u64,
}

/// The pairs among some states, in order.
pub(super) fn pairs(states: &[Stored]) -> Vec<(Ticks, Ticks)> {
    let pair = |stored: &Stored| (stored.setpoints.heat(), stored.setpoints.cool());
    states.iter().map(pair).collect::<BTreeSet<_>>().into_iter().collect()
}

/// How many pairs limits and deadband allow.
pub(super) fn legal_pairs(rules: &SetpointRules) -> usize {
    let (heat, cool) = (rules.range(Side::Heat), rules.range(Side::Cool));
    if rules.is_single() {
        return usize::try_from((heat.high - heat.low).count() + 1).unwrap_or(0);
    }
    let count = |ticks: i32| {
        let lowest = cool.low.max(Ticks::new(ticks) + rules.deadband());
        usize::try_from((cool.high - lowest).count() + 1).unwrap_or(0)
    };
    (heat.low.count()..=heat.high.count()).map(count).sum()
}

/// The extremes of each mode that can be reached, with the power on.
pub(super) fn modes(states: &[Stored]) -> Vec<ModeReach> {
    let mut found: [Option<ModeReach>; 5] = [None; 5];
    for stored in states.iter().filter(|stored| stored.power == Power::On) {
        let (heat, cool) = (stored.setpoints.heat(), stored.setpoints.cool());
        let mode = stored.mode;
        let reach = found[mode as usize].get_or_insert(ModeReach {
            mode,
            heat: (heat, heat),
            cool: (cool, cool),
        });
        reach.heat = (reach.heat.0.min(heat), reach.heat.1.max(heat));
        reach.cool = (reach.cool.0.min(cool), reach.cool.1.max(cool));
    }
    found.into_iter().flatten().collect()
}

/// What each key does, over all states.
pub(super) fn keys(presser: &Presser<'_>, states: &[Stored]) -> Vec<KeyEffect> {
    Key::ALL.into_iter().map(|key| effect(presser, states, key)).collect()
}

fn effect(presser: &Presser<'_>, states: &[Stored], key: Key) -> KeyEffect {
    let mut effect = KeyEffect { key, presses: 0, idle: 0, refused: 0, limited: 0 };
    let needs = crate::control::Request::Press(key).needs();
    let locks = &presser.settings().key_locks;
    let locked = locks.iter().filter(|locks| locks.refuses(needs)).count() as u64;
    let free = locks.len() as u64 - locked;
    let moves_setpoint = matches!(key, Key::Warmer | Key::Cooler);
    for stored in states {
        let both = moves_setpoint && presser.depends_on_direction(stored);
        let directions = &Direction::BOTH[..if both { 2 } else { 1 }];
        for direction in directions {
            effect.presses += locked + free;
            effect.idle += locked;
            effect.refused += locked;
            if free == 0 {
                continue;
            }
            let verdict = presser.press(stored, key, *direction);
            if verdict.after == *stored {
                effect.idle += free;
                match verdict.outcome {
                    Outcome::Refused => effect.refused += free,
                    Outcome::Limited => effect.limited += free,
                    Outcome::Accepted | Outcome::Pushed | Outcome::NoEffect => {}
                }
            }
        }
    }
    effect
}
