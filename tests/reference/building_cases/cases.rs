//! The cases, as scenario files.

use std::fmt::Write;

use super::envelope::{Envelope, input};

/// Window area of each box, m2.
pub(crate) const GLAZING: f64 = 12.0;
/// Part of the solar factor at right angles that a year's sun finds: ISO 13790:2008, 11.4.2.
const AS_THE_SUN_STANDS: f64 = 0.9;
/// Volumetric heat capacity of the box's own air, J/(m3 K), at sea level.
const AIR: f64 = 1.2 * 1006.0;

/// What walls and floor are made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Heaviness {
    /// Timber and plasterboard.
    Light,
    /// Concrete.
    Heavy,
}

/// A building case.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Case {
    C600,
    C620,
    C640,
    C650,
    C900,
    C940,
    C950,
    C600FF,
    C650FF,
    C900FF,
    C950FF,
}

impl Case {
    pub(crate) const ALL: [Self; 11] = [
        Self::C600,
        Self::C620,
        Self::C640,
        Self::C650,
        Self::C900,
        Self::C940,
        Self::C950,
        Self::C600FF,
        Self::C650FF,
        Self::C900FF,
        Self::C950FF,
    ];

    /// Its number in the standard.
    pub(crate) fn number(self) -> String {
        format!("{self:?}")[1..].to_owned()
    }

    pub(crate) fn of_number(number: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|case| case.number() == number)
    }

    fn heaviness(self) -> Heaviness {
        match self {
            Self::C900 | Self::C940 | Self::C950 | Self::C900FF | Self::C950FF => Heaviness::Heavy,
            _ => Heaviness::Light,
        }
    }

    fn windows(self) -> String {
        let g = AS_THE_SUN_STANDS * input("/window/SHGC_normal");
        let u = input("/window/U");
        let facings: &[&str] = if self == Self::C620 { &["east", "west"] } else { &["south"] };
        let area = GLAZING / facings.len() as f64;
        let window = |facing: &&str| {
            format!("{{area: {area} m2, u: {u}, g: {g:.4}, frame: 0, facing: {facing}}}")
        };
        facings.iter().map(window).collect::<Vec<_>>().join(", ")
    }

    fn night_ventilation(self) -> bool {
        matches!(self, Self::C650 | Self::C950 | Self::C650FF | Self::C950FF)
    }

    /// Mode, setpoints and hours.
    fn controls(self) -> &'static str {
        match self {
            Self::C600 | Self::C620 | Self::C900 => "heat: 20, cool: 27",
            Self::C640 | Self::C940 => {
                "heat: 20, cool: 27, occupancy: {from: \"07:00\", to: \"23:00\"}, \
                 setback: {heat: 10, cool: 0, heat_low: 10}"
            }
            Self::C650 | Self::C950 => "heat: 20, cool: 27, mode: cool, power: off",
            Self::C600FF | Self::C650FF | Self::C900FF | Self::C950FF => {
                "heat: 20, cool: 27, power: off"
            }
        }
    }

    /// The case as a scenario file beside its weather.
    pub(crate) fn scenario(self, weather: &str) -> String {
        let envelope = Envelope::of(self.heaviness());
        let thin_air =
            input("/infiltration/ach_if_no_altitude_correction") / input("/infiltration/ach");
        let (floor, height) = (input("/geometry/floor_m2"), input("/geometry/height_m"));
        let mut text = format!(
            "title: Building case {}\nperiod: {{from: 2025-01-01, days: 365, step: 1 h}}\n\
             weather: {{tmy3: {{file: {weather}}}}}\nzones:\n  box:\n    space:\n      \
             floor: {floor} m2\n      height: {height} m\n      mass_capacity: {:.3} kJ/K\n      \
             mass_area: {:.3} m2\n      air_capacity: {:.3} kJ/K\n      opaque: {:.4} W/K\n      \
             infiltration: {} /h\n      windows: [{}]\n",
            self.number(),
            envelope.mass_capacity() / 1000.0,
            envelope.mass_area(),
            thin_air * AIR * floor * height / 1000.0,
            envelope.opaque(),
            input("/infiltration/ach_if_no_altitude_correction"),
            self.windows(),
        );
        if self.night_ventilation() {
            let flow = thin_air * 1703.16 / 3.6;
            let rate = format!("{{rate: {flow:.3} L/s, from: \"18:00\", to: \"07:00\"}}");
            writeln!(text, "      ventilation: {rate}").expect("text takes it");
        }
        let gain = input("/internal_gain/total_W");
        write!(
            text,
            "    gains: [{{from: \"00:00\", to: \"24:00\", power: {gain} W}}]\n    \
             unit: {{heating: 1000 kW, cooling: 1000 kW, control: ideal}}\n    \
             controls: {{{}}}\n",
            self.controls(),
        )
        .expect("text takes it");
        if matches!(self, Self::C650 | Self::C950) {
            text.push_str(
                "actions:\n  - {every: day, at: \"07:00\", zone: box, role: schedule, power: on}\n  \
                 - {every: day, at: \"18:00\", zone: box, role: schedule, power: off}\n",
            );
        }
        text
    }
}
