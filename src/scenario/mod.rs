//! The scenario file: one YAML file is one study.
//!
//! The text becomes a tree that remembers its places (`parse`), the tree is held against the
//! table of keys (`keys`, `conform`), and what passes is read into a model ([`read`]).
//! Every fault of a file is found at once, with its place and what would mend it.

mod band;
mod conform;
mod edit;
mod fault;
mod fields;
mod grid;
mod keys;
mod load;
mod locate;
mod near;
mod parse;
mod path;
mod read;
mod scalar;
mod schema;
mod shown;
mod starter;
mod study;
mod template;
mod tree;
mod variants;

use crate::settings::ranges;

pub use edit::{
    Edit, EditFault, NewAction, add_actions, edit, edit_as_variant, is_written, variant_names,
};
pub use fault::{Fault, Faults};
pub use grid::ValueGrid;
pub use load::{
    Companions, STANDARD_INPUT, content, load, load_edited, load_template, load_text, load_weather,
};
pub use near::nearest;
pub use schema::schema;
pub use starter::starter;
pub use study::{Study, VariantFault, read};
pub use template::{Override, Rejected, Template};
