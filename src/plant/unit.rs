//! What an indoor unit can do.

/// How a unit's output follows its call.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum UnitControl {
    /// On or off; after each start the output rises with this time constant, in seconds
    /// (Henderson and Rengarajan, ASHRAE Transactions 1996, no. 3958).
    Staged {
        /// Time constant of the rise, s; zero for none.
        time_constant: f64,
    },
    /// Output in proportion to how far the sensed temperature lies from where the call ends.
    Modulating {
        /// The lowest steady output as a part of the rated capacity, 0 to 1.
        turndown: f64,
        /// The distance over which the output goes from nothing to full, in the file's unit.
        throttling_range: f64,
    },
    /// Exactly the heat that brings the air to the setpoint at the end of the step.
    Ideal,
}

/// When the fan runs besides while a call is served and in `fan`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FanRun {
    /// Not otherwise.
    WithCall,
    /// As long as the power is on.
    Continuous,
}

/// What a unit can deliver in one direction, and at which COP with a plant of its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Capacity {
    /// Rated capacity of all units on the controller together, W.
    pub rated: f64,
    /// Coefficient of performance, used only without an outdoor unit block.
    pub cop: f64,
}

/// The indoor units on one controller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IndoorUnit {
    /// Heating, if the unit has it.
    pub heating: Option<Capacity>,
    /// Cooling, if the unit has it.
    pub cooling: Option<Capacity>,
    /// Fan power of all units on the controller together, W; it ends as heat in the air.
    pub fan: f64,
    /// When the fan runs besides.
    pub fan_run: FanRun,
    /// How output follows the call.
    pub control: UnitControl,
    /// How many indoor units the controller drives, 1 to 16.
    pub count: u32,
}
