//! What a key of a scenario file is: its name, the kind of value that it takes, what stands for it
//! where it is left out, and a line of doc. A key that sets something at a controller, a unit or an
//! outdoor unit carries its [`Setting`] besides.

use super::ranges::Accepted;
use super::setting::Setting;
use crate::units::{Dimension, TemperatureUnit};

/// A block of keys.
#[derive(Debug)]
pub struct Block {
    /// What it is called in the schema.
    pub name: &'static str,
    /// What it is about.
    pub doc: &'static str,
    /// Its keys.
    pub keys: &'static [Key],
}

/// A key of a block.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Its name in its block.
    pub name: &'static str,
    /// Of a setting: the way to it from its zone or outdoor unit, `controls.limits.heat`; where
    /// something stands in a list, `controls.controllers[].offset`. Of another key: its name.
    pub path: &'static str,
    /// What its value must be.
    pub kind: Kind,
    /// What happens where it is left out.
    pub need: Need,
    /// What it means, in one line.
    pub doc: &'static str,
    /// What it sets, if it is a setting.
    pub setting: Option<Setting>,
}

/// What happens where a key is left out.
#[derive(Clone, Copy, Debug)]
pub enum Need {
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
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// Any words.
    Text,
    /// What something is called.
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
    /// Things under words that others wrote.
    ByWord(&'static Kind),
    /// Paths into the file with new values.
    Changes,
}

impl Block {
    /// The key of that name.
    pub fn key(&self, name: &str) -> Option<&'static Key> {
        self.keys.iter().find(|key| key.name == name)
    }

    /// The names of all keys.
    pub fn names(&self) -> impl Iterator<Item = &'static str> {
        self.keys.iter().map(|key| key.name)
    }
}

impl Kind {
    /// Whether no word can be a value of it.
    const fn has_no_words(&self) -> bool {
        matches!(
            self,
            Self::Number(_)
                | Self::Whole(_)
                | Self::Temperature(_)
                | Self::Difference(_)
                | Self::Size(..)
                | Self::SizeOrBare(..)
                | Self::Duration(_)
                | Self::Exactly(..)
                | Self::ListOf(_)
                | Self::Block(_)
        )
    }

    /// Of a list of just so many, how many and of what.
    pub fn exactly(&'static self) -> Option<(usize, &'static Kind)> {
        match self {
            Self::Exactly(count, inner) => Some((*count, inner)),
            Self::Either(kinds) => kinds.iter().find_map(Self::exactly),
            _ => None,
        }
    }

    /// Its block of keys, also where something else may stand instead.
    pub fn block(&self) -> Option<&'static Block> {
        match self {
            Self::Block(block) => Some(block),
            Self::OneOrMore(inner) => inner.block(),
            Self::Either(kinds) => kinds.iter().find_map(Self::block),
            _ => None,
        }
    }

    /// Of what it is a list, where it is one of any length.
    pub fn list_of(&'static self) -> Option<&'static Kind> {
        match self {
            Self::ListOf(inner) => Some(inner),
            Self::Either(kinds) => kinds.iter().find_map(Self::list_of),
            _ => None,
        }
    }
}

impl Need {
    /// What stands where the key is left out, as text of a file.
    pub const fn default_text(&self, unit: TemperatureUnit) -> Option<&'static str> {
        match (self, unit) {
            (Self::Default(text), _)
            | (Self::DefaultByUnit(text, _), TemperatureUnit::Celsius)
            | (Self::DefaultByUnit(_, text), TemperatureUnit::Fahrenheit) => Some(text),
            (Self::Required | Self::Derived(_) | Self::Optional, _) => None,
        }
    }
}

/// The last part of a path.
const fn last(path: &'static str) -> &'static str {
    let bytes = path.as_bytes();
    let mut at = bytes.len();
    while at > 0 && bytes[at - 1] != b'.' {
        at -= 1;
    }
    path.split_at(at).1
}

impl Key {
    /// The way to it from the controls of its zone: `setback.heat_low`.
    pub fn within_controls(&self) -> &'static str {
        self.path.strip_prefix("controls.").unwrap_or(self.path)
    }

    /// Whether `none` may be written here: then it is as if it were left out, also where the file has
    /// something for every zone. Not where `none` could be somebody's word.
    pub const fn takes_none(&self) -> bool {
        let may_lack = matches!(self.need, Need::Optional | Need::Derived(_));
        may_lack && self.kind.has_no_words()
    }

    const fn new(path: &'static str, kind: Kind, need: Need, doc: &'static str) -> Self {
        Self { name: last(path), path, kind, need, doc, setting: None }
    }

    /// The key of a setting.
    pub(crate) const fn sets(mut self, setting: Setting) -> Self {
        self.setting = Some(setting);
        self
    }

    /// The same key in a change of settings, where what is left out stays as it is.
    pub(crate) const fn changed(mut self) -> Self {
        self.need = Need::Optional;
        self.setting = None;
        self
    }
}

/// A key that must stand there.
pub(crate) const fn required(path: &'static str, kind: Kind, doc: &'static str) -> Key {
    Key::new(path, kind, Need::Required, doc)
}

/// A key without which there is none of it.
pub(crate) const fn optional(path: &'static str, kind: Kind, doc: &'static str) -> Key {
    Key::new(path, kind, Need::Optional, doc)
}

/// A key whose default follows from other keys.
pub(crate) const fn derived(
    path: &'static str,
    kind: Kind,
    rule: &'static str,
    doc: &'static str,
) -> Key {
    Key::new(path, kind, Need::Derived(rule), doc)
}

/// A key with a default.
pub(crate) const fn or(
    path: &'static str,
    kind: Kind,
    default: &'static str,
    doc: &'static str,
) -> Key {
    Key::new(path, kind, Need::Default(default), doc)
}

/// A key with a default for files in C and another for files in F.
pub(crate) const fn or_by_unit(
    path: &'static str,
    kind: Kind,
    celsius: &'static str,
    fahrenheit: &'static str,
    doc: &'static str,
) -> Key {
    Key::new(path, kind, Need::DefaultByUnit(celsius, fahrenheit), doc)
}

/// Names keys, each a constant, and the block that they make.
macro_rules! block {
    (
        $(#[$meta:meta])* $visible:vis $block:ident = $name:literal, $doc:literal;
        $($key:ident = $row:expr;)*
    ) => {
        $(pub(crate) const $key: $crate::settings::Key = $row;)*
        $(#[$meta])*
        $visible const $block: &$crate::settings::Block =
            &$crate::settings::Block { name: $name, doc: $doc, keys: &[$($key),*] };
    };
}
pub(crate) use block;
