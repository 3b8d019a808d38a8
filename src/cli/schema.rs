//! `setband schema`: the JSON Schema of the scenario file.

use super::CommandOutput;
use super::failure::Failure;

pub(super) fn schema() -> Result<CommandOutput, Failure> {
    Ok(CommandOutput::with(serde_json::to_string_pretty(&crate::scenario::schema())?))
}
