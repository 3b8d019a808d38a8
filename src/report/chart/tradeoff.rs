//! The trade-off between energy, discomfort and changeovers: two panels over the same energy, and
//! one more for the figure that settings are ranked by where it is none of these; a mark for each
//! setting, and the settings that nothing betters named by letters.

use super::ChartFault;
use super::canvas::{Area, Canvas, Layer, Point, Stroke};
use super::palette::{BORDER, GRID, INK, OUTDOOR, PAPER, PINNED, QUIET};
use super::scale::ticks;
use super::sheet::Sheet;
use super::text::{Anchor, Type};
use crate::measures::{FIGURES, Figure};
use crate::report::sweep::{figure_mean, figure_unit, letter, sweep_answer};
use crate::study::sweep::{FRONT, Meets, Scored, SweepAnswer, means};

/// The chart, `width` px wide; `None` where there is nothing to trade: fewer than two settings.
///
/// # Errors
/// See [`ChartFault`].
pub fn tradeoff_svg(answer: &SweepAnswer, width: u32) -> Result<Option<String>, ChartFault> {
    if answer.ranking.settings.len() < 2 {
        return Ok(None);
    }
    let sheet = Sheet::new(width);
    let em = sheet.em;
    let named = answer.front_shown();
    let top = sheet.head() + em * 2.2;
    let mut upward = vec![Figure::named(FRONT[1]), Figure::named(FRONT[2])];
    upward.extend(ranked(answer).map(Some));
    let panels = upward.len() as f64;
    let side = (sheet.width - em * (0.5 + 5.0 * panels)) / panels;
    let bottom = top + side * 0.8;
    let list = bottom + em * 4.4;
    let mut canvas = Canvas::new(sheet.width, list + em * (1.55 * named.len() as f64 + 1.6))?;
    let title = format!("{}: the trade-off", answer.results.about.title);
    let subtitle = if answer.goal.bounds.is_empty() {
        "Filled: nothing betters it. Ring: the best. Hollow: bettered by another setting"
    } else {
        "Filled: nothing betters it. Ring: the best. Hollow: bettered. Cross: beyond the bounds"
    };
    sheet.write_head(&mut canvas, &title, subtitle)?;
    for (place, figure) in upward.into_iter().flatten().enumerate() {
        let left = em * 4.2 + (side + em * 5.0) * place as f64;
        let area = Area { left, top, right: left + side, bottom };
        Panel::new(answer, area, figure, em).draw(&mut canvas, answer, &named)?;
    }
    names(&mut canvas, answer, &named, sheet, list)?;
    Ok(Some(canvas.finish(&title, &sweep_answer(answer))))
}

/// The figure that settings are ranked by, where it is none of those that are traded.
fn ranked(answer: &SweepAnswer) -> Option<&'static Figure> {
    let figure = answer.goal.figure();
    (!FRONT.contains(&figure.key)).then_some(figure)
}

/// What the draws of a setting say about a figure; infinite where it has no value.
fn mean(scored: &Scored, figure: &Figure) -> f64 {
    let place = FIGURES.iter().position(|known| known.key == figure.key);
    place.and_then(|place| scored.mean(place)).unwrap_or(f64::INFINITY)
}

/// Energy to the right, another figure upward.
struct Panel {
    area: Area,
    em: f64,
    figure: &'static Figure,
    x: (f64, f64),
    y: (f64, f64),
}

impl Panel {
    fn new(answer: &SweepAnswer, area: Area, figure: &'static Figure, em: f64) -> Self {
        let range = |which: &dyn Fn(&Scored) -> f64| {
            let all = answer.ranking.settings.iter().map(which);
            let finite = all.filter(|value| value.is_finite());
            let ends = finite.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                (low.min(value), high.max(value))
            });
            padded(ends)
        };
        Self { area, em, figure, x: range(&|it| means(it)[0]), y: range(&|it| mean(it, figure)) }
    }

    /// Where a setting stands.
    fn at(&self, scored: &Scored) -> Point {
        self.spot(means(scored)[0], mean(scored, self.figure))
    }

    fn spot(&self, x: f64, y: f64) -> Point {
        let part = |value: f64, (low, high): (f64, f64)| (value - low) / (high - low);
        let (along, up) = (part(x, self.x), part(y, self.y));
        (self.area.left + along * self.area.width(), self.area.bottom - up * self.area.height())
    }

    fn draw(
        &self,
        canvas: &mut Canvas,
        answer: &SweepAnswer,
        named: &[usize],
    ) -> Result<(), ChartFault> {
        self.axes(canvas, answer)?;
        let radius = self.em * 0.32;
        let front: Vec<usize> = answer.front.iter().map(|it| it.place).collect();
        canvas.layer("settings", Stroke::Solid, |layer| {
            for (place, it) in answer.ranking.settings.iter().enumerate() {
                let at = self.at(it);
                if front.contains(&place) || !at.0.is_finite() || !at.1.is_finite() {
                } else if it.meets == Meets::No {
                    cross(layer, at, radius * 0.8);
                } else {
                    layer.disc(at, radius * 0.85, OUTDOOR);
                    layer.disc(at, radius * 0.5, PAPER);
                }
            }
        })?;
        canvas.layer("front", Stroke::Solid, |layer| {
            for it in &answer.front {
                let at = self.at(&answer.ranking.settings[it.place]);
                if it.place == 0 && answer.ranking.best().is_some() {
                    layer.disc(at, radius * 2.1, INK);
                    layer.disc(at, radius * 1.65, PAPER);
                }
                layer.disc(at, radius * 1.15, PINNED);
            }
        })?;
        self.letters(canvas, answer, named)
    }

    fn axes(&self, canvas: &mut Canvas, answer: &SweepAnswer) -> Result<(), ChartFault> {
        let (em, area) = (self.em, self.area);
        let (across, up) = (ticks(self.x.0, self.x.1, 6), ticks(self.y.0, self.y.1, 6));
        let spot = |x: f64, y: f64| self.spot(x, y);
        canvas.layer("grid", Stroke::Solid, |layer| {
            for value in &across {
                let x = spot(*value, self.y.0).0;
                layer.line(&[(x, area.top), (x, area.bottom)], GRID, 0.8);
            }
            for value in &up {
                let y = spot(self.x.0, *value).1;
                layer.line(&[(area.left, y), (area.right, y)], GRID, 0.8);
            }
            let frame =
                [(area.left, area.top), (area.left, area.bottom), (area.right, area.bottom)];
            layer.line(&frame, BORDER, 1.0);
        })?;
        let named = |it: &Figure| {
            let unit = figure_unit(answer, it);
            if unit.is_empty() { it.words.to_owned() } else { format!("{},{unit}", it.words) }
        };
        let energy = Figure::named(FRONT[0]).map_or_else(String::new, named);
        canvas.layer("scale", Stroke::Solid, |layer| {
            let how = Type::new(em * 0.9, QUIET);
            for value in &across {
                let at = (spot(*value, self.y.0).0, area.bottom + em * 0.9);
                layer.words(&short(*value), at, how.at(Anchor::Middle));
            }
            for value in &up {
                let at = (area.left - em * 0.5, spot(self.x.0, *value).1);
                layer.words(&short(*value), at, how.at(Anchor::End));
            }
            let middle = (f64::midpoint(area.left, area.right), area.bottom + em * 2.3);
            layer.words(&how.cut(&energy, area.width()), middle, how.at(Anchor::Middle));
            let head = Type::new(em, INK).bold();
            let room = area.width() + em * 2.0;
            let words = head.cut(&named(self.figure), room);
            layer.words(&words, (area.left - em * 2.0, area.top - em * 1.1), head);
        })
    }

    /// Letters beside their marks, where they cover no mark and no other letter.
    fn letters(
        &self,
        canvas: &mut Canvas,
        answer: &SweepAnswer,
        named: &[usize],
    ) -> Result<(), ChartFault> {
        let em = self.em;
        let how = Type::new(em, INK).bold().at(Anchor::Middle);
        let marks: Vec<Point> =
            answer.front.iter().map(|it| self.at(&answer.ranking.settings[it.place])).collect();
        let mut taken: Vec<Point> = answer.ranking.settings.iter().map(|it| self.at(it)).collect();
        canvas.layer("letters", Stroke::Solid, |layer| {
            for place in named {
                let (x, y) = marks[*place];
                let around = |reach: f64| {
                    let turns = [
                        (1.0, -1.0),
                        (1.0, 1.0),
                        (-1.0, -1.0),
                        (-1.0, 1.0),
                        (0.0, -1.4),
                        (0.0, 1.4),
                        (1.4, 0.0),
                        (-1.4, 0.0),
                    ];
                    turns.map(|(along, down)| (x + along * em * reach, y + down * em * reach))
                };
                let spots = [0.95, 1.5, 2.2, 3.0].into_iter().flat_map(around);
                let is_free = |spot: &Point| {
                    let own = (x, y);
                    let inside = (self.area.left..=self.area.right + em).contains(&spot.0)
                        && (self.area.top - em..=self.area.bottom).contains(&spot.1);
                    let apart = |other: &Point| {
                        *other == own
                            || (other.0 - spot.0).abs() > em * 0.95
                            || (other.1 - spot.1).abs() > em * 1.05
                    };
                    inside && taken.iter().all(apart)
                };
                let spot = spots.into_iter().find(is_free).unwrap_or((x + em, y - em));
                if (spot.0 - x).hypot(spot.1 - y) > em * 1.6 {
                    layer.line(&[(x, y), spot], OUTDOOR, 0.7);
                }
                layer.words(&letter(*place), spot, how);
                taken.push(spot);
            }
        })
    }
}

/// Some room around a range, and a range where there is none.
fn padded((low, high): (f64, f64)) -> (f64, f64) {
    if low > high {
        return (0.0, 1.0);
    }
    let room = if high > low { (high - low) * 0.07 } else { (high.abs() * 0.1).max(0.5) };
    (low - room, high + room)
}

fn short(value: f64) -> String {
    // Adding zero turns -0 into 0; round values are exact to thousandths.
    (libm::round(value * 1000.0) / 1000.0 + 0.0).to_string()
}

fn cross(layer: &mut Layer, (x, y): Point, reach: f64) {
    for turn in [1.0, -1.0] {
        layer.line(&[(x - reach, y - turn * reach), (x + reach, y + turn * reach)], OUTDOOR, 1.2);
    }
}

/// What the letters stand for.
fn names(
    canvas: &mut Canvas,
    answer: &SweepAnswer,
    named: &[usize],
    sheet: Sheet,
    top: f64,
) -> Result<(), ChartFault> {
    let em = sheet.em;
    let traded = FRONT.iter().filter_map(|key| Figure::named(key));
    let figures: Vec<&Figure> = traded.chain(ranked(answer)).collect();
    let heads = ["electricity", "outside", "changeovers"].into_iter();
    let heads = heads.chain(ranked(answer).map(|it| it.words));
    let last = figures.len() as f64 - 1.0;
    let columns: Vec<f64> = (0..figures.len())
        .map(|place| sheet.width - em - (last - place as f64) * em * 9.0)
        .collect();
    canvas.layer("names", Stroke::Solid, |layer| {
        let quiet = Type::new(em * 0.9, QUIET).at(Anchor::End);
        for ((figure, x), head) in figures.iter().zip(&columns).zip(heads) {
            let words = format!("{head}{}", figure_unit(answer, figure));
            layer.words(&quiet.cut(&words, em * 8.6), (*x, top), quiet);
        }
        for (row, place) in named.iter().enumerate() {
            let it = &answer.front[*place];
            let y = top + em * 1.55 * (row as f64 + 1.0);
            let bold = it.place == 0 && answer.ranking.best().is_some();
            let how = if bold { Type::new(em, INK).bold() } else { Type::new(em, INK) };
            let scored = &answer.ranking.settings[it.place];
            let setting = answer.results.setting_words(scored.setting);
            layer.words(&letter(*place), (em * 1.2, y), Type::new(em, INK).bold());
            let room = columns[0] - em * 7.0 - em * 3.0;
            layer.words(&how.cut(&setting, room), (em * 3.2, y), how);
            for (figure, x) in figures.iter().zip(&columns) {
                let words = figure_mean(answer, figure, mean(scored, figure));
                layer.words(&words, (*x, y), how.at(Anchor::End));
            }
        }
    })
}
