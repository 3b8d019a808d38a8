//! A row of a weather file, as far as all of them have it.

/// One row of a weather file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Seconds from midnight of the first day of the period.
    pub second: f64,
    /// Outdoor air, degrees C.
    pub temperature: f64,
}
