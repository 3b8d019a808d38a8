//! Rules 2, 3 and 8: the ranges of the two setpoints, and what a request for one does to both.

use super::ticks::{Grid, Ticks};
use crate::direction::Direction;

/// One of the two setpoints.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// The heat setpoint.
    Heat,
    /// The cool setpoint.
    Cool,
}

impl Side {
    /// The other setpoint.
    pub const fn other(self) -> Self {
        match self {
            Self::Heat => Self::Cool,
            Self::Cool => Self::Heat,
        }
    }

    /// `heat` or `cool`, as in files and reasons.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Heat => "heat",
            Self::Cool => "cool",
        }
    }
}

impl Direction {
    /// The setpoint that this direction works to.
    pub const fn side(self) -> Side {
        match self {
            Self::Heating => Side::Heat,
            Self::Cooling => Side::Cool,
        }
    }
}

/// The lowest and the highest value that something may take.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Range {
    /// The lowest value.
    pub low: Ticks,
    /// The highest value.
    pub high: Ticks,
}

impl Range {
    /// Holds a value within the range; an empty range gives its low end.
    pub fn hold(self, value: Ticks) -> Ticks {
        value.min(self.high).max(self.low)
    }

    /// Whether a value lies within.
    pub fn has(self, value: Ticks) -> bool {
        self.low <= value && value <= self.high
    }

    /// Whether no value lies within.
    pub fn is_empty(self) -> bool {
        self.low > self.high
    }
}

/// The limits written for each setpoint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Limits {
    /// Lowest and highest heat setpoint.
    pub heat: Range,
    /// Lowest and highest cool setpoint.
    pub cool: Range,
}

/// What a request does where the deadband stands against it (rule 3).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum OnConflict {
    /// The other setpoint is pushed out of the way and stays there.
    Push,
    /// The other setpoint stays and holds the request back.
    Hold,
    /// The other setpoint is pushed and returns to its asked value when there is room again.
    PushAndReturn,
}

impl OnConflict {
    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Push => "push",
            Self::Hold => "hold",
            Self::PushAndReturn => "push_and_return",
        }
    }
}

/// Limits and a deadband under which at least one pair of setpoints is legal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct SetpointRules {
    limits: Limits,
    deadband: Ticks,
    on_conflict: OnConflict,
}

/// Why limits and deadband leave no legal pair (rule 2).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Infeasible {
    /// The deadband is below zero.
    NegativeDeadband,
    /// The low limit of this side lies above its high limit.
    Crossed(Side),
    /// `heat_low + deadband` lies above `cool_high`, by so many ticks.
    Deadband {
        /// By how much the deadband is too large.
        excess: Ticks,
    },
    /// With one setpoint for both sides: the limits of the two have nothing in common.
    NothingShared {
        /// By how much the two ranges miss each other.
        gap: Ticks,
    },
}

impl Infeasible {
    /// Which settings contradict each other, in words, for a change that would have led there.
    pub fn words(&self, grid: Grid, limits: Limits, deadband: Ticks) -> String {
        let show = |ticks| grid.show(ticks);
        let (heat, cool) = (limits.heat, limits.cool);
        match *self {
            Self::NegativeDeadband => "the minimum deadband would lie below 0".into(),
            Self::Crossed(side) => {
                let range = if side == Side::Heat { heat } else { cool };
                format!(
                    "the low limit of {}, {}, would lie above its high limit, {}",
                    side.name(),
                    show(range.low),
                    show(range.high)
                )
            }
            Self::Deadband { excess } => format!(
                "the lowest heat setpoint {} and the deadband {} would leave no cool setpoint up \
                 to {}: {} too much",
                show(heat.low),
                show(deadband),
                show(cool.high),
                show(excess)
            ),
            Self::NothingShared { gap } => format!(
                "heat limits {} to {} and cool limits {} to {} would share no value for one \
                 setpoint: {} apart",
                show(heat.low),
                show(heat.high),
                show(cool.low),
                show(cool.high),
                show(gap)
            ),
        }
    }
}

impl SetpointRules {
    /// Checks that every setpoint has at least one value that it may take.
    ///
    /// # Errors
    /// Says what contradicts what: see [`Infeasible`].
    pub fn new(
        limits: Limits,
        deadband: Ticks,
        on_conflict: OnConflict,
    ) -> Result<Self, Infeasible> {
        if deadband < Ticks::ZERO {
            return Err(Infeasible::NegativeDeadband);
        }
        for (side, range) in [(Side::Heat, limits.heat), (Side::Cool, limits.cool)] {
            if range.is_empty() {
                return Err(Infeasible::Crossed(side));
            }
        }
        let rules = Self { limits, deadband, on_conflict };
        if rules.is_single() && rules.shared().is_empty() {
            let shared = rules.shared();
            return Err(Infeasible::NothingShared { gap: shared.low - shared.high });
        }
        let excess = limits.heat.low + deadband - limits.cool.high;
        if !rules.is_single() && excess > Ticks::ZERO {
            return Err(Infeasible::Deadband { excess });
        }
        Ok(rules)
    }

    /// The written limits.
    pub const fn limits(&self) -> Limits {
        self.limits
    }

    /// The minimum deadband.
    pub const fn deadband(&self) -> Ticks {
        self.deadband
    }

    /// What happens where the deadband stands against a request.
    pub const fn on_conflict(&self) -> OnConflict {
        self.on_conflict
    }

    /// Whether both sides are one value.
    pub const fn is_single(&self) -> bool {
        self.deadband.count() == 0
    }

    /// The limits of one side as written.
    pub const fn written(&self, side: Side) -> Range {
        match side {
            Side::Heat => self.limits.heat,
            Side::Cool => self.limits.cool,
        }
    }

    /// What one side may really take once the deadband has had its share (rule 2).
    pub fn range(&self, side: Side) -> Range {
        if self.is_single() {
            return self.shared();
        }
        let Limits { heat, cool } = self.limits;
        match side {
            Side::Heat => Range { low: heat.low, high: heat.high.min(cool.high - self.deadband) },
            Side::Cool => Range { low: cool.low.max(heat.low + self.deadband), high: cool.high },
        }
    }

    fn shared(&self) -> Range {
        let Limits { heat, cool } = self.limits;
        Range { low: heat.low.max(cool.low), high: heat.high.min(cool.high) }
    }

    /// What one side may take when the other must not move (`hold`).
    fn range_beside(&self, side: Side, present: &Setpoints) -> Range {
        let Limits { heat, cool } = self.limits;
        match side {
            Side::Heat => {
                Range { low: heat.low, high: heat.high.min(present.cool - self.deadband) }
            }
            Side::Cool => {
                Range { low: cool.low.max(present.heat + self.deadband), high: cool.high }
            }
        }
    }

    /// The distance that the deadband asks for, seen from `side` towards the other setpoint.
    fn apart(&self, side: Side, value: Ticks) -> Ticks {
        match side {
            Side::Heat => value + self.deadband,
            Side::Cool => value - self.deadband,
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
        if cool - heat < self.deadband {
            return Err(StartFault::TooClose { missing: self.deadband - (cool - heat) });
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

/// Why a pair of start values cannot stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StartFault {
    /// A side starts outside the range it may take.
    Outside {
        /// Which side.
        side: Side,
        /// What it may take.
        range: Range,
    },
    /// The two start closer together than the deadband.
    TooClose {
        /// By how much they are too close.
        missing: Ticks,
    },
}

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
    const fn as_asked(heat: Ticks, cool: Ticks) -> Self {
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

    fn asked(&self, side: Side) -> Ticks {
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

    /// Asks for a value of one side (rule 3).
    #[must_use]
    pub fn request(&self, rules: &SetpointRules, side: Side, wanted: Ticks) -> Moved {
        if rules.is_single() {
            let value = rules.shared().hold(wanted);
            let held = (value != wanted).then(|| single_bound(rules, side, value));
            return Moved { setpoints: Self::as_asked(value, value), held, other_moved: false };
        }
        let range = match rules.on_conflict {
            OnConflict::Hold => rules.range_beside(side, self),
            OnConflict::Push | OnConflict::PushAndReturn => rules.range(side),
        };
        let value = range.hold(wanted);
        let held = (value != wanted).then(|| dual_bound(rules, side, value));
        let mut setpoints = *self;
        setpoints.put(side, value);
        let other = side.other();
        let base = match rules.on_conflict {
            OnConflict::PushAndReturn => self.asked(other),
            OnConflict::Push | OnConflict::Hold => self.get(other),
        };
        setpoints.put(other, further(other, base, rules.apart(side, value)));
        match rules.on_conflict {
            OnConflict::PushAndReturn => setpoints.put_asked(side, value),
            // Without a return, what was asked is what stands: one state fewer to tell apart.
            OnConflict::Push | OnConflict::Hold => {
                setpoints = Self::as_asked(setpoints.heat, setpoints.cool);
            }
        }
        let other_moved = setpoints.get(other) != self.get(other);
        Moved { setpoints, held, other_moved }
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
        if held.cool - held.heat < rules.deadband {
            let other = active.other();
            let pushed = rules.written(other).hold(rules.apart(active, held.get(active)));
            held.put(other, pushed);
            if held.cool - held.heat < rules.deadband {
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

fn single_bound(rules: &SetpointRules, side: Side, value: Ticks) -> Bound {
    let own = rules.written(side);
    if value == own.low || value == own.high { Bound::Limit } else { Bound::OtherLimit }
}

fn dual_bound(rules: &SetpointRules, side: Side, value: Ticks) -> Bound {
    let own = rules.written(side);
    if value == own.low || value == own.high {
        Bound::Limit
    } else if rules.on_conflict == OnConflict::Hold && !at_edge(rules.range(side), value) {
        Bound::OtherSetpoint
    } else {
        Bound::OtherLimit
    }
}

fn at_edge(range: Range, value: Ticks) -> bool {
    value == range.low || value == range.high
}
