//! The parts of the sheet about calls and their timers.

use super::outcome::Proven;
use super::path::{Keys, Node, Passing};
use super::step::{Deed, Part};
use super::writer::Writer;
use crate::control::{
    Direction, Key, Mode, Occupancy, OverrideUntil, Power, Stored, WorkingSetpoints,
};
use crate::engine::ZoneIndex;
use crate::time::Seconds;

/// Why a part is not on the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hindrance {
    /// No keys bring the setpoint of this direction across the room's temperature from one side to
    /// the other.
    Room(Direction),
    /// The season forbids this direction.
    Season(Direction),
    /// It would take longer than the longest wait.
    Wait(Seconds),
    /// No keys lead there.
    Keys,
    /// It ends at midnight.
    Midnight,
    /// Outdoor limits leave no temperature at which both directions are allowed.
    OutdoorGap,
}

/// The key that asks for more of a direction, and the one that asks for less.
pub(super) const fn toward(direction: Direction) -> (Key, Key) {
    match direction {
        Direction::Heating => (Key::Warmer, Key::Cooler),
        Direction::Cooling => (Key::Cooler, Key::Warmer),
    }
}

/// Whether a zone at this node may have calls in a direction, and its keys move that setpoint.
fn works_in(keys: &Keys<'_>, node: &Node, direction: Direction) -> bool {
    let stored = &node.stored;
    let may = keys.follows || stored.mode.allows(direction);
    let side = stored.active(keys.standing(node.direction)) == Some(direction.side());
    let turned = node.direction == direction || !(keys.follows || keys.leads);
    stored.power == Power::On && stored.mode != Mode::Fan && may && side && turned
}

/// One press of `key` after which `there` holds and before which it does not, in a zone that works
/// in a direction and does not want the other.
pub(super) fn crosses(
    keys: &Keys<'_>,
    passing: &Passing<'_>,
    key: Key,
    direction: Direction,
    there: impl Fn(&Stored) -> bool,
) -> bool {
    let (before, after) = (passing.before, passing.after);
    let quiet = |stored: &Stored| !keys.starts(stored, direction.opposite());
    passing.press.key == key
        && before.stored.mode == after.stored.mode
        && works_in(keys, before, direction)
        && works_in(keys, after, direction)
        && quiet(&before.stored)
        && quiet(&after.stored)
        && !there(&before.stored)
        && there(&after.stored)
}

/// A call in a direction: its start, its end, and the rests between.
pub(super) fn write(
    writer: &mut Writer<'_, '_>,
    zone: ZoneIndex,
    direction: Direction,
) -> Result<(), Hindrance> {
    writer.part = Part::Calls(direction);
    let none = Hindrance::Room(direction);
    let place = writer.primary(zone);
    let (more, less) = toward(direction);
    if writer.running(zone).is_some() {
        // The call that goes on has to end first.
        let keys = writer.keys(zone);
        let quiet = writer.keys(zone).shortest(writer.node(zone), |passing| {
            Direction::BOTH.iter().all(|way| keys.ends(&passing.after.stored, *way))
        });
        writer.walk(zone, &quiet.ok_or(none)?, &[]);
        writer.settle(place);
    }
    let keys = writer.keys(zone);
    let start = keys.shortest(writer.node(zone), |passing| {
        crosses(&keys, passing, more, direction, |stored| keys.starts(stored, direction))
    });
    let start = start.ok_or(none)?;
    writer.approach(zone, &start);
    writer.settle(place);
    if writer.running(zone).is_some() {
        return Err(none);
    }
    writer.perform(place, Deed::Look, &[]);
    writer.walk(zone, &start[start.len() - 1..], &[Proven::CallStarts(direction)]);
    until_running(writer, zone, direction);
    end(writer, zone, direction, less)?;
    // How long a call waits is one setting for both directions.
    if writer.proven.contains(&(zone, Proven::Rest(direction.opposite()))) {
        Ok(())
    } else {
        again(writer, zone, direction, more)
    }
}

/// Waits until a call is there, where timers hold it back.
pub(super) fn until_running(
    writer: &mut Writer<'_, '_>,
    zone: ZoneIndex,
    direction: Direction,
) -> bool {
    let place = writer.primary(zone);
    for _ in 0..4 {
        if writer.running(zone) == Some(direction) {
            return true;
        }
        if !writer.await_change(place) {
            return false;
        }
    }
    writer.running(zone) == Some(direction)
}

/// The end of a call, and how long it is kept on.
fn end(
    writer: &mut Writer<'_, '_>,
    zone: ZoneIndex,
    direction: Direction,
    less: Key,
) -> Result<(), Hindrance> {
    let keys = writer.keys(zone);
    let way = keys.shortest(writer.node(zone), |passing| {
        crosses(&keys, passing, less, direction, |stored| keys.ends(stored, direction))
    });
    let way = way.ok_or(Hindrance::Room(direction))?;
    writer.approach(zone, &way);
    writer.walk(zone, &way[way.len() - 1..], &[Proven::CallEnds(direction)]);
    if writer.running(zone).is_some() {
        let place = writer.primary(zone);
        writer.await_change(place);
    }
    Ok(())
}

/// A call right after one has ended, which has to wait for the rest.
fn again(
    writer: &mut Writer<'_, '_>,
    zone: ZoneIndex,
    direction: Direction,
    more: Key,
) -> Result<(), Hindrance> {
    let keys = writer.keys(zone);
    let way = keys.shortest(writer.node(zone), |passing| {
        crosses(&keys, passing, more, direction, |stored| keys.starts(stored, direction))
    });
    writer.walk(zone, &way.ok_or(Hindrance::Room(direction))?, &[]);
    until_running(writer, zone, direction);
    Ok(())
}

/// Power off takes the call away.
pub(super) fn switch(writer: &mut Writer<'_, '_>, zone: ZoneIndex, direction: Direction) {
    writer.part = Part::Calls(direction);
    let keys = writer.keys(zone);
    let here = writer.node(zone);
    if writer.running(zone) != Some(direction) || writer.free_press(zone, Key::Power).is_none() {
        return;
    }
    if works_in(&keys, &here, direction) {
        writer.press_free(zone, Key::Power, &[Proven::PowerTakesCall(direction)]);
        writer.press_free(zone, Key::Power, &[]);
    }
}

/// From one direction to the other in `auto`.
pub(super) fn change_over(
    writer: &mut Writer<'_, '_>,
    zone: ZoneIndex,
    from: Direction,
) -> Result<(), Hindrance> {
    writer.part = Part::Changeover;
    let none = Hindrance::Room(from.opposite());
    let auto = |node: &Node| node.stored.mode == Mode::Auto && node.stored.power == Power::On;
    let keys = writer.keys(zone);
    let here = writer.node(zone);
    let wants = |node: &Node| {
        let stored = &node.stored;
        auto(node) && keys.starts(stored, from) && keys.ends(stored, from.opposite())
    };
    if !wants(&here) {
        let way = keys.shortest(here, |passing| wants(passing.after));
        writer.walk(zone, &way.ok_or(none)?, &[]);
    }
    if !until_running(writer, zone, from) {
        return Err(none);
    }
    let keys = writer.keys(zone);
    let way = keys.shortest(writer.node(zone), |passing| {
        let stored = &passing.after.stored;
        auto(passing.after)
            && passing.after.direction == from
            && keys.starts(stored, from.opposite())
            && keys.ends(stored, from)
    });
    writer.walk(zone, &way.ok_or(none)?, &[]);
    if until_running(writer, zone, from.opposite()) { Ok(()) } else { Err(none) }
}

/// What works while nobody is there: where the call ends by the setback and not before, and the
/// override that a request starts.
pub(super) fn unoccupied(
    writer: &mut Writer<'_, '_>,
    zone: ZoneIndex,
    direction: Direction,
) -> Result<(), Hindrance> {
    let controls = &writer.model.zones[zone.get()].controls;
    let Some(setback) = controls.setback.filter(|_| controls.occupancy != Occupancy::Always) else {
        return Ok(());
    };
    writer.part = Part::Unoccupied;
    let none = Hindrance::Room(direction);
    let place = writer.primary(zone);
    let (more, less) = toward(direction);
    let keys = writer.keys(zone);
    let grid = keys.settings.grid;
    let rests = |stored: &Stored| {
        let (heat, cool) = setback.working(&stored.setpoints);
        let at = WorkingSetpoints::new(grid.value(heat), grid.value(cool));
        keys.thermostat.ends(direction, keys.sensed, at)
    };
    // The deepest setpoint at which the setback still keeps the call away.
    let way = keys.shortest(writer.node(zone), |passing| {
        crosses(&keys, passing, less, direction, rests)
            && keys.starts(&passing.after.stored, direction)
    });
    let way = way.ok_or(none)?;
    writer.approach(zone, &way);
    if !until_running(writer, zone, direction) {
        return Err(none);
    }
    writer.perform(place, Deed::Leave, &[]);
    writer.perform(place, Deed::Return, &[]);
    writer.walk(zone, &way[way.len() - 1..], &[]);
    until_running(writer, zone, direction);
    writer.perform(place, Deed::Leave, &[Proven::Setback(direction)]);
    if writer.running(zone).is_some() {
        writer.await_change(place);
    }
    let (until, override_time) = (controls.override_until, controls.override_time);
    // A press the other way, so that the call ends again with the override.
    let heard = writer.press_free(zone, less, &[Proven::Override(direction)]);
    if heard && !writer.keys(zone).starts(&writer.stored(zone), direction) {
        writer.press_free(zone, more, &[]);
    }
    let works = heard && until_running(writer, zone, direction);
    let waits = until == OverrideUntil::Time && override_time <= writer.longest_wait;
    if works && waits {
        while writer.running(zone).is_some() && writer.await_change(place) {}
        writer.perform(place, Deed::Look, &[Proven::OverrideEnds(direction)]);
    }
    writer.perform(place, Deed::Return, &[]);
    if works && until == OverrideUntil::Change {
        until_running(writer, zone, direction);
        writer.perform(place, Deed::Leave, &[Proven::OverrideEnds(direction)]);
        writer.perform(place, Deed::Return, &[]);
    }
    match until {
        OverrideUntil::Time if heard && !waits => Err(Hindrance::Wait(override_time)),
        OverrideUntil::EndOfDay if heard => Err(Hindrance::Midnight),
        _ => Ok(()),
    }
}

/// The zone switches itself off.
pub(super) fn automatic_off(writer: &mut Writer<'_, '_>, zone: ZoneIndex) -> Result<(), Hindrance> {
    let Some(after) = writer.model.zones[zone.get()].controls.auto_off else { return Ok(()) };
    if after > writer.longest_wait {
        return Err(Hindrance::Wait(after));
    }
    writer.part = Part::AutomaticOff;
    let place = writer.primary(zone);
    if !writer.rig.is_on(zone) && !writer.press_free(zone, Key::Power, &[]) {
        return Err(Hindrance::Keys);
    }
    for _ in 0..8 {
        if !writer.rig.is_on(zone) || !writer.await_change(place) {
            break;
        }
    }
    Ok(())
}

/// Supply away and back, best with a call.
pub(super) fn power_return(writer: &mut Writer<'_, '_>, zone: ZoneIndex) {
    writer.part = Part::PowerReturn;
    let place = writer.primary(zone);
    let running = writer.running(zone);
    writer.perform(place, Deed::PowerFailure(Seconds::minutes(1)), &[Proven::PowerReturn]);
    if let Some(direction) = running {
        until_running(writer, zone, direction);
    }
}
