//! Physical sizes written as text with their unit: `120 m2`, `24 kBtu/h`, `10 min`.

/// One British thermal unit (International Table), J. Exactly 1055.05585262 J by definition
/// (NIST Special Publication 811, appendix B.8), rounded as the scenario format fixes it.
const BTU: f64 = 1_055.055_85;
/// One foot, m: exact by definition (NIST Special Publication 811, appendix B.8).
const FOOT: f64 = 0.3048;
/// An hour, s.
const HOUR: f64 = 3600.0;
/// A kelvin in degrees Fahrenheit, inverted: K per degree F.
const FAHRENHEIT: f64 = 5.0 / 9.0;
/// A ton of refrigeration, W: 12 000 Btu/h.
const TON: f64 = 12_000.0 * BTU / HOUR;

/// What kind of size a text must hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// m2.
    Area,
    /// m.
    Length,
    /// W.
    Power,
    /// s.
    Duration,
    /// W/K.
    Conductance,
    /// 1/h.
    AirChange,
    /// m3/s.
    Flow,
    /// m/s.
    Speed,
    /// W/(m2 K).
    Transmittance,
    /// J/K.
    HeatCapacity,
    /// kg/kWh.
    CarbonIntensity,
    /// Percent.
    Percentage,
    /// W/m2.
    Irradiance,
}

const AREAS: &[(&str, f64)] = &[("m2", 1.0), ("ft2", FOOT * FOOT)];
const LENGTHS: &[(&str, f64)] =
    &[("m", 1.0), ("ft", FOOT), ("cm", 0.01), ("mm", 0.001), ("in", FOOT / 12.0)];
const POWERS: &[(&str, f64)] = &[
    ("W", 1.0),
    ("kW", 1000.0),
    ("Btu/h", BTU / HOUR),
    ("kBtu/h", 1000.0 * BTU / HOUR),
    ("ton", TON),
    ("tons", TON),
];
const DURATIONS: &[(&str, f64)] = &[("s", 1.0), ("min", 60.0), ("h", HOUR)];
const CONDUCTANCES: &[(&str, f64)] =
    &[("W/K", 1.0), ("kW/K", 1000.0), ("Btu/(hF)", BTU / HOUR / FAHRENHEIT)];
const AIR_CHANGES: &[(&str, f64)] = &[("/h", 1.0), ("1/h", 1.0)];
const FLOWS: &[(&str, f64)] = &[
    ("L/s", 0.001),
    ("l/s", 0.001),
    ("m3/s", 1.0),
    ("m3/h", 1.0 / HOUR),
    ("cfm", FOOT * FOOT * FOOT / 60.0),
];
const SPEEDS: &[(&str, f64)] = &[("m/s", 1.0), ("fpm", FOOT / 60.0), ("ft/min", FOOT / 60.0)];
const TRANSMITTANCES: &[(&str, f64)] =
    &[("W/(m2K)", 1.0), ("W/m2K", 1.0), ("Btu/(hft2F)", BTU / HOUR / FOOT / FOOT / FAHRENHEIT)];
const HEAT_CAPACITIES: &[(&str, f64)] = &[
    ("J/K", 1.0),
    ("kJ/K", 1e3),
    ("MJ/K", 1e6),
    ("Wh/K", HOUR),
    ("kWh/K", 1000.0 * HOUR),
    ("Btu/F", BTU / FAHRENHEIT),
];
const CARBON_INTENSITIES: &[(&str, f64)] =
    &[("kg/kWh", 1.0), ("g/kWh", 0.001), ("lb/kWh", 0.453_592_37)];
const PERCENTAGES: &[(&str, f64)] = &[("%", 1.0)];
const IRRADIANCES: &[(&str, f64)] = &[
    ("W/m2", 1.0),
    ("Btu/(hft2)", BTU / HOUR / FOOT / FOOT),
    ("Btu/hft2", BTU / HOUR / FOOT / FOOT),
];

impl Dimension {
    /// All kinds of sizes.
    pub const ALL: [Self; 13] = [
        Self::Area,
        Self::Length,
        Self::Power,
        Self::Duration,
        Self::Conductance,
        Self::AirChange,
        Self::Flow,
        Self::Speed,
        Self::Transmittance,
        Self::HeatCapacity,
        Self::CarbonIntensity,
        Self::Percentage,
        Self::Irradiance,
    ];

    /// The units that are read, without spaces, each with what it is in the SI unit.
    pub const fn units(self) -> &'static [(&'static str, f64)] {
        match self {
            Self::Area => AREAS,
            Self::Length => LENGTHS,
            Self::Power => POWERS,
            Self::Duration => DURATIONS,
            Self::Conductance => CONDUCTANCES,
            Self::AirChange => AIR_CHANGES,
            Self::Flow => FLOWS,
            Self::Speed => SPEEDS,
            Self::Transmittance => TRANSMITTANCES,
            Self::HeatCapacity => HEAT_CAPACITIES,
            Self::CarbonIntensity => CARBON_INTENSITIES,
            Self::Percentage => PERCENTAGES,
            Self::Irradiance => IRRADIANCES,
        }
    }

    /// What the kind is called in a sentence.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Area => "an area",
            Self::Length => "a length",
            Self::Power => "a power",
            Self::Duration => "a length of time",
            Self::Conductance => "a conductance",
            Self::AirChange => "an air change rate",
            Self::Flow => "an air flow",
            Self::Speed => "a speed",
            Self::Transmittance => "a thermal transmittance",
            Self::HeatCapacity => "a heat capacity",
            Self::CarbonIntensity => "a carbon intensity",
            Self::Percentage => "a percentage",
            Self::Irradiance => "an irradiance",
        }
    }

    /// The unit that values are held in.
    pub const fn base(self) -> &'static str {
        match self {
            Self::Area => "m2",
            Self::Length => "m",
            Self::Power => "W",
            Self::Duration => "s",
            Self::Conductance => "W/K",
            Self::AirChange => "/h",
            Self::Flow => "m3/s",
            Self::Speed => "m/s",
            Self::Transmittance => "W/(m2 K)",
            Self::HeatCapacity => "J/K",
            Self::CarbonIntensity => "kg/kWh",
            Self::Percentage => "%",
            Self::Irradiance => "W/m2",
        }
    }

    /// Right ways to write such a size, for help and messages.
    pub const fn examples(self) -> &'static [&'static str] {
        match self {
            Self::Area => &["120 m2", "1300 ft2"],
            Self::Length => &["2.9 m", "9.5 ft"],
            Self::Power => &["6 kW", "90 W", "24 kBtu/h", "2 ton"],
            Self::Duration => &["10 min", "76 s", "2 h"],
            Self::Conductance => &["145 W/K", "80 Btu/(h F)"],
            Self::AirChange => &["0.5 /h"],
            Self::Flow => &["60 L/s", "130 cfm", "200 m3/h"],
            Self::Speed => &["0.1 m/s", "20 fpm"],
            Self::Transmittance => &["1.6 W/(m2 K)", "0.28 Btu/(h ft2 F)"],
            Self::HeatCapacity => &["20 MJ/K", "900 kJ/K"],
            Self::CarbonIntensity => &["0.35 kg/kWh", "350 g/kWh"],
            Self::Percentage => &["50 %"],
            Self::Irradiance => &["250 W/m2", "80 Btu/(h ft2)"],
        }
    }
}

/// Why a text is no size of the wanted kind.
#[derive(Clone, Debug, PartialEq)]
pub enum QuantityFault {
    /// There is no number in front.
    NoNumber,
    /// There is no unit.
    NoUnit,
    /// The unit is not one of this kind.
    WrongUnit(String),
}

/// Reads a plain decimal number: `20`, `-3.5`, `.5`, `1e3`. `None` for anything else, for `inf`
/// and `nan`, and for what is too large to hold.
pub fn parse_number(text: &str) -> Option<f64> {
    let (length, value) = leading_number(text)?;
    (length == text.len()).then_some(value)
}

/// Reads a size of one kind, in its SI unit. Spaces inside the unit do not matter; lengths of
/// time may be sums (`2 h 30 min`).
///
/// # Errors
/// See [`QuantityFault`].
pub fn parse_quantity(text: &str, dimension: Dimension) -> Result<f64, QuantityFault> {
    let mut rest = text.trim();
    let mut sum = 0.0;
    loop {
        let (length, value) = leading_number(rest).ok_or(QuantityFault::NoNumber)?;
        let after = rest[length..].trim_start();
        let (unit, next) = match dimension {
            Dimension::Duration => after.split_at(unit_end(after)),
            _ => (after, ""),
        };
        sum += value * factor(unit, dimension)?;
        rest = next.trim_start();
        if rest.is_empty() {
            return Ok(sum);
        }
    }
}

/// Where a unit ends and the next number of a sum begins.
fn unit_end(text: &str) -> usize {
    text.find(|letter: char| letter.is_ascii_digit()).unwrap_or(text.len())
}

fn factor(unit: &str, dimension: Dimension) -> Result<f64, QuantityFault> {
    let plain: String = unit
        .chars()
        .filter(|letter| !matches!(letter, ' ' | '\u{a0}' | '*' | '·'))
        .map(|letter| match letter {
            '²' => '2',
            '³' => '3',
            other => other,
        })
        .collect();
    if plain.is_empty() {
        return Err(QuantityFault::NoUnit);
    }
    let known = dimension.units().iter().find(|(name, _)| *name == plain);
    known.map(|(_, factor)| *factor).ok_or_else(|| QuantityFault::WrongUnit(unit.trim().into()))
}

/// The number that a text begins with, and how many bytes of it that is.
fn leading_number(text: &str) -> Option<(usize, f64)> {
    let bytes = text.as_bytes();
    let digits_from = |mut at: usize| {
        while bytes.get(at).is_some_and(u8::is_ascii_digit) {
            at += 1;
        }
        at
    };
    let start = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let mut end = digits_from(start);
    let mut digits = end - start;
    if bytes.get(end) == Some(&b'.') {
        let fraction = digits_from(end + 1);
        digits += fraction - end - 1;
        end = fraction;
    }
    if digits == 0 {
        return None;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = end + 1 + usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        if digits_from(sign) > sign {
            end = digits_from(sign);
        }
    }
    let value: f64 = text[..end].parse().ok()?;
    value.is_finite().then_some((end, value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn read(text: &str, dimension: Dimension) -> f64 {
        parse_quantity(text, dimension).expect(text)
    }

    #[test]
    fn sizes_are_read_in_both_systems() {
        assert_relative_eq!(read("120 m2", Dimension::Area), 120.0);
        // 1 ft = 0.3048 m exactly (NIST SP 811, B.8): 1300 ft2 = 1300 * 0.09290304 m2.
        assert_relative_eq!(read("1300 ft2", Dimension::Area), 120.773_952, epsilon = 1e-9);
        assert_relative_eq!(read("9.5 ft", Dimension::Length), 2.8956, epsilon = 1e-12);
        // 12 000 Btu/h with 1 Btu = 1055.05585 J.
        assert_relative_eq!(read("1 ton", Dimension::Power), 3_516.852_833, epsilon = 1e-5);
        assert_relative_eq!(read("24 kBtu/h", Dimension::Power), read("2 ton", Dimension::Power));
        assert_relative_eq!(read("130 cfm", Dimension::Flow), 0.061_353_6, epsilon = 1e-6);
        assert_relative_eq!(read("360 m3/h", Dimension::Flow), 0.1, epsilon = 1e-12);
        assert_relative_eq!(read("60 L/s", Dimension::Flow), 0.06);
        // NIST SP 811, B.8: 1 Btu/(h ft2 F) = 5.678263 W/(m2 K); 1 Btu/(h F) = 0.5275279 W/K.
        assert_relative_eq!(
            read("1 Btu/(h ft2 F)", Dimension::Transmittance),
            5.678_263,
            epsilon = 1e-5
        );
        assert_relative_eq!(
            read("1 Btu/(h F)", Dimension::Conductance),
            0.527_527_9,
            epsilon = 1e-6
        );
        assert_relative_eq!(read("20 fpm", Dimension::Speed), 0.1016, epsilon = 1e-9);
        assert_relative_eq!(read("20 MJ/K", Dimension::HeatCapacity), 2e7);
        assert_relative_eq!(read("350 g/kWh", Dimension::CarbonIntensity), 0.35, epsilon = 1e-12);
    }

    #[test]
    fn spaces_and_small_figures_do_not_matter() {
        assert_relative_eq!(read("120m2", Dimension::Area), 120.0);
        assert_relative_eq!(read("120 m²", Dimension::Area), 120.0);
        assert_relative_eq!(read("0.5/h", Dimension::AirChange), 0.5);
        assert_relative_eq!(read("1.6 W/(m2·K)", Dimension::Transmittance), 1.6);
        assert_relative_eq!(read("1.6 W / (m2 K)", Dimension::Transmittance), 1.6);
    }

    #[test]
    fn lengths_of_time_may_be_sums() {
        assert_relative_eq!(read("2 h 30 min", Dimension::Duration), 9000.0);
        assert_relative_eq!(read("1min30s", Dimension::Duration), 90.0);
        assert_eq!(parse_quantity("2 h 30", Dimension::Duration), Err(QuantityFault::NoUnit));
    }

    #[test]
    fn what_is_no_size_says_why() {
        let area = |text| parse_quantity(text, Dimension::Area);
        assert_eq!(area("120"), Err(QuantityFault::NoUnit));
        assert_eq!(area("m2"), Err(QuantityFault::NoNumber));
        assert_eq!(area(""), Err(QuantityFault::NoNumber));
        assert_eq!(area("inf m2"), Err(QuantityFault::NoNumber));
        assert_eq!(area("1e999 m2"), Err(QuantityFault::NoNumber));
        assert_eq!(area("120 kW"), Err(QuantityFault::WrongUnit("kW".into())));
        assert_eq!(area("120 M2"), Err(QuantityFault::WrongUnit("M2".into())));
    }

    #[test]
    fn numbers_are_plain_decimals() {
        for (text, value) in [("20", 20.0), ("-3.5", -3.5), (".5", 0.5), ("5.", 5.0), ("1e3", 1e3)]
        {
            assert_eq!(parse_number(text), Some(value), "{text}");
        }
        for text in ["", "-", ".", "nan", "inf", "1e999", "0x10", "1_000", "20 C", "1e", "--1"] {
            assert_eq!(parse_number(text), None, "{text}");
        }
    }

    #[test]
    fn every_example_is_read() {
        for dimension in Dimension::ALL {
            for example in dimension.examples() {
                assert!(parse_quantity(example, dimension).is_ok(), "{example}");
            }
            let base: String = dimension.base().replace(' ', "");
            assert!(dimension.units().contains(&(base.as_str(), 1.0)), "{base}");
        }
    }
}
