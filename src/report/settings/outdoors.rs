//! What outdoor air, open windows and the clock do to a zone, in words.

use super::{Line, listed};
use crate::control::{OutdoorLimits, OverrideUntil, WindowDoes, ZoneControls};
use crate::report::figures::{setpoint, unit_sign};
use crate::units::TemperatureUnit;

pub(super) const LIMITS_LINE: &str = "Outdoor limits";
pub(super) const CONTACT_LINE: &str = "Window contact";
pub(super) const RETURNS_LINE: &str = "Setpoints go back at";

/// The lines of those that a zone has.
pub(super) fn lines(controls: &ZoneControls, unit: TemperatureUnit) -> Vec<Line> {
    let limits = limits_words(&controls.outdoor_limits, unit).map(|it| (LIMITS_LINE, it));
    let contact = contact_words(controls).map(|it| (CONTACT_LINE, it));
    let returns = returns_words(controls).map(|it| (RETURNS_LINE, it));
    [limits, contact, returns].into_iter().flatten().collect()
}

/// `heats below 18 °C outdoors, cools above 12 °C outdoors, again 1 °C past its limit`.
pub(super) fn limits_words(limits: &OutdoorLimits, unit: TemperatureUnit) -> Option<String> {
    let degrees = |value: f64| format!("{} {}", setpoint(value), unit_sign(unit));
    let side = |verb: &str, limit: Option<f64>| {
        limit.map(|limit| format!("{verb} {} outdoors", degrees(limit)))
    };
    let sides = [side("heats below", limits.heat_below), side("cools above", limits.cool_above)];
    let mut words: Vec<String> = sides.into_iter().flatten().collect();
    if words.is_empty() {
        return None;
    }
    words.push(format!("once stopped again {} past the limit", degrees(limits.hysteresis)));
    Some(words.join(", "))
}

fn contact_words(controls: &ZoneControls) -> Option<String> {
    let contact = &controls.window_contact;
    (contact.does != WindowDoes::Nothing).then(|| {
        format!("after {} with a window open {}", contact.acts_after, contact.does.words())
    })
}

fn returns_words(controls: &ZoneControls) -> Option<String> {
    let (returns, grid) = (controls.returns.as_ref()?, controls.settings.grid);
    let times: Vec<String> = returns.at.iter().map(ToString::to_string).collect();
    let sides: Vec<String> = returns
        .to()
        .into_iter()
        .map(|(side, to)| {
            format!("{} to {} {}", side.name(), grid.show(to), unit_sign(grid.unit()))
        })
        .collect();
    Some(format!("{}: {}", listed(&times), listed(&sides)))
}

/// Until when a request brings the setpoints back while nobody is there.
pub(super) fn override_words(controls: &ZoneControls) -> String {
    match controls.override_until {
        OverrideUntil::Time => format!("for {}", controls.override_time),
        OverrideUntil::Change => "until somebody next comes or goes".into(),
        OverrideUntil::EndOfDay => "until midnight".into(),
    }
}
