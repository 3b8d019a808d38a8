//! Heating or cooling: the one distinction that control and plant share.
//!
//! ```
//! use setband::direction::Direction;
//!
//! assert_eq!(Direction::Heating.opposite().name(), "cooling");
//! ```

/// Heating or cooling.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Direction {
    /// Heat goes into the zone.
    Heating,
    /// Heat is taken out of the zone.
    Cooling,
}

impl Direction {
    /// Both directions.
    pub const BOTH: [Self; 2] = [Self::Heating, Self::Cooling];

    /// The opposite direction.
    #[must_use]
    pub const fn opposite(self) -> Self {
        match self {
            Self::Heating => Self::Cooling,
            Self::Cooling => Self::Heating,
        }
    }

    /// `heating` or `cooling`.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Heating => "heating",
            Self::Cooling => "cooling",
        }
    }

    /// The sign of the heat that goes into the zone.
    pub const fn sign(self) -> f64 {
        match self {
            Self::Heating => 1.0,
            Self::Cooling => -1.0,
        }
    }
}
