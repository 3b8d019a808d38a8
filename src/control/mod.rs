//! The setpoint logic: what a zone's controllers make of requests and of what the sensor reads.
//!
//! Nothing here knows a building, a machine or a file. [`judge`] answers one request,
//! [`SettingsChange::apply`] one change of settings, [`GroupState::decide`] one step of a
//! group. All of it obeys the rules below; comments, tests and reasons cite them by number.
//! Rules 12 and 14 need a clock and a plant, so the engine carries them out.
//!
//! Every temperature here is in the unit of the scenario file, which is also the controllers'.
//! *Deadband* is the gap between the two setpoints, a *call* is what a thermostat demands,
//! *served* is what the plant gives, *direction* is heating or cooling.
//!
//! # Rule 1: ticks
//! A controller knows only whole steps, so setpoints, limits and deadbands are integers
//! ([`Ticks`]) on a [`Grid`] and compare exactly. Steps are 0.1, 0.5 or 1 degree Celsius, 0.5 or
//! 1 degree Fahrenheit; unless the file chooses, 0.5 C or 1 F. A setting that lies between two
//! ticks is a fault that names both neighbours; the same goes for setback differences. A setpoint
//! that somebody asks for goes to the nearest tick, and from the middle upward.
//!
//! # Rule 2: ranges
//! Each setpoint has a low and a high limit, and the two keep a minimum deadband `d` between them.
//! What a side may really take is what is left when the other side still fits ([`SetpointRules`]):
//!
//! | | heat | cool |
//! | --- | --- | --- |
//! | dual, `d > 0` | `heat_low` to the smaller of `heat_high` and `cool_high - d` | the larger of `cool_low` and `heat_low + d`, to `cool_high` |
//! | single, `d = 0` | the values that both limits have in common | the same value as heat |
//!
//! Settings that leave a side nothing are a fault ([`Infeasible`]) which says what contradicts
//! what. Ranges that are merely narrower than written are legal. Limits are 10 to 30 C (50 to 86 F)
//! for heat and 16 to 35 C (60 to 95 F) for cool and the deadband is 1 C or 2 F unless the file
//! says otherwise. A dual zone has to start inside its limits with the deadband kept. A single
//! zone starts from the value of the active side (rule 4), inside the common range; the file's
//! other value stands for nothing, and the user is told so.
//!
//! # Rule 3: a request for a setpoint
//! The value asked for is first held in the range of its side. What then happens to the other
//! side is the setting [`OnConflict`]:
//!
//! - `push`, the default: a side that stands closer than the deadband gives way, just far enough.
//!   It stays there: when the first side is later moved away again, nothing follows it. This is
//!   the ratchet, by which pairs drift apart over the days.
//! - `hold`: the other side stands, and the request stops at the deadband before it or at its own
//!   limit, whichever comes first.
//! - `push_and_return`: each side remembers what was last asked of it, at the start its start
//!   value. The other side goes to that remembered value, or to the deadband where that lies
//!   further out. Being pushed changes no memory, a press counts from the value that stands, and
//!   a side that comes back has moved.
//!
//! A single zone takes a request for either side as one for both; nothing is ever pushed there.
//! An action that asks for several things is several requests, in the order power, mode, heat,
//! cool, press; so where its heat and cool contradict each other, cool has the last word.
//!
//! # Rule 4: keys
//! There are four keys ([`Key`]). `warmer` and `cooler` ask for the active setpoint one tick
//! further, by rule 3. Active is heat in `heat`, cool in `cool` and `dry`; in `auto` the zone's
//! direction decides, and for a follower (rule 10) the group's. In `fan` and with the power off no
//! side is active and these keys do nothing; rules that need a side then take heat. The power key
//! switches over. Several presses are several requests.
//!
//! # Rule 5: power, modes and lockouts
//! Power and mode are stored apart: switching off forgets no mode. The unit has a list of modes,
//! which is also the order of its mode key; a lockout bars some of them to occupants.
//!
//! - Asking for a mode that the unit has not is refused to everybody, for one that is locked out
//!   to occupants.
//! - The mode key goes to the next mode of the list that is not locked out, round and round, and
//!   makes no difference between persons. It does nothing with the power off, or where no other
//!   mode is left. Asking for a mode or a setpoint directly works on what is stored even with the
//!   power off, under the same conditions.
//! - A lockout bars choosing, not doing: `auto` heats where `heat` is locked out.
//! - No zone starts in a mode that it lacks or that is locked out. A lockout that comes later
//!   lets the present mode be until somebody changes it.
//!
//! # Rule 6: key locks
//! A lock belongs to one controller, names keys (setpoint, mode, fan, power) and is in force or
//! merely saved ([`KeyLocks`]). In force it refuses occupants whatever those keys do, pressed or
//! asked for directly, at that controller alone; warmer and cooler are `setpoint`. Saved it does
//! nothing. Technicians and schedules are not held up. No request moves a fan, so its lock is only
//! kept.
//!
//! # Rule 7: two controllers
//! A zone has one or two controllers, one of them primary; without a primary one it cannot start.
//! Both change the same setpoints, mode and power and show the same values; only key locks are a
//! controller's own. Requests count in order of time, then of the file, so the last one stands. One
//! that names no controller comes from the primary one.
//!
//! # Rule 8: settings changed while running
//! A technician may change deadband, limits, `on_conflict`, lockouts, a controller's key locks and
//! the group's policy or owner. The setpoints follow, in this order: each goes inside its new
//! limits; where the gap is then too small, the active side stands and the other gives way; where
//! that one runs into its limit, it stops there and the active side makes the room. A zone that
//! becomes single takes the active value, held in the common range. What was asked for is
//! forgotten: the present values count as asked. Settings that would leave no pair (rule 2) are
//! refused as a whole. The outcome is `pushed` where a setpoint moved, else `accepted` or
//! `refused`.
//!
//! # Rule 9: calls, directions, changeovers
//! The sensor reads the air where it sits, which in the return air is warmer by the stratification
//! of the direction served in the step before (2 C or 4 F heating, none cooling, unless the file
//! says otherwise). The reading lags by a first-order time constant, goes into the file's unit,
//! gets its offset and is rounded to the sensor's resolution, from the middle upward. Call that
//! `S`. All comparisons forgive [`ROUNDING`].
//!
//! | call | starts at | ends at |
//! | --- | --- | --- |
//! | heating | `S <= heat - call_start` | `S >= heat + call_stop` |
//! | cooling | `S >= cool + call_start` | `S <= cool - call_stop` |
//!
//! - A zone always has a direction. `heat` gives it heating, `cool` and `dry` cooling, both at once
//!   and with no delay; `fan` and power off leave it as it is and allow no call.
//! - In `auto` calls go only in the zone's direction. It turns when it has no call, the condition
//!   to start one in it does not hold, the opposite one holds, and `changeover_delay` has passed
//!   since the last step *served* in it came to its end; if there was none, at once.
//! - Once served, a call goes on for `min_on`, at the lowest output where `S` is past its end (a
//!   staged unit without stages has only its full one); mode, power or the group may still take it away. After any
//!   end of a call `min_off` passes before the next. Neither timer runs at the start.
//! - `dry` is a cooling call at the lowest output.
//! - In one step a call may end and the opposite one begin.
//! - A step served the other way than the last served step is a changeover.
//!
//! Unless the file says otherwise `call_start` is 0.5 C or 1 F, `call_stop` 0, `changeover_delay`
//! 10 min, `min_on` 0 and `min_off` 3 min. With `d = 0` only this hysteresis keeps heating and
//! cooling apart. That swing is real and is simulated as it is.
//!
//! Below its `low_limit`, if it has one, a zone counts as switched on and in `heat` until `S` is 1 C
//! or 2 F above it again. With `auto_off` the power goes off so long after it last came on.
//!
//! # Rule 10: groups
//! Up to 64 zones on one outdoor unit are a group. A simultaneous outdoor unit lets each go its own
//! way. Any other serves one direction at a time, and `mode_policy` decides which:
//!
//! - `owner`: that of the owner zone. While the owner is in `fan` or off, the last one stays
//!   (`owner_off: hold`), or its power off takes away every call, and then nobody counts as starved
//!   (`owner_off: stop`).
//! - `first_call`: that of the zone which calls first, the earlier in the file where several do. It
//!   turns when nobody calls in it, somebody wants the other, and the group's delay has passed since
//!   the last step served in it.
//! - `majority`: that for which the zones that want it have more rated capacity; looked at again
//!   once the delay has passed since the last turn. A tie turns nothing.
//! - `largest_error`: that of the zone furthest beyond its setpoints, with the same delay.
//!
//! A zone wants a direction which its own mode allows and in which it has a call or could start one.
//! At first the direction is the owner's, by its mode or else by its file; with no owner the
//! group's own, heating unless said. What people do at a step meets the direction of the step
//! before.
//!
//! With an owner all others are followers. A follower works in the group's direction whatever mode
//! it has stored, unless that is `fan`, and loses its call when the group turns; it waits for no
//! delay of its own and `dry` does not throttle it. Setpoints, limits, deadband and power are its
//! own. It may select `fan`, if it has it and may, and from there any of its modes, which makes it
//! follow again; all else is refused to everybody, naming the owner. Its mode key leads to `fan`
//! (or is refused) and from there to the first mode of its list that is not locked out. Under the
//! other policies each zone takes the group's direction as its own, in rule 4 too.
//!
//! A zone is starved at a step at which it is on, not in `fan`, without a call, and `S` would start
//! one against the group's direction, timers aside. One controller may drive up to 16 indoor units,
//! whose capacities and fans add up. In a group it is the outdoor unit that rests: `min_on` and
//! `min_off` of a zone are 0 unless written, and once nobody is served none is until the outdoor
//! unit's `min_off` (3 min unless written) has passed.
//!
//! # Rule 11: occupancy
//! A schedule, a sensor that holds its report for a while, or people say whether a zone is
//! occupied. While it is not, heat works lower and cool higher by the [`Setback`], but heat not
//! below its floor (10 C or 50 F unless written) and cool not above its ceiling (35 C or 95 F); the
//! occupants' limits are no matter here, and what is stored stays. An occupant's request for a
//! setpoint at such a time, unless it is refused or without effect, brings the stored setpoints
//! back for `override_time`, counted anew from each such request.
//!
//! # Rule 12: the order in a step
//! Presence and setback at the start of the step; what was asked up to then, by time and by file,
//! and what people decide from what they find; sensors; calls and directions, the owner's first;
//! what the plant serves until the next step; the row of the trace; and then the zones move on,
//! exactly, with weather and gains from the middle of the step. One file and one seed give one
//! result to the last byte, on any number of threads.
//!
//! # Rule 13: the ledger
//! Each request leaves a row: when, where, by whom, what, the outcome, what was stored before and
//! after, and a reason that names the cause ([`Words`]). Whatever stands in the way is looked for
//! in this order, and the first is named: the key lock, a key that does nothing now, the owner that
//! is followed, a mode that the unit lacks, a lockout, the limits.
//!
//! | [`Outcome`] | |
//! | --- | --- |
//! | `accepted` | as asked, even if it stood so already |
//! | `pushed` | as asked, and the other setpoint moved |
//! | `limited` | stopped at a limit or at the deadband, whether or not anything moved |
//! | `refused` | a lock, a lockout, the unit or the owner is against it; all stays |
//! | `no_effect` | the key does nothing in this state; all stays |
//!
//! Changeovers, starving for 15 minutes and its end, presence, the low limit and `auto_off` leave
//! rows as well, as events.
//!
//! # Rule 14: power failure
//! Power, mode, setpoints and settings come back as they were. Timers and overrides begin afresh,
//! and `min_off` runs from the return.
//!
//! # Rule 15: outdoor limits
//! A zone's controls, or an outdoor unit for all its zones, may allow heating only while outdoor air
//! at the start of the step is below `heat_below`, and cooling only while it is above `cool_above`;
//! where both are given, both hold ([`OutdoorLimits`]). Once a direction is not allowed, outdoor air
//! has to come back past its limit by `hysteresis` (1 C or 2 F unless written) before it is again; a
//! run begins with the plain comparison. A direction that is not allowed starts no call and ends the
//! one that it has, whatever `min_on` says; a zone turns as if nobody wanted that direction, and
//! nobody starves for want of it: such unmet time has a cause of its own. The low limit passes. Beyond
//! its lockouts, by contrast, a unit cannot run at all.
//!
//! # Rule 16: window contact
//! Actions open and close a zone's windows; while one is open, outdoor air comes in on top of
//! infiltration. A [`WindowContact`] acts once the window has been open for `acts_after` (2 min unless
//! written): the zone then counts as switched off, or as unoccupied with no override to pass that, or
//! nothing follows, which is the default. What is stored stays, and requests are judged by it. The
//! contact ceases to act when the window is closed, and both leave an event. The low limit still acts.
//!
//! # Rule 17: overrides and returns
//! An override ends after its time, with the next coming or going, or with the clocks' day
//! ([`OverrideUntil`]). At the times of `return_at` the stored setpoints go back to `return_to`, heat
//! before cool, as requests of the schedule that come before other actions of their time; a value that
//! is not given stays ([`Returns`]).
//!
//! # Rule 18: differentials of each direction, stages, integral action
//! `call_start` and `call_stop` may be one number or one for heating and one for cooling
//! ([`Differential`]).
//!
//! A staged unit with `stages` goes through them by how far `S` lies beyond where its call starts
//! ([`Staging`]): each comes on `stage_step` (0.5 C or 1 F unless written) further outside than the
//! one before and goes where that one came on. A call begins at the highest stage whose condition
//! holds; from step to step it may rise by any number of stages and falls by one at most. In `dry`,
//! and past its end within `min_on`, the first stage runs.
//!
//! A modulating unit with an `integral_time` adds to the distance `e` from where the call ends an
//! integral `I` ([`Integral`]): its load ratio is `(e + I) / throttling_range`. `I` is nothing at the
//! first step of a call and then grows by `e` times the step over the integral time, except at steps
//! at which the load ratio, before it is held, lies at or beyond its turndown or 1. In `dry`, which
//! holds the output, it stands, and past the end of a call within `min_on` it does not count.
//!
//! # An example of rule 3
//! ```
//! use setband::control::{Grid, Limits, OnConflict, Range, SetpointRules, Side};
//! use setband::units::TemperatureUnit;
//!
//! let grid = Grid::new(TemperatureUnit::Celsius, 0.5).expect("a step that controllers have");
//! let limits = Limits {
//!     heat: Range { low: grid.nearest(10.0), high: grid.nearest(30.0) },
//!     cool: Range { low: grid.nearest(16.0), high: grid.nearest(35.0) },
//! };
//! let rules = SetpointRules::new(limits, grid.nearest(2.0), OnConflict::Push).expect("they fit");
//! let pair = rules.start_dual(grid.nearest(20.0), grid.nearest(23.0)).expect("inside the limits");
//! let moved = pair.request(&rules, Side::Heat, grid.nearest(22.0));
//! assert!(moved.other_moved);
//! assert_eq!(grid.value(moved.setpoints.cool()), 24.0);
//! ```
mod changes;
mod claim;
mod differential;
mod display;
mod group;
mod judge;
mod keeping;
mod lanes;
mod locks;
mod modes;
mod occupancy;
mod optimum_start;
mod outdoor_limits;
mod ranges;
mod reason;
mod request;
#[cfg(test)]
mod rig;
mod rounding;
mod setpoints;
mod stages;
mod thermostat;
mod ticks;
mod window;
mod zone;

pub use crate::direction::Direction;
pub use changes::{ChangeOutcome, SettingsChange};
pub use claim::{Claim, ClaimFault};
pub use differential::Differential;
pub use display::{Display, Passage};
pub use group::{
    GroupChange, GroupSettings, GroupState, ModePolicy, OwnerOff, Sharing, ZoneLogic, policy_words,
};
pub use judge::judge;
pub use keeping::Keeping;
pub use lanes::{Distance, LaneEnd, LaneStep, ThermostatLanes};
pub use locks::{
    Controller, ControllerIndex, Controllers, ControllersFault, KeyLocks, LockableKey,
};
pub use modes::{Mode, ModeSet, Power, UnitModes};
pub use occupancy::{Occupancy, Override, OverrideUntil, Presence, Setback};
pub use optimum_start::{FIRST_RATE, OptimumStart, Recovery, RecoveryPlan};
pub use outdoor_limits::{OutdoorLimits, Permitted};
pub use ranges::{Infeasible, Limits, OnConflict, Range, SetpointRules, Side, StartFault};
pub use reason::{Words, mode_words, on_conflict_words};
pub use request::{Cause, Key, Outcome, Request, Role, Settings, Standing, Stored, Verdict};
pub use rounding::ROUNDING;
pub use setpoints::{Bound, Moved, Setpoints};
pub use stages::{Integral, Integration, OutputState, Stage, Staging};
pub use thermostat::{Call, Selection, Thermostat, ThermostatState, WorkingSetpoints};
pub use ticks::{Grid, OffGrid, Shown, Ticks, about_midpoint, round_half_up};
pub use window::{Opening, WindowContact, WindowDoes, WindowState};
pub use zone::{LowLimit, Returns, Sensor, SensorPlace, ZoneControls};
