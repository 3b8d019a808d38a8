//! Every block and key of a scenario file, in one table. The reader's checks, the defaults, the
//! suggestions for misspelt keys and the JSON Schema all come from it. What is set at a zone, its
//! unit or its outdoor unit stands in [`crate::settings`]; the rest of the file stands here.

mod action;
mod calendar;
mod file;
mod log;
mod people;
mod require;
mod tariff;
mod words;
mod zone;

pub(super) use calendar::HOLIDAYS;
pub(super) use file::FILE;
pub(super) use zone::{FACINGS, MASS, SPACE, ZONE};

use super::path::PathStep;
use super::tree::{Node, Value};
pub(super) use crate::settings::{Block, Key, Kind, Need};
use crate::settings::{derived, optional, or, or_by_unit, required};

/// The file as a whole.
pub(super) const ROOT: &Kind = &Kind::Block(FILE);

/// The longest title or name of a file, characters.
pub(super) const LONGEST_TEXT: usize = 200;
/// The longest name that something goes by, characters.
pub(super) const LONGEST_LABEL: usize = 100;

impl Kind {
    /// The kind of what stands one step below; `None` where nothing can.
    pub(super) fn below(&self, step: PathStep<'_>) -> Option<&'static Self> {
        match (self, step) {
            (Self::Block(block), PathStep::Key(name)) => block.key(name).map(|key| &key.kind),
            (Self::ByName(inner) | Self::ByWord(inner), PathStep::Key(_) | PathStep::Every)
            | (Self::ListOf(inner) | Self::OneOrMore(inner), PathStep::Item(_) | PathStep::Every)
            | (Self::Exactly(_, inner), PathStep::Item(_)) => Some(inner),
            (Self::OneOrMore(inner), PathStep::Key(_)) => inner.below(step),
            (Self::Either(kinds), _) => kinds.iter().find_map(|kind| kind.below(step)),
            _ => None,
        }
    }

    /// Of the kinds that may stand here, the one against which a value of this shape is held.
    pub(super) fn of_shape(&self, node: &Node) -> &Self {
        match (self, &node.value) {
            (Self::OneOrMore(inner), Value::Block(_)) => inner.of_shape(node),
            (Self::Either(kinds), Value::Block(_)) => {
                kinds.iter().find(|kind| matches!(kind, Self::Block(_))).unwrap_or(self)
            }
            (Self::Either(kinds), Value::List(items)) => {
                let has_blocks = items.iter().any(|item| matches!(item.value, Value::Block(_)));
                let of_blocks = |kind: &&Self| has_blocks && matches!(kind, Self::ListOf(_));
                let plain = |kind: &&Self| matches!(kind, Self::Exactly(..) | Self::Words(..));
                let found = kinds.iter().find(of_blocks).or_else(|| kinds.iter().find(plain));
                found.unwrap_or(self)
            }
            _ => self,
        }
    }

    /// The kinds of everything that can stand right below it.
    fn inner(&self) -> Vec<&'static Self> {
        match self {
            Self::Block(block) => block.keys.iter().map(|key| &key.kind).collect(),
            Self::ListOf(inner)
            | Self::OneOrMore(inner)
            | Self::ByName(inner)
            | Self::ByWord(inner)
            | Self::Exactly(_, inner) => vec![inner],
            Self::Either(kinds) => kinds.iter().collect(),
            _ => Vec::new(),
        }
    }
}

/// Every block that a file can have, that of the file first.
pub(super) fn blocks() -> Vec<&'static Block> {
    let (mut found, mut open): (Vec<&'static Block>, _) = (Vec::new(), vec![ROOT]);
    while let Some(kind) = open.pop() {
        if let Kind::Block(block) = kind {
            if found.iter().any(|known| std::ptr::eq(*known, *block)) {
                continue;
            }
            found.push(block);
        }
        open.extend(kind.inner());
    }
    found
}

#[cfg(test)]
mod tests {
    use super::super::fields::default_node;
    use super::super::scalar;
    use super::*;
    use crate::units::TemperatureUnit;

    fn is_read(node: &Node, kind: &'static Kind, unit: TemperatureUnit) -> bool {
        match (&node.value, kind.exactly()) {
            (Value::List(items), Some((count, inner))) => {
                items.len() == count && items.iter().all(|item| is_read(item, inner, unit))
            }
            _ => scalar::read(node, kind, unit).is_ok(),
        }
    }

    /// A default that its own key refuses would leave the key without a value.
    #[test]
    fn every_default_is_a_right_value_of_its_key() {
        let mut defaults = 0;
        for (block, key) in
            blocks().into_iter().flat_map(|block| block.keys.iter().map(move |key| (block, key)))
        {
            for unit in [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit] {
                let Some(text) = key.need.default_text(unit) else { continue };
                defaults += 1;
                let node = default_node(text);
                assert!(is_read(&node, &key.kind, unit), "{}.{}: {text}", block.name, key.name);
            }
        }
        assert!(defaults > 80, "only {defaults} defaults were looked at");
    }

    /// The schema keeps blocks by name, and the reader finds keys by name.
    #[test]
    fn names_of_blocks_and_of_keys_are_unique() {
        let unique = |names: Vec<&str>| {
            let mut sorted = names.clone();
            sorted.sort_unstable();
            sorted.dedup();
            sorted.len() == names.len()
        };
        assert!(unique(blocks().iter().map(|block| block.name).collect()));
        for block in blocks() {
            assert!(unique(block.names().collect()), "{}", block.name);
            assert!(!block.doc.is_empty() && block.keys.iter().all(|key| !key.doc.is_empty()));
        }
    }
}
