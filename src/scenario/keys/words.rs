//! How messages speak of what a key wants.

use super::Kind;
use crate::units::Dimension;

impl Kind {
    /// What is wanted, in words.
    pub(in super::super) fn describe(&self) -> String {
        match self {
            Self::Text => "a text".into(),
            Self::Name => "a name".into(),
            Self::Number(_) => "a number".into(),
            Self::Whole(_) => "a whole number".into(),
            Self::Temperature(_) => "a number without a unit (a temperature in the file's)".into(),
            Self::Difference(_) => "a number without a unit (a difference in the file's)".into(),
            Self::Size(dimension, _) => format!("{} with its unit", dimension.name()),
            Self::SizeOrBare(dimension, _) => {
                format!("a number in {} or {} with its unit", dimension.base(), dimension.name())
            }
            Self::Duration(_) => "a length of time with its unit".into(),
            Self::YesNo => "true or false".into(),
            Self::OnOff => "on or off".into(),
            Self::Word(words) => format!("one of {}", words.join(", ")),
            Self::Words(words, _) => format!("a list of some of {}", words.join(", ")),
            Self::Clock => "a clock time".into(),
            Self::Moment => "a clock time, with the day before it if need be,".into(),
            Self::Date => "a date".into(),
            Self::Exactly(count, inner) => format!("a list of {count}, each {}", inner.describe()),
            Self::ListOf(_) => "a list".into(),
            Self::OneOrMore(inner) => format!("{} or a list of them", inner.describe()),
            Self::Either(kinds) => {
                kinds.iter().map(Self::describe).collect::<Vec<_>>().join(", or ")
            }
            Self::Block(_) | Self::ByName(_) | Self::Changes => "a block of keys".into(),
            Self::NotYet => "nothing".into(),
        }
    }

    /// A right value, as it stands in a file.
    pub(in super::super) fn example(&self) -> Option<String> {
        Some(match self {
            Self::Size(dimension, _) | Self::SizeOrBare(dimension, _) => {
                dimension.examples().join("` or `")
            }
            Self::Duration(_) => Dimension::Duration.examples().join("` or `"),
            Self::Temperature(_) => "21".into(),
            Self::Difference(_) => "2".into(),
            Self::YesNo => "true".into(),
            Self::OnOff => "on".into(),
            Self::Word(words) => words.first()?.to_string(),
            Self::Words(words, _) => format!("[{}]", words.get(..2)?.join(", ")),
            Self::Clock => "\"08:30\"".into(),
            Self::Moment => "\"08:30\"` or `\"d2 08:30\"".into(),
            Self::Date => "2025-04-16".into(),
            Self::Exactly(2, inner) => {
                let one = inner.example()?;
                format!("[{one}, {one}]")
            }
            Self::OneOrMore(inner) => return inner.example(),
            Self::Either(kinds) => return kinds.first()?.example(),
            Self::Text
            | Self::Name
            | Self::Number(_)
            | Self::Whole(_)
            | Self::Exactly(..)
            | Self::ListOf(_)
            | Self::Block(_)
            | Self::ByName(_)
            | Self::Changes
            | Self::NotYet => return None,
        })
    }
}
