//! Rule 2: the ranges that limits and deadband leave to the two setpoints.

use super::ticks::Ticks;
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
    #[must_use]
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
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Push, Self::Hold, Self::PushAndReturn];

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

    pub(super) fn shared(&self) -> Range {
        let Limits { heat, cool } = self.limits;
        Range { low: heat.low.max(cool.low), high: heat.high.min(cool.high) }
    }

    /// The distance that the deadband asks for, seen from `side` towards the other setpoint.
    pub(super) fn apart(&self, side: Side, value: Ticks) -> Ticks {
        match side {
            Side::Heat => value + self.deadband,
            Side::Cool => value - self.deadband,
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::control::rig::{Given, range, tick};

    fn ranges(given: Given) -> [Range; 2] {
        [given.rules().range(Side::Heat), given.rules().range(Side::Cool)]
    }

    fn fault(given: Given) -> Option<Infeasible> {
        let deadband = given.grid().nearest(given.deadband);
        SetpointRules::new(given.limits(), deadband, given.on_conflict).err()
    }

    #[test]
    fn rule_2_dual_ranges_give_the_deadband_its_share() {
        let wide = Given::default();
        let at = |low, high| range(wide.grid(), low, high);
        // (heat limits, cool limits, deadband) and the ranges that are left of them
        let cases = [
            ((17.0, 22.0), (22.0, 28.0), 2.0, [at(17.0, 22.0), at(22.0, 28.0)]),
            ((17.0, 30.0), (10.0, 28.0), 2.0, [at(17.0, 26.0), at(19.0, 28.0)]),
            ((17.0, 22.0), (22.0, 28.0), 8.0, [at(17.0, 20.0), at(25.0, 28.0)]),
            ((17.0, 22.0), (22.0, 28.0), 11.0, [at(17.0, 17.0), at(28.0, 28.0)]),
        ];
        for (heat_limits, cool_limits, deadband, left) in cases {
            assert_eq!(ranges(Given { heat_limits, cool_limits, deadband, ..wide }), left);
        }
    }

    #[test]
    fn rule_2_a_single_setpoint_takes_what_both_sides_share() {
        let single = Given { deadband: 0.0, cool_limits: (19.0, 21.0), ..Given::default() };
        assert_eq!(ranges(single), [range(single.grid(), 19.0, 21.0); 2]);
        let one_value = Given { deadband: 0.0, ..Given::default() };
        assert_eq!(ranges(one_value), [range(one_value.grid(), 22.0, 22.0); 2]);
        assert!(one_value.rules().is_single() && !Given::default().rules().is_single());
    }

    #[test]
    fn rule_2_what_leaves_no_pair_is_named() {
        let sound = Given::default();
        let grid = sound.grid();
        let missing = |value| tick(grid, value);
        assert_eq!(fault(sound), None);
        assert_eq!(fault(Given { deadband: -0.5, ..sound }), Some(Infeasible::NegativeDeadband));
        let heat = Given { heat_limits: (22.0, 21.5), ..sound };
        assert_eq!(fault(heat), Some(Infeasible::Crossed(Side::Heat)));
        let cool = Given { cool_limits: (28.0, 22.0), ..sound };
        assert_eq!(fault(cool), Some(Infeasible::Crossed(Side::Cool)));
        // heat 17 at the lowest, cool 28 at the highest: 11 just fits.
        let excess = missing(0.5);
        assert_eq!(fault(Given { deadband: 11.5, ..sound }), Some(Infeasible::Deadband { excess }));
        // Ranges that miss each other are no fault while there is a deadband ...
        let apart = Given { cool_limits: (23.5, 28.0), ..sound };
        assert_eq!(fault(apart), None);
        // ... and one without.
        let gap = missing(1.5);
        let single = Given { deadband: 0.0, ..apart };
        assert_eq!(fault(single), Some(Infeasible::NothingShared { gap }));
    }

    #[test]
    fn rule_2_start_values_lie_inside_the_limits_and_apart_by_the_deadband() {
        let given = Given::default();
        let grid = given.grid();
        let start = |heat, cool| given.rules().start_dual(tick(grid, heat), tick(grid, cool)).err();
        let outside =
            |side, low, high| Some(StartFault::Outside { side, range: range(grid, low, high) });
        assert_eq!(start(20.0, 24.0), None);
        assert_eq!(start(20.0, 22.0), None);
        assert_eq!(start(16.5, 24.0), outside(Side::Heat, 17.0, 22.0));
        assert_eq!(start(22.5, 26.0), outside(Side::Heat, 17.0, 22.0));
        assert_eq!(start(20.0, 28.5), outside(Side::Cool, 22.0, 28.0));
        let missing = tick(grid, 0.5);
        assert_eq!(start(20.5, 22.0), Some(StartFault::TooClose { missing }));
    }

    #[test]
    fn rule_2_a_single_setpoint_starts_inside_what_both_sides_share() {
        let given = Given { deadband: 0.0, cool_limits: (19.0, 28.0), ..Given::default() };
        let grid = given.grid();
        let start = |value| given.rules().start_single(Side::Cool, tick(grid, value));
        let both = start(20.0).expect("shared by both");
        assert_eq!((both.heat(), both.cool()), (tick(grid, 20.0), tick(grid, 20.0)));
        let range = range(grid, 19.0, 22.0);
        assert_eq!(start(24.0), Err(StartFault::Outside { side: Side::Cool, range }));
    }
}
