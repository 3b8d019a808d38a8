//! A comparison as JSON, CSV and text for the terminal.

mod csv;
mod json;
mod knee;
mod text;
mod words;

pub use csv::comparison_csv;
pub use json::comparison_json;
pub use knee::knee_sentence;
pub use text::comparison_text;
pub(super) use words::answer;
