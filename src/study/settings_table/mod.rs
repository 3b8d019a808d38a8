//! The settings of many controllers at once, as a table: a row a zone (another one for each further
//! controller), a column a setting. Two lines stand above the rows: what people call the setting,
//! with its unit, and its key in the file.
//!
//! ```
//! use setband::study::settings_table::columns;
//!
//! let keys: Vec<String> = columns().iter().map(|column| column.key().to_owned()).collect();
//! assert!(keys.iter().any(|key| key.ends_with("min_deadband")));
//! ```

mod apply;
mod cells;
mod diff;
mod read;
mod table;

pub(in crate::study) use apply::in_words;
pub use apply::{CellChange, Changes, changes, like, new_zones};
pub use cells::{Address, Cell};
pub use diff::{BesideDifference, Difference, Differences, differences};
pub use read::{Filled, TableFault};
pub use table::{BY, Beside, CONTROLLER, Column, Row, Table, ZONE, columns};
