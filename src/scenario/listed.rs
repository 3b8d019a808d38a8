//! The table of keys as others list it, and where a text writes which of them.

use super::every_zone;
use super::fault::Sink;
use super::keys::{Block, Key, Kind, Need, ROOT};
use super::parse::parse;
use super::shown::tidy;
use super::tree::{Node, Value};
use crate::units::TemperatureUnit;

/// A key of the scenario file, with the way to it.
#[derive(Clone, Debug)]
pub struct ListedKey {
    /// The key.
    pub key: &'static Key,
    /// The block that it is in.
    pub block: &'static Block,
    /// The ways to it from the root of the file, `*` for a name of the file's own and `[]` for a
    /// place in a list: `zones.*.controls.heat`.
    pub paths: Vec<String>,
}

impl ListedKey {
    /// What its value must be, in words.
    pub fn takes(&self) -> String {
        self.key.kind.describe()
    }

    /// From where to where its value may lie, with the unit, and where the bounds come from.
    pub fn range(&self) -> Option<(String, &'static str)> {
        range(&self.key.kind)
    }

    /// What stands for it where it is left out, in words.
    pub fn default(&self) -> String {
        match self.key.need {
            Need::Required => "none: it must be given".to_owned(),
            Need::Optional if self.key.takes_none() => {
                "none: left out, or with the word `none`, there is none of it".to_owned()
            }
            Need::Optional => "none: left out, there is none of it".to_owned(),
            Need::Derived(rule) => rule.to_owned(),
            Need::Default("") => "empty".to_owned(),
            Need::Default(text) => text.to_owned(),
            Need::DefaultByUnit(celsius, fahrenheit) => {
                format!("{celsius} in a file in C, {fahrenheit} in a file in F")
            }
        }
    }

    /// The key with a right value, as it stands in a file.
    pub fn example(&self) -> Option<String> {
        let given = self.key.need.default_text(TemperatureUnit::Celsius);
        let value = given.map(str::to_owned);
        let value = value.or_else(|| self.key.kind.examples().into_iter().next())?;
        Some(format!("{}: {value}", self.key.name))
    }
}

fn range(kind: &'static Kind) -> Option<(String, &'static str)> {
    match kind {
        Kind::Number(accepted)
        | Kind::Whole(accepted)
        | Kind::Temperature(accepted)
        | Kind::Difference(accepted)
        | Kind::Size(_, accepted)
        | Kind::SizeOrBare(_, accepted)
        | Kind::Duration(accepted) => {
            let space = if accepted.unit.is_empty() { "" } else { " " };
            let ends = format!("{} to {}", tidy(accepted.low), tidy(accepted.high));
            Some((format!("{ends}{space}{}", accepted.unit), accepted.source))
        }
        Kind::Exactly(_, inner) | Kind::ListOf(inner) | Kind::OneOrMore(inner) => range(inner),
        Kind::Either(kinds) => kinds.iter().find_map(range),
        _ => None,
    }
}

/// Every key of the scenario file, each once, in the order of the table.
pub fn listed_keys() -> Vec<ListedKey> {
    let mut all = Vec::new();
    list(ROOT, "", &mut Vec::new(), &mut all);
    all
}

fn list(kind: &'static Kind, path: &str, open: &mut Vec<*const Block>, all: &mut Vec<ListedKey>) {
    match kind {
        Kind::Block(block) => list_block(block, path, open, all),
        Kind::ByName(inner) => list(inner, &format!("{path}.*"), open, all),
        Kind::ListOf(inner) => list(inner, &format!("{path}[]"), open, all),
        Kind::OneOrMore(inner) => list(inner, path, open, all),
        Kind::Either(kinds) => kinds.iter().for_each(|kind| list(kind, path, open, all)),
        _ => {}
    }
}

fn list_block(
    block: &'static Block,
    path: &str,
    open: &mut Vec<*const Block>,
    all: &mut Vec<ListedKey>,
) {
    // A block never holds itself; should it ever, the walk ends.
    if open.contains(&std::ptr::from_ref(block)) {
        return;
    }
    open.push(std::ptr::from_ref(block));
    for key in block.keys {
        let way =
            if path.is_empty() { key.name.to_owned() } else { format!("{path}.{}", key.name) };
        let known = |it: &&mut ListedKey| it.block.name == block.name && it.key.name == key.name;
        match all.iter_mut().find(known) {
            Some(known) => known.paths.push(way.clone()),
            None => all.push(ListedKey { key, block, paths: vec![way.clone()] }),
        }
        // Those of a zone are listed at the zones.
        if key.name != every_zone::KEY {
            list(&key.kind, &way, open, all);
        }
    }
    open.pop();
}

/// A key that a text writes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WrittenKey {
    /// The block that it is in.
    pub block: &'static str,
    /// Its name.
    pub name: &'static str,
    /// The line on which it stands, from 1.
    pub line: u32,
}

/// The keys that the text of a scenario file writes, in its order; none where it is no YAML.
pub fn written_keys(text: &str) -> Vec<WrittenKey> {
    let mut found = Vec::new();
    if let Some(root) = parse(text, &Sink::default()) {
        note(&root, ROOT, &mut found);
    }
    found
}

fn note(node: &Node, kind: &'static Kind, found: &mut Vec<WrittenKey>) {
    if let Some(block) = kind.block().filter(|_| matches!(node.value, Value::Block(_))) {
        for entry in node.entries() {
            let Some(key) = block.key(&entry.key) else { continue };
            let line = entry.place.line;
            found.push(WrittenKey { block: block.name, name: key.name, line });
            note(&entry.node, &key.kind, found);
        }
        return;
    }
    match (&node.value, kind) {
        (Value::Block(_), Kind::ByName(inner)) => {
            for entry in node.entries() {
                note(&entry.node, inner, found);
            }
        }
        (Value::List(items), Kind::ListOf(inner) | Kind::OneOrMore(inner)) => {
            for item in items {
                note(item, inner, found);
            }
        }
        (_, Kind::Either(kinds)) => {
            if let Some(fits) = kinds.iter().find(|kind| kind.list_of().is_some()) {
                note(node, fits, found);
            }
        }
        _ => {}
    }
}
