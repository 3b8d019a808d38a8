//! Settings of weather, glass and coils that change nothing as the file stands.

use super::Finding;
use crate::building::{SunnyWall, Window};
use crate::engine::{Clothing, Model, Zone};
use crate::plant::Coil;
use crate::settings::unit;

pub(super) fn check(model: &Model, findings: &mut Vec<Finding>) {
    findings.extend(sky(model));
    for zone in &model.zones {
        findings.extend(coil(model, zone));
        findings.extend(zone.windows.iter().enumerate().find_map(|(at, it)| shade(zone, at, it)));
        findings.extend(clothing(zone));
    }
}

/// What is said of the sky where no sun comes in.
fn sky(model: &Model) -> Option<Finding> {
    let key = match &model.sky {
        sky if sky.monthly.is_some() => "radiation",
        sky if sky.clear.is_some() => "clear_sky",
        sky if sky.is_meant_clear => "sky",
        _ => return None,
    };
    let glass = |window: &Window| window.aperture() > 0.0;
    let wall = |wall: &SunnyWall| wall.gain_area() > 0.0;
    let lit = |zone: &Zone| zone.windows.iter().any(glass) || zone.walls.iter().any(wall);
    if model.zones.iter().any(lit) {
        return None;
    }
    let message = format!("{key} changes nothing: no zone has glass that lets sun in");
    Some(
        Finding::note("sky-without-sun", format!("weather.{key}"), message)
            .mend("give the windows their `g` and `facing`, or take it out")
            .cite("sun comes in through windows with a solar factor and onto walls under sun_on"),
    )
}

/// A coil where water is not followed.
fn coil(model: &Model, zone: &Zone) -> Option<Finding> {
    let coil = &zone.unit.coil;
    let key = match (coil.sensible, coil.surface == Coil::USUAL.surface) {
        (Some(_), _) => unit::SENSIBLE_HEAT_RATIO.name,
        (None, false) => unit::COIL.name,
        (None, true) if coil.sensible_in_dry != Coil::USUAL.sensible_in_dry => {
            unit::DRY_SENSIBLE_HEAT_RATIO.name
        }
        (None, true) => return None,
    };
    if model.humidity.is_followed() {
        return None;
    }
    let message = format!("{key} changes nothing: the water in the air is not followed");
    Some(
        Finding::note("coil-without-water", format!("zones.{}.unit.{key}", zone.id), message)
            .mend("write `humidity: balance` under weather, or take it out")
            .cite("a coil's share of sensible heat counts in the balance of water alone"),
    )
}

/// A shade that keeps nothing out.
fn shade(zone: &Zone, at: usize, window: &Window) -> Option<Finding> {
    let path = format!("zones.{}.space.windows[{at}].shade", zone.id);
    window.shade.filter(|shade| shade.factor >= 1.0).map(|_| {
        Finding::note("shade-without-effect", path, "this shade lets all sun in".into())
            .mend("give the part that still comes in, such as `factor: 0.3`")
            .cite("the sun's heat is multiplied by the factor")
    })
}

/// Lighter clothes in winter than in summer.
fn clothing(zone: &Zone) -> Option<Finding> {
    let Clothing::BySeason { winter, summer } = zone.comfort.clothing else { return None };
    let path = format!("zones.{}.comfort.clo", zone.id);
    (winter < summer).then(|| {
        let message = format!(
            "people wear {winter} clo in winter and {summer} clo in summer: the other way round is \
             usual"
        );
        Finding::warning("clothes-reversed", path, message).mend("exchange the two").cite(
            "EN 16798-1:2019, Table B.2: 1.0 clo for heating, 0.5 clo for cooling, from memory",
        )
    })
}
