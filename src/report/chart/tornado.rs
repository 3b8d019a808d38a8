//! What a figure hangs on: a bar for each path from where the figure is smallest to where it is
//! largest, the longest first.

use super::ChartFault;
use super::canvas::{Area, Canvas, Stroke};
use super::palette::{BORDER, GRID, INK, PAPER, POWER, POWER_EDGE, QUIET};
use super::scale::ticks;
use super::sheet::Sheet;
use super::text::{Anchor, Type};
use crate::report::sweep::{figure_mean, figure_unit, silent_words, sweep_answer};
use crate::study::sweep::{Sensitivity, SweepAnswer};

/// More bars than this are too short to tell anything.
const MOST_BARS: usize = 14;

/// The chart, `width` px wide; `None` where no path takes two values.
///
/// # Errors
/// See [`ChartFault`].
pub fn tornado_svg(answer: &SweepAnswer, width: u32) -> Result<Option<String>, ChartFault> {
    let bars = &answer.sensitivities[..answer.sensitivities.len().min(MOST_BARS)];
    if bars.is_empty() {
        return Ok(None);
    }
    let sheet = Sheet::new(width);
    let layout = Layout::new(sheet, answer, bars);
    let mut canvas = Canvas::new(
        sheet.width,
        layout.bottom() + sheet.em * (3.4 + 1.5 * answer.silent.len() as f64),
    )?;
    let figure = answer.goal.figure();
    let title = format!("{}: what {} hangs on", answer.results.about.title, figure.words);
    let subtitle = "Mean at the best and the worst value of each, all else averaged; below its \
                    name the difference, 95 % interval";
    let noise = bars.iter().any(|it| !it.is_told);
    let hollow = if noise { ". Hollow: may be noise" } else { "" };
    sheet.write_head(&mut canvas, &title, &format!("{subtitle}{hollow}"))?;
    axis(&mut canvas, answer, &layout)?;
    for (place, it) in bars.iter().enumerate() {
        bar(&mut canvas, answer, it, &layout, layout.top + layout.row * place as f64)?;
    }
    left_out(&mut canvas, answer, sheet, layout.bottom() + sheet.em * 3.8)?;
    Ok(Some(canvas.finish(&title, &sweep_answer(answer))))
}

/// Paths that have no bar, each with the reason.
fn left_out(
    canvas: &mut Canvas,
    answer: &SweepAnswer,
    sheet: Sheet,
    top: f64,
) -> Result<(), ChartFault> {
    let names = answer.results.names();
    let how = Type::new(sheet.em * 0.9, QUIET);
    let room = sheet.width - sheet.em * 1.6;
    canvas.layer("left-out", Stroke::Solid, |layer| {
        for (place, (axis, why)) in answer.silent.iter().enumerate() {
            let words = format!("No bar: {}; {}.", names[*axis], silent_words(*why));
            let y = top + sheet.em * 1.5 * place as f64;
            layer.words(&how.cut(&words, room), (sheet.em * 0.8, y), how);
        }
    })
}

struct Layout {
    em: f64,
    /// Where the plot begins and ends, px, words at the bars' ends included.
    left: f64,
    right: f64,
    top: f64,
    row: f64,
    rows: usize,
    /// The smallest and the largest value.
    range: (f64, f64),
    /// Room for the words at a bar's ends, px: left and right.
    words: (f64, f64),
}

impl Layout {
    fn new(sheet: Sheet, answer: &SweepAnswer, bars: &[Sensitivity]) -> Self {
        let em = sheet.em;
        let names = answer.results.names();
        let how = Type::new(em, INK).bold();
        let small = Type::new(em * 0.85, QUIET);
        let widest = bars
            .iter()
            .map(|it| how.width(&names[it.axis]).max(small.width(&difference(answer, it))))
            .fold(0.0, f64::max);
        let left = (widest + em * 2.0).min(sheet.width * 0.34);
        let ends = Type::new(em * 0.9, INK);
        let most = sheet.width * 0.18;
        let words = |text: &dyn Fn(&Sensitivity) -> String| {
            bars.iter().map(|it| ends.width(&text(it)) + em).fold(0.0, f64::max).min(most)
        };
        let low = words(&|it| low_words(answer, it));
        let high = words(&|it| high_words(answer, it));
        let least = bars.iter().map(|it| it.smallest.mean).fold(f64::INFINITY, f64::min);
        let largest = bars.iter().map(|it| it.largest.mean).fold(f64::NEG_INFINITY, f64::max);
        Self {
            em,
            left,
            right: sheet.width - em,
            top: sheet.head() + em * 0.8,
            row: em * 3.2,
            rows: bars.len(),
            range: (least, largest),
            words: (low, high),
        }
    }

    fn x(&self, value: f64) -> f64 {
        let (from, to) = (self.left + self.words.0, self.right - self.words.1);
        let (low, high) = self.range;
        from + (value - low) / (high - low) * (to - from)
    }

    fn bottom(&self) -> f64 {
        self.top + self.row * self.rows as f64
    }
}

fn low_words(answer: &SweepAnswer, it: &Sensitivity) -> String {
    let mean = figure_mean(answer, answer.goal.figure(), it.smallest.mean);
    format!("{}: {mean}", it.smallest.value)
}

fn high_words(answer: &SweepAnswer, it: &Sensitivity) -> String {
    let mean = figure_mean(answer, answer.goal.figure(), it.largest.mean);
    format!("{}: {mean}", it.largest.value)
}

/// The difference with its interval.
fn difference(answer: &SweepAnswer, it: &Sensitivity) -> String {
    let number = |value| figure_mean(answer, answer.goal.figure(), value);
    match it.interval {
        Some([low, high]) if low < high => {
            let noise = if it.is_told { "" } else { ", noise" };
            format!("{} ({} to {}{noise})", number(it.span()), number(low), number(high))
        }
        _ => number(it.span()),
    }
}

fn axis(canvas: &mut Canvas, answer: &SweepAnswer, layout: &Layout) -> Result<(), ChartFault> {
    let (em, bottom) = (layout.em, layout.bottom());
    let marks = ticks(layout.range.0, layout.range.1, 6);
    canvas.layer("grid", Stroke::Solid, |layer| {
        for value in &marks {
            let x = layout.x(*value);
            layer.line(&[(x, layout.top), (x, bottom)], GRID, 0.8);
        }
        layer.line(&[(layout.left, bottom), (layout.right, bottom)], BORDER, 0.8);
    })?;
    let figure = answer.goal.figure();
    canvas.layer("scale", Stroke::Solid, |layer| {
        let how = Type::new(em * 0.9, QUIET).at(Anchor::Middle);
        for value in &marks {
            layer.words(&short(*value), (layout.x(*value), bottom + em * 0.9), how);
        }
        let unit = figure_unit(answer, figure);
        let words =
            format!("{}{}", figure.words, if unit.is_empty() { unit } else { format!(",{unit}") });
        let middle = f64::midpoint(layout.x(layout.range.0), layout.x(layout.range.1));
        layer.words(&words, (middle, bottom + em * 2.4), how);
    })
}

/// A round value without needless digits.
fn short(value: f64) -> String {
    // Adding zero turns -0 into 0; round values are exact to thousandths.
    (libm::round(value * 1000.0) / 1000.0 + 0.0).to_string()
}

fn bar(
    canvas: &mut Canvas,
    answer: &SweepAnswer,
    it: &Sensitivity,
    layout: &Layout,
    top: f64,
) -> Result<(), ChartFault> {
    let em = layout.em;
    let area = Area {
        left: layout.x(it.smallest.mean),
        right: layout.x(it.largest.mean),
        top: top + em * 0.5,
        bottom: top + em * 2.3,
    };
    let names = answer.results.names();
    canvas.layer("bar", Stroke::Solid, |layer| {
        let noise = !it.is_told;
        layer.fill(area, if noise { PAPER } else { POWER });
        layer.outline(area, POWER_EDGE, 1.0);
        let name = Type::new(em, if noise { QUIET } else { INK }).bold().at(Anchor::End);
        let room = layout.left - em * 1.2;
        let x = layout.left - em * 0.5;
        layer.words(&name.cut(&names[it.axis], room), (x, top + em * 0.85), name);
        let small = Type::new(em * 0.85, QUIET).at(Anchor::End);
        layer.words(&small.cut(&difference(answer, it), room), (x, top + em * 2.05), small);
        let how = Type::new(em * 0.9, INK);
        let (low, high) = (low_words(answer, it), high_words(answer, it));
        let low_at = (area.left - em * 0.4, area.middle());
        layer.words(&how.cut(&low, layout.words.0 - em * 0.4), low_at, how.at(Anchor::End));
        let high_at = (area.right + em * 0.4, area.middle());
        layer.words(&how.cut(&high, layout.words.1 - em * 0.4), high_at, how);
    })
}
