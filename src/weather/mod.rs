//! Outdoor air through the period.
mod source;

pub use source::{Reading, Site, Weather};
