//! The lane over the ribbon: requests that ask for no temperature, such as a mode or the power.

use super::ChartFault;
use super::canvas::{Area, Canvas, Stroke};
use super::marks::{Way, place_of, symbol};
use super::palette::INK;
use super::scale::TimeAxis;
use super::text::Type;
use crate::control::Outcome;
use crate::engine::{Doing, Entry, LedgerRow, ZoneIndex};
use crate::report::events::ended_in_short;
use crate::report::run::Run;

/// Draws the lane, with words where there is room.
pub(super) fn draw(
    canvas: &mut Canvas,
    run: &Run,
    zone: ZoneIndex,
    time: TimeAxis,
    area: Area,
    em: f64,
) -> Result<(), ChartFault> {
    let of_zone = |(_, row): &(usize, &LedgerRow)| row.zone == zone && time.has(row.at);
    let rows: Vec<(usize, &LedgerRow)> = run.ledger.iter().enumerate().filter(of_zone).collect();
    let requests: Vec<(&LedgerRow, Outcome, &Doing)> =
        rows.iter().filter_map(|(_, row)| without_side(row)).collect();
    for (place, row) in &rows {
        if without_side(row).is_some() && !time.is_long() {
            canvas.note("request", &place_of(*place, row, (time.x(row.at), area.middle())));
        }
    }
    let radius = em * 0.32;
    let how = Type::new(em * 0.85, INK);
    canvas.layer("requests", Stroke::Solid, |layer| {
        for (row, outcome, _) in &requests {
            let at = (time.x(row.at), area.middle());
            symbol(layer, at, radius, Way::Level, *outcome, INK);
        }
    })?;
    canvas.layer("notes", Stroke::Solid, |layer| {
        for (place, (row, outcome, what)) in requests.iter().enumerate() {
            let text = ended_in_short(what, *outcome);
            let left = time.x(row.at) + radius * 2.5;
            let right = left + how.width(&text);
            let next = requests
                .get(place + 1)
                .map_or(time.right, |(next, ..)| time.x(next.at) - radius * 2.5);
            if right < next {
                layer.words(&text, (left, area.middle()), how);
            }
        }
    })
}

fn without_side(row: &LedgerRow) -> Option<(&LedgerRow, Outcome, &Doing)> {
    match &row.entry {
        Entry::Request { side: None, outcome, what, .. } => Some((row, *outcome, what)),
        _ => None,
    }
}
