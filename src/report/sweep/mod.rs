//! A sweep as text, JSON, CSV and Parquet.

mod csv;
mod json;
#[cfg(feature = "cli")]
mod parquet;
mod text;
mod words;

pub use csv::cases_csv;
pub use json::sweep_json;
#[cfg(feature = "cli")]
pub use parquet::cases_parquet;
pub use text::sweep_text;
pub use words::sweep_answer;
pub(super) use words::{figure_mean, figure_unit, letter, silent_words};
