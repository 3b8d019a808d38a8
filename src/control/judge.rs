//! Rules 3 to 7 and 13: how a request is judged, against the settings of one zone.
//!
//! [`judge`] is a pure function of settings, stored values, the zone's standing and the request;
//! a run, a proof of reachability and a test sheet all call it.

use super::display::Passage;
use super::locks::{ControllerIndex, KeyLocks, LockableKey};
use super::modes::{Mode, Power};
use super::ranges::Side;
use super::request::{Cause, Key, Outcome, Request, Role, Settings, Standing, Stored, Verdict};
use super::setpoints::Moved;
use super::ticks::Ticks;

/// Judges one request (rules 3 to 7, in the order of rule 13) and says what is stored after it.
pub fn judge(
    settings: &Settings,
    stored: &Stored,
    standing: Standing,
    request: Request,
    role: Role,
    controller: ControllerIndex,
) -> Verdict {
    let end = |outcome, cause| Verdict { outcome, cause, after: *stored };
    let key = request.needs();
    let locks = settings.key_locks.get(controller.get()).copied().unwrap_or(KeyLocks::NONE);
    if role == Role::Occupant && locks.refuses(key) {
        return end(Outcome::Refused, Cause::KeyLocked(key, controller));
    }
    match request {
        Request::Power(power) => with_power(stored, power, Cause::Done(key)),
        Request::Press(Key::Power) => {
            let power = stored.power.toggled();
            with_power(stored, power, Cause::Switched(power))
        }
        Request::Mode(mode) => asked_mode(settings, stored, standing, mode, role),
        Request::Press(Key::Mode) => pressed_mode(settings, stored, standing),
        Request::Setpoint(side, asked) => asked_setpoint(settings, stored, side, asked),
        Request::Press(Key::Warmer) => pressed_setpoint(settings, stored, standing, Ticks::ONE),
        Request::Press(Key::Cooler) => pressed_setpoint(settings, stored, standing, -Ticks::ONE),
    }
}

fn with_power(stored: &Stored, power: Power, cause: Cause) -> Verdict {
    let unchanged = stored.power == power;
    let cause = if unchanged { Cause::AlreadySo(LockableKey::Power) } else { cause };
    Verdict { outcome: Outcome::Accepted, cause, after: Stored { power, ..*stored } }
}

fn with_mode(stored: &Stored, mode: Mode, cause: Cause) -> Verdict {
    let unchanged = stored.mode == mode;
    let cause = if unchanged { Cause::AlreadySo(LockableKey::Mode) } else { cause };
    Verdict { outcome: Outcome::Accepted, cause, after: Stored { mode, ..*stored } }
}

fn asked_mode(
    settings: &Settings,
    stored: &Stored,
    standing: Standing,
    mode: Mode,
    role: Role,
) -> Verdict {
    let refuse = |cause| Verdict { outcome: Outcome::Refused, cause, after: *stored };
    let following = matches!(standing, Standing::Follower(_)) && stored.mode != Mode::Fan;
    if following && mode != Mode::Fan {
        return refuse(Cause::FollowsOwner);
    }
    if !settings.modes.has(mode) {
        return refuse(Cause::Lacks(mode));
    }
    if role == Role::Occupant && settings.locked_modes.has(mode) {
        return refuse(Cause::ModeLocked(mode));
    }
    with_mode(stored, mode, Cause::Done(LockableKey::Mode))
}

fn pressed_mode(settings: &Settings, stored: &Stored, standing: Standing) -> Verdict {
    let end = |outcome, cause| Verdict { outcome, cause, after: *stored };
    if stored.power == Power::Off {
        return end(Outcome::NoEffect, Cause::PowerIsOff);
    }
    let locked = settings.locked_modes;
    let next = match standing {
        Standing::Own(_) => settings.modes.next(stored.mode, locked),
        Standing::Follower(_) if stored.mode == Mode::Fan => {
            settings.modes.first_unlocked_beside_fan(locked)
        }
        Standing::Follower(_) => {
            if !settings.modes.has(Mode::Fan) {
                return end(Outcome::Refused, Cause::Lacks(Mode::Fan));
            }
            if locked.has(Mode::Fan) {
                return end(Outcome::Refused, Cause::ModeLocked(Mode::Fan));
            }
            Some(Mode::Fan)
        }
    };
    match next {
        Some(mode) => with_mode(stored, mode, Cause::SteppedTo(mode)),
        None => end(Outcome::NoEffect, Cause::NoOtherMode),
    }
}

fn asked_setpoint(settings: &Settings, stored: &Stored, side: Side, asked: f64) -> Verdict {
    let grid = settings.grid;
    let passage =
        settings.display.map(|display| display.set(display.reads(asked, grid.unit()), grid));
    let wanted = passage.map_or_else(|| grid.nearest(asked), |passage| passage.stored);
    move_setpoint(settings, stored, side, wanted, Some(asked), passage)
}

fn pressed_setpoint(
    settings: &Settings,
    stored: &Stored,
    standing: Standing,
    step: Ticks,
) -> Verdict {
    let Some(side) = stored.active(standing) else {
        let cause = match stored.power {
            Power::Off => Cause::PowerIsOff,
            Power::On => Cause::NothingActive,
        };
        return Verdict { outcome: Outcome::NoEffect, cause, after: *stored };
    };
    let wanted = stored.setpoints.get(side) + step;
    move_setpoint(settings, stored, side, wanted, None, None)
}

fn move_setpoint(
    settings: &Settings,
    stored: &Stored,
    side: Side,
    wanted: Ticks,
    asked: Option<f64>,
    passage: Option<Passage>,
) -> Verdict {
    let before = stored.setpoints;
    let moved = before.request(&settings.rules, side, wanted);
    let outcome = match moved {
        Moved { held: Some(_), .. } => Outcome::Limited,
        Moved { other_moved: true, .. } => Outcome::Pushed,
        Moved { .. } => Outcome::Accepted,
    };
    Verdict {
        outcome,
        cause: Cause::Setpoint { side, asked, passage, before, moved },
        after: Stored { setpoints: moved.setpoints, ..*stored },
    }
}

#[cfg(test)]
mod tests;
