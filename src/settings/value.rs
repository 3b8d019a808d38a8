//! The value of a setting, whatever its kind, and how it is written in a line of text.

use std::fmt;

use crate::time::Seconds;

/// A value that a setting has or may have.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// There is none: it is left out.
    Nothing,
    /// A temperature or a difference in the file's unit, a size in its SI unit, or a plain number.
    Number(f64),
    /// A length of time.
    Time(Seconds),
    /// Whether something is so.
    Flag(bool),
    /// A word.
    Word(String),
    /// Several words, or none.
    Words(Vec<String>),
    /// The lowest and the highest of something.
    Span([f64; 2]),
}

/// What the two ends of a span are called, behind the path of a setting.
pub const ENDS: [&str; 2] = ["low", "high"];

/// What stands for nothing in a line of text.
pub(crate) const NONE: &str = "none";

impl Value {
    /// A word.
    pub fn word(word: impl Into<String>) -> Self {
        Self::Word(word.into())
    }

    /// Several words.
    pub fn words<'w>(words: impl IntoIterator<Item = &'w str>) -> Self {
        Self::Words(words.into_iter().map(str::to_owned).collect())
    }

    /// A number, if there is one.
    pub fn or_nothing<T: Into<Self>>(value: Option<T>) -> Self {
        value.map_or(Self::Nothing, Into::into)
    }

    /// The number.
    pub const fn number(&self) -> Option<f64> {
        match self {
            Self::Number(number) => Some(*number),
            _ => None,
        }
    }

    /// The length of time.
    pub const fn time(&self) -> Option<Seconds> {
        match self {
            Self::Time(time) => Some(*time),
            _ => None,
        }
    }

    /// Whether it is so.
    pub const fn flag(&self) -> Option<bool> {
        match self {
            Self::Flag(flag) => Some(*flag),
            _ => None,
        }
    }

    /// The one of some things that has this name.
    pub fn pick<T: Copy>(&self, all: &[T], name: impl Fn(T) -> &'static str) -> Option<T> {
        let Self::Word(word) = self else { return None };
        all.iter().copied().find(|it| name(*it) == word)
    }

    /// The ones of some things that have these names.
    pub fn picks<T: Copy>(&self, all: &[T], name: impl Fn(T) -> &'static str) -> Option<Vec<T>> {
        let Self::Words(words) = self else { return None };
        words.iter().map(|word| all.iter().copied().find(|it| name(*it) == word)).collect()
    }
}

impl From<f64> for Value {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<Seconds> for Value {
    fn from(time: Seconds) -> Self {
        Self::Time(time)
    }
}

impl From<bool> for Value {
    fn from(flag: bool) -> Self {
        Self::Flag(flag)
    }
}

impl fmt::Display for Value {
    /// In one line without commas: `0.5`, `10 min`, `push`, `heat cool`, `17 to 24`, `none`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Nothing => f.write_str(NONE),
            Self::Number(number) => write!(f, "{number}"),
            Self::Time(time) => write!(f, "{time}"),
            Self::Flag(flag) => write!(f, "{flag}"),
            Self::Word(word) => f.write_str(word),
            Self::Words(words) if words.is_empty() => f.write_str(NONE),
            Self::Words(words) => f.write_str(&words.join(" ")),
            Self::Span([low, high]) => write!(f, "{low} to {high}"),
        }
    }
}
