//! How messages speak of what a key wants.

use super::super::shown::tidy;
use super::{Block, Kind, Need};
use crate::units::Dimension;

impl Kind {
    /// What is wanted, in words.
    pub(in super::super) fn describe(&self) -> String {
        match self {
            Self::Text | Self::Label => "a text".into(),
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
            Self::Word([only]) => format!("`{only}`"),
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
            Self::Block(_) | Self::ByName(_) | Self::ByWord(_) | Self::Changes => {
                "a block of keys".into()
            }
        }
    }

    /// Right values, as they stand in a file; none where nothing short would help.
    pub(in super::super) fn examples(&self) -> Vec<String> {
        let of = |texts: &[&str]| texts.iter().map(ToString::to_string).collect();
        match self {
            Self::Size(dimension, _) | Self::SizeOrBare(dimension, _) => of(dimension.examples()),
            Self::Duration(_) => of(Dimension::Duration.examples()),
            Self::Temperature(_) => of(&["21"]),
            Self::Difference(_) => of(&["2"]),
            Self::Number(range) | Self::Whole(range) => {
                vec![tidy(range.low.max(1.0_f64.min(range.high)))]
            }
            Self::YesNo => of(&["true", "false"]),
            Self::OnOff => of(&["on", "off"]),
            Self::Word(words) => of(&words[..words.len().min(1)]),
            Self::Words(words, _) => vec![format!("[{}]", words[..words.len().min(2)].join(", "))],
            Self::Clock => of(&["\"08:30\""]),
            Self::Moment => of(&["\"08:30\"", "\"d2 08:30\""]),
            Self::Date => of(&["2025-04-16"]),
            Self::Exactly(2, inner) => {
                inner.examples().first().map(|one| format!("[{one}, {one}]")).into_iter().collect()
            }
            Self::OneOrMore(inner) => inner.examples(),
            Self::ListOf(Self::Name) => of(&["[one, other]"]),
            Self::ListOf(inner) => {
                inner.examples().first().map(|one| format!("[{one}]")).into_iter().collect()
            }
            Self::Either(kinds) => kinds.first().map(Self::examples).unwrap_or_default(),
            Self::Block(block) => block.example().into_iter().collect(),
            Self::Text
            | Self::Label
            | Self::Name
            | Self::Exactly(..)
            | Self::ByName(_)
            | Self::ByWord(_)
            | Self::Changes => Vec::new(),
        }
    }
}

impl Block {
    /// The block with what it must have, where that can be said on one line.
    fn example(&self) -> Option<String> {
        let needed = self.keys.iter().filter(|key| matches!(key.need, Need::Required));
        let written = needed.map(|key| {
            key.kind.examples().first().map(|example| format!("{}: {example}", key.name))
        });
        let written: Vec<String> = written.collect::<Option<_>>()?;
        (!written.is_empty()).then(|| format!("{{{}}}", written.join(", ")))
    }
}
