//! Which values the key at a path can have at all: ticks of a controller, whole seconds, whole
//! numbers.

use serde::{Deserialize, Serialize};

use super::keys::{Kind, ROOT};
use super::path::PathSteps;
use super::{band, every_zone};
use crate::engine::Model;
use crate::settings::Key;
use crate::settings::controls::{
    COOL, HEAT, MIN_DEADBAND, RETURN_COOL, RETURN_HEAT, SETBACK_CEILING, SETBACK_COOL,
    SETBACK_FLOOR, SETBACK_HEAT,
};
use crate::units::{Dimension, parse_number, parse_quantity};

/// Settings whose values controllers store in ticks (rule 1).
const IN_TICKS: [Key; 9] = [
    HEAT,
    COOL,
    MIN_DEADBAND,
    SETBACK_HEAT,
    SETBACK_COOL,
    SETBACK_FLOOR,
    SETBACK_CEILING,
    RETURN_HEAT,
    RETURN_COOL,
];

/// Values that a key can have: those between them are faults.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ValueGrid {
    /// Lengths of time in whole seconds.
    Seconds,
    /// Numbers that are whole multiples of this.
    Multiples(f64),
}

impl ValueGrid {
    /// That of the key at a path, as variants and sweeps have it; `None` where any number will do.
    /// For several zones at once the coarsest of their ticks.
    pub fn of(path: &str, model: &Model) -> Option<Self> {
        let mut parts = path.splitn(3, '.');
        // What is written for every zone is that of each.
        let (zone, within_zone) = match path.strip_prefix(every_zone::KEY) {
            Some(rest) => ("*", rest.trim_start_matches('.')),
            None => (parts.nth(1).unwrap_or("*"), parts.next().unwrap_or_default()),
        };
        let ticks = || {
            let named = |id: &str| zone == "*" || zone == id;
            let zones = model.zones.iter().filter(|zone| named(&zone.id));
            let step = zones.map(|zone| zone.controls.settings.grid.step()).fold(0.0, f64::max);
            (step > 0.0).then_some(Self::Multiples(step))
        };
        let in_ticks = IN_TICKS.iter().any(|key| key.path == within_zone);
        if band::zone_of(path).is_some() || in_ticks {
            return ticks();
        }
        match PathSteps::of(path).try_fold(ROOT, |kind, step| kind.below(step))? {
            Kind::Duration(_) => Some(Self::Seconds),
            Kind::Whole(_) => Some(Self::Multiples(1.0)),
            _ => None,
        }
    }

    /// The nearest of its values, as a file would have it, halves upward; `None` where the text is
    /// no such number.
    pub fn nearest(self, text: &str) -> Option<String> {
        match self {
            Self::Seconds => {
                let seconds = parse_quantity(text, Dimension::Duration).ok()?;
                Some(format!("{} s", (seconds + 0.5).floor() + 0.0))
            }
            Self::Multiples(step) => {
                let multiple = (parse_number(text.trim())? / step + 0.5 + 1e-9).floor();
                let digits = usize::from(step.fract() != 0.0);
                let number = format!("{:.digits$}", multiple * step + 0.0);
                Some(number.strip_suffix(".0").map(str::to_owned).unwrap_or(number))
            }
        }
    }

    /// Whether a text is one of its values.
    pub fn has(self, text: &str) -> bool {
        let close = |value: f64| (value - value.round()).abs() < 1e-9;
        match self {
            Self::Seconds => parse_quantity(text, Dimension::Duration).is_ok_and(close),
            Self::Multiples(step) => {
                parse_number(text.trim()).is_some_and(|number| close(number / step))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn model() -> Model {
        let text = "period: {from: 2025-04-16}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n  \
                    hall:\n    space: {floor: 60 m2}\n    unit: {heating: 4 kW, cooling: 4 kW}\n    \
                    controls: {heat: 20, cool: 24}\n  shop:\n    space: {floor: 60 m2}\n    unit: \
                    {heating: 4 kW, cooling: 4 kW}\n    controls: {heat: 20, cool: 24, \
                    setpoint_step: 0.1}\n";
        crate::scenario::read(text, "hall.yaml", &|_| Err("no files".into())).expect("right").base
    }

    #[test]
    fn keys_have_the_values_that_their_readers_take() {
        let model = model();
        let of = |path: &str| ValueGrid::of(path, &model);
        assert_eq!(of("zones.*.controls.heat"), Some(ValueGrid::Multiples(0.5)));
        assert_eq!(of("zones.shop.controls.min_deadband"), Some(ValueGrid::Multiples(0.1)));
        assert_eq!(of("zones.hall.band"), Some(ValueGrid::Multiples(0.5)));
        assert_eq!(of("zones.*.controls.setback.cool_high"), Some(ValueGrid::Multiples(0.5)));
        assert_eq!(of("zones.*.controls.setback.override_time"), Some(ValueGrid::Seconds));
        assert_eq!(of("zones.*.controls.sensor.lag"), Some(ValueGrid::Seconds));
        assert_eq!(of("zones.*.unit.count"), Some(ValueGrid::Multiples(1.0)));
        assert_eq!(of("zones.hall.controls.return_to.cool"), Some(ValueGrid::Multiples(0.5)));
        assert_eq!(of("every_zone.controls.heat"), Some(ValueGrid::Multiples(0.5)));
        assert_eq!(of("every_zone.unit.min_on"), Some(ValueGrid::Seconds));
        assert_eq!(of("people.*.patience"), Some(ValueGrid::Seconds));
        assert_eq!(of("zones.*.controls.sensor.offset"), None);
        assert_eq!(of("zones.*.gains.power"), None);
        assert_eq!(of("zones.*.controls.haet"), None);
    }

    #[test]
    fn values_between_go_to_the_nearest_and_halves_upward() {
        let half = ValueGrid::Multiples(0.5);
        let to = |text: &str| half.nearest(text).expect("a number");
        assert_eq!(
            ["0.25", "0.5", "3.75", "20.3", "-0.1"].map(to),
            ["0.5", "0.5", "4", "20.5", "0"]
        );
        assert_eq!(ValueGrid::Multiples(0.1).nearest("0.3").as_deref(), Some("0.3"));
        assert_eq!(ValueGrid::Seconds.nearest("1.267 min").as_deref(), Some("76 s"));
        assert!(half.has("2.5") && !half.has("2.25") && !half.has("[1, 2]"));
        assert_eq!((half.nearest("auto"), ValueGrid::Seconds.nearest("5")), (None, None));
    }
}
