//! Rule 5: power, modes, and which of them may be selected.

use crate::direction::Direction;

/// Whether a zone is switched on. Switching off keeps the mode.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Power {
    /// Switched on.
    On,
    /// Switched off.
    Off,
}

impl Power {
    /// `on` or `off`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::On => "on",
            Self::Off => "off",
        }
    }

    /// The other one, as the power key gives it.
    #[must_use]
    pub const fn toggled(self) -> Self {
        match self {
            Self::On => Self::Off,
            Self::Off => Self::On,
        }
    }
}

/// What a zone is asked to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mode {
    /// Heating only.
    Heat,
    /// Cooling only.
    Cool,
    /// Heating or cooling, as the zone needs.
    Auto,
    /// Cooling at the lowest steady output.
    Dry,
    /// The fan alone.
    Fan,
}

impl Mode {
    /// All modes, in the order in which a mode key steps unless the file says otherwise.
    pub const ALL: [Self; 5] = [Self::Heat, Self::Cool, Self::Auto, Self::Dry, Self::Fan];

    /// The word in a scenario file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Heat => "heat",
            Self::Cool => "cool",
            Self::Auto => "auto",
            Self::Dry => "dry",
            Self::Fan => "fan",
        }
    }

    /// The only direction this mode allows; `None` for `auto` and `fan`.
    pub const fn only_direction(self) -> Option<Direction> {
        match self {
            Self::Heat => Some(Direction::Heating),
            Self::Cool | Self::Dry => Some(Direction::Cooling),
            Self::Auto | Self::Fan => None,
        }
    }

    /// Whether a zone in this mode may have a call in a direction.
    pub fn allows(self, direction: Direction) -> bool {
        match self {
            Self::Auto => true,
            Self::Fan => false,
            Self::Heat | Self::Cool | Self::Dry => self.only_direction() == Some(direction),
        }
    }
}

/// A set of modes, for lockouts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub struct ModeSet(u8);

impl ModeSet {
    /// No mode.
    pub const NONE: Self = Self(0);

    /// The set of the modes given.
    pub fn of(modes: &[Mode]) -> Self {
        Self(modes.iter().fold(0, |set, mode| set | 1 << *mode as u8))
    }

    /// Whether the set has that mode.
    pub const fn has(self, mode: Mode) -> bool {
        self.0 & (1 << mode as u8) != 0
    }
}

/// What a unit can do, in the order in which its mode key steps; never empty, no mode twice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitModes(Vec<Mode>);

impl UnitModes {
    /// The modes in their key's order; `None` where there are none or one stands twice.
    pub fn new(modes: Vec<Mode>) -> Option<Self> {
        let distinct = modes.iter().enumerate().all(|(at, mode)| !modes[..at].contains(mode));
        (distinct && !modes.is_empty()).then_some(Self(modes))
    }

    /// The modes in their key's order.
    pub fn as_slice(&self) -> &[Mode] {
        &self.0
    }

    /// Whether the unit has that mode.
    pub fn has(&self, mode: Mode) -> bool {
        self.0.contains(&mode)
    }

    /// Where the mode key leads from `present`: the next mode in the unit's order, round and
    /// round, that is not locked. `None` where nothing else is left.
    pub fn next(&self, present: Mode, locked: ModeSet) -> Option<Mode> {
        let count = self.0.len();
        let at = self.0.iter().position(|mode| *mode == present)?;
        (1..count).map(|ahead| self.0[(at + ahead) % count]).find(|mode| !locked.has(*mode))
    }

    /// The first mode of the list, other than `fan`, that is not locked: where a follower's mode
    /// key leads from `fan` (rule 10).
    pub fn first_unlocked_beside_fan(&self, locked: ModeSet) -> Option<Mode> {
        self.0.iter().copied().find(|mode| *mode != Mode::Fan && !locked.has(*mode))
    }
}

impl Default for UnitModes {
    /// All five modes.
    fn default() -> Self {
        Self(Mode::ALL.to_vec())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rule_5_the_mode_key_steps_in_the_units_order_and_skips_what_is_locked() {
        let unit =
            UnitModes::new(vec![Mode::Cool, Mode::Dry, Mode::Auto, Mode::Heat]).expect("distinct");
        let locked = ModeSet::of(&[Mode::Dry]);
        assert_eq!(unit.next(Mode::Cool, locked), Some(Mode::Auto));
        assert_eq!(unit.next(Mode::Heat, locked), Some(Mode::Cool));
        // A lockout that came later leaves the mode in place until the next change.
        assert_eq!(unit.next(Mode::Dry, locked), Some(Mode::Auto));
        let all_but_cool = ModeSet::of(&[Mode::Dry, Mode::Auto, Mode::Heat]);
        assert_eq!(unit.next(Mode::Cool, all_but_cool), None);
    }

    #[test]
    fn rule_5_a_mode_allows_its_directions_and_no_other() {
        let allowed = |mode: Mode| Direction::BOTH.map(|direction| mode.allows(direction));
        assert_eq!(allowed(Mode::Heat), [true, false]);
        assert_eq!(allowed(Mode::Cool), [false, true]);
        assert_eq!(allowed(Mode::Dry), [false, true]);
        assert_eq!(allowed(Mode::Auto), [true, true]);
        assert_eq!(allowed(Mode::Fan), [false, false]);
    }

    #[test]
    fn rule_10_the_way_back_from_fan_is_the_first_unlocked_mode_of_the_list() {
        let unit = UnitModes::new(vec![Mode::Fan, Mode::Dry, Mode::Cool]).expect("distinct");
        assert_eq!(unit.first_unlocked_beside_fan(ModeSet::NONE), Some(Mode::Dry));
        assert_eq!(unit.first_unlocked_beside_fan(ModeSet::of(&[Mode::Dry])), Some(Mode::Cool));
        let all = ModeSet::of(&[Mode::Dry, Mode::Cool]);
        assert_eq!(unit.first_unlocked_beside_fan(all), None);
    }

    #[test]
    fn a_unit_has_at_least_one_mode_and_none_twice() {
        assert!(UnitModes::new(vec![]).is_none());
        assert!(UnitModes::new(vec![Mode::Heat, Mode::Heat]).is_none());
        assert_eq!(UnitModes::default().as_slice().len(), 5);
    }
}
