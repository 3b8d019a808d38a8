//! The controls of one zone as a scenario gives them: everything that rules 1 to 9 and 11 need.

use super::occupancy::{Occupancy, OverrideUntil, Setback};
use super::optimum_start::OptimumStart;
use super::outdoor_limits::OutdoorLimits;
use super::ranges::Side;
use super::request::{Settings, Stored};
use super::thermostat::Thermostat;
use super::ticks::Ticks;
use super::window::WindowContact;
use crate::direction::Direction;
use crate::time::{ClockTime, Seconds};
use crate::units::TemperatureUnit;

/// Where the governing sensor sits (rules 7 and 9). Offsets and differences in the file's unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SensorPlace {
    /// In the room.
    Room,
    /// In the return air, which is warmer than the room by so much in each direction served.
    ReturnAir {
        /// While heating is served.
        heating: f64,
        /// While cooling is served.
        cooling: f64,
    },
    /// In one controller, or averaged over the controllers: the mean of their offsets.
    Controllers {
        /// What the reading is off by.
        offset: f64,
    },
}

/// The sensor that governs a zone (rule 9).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sensor {
    /// Where it sits.
    pub place: SensorPlace,
    /// What is added to its reading, in the file's unit.
    pub offset: f64,
    /// First-order time constant; zero for none.
    pub lag: Seconds,
    /// The steps it reports in, in the file's unit; zero for none.
    pub resolution: f64,
}

/// The frost guard of rule 9.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowLimit {
    /// Below this sensed temperature the zone heats, whatever was selected.
    pub below: f64,
    /// Until the sensed temperature is back at this.
    pub until: f64,
}

impl LowLimit {
    /// Below this temperature, in the file's unit, until it is 1 C or 2 F above it again (rule 9).
    pub fn new(below: f64, unit: TemperatureUnit) -> Self {
        let hysteresis = match unit {
            TemperatureUnit::Celsius => 1.0,
            TemperatureUnit::Fahrenheit => 2.0,
        };
        Self { below, until: below + hysteresis }
    }
}

/// Stored setpoints that go back by the clock (rule 17).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Returns {
    /// Clock times of every day.
    pub at: Vec<ClockTime>,
    /// Heat goes back to this, if to anything.
    pub heat: Option<Ticks>,
    /// Cool goes back to this, if to anything.
    pub cool: Option<Ticks>,
}

impl Returns {
    /// What goes back, heat before cool.
    pub fn to(&self) -> impl IntoIterator<Item = (Side, Ticks)> {
        let sides = [(Side::Heat, self.heat), (Side::Cool, self.cool)];
        sides.into_iter().filter_map(|(side, to)| Some((side, to?)))
    }
}

/// Everything under `controls` of one zone, checked.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneControls {
    /// What requests are judged by, as it stands at the start.
    pub settings: Settings,
    /// What is stored at the start.
    pub start: Stored,
    /// The direction that `auto` begins with.
    pub direction: Direction,
    /// How calls are decided.
    pub thermostat: Thermostat,
    /// The frost guard.
    pub low_limit: Option<LowLimit>,
    /// Power goes off so long after it came on.
    pub auto_off: Option<Seconds>,
    /// The governing sensor.
    pub sensor: Sensor,
    /// How the zone knows whether somebody is there.
    pub occupancy: Occupancy,
    /// What works while nobody is.
    pub setback: Option<Setback>,
    /// How early the stored setpoints may begin to work before somebody comes.
    pub optimum_start: Option<OptimumStart>,
    /// How long an override lasts, where it lasts for a time.
    pub override_time: Seconds,
    /// When an override ends.
    pub override_until: OverrideUntil,
    /// When and to what stored setpoints go back by the clock.
    pub returns: Option<Returns>,
    /// Outdoor temperatures beyond which it may not heat or cool.
    pub outdoor_limits: OutdoorLimits,
    /// What an open window does.
    pub window_contact: WindowContact,
    /// With one setpoint for both sides: the start value of the file that stands for nothing.
    pub ignored_start: Option<(Side, f64)>,
}
