//! A YAML document as a tree that remembers where everything stands.

use std::ops::Range;

use super::path::PathStep;
use super::shown::shortened;
use crate::settings::NONE;

/// Where something stands in the file: line and column count from 1, in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Place {
    pub(super) line: u32,
    pub(super) column: u32,
    /// How many characters of the line to underline.
    pub(super) width: u32,
}

/// How a value stands in the text, in bytes.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Written {
    /// The first byte.
    pub(super) start: usize,
    /// The byte after the last; of lines with dashes or keys, after the last value in them.
    pub(super) end: usize,
    /// Whether an anchor or an alias makes it stand in several places.
    pub(super) shared: bool,
    /// Whether it is a list or block in brackets.
    pub(super) in_brackets: bool,
}

impl Written {
    /// Whether nothing is written where it stands.
    pub(super) const fn is_empty(self) -> bool {
        self.start == self.end
    }

    pub(super) const fn range(self) -> Range<usize> {
        self.start..self.end
    }
}

/// A value with its place.
#[derive(Clone, Debug)]
pub(super) struct Node {
    /// Where it was written first: that of the anchor where an alias stands for it.
    pub(super) place: Place,
    pub(super) written: Written,
    pub(super) value: Value,
}

/// What a value is.
#[derive(Clone, Debug)]
pub(super) enum Value {
    /// A number, a word or a text, as written.
    Scalar {
        text: Box<str>,
        /// Whether it stands in quotes (or in a text block), so that it is no number.
        quoted: bool,
    },
    /// `[a, b]` or lines with dashes.
    List(Vec<Node>),
    /// Keys with values.
    Block(Vec<Entry>),
}

/// A key with its value.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub(super) key: Box<str>,
    /// Where the key stands.
    pub(super) place: Place,
    /// How the key stands in the text.
    pub(super) written: Written,
    /// Whether it is what the file writes for every zone, and not of the zone's own.
    pub(super) inherited: bool,
    pub(super) node: Node,
}

impl Entry {
    /// A key that no text has.
    pub(super) fn new(key: &str, place: Place, node: Node) -> Self {
        Self { key: key.into(), place, written: Written::default(), inherited: false, node }
    }

    /// The byte after its value, or after the key where the value is left out.
    pub(super) fn end(&self) -> usize {
        self.node.written.end.max(self.written.end)
    }
}

impl Node {
    /// A value that no text has.
    pub(super) fn new(place: Place, value: Value) -> Self {
        Self { place, written: Written::default(), value }
    }

    /// A scalar without quotes that no text has.
    pub(super) fn scalar(text: &str) -> Self {
        Self::new(Place::default(), Value::Scalar { text: text.into(), quoted: false })
    }

    /// The keys of a block; none for anything else.
    pub(super) fn entries(&self) -> &[Entry] {
        match &self.value {
            Value::Block(entries) => entries,
            Value::Scalar { .. } | Value::List(_) => &[],
        }
    }

    /// The entry of a key of a block.
    pub(super) fn entry(&self, key: &str) -> Option<&Entry> {
        self.entries().iter().find(|entry| &*entry.key == key)
    }

    /// The value at a key of a block.
    pub(super) fn get(&self, key: &str) -> Option<&Self> {
        self.entry(key).map(|entry| &entry.node)
    }

    /// The value one step below.
    pub(super) fn below(&self, step: PathStep<'_>) -> Option<&Self> {
        match (step, &self.value) {
            (PathStep::Key(key), _) => self.get(key),
            (PathStep::Item(at), Value::List(items)) => items.get(at),
            _ => None,
        }
    }

    /// The value at a key of a block, to be changed.
    pub(super) fn get_mut(&mut self, key: &str) -> Option<&mut Self> {
        match &mut self.value {
            Value::Block(entries) => {
                entries.iter_mut().find(|entry| &*entry.key == key).map(|entry| &mut entry.node)
            }
            Value::Scalar { .. } | Value::List(_) => None,
        }
    }

    /// The text of a scalar.
    pub(super) fn text(&self) -> Option<&str> {
        match &self.value {
            Value::Scalar { text, .. } => Some(text),
            Value::List(_) | Value::Block(_) => None,
        }
    }

    /// Whether nothing is written: empty, `~` or `null`.
    pub(super) fn is_null(&self) -> bool {
        let nothing = |text: &str| matches!(text, "" | "~" | "null" | "Null" | "NULL");
        matches!(&self.value, Value::Scalar { text, quoted: false } if nothing(text))
    }

    /// Whether it says that there is none of it.
    pub(super) fn says_none(&self) -> bool {
        matches!(&self.value, Value::Scalar { text, quoted: false } if &**text == NONE)
    }

    /// How many values it holds, itself included.
    pub(super) fn size(&self) -> usize {
        match &self.value {
            Value::Scalar { .. } => 1,
            Value::List(items) => 1 + items.iter().map(Self::size).sum::<usize>(),
            Value::Block(entries) => {
                1 + entries.iter().map(|entry| entry.node.size()).sum::<usize>()
            }
        }
    }

    /// How many blocks and lists stand inside each other.
    pub(super) fn height(&self) -> usize {
        match &self.value {
            Value::Scalar { .. } => 0,
            Value::List(items) => 1 + items.iter().map(Self::height).max().unwrap_or(0),
            Value::Block(entries) => {
                1 + entries.iter().map(|entry| entry.node.height()).max().unwrap_or(0)
            }
        }
    }

    /// The last line on which any of it stands.
    pub(super) fn last_line(&self) -> u32 {
        let below = match &self.value {
            Value::Scalar { .. } => None,
            Value::List(items) => items.iter().map(Self::last_line).max(),
            Value::Block(entries) => entries.iter().map(|entry| entry.node.last_line()).max(),
        };
        below.map_or(self.place.line, |line| line.max(self.place.line))
    }

    /// The value as it can stand in brackets, on one line of a file; `text` is what it was read from.
    pub(super) fn in_brackets(&self, text: &str) -> String {
        match &self.value {
            Value::Scalar { text: said, quoted } => {
                let written = text.get(self.written.range()).unwrap_or_default();
                // An alias, or text over several lines, means something only where it stands.
                let movable = !written.contains('\n') && !written.starts_with('*');
                let plain = !*quoted && !said.contains([',', '[', ']', '{', '}', '#', ':', '\n']);
                match (movable, plain) {
                    (true, _) => written.to_owned(),
                    (false, true) => said.to_string(),
                    (false, false) => serde_json::Value::from(&**said).to_string(),
                }
            }
            Value::List(items) => {
                let items: Vec<String> = items.iter().map(|item| item.in_brackets(text)).collect();
                format!("[{}]", items.join(", "))
            }
            Value::Block(entries) => {
                let entries: Vec<String> = entries
                    .iter()
                    .map(|entry| {
                        let key = text.get(entry.written.range()).unwrap_or_default();
                        format!("{key}: {}", entry.node.in_brackets(text))
                    })
                    .collect();
                format!("{{{}}}", entries.join(", "))
            }
        }
    }

    /// The whole value on one line, as the ledger shows it: `min_deadband 3`.
    pub(super) fn on_one_line(&self) -> String {
        let joined = |parts: Vec<String>| parts.join(", ");
        match &self.value {
            Value::Scalar { text, .. } => shortened(text),
            Value::List(items) => {
                format!("[{}]", joined(items.iter().map(Self::on_one_line).collect()))
            }
            Value::Block(entries) => joined(
                entries
                    .iter()
                    .map(|entry| format!("{} {}", entry.key, entry.node.on_one_line()))
                    .collect(),
            ),
        }
    }

    /// What it is, for messages.
    pub(super) fn describe(&self) -> String {
        match &self.value {
            _ if self.is_null() => "nothing".into(),
            Value::Scalar { text, quoted: true } => format!("the text \"{}\"", shortened(text)),
            Value::Scalar { text, quoted: false } => format!("`{}`", shortened(text)),
            Value::List(items) => format!("a list of {}", items.len()),
            Value::Block(_) => "a block of keys".into(),
        }
    }
}
