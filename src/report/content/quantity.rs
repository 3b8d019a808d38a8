//! In what a column is counted: with it come unit, digits, and the format of a workbook's cells.

use crate::engine::Model;
use crate::measures::FigureUnit;
use crate::report::figures::{
    duration, hours_digits, money, one_digit, setpoint, three_figures, unit_sign,
};
use crate::units::TemperatureUnit;

/// In what the values of a column are counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::report) enum Quantity {
    /// Names: where there is no room they are shortened, but stay unlike each other.
    Name,
    /// Words, which go on below where there is no room.
    Words,
    /// Clock times with their date.
    Time,
    /// How often, how many.
    Count,
    /// Hours.
    Hours,
    /// A length of time in hours, which people read with its unit.
    Duration,
    /// Temperatures and their differences, in the unit of the file.
    Temperature,
    /// Degrees of the file's unit times hours.
    DegreeHours,
    /// kWh.
    Energy,
    /// kW.
    Power,
    /// W.
    #[cfg_attr(not(feature = "cli"), expect(dead_code, reason = "only workbooks have it"))]
    Watts,
    /// kg.
    Mass,
    /// The tariff's currency.
    Money,
    /// Percent, to a tenth.
    Percent,
    /// Whole percent.
    WholePercent,
    /// A vote on the scale of ISO 7730, -3 to 3.
    Vote,
    /// A number in its own digits, without a unit.
    Number,
}

impl From<FigureUnit> for Quantity {
    fn from(unit: FigureUnit) -> Self {
        match unit {
            FigureUnit::Energy => Self::Energy,
            FigureUnit::Power => Self::Power,
            FigureUnit::Money => Self::Money,
            FigureUnit::Mass => Self::Mass,
            FigureUnit::Hours => Self::Hours,
            FigureUnit::DegreeHours => Self::DegreeHours,
            FigureUnit::Count => Self::Count,
            FigureUnit::Percent => Self::Percent,
        }
    }
}

impl Quantity {
    /// Whether it is said in words, which stand on the left.
    pub(in crate::report) const fn is_words(self) -> bool {
        matches!(self, Self::Name | Self::Words | Self::Time)
    }

    /// A value with sensible digits, and never `-0`.
    pub(in crate::report) fn shown(self, value: f64) -> String {
        let text = match self {
            Self::Energy | Self::Power | Self::Mass => three_figures(value),
            Self::Money => money(value, ""),
            Self::Hours => hours_digits(value),
            Self::Duration => duration(value),
            Self::Temperature | Self::DegreeHours | Self::Percent => one_digit(value),
            Self::Count | Self::Watts | Self::WholePercent => format!("{value:.0}"),
            Self::Vote => format!("{value:+.2}"),
            Self::Name | Self::Words | Self::Time | Self::Number => (value + 0.0).to_string(),
        };
        if text == "-0" { "0".into() } else { text }
    }

    /// A difference with its sign; `0` where there is none.
    pub(in crate::report) fn signed(self, value: f64) -> String {
        with_sign(value, &self.shown(value.abs()))
    }

    /// How a workbook shows the number, which its cell holds in full.
    #[cfg(feature = "cli")]
    pub(in crate::report) const fn format(self) -> &'static str {
        match self {
            Self::Count | Self::Watts | Self::WholePercent => "#,##0",
            Self::Hours | Self::Temperature | Self::DegreeHours | Self::Percent => "#,##0.0",
            Self::Money | Self::Vote | Self::Duration => "#,##0.00",
            Self::Energy | Self::Power | Self::Mass => "#,##0.000",
            Self::Name | Self::Words | Self::Time | Self::Number => "General",
        }
    }
}

/// `−12 %`, `+3 %`, `0 %`.
pub(in crate::report) fn signed_percent(value: f64) -> String {
    let size = value.abs();
    let size = if size < 9.95 { setpoint(size) } else { format!("{size:.0}") };
    format!("{} %", with_sign(value, &size))
}

fn with_sign(value: f64, size: &str) -> String {
    let nothing = size.chars().all(|letter| matches!(letter, '0' | '.' | '+'));
    match value {
        _ if nothing => "0".into(),
        _ if value < 0.0 => format!("−{}", size.trim_start_matches('+')),
        _ => format!("+{}", size.trim_start_matches('+')),
    }
}

/// The units that a file chooses.
#[derive(Clone, Copy, Debug)]
pub(in crate::report) struct Units<'a> {
    temperature: TemperatureUnit,
    currency: &'a str,
}

impl<'a> Units<'a> {
    /// Those of a model.
    pub(in crate::report) fn of(model: &'a Model) -> Self {
        let currency = model.tariff.as_ref().map_or("", |tariff| tariff.currency.as_str());
        Self::new(model.unit, currency)
    }

    /// A unit of temperatures and a currency.
    pub(in crate::report) const fn new(temperature: TemperatureUnit, currency: &'a str) -> Self {
        Self { temperature, currency }
    }

    /// The unit of a quantity; empty where it has none.
    pub(in crate::report) fn unit(self, quantity: Quantity) -> String {
        let sign = unit_sign(self.temperature);
        match quantity {
            Quantity::Energy => "kWh",
            Quantity::Power => "kW",
            Quantity::Watts => "W",
            Quantity::Mass => "kg",
            Quantity::Hours => "h",
            Quantity::Money => self.currency,
            Quantity::Temperature => sign,
            Quantity::DegreeHours => return format!("{sign} h"),
            Quantity::Percent | Quantity::WholePercent => "%",
            Quantity::Name
            | Quantity::Words
            | Quantity::Time
            | Quantity::Count
            | Quantity::Duration
            | Quantity::Vote
            | Quantity::Number => "",
        }
        .to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn differences_carry_their_sign_and_zero_has_none() {
        assert_eq!(Quantity::Energy.signed(-1.234), "−1.23");
        assert_eq!(Quantity::Count.signed(3.0), "+3");
        assert_eq!(Quantity::Hours.signed(-0.01), "0");
        assert_eq!(signed_percent(-12.34), "−12 %");
        assert_eq!(signed_percent(2.04), "+2 %");
        assert_eq!(signed_percent(0.0), "0 %");
        assert_eq!(Quantity::Money.shown(-0.001), "0.00");
        assert_eq!(Quantity::Count.shown(-0.1), "0");
    }
}
