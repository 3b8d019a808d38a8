//! The day chart: a panel for each zone on one time axis.

use super::axis;
use super::canvas::Canvas;
use super::panel::{Beside, Layout, panel};
use super::series::Series;
use super::sheet::{Sheet, subtitle, title};
use super::{ChartFault, Plot, StripsView, facts, group, group_svg};
use crate::engine::ZoneIndex;
use crate::report::headline::headline;
use crate::report::run::Run;

/// From more zones than this on, the chart of strips says more than stacked panels.
const MOST_PANELS: usize = 3;

/// The chart of a run, `width` px wide (within [`super::NARROWEST`] and [`super::WIDEST`]): a panel for each of
/// up to three zones. Of more zones on one outdoor unit, whose own chart shows them all, the three
/// that fared worst; else a strip for each.
///
/// # Errors
/// See [`ChartFault`].
pub fn day_svg(run: &Run, width: u32) -> Result<String, ChartFault> {
    match shown(run) {
        Shown::Strips => group_svg(run, width, &StripsView::default()),
        Shown::Panels(zones) => panels(run, width, &zones),
    }
}

/// What [`day_svg`] shows of a run.
enum Shown {
    Panels(Vec<ZoneIndex>),
    Strips,
}

fn shown(run: &Run) -> Shown {
    let all = run.model.zones.len();
    let zones: Vec<ZoneIndex> = (0..all).map(ZoneIndex::new).collect();
    if all <= MOST_PANELS {
        return Shown::Panels(zones);
    }
    match run.model.outdoor_units.as_slice() {
        [unit] if unit.zones.len() == all => {
            let mut worst = group::worst_first(run, zones);
            worst.truncate(MOST_PANELS);
            Shown::Panels(worst)
        }
        _ => Shown::Strips,
    }
}

fn panels(run: &Run, width: u32, zones: &[ZoneIndex]) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let layout = Layout::new(sheet, zones.len(), run);
    let marks = axis::time_marks(&run.model.period, layout.time, sheet.em);
    let mut canvas = Canvas::new(sheet.width, layout.height(zones.len()))?;
    let all = run.model.zones.len();
    let subtitle = if zones.len() < all {
        format!("The {} of {all} zones that fared worst. {}", zones.len(), subtitle(run))
    } else {
        subtitle(run)
    };
    sheet.write_head(&mut canvas, &title(run), &subtitle)?;
    for (place, zone) in zones.iter().enumerate() {
        panel(&mut canvas, run, (place, *zone), layout, &marks, Beside::default())?;
    }
    axis::time_words(&mut canvas, &marks, layout.panel_end(zones.len()), sheet.em)?;
    let told = zones
        .iter()
        .map(|zone| facts::alternative(run, *zone, &Series::of(run, *zone), layout.time));
    let told: Vec<String> = std::iter::once(headline(run)).chain(told).collect();
    Ok(canvas.finish(&title(run), &told.join(" ")))
}

/// Where [`day_svg`] draws each zone.
pub(in crate::report) fn day_plots(run: &Run, width: u32) -> Vec<Plot> {
    let zones = match shown(run) {
        Shown::Strips => return group::group_plots(run, width, &StripsView::default()),
        Shown::Panels(zones) => zones,
    };
    let layout = Layout::new(Sheet::new(width), zones.len(), run);
    let plot = |(place, zone): (usize, &ZoneIndex)| {
        let parts = layout.parts(place);
        Plot::new(*zone, layout.time, parts.temperature.top, parts.power.bottom)
    };
    zones.iter().enumerate().map(plot).collect()
}
