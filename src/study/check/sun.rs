//! Glass under weather that says nothing of the sun.

use super::Finding;
use crate::engine::{Model, Zone};

/// The zones whose windows let sun in while the weather has no radiation: it then shines from a
/// clear sky on every day of the period. None where the file asks for that, or gives monthly means.
pub fn under_clear_sky(model: &Model) -> Vec<&str> {
    let measured = model.weather.record().is_some_and(|record| record.light.is_some());
    if measured || model.sky.is_meant_clear || model.sky.monthly.is_some() {
        return Vec::new();
    }
    let sunny = |zone: &&Zone| zone.windows.iter().any(|window| window.aperture() > 0.0);
    let glazed = model.zones.iter().filter(sunny);
    glazed.map(|zone| zone.label.as_str()).collect()
}

pub(super) fn check(model: &Model, findings: &mut Vec<Finding>) {
    let zones = under_clear_sky(model);
    if zones.is_empty() {
        return;
    }
    let days = match model.period.days() {
        1 => "the one day has".to_owned(),
        days => format!("all {days} days have"),
    };
    let message = format!(
        "the weather says nothing of the sun, so {days} a clear sky: the windows of {} let in more \
         than they would under clouds, and cooling and overheating look larger, heating smaller",
        super::zone::listed(&zones.iter().map(|it| (*it).to_owned()).collect::<Vec<_>>())
    );
    findings.push(
        Finding::warning("clear-days-only", "weather".into(), message)
            .mend(
                "take a weather file with radiation (TMY3, EPW, NSRDB, or a CSV with a `radiation` \
                 column), give `radiation:`, twelve monthly means, or write `sky: clear` if that is \
                 what is meant",
            )
            .cite("ASHRAE clear-sky model, which the program falls back on"),
    );
}
