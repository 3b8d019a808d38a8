//! The part of the sheet about keys: every outcome that presses can have, each by the shortest
//! way from the one before.

use std::collections::HashSet;

use super::outcome::{Effect, Proven, proven};
use super::path::{Keys, Node, Passing};
use super::writer::Writer;
use crate::control::{Direction, Key, Mode, Outcome, Request, Side, Stored};
use crate::engine::{Model, ZoneIndex};
use crate::study::reach::{self, MOST_STATES};

/// So often a way may turn out otherwise than planned before its end is given up.
const MOST_TRIES: u32 = 3;

/// Every outcome of presses that occupants can bring about in a zone, by looking at every state
/// that they can bring about, in both directions. `None` where there are too many states.
pub(super) fn reachable(model: &Model, zone: ZoneIndex, keys: &Keys<'_>) -> HashSet<Proven> {
    let states = reach::every_state(model, zone, MOST_STATES);
    let mut all = HashSet::new();
    for stored in states {
        for direction in Direction::BOTH {
            let node = Node { stored, direction };
            for press in keys.all() {
                let (verdict, _) = keys.press(&node, press);
                let place = press.controller.get();
                all.extend(proven(&stored, press.key, place, &verdict).into_iter().flatten());
            }
        }
    }
    all
}

/// Writes the lines until every wanted outcome is proved that can be from where the zone stands.
pub(super) fn write(writer: &mut Writer<'_, '_>, zone: ZoneIndex, wanted: &HashSet<Proven>) {
    let mut given_up: HashSet<Proven> = HashSet::new();
    let mut tries = 0;
    loop {
        let open = |item: &Proven| {
            wanted.contains(item)
                && !given_up.contains(item)
                && !writer.proven.contains(&(zone, *item))
        };
        if !wanted.iter().any(open) {
            return;
        }
        let mut aims: Vec<Proven> = Vec::new();
        let goal = |passing: &Passing<'_>| {
            aims = outcomes(passing).into_iter().flatten().filter(open).collect();
            !aims.is_empty()
        };
        let Some(way) = writer.keys(zone).shortest(writer.node(zone), goal) else { return };
        writer.walk(zone, &way, &[]);
        if aims.iter().any(|aim| writer.proven.contains(&(zone, *aim))) {
            tries = 0;
            press_back(writer, zone, &aims);
        } else {
            tries += 1;
            if tries >= MOST_TRIES {
                given_up.extend(aims);
                tries = 0;
            }
        }
    }
}

fn outcomes(passing: &Passing<'_>) -> [Option<Proven>; 3] {
    let Passing { before, press, verdict, .. } = passing;
    proven(&before.stored, press.key, press.controller.get(), verdict)
}

/// After a push the other way: whether the pushed side comes back tells `push` from
/// `push_and_return`.
fn press_back(writer: &mut Writer<'_, '_>, zone: ZoneIndex, aims: &[Proven]) {
    let pushed = aims.iter().find_map(|aim| match aim {
        Proven::Effect { side, up, effect: Effect::Pushes } => Some((*side, *up)),
        _ => None,
    });
    let Some((side, up)) = pushed else { return };
    let key = if up { Key::Cooler } else { Key::Warmer };
    let keeps = writer.free_press(zone, key).is_some_and(|press| {
        let here = writer.node(zone);
        let (verdict, after) = writer.keys(zone).press(&here, press);
        let other = side.other();
        verdict.outcome == Outcome::Accepted
            && after.stored.setpoints.get(other) == here.stored.setpoints.get(other)
    });
    let kept = [Proven::Kept(side.other())];
    writer.press_free(zone, key, if keeps { &kept } else { &[] });
}

/// The requests by which a technician sets a zone back to what it was.
pub(super) fn restoring(writer: &Writer<'_, '_>, zone: ZoneIndex, target: &Stored) -> Vec<Request> {
    let now = writer.stored(zone);
    let grid = writer.model.zones[zone.get()].controls.settings.grid;
    let mut all = Vec::new();
    if now.power != target.power {
        all.push(Request::Power(target.power));
    }
    if now.mode != target.mode {
        if writer.keys(zone).follows && now.mode != Mode::Fan {
            all.push(Request::Mode(Mode::Fan));
        }
        all.push(Request::Mode(target.mode));
    }
    let value = |side: Side| grid.value(target.setpoints.get(side));
    if now.setpoints != target.setpoints {
        for side in [Side::Heat, Side::Cool, Side::Heat, Side::Cool] {
            all.push(Request::Setpoint(side, value(side)));
        }
    }
    all
}
