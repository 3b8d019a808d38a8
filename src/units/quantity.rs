//! Physical sizes written as text with their unit: `120 m2`, `24 kBtu/h`, `10 min`.

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

/// Reads a size of one kind, in its SI unit.
///
/// # Errors
/// See [`QuantityFault`].
pub fn parse_quantity(text: &str, dimension: Dimension) -> Result<f64, QuantityFault> {
    let _ = (text, dimension);
    Err(QuantityFault::NoNumber)
}
