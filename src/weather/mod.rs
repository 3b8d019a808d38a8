//! Outdoor air and sun through the period.
mod clear_sky;
mod day_shape;
mod source;
mod sun;
mod year;

pub use clear_sky::ClearSky;
pub use day_shape::equation_of_time;
pub use source::{Reading, Site, Weather};
pub use sun::{Irradiance, Plane, SunPath, SunPosition, Sunlight};
