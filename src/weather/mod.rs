//! Outdoor air through the period.
mod day_shape;
mod source;
mod year;

pub use source::{ClearSky, Reading, Site, Weather};
