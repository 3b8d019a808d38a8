//! What has to be known before anything can be predicted: setpoints, deadband, limits, weather.

use std::borrow::Cow;

use serde::Serialize;

use crate::control::{Side, on_conflict_words};
use crate::engine::{OutdoorGroup, StepRow, ZoneIndex};
use crate::report::chart::{ZoneRows, rows_svg};
use crate::report::{Run, one_digit, unit_sign};
use crate::serve::settings::label;
use crate::serve::trouble::Trouble;

/// Height of a small drawing of a room, px.
const STRIP_HEIGHT: u32 = 44;

/// What is known, each with its name.
pub(super) type Premises = Vec<(Cow<'static, str>, String)>;

/// A room in small.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Strip {
    label: String,
    /// Whether it decides between heating and cooling for the others.
    decides: bool,
    chart: String,
}

/// What is known of a zone when a day has been `shown` so far.
pub(super) fn premises(shown: &Run<'_>, whole: &Run<'_>, zone: ZoneIndex, day: i64) -> Premises {
    let it = &shown.model.zones[zone.get()];
    let settings = &it.controls.settings;
    let (grid, rules) = (settings.grid, &settings.rules);
    let sign = unit_sign(shown.model.unit);
    let mut all = Vec::new();
    if let Some(last) = shown.rows.iter().rfind(|row| row.zone == zone) {
        all.push(("Heat setpoint".into(), format!("{} {sign}", one_digit(last.heat))));
        all.push(("Cool setpoint".into(), format!("{} {sign}", one_digit(last.cool))));
    }
    let apart = if rules.is_single() {
        "not at all: heat and cool are one value".to_owned()
    } else {
        let words = on_conflict_words(rules.on_conflict());
        format!(
            "at least {} degrees; where that is too close, {words}",
            grid.show(rules.deadband())
        )
    };
    all.push(("Kept apart".into(), apart));
    let limits = |side| {
        let range = rules.written(side);
        format!("{} {} to {}", side.name(), grid.show(range.low), grid.show(range.high))
    };
    all.push(("Limits".into(), format!("{}, {}", limits(Side::Heat), limits(Side::Cool))));
    all.extend(weather(whole, day).map(|words| ("Outdoors".into(), words)));
    all
}

/// The coldest and the warmest of a day outdoors.
fn weather(whole: &Run<'_>, day: i64) -> Option<String> {
    let rows = || whole.rows.iter().filter(|row| row.at.day() == day);
    let by = |a: &&StepRow, b: &&StepRow| a.outdoor.total_cmp(&b.outdoor);
    let (low, high) = (rows().min_by(by)?, rows().max_by(by)?);
    let sign = unit_sign(whole.model.unit);
    let clock = |row: &StepRow| {
        let minute = row.at.second_of_day() / 60;
        format!("{:02}:{:02}", minute / 60, minute % 60)
    };
    Some(format!(
        "{} {sign} at {} to {} {sign} at {}",
        one_digit(low.outdoor),
        clock(low),
        one_digit(high.outdoor),
        clock(high)
    ))
}

/// All rooms of a house in small, where it has several.
pub(super) fn strips(run: &Run<'_>, day: i64, width: u32) -> Result<Vec<Strip>, Trouble> {
    if run.model.zones.len() < 2 {
        return Ok(Vec::new());
    }
    let ZoneRows { zones, .. } = rows_svg(run, day, width, STRIP_HEIGHT).map_err(Trouble::form)?;
    let owner = |unit: &OutdoorGroup| unit.zones.get(unit.settings.owner()?).copied();
    let owners: Vec<ZoneIndex> = run.model.outdoor_units.iter().filter_map(owner).collect();
    let strip = |(place, chart): (usize, String)| Strip {
        label: label(&run.model.zones[place]),
        decides: owners.contains(&ZoneIndex::new(place)),
        chart,
    };
    Ok(zones.into_iter().enumerate().map(strip).collect())
}
