//! Every block and key of a scenario file, in one table. The reader's checks, the defaults, the
//! suggestions for misspelt keys and the JSON Schema all come from it.

mod action;
mod calendar;
mod controls;
mod file;
mod outdoor;
mod people;
mod tariff;
mod words;
mod zone;

use file::UNITS;

pub(super) use calendar::HOLIDAYS;
pub(super) use file::FILE;
pub(super) use zone::{FACINGS, FAN_RUN, MASS, SPACE, UNIT_CONTROL, ZONE};

use super::path::Step;
use super::ranges::Accepted;
use super::tree::{Node, Value};
use crate::units::{Dimension, TemperatureUnit};

/// The file as a whole.
pub(super) const ROOT: &Kind = &Kind::Block(FILE);

/// A block of keys.
#[derive(Debug)]
pub(super) struct Block {
    /// What it is called in the schema.
    pub(super) name: &'static str,
    /// What it is about.
    pub(super) doc: &'static str,
    pub(super) keys: &'static [Key],
}

/// A key of a block.
#[derive(Debug)]
pub(super) struct Key {
    pub(super) name: &'static str,
    pub(super) kind: Kind,
    pub(super) need: Need,
    /// What it means, in one line.
    pub(super) doc: &'static str,
}

/// What happens where a key is left out.
#[derive(Debug)]
pub(super) enum Need {
    /// That is a fault.
    Required,
    /// This stands in its place, written as in a file.
    Default(&'static str),
    /// Likewise, in a file in C and in a file in F.
    DefaultByUnit(&'static str, &'static str),
    /// Something that follows from other keys, said in words.
    Derived(&'static str),
    /// Then there is none.
    Optional,
}

/// What the value of a key must be.
#[derive(Debug)]
pub(super) enum Kind {
    /// Any words, up to [`LONGEST_TEXT`] characters.
    Text,
    /// What something is called, up to [`LONGEST_LABEL`] characters.
    Label,
    /// The name of something in the file: letters, digits, `_` and `-`.
    Name,
    /// A bare number.
    Number(&'static Accepted),
    /// A bare whole number.
    Whole(&'static Accepted),
    /// A bare temperature in the file's unit; the range is in C.
    Temperature(&'static Accepted),
    /// A bare difference of temperatures in the file's unit; the range is in K.
    Difference(&'static Accepted),
    /// A size with its unit.
    Size(Dimension, &'static Accepted),
    /// A size with its unit, or bare in the base unit.
    SizeOrBare(Dimension, &'static Accepted),
    /// A length of time, in whole seconds.
    Duration(&'static Accepted),
    /// `true` or `false`.
    YesNo,
    /// `on` or `off`, `true` or `false`.
    OnOff,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A list of some of these words, none twice; at least so many.
    Words(&'static [&'static str], usize),
    /// `HH:MM`.
    Clock,
    /// `HH:MM` or `dN HH:MM`.
    Moment,
    /// `YYYY-MM-DD`.
    Date,
    /// A list of just so many.
    Exactly(usize, &'static Kind),
    /// A list.
    ListOf(&'static Kind),
    /// One, or a list.
    OneOrMore(&'static Kind),
    /// The first of these that has the shape.
    Either(&'static [Kind]),
    /// A block of keys.
    Block(&'static Block),
    /// Things under names of the file's own.
    ByName(&'static Kind),
    /// Paths into the file with new values.
    Changes,
}

/// The longest title or name of a file, characters.
pub(super) const LONGEST_TEXT: usize = 200;
/// The longest name that something goes by, characters.
pub(super) const LONGEST_LABEL: usize = 100;

impl Block {
    /// The key of that name.
    pub(super) fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }

    /// The names of all keys.
    pub(super) fn names(&self) -> impl Iterator<Item = &'static str> {
        self.keys.iter().map(|key| key.name)
    }
}

impl Kind {
    /// Of a list of just so many, how many and of what.
    pub(super) fn exactly(&'static self) -> Option<(usize, &'static Kind)> {
        match self {
            Self::Exactly(count, inner) => Some((*count, inner)),
            Self::Either(kinds) => kinds.iter().find_map(Self::exactly),
            _ => None,
        }
    }

    /// Its block of keys, also where something else may stand instead.
    pub(super) fn block(&self) -> Option<&'static Block> {
        match self {
            Self::Block(block) => Some(block),
            Self::OneOrMore(inner) => inner.block(),
            Self::Either(kinds) => kinds.iter().find_map(Self::block),
            _ => None,
        }
    }

    /// The kind of what stands one step below; `None` where nothing can.
    pub(super) fn below(&self, step: Step<'_>) -> Option<&'static Self> {
        match (self, step) {
            (Self::Block(block), Step::Key(name)) => block.key(name).map(|key| &key.kind),
            (Self::ByName(inner), Step::Key(_) | Step::Every)
            | (Self::ListOf(inner) | Self::OneOrMore(inner), Step::Item(_) | Step::Every)
            | (Self::Exactly(_, inner), Step::Item(_)) => Some(inner),
            (Self::OneOrMore(inner), Step::Key(_)) => inner.below(step),
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
            | Self::Exactly(_, inner) => vec![inner],
            Self::Either(kinds) => kinds.iter().collect(),
            _ => Vec::new(),
        }
    }

    /// Of what it is a list, where it is one of any length.
    pub(super) fn list_of(&'static self) -> Option<&'static Kind> {
        match self {
            Self::ListOf(inner) => Some(inner),
            Self::Either(kinds) => kinds.iter().find_map(Self::list_of),
            _ => None,
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

impl Need {
    /// What stands where the key is left out, as text of a file.
    pub(super) const fn default_text(&self, unit: TemperatureUnit) -> Option<&'static str> {
        match (self, unit) {
            (Self::Default(text), _)
            | (Self::DefaultByUnit(text, _), TemperatureUnit::Celsius)
            | (Self::DefaultByUnit(_, text), TemperatureUnit::Fahrenheit) => Some(text),
            (Self::Required | Self::Derived(_) | Self::Optional, _) => None,
        }
    }
}

const fn required(name: &'static str, kind: Kind, doc: &'static str) -> Key {
    Key { name, kind, need: Need::Required, doc }
}

const fn optional(name: &'static str, kind: Kind, doc: &'static str) -> Key {
    Key { name, kind, need: Need::Optional, doc }
}

const fn derived(name: &'static str, kind: Kind, rule: &'static str, doc: &'static str) -> Key {
    Key { name, kind, need: Need::Derived(rule), doc }
}

const fn or(name: &'static str, kind: Kind, default: &'static str, doc: &'static str) -> Key {
    Key { name, kind, need: Need::Default(default), doc }
}

const fn or_by_unit(
    name: &'static str,
    kind: Kind,
    celsius: &'static str,
    fahrenheit: &'static str,
    doc: &'static str,
) -> Key {
    Key { name, kind, need: Need::DefaultByUnit(celsius, fahrenheit), doc }
}

#[cfg(test)]
mod tests {
    use super::super::fields::default_node;
    use super::super::scalar;
    use super::*;

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
