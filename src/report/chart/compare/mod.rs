//! Charts of a comparison: small multiples, all on one set of axes, and differences as bars.

mod bars;
mod multiples;
mod overlay;
mod strand;

pub use bars::differences_svg;
pub(in crate::report) use multiples::multiples_plots;
pub use multiples::multiples_svg;
pub(in crate::report) use overlay::overlay_plots;
pub use overlay::overlay_svg;

use super::band;
use super::canvas::Area;
use super::scale::Linear;
use super::series::Series;
use crate::engine::ZoneIndex;
use crate::measures::ZoneFigures;
use crate::report::figures::days_in_words;
use crate::report::run::Run;
use crate::study::{Comparison, Contender};

/// The rows of a zone in one contender; `None` where it has no zone of that id, or kept no rows.
fn series<'a>(contender: &'a Contender, id: &str) -> Option<Series<'a>> {
    let series = Series::of(&Run::of(contender), contender.model.zone_named(id)?);
    (!series.rows().is_empty()).then_some(series)
}

/// Variants that move a zone by less, all its temperatures together, leave it as it is, K or
/// degrees of the file's unit: less than charts can show.
const SEEN: f64 = 0.05;

/// The zones that a chart shows: those that differ, or all where none does; of more than there is
/// room for those that the variants move most; in file order.
fn zones_to_show(comparison: &Comparison, most: usize) -> Vec<(String, String)> {
    let zones = &comparison.base.model.zones;
    let moved: Vec<f64> = zones.iter().map(|zone| moved(comparison, &zone.id)).collect();
    let differ = moved.iter().any(|moved| *moved >= SEEN);
    let mut places: Vec<usize> =
        (0..zones.len()).filter(|place| !differ || moved[*place] >= SEEN).collect();
    if places.len() > most {
        places.sort_by(|a, b| moved[*b].total_cmp(&moved[*a]).then(a.cmp(b)));
        places.truncate(most);
        places.sort_unstable();
    }
    let named = |place: usize| {
        let zone = &zones[place];
        (zone.id.clone(), crate::report::run::label(zone).to_owned())
    };
    places.into_iter().map(named).collect()
}

/// The place of a zone in the base.
fn base_zone(comparison: &Comparison, id: &str) -> Option<ZoneIndex> {
    comparison.base.model.zone_named(id)
}

/// How far the variants move a zone from the base's: the lowest, mean and highest of its air
/// together, or the furthest that a setpoint is moved, whichever is more.
fn moved(comparison: &Comparison, id: &str) -> f64 {
    let figures = |contender: &Contender| -> Option<ZoneFigures> {
        let zones = &contender.finished.summary.zones;
        zones.iter().find(|(known, _)| known == id).map(|(_, figures)| figures.clone())
    };
    let Some(base) = figures(&comparison.base) else { return 0.0 };
    let variants = comparison.variants.iter().filter_map(figures);
    let apart = variants.map(|it| {
        let (one, other) = (&it.temperature, &base.temperature);
        (one.min - other.min).abs() + (one.mean - other.mean).abs() + (one.max - other.max).abs()
    });
    let air = apart.fold(0.0, f64::max);
    let Some(base) = series(&comparison.base, id) else { return air };
    let setpoints = comparison.variants.iter().filter_map(|variant| series(variant, id));
    setpoints.map(|variant| setpoints_apart(&base, &variant)).fold(air, f64::max)
}

/// The furthest that setpoints of two runs of a zone ever stand apart.
fn setpoints_apart(one: &Series, other: &Series) -> f64 {
    let pairs = one.rows().iter().zip(other.rows());
    let apart = pairs.map(|(a, b)| (a.heat - b.heat).abs().max((a.cool - b.cool).abs()));
    apart.fold(0.0, f64::max)
}

/// Whether a variant's run of a zone can be told from the base's on a chart.
fn can_be_told(base: &Series, variant: &Series) -> bool {
    let pairs = base.rows().iter().zip(variant.rows());
    let air = pairs.map(|(a, b)| (a.temperature - b.temperature).abs()).fold(0.0, f64::max);
    air >= SEEN || setpoints_apart(base, variant) >= SEEN
}

/// The scale that all panels share: from the lowest to the highest of air and setpoints in every
/// contender and every zone shown.
fn shared_extent(comparison: &Comparison, zones: &[(String, String)]) -> (f64, f64) {
    let mut extent: Option<(f64, f64)> = None;
    for contender in comparison.all() {
        for series in zones.iter().filter_map(|(id, _)| series(contender, id)) {
            let ends = [
                series.extent(|row| row.temperature),
                series.extent(|row| row.heat),
                series.extent(|row| row.cool),
            ];
            for (low, high) in ends.into_iter().flatten() {
                let known = extent.unwrap_or((low, high));
                extent = Some((known.0.min(low), known.1.max(high)));
            }
        }
    }
    extent.unwrap_or((18.0, 26.0))
}

/// The shared scale over an area.
fn shared_scale(extent: (f64, f64), area: Area) -> Linear {
    band::padded(extent, area)
}

/// What stands over a chart of a comparison.
fn title(comparison: &Comparison) -> String {
    comparison.base.model.title.clone()
}

/// Its days, what it shows, and which zones where there are more.
fn subtitle(comparison: &Comparison, shown: usize, what: &str) -> String {
    let model = &comparison.base.model;
    let days = days_in_words(&model.period);
    if shown < model.zones.len() {
        let all = model.zones.len();
        let those = if shown == 1 { "the one that differs" } else { "those that differ" };
        return format!("{days}. {what} {shown} of {all} zones, {those} most.");
    }
    format!("{days}. {what}")
}
