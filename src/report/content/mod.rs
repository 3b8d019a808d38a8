//! What is said, apart from how it is shown: tables of typed values, each made once. The renderers
//! in `render` lay them out, one a medium. What only a workbook shows needs the feature `cli`, as
//! workbooks do.

pub(super) mod comparison;
pub(super) mod energy;
pub(super) mod grouped;
#[cfg(feature = "cli")]
pub(super) mod hours;
#[cfg(feature = "cli")]
pub(super) mod matrix;
pub(super) mod people;
mod quantity;
pub(super) mod seasons;
mod table;
pub(super) mod wording;
pub(super) mod zones;

pub(super) use quantity::{Quantity, Units, signed_percent};
pub use table::Tone;
pub(super) use table::{Cell, Column, Field, Medium, Row, Table, Value};
