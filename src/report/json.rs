//! `summary.json`.

use crate::measures::Summary;

/// The summary as indented JSON with a line break at its end.
///
/// # Errors
/// Whatever the serializer refuses; the types of a summary give it no reason to.
pub fn summary_json(summary: &Summary) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(summary)?;
    text.push('\n');
    Ok(text)
}
