//! What sensors, contacts, windows and clocks on site are taken to do.

use crate::control::{SensorPlace, WindowDoes};
use crate::engine::{Doing, Model, Zone};
use crate::report::figures::listed;
use crate::time::Seconds;

/// What is taken for granted of things on site, a sentence for each that this model has.
pub(super) fn site(model: &Model) -> Vec<String> {
    let sentences = [
        sensors(model),
        outdoor_limits(model),
        windows(model),
        returns(model),
        early_starts(model),
    ];
    sentences.into_iter().flatten().collect()
}

fn sensors(model: &Model) -> Option<String> {
    let in_return =
        |zone: &&Zone| matches!(zone.controls.sensor.place, SensorPlace::ReturnAir { .. });
    let rooms = model.zones.iter().filter(|zone| !in_return(zone));
    let late = lags(rooms, "those in rooms");
    let returns = lags(model.zones.iter().filter(in_return), "those in return air");
    let both: Vec<String> = late.into_iter().chain(returns).collect();
    let still =
        model.zones.iter().any(|zone| in_return(&zone)).then_some(
            " A sensor in the return air meets its stratification only while the fan runs.",
        );
    let still = still.unwrap_or_default();
    (!both.is_empty()).then(|| {
        format!(
            "Sensors follow the air with a lag: {} (the usual ones are common practice, no source)\
             .{still}",
            listed(&both)
        )
    })
}

fn lags<'m>(zones: impl Iterator<Item = &'m Zone>, whose: &str) -> Option<String> {
    let lags: Vec<Seconds> = zones.map(|zone| zone.controls.sensor.lag).collect();
    let (least, most) = (lags.iter().min()?, lags.iter().max()?);
    Some(match (least, most) {
        _ if least == most => format!("{whose} {least}"),
        _ => format!("{whose} {least} to {most}"),
    })
}

/// Rule 15, where anything has it.
fn outdoor_limits(model: &Model) -> Option<String> {
    let of_zones = model.zones.iter().any(|zone| !zone.controls.outdoor_limits.is_none());
    let of_units = model.outdoor_units.iter().any(|group| !group.outdoor_limits.is_none());
    (of_zones || of_units).then(|| {
        "Outdoor limits go by the weather's own temperature: no sensor with an error or with sun on \
         it stands between. Where one keeps a room waiting, that is missed time and not starved \
         time; a low limit passes it."
            .into()
    })
}

/// Rule 16, where windows are opened or watched.
fn windows(model: &Model) -> Option<String> {
    let opened = |at: usize| {
        model.actions.iter().any(|it| it.zone.get() == at && matches!(it.what, Doing::Window(_)))
    };
    let watched = |zone: &Zone| zone.controls.window_contact.does != WindowDoes::Nothing;
    let mut changes: Vec<f64> = model
        .zones
        .iter()
        .enumerate()
        .filter(|(at, zone)| opened(*at) || watched(zone))
        .map(|(_, zone)| zone.space.input().open_window)
        .collect();
    changes.sort_by(f64::total_cmp);
    let (least, most) = (changes.first()?, changes.last()?);
    let change = if least == most { least.to_string() } else { format!("{least} to {most}") };
    let opened = if (0..model.zones.len()).any(opened) {
        ""
    } else {
        " Nobody opens one during these days."
    };
    let contact = if model.zones.iter().any(watched) {
        " Contacts see each opening at once and never fail."
    } else {
        ""
    };
    Some(format!(
        "An open window changes the room's air {change} times an hour besides infiltration, whatever \
         the wind and the temperatures (common practice, no source).{opened}{contact}"
    ))
}

/// Rule 17, where setpoints go back by the clock.
fn returns(model: &Model) -> Option<String> {
    model.zones.iter().any(|zone| zone.controls.returns.is_some()).then(|| {
        "Setpoints that go back by the clock do so as a request of the schedule: limits and deadband \
         hold it, key locks do not."
            .into()
    })
}

fn early_starts(model: &Model) -> Option<String> {
    model.zones.iter().any(|zone| zone.controls.optimum_start.is_some()).then(|| {
        "Optimum start takes a room for recovered once its sensor reads within the start of a call \
         from the setpoint, and learns from that."
            .into()
    })
}
