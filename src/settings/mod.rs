//! Every setting of a zone, its controllers, its unit and its outdoor unit, in one table.
//!
//! An entry says once what the whole program needs to know of a setting: the way to it in the file,
//! the kind and range of its value, its default, its name in words, what it means, how it is read
//! from a [`Model`](crate::engine::Model) and written to it, what it governs, how a form asks for
//! it, which line of the settings record tells it, and which other values a test sheet is tried
//! against. The reader of scenario files, their JSON Schema, variants and sweeps, the page's forms,
//! the settings record, the differences between two studies, the test sheet and `infer` all go over
//! this table; none of them keeps a list of its own.
//!
//! To add a setting: write its rule; add its field to the model; add one entry to the block where it
//! stands in the file (`controls`, `unit`, `group`):
//!
//! ```text
//! CALL_START = or_by_unit("controls.call_start", Kind::Difference(ranges::HYSTERESIS), "0.5", "1",
//!     "How far past the setpoint a call starts.")
//! .sets(Setting::of_zone("Start of a call", Governs::Calls, get, set) ...);
//! ```
//!
//! and read it where its block is read, by the entry's name: `fields.number(CALL_START.name)`. A
//! name that the block lacks fails every test that reads a file.
//!
//! ```
//! use setband::settings::entry;
//! use setband::units::TemperatureUnit;
//!
//! let deadband = entry("controls.min_deadband").expect("a setting of every zone");
//! assert_eq!(deadband.key.name, "min_deadband");
//! assert_eq!(deadband.key.need.default_text(TemperatureUnit::Celsius), Some("1"));
//! ```

mod access;
pub(crate) mod controls;
pub(crate) mod group;
mod key;
mod machine;
pub(crate) mod ranges;
mod setting;
mod subject;
mod table;
mod text;
pub(crate) mod unit;
mod value;

pub(crate) use access::longer;
pub use key::{Block, Key, Kind, Need};
pub(crate) use key::{derived, optional, or, or_by_unit, required};
pub use ranges::Accepted;
pub use setting::{Access, Begins, Control, Ends, Form, Governs, Hidden, Section, Setting, Trial};
pub use subject::Subject;
pub use table::{Entry, entry, of_groups, of_zones, path_of_group};
pub(crate) use value::NONE;
pub use value::{ENDS, Value};
