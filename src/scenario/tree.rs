//! A YAML document as a tree that remembers where everything stands.

/// Where something stands in the file: line and column count from 1, in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(super) struct Place {
    pub(super) line: u32,
    pub(super) column: u32,
    /// How many characters of the line to underline.
    pub(super) width: u32,
}

/// A value with its place.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub(super) place: Place,
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
    pub(super) place: Place,
    pub(super) node: Node,
}

impl Node {
    /// The keys of a block; none for anything else.
    pub(super) fn entries(&self) -> &[Entry] {
        match &self.value {
            Value::Block(entries) => entries,
            Value::Scalar { .. } | Value::List(_) => &[],
        }
    }

    /// The value at a key of a block.
    pub(super) fn get(&self, key: &str) -> Option<&Self> {
        self.entries().iter().find(|entry| &*entry.key == key).map(|entry| &entry.node)
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

/// A text as messages show it: on one line and not too long.
pub(super) fn shortened(text: &str) -> String {
    const LONGEST: usize = 60;
    let visible = |letter: char| if letter.is_control() { ' ' } else { letter };
    let mut shown: String = text.chars().take(LONGEST).map(visible).collect();
    if text.chars().nth(LONGEST).is_some() {
        shown.push_str("...");
    }
    shown
}
