//! Which values a path takes: `0..4:0.5`, `[a, b, c]`, `0.2..0.8 /h`, `normal(0, 0.5)`.

use serde::{Deserialize, Serialize};

use super::super::chance::normal_quantile;
use crate::units::parse_number;

/// More values on one path are a slip of the pen.
const MOST_VALUES: usize = 1_000_000;

/// The values that a path takes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Values {
    /// These, as a file would have them.
    List(Vec<String>),
    /// These, one a draw in their order: what other paths have in the same place goes with it.
    Rows(Vec<String>),
    /// Anything from `low` to `high`, evenly likely.
    Range {
        /// The lowest.
        low: f64,
        /// The highest.
        high: f64,
        /// What stands after the number: ` W`.
        unit: String,
    },
    /// A normal distribution.
    Normal {
        /// Its mean.
        mean: f64,
        /// Its standard deviation.
        deviation: f64,
        /// What stands after the number.
        unit: String,
    },
}

/// Why a text gives no values: what is wrong, and what would be right.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoValues {
    /// What is wrong.
    pub what: String,
    /// What would be right.
    pub help: String,
}

fn no_values(what: impl Into<String>, help: impl Into<String>) -> NoValues {
    NoValues { what: what.into(), help: help.into() }
}

const EXAMPLES: &str = "write a range with its step as `0..4:0.5`, a list as `[a, b, c]`, or with \
                        a unit `500..1500:250 W`";

impl Values {
    /// Reads the text after `PATH=`.
    ///
    /// # Errors
    /// The text gives no values.
    pub fn parse(text: &str) -> Result<Self, NoValues> {
        let text = text.trim();
        if text.is_empty() {
            return Err(no_values("there are no values", EXAMPLES));
        }
        if let Some(inside) = text.strip_prefix('[').and_then(|rest| rest.strip_suffix(']')) {
            return list(inside);
        }
        if let Some(inside) = text.strip_prefix("normal(") {
            return normal(text, inside);
        }
        if text.contains("..") {
            return range(text);
        }
        Ok(Self::List(vec![text.to_owned()]))
    }

    /// How many there are; `None` where anything in a range may come.
    pub fn count(&self) -> Option<usize> {
        match self {
            Self::List(all) | Self::Rows(all) => Some(all.len()),
            Self::Range { .. } | Self::Normal { .. } => None,
        }
    }

    /// The value of that place in a list; of anything else the one in the middle.
    pub fn at(&self, place: usize) -> String {
        match self {
            Self::List(all) | Self::Rows(all) => all.get(place).cloned().unwrap_or_default(),
            Self::Range { .. } | Self::Normal { .. } => self.quantile(0.5),
        }
    }

    /// The value below which lies the part `part` (0 to 1) of all values.
    pub fn quantile(&self, part: f64) -> String {
        match self {
            Self::List(all) | Self::Rows(all) => {
                let place = whole(libm::floor(part * all.len() as f64)).min(all.len() - 1);
                all[place].clone()
            }
            Self::Range { low, high, unit } => {
                let value = low + part * (high - low);
                format!("{}{unit}", rounded(value, high - low).clamp(*low, *high))
            }
            Self::Normal { mean, deviation, unit } => {
                let value = mean + deviation * normal_quantile(part);
                format!("{}{unit}", rounded(value, *deviation))
            }
        }
    }

    /// Values that stand for all: every one of a list, both ends and the middle of a range, and the
    /// first, middle and last of rows.
    pub fn samples(&self) -> Vec<String> {
        match self {
            Self::List(all) => all.clone(),
            Self::Rows(all) => {
                [0, all.len() / 2, all.len().saturating_sub(1)].map(|it| self.at(it)).to_vec()
            }
            Self::Range { .. } | Self::Normal { .. } => {
                [0.05, 0.5, 0.95].into_iter().map(|part| self.quantile(part)).collect()
            }
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast saturates, and the callers' numbers are counts"
)]
fn whole(number: f64) -> usize {
    number as usize
}

/// To about four digits of a span: more would suggest a precision that chance does not have.
fn rounded(value: f64, span: f64) -> f64 {
    let power = libm::floor(libm::log10(span.abs().max(1e-9))) - 4.0;
    let scale = libm::pow(10.0, libm::fabs(power));
    // Multiplying or dividing by a whole power of ten keeps the decimals exact.
    let even = |value: f64| libm::round(value) + 0.0;
    if power < 0.0 { even(value * scale) / scale } else { even(value / scale) * scale }
}

/// Items between commas, but not those inside brackets, braces or quotes.
fn list(inside: &str) -> Result<Values, NoValues> {
    let mut items = vec![String::new()];
    let (mut depth, mut quote) = (0_i32, None);
    for letter in inside.chars() {
        match (letter, quote) {
            (',', None) if depth == 0 => {
                items.push(String::new());
                continue;
            }
            ('[' | '{' | '(', None) => depth += 1,
            (']' | '}' | ')', None) => depth -= 1,
            ('"' | '\'', None) => quote = Some(letter),
            (_, Some(open)) if open == letter => quote = None,
            _ => {}
        }
        if let Some(last) = items.last_mut() {
            last.push(letter);
        }
    }
    let items: Vec<String> = items.iter().map(|item| item.trim().to_owned()).collect();
    if let Some(place) = items.iter().position(String::is_empty) {
        return Err(no_values(format!("value {} of the list is empty", place + 1), EXAMPLES));
    }
    if let Some((place, item)) =
        items.iter().enumerate().find(|(place, item)| items[..*place].contains(item))
    {
        let twice = format!("value {} of the list, `{item}`, stands there before", place + 1);
        return Err(no_values(twice, "keep one of the two"));
    }
    Ok(Values::List(items))
}

/// A number and what follows it.
fn leading_number(text: &str) -> Option<(f64, usize, &str)> {
    let text = text.trim_start();
    let end = text
        .find(|letter: char| !(letter.is_ascii_digit() || matches!(letter, '.' | '-' | '+')))
        .unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    let decimals = number.split_once('.').map_or(0, |(_, after)| after.len());
    Some((parse_number(number)?, decimals, rest))
}

fn range(text: &str) -> Result<Values, NoValues> {
    let fault = |what: String| no_values(what, EXAMPLES);
    let (low_text, rest) = text.split_once("..").unwrap_or((text, ""));
    let (low, low_decimals, after_low) =
        leading_number(low_text).ok_or_else(|| fault(format!("`{low_text}` is no number")))?;
    if !after_low.trim().is_empty() {
        return Err(fault(format!("the unit stands after the range, not after `{low_text}`")));
    }
    let (high, _, after) =
        leading_number(rest).ok_or_else(|| fault(format!("`{rest}` begins with no number")))?;
    if low > high {
        return Err(no_values(
            format!("the range runs from {low} down to {high}"),
            "put the lower end first",
        ));
    }
    let Some(step_text) = after.strip_prefix(':') else {
        return Ok(Values::Range { low, high, unit: unit(after) });
    };
    let (step, step_decimals, after) = leading_number(step_text)
        .ok_or_else(|| fault(format!("`{step_text}` begins with no step")))?;
    if step <= 0.0 {
        return Err(no_values(format!("the step {step} leads nowhere"), "give a step above zero"));
    }
    let steps = libm::floor((high - low) / step + 1e-9);
    if steps >= MOST_VALUES as f64 {
        let what = format!("{text} has {:.0} values, more than {MOST_VALUES}", steps + 1.0);
        return Err(no_values(what, "give a larger step"));
    }
    let decimals = low_decimals.max(step_decimals);
    let unit = unit(after);
    let value = |place: usize| format!("{:.decimals$}", low + place as f64 * step + 0.0);
    let tidy = |text: String| {
        let bare = text.trim_end_matches('0').trim_end_matches('.');
        if text.contains('.') { bare.to_owned() } else { text }
    };
    Ok(Values::List((0..=whole(steps)).map(|place| tidy(value(place)) + &unit).collect()))
}

fn unit(after: &str) -> String {
    let unit = after.trim();
    if unit.is_empty() { String::new() } else { format!(" {unit}") }
}

fn normal(text: &str, inside: &str) -> Result<Values, NoValues> {
    const HELP: &str = "write mean and standard deviation as `normal(0, 0.5)`, with a unit after \
                        the bracket";
    let fault = || no_values(format!("`{text}` is no normal distribution"), HELP);
    let (numbers, after) = inside.split_once(')').ok_or_else(fault)?;
    let (mean, deviation) = numbers.split_once(',').ok_or_else(fault)?;
    let number = |text: &str| parse_number(text.trim());
    let (mean, deviation) =
        number(mean).zip(number(deviation)).filter(|(_, it)| *it > 0.0).ok_or_else(fault)?;
    Ok(Values::Normal { mean, deviation, unit: unit(after) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn listed(text: &str) -> Vec<String> {
        match Values::parse(text).expect("values") {
            Values::List(all) => all,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn ranges_with_a_step_are_written_as_a_person_would() {
        assert_eq!(listed("0..2:0.5"), ["0", "0.5", "1", "1.5", "2"]);
        assert_eq!(listed("0..0.3:0.1"), ["0", "0.1", "0.2", "0.3"]);
        assert_eq!(listed("-1..1:1"), ["-1", "0", "1"]);
        assert_eq!(listed("500..1000:250 W"), ["500 W", "750 W", "1000 W"]);
        assert_eq!(listed("8..10:5"), ["8"]);
        assert_eq!(listed("100..300:100"), ["100", "200", "300"]);
    }

    #[test]
    fn lists_are_cut_at_their_own_commas_alone() {
        assert_eq!(listed("[heat, cool]"), ["heat", "cool"]);
        assert_eq!(listed("[[17, 22], [16, 24]]"), ["[17, 22]", "[16, 24]"]);
        assert_eq!(listed("[\"a, b\", c]"), ["\"a, b\"", "c"]);
        assert_eq!(listed("22"), ["22"]);
    }

    #[test]
    fn what_gives_no_values_says_why() {
        let what = |text| Values::parse(text).expect_err("no values").what;
        assert!(what("4..0:1").contains("down to"));
        assert!(what("0..4:0").contains("leads nowhere"));
        assert!(what("0..4:-1").contains("leads nowhere"));
        assert!(what("[a,,b]").contains("value 2"));
        assert!(what("[a, b, a]").contains("value 3"));
        assert!(what("0..1:0.0000001").contains("more than"));
        assert!(what("a..b").contains("no number"));
        assert!(what("").contains("no values"));
        assert!(what("normal(0, 0)").contains("no normal"));
        assert!(what("5 W..9 W").contains("after the range"));
    }

    #[test]
    fn quantiles_of_ranges_lie_inside_and_are_tidy() {
        let range = Values::parse("0.2..0.8 /h").expect("a range");
        assert_eq!(range.quantile(0.5), "0.5 /h");
        assert_eq!(range.quantile(0.0), "0.2 /h");
        assert_eq!(range.quantile(1.0), "0.8 /h");
        let normal = Values::parse("normal(0, 0.5)").expect("a distribution");
        assert_eq!(normal.quantile(0.5), "0");
        // The 97.5 % point of the standard normal distribution is 1.95996 (any table of it).
        let high: f64 = normal.quantile(0.975).parse().expect("a number");
        assert!((high - 0.97998).abs() < 1e-4, "{high}");
        let large = Values::parse("10000..90000").expect("a range");
        assert_eq!(large.quantile(0.123_456_7), "19877");
    }
}
