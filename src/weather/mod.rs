//! Outdoor air through the period.
mod source;

pub use source::{ClearSky, Reading, Site, Weather};
