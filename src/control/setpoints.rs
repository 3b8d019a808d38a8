//! Rules 3 and 8: what a request for a setpoint, or a change of the rules, does to both.

use super::ranges::{Limits, OnConflict, Range, SetpointRules, Side, StartFault};
use super::ticks::Ticks;

/// The stored pair, with what was last asked of each side (for `push_and_return`).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Setpoints {
    heat: Ticks,
    cool: Ticks,
    asked_heat: Ticks,
    asked_cool: Ticks,
}

/// What held a request back.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// The side's own written limit.
    Limit,
    /// The other side's limit, less the deadband.
    OtherLimit,
    /// The other setpoint, which does not move under `hold`.
    OtherSetpoint,
}

/// What a setpoint request did (rule 3).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Moved {
    /// The pair afterwards.
    pub setpoints: Setpoints,
    /// What held the request back, if anything did.
    pub held: Option<Bound>,
    /// Whether the side that was not asked for moved, too (never with one setpoint for both).
    pub other_moved: bool,
}

impl Setpoints {
    pub(super) const fn as_asked(heat: Ticks, cool: Ticks) -> Self {
        Self { heat, cool, asked_heat: heat, asked_cool: cool }
    }

    /// The heat setpoint.
    pub const fn heat(&self) -> Ticks {
        self.heat
    }

    /// The cool setpoint.
    pub const fn cool(&self) -> Ticks {
        self.cool
    }

    /// The setpoint of one side.
    pub const fn get(&self, side: Side) -> Ticks {
        match side {
            Side::Heat => self.heat,
            Side::Cool => self.cool,
        }
    }

    /// What was last asked of one side: where `push_and_return` lets it return to.
    pub const fn asked(&self, side: Side) -> Ticks {
        match side {
            Side::Heat => self.asked_heat,
            Side::Cool => self.asked_cool,
        }
    }

    fn put(&mut self, side: Side, value: Ticks) {
        match side {
            Side::Heat => self.heat = value,
            Side::Cool => self.cool = value,
        }
    }

    fn put_asked(&mut self, side: Side, value: Ticks) {
        match side {
            Side::Heat => self.asked_heat = value,
            Side::Cool => self.asked_cool = value,
        }
    }

    /// This pair with `side` remembering that it was asked for `asked` and pushed from there
    /// (`push_and_return`). `None` where these rules would not have pushed it: the pair is not at
    /// the deadband, or `asked` does not lie between it and the other side.
    pub fn pushed_from(&self, rules: &SetpointRules, side: Side, asked: Ticks) -> Option<Self> {
        let at_deadband = self.cool - self.heat == rules.deadband() && !rules.is_single();
        let inward = further(side, self.get(side), asked) != asked;
        let returns = rules.on_conflict() == OnConflict::PushAndReturn;
        (at_deadband && inward && returns && rules.written(side).has(asked)).then(|| {
            let mut pushed = *self;
            pushed.put_asked(side, asked);
            pushed
        })
    }

    /// Asks for a value of one side (rule 3).
    #[must_use]
    pub fn request(&self, rules: &SetpointRules, side: Side, wanted: Ticks) -> Moved {
        let range = match rules.on_conflict() {
            OnConflict::Hold if !rules.is_single() => rules.range_beside(side, self),
            _ => rules.range(side),
        };
        let value = range.hold(wanted);
        let setpoints = if rules.is_single() {
            Self::as_asked(value, value)
        } else {
            self.with(rules, side, value)
        };
        let other = side.other();
        let other_moved = !rules.is_single() && setpoints.get(other) != self.get(other);
        let held = (value != wanted).then(|| bound(rules, side, wanted, value));
        Moved { setpoints, held, other_moved }
    }

    /// Puts a value that the range allows, and the other side where the deadband then wants it.
    fn with(&self, rules: &SetpointRules, side: Side, value: Ticks) -> Self {
        let other = side.other();
        let returns = rules.on_conflict() == OnConflict::PushAndReturn;
        let base = if returns { self.asked(other) } else { self.get(other) };
        let mut setpoints = *self;
        setpoints.put(side, value);
        setpoints.put(other, further(other, base, rules.apart(side, value)));
        if returns {
            setpoints.put_asked(side, value);
            setpoints
        } else {
            // Without a return, what was asked is what stands: one state fewer to tell apart.
            Self::as_asked(setpoints.heat, setpoints.cool)
        }
    }

    /// Brings the pair under changed rules (rule 8): into the limits, then apart by the deadband
    /// with the active side standing as long as the limits allow. Asked values become present.
    #[must_use]
    pub fn under(&self, rules: &SetpointRules, active: Side) -> Self {
        if rules.is_single() {
            let value = rules.shared().hold(self.get(active));
            return Self::as_asked(value, value);
        }
        let mut held = *self;
        for side in [Side::Heat, Side::Cool] {
            held.put(side, rules.written(side).hold(self.get(side)));
        }
        if held.cool - held.heat < rules.deadband() {
            let other = active.other();
            let pushed = rules.written(other).hold(rules.apart(active, held.get(active)));
            held.put(other, pushed);
            if held.cool - held.heat < rules.deadband() {
                held.put(active, rules.apart(other, pushed));
            }
        }
        Self::as_asked(held.heat, held.cool)
    }
}

/// Of two values for `side`, the one further from the other side.
fn further(side: Side, one: Ticks, two: Ticks) -> Ticks {
    match side {
        Side::Heat => one.min(two),
        Side::Cool => one.max(two),
    }
}

/// What stopped a request on its way to `wanted` at `value`. Only the ends that lie ahead of it
/// count: a side that is pinned between two bounds must name the one it ran against.
fn bound(rules: &SetpointRules, side: Side, wanted: Ticks, value: Ticks) -> Bound {
    let ahead = |range: Range| if wanted > value { range.high } else { range.low };
    if value == ahead(rules.written(side)) {
        Bound::Limit
    } else if value == ahead(rules.range(side)) {
        Bound::OtherLimit
    } else {
        Bound::OtherSetpoint
    }
}

impl SetpointRules {
    /// What one side may take when the other must not move (`hold`).
    pub(super) fn range_beside(&self, side: Side, present: &Setpoints) -> Range {
        let Limits { heat, cool } = self.limits();
        match side {
            Side::Heat => {
                Range { low: heat.low, high: heat.high.min(present.cool() - self.deadband()) }
            }
            Side::Cool => {
                Range { low: cool.low.max(present.heat() + self.deadband()), high: cool.high }
            }
        }
    }

    /// The start pair of a dual controller.
    ///
    /// # Errors
    /// Names the side that lies outside its limits, or the gap that is too small.
    pub fn start_dual(&self, heat: Ticks, cool: Ticks) -> Result<Setpoints, StartFault> {
        for (side, value) in [(Side::Heat, heat), (Side::Cool, cool)] {
            if !self.written(side).has(value) {
                return Err(StartFault::Outside { side, range: self.written(side) });
            }
        }
        if cool - heat < self.deadband() {
            return Err(StartFault::TooClose { missing: self.deadband() - (cool - heat) });
        }
        Ok(Setpoints::as_asked(heat, cool))
    }

    /// The start of a controller with one setpoint: the active side's value stands for both.
    ///
    /// # Errors
    /// The value lies outside what both sides share.
    pub fn start_single(&self, active: Side, value: Ticks) -> Result<Setpoints, StartFault> {
        if self.shared().has(value) {
            Ok(Setpoints::as_asked(value, value))
        } else {
            Err(StartFault::Outside { side: active, range: self.shared() })
        }
    }
}

#[cfg(test)]
mod tests;
