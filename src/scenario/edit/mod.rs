//! Changes to the text of a scenario file that leave everything else as it was written: comments,
//! order, blank lines, the style of each block.
//!
//! A change names a place as a variant does (`zones.hall.controls.heat`) and the value to write
//! there. Where the key is left out, it is added to the nearest block that is there.

mod value;

use std::fmt;

use serde_json::Value;

use super::fault::Sink;
use super::parse::parse;
use super::path::{PathStep, PathSteps};
use super::tree::{Entry, Node, Value as Tree};
pub use value::written as value_text;
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
    let mut left = edits;
    while !left.is_empty() {
        let (changed, done) = edit_apart(&text, left)?;
        (text, left) = (changed, &left[done..]);
    }
    Ok(text)
}

/// Writes the first of some values, as many as stand apart from each other in the text, so that it
/// need not be read again for each; says how many.
fn edit_apart(text: &str, edits: &[Edit]) -> Result<(String, usize), EditFault> {
    let first = edits.first().map_or("", |change| change.path.as_str());
    let root = parsed(text, first)?;
    let mut patches: Vec<Patch> = Vec::new();
    for (place, change) in edits.iter().enumerate() {
        match patch(text, &root, &change.path, &written(&change.value)) {
            Ok(patch) if patches.iter().all(|other| other.is_apart(&patch)) => patches.push(patch),
            // It may only be possible once the others are written.
            Err(fault) if place == 0 => return Err(fault),
            Ok(_) | Err(_) => break,
        }
    }
    let done = patches.len();
    patches.sort_by_key(|patch| std::cmp::Reverse(patch.range.start));
    let mut changed = text.to_owned();
    for patch in patches {
        changed.replace_range(patch.range, &patch.value);
    }
    Ok((changed, done))
}

/// What is written where.
#[derive(Debug, PartialEq)]
struct Patch {
    range: std::ops::Range<usize>,
    value: String,
}

impl Patch {
    fn new(range: std::ops::Range<usize>, value: impl Into<String>) -> Self {
        Self { range, value: value.into() }
    }

    fn is_apart(&self, other: &Self) -> bool {
        let (one, two) = (&self.range, &other.range);
        one.start != two.start && (one.end <= two.start || two.end <= one.start)
    }

    fn on(self, text: &str) -> String {
        let mut changed = text.to_owned();
        changed.replace_range(self.range, &self.value);
        changed
    }
}

/// What begins a remark of [`edit_with_remarks`].
const REMARK: &str = "# fitted";

/// Writes values at their places, as [`edit`] does, and puts a remark into the line above each, as a
/// comment that begins with `fitted`. Such remarks of earlier times are taken away.
///
/// # Errors
/// As [`edit`].
pub fn edit_with_remarks(text: &str, edits: &[(Edit, String)]) -> Result<String, EditFault> {
    let is_remark = |line: &&str| line.trim_start().starts_with(REMARK);
    let mut text: String = text.split_inclusive('\n').filter(|line| !is_remark(line)).collect();
    let changes: Vec<Edit> = edits.iter().map(|it| it.0.clone()).collect();
    text = edit(&text, &changes)?;
    let root = parsed(&text, "zones")?;
    let mut remarks: Vec<(usize, &str)> = Vec::new();
    for (change, remark) in edits {
        let place = PathSteps::of(&change.path).try_fold(&root, Node::below);
        if let Some(node) = place {
            let line = text[..node.written.start].rfind('\n').map_or(0, |at| at + 1);
            remarks.push((line, remark));
        }
    }
    // From the end, so that places before stay what they are; those of a line keep their order.
    remarks.sort_by_key(|remark| remark.0);
    for (line, remark) in remarks.into_iter().rev() {
        let indent: String = text[line..].chars().take_while(|it| *it == ' ').collect();
        let on_one_line = remark.replace(['\n', '\r'], " ");
        let remark =
            on_one_line.strip_prefix("fitted").map_or(on_one_line.as_str(), str::trim_start);
        text.insert_str(line, &format!("{indent}{REMARK}{remark}\n"));
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
    match root.get("actions") {
        Some(list) => match &list.value {
            _ if list.written.shared => Err(EditFault::new("actions", SHARED)),
            Tree::List(present) if list.written.in_brackets => {
                let at = present.last().map_or(list.written.start + 1, |last| last.written.end);
                let comma = if present.is_empty() { "" } else { ", " };
                Ok(Patch::new(at..at, format!("{comma}{}", items.join(", "))).on(text))
            }
            Tree::List(_) => Ok(add_lines(text, list, &items).on(text)),
            Tree::Scalar { .. } if list.written.is_empty() => {
                set(text, "actions", &bracketed(&items))
            }
            _ => Err(EditFault::new("actions", "it is no list, so nothing can be added to it")),
        },
        None if root.written.in_brackets => set(text, "actions", &bracketed(&items)),
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
    let variant = root.get("variants").and_then(|list| list.get(name)).ok_or_else(none)?;
    let Tree::Block(entries) = &variant.value else { return Err(none()) };
    let mut changed = text.to_owned();
    for entry in entries {
        let value = entry.node.in_brackets(text);
        for path in each_zone(&root, &entry.key) {
            changed = set(&changed, &path, &value)?;
        }
    }
    Ok(changed)
}

/// Whether a text has something written at a place.
pub fn is_written(text: &str, path: &str) -> bool {
    let root = parse(text, &Sink::default());
    root.is_some_and(|root| PathSteps::of(path).try_fold(&root, Node::below).is_some())
}

/// The names of the variants that a text has, in file order.
pub fn variant_names(text: &str) -> Vec<String> {
    let root = parse(text, &Sink::default());
    let variants = root.as_ref().and_then(|root| root.get("variants"));
    let entries = variants.map_or(&[][..], Node::entries);
    entries.iter().map(|entry| entry.key.to_string()).collect()
}

const SHARED: &str = "the file writes this value once for several places (an anchor); change it in \
                      the file itself";

fn parsed(text: &str, path: &str) -> Result<Node, EditFault> {
    let root = parse(text, &Sink::default());
    root.filter(|root| matches!(root.value, Tree::Block(_)))
        .ok_or_else(|| EditFault::new(path, "the file is no block of keys"))
}

/// The paths that a path with `*` stands for.
fn each_zone(root: &Node, path: &str) -> Vec<String> {
    let Some((before, after)) = path.split_once(".*.") else { return vec![path.to_owned()] };
    let entries = root.get(before).map_or(&[][..], Node::entries);
    entries.iter().map(|entry| format!("{before}.{}.{after}", entry.key)).collect()
}

/// Writes a value that is YAML already at a place.
fn set(text: &str, path: &str, value: &str) -> Result<String, EditFault> {
    let root = parsed(text, path)?;
    Ok(patch(text, &root, path, value)?.on(text))
}

/// What writes a value at a place of a text that was read.
fn patch(text: &str, root: &Node, path: &str, value: &str) -> Result<Patch, EditFault> {
    if !is_path(path) {
        return Err(EditFault::new(path, "this is no path"));
    }
    let mut here = Here { node: root, key_end: None };
    let mut steps = PathSteps::of(path);
    loop {
        if here.node.written.shared {
            return Err(EditFault::new(path, SHARED));
        }
        let left = steps.clone();
        let Some(step) = steps.next() else { break };
        match here.next(step) {
            Some(next) => here = next,
            None => return add(text, here, path, left, value),
        }
    }
    match (here.node.written.is_empty(), here.key_end) {
        (true, Some(key_end)) => Ok(fill(text, key_end, value)),
        (true, None) => Err(EditFault::new(path, "nothing is written there")),
        (false, _) => Ok(Patch::new(here.node.written.range(), value)),
    }
}

/// Whether every key on the way is a word that can be written into a file as it is.
fn is_path(path: &str) -> bool {
    let letters = |letter: char| letter.is_alphanumeric() || letter == '_' || letter == '-';
    PathSteps::of(path).all(|step| match step {
        PathStep::Key(key) => !key.is_empty() && key.chars().all(letters),
        PathStep::Item(_) => true,
        PathStep::Every => false,
    })
}

/// A value on the way into a file.
#[derive(Clone, Copy, Debug)]
struct Here<'n> {
    node: &'n Node,
    /// Where its key ends: behind that a value that is left out is written.
    key_end: Option<usize>,
}

impl Here<'_> {
    /// One step further into the file.
    fn next(self, step: PathStep<'_>) -> Option<Self> {
        let key_end = match step {
            PathStep::Key(key) => self.node.entry(key).map(|entry| entry.written.end),
            PathStep::Item(_) | PathStep::Every => None,
        };
        self.node.below(step).map(|node| Here { node, key_end })
    }
}

/// Adds what is left of a path to the block where the text ends having it.
fn add(
    text: &str,
    here: Here<'_>,
    path: &str,
    mut left: PathSteps<'_>,
    value: &str,
) -> Result<Patch, EditFault> {
    let lost = || EditFault::new(path, "the file has no such place");
    let Some(PathStep::Key(key)) = left.next() else { return Err(lost()) };
    let mut value = value.to_owned();
    for step in left.collect::<Vec<_>>().into_iter().rev() {
        let PathStep::Key(key) = step else { return Err(lost()) };
        value = format!("{{{key}: {value}}}");
    }
    let written = here.node.written;
    match &here.node.value {
        Tree::Scalar { .. } if written.is_empty() => {
            let key_end = here.key_end.ok_or_else(lost)?;
            Ok(fill(text, key_end, &format!("{{{key}: {value}}}")))
        }
        Tree::Block(entries) if written.in_brackets => {
            let at = entries.last().map_or(written.start + 1, Entry::end);
            let comma = if entries.is_empty() { "" } else { ", " };
            Ok(Patch::new(at..at, format!("{comma}{key}: {value}")))
        }
        Tree::Block(entries) => {
            let first = entries.first().ok_or_else(lost)?;
            let indent = " ".repeat(column(text, first.written.start));
            Ok(after_line(text, written.end, &[format!("{indent}{key}: {value}")]))
        }
        // What says that there is none of it gives way.
        _ if here.node.says_none() => {
            Ok(Patch::new(written.range(), format!("{{{key}: {value}}}")))
        }
        Tree::Scalar { .. } | Tree::List(_) => Err(lost()),
    }
}

/// Adds items to a list of lines with dashes.
fn add_lines(text: &str, list: &Node, items: &[String]) -> Patch {
    let line = text[..list.written.start].rfind('\n').map_or(0, |at| at + 1);
    let indent: String = text[line..].chars().take_while(|letter| *letter == ' ').collect();
    let lines: Vec<String> = items.iter().map(|item| format!("{indent}- {item}")).collect();
    after_line(text, list.written.end, &lines)
}

/// Puts lines after the line in which a value ends.
fn after_line(text: &str, end: usize, lines: &[String]) -> Patch {
    let added = lines.join("\n") + "\n";
    if text[..end].ends_with('\n') {
        return Patch::new(end..end, added);
    }
    match text[end..].find('\n') {
        Some(rest) => Patch::new(end + rest + 1..end + rest + 1, added),
        None => Patch::new(text.len()..text.len(), format!("\n{added}")),
    }
}

/// Writes a value behind a key that has none.
fn fill(text: &str, key_end: usize, value: &str) -> Patch {
    let colon = text[key_end..].find(':').map_or(key_end, |at| key_end + at + 1);
    Patch::new(colon..colon, format!(" {value}"))
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

#[cfg(test)]
mod tests;
