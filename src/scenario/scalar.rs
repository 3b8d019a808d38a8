//! Reading one scalar of the file as what its key wants.

use jiff::civil::Date;

use super::fault::Complaint;
use super::keys::{Kind, LONGEST_LABEL, LONGEST_TEXT};
use super::near::nearest;
use super::shown::{shortened, tidy};
use super::tree::{Node, Value};
use crate::settings::Accepted;
use crate::time::{ClockTime, Seconds};
use crate::units::{Dimension, QuantityFault, TemperatureUnit, parse_number, parse_quantity};

/// What a scalar was read as.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Scalar<'n> {
    /// A number, or a size in its base unit.
    Number(f64),
    /// Text, a name or a word.
    Text(&'n str),
    /// `true` or `on`.
    Flag(bool),
    Duration(Seconds),
    Clock(ClockTime),
    Moment(Moment),
    Date(Date),
}

/// When an action happens.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Moment {
    /// Which day, 0 for the first; `None` where only a clock time is written.
    pub(super) day: Option<i64>,
    pub(super) clock: ClockTime,
}

/// Reads a scalar of a kind that is one; `unit` is the file's.
pub(super) fn read<'n>(
    node: &'n Node,
    kind: &Kind,
    unit: TemperatureUnit,
) -> Result<Scalar<'n>, Complaint> {
    let Value::Scalar { text, quoted } = &node.value else { return Err(wrong_kind(node, kind)) };
    if node.is_null() {
        return Err(Complaint::new("missing-value", "there is no value here").help(wanted(kind)));
    }
    let bare = (!quoted).then_some(&**text);
    match kind {
        Kind::Text => short(text, LONGEST_TEXT),
        Kind::Label => short(text, LONGEST_LABEL),
        Kind::Name => name(text),
        Kind::Number(accepted) => {
            let value = number(node, bare, kind)?;
            within(value, accepted, (accepted.low, accepted.high), accepted.unit)
        }
        Kind::Whole(accepted) => whole(node, bare, accepted, kind),
        Kind::Temperature(accepted) => {
            let value = number(node, bare, kind)?;
            let ends = (unit.from_celsius(accepted.low), unit.from_celsius(accepted.high));
            within(value, accepted, ends, unit.letter())
        }
        Kind::Difference(accepted) => {
            let value = number(node, bare, kind)?;
            let end = |kelvin| unit.difference_from_kelvin(kelvin);
            within(value, accepted, (end(accepted.low), end(accepted.high)), unit.letter())
        }
        Kind::Size(dimension, accepted) => size(text, *dimension, accepted).map(Scalar::Number),
        Kind::SizeOrBare(dimension, accepted) => match bare.and_then(parse_number) {
            Some(value) => within(value, accepted, (accepted.low, accepted.high), accepted.unit),
            None => size(text, *dimension, accepted).map(Scalar::Number),
        },
        Kind::Duration(accepted) => duration(text, accepted),
        Kind::YesNo => flag(bare).map(Scalar::Flag).ok_or_else(|| wrong_kind(node, kind)),
        Kind::OnOff => on_off(text, bare).map(Scalar::Flag).ok_or_else(|| wrong_kind(node, kind)),
        // What writes YAML may turn a bare `off` into `false`.
        Kind::Word(words) if bare == Some("false") && words.contains(&"off") => {
            Ok(Scalar::Text("off"))
        }
        Kind::Word(words) => word(text, words).map(Scalar::Text),
        Kind::Clock => clock(text).map(Scalar::Clock).ok_or_else(|| wrong_kind(node, kind)),
        Kind::Moment => moment(text).map(Scalar::Moment).ok_or_else(|| wrong_kind(node, kind)),
        Kind::Date => date(text).map(Scalar::Date).ok_or_else(|| wrong_kind(node, kind)),
        Kind::Either(kinds) => either(node, kinds, unit, kind),
        Kind::OneOrMore(inner) => read(node, inner, unit),
        Kind::Words(..)
        | Kind::Exactly(..)
        | Kind::ListOf(_)
        | Kind::Block(_)
        | Kind::ByName(_)
        | Kind::ByWord(_)
        | Kind::Changes => Err(wrong_kind(node, kind)),
    }
}

/// The complaint that something else is wanted here.
pub(super) fn wrong_kind(node: &Node, kind: &Kind) -> Complaint {
    let message = format!("{} is wanted here, not {}", kind.describe(), node.describe());
    let quoted_number = matches!(&node.value,
        Value::Scalar { text, quoted: true } if parse_number(text).is_some());
    let bare = matches!(kind, Kind::Number(_) | Kind::Whole(_) | Kind::Temperature(_));
    match &node.value {
        Value::Scalar { text, .. } if quoted_number && bare => {
            Complaint::new("wrong-kind", message).help(format!("write {text} without quotes"))
        }
        _ => Complaint::new("wrong-kind", message).help(wanted(kind)),
    }
}

/// How a right value is written.
fn wanted(kind: &Kind) -> String {
    match kind.examples().join("` or `") {
        none if none.is_empty() => format!("give {}", kind.describe()),
        examples => format!("write it like `{examples}`"),
    }
}

/// A text of a length that somebody can read.
fn short(text: &str, most: usize) -> Result<Scalar<'_>, Complaint> {
    let long = text.char_indices().nth(most).is_some();
    if !long {
        return Ok(Scalar::Text(text));
    }
    let message = format!("this text has {} characters", text.chars().count());
    Err(Complaint::new("too-long", message).help(format!("write at most {most}")))
}

fn name(text: &str) -> Result<Scalar<'_>, Complaint> {
    if is_name(text) {
        return Ok(Scalar::Text(text));
    }
    Err(bad_name(text))
}

/// The complaint about a text that cannot name anything.
pub(super) fn bad_name(text: &str) -> Complaint {
    Complaint::new("bad-name", format!("`{}` cannot be a name", shortened(text)))
        .help("names have letters without accents, digits, `_` and `-`, at most 64 of them")
}

/// Whether a text can name a zone, a controller or a variant.
pub(super) fn is_name(text: &str) -> bool {
    let letter = |byte: u8| byte.is_ascii_alphanumeric() || matches!(byte, b'_' | b'-');
    (1..=64).contains(&text.len()) && text.bytes().all(letter)
}

fn number(node: &Node, bare: Option<&str>, kind: &Kind) -> Result<f64, Complaint> {
    bare.and_then(parse_number).ok_or_else(|| wrong_kind(node, kind))
}

fn whole<'n>(
    node: &'n Node,
    bare: Option<&str>,
    accepted: &Accepted,
    kind: &Kind,
) -> Result<Scalar<'n>, Complaint> {
    let value = number(node, bare, kind)?;
    if value.fract() != 0.0 {
        return Err(wrong_kind(node, kind));
    }
    within(value, accepted, (accepted.low, accepted.high), accepted.unit)
}

fn within<'n>(
    value: f64,
    accepted: &Accepted,
    ends: (f64, f64),
    unit: &str,
) -> Result<Scalar<'n>, Complaint> {
    held(value, accepted, ends, unit).map(Scalar::Number)
}

/// A number that lies between the ends that are accepted.
fn held(
    value: f64,
    accepted: &Accepted,
    (low, high): (f64, f64),
    unit: &str,
) -> Result<f64, Complaint> {
    // A bound that was converted to F must not refuse the bound itself.
    const ROUNDING: f64 = 1e-9;
    if (low - ROUNDING..=high + ROUNDING).contains(&value) {
        // Zero is zero in every unit: what lies a trifle below it is none the less negative.
        return Ok(if low == 0.0 { value.max(0.0) } else { value });
    }
    let space = if unit.is_empty() { "" } else { " " };
    let span = format!("{} to {}{space}{unit}", tidy(low), tidy(high));
    let message = format!("{}: {}{space}{unit} is out of range", accepted.name, tidy(value));
    Err(Complaint::new("out-of-range", message)
        .help(format!("accepted is {span} ({})", accepted.source)))
}

fn size(text: &str, dimension: Dimension, accepted: &Accepted) -> Result<f64, Complaint> {
    let like = dimension.examples().join("` or `");
    let value = parse_quantity(text, dimension).map_err(|fault| match fault {
        QuantityFault::NoNumber => Complaint::new(
            "wrong-kind",
            format!("{} is wanted here, not `{}`", dimension.name(), shortened(text)),
        )
        .help(format!("write it like `{like}`")),
        QuantityFault::NoUnit => {
            Complaint::new("wrong-unit", format!("{} needs its unit", dimension.name()))
                .help(format!("write it like `{like}`"))
        }
        QuantityFault::WrongUnit(unit) => Complaint::new(
            "wrong-unit",
            format!("`{}` is no unit of {}", shortened(&unit), dimension.name()),
        )
        .help(format!("write it like `{like}`")),
    })?;
    held(value, accepted, (accepted.low, accepted.high), accepted.unit)
}

fn duration<'n>(text: &str, accepted: &Accepted) -> Result<Scalar<'n>, Complaint> {
    let seconds = size(text, Dimension::Duration, accepted)?;
    let nearest = libm::round(seconds);
    if (seconds - nearest).abs() > 1e-6 {
        let message = format!("{} s are not whole seconds", tidy(seconds));
        return Err(Complaint::new("out-of-range", message)
            .help(format!("write `{} s`", tidy(nearest.max(1.0)))));
    }
    #[expect(clippy::cast_possible_truncation, reason = "the range holds it within a week")]
    let count = nearest as i64;
    Ok(Scalar::Duration(Seconds::new(count)))
}

fn flag(bare: Option<&str>) -> Option<bool> {
    match bare? {
        "true" | "True" | "TRUE" => Some(true),
        "false" | "False" | "FALSE" => Some(false),
        _ => None,
    }
}

fn on_off(text: &str, bare: Option<&str>) -> Option<bool> {
    match text {
        "on" => Some(true),
        "off" => Some(false),
        _ => flag(bare),
    }
}

/// One of some words.
pub(super) fn word<'n>(text: &'n str, words: &[&str]) -> Result<&'n str, Complaint> {
    if words.contains(&text) {
        return Ok(text);
    }
    let near = nearest(text, words.iter().copied()).unwrap_or_default();
    let message = format!("`{}` is not known here", shortened(text));
    Err(Complaint::new("unknown-word", message)
        .help(format!("the nearest is `{near}`; known are {}", words.join(", "))))
}

fn clock(text: &str) -> Option<ClockTime> {
    ClockTime::parse(text)
}

fn moment(text: &str) -> Option<Moment> {
    let Some((day, rest)) = text.strip_prefix('d').and_then(|rest| rest.split_once(' ')) else {
        return Some(Moment { day: None, clock: clock(text)? });
    };
    let digits = (1..=4).contains(&day.len()) && day.bytes().all(|byte| byte.is_ascii_digit());
    let number: i64 = digits.then(|| day.parse().ok()).flatten()?;
    Some(Moment { day: Some(number.checked_sub(1)?), clock: clock(rest.trim_start())? })
}

fn date(text: &str) -> Option<Date> {
    let plain = text.len() == 10 && text.bytes().all(|byte| byte.is_ascii_digit() || byte == b'-');
    plain.then(|| text.parse().ok()).flatten()
}

/// The first of several kinds that fits. Where none does, the complaint of one that has the
/// shape and only a wrong value, else that something else is wanted.
fn either<'n>(
    node: &'n Node,
    kinds: &[Kind],
    unit: TemperatureUnit,
    all: &Kind,
) -> Result<Scalar<'n>, Complaint> {
    let mut nearly = None;
    for kind in kinds {
        match read(node, kind, unit) {
            Ok(value) => return Ok(value),
            Err(complaint) if matches!(complaint.code, "out-of-range" | "wrong-unit") => {
                nearly = Some(complaint);
            }
            Err(_) => {}
        }
    }
    Err(nearly.unwrap_or_else(|| wrong_kind(node, all)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::ranges;

    /// A fan of -1e-300 W once took less than no electricity.
    #[test]
    fn nothing_that_begins_at_zero_is_a_trifle_below_it() {
        let watts = size("-1e-300 W", Dimension::Power, ranges::FAN);
        assert_eq!(watts.ok().map(f64::to_bits), Some(0.0_f64.to_bits()));
        assert!(size("-1 W", Dimension::Power, ranges::FAN).is_err());
    }
}
