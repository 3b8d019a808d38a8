//! The scenario file: one YAML file is one study.
//!
//! The text becomes a tree that remembers its places (`parse`), the tree is held against the
//! table of keys (`keys`, `conform`), and what passes is read into a model ([`read`]).
//! Every fault of a file is found at once, with its place and what would mend it.
//!
//! ```
//! use setband::scenario::{Files, read};
//!
//! let text = "zones: {hall: {space: {floor: 60 m2}, controls: {haet: 20}}}\n";
//! let faults = read(text, "hall.yaml", &|name| Files::none().open(name)).unwrap_err();
//! let fault = faults.as_slice().iter().find(|fault| fault.code == "unknown-key").unwrap();
//! assert_eq!((fault.line, fault.path.as_str()), (1, "zones.hall.controls.haet"));
//! assert!(fault.remedy.contains("heat"));
//! ```

mod band;
mod conform;
mod edit;
mod every_zone;
mod fault;
mod fields;
mod files;
mod findings;
mod grid;
mod keys;
mod listed;
mod load;
mod locate;
mod long_line;
mod near;
mod parse;
mod path;
mod read;
mod requirement;
mod rooms;
mod scalar;
mod schema;
mod shelf;
mod shown;
mod starter;
mod study;
mod template;
mod tree;
mod variants;

use crate::settings::ranges;

pub use edit::{
    Edit, EditFault, NewAction, add_actions, edit, edit_as_variant, edit_with_remarks, is_written,
    value_text, variant_names,
};
pub use fault::{Fault, Faults};
pub use files::Files;
pub use findings::{Consequence, FINDINGS, KnownFinding};
pub use grid::ValueGrid;
pub use listed::{ListedKey, WrittenKey, listed_keys, written_keys};
pub(crate) use load::named_text;
pub use load::{
    Companions, STANDARD_INPUT, content, load, load_beside, load_edited, load_log_file,
    load_template, load_template_in, load_text, load_weather,
};
pub use near::nearest;
pub use read::recorded_weather;
pub use requirement::{Asked, Bounds, Must, Requirement, RunFigure};
pub use schema::schema;
pub use starter::starter;
pub use study::{Study, VariantFault, read, read_beside};
pub use template::{Override, Rejected, Template};
