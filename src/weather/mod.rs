//! Outdoor air and sun through the period.
mod clear_sky;
mod day_shape;
mod source;
mod sun_path;
mod sunlight;
mod year;

pub use clear_sky::ClearSky;
pub use day_shape::equation_of_time;
pub use source::{Course, Reading, Site, Weather};
pub use sun_path::{SunPath, sun_position};
pub use sunlight::{Irradiance, Plane, SunPosition, Sunlight};
