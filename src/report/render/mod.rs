//! How content is shown: one renderer a medium.

pub(super) mod csv;
pub(super) mod fit;
#[cfg(feature = "pages")]
pub(super) mod html;
pub(super) mod text;
#[cfg(feature = "cli")]
pub(super) mod xlsx;

use std::borrow::Cow;

use super::content::Column;

/// The head of a column in one line, without the marks where it may break. Names that a file gives
/// stay as they are.
fn head(column: &Column) -> String {
    if let Cow::Owned(name) = &column.head {
        return name.clone();
    }
    let words = format!("{} {}", column.group, column.head).replace('\u{ad}', "");
    let mut letters = words.trim().chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
