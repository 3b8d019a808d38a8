//! Holding a tree against the table of keys: unknown and missing keys, wrong kinds, units and
//! ranges. What this lets pass, the readers can take at its word; they look only at what several
//! keys say together.

use super::every_zone;
use super::fault::{Complaint, Sink};
use super::keys::{Block, Key, Kind, Need};
use super::near::nearest;
use super::path::Path;
use super::scalar::{self, is_name};
use super::shown::shortened;
use super::tree::{Entry, Node, Place, Value};
use crate::units::TemperatureUnit;

/// What a check needs besides the value: the file's unit, and where faults go.
#[derive(Clone, Copy)]
pub(super) struct Checker<'a> {
    pub(super) unit: TemperatureUnit,
    pub(super) sink: &'a Sink,
    /// Whether what is needed may stand elsewhere.
    pub(super) in_part: bool,
}

impl Checker<'_> {
    /// Notes a fault; it is explained only as long as it is going to be shown.
    pub(super) fn fault(&self, place: Place, path: &Path, complaint: impl FnOnce() -> Complaint) {
        if self.sink.is_full() {
            self.sink.add(place, String::new(), Complaint::new("", ""));
        } else {
            self.sink.add(place, path.to_string(), complaint());
        }
    }

    /// Checks a value and everything in it.
    pub(super) fn check(&self, node: &Node, kind: &Kind, path: &Path) {
        let kind = kind.of_shape(node);
        match (kind, &node.value) {
            (Kind::Block(block), Value::Block(entries)) => {
                self.check_block(node, entries, block, path);
            }
            (Kind::ByName(inner), Value::Block(entries)) => {
                self.check_named(entries, inner, path);
            }
            (Kind::ByWord(inner), Value::Block(entries)) => {
                for entry in entries {
                    self.check(&entry.node, inner, &path.key(&entry.key));
                }
            }
            // The readers of variants check these: they need the tree as a whole.
            (Kind::Changes, Value::Block(_)) => {}
            (Kind::ListOf(inner) | Kind::OneOrMore(inner), Value::List(items)) => {
                self.check_items(items, inner, path);
            }
            (Kind::Exactly(count, inner), Value::List(items)) => {
                if items.len() != *count {
                    self.fault(node.place, path, || wrong_count(items.len(), *count));
                }
                self.check_items(items, inner, path);
            }
            (Kind::Words(words, least), Value::List(items)) => {
                self.check_words(node, items, words, *least, path);
            }
            (Kind::Either(_), Value::List(_)) => {
                self.fault(node.place, path, || scalar::wrong_kind(node, kind));
            }
            _ => {
                if let Err(complaint) = scalar::read(node, kind, self.unit) {
                    self.fault(node.place, path, || complaint);
                }
            }
        }
    }

    fn check_block(&self, node: &Node, entries: &[Entry], block: &Block, path: &Path) {
        for entry in entries {
            let path = path.key(&entry.key);
            // What is written for every zone is held against the table where it is written.
            let is_known = entry.inherited && !matches!(entry.node.value, Value::Block(_));
            match block.key(&entry.key) {
                _ if is_known => {}
                Some(key) if key.name == every_zone::KEY => {
                    Self { in_part: true, ..*self }.check(&entry.node, &key.kind, &path);
                }
                None if entry.inherited => {}
                Some(key) if entry.node.says_none() && key.takes_none() => {}
                Some(key) => self.check(&entry.node, &key.kind, &path),
                None => self.fault(entry.place, &path, || unknown_key(&entry.key, block)),
            }
        }
        if self.in_part {
            return;
        }
        for key in block.keys.iter().filter(|key| matches!(key.need, Need::Required)) {
            if node.get(key.name).is_none() {
                self.fault(node.place, path, || missing_key(key));
            }
        }
    }

    fn check_named(&self, entries: &[Entry], inner: &Kind, path: &Path) {
        for entry in entries {
            let path = path.key(&entry.key);
            if !is_name(&entry.key) {
                self.fault(entry.place, &path, || scalar::bad_name(&entry.key));
            }
            self.check(&entry.node, inner, &path);
        }
    }

    fn check_items(&self, items: &[Node], inner: &Kind, path: &Path) {
        // Lists are not joined: their items are whole.
        let whole = Self { in_part: false, ..*self };
        for (place, item) in items.iter().enumerate() {
            whole.check(item, inner, &path.item(place));
        }
    }

    fn check_words(&self, node: &Node, items: &[Node], words: &[&str], least: usize, path: &Path) {
        if items.len() < least {
            self.fault(node.place, path, || {
                Complaint::new("wrong-kind", "this list must not be empty")
                    .help(format!("name some of {}", words.join(", ")))
            });
        }
        let mut seen: Vec<&str> = Vec::new();
        for (place, item) in items.iter().enumerate() {
            let path = path.item(place);
            let read = item.text().map(|text| scalar::word(text, words));
            match read {
                None => self.fault(item.place, &path, || {
                    Complaint::new(
                        "wrong-kind",
                        format!("a word is wanted, not {}", item.describe()),
                    )
                    .help(format!("write one of {}", words.join(", ")))
                }),
                Some(Err(complaint)) => self.fault(item.place, &path, || complaint),
                Some(Ok(word)) if seen.contains(&word) => self.fault(item.place, &path, || {
                    Complaint::new("duplicate-word", format!("`{word}` stands twice in this list"))
                        .help("take one of the two away")
                }),
                Some(Ok(word)) => seen.push(word),
            }
        }
    }
}

fn wrong_count(found: usize, wanted: usize) -> Complaint {
    let remedy = if found < wanted {
        format!("add {}", wanted - found)
    } else {
        format!("take {} away", found - wanted)
    };
    let message = format!("{wanted} values are wanted here, not {found}");
    Complaint::new("wrong-kind", message).help(remedy)
}

fn unknown_key(name: &str, block: &Block) -> Complaint {
    let deeper = |key: &&Key| matches!(key.kind, Kind::Block(inner) if inner.key(name).is_some());
    let remedy = if let Some(key) = block.keys.iter().find(deeper) {
        format!("it belongs under `{}`", key.name)
    } else {
        let near = nearest(name, block.names()).unwrap_or_default();
        let all: Vec<&str> = block.names().collect();
        format!("the nearest known key is `{near}`; known here are {}", all.join(", "))
    };
    let message = format!("`{}` is not a key of `{}`", shortened(name), block.name);
    Complaint::new("unknown-key", message).help(remedy)
}

pub(super) fn missing_key(key: &Key) -> Complaint {
    let remedy = match key.kind.examples().first() {
        Some(example) => format!("add it, for example `{}: {example}`", key.name),
        None => format!("add `{}`: {}", key.name, key.doc),
    };
    Complaint::new("missing-key", format!("`{}` is missing here", key.name)).help(remedy)
}
