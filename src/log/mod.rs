//! What a site recorded: reading logs of any layout into series, and what they hold.
//!
//! A log comes from any kind of recorder. Nothing about its header, units, order or clock is taken
//! for granted but what a [`Mapping`] says. [`Table`] finds out how the bytes are written (packed or
//! not, which encoding, which separator and decimal mark), [`read`] takes the mapped points out of
//! it and counts what it has to leave out, and [`survey`] says what is in a table of which nothing
//! is known yet.
//!
//! ```
//! use setband::log::{Table, survey};
//!
//! let bytes = b"time,hall\n2025-04-16 08:00,20.5\n2025-04-16 08:01,20.6\n";
//! let table = Table::open(bytes, None)?;
//! assert_eq!(survey(&table)?.rows, 2);
//! # Ok::<(), setband::log::TableFault>(())
//! ```
//!
//! Times are seconds of local standard time since 1970-01-01 00:00 ([`LogTime`]). Setpoints, mode,
//! power and running hold until the next reading ([`Held`]); temperatures run straight between
//! readings ([`Series`]). Across a gap nothing is assumed.
//!
//! ```
//! use setband::log::Table;
//!
//! let table = Table::open(b"when;air\n2025-01-06 08:00;20,5\n2025-01-06 08:05;20,6\n", None)
//!     .expect("a table");
//! assert_eq!(table.header(), ["when", "air"]);
//! assert_eq!(table.column("Air"), Some(1));
//! ```

mod bad_rows;
mod clock;
mod fault;
mod guess;
mod mapping;
mod number;
mod points;
mod read;
mod sample;
mod series;
mod site;
mod store;
mod summary;
mod survey;
mod table;
mod table_fault;
mod unpack;
#[cfg(feature = "cli")]
mod workbook;

pub use bad_rows::{BadKind, BadRows};
pub use clock::{Clock, LogTime, TimeFault, TimeReader};
pub use fault::LogFault;
pub use guess::{Guess, Guesses, Part, guess};
pub use mapping::{
    Layout, Mapping, Meter, OutputColumn, Running, TimeColumns, WordColumn, ZoneMapping,
};
pub use number::Decimal;
pub use read::{Log, ZoneLog, read};
pub use sample::{Sample, samples};
pub use series::{Axis, Gap, Held, Series};
pub use site::{LogSource, SiteLog};
pub use summary::{PointSummary, summaries};
pub use survey::{ColumnKind, ColumnSurvey, Survey, TimeGuess, resolution, survey};
pub use table::Table;
pub use table_fault::TableFault;
#[cfg(feature = "cli")]
pub(crate) use workbook::check_unpacked_size;
