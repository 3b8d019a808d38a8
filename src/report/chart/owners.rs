//! The chart of who should decide for a group: a pair of bars for each candidate, best first.

use super::ChartFault;
use super::canvas::{Area, Canvas, Stroke};
use super::hatch::diagonals;
use super::palette::{GRID, INK, POWER, POWER_EDGE, QUIET, WARNING};
use super::sheet::Sheet;
use super::text::{Anchor, Type};
use crate::engine::Model;
use crate::report::figures::count;
use crate::report::owners::{decider_words, owners_answer};
use crate::study::{Candidate, OwnerRanking};

/// The chart of a ranking, `width` px wide: degree-hours outside the comfort band of the worst
/// zone, hatched, over those of all zones, plain.
///
/// # Errors
/// See [`ChartFault`].
pub fn owners_svg(model: &Model, ranking: &OwnerRanking, width: u32) -> Result<String, ChartFault> {
    let sheet = Sheet::new(width);
    let layout = Layout::new(sheet, model, ranking);
    let mut canvas = Canvas::new(sheet.width, layout.height)?;
    let title = format!("{}: who should decide", model.title);
    let subtitle =
        "Degree-hours outside the band: hatched the worst zone, named at its end; plain all zones";
    sheet.write_head(&mut canvas, &title, subtitle)?;
    canvas.layer("zero", Stroke::Solid, |layer| {
        let bottom = layout.height - sheet.em;
        layer.line(&[(layout.left, sheet.head()), (layout.left, bottom)], GRID, 1.0);
    })?;
    for (place, candidate) in ranking.candidates.iter().enumerate() {
        bars(&mut canvas, model, candidate, &layout, layout.row(place))?;
    }
    Ok(canvas.finish(&title, &owners_answer(model, ranking)))
}

struct Layout {
    em: f64,
    /// The zero line, px.
    left: f64,
    /// Where words end, px.
    right: f64,
    /// Width of one hour, px.
    hour: f64,
    row: f64,
    top: f64,
    height: f64,
}

impl Layout {
    fn new(sheet: Sheet, model: &Model, ranking: &OwnerRanking) -> Self {
        let (em, how) = (sheet.em, Type::new(sheet.em, INK).bold());
        let names = ranking.candidates.iter().map(|it| how.width(&name(model, it)));
        let left = names.fold(0.0, f64::max).min(sheet.width * 0.35) + em * 1.8;
        let right = sheet.width - em * 0.4;
        // Bars are as long as lets the words at the end of each have their room.
        let how = Type::new(em * 0.92, QUIET);
        let fits = |it: &Candidate| {
            let room = right - left - em * 0.8 - how.width(&ending(model, it));
            let longest = it.degree_hours_outside_band;
            (longest > 0.0).then(|| room.max(em * 4.0) / longest)
        };
        let hour = ranking.candidates.iter().filter_map(fits).reduce(f64::min).unwrap_or(0.0);
        let (row, top) = (em * 2.6, sheet.head() + em * 0.6);
        let height = top + row * ranking.candidates.len() as f64 + em * 1.2;
        Self { em, left, right, hour, row, top, height }
    }

    fn row(&self, place: usize) -> f64 {
        self.top + self.row * place as f64
    }
}

/// A candidate's name, with a word for the one in force.
fn name(model: &Model, candidate: &Candidate) -> String {
    let now = if candidate.is_present { " (now)" } else { "" };
    format!("{}{now}", decider_words(model, candidate.decider))
}

/// What stands at the end of a candidate's bars.
fn ending(model: &Model, candidate: &Candidate) -> String {
    let rest =
        format!("{}, {:.1} kWh", count(candidate.changeovers, "changeover"), candidate.total_kwh);
    if candidate.degree_hours_outside_band > 0.0 {
        let zone = crate::report::run::label(&model.zones[candidate.worst_zone.get()]);
        let (worst, all) = (candidate.worst_degree_hours, candidate.degree_hours_outside_band);
        format!("{all:.1} in all; {rest}; worst {worst:.1}: {zone}")
    } else {
        format!("nobody outside the band; {rest}")
    }
}

fn bars(
    canvas: &mut Canvas,
    model: &Model,
    candidate: &Candidate,
    layout: &Layout,
    top: f64,
) -> Result<(), ChartFault> {
    let Layout { em, left, hour, .. } = *layout;
    let bar = |from: f64, to: f64, hours: f64| Area {
        left,
        top: top + from * em,
        right: left + hours * hour,
        bottom: top + to * em,
    };
    let worst = bar(0.2, 1.1, candidate.worst_degree_hours);
    let mean = bar(1.25, 1.75, candidate.degree_hours_outside_band);
    canvas.layer("candidate", Stroke::Solid, |layer| {
        let how = Type::new(em, INK).at(Anchor::End);
        let how = if candidate.is_present { how.bold() } else { how };
        let words = how.cut(&name(model, candidate), left - em * 1.4);
        layer.words(&words, (left - em * 0.6, top + em * 0.95), how);
        if candidate.degree_hours_outside_band > 0.0 {
            layer.line(&diagonals(worst, em * 0.45), WARNING, 1.4);
            layer.outline(worst, INK, 1.0);
            layer.fill(mean, POWER);
            layer.outline(mean, POWER_EDGE, 1.0);
        }
        let end = ending(model, candidate);
        let how = Type::new(em * 0.92, QUIET);
        // The figures stand first, so that only a name can be cut.
        let x = worst.right.max(mean.right) + em * 0.6;
        layer.words(&how.cut(&end, layout.right - x), (x, top + em * 0.95), how);
    })
}
