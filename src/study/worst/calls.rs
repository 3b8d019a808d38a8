//! The memory of a zone's thermostat as a finite set of states, and every way it may go in a step.
//!
//! This is rule 9 (and 10 for a zone that others lead) read both ways: what may happen where the
//! sensor's body lies in a range. Where a reading may or may not start a call, both are followed.
//! Timers count in steps up to where they make no difference any more; long ones in larger units,
//! so that a timer is known as a range of times.

use super::heat::FAR;
use super::interval::Interval;
use super::reading::Reading;
use super::timers::Timers;
use crate::control::{Differential, LowLimit, Mode};
use crate::direction::Direction;

/// What the thermostat remembers after a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Memory {
    /// Whether the low limit heats.
    pub(super) guarded: bool,
    /// The direction that it has.
    pub(super) turn: Direction,
    pub(super) call: Call,
}

/// A call or none, with timers in units.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) enum Call {
    /// None: how long, and for how long a start has waited for others' compressor.
    Off { age: u8, waited: u8 },
    /// One: how long, and for how many steps to come the plant may still give nothing.
    On { age: u8, idle: u8 },
}

/// Whether outdoor limits permit a direction (rule 15).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Permit {
    Always,
    Sometimes,
    Never,
}

/// What may be in force over a step.
#[derive(Clone, Copy, Debug, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "a set of selections, each of which may be")]
pub(super) struct InForce {
    /// Off, in `fan`, or stopped with the group.
    pub(super) idle: bool,
    /// In `heat`, in `cool` or `dry`, in `auto` (or following).
    pub(super) heat: bool,
    pub(super) cool: bool,
    pub(super) auto: bool,
    /// Working setpoints, in the file's unit.
    pub(super) heat_to: Interval,
    pub(super) cool_to: Interval,
    /// The directions that a leading zone or group may give; `None` for a zone that has its own.
    pub(super) led: Option<[bool; 2]>,
    /// Which directions outdoor limits permit.
    pub(super) permits: [Permit; 2],
    /// Whether the memory's counts go on in this step.
    pub(super) ticks: bool,
}

impl InForce {
    /// Takes over the modes that may be selected by a zone of its own.
    pub(super) fn select(&mut self, modes: &[Mode], on: bool, off: bool) {
        let has = |mode: Mode| on && modes.contains(&mode);
        self.idle = off || has(Mode::Fan);
        self.heat = has(Mode::Heat);
        self.cool = has(Mode::Cool) || has(Mode::Dry);
        self.auto = has(Mode::Auto);
    }

    /// Whether every step may pass without a call, whatever the sensor reads: then no timer makes
    /// anything worse.
    pub(super) fn may_always_idle(&self) -> bool {
        self.idle || (self.heat && self.cool) || self.led == Some([true, true])
    }
}

/// One way in which a step may go.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Way {
    /// It goes so only where the sensor's body lies in this range, degrees C.
    pub(super) body: (f64, f64),
    /// What is remembered after it.
    pub(super) memory: Memory,
    /// Whether the plant may give nothing in it, although there is a call.
    pub(super) is_idle: bool,
}

impl Way {
    /// The same where pauses are not counted.
    fn without_pause(self) -> Self {
        let call = match self.memory.call {
            Call::On { age, .. } => Call::On { age, idle: 0 },
            Call::Off { age, .. } => Call::Off { age, waited: 0 },
        };
        Self { memory: Memory { call, ..self.memory }, is_idle: false, ..self }
    }

    /// Whether it goes the other's way wherever the other can be gone.
    fn covers(&self, other: &Self) -> bool {
        (self.memory, self.is_idle) == (other.memory, other.is_idle)
            && self.body.0 <= other.body.0
            && other.body.1 <= self.body.1
    }
}

/// A zone's thermostat.
#[derive(Clone, Debug)]
pub(super) struct Calls {
    /// How far past the setpoints calls start and end, in the file's unit.
    pub(super) call_start: Differential,
    pub(super) call_stop: Differential,
    pub(super) low_limit: Option<LowLimit>,
    pub(super) timers: Timers,
    pub(super) reading: Reading,
}

type Range = (f64, f64);

const ANYWHERE: Range = (-FAR, FAR);
const NOWHERE: Range = (FAR, -FAR);

fn both(one: Range, other: Range) -> Range {
    (one.0.max(other.0), one.1.min(other.1))
}

/// What a step has come to before calls start.
#[derive(Clone, Copy)]
struct Settled {
    body: Range,
    guarded: bool,
    turn: Direction,
    call: Call,
}

impl Calls {
    /// A fresh start: no timer runs.
    pub(super) const fn rested(&self) -> Call {
        Call::Off { age: self.timers.off_cap, waited: 0 }
    }

    /// Whether the plant may give nothing in any step of a call, so that pauses are not counted.
    pub(super) const fn may_pause(&self, memory: Memory) -> bool {
        self.timers.may_pause && !memory.guarded
    }

    /// Every way a step may go from what is remembered.
    pub(super) fn ways(&self, from: Memory, now: &InForce) -> Vec<Way> {
        let mut ways = Vec::new();
        for (body, guarded) in self.guard(from.guarded) {
            let call = self.aged(from.call, now.ticks);
            // A pause that was not counted may have just begun.
            let call = match call {
                Call::On { age, .. } if guarded && !from.guarded && self.timers.may_pause => {
                    Call::On { age, idle: self.timers.idle_at_start }
                }
                call => call,
            };
            let aged = Memory { call, ..from };
            // The low limit passes outdoor limits.
            let permits = if guarded { [Permit::Always; 2] } else { now.permits };
            let now = &InForce { permits, ..*now };
            for selected in selected(now, guarded) {
                for settled in self.settle(aged, body, guarded, selected, now) {
                    self.start(settled, selected, now, &mut ways);
                }
            }
        }
        let mut needed: Vec<Way> = Vec::new();
        for mut way in ways.into_iter().filter(|way| way.body.0 <= way.body.1) {
            if self.may_pause(way.memory) {
                way = way.without_pause();
            }
            if !needed.iter().any(|other| other.covers(&way)) {
                needed.retain(|other| !way.covers(other));
                needed.push(way);
            }
        }
        needed
    }

    fn aged(&self, call: Call, ticks: bool) -> Call {
        let Timers { off_cap, on_cap, .. } = self.timers;
        let next = |age: u8, cap: u8| if ticks { (age + 1).min(cap) } else { age.min(cap) };
        match call {
            Call::Off { age, waited } => Call::Off { age: next(age, off_cap), waited },
            Call::On { age, idle } => Call::On { age: next(age, on_cap), idle },
        }
    }

    /// Whether the low limit heats, and for which readings.
    fn guard(&self, guarded: bool) -> Vec<(Range, bool)> {
        let Some(limit) = self.low_limit else {
            return vec![(ANYWHERE, false)];
        };
        let below = |reading: f64| (-FAR, self.reading.at_most(reading));
        let above = |reading: f64| (self.reading.at_least(reading), FAR);
        if guarded {
            vec![(below(limit.until), true), (above(limit.until), false)]
        } else {
            vec![(below(limit.below), true), (above(limit.below), false)]
        }
    }

    /// Directions, and calls that end.
    fn settle(
        &self,
        from: Memory,
        body: Range,
        guarded: bool,
        selected: Selected,
        now: &InForce,
    ) -> Vec<Settled> {
        let mut settled = Vec::new();
        let turns: Vec<Direction> = match (now.led, selected) {
            (Some(led), _) => Direction::BOTH.into_iter().filter(|it| led[*it as usize]).collect(),
            (None, Selected::Heat) => vec![Direction::Heating],
            (None, Selected::Cool) => vec![Direction::Cooling],
            (None, Selected::Idle | Selected::Auto) => vec![from.turn],
        };
        for turn in turns {
            let with = |body: Range, call: Call| Settled { body, guarded, turn, call };
            match from.call {
                Call::Off { .. } => settled.push(with(body, from.call)),
                Call::On { .. } if turn != from.turn || !selected.allows(turn) => {
                    settled.push(with(body, Call::Off { age: 0, waited: 0 }));
                }
                Call::On { age, idle } => {
                    let permit = now.permits[turn as usize];
                    if permit != Permit::Always {
                        settled.push(with(body, Call::Off { age: 0, waited: 0 }));
                    }
                    if permit == Permit::Never {
                        continue;
                    }
                    let held = self.timers.least(age) < self.timers.min_on;
                    let may_end = age >= self.timers.on_cap
                        || self.timers.most(age) >= self.timers.min_on
                        || self.timers.shares;
                    if may_end {
                        let range = both(body, self.may_end(turn, now));
                        settled.push(with(range, Call::Off { age: 0, waited: 0 }));
                    }
                    let goes_on = if held { ANYWHERE } else { self.may_go_on(turn, now) };
                    settled.push(with(both(body, goes_on), Call::On { age, idle }));
                }
            }
        }
        if now.led.is_none() && selected == Selected::Auto {
            settled = settled.into_iter().flat_map(|it| self.turn(it, now)).collect();
        }
        settled
    }

    /// A zone in `auto` without a call may turn.
    fn turn(&self, from: Settled, now: &InForce) -> Vec<Settled> {
        let Call::Off { age, .. } = from.call else { return vec![from] };
        let (turn, delay) = (from.turn, self.timers.changeover_delay);
        let wanted = both(self.may_start(turn.opposite(), now), self.may_not_start(turn, now));
        let mut found = Vec::new();
        // Service in this direction may have ended long before the last call did.
        let turned = Settled { body: both(from.body, wanted), turn: turn.opposite(), ..from };
        if self.timers.off_may_be(age, delay) || now.heat || now.cool {
            found.push(turned);
        }
        let stays = if self.timers.off_is(age, delay) {
            self.may_not_start(turn.opposite(), now)
        } else {
            ANYWHERE
        };
        found.push(Settled { body: both(from.body, stays), ..from });
        // Where both could start the present direction stands.
        if self.timers.off_is(age, delay) {
            found.push(Settled { body: both(from.body, self.may_start(turn, now)), ..from });
        }
        found
    }

    /// Calls that start, or do not.
    fn start(&self, from: Settled, selected: Selected, now: &InForce, ways: &mut Vec<Way>) {
        let Settled { body, guarded, turn, call } = from;
        let mut add = |range: Range, call: Call, is_idle: bool| {
            let memory = Memory { guarded, turn, call };
            ways.push(Way { body: both(body, range), memory, is_idle });
        };
        let timers = &self.timers;
        match call {
            Call::On { age, idle: 0 } => add(ANYWHERE, Call::On { age, idle: 0 }, false),
            // What others' plant may not have served begins its rise after the wait.
            Call::On { age, idle } => {
                let age = if timers.shares { 0 } else { age };
                add(ANYWHERE, Call::On { age, idle: 0 }, false);
                add(ANYWHERE, Call::On { age, idle: idle - 1 }, true);
            }
            Call::Off { age, .. } if !selected.allows(turn) => {
                add(ANYWHERE, Call::Off { age, waited: 0 }, false);
            }
            Call::Off { age, waited } => {
                let wanted = self.may_start(turn, now);
                if timers.off_may_be(age, timers.min_off) {
                    add(wanted, Call::On { age: 0, idle: 0 }, false);
                    if timers.idle_at_start > 0 {
                        let idle = timers.idle_at_start - 1;
                        add(wanted, Call::On { age: 0, idle }, true);
                    }
                }
                add(self.may_not_start(turn, now), Call::Off { age, waited: 0 }, false);
                if !timers.off_is(age, timers.min_off) {
                    add(wanted, Call::Off { age, waited: 0 }, false);
                } else if waited < timers.waits {
                    add(wanted, Call::Off { age, waited: waited + 1 }, false);
                }
            }
        }
    }

    fn may_start(&self, direction: Direction, now: &InForce) -> Range {
        if now.permits[direction as usize] == Permit::Never {
            return NOWHERE;
        }
        match direction {
            Direction::Heating => {
                (-FAR, self.reading.at_most(now.heat_to.high() - self.call_start.heating))
            }
            Direction::Cooling => {
                (self.reading.at_least(now.cool_to.low() + self.call_start.cooling), FAR)
            }
        }
    }

    fn may_not_start(&self, direction: Direction, now: &InForce) -> Range {
        if now.permits[direction as usize] != Permit::Always {
            return ANYWHERE;
        }
        match direction {
            Direction::Heating => {
                (self.reading.at_least(now.heat_to.low() - self.call_start.heating), FAR)
            }
            Direction::Cooling => {
                (-FAR, self.reading.at_most(now.cool_to.high() + self.call_start.cooling))
            }
        }
    }

    fn may_end(&self, direction: Direction, now: &InForce) -> Range {
        match direction {
            Direction::Heating => {
                (self.reading.at_least(now.heat_to.low() + self.call_stop.heating), FAR)
            }
            Direction::Cooling => {
                (-FAR, self.reading.at_most(now.cool_to.high() - self.call_stop.cooling))
            }
        }
    }

    fn may_go_on(&self, direction: Direction, now: &InForce) -> Range {
        match direction {
            Direction::Heating => {
                (-FAR, self.reading.at_most(now.heat_to.high() + self.call_stop.heating))
            }
            Direction::Cooling => {
                (self.reading.at_least(now.cool_to.low() - self.call_stop.cooling), FAR)
            }
        }
    }
}

/// A selection, as far as calls go by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Selected {
    Idle,
    Heat,
    Cool,
    Auto,
}

impl Selected {
    fn allows(self, direction: Direction) -> bool {
        match self {
            Self::Idle => false,
            Self::Heat => direction == Direction::Heating,
            Self::Cool => direction == Direction::Cooling,
            Self::Auto => true,
        }
    }
}

/// What may be selected; the low limit counts as on and in `heat`, for a zone that others lead as
/// on.
fn selected(now: &InForce, guarded: bool) -> Vec<Selected> {
    if guarded {
        let mut found = vec![if now.led.is_some() { Selected::Auto } else { Selected::Heat }];
        // The group may have stopped.
        if now.led.is_some() && now.idle {
            found.push(Selected::Idle);
        }
        return found;
    }
    let all = [
        (now.idle, Selected::Idle),
        (now.heat, Selected::Heat),
        (now.cool, Selected::Cool),
        (now.auto, Selected::Auto),
    ];
    all.into_iter().filter(|(may, _)| *may).map(|(_, selected)| selected).collect()
}
