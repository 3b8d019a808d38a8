//! `setband schema`: the JSON Schema of the scenario file.

use super::Done;
use super::failure::Failure;

pub(super) fn schema() -> Result<Done, Failure> {
    Ok(Done::with(serde_json::to_string_pretty(&crate::scenario::schema())?))
}
