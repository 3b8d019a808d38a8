//! What a press or a wait can prove: the outcomes of the rules, told apart as far as a display
//! tells them apart.

use crate::control::{
    Bound, Cause, Direction, Key, LockableKey, Mode, Power, Request, Side, Stored, Verdict,
};

/// One outcome of a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Proven {
    /// Warmer or cooler moves this side in this mode (rule 4).
    Active(Mode, Side),
    /// What a press upward or downward did to the pair (rule 3).
    Effect {
        /// The side that the press was for.
        side: Side,
        /// Whether the press was upward.
        up: bool,
        /// What it did.
        effect: Effect,
    },
    /// A side that was pushed stays where it was pushed when there is room again (rule 3).
    Kept(Side),
    /// The mode key leads from one mode to the next (rule 5).
    Steps(Mode, Mode),
    /// The mode key leads nowhere (rule 5).
    NoOtherMode(Mode),
    /// A follower may not select `fan` (rule 10).
    NoFan,
    /// The power key switches (rule 5).
    Switched(Power),
    /// A key that does nothing with the power off (rules 4 and 5).
    IdleWhenOff(Key),
    /// A key that does nothing in `fan` (rule 4).
    IdleInFan(Key),
    /// A key is locked at a controller, by its place (rule 6).
    Locked(LockableKey, usize),
    /// A key is free at a controller (rules 6 and 7).
    Free(LockableKey, usize),
    /// What the display shows before anything is pressed.
    AsFound,
    /// A call starts past its start condition and not before (rule 9).
    CallStarts(Direction),
    /// A call ends past its end condition and not before (rule 9).
    CallEnds(Direction),
    /// A call is kept on for its least time (rule 9).
    LeastRun(Direction),
    /// A call waits until the unit or the compressor has rested (rules 9 and 10).
    Rest(Direction),
    /// The zone or its group turns to this direction, not before its delay (rules 9 and 10).
    TurnsTo(Direction),
    /// Switching off takes a call away (rule 9).
    PowerTakesCall(Direction),
    /// What is stored comes back after a power failure (rule 14).
    PowerReturn,
    /// The zone goes off by itself (rule 9).
    AutomaticOff,
    /// The setback is as deep as it is set and no deeper (rule 11).
    Setback(Direction),
    /// A request while nobody is there brings the stored setpoints back (rule 11).
    Override(Direction),
    /// The override ends (rule 11).
    OverrideEnds(Direction),
    /// A call ends at the outdoor limit and not before (rule 15).
    OutdoorStops(Direction),
    /// It comes back past the hysteresis of the limit and not before (rule 15).
    OutdoorAgain(Direction),
    /// A window that has been open for its time ends a call (rule 16).
    WindowActs(Direction),
    /// The setpoints go back at a clock time (rule 17).
    GoesBack,
    /// The owner gives its followers this direction (rule 10).
    OwnerTurns(Direction),
    /// The owner's power off stops its followers, or does not (rule 10).
    OwnerOff,
    /// The controller is that of the zone it is said to be.
    Here,
    /// A value is set back.
    Restored,
}

/// What a press did to the pair of setpoints.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Effect {
    /// One side moved, the other stood.
    MovesAlone,
    /// The other side was pushed.
    Pushes,
    /// The other side came back towards where it was asked for.
    LetsReturn,
    /// Held at its own limit.
    AtLimit,
    /// Held where the deadband meets the other side's limit.
    AtOtherLimit,
    /// Held by the other setpoint, which stands.
    AtOtherSetpoint,
}

/// What one press proves: at most three things.
pub(super) fn proven(
    before: &Stored,
    key: Key,
    controller: usize,
    verdict: &Verdict,
) -> [Option<Proven>; 3] {
    let needs = Request::Press(key).needs();
    let free = Some(Proven::Free(needs, controller));
    match verdict.cause {
        Cause::KeyLocked(locked, _) => [Some(Proven::Locked(locked, controller)), None, None],
        Cause::Setpoint { side, before: pair, moved, .. } => {
            let up = key == Key::Warmer;
            let other = side.other();
            let (was, is) = (pair.get(other), moved.setpoints.get(other));
            let outward = match other {
                Side::Heat => is < was,
                Side::Cool => is > was,
            };
            let effect = match moved.held {
                Some(Bound::Limit) => Effect::AtLimit,
                Some(Bound::OtherLimit) => Effect::AtOtherLimit,
                Some(Bound::OtherSetpoint) => Effect::AtOtherSetpoint,
                None if moved.other_moved && outward => Effect::Pushes,
                None if moved.other_moved => Effect::LetsReturn,
                None => Effect::MovesAlone,
            };
            let effect = Some(Proven::Effect { side, up, effect });
            [free, effect, Some(Proven::Active(before.mode, side))]
        }
        Cause::SteppedTo(to) => [free, Some(Proven::Steps(before.mode, to)), None],
        Cause::NoOtherMode => [Some(Proven::NoOtherMode(before.mode)), None, None],
        Cause::Lacks(_) | Cause::ModeLocked(_) | Cause::FollowsOwner => {
            [Some(Proven::NoFan), None, None]
        }
        Cause::Switched(power) => [free, Some(Proven::Switched(power)), None],
        Cause::PowerIsOff => [Some(Proven::IdleWhenOff(key)), None, None],
        Cause::NothingActive => [Some(Proven::IdleInFan(key)), None, None],
        Cause::AlreadySo(_) | Cause::Done(_) => [None; 3],
    }
}
