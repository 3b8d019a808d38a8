//! What the page shows of a day as pictures: the chart of a zone as `run` draws it, and a ribbon
//! for each zone. Scripts add pointer and keyboard by the data that the drawing carries.

use serde::Serialize;

use super::overview::RowsWanted;
use super::trouble::Trouble;
use crate::engine::ZoneIndex;
use crate::report::chart::{Beside, ribbon_svg, zone_svg};
use crate::report::{ReadOut, Run};
use crate::time::{DAY, Instant};

/// Width of a ribbon, px; the page stretches it.
const RIBBON_WIDTH: u32 = 800;
/// Width of a chart where the page does not say how much room it has, px.
pub(super) const PAGE_WIDTH: u32 = 900;

/// What a page wants drawn beside the day itself.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Wanted<'a> {
    /// The zone of the chart by its name; the first where there is none of that name.
    pub zone: Option<&'a str>,
    /// How wide, px.
    pub width: Option<u32>,
    /// The run that is pinned.
    pub pinned: Option<&'a Run<'a>>,
    /// Whether to show where calls begin.
    pub thresholds: bool,
    /// How rows of all zones are wanted; then no ribbons are.
    pub rows: Option<&'a RowsWanted>,
}

/// The pictures of a day.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Drawings {
    /// Midnight at which the day begins, seconds of standard time.
    from: i64,
    /// The zone of the chart, by its place.
    zone: usize,
    svg: String,
    /// The zone's values over the day, to be read out.
    values: ReadOut,
    /// A ribbon a zone; none where there is only one, or rows are wanted.
    ribbons: Vec<String>,
    /// From which second of standard time clocks are ahead by how many seconds.
    clocks: Vec<(i64, i64)>,
}

/// Draws a day. The run holds the steps of that day.
pub(super) fn drawings(run: &Run<'_>, day: i64, wanted: Wanted<'_>) -> Result<Drawings, Trouble> {
    let zones = &run.model.zones;
    let named = wanted.zone.and_then(|id| run.model.zone_named(id));
    let zone = named.unwrap_or(ZoneIndex::new(0));
    let width = wanted.width.unwrap_or(PAGE_WIDTH);
    let beside =
        Beside { pinned: wanted.pinned, thresholds: wanted.thresholds, ..Beside::default() };
    let several = zones.len() > 1 && wanted.rows.is_none();
    let ribbons = (0..zones.len())
        .filter(|_| several)
        .map(|place| ribbon_svg(run, ZoneIndex::new(place), Some(day), RIBBON_WIDTH));
    let (start, end) = (Instant::new(day * DAY), Instant::new((day + 1) * DAY));
    let clocks = run.model.period.clocks_ahead(start, end);
    Ok(Drawings {
        from: start.get(),
        zone: zone.get(),
        svg: zone_svg(run, zone, Some(day), width, beside).map_err(Trouble::form)?,
        values: ReadOut::of_zone(run, zone, day),
        ribbons: ribbons.collect::<Result<_, _>>().map_err(Trouble::form)?,
        clocks: clocks.into_iter().map(|(at, by)| (at.get(), by.get())).collect(),
    })
}
