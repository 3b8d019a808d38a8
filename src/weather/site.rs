//! Where the building stands.

/// Where the building stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// Degrees, north positive.
    pub latitude: f64,
    /// Degrees, east positive.
    pub longitude: f64,
    /// Hours that clock time is ahead of UTC.
    pub utc_offset: f64,
}
