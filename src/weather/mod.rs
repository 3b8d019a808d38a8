//! Outdoor air and sun through the period.
//!
//! ```
//! use setband::units::TemperatureUnit;
//! use setband::weather::WeatherFile;
//!
//! let text = "time,temperature\n2025-01-01T01:00,4.5\n2025-01-01T02:00,hot\n";
//! let faults = WeatherFile::read(text, TemperatureUnit::Celsius).unwrap_err();
//! assert_eq!((faults.as_slice()[0].line, faults.as_slice()[0].column), (3, 18));
//! ```
mod almanac;
mod clear_sky;
mod day_shape;
mod erbs;
mod fault;
mod fields;
mod file;
mod gaps;
mod logged;
mod monthly_light;
mod perez;
mod quantity;
mod reading;
mod record;
mod running_mean;
mod site;
mod sky;
mod source;
mod spell;
mod statistics;
mod sums;
mod sun_path;
mod sunlight;
mod typical;
mod vapour;
mod year;

pub use almanac::{Almanac, Asked, Content, MonthlyMeans};
pub use clear_sky::ClearSky;
pub use day_shape::equation_of_time;
pub use erbs::diffuse_fraction;
pub use fault::{FileFault, FileFaults};
pub use file::WeatherFile;
pub use gaps::{Fill, Gap};
pub use logged::{Logged, Stamp, Uncovered};
pub use monthly_light::{monthly_light, outside_on_horizontal};
pub use perez::SkyModel;
pub use quantity::{COLDEST, Quantity, WARMEST};
pub use reading::Reading;
pub use record::{Filled, Record};
pub use running_mean::running_means;
pub use site::Site;
pub use sky::Sky;
pub use source::{Course, Weather};
pub use spell::{Light, LitSpell, Spell};
pub use statistics::{DEGREE_DAY_BASE, DayFigures, Outstanding, Statistics};
pub use sums::{Face, MonthOfLight, light_by_month};
pub use sun_path::{SunPath, sun_position};
pub use sunlight::{Irradiance, Plane, SunPosition, Sunlight};
pub use typical::{Notice, Pick, Station, TypicalYear, YearLayout};
