//! The values that a scenario file may give, each with its reason. One row feeds the check, the
//! words of the fault, the schema and the forms.
//!
//! Unless a row names a document, its bounds are common practice or plain sense, without a
//! source: wide enough for every real building, narrow enough to catch a slip of unit.

use crate::weather::{COLDEST, WARMEST};

/// What is accepted, ends included.
#[derive(Debug)]
pub struct Accepted {
    /// What it bounds.
    pub name: &'static str,
    /// The lowest value.
    pub low: f64,
    /// The highest value.
    pub high: f64,
    /// In which unit: SI, or degrees C and K for what the file gives in its own unit.
    pub unit: &'static str,
    /// Where the bounds come from.
    pub source: &'static str,
}

const fn plain(name: &'static str, low: f64, high: f64, unit: &'static str) -> Accepted {
    Accepted { name, low, high, unit, source: "common practice, no source" }
}

const fn sourced(
    name: &'static str,
    low: f64,
    high: f64,
    unit: &'static str,
    source: &'static str,
) -> Accepted {
    Accepted { name, low, high, unit, source }
}

macro_rules! ranges {
    ($($constant:ident = $row:expr;)*) => {
        $(pub(crate) const $constant: &Accepted = &$row;)*
        /// Every row.
        #[cfg(test)]
        fn all() -> &'static [&'static Accepted] {
            &[$($constant),*]
        }
    };
}

ranges! {
    DAYS = sourced("days", 1.0, 366.0, "", "one leap year");
    STEP = sourced("step", 1.0, 3600.0, "s", "physics: gains and weather are hourly");
    SEED = sourced("seed", 0.0, 9_007_199_254_740_991.0, "", "whole numbers that JSON keeps exactly: RFC 8259, section 6");
    OUTDOOR = sourced("outdoor temperature", COLDEST, WARMEST, "C", "records of the World Meteorological Organization, from memory: -89.2 and 56.7 C");
    DAILY_RANGE = plain("daily range", 0.0, 50.0, "K");
    SENSIBLE_HEAT_RATIO = plain("sensible heat ratio", 0.2, 1.0, "");
    HUMIDITY = sourced("relative humidity", 0.0, 100.0, "%", "by definition");
    LATITUDE = sourced("latitude", -90.0, 90.0, "degrees", "by definition");
    LONGITUDE = sourced("longitude", -180.0, 180.0, "degrees", "by definition");
    UTC_OFFSET = sourced("offset from UTC", -12.0, 14.0, "h", "civil time zones in use, from memory");
    OPTICAL_DEPTH = plain("optical depth", 0.05, 4.0, "");
    COIL = plain("coil temperature", 2.0, 20.0, "C");
    DAILY_RADIATION = plain("daily radiation", 0.0, 13.0, "kWh/m2");
    IRRADIANCE = plain("irradiance", 0.0, 1400.0, "W/m2");
    FRAME = plain("part of a window that is frame", 0.0, 0.95, "");
    SHADE_FACTOR = sourced("shading factor", 0.0, 1.0, "", "by definition");
    ABSORPTANCE = sourced("absorptance", 0.0, 1.0, "", "by definition");
    FLOOR = plain("floor area", 1.0, 100_000.0, "m2");
    HEIGHT = plain("height", 1.5, 50.0, "m");
    OPAQUE = plain("opaque conductance", 0.0, 1e6, "W/K");
    WINDOW_AREA = plain("window area", 0.01, 100_000.0, "m2");
    TRANSMITTANCE = plain("thermal transmittance", 0.05, 10.0, "W/(m2 K)");
    SOLAR_FACTOR = sourced("solar factor", 0.0, 1.0, "", "by definition");
    AZIMUTH = sourced("azimuth", 0.0, 360.0, "degrees", "by definition");
    AIR_CHANGES = plain("air changes", 0.0, 100.0, "/h");
    VENTILATION = plain("ventilation", 0.0, 1000.0, "m3/s");
    NEIGHBOUR = plain("conductance to a neighbour", 0.0, 1e6, "W/K");
    HEAT_CAPACITY = plain("heat capacity", 1e3, 1e13, "J/K");
    MASS_AREA = plain("mass area", 0.1, 1e6, "m2");
    ROOM = plain("room temperature", -40.0, 60.0, "C");
    GAIN = plain("internal gain", 0.0, 1e7, "W");
    CAPACITY = plain("capacity", 10.0, 1e7, "W");
    FAN = plain("fan power", 0.0, 1e6, "W");
    LOW_POWER = plain("fan power at low speed", 0.0, 1.0, "");
    SAMPLE = plain("time of a fan that samples", 1.0, 86_400.0, "s");
    COP = plain("COP", 0.1, 30.0, "");
    OUTDOOR_CAPACITY = plain("capacity of an outdoor unit", 10.0, 1e8, "W");
    STANDBY = plain("standby power", 0.0, 1e6, "W");
    LOAD = sourced("load", 0.0, 1.0, "", "by definition: a part of the capacity");
    LOWEST_OUTPUT = sourced("lowest output", 0.0, 1.0, "", "by definition: a part of the capacity");
    PART_LOAD_FACTOR = plain("part-load factor", 0.01, 2.0, "");
    LOSS_FACTOR = sourced("factor of a loss", 0.01, 1.0, "", "a loss adds nothing: at most 1");
    TURNDOWN = plain("turndown", 0.01, 1.0, "");
    THROTTLING = plain("throttling range", 0.05, 20.0, "K");
    INTEGRAL_TIME = plain("integral time", 10.0, 86_400.0, "s");
    STAGE = plain("stage as a part of the whole", 0.01, 1.0, "");
    STAGE_STEP = plain("difference between stages", 0.0, 10.0, "K");
    COUNT = sourced("indoor units on a controller", 1.0, 16.0, "", "control rules, rule 10");
    TIMER = plain("timer", 0.0, 86_400.0, "s");
    WITHIN = plain("time of a worst case", 60.0, 31_622_400.0, "s");
    SETPOINT_STEP = sourced("setpoint step", 0.1, 1.0, "degrees", "control rules, rule 1");
    SETPOINT = plain("setpoint", -40.0, 60.0, "C");
    DEADBAND = plain("deadband", 0.0, 30.0, "K");
    HYSTERESIS = plain("hysteresis", 0.0, 10.0, "K");
    OFFSET = plain("sensor offset", -20.0, 20.0, "K");
    RESOLUTION = plain("sensor resolution", 0.0, 5.0, "K");
    STRATIFICATION = plain("stratification", -20.0, 20.0, "K");
    EARLY = plain("early start", 60.0, 86_400.0, "s");
    SETBACK = plain("setback", 0.0, 40.0, "K");
    AUTO_OFF = plain("time until power off", 1.0, 604_800.0, "s");
    METABOLIC_RATE = sourced("metabolic rate", 0.8, 4.0, "met", "ISO 7730:2005, clause 4.1, from memory");
    CLOTHING = sourced("clothing insulation", 0.0, 2.0, "clo", "ISO 7730:2005, clause 4.1, from memory");
    AIR_SPEED = sourced("air speed", 0.0, 1.0, "m/s", "ISO 7730:2005, clause 4.1, from memory");
    PEOPLE = plain("people", 1.0, 1000.0, "");
    SPREAD = plain("spread", 0.0, 20.0, "K");
    TOLERANCE = plain("tolerance", 0.0, 20.0, "K");
    BAND_TOLERANCE = plain("tolerance of the band", 0.0, 5.0, "K");
    PATIENCE = plain("patience", 60.0, 86_400.0, "s");
    SHIFT = plain("spread of a time", 0.0, 21_600.0, "s");
    BREAK = plain("mean length", 300.0, 86_400.0, "s");
    PROBABILITY = sourced("percentage", 0.0, 100.0, "%", "by definition");
    PRESSES = plain("presses in a row", 1.0, 20.0, "");
    COMPLAINTS = plain("complaints an hour", 0.0, 60.0, "/h");
    PER_VOTE = plain("degrees for a vote", 0.5, 20.0, "K");
    TIMES = plain("presses in one action", 1.0, 1000.0, "");
    PRICE = plain("price", -1e6, 1e6, "");
    CLOCK_AHEAD = plain("how far a clock is ahead", -86_400.0, 86_400.0, "s");
    LOG_GAP = plain("gap of a log", 1.0, 604_800.0, "s");
    LOG_YEAR = plain("year of a log", 1970.0, 2200.0, "");
    FULL_OUTPUT = plain("full output", 0.001, 1e9, "");
    CARBON = plain("carbon intensity", 0.0, 10.0, "kg/kWh");
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_range_holds_something_and_has_a_reason() {
        for range in all() {
            assert!(range.low < range.high, "{}", range.name);
            assert!(!range.source.is_empty() && !range.name.is_empty());
        }
    }
}
