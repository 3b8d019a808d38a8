//! Reading the value of a setting from a line of text.

use super::key::Kind;
use super::value::{NONE, Value};
use crate::time::Seconds;
use crate::units::{Dimension, TemperatureUnit, parse_number, parse_quantity};

impl Value {
    /// The value that a text has, written as in a file or as values write themselves; `None` where
    /// it is none of that kind. Ranges are not looked at.
    pub fn read(text: &str, kind: &Kind, unit: TemperatureUnit) -> Option<Self> {
        let text = text.trim();
        match kind {
            Kind::Temperature(_) | Kind::Difference(_) | Kind::Number(_) | Kind::Whole(_) => {
                parse_number(text).map(Self::Number)
            }
            Kind::Size(dimension, _) => parse_quantity(text, *dimension).ok().map(Self::Number),
            Kind::SizeOrBare(dimension, _) => parse_number(text)
                .or_else(|| parse_quantity(text, *dimension).ok())
                .map(Self::Number),
            Kind::Duration(_) => duration(text).map(Self::Time),
            Kind::YesNo => match text {
                "true" => Some(Self::Flag(true)),
                "false" => Some(Self::Flag(false)),
                _ => None,
            },
            Kind::OnOff => ["on", "off"].contains(&text).then(|| Self::word(text)),
            Kind::Word(words) => words.contains(&text).then(|| Self::word(text)),
            Kind::Words(words, _) => {
                let all = listed(text);
                all.iter().all(|word| words.contains(word)).then(|| Self::words(all))
            }
            Kind::Name | Kind::Label | Kind::Text => (!text.is_empty()).then(|| Self::word(text)),
            Kind::Exactly(2, inner) => span(text, inner, unit).map(Self::Span),
            Kind::Either(kinds) => kinds.iter().find_map(|kind| Self::read(text, kind, unit)),
            _ => None,
        }
    }
}

/// `5 min`, or `2 h 30 min` as times write themselves.
fn duration(text: &str) -> Option<Seconds> {
    let whole = |seconds: f64| {
        #[expect(clippy::cast_possible_truncation, reason = "a number of seconds within 2^53")]
        let count = libm::round(seconds) as i64;
        ((seconds - libm::round(seconds)).abs() < 1e-6 && seconds.abs() < 1e12).then_some(count)
    };
    if let Ok(seconds) = parse_quantity(text, Dimension::Duration) {
        return whole(seconds).map(Seconds::new);
    }
    let parts: Vec<&str> = text.split_whitespace().collect();
    let (pairs, []) = parts.as_chunks::<2>() else { return None };
    let mut sum = 0;
    for pair in pairs {
        sum += whole(parse_quantity(&pair.join(" "), Dimension::Duration).ok()?)?;
    }
    (!pairs.is_empty()).then_some(Seconds::new(sum))
}

/// `[heat, cool]`, `heat cool`, or `none`.
fn listed(text: &str) -> Vec<&str> {
    let inner = text.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')).unwrap_or(text);
    if inner.trim() == NONE {
        return Vec::new();
    }
    inner.split(|c: char| c == ',' || c.is_whitespace()).filter(|it| !it.is_empty()).collect()
}

/// `[17, 24]`, or `17 to 24`.
fn span(text: &str, inner: &Kind, unit: TemperatureUnit) -> Option<[f64; 2]> {
    let (low, high) = match text.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
        Some(inside) => inside.split_once(',')?,
        None => text.split_once(" to ")?,
    };
    Some([Value::read(low, inner, unit)?.number()?, Value::read(high, inner, unit)?.number()?])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::ranges;

    #[test]
    fn what_a_value_writes_is_read_again() {
        const PAIR: Kind = Kind::Exactly(2, &Kind::Temperature(ranges::SETPOINT));
        let kinds: [(Value, &Kind); 6] = [
            (Value::Number(-0.5), &Kind::Difference(ranges::OFFSET)),
            (Value::Time(Seconds::new(9030)), &Kind::Duration(ranges::TIMER)),
            (Value::Flag(true), &Kind::YesNo),
            (Value::word("push"), &Kind::Word(&["push", "hold"])),
            (Value::words([]), &Kind::Words(&["heat", "cool"], 0)),
            (Value::Span([17.0, 24.5]), &PAIR),
        ];
        for (value, kind) in kinds {
            let read = Value::read(&value.to_string(), kind, TemperatureUnit::Celsius);
            assert_eq!(read, Some(value));
        }
        for (text, kind) in [
            ("2 h 30", &Kind::Duration(ranges::TIMER)),
            ("", &Kind::Duration(ranges::TIMER)),
            ("warm", &Kind::Word(&["push", "hold"])),
            ("heat warm", &Kind::Words(&["heat", "cool"], 0)),
            ("17 to", &PAIR),
        ] {
            assert_eq!(Value::read(text, kind, TemperatureUnit::Celsius), None, "{text}");
        }
    }
}
