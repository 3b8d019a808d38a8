//! What an outdoor unit gives over a step of what zones ask for, before it is shared out.

use super::share::{Ask, Given, POWER_WHILE_REVERSING, power_per_heat};
use crate::direction::Direction;

/// All of what is asked for, but for rounding.
pub const ALL: f64 = 1.0 - 1e-9;

/// What zones ask for in one direction, added up in their order, W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Wanted {
    /// Heat, once the units have risen to their outputs.
    pub share: f64,
    /// Heat times the electric power over that which goes with it at the COP.
    pub power: f64,
}

impl Wanted {
    /// In a direction.
    pub(super) fn of(asks: &[Option<Ask>], direction: Direction) -> Self {
        let of_this_way = asks.iter().flatten().filter(|ask| ask.direction == direction);
        Self {
            share: of_this_way.clone().map(|ask| ask.share).sum(),
            power: of_this_way.map(|ask| ask.share * ask.power).sum(),
        }
    }
}

/// One direction of a step: what is asked and what part of it can be given.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    pub(super) asked: f64,
    /// Electric power over that which goes with what is asked at the COP.
    pub(super) power: f64,
    pub(super) capacity: f64,
    pub(super) cop: f64,
    pub(super) fraction: f64,
}

impl Way {
    /// Of what nobody asks for.
    pub(super) const UNASKED: Self =
        Self { asked: 0.0, power: 1.0, capacity: 0.0, cop: 1.0, fraction: 1.0 };

    pub(super) fn share(&self) -> f64 {
        self.asked * self.fraction
    }

    pub(super) fn ratio(&self) -> f64 {
        if self.capacity > 0.0 { self.share() / self.capacity } else { 0.0 }
    }

    /// Compressor power that this direction would need alone.
    pub(super) fn power(&self) -> f64 {
        if self.asked > 0.0 { self.share() * self.power / self.cop } else { 0.0 }
    }
}

/// What the whole unit did in one step, W.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Totals {
    /// Whether the compressor started in this step.
    pub started: bool,
    /// Whether the step is spent, at least in part, reversing.
    pub reversing: bool,
    /// Heat given off at the condenser.
    pub condenser: f64,
    /// Heat taken up at the evaporator.
    pub evaporator: f64,
    /// Compressor power at this output.
    pub work: f64,
    /// Heat moved from cooled zones to heated ones.
    pub recovered: f64,
}

/// What an outdoor unit gives over a step of what zones ask for.
#[derive(Clone, Copy, Debug)]
pub struct Supply {
    /// Heating and cooling.
    pub(super) ways: [Way; 2],
    /// Compressor power over what both directions would need alone.
    pub(super) shared_work: f64,
    /// The part of the step in which the circuit reverses.
    pub(super) reversing: f64,
    /// The part of it that is spent defrosting.
    pub(super) defrosting: f64,
    /// Heat out of the rooms' air for each watt that they ask for, mean over the step.
    pub(super) taken: f64,
    /// What the heat pump does not give of each zone's share when heating, as a part of it.
    pub(super) short: f64,
    /// What the whole unit does.
    pub totals: Totals,
}

/// What zones get in one direction of what they ask for, in a step without reversal and defrosting.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Of their share.
    pub share: f64,
    /// Electric power of the compressor for a watt of it,
    pub per_heat: f64,
    /// of which so much is drawn where both directions share it.
    pub shared_work: f64,
}

impl Supply {
    /// Whether nothing of the step is lost to reversing and defrosting.
    pub fn is_plain(&self) -> bool {
        self.reversing <= 0.0 && self.defrosting <= 0.0
    }

    /// What zones get in a direction of what they ask for, where the step is plain.
    pub fn part(&self, direction: Direction) -> Part {
        let way = &self.ways[direction as usize];
        Part {
            share: way.fraction,
            per_heat: power_per_heat(way.cop),
            shared_work: self.shared_work,
        }
    }

    /// Heat that is asked for when heating and not given, W.
    pub(super) fn missing(&self) -> f64 {
        self.ways[Direction::Heating as usize].asked * self.short
    }

    /// What a zone is given, without backup heat.
    pub(super) fn give(&self, ask: &Ask) -> Given {
        let Part { share, per_heat, shared_work } = self.part(ask.direction);
        let share = ask.share * share;
        let (defrosting, taken) = match ask.direction {
            Direction::Heating => (self.defrosting, ask.share * self.taken),
            Direction::Cooling => (0.0, 0.0),
        };
        let lost = (1.0 - self.reversing) * (1.0 - defrosting);
        Given {
            heat: share * ask.sensible * ask.rise * lost - taken,
            compressor: share
                * ask.power
                * per_heat
                * shared_work
                * (1.0 - (1.0 - POWER_WHILE_REVERSING) * self.reversing),
            backup: 0.0,
            served: share > 0.0,
            full: ask.full,
        }
    }
}
