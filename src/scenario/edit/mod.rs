//! Changes to the text of a scenario file that leave everything else as it was written: comments,
//! order, blank lines, the style of each block.
//!
//! A change names a place as a variant does (`zones.hall.controls.heat`) and the value to write
//! there. Where the key is left out, it is added to the nearest block that is there.

mod pieces;
mod value;

use std::fmt;

use serde_json::Value;

use pieces::{Piece, What, pieces};
use value::written;

/// A new value at a place in the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Edit {
    /// Where, as in a variant: `zones.hall.controls.heat`, `zones.hall.controls.controllers[0].id`.
    pub path: String,
    /// What to write there.
    pub value: Value,
}

/// An action to be added: its keys with their values, in the order in which they are written.
pub type NewAction = Vec<(&'static str, Value)>;

/// Why a change cannot be written into the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EditFault {
    /// Where it was to be made.
    pub path: String,
    /// Why not, as a sentence.
    pub message: String,
}

impl fmt::Display for EditFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.path, self.message)
    }
}

impl std::error::Error for EditFault {}

impl EditFault {
    fn new(path: &str, message: &str) -> Self {
        Self { path: path.to_owned(), message: message.to_owned() }
    }
}

/// Writes values at their places, one after the other.
///
/// # Errors
/// The first place that the text does not have, or has in several places at once.
pub fn edit(text: &str, edits: &[Edit]) -> Result<String, EditFault> {
    let mut text = text.to_owned();
    for change in edits {
        text = set(&text, &change.path, &written(&change.value))?;
    }
    Ok(text)
}

/// Adds actions at the end of the file's list of them, in their order.
///
/// # Errors
/// The file is no block of keys, or its `actions` are no list.
pub fn add_actions(text: &str, actions: &[NewAction]) -> Result<String, EditFault> {
    let items: Vec<String> = actions.iter().map(on_one_line).collect();
    if items.is_empty() {
        return Ok(text.to_owned());
    }
    let root = parsed(text, "actions")?;
    match root.entry("actions").map(|entry| &entry.value) {
        Some(list) => match &list.what {
            _ if list.shared => Err(EditFault::new("actions", SHARED)),
            What::List { in_brackets: false, items: present } => {
                Ok(add_lines(text, list, present.len(), &items))
            }
            What::List { in_brackets: true, items: present } => {
                let at = present.last().map_or(list.start + 1, |last| last.end);
                let comma = if present.is_empty() { "" } else { ", " };
                Ok(put(text, at..at, &format!("{comma}{}", items.join(", "))))
            }
            What::Scalar if list.is_empty() => set(text, "actions", &bracketed(&items)),
            _ => Err(EditFault::new("actions", "it is no list, so nothing can be added to it")),
        },
        None if is_in_brackets(&root) => set(text, "actions", &bracketed(&items)),
        None => {
            let gap = if text.ends_with('\n') || text.is_empty() { "" } else { "\n" };
            let lines: Vec<String> = items.iter().map(|item| format!("  - {item}")).collect();
            Ok(format!("{text}{gap}actions:\n{}\n", lines.join("\n")))
        }
    }
}

/// What a variant of the file changes, with a place for each zone where it says `*`, as text to be
/// written with [`edit_as_variant`].
///
/// # Errors
/// The file has no such variant.
pub fn edit_as_variant(text: &str, name: &str) -> Result<String, EditFault> {
    let root = parsed(text, "variants")?;
    let none = || EditFault::new(&format!("variants.{name}"), "the file has no such variant");
    let list = root.entry("variants").ok_or_else(none)?;
    let variant = &list.value.entry(name).ok_or_else(none)?.value;
    let What::Block { entries, .. } = &variant.what else { return Err(none()) };
    let mut changed = text.to_owned();
    for entry in entries {
        let value = entry.value.on_one_line(text);
        for path in each_zone(&root, &entry.key) {
            changed = set(&changed, &path, &value)?;
        }
    }
    Ok(changed)
}

/// Whether a text has something written at a place.
pub fn is_written(text: &str, path: &str) -> bool {
    let Some((root, steps)) = pieces(text).zip(steps(path)) else { return false };
    let start = Here { piece: &root, key_end: None };
    steps.iter().try_fold(start, Here::next).is_some()
}

/// The names of the variants that a text has, in file order.
pub fn variant_names(text: &str) -> Vec<String> {
    let Some(root) = pieces(text) else { return Vec::new() };
    match root.entry("variants").map(|entry| &entry.value.what) {
        Some(What::Block { entries, .. }) => {
            entries.iter().map(|entry| entry.key.clone()).collect()
        }
        _ => Vec::new(),
    }
}

const SHARED: &str = "the file writes this value once for several places (an anchor); change it in \
                      the file itself";

fn parsed(text: &str, path: &str) -> Result<Piece, EditFault> {
    let root = pieces(text);
    root.filter(|root| matches!(root.what, What::Block { .. }))
        .ok_or_else(|| EditFault::new(path, "the file is no block of keys"))
}

/// The paths that a path with `*` stands for.
fn each_zone(root: &Piece, path: &str) -> Vec<String> {
    let Some((before, after)) = path.split_once(".*.") else { return vec![path.to_owned()] };
    match root.entry(before).map(|entry| &entry.value.what) {
        Some(What::Block { entries, .. }) => {
            entries.iter().map(|entry| format!("{before}.{}.{after}", entry.key)).collect()
        }
        _ => Vec::new(),
    }
}

/// Writes a value that is YAML already at a place.
fn set(text: &str, path: &str, value: &str) -> Result<String, EditFault> {
    let root = parsed(text, path)?;
    let steps = steps(path).ok_or_else(|| EditFault::new(path, "this is no path"))?;
    let mut here = Here { piece: &root, key_end: None };
    for (place, step) in steps.iter().enumerate() {
        if here.piece.shared {
            return Err(EditFault::new(path, SHARED));
        }
        match here.next(step) {
            Some(next) => here = next,
            None => return add(text, here, path, &steps[place..], value),
        }
    }
    match (here.piece.shared, here.piece.is_empty(), here.key_end) {
        (true, ..) => Err(EditFault::new(path, SHARED)),
        (false, true, Some(key_end)) => Ok(fill(text, key_end, value)),
        (false, true, None) => Err(EditFault::new(path, "nothing is written there")),
        (false, false, _) => Ok(put(text, here.piece.start..here.piece.end, value)),
    }
}

/// A piece on the way into a file.
#[derive(Clone, Copy, Debug)]
struct Here<'p> {
    piece: &'p Piece,
    /// Where its key ends: behind that a value that is left out is written.
    key_end: Option<usize>,
}

impl Here<'_> {
    /// One step further into the file.
    fn next(self, step: &Step) -> Option<Self> {
        match (step, &self.piece.what) {
            (Step::Key(key), _) => self
                .piece
                .entry(key)
                .map(|entry| Here { piece: &entry.value, key_end: Some(entry.key_end) }),
            (Step::Item(item), What::List { items, .. }) => {
                items.get(*item).map(|piece| Here { piece, key_end: None })
            }
            (Step::Item(_), _) => None,
        }
    }
}

/// Adds what is left of a path to the block where the text ends having it.
fn add(
    text: &str,
    here: Here<'_>,
    path: &str,
    rest: &[Step],
    value: &str,
) -> Result<String, EditFault> {
    let lost = || EditFault::new(path, "the file has no such place");
    let (Step::Key(key), rest) = rest.split_first().ok_or_else(lost)? else { return Err(lost()) };
    let mut value = value.to_owned();
    for step in rest.iter().rev() {
        let Step::Key(key) = step else { return Err(lost()) };
        value = format!("{{{key}: {value}}}");
    }
    let block = here.piece;
    match &block.what {
        What::Scalar if block.is_empty() => {
            let key_end = here.key_end.ok_or_else(lost)?;
            Ok(fill(text, key_end, &format!("{{{key}: {value}}}")))
        }
        What::Block { in_brackets: true, entries } => {
            let last = entries.last().map(|last| last.value.end.max(last.key_end));
            let at = last.unwrap_or(block.start + 1);
            let comma = if entries.is_empty() { "" } else { ", " };
            Ok(put(text, at..at, &format!("{comma}{key}: {value}")))
        }
        What::Block { in_brackets: false, entries } => {
            let first = entries.first().ok_or_else(lost)?;
            let indent = " ".repeat(column(text, first.start));
            let line = format!("{indent}{key}: {value}");
            let last = entries.last().map_or(block.end, |last| last.value.end.max(last.key_end));
            Ok(after_line(text, last, &[line]))
        }
        What::Scalar | What::List { .. } => Err(lost()),
    }
}

/// Adds items to a list of lines with dashes.
fn add_lines(text: &str, list: &Piece, present: usize, items: &[String]) -> String {
    debug_assert!(present > 0, "a list of lines has at least one");
    let line = text[..list.start].rfind('\n').map_or(0, |at| at + 1);
    let indent: String = text[line..].chars().take_while(|letter| *letter == ' ').collect();
    let lines: Vec<String> = items.iter().map(|item| format!("{indent}- {item}")).collect();
    after_line(text, list.end, &lines)
}

/// Puts lines after the line in which a value ends.
fn after_line(text: &str, end: usize, lines: &[String]) -> String {
    let added = lines.join("\n") + "\n";
    if text[..end].ends_with('\n') {
        return put(text, end..end, &added);
    }
    match text[end..].find('\n') {
        Some(rest) => put(text, end + rest + 1..end + rest + 1, &added),
        None => format!("{text}\n{added}"),
    }
}

/// Writes a value behind a key that has none.
fn fill(text: &str, key_end: usize, value: &str) -> String {
    let colon = text[key_end..].find(':').map_or(key_end, |at| key_end + at + 1);
    put(text, colon..colon, &format!(" {value}"))
}

fn put(text: &str, range: std::ops::Range<usize>, value: &str) -> String {
    let mut changed = text.to_owned();
    changed.replace_range(range, value);
    changed
}

/// How many letters stand before a place in its line.
fn column(text: &str, at: usize) -> usize {
    let line = text[..at].rfind('\n').map_or(0, |line| line + 1);
    text[line..at].chars().count()
}

fn on_one_line(action: &NewAction) -> String {
    let keys: Vec<String> =
        action.iter().map(|(key, value)| format!("{key}: {}", written(value))).collect();
    format!("{{{}}}", keys.join(", "))
}

fn bracketed(items: &[String]) -> String {
    format!("[{}]", items.join(", "))
}

const fn is_in_brackets(piece: &Piece) -> bool {
    matches!(piece.what, What::Block { in_brackets: true, .. })
}

#[derive(Clone, Debug, PartialEq, Eq)]
enum Step {
    Key(String),
    Item(usize),
}

/// The steps of a path; `None` where it is none.
fn steps(path: &str) -> Option<Vec<Step>> {
    let mut all = Vec::new();
    for part in path.split('.') {
        let mut rest = part.split('[');
        let key = rest.next()?;
        let name = |letter: char| letter.is_alphanumeric() || letter == '_' || letter == '-';
        if key.is_empty() || !key.chars().all(name) {
            return None;
        }
        all.push(Step::Key(key.to_owned()));
        for item in rest {
            all.push(Step::Item(item.strip_suffix(']')?.parse().ok()?));
        }
    }
    Some(all)
}

#[cfg(test)]
mod tests;
