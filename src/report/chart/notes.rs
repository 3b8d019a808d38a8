//! Words beside the marks of requests, where they cross nothing.

use super::ChartFault;
use super::band::Scales;
use super::canvas::{Area, Canvas, Point, Stroke};
use super::marks::Mark;
use super::scale::TimeAxis;
use super::series::Series;
use super::text::{Anchor, Type};
use crate::control::{Outcome, Side};
use crate::engine::Entry;
use crate::report::events::ended_in_short;
use crate::report::highlights::same_request;

/// More marks than this say more by their shapes than by words.
const MOST: usize = 40;

/// Several presses at one time that ended alike, with one note.
struct Note<'a> {
    first: &'a Mark<'a>,
    last: &'a Mark<'a>,
    presses: usize,
}

/// Writes a note for each mark that has room for one, those that were denied first.
pub(super) fn draw(
    canvas: &mut Canvas,
    series: &Series,
    marks: &[Mark],
    time: TimeAxis,
    scales: Scales,
    area: Area,
    em: f64,
) -> Result<(), ChartFault> {
    let scale = scales.room;
    let mut notes = gathered(marks);
    if notes.len() > MOST {
        return Ok(());
    }
    notes.sort_by_key(|note| matches!(note.last.outcome, Outcome::Accepted));
    let mut taken = Taken::new(series, marks, time, scales, em);
    canvas.layer("notes", Stroke::Solid, |layer| {
        for note in &notes {
            let how = Type::new(em * 0.85, note.last.color()).at(Anchor::Middle);
            let text = words(note);
            let width = how.width(&text);
            let anchors =
                [note.first, note.last].map(|mark| (time.x(mark.row.at), scale.at(mark.value)));
            let free = places(anchors, note.last.side, width, em)
                .into_iter()
                .map(|middle| (middle, around(middle, width, em)))
                .find(|(_, box_)| inside(*box_, area) && taken.is_free(*box_));
            if let Some((middle, box_)) = free {
                layer.words(&text, middle, how);
                taken.boxes.push(box_);
            }
        }
    })
}

fn gathered<'a>(marks: &'a [Mark<'a>]) -> Vec<Note<'a>> {
    let mut notes: Vec<Note> = Vec::new();
    for mark in marks {
        match notes.last_mut() {
            Some(note)
                if note.last.row.at == mark.row.at
                    && note.last.side == mark.side
                    && note.last.outcome == mark.outcome
                    && same_request(note.last.row, mark.row) =>
            {
                note.last = mark;
                note.presses += 1;
            }
            _ => notes.push(Note { first: mark, last: mark, presses: 1 }),
        }
    }
    notes
}

fn words(note: &Note) -> String {
    let Entry::Request { what, .. } = &note.last.row.entry else {
        return String::new();
    };
    let text = ended_in_short(what, note.last.outcome);
    if note.presses > 1 { format!("{} × {text}", note.presses) } else { text }
}

/// Where a note may stand: away from the band first, then beside the mark, then within.
fn places(anchors: [Point; 2], side: Side, width: f64, em: f64) -> Vec<Point> {
    let outward = match side {
        Side::Heat => 1.0,
        Side::Cool => -1.0,
    };
    let (x, first) = anchors[0];
    let last = anchors[1].1;
    let (outer, inner) = if outward > 0.0 {
        (first.max(last), first.min(last))
    } else {
        (first.min(last), first.max(last))
    };
    let beside = width / 2.0 + em * 0.8;
    let mut all = Vec::new();
    for distance in [1.15, 2.2] {
        for shift in [0.0, width * 0.4, -width * 0.4] {
            all.push((x + shift, outer + outward * distance * em));
        }
    }
    for height in [0.75, -0.75] {
        all.push((x + beside, outer + outward * height * em));
        all.push((x - beside, outer + outward * height * em));
    }
    all.push((x, inner - outward * 1.15 * em));
    all
}

fn around((x, y): Point, width: f64, em: f64) -> Area {
    let (half, tall) = (width / 2.0 + 2.0, em * 0.5);
    Area { left: x - half, right: x + half, top: y - tall, bottom: y + tall }
}

fn inside(inner: Area, outer: Area) -> bool {
    outer.left <= inner.left
        && inner.right <= outer.right
        && outer.top <= inner.top
        && inner.bottom <= outer.bottom
}

/// What notes must not cross: the lines, as small boxes along them, the marks, other notes.
struct Taken {
    lines: Vec<Area>,
    boxes: Vec<Area>,
}

impl Taken {
    fn new(series: &Series, marks: &[Mark], time: TimeAxis, scales: Scales, em: f64) -> Self {
        let scale = scales.room;
        let lines = [
            series.line(time, scale, |row| row.temperature),
            series.line(time, scale, |row| row.sensed),
            series.line(time, scales.outdoor, |row| row.outdoor),
            series.corners(time, scale, |row| row.heat),
            series.corners(time, scale, |row| row.cool),
        ];
        let lines = lines.iter().flat_map(|line| line.windows(2).map(boxed)).collect();
        let half = em * 0.45;
        let boxes = marks
            .iter()
            .map(|mark| {
                let (x, y) = (time.x(mark.row.at), scale.at(mark.value));
                let other = mark.pushed_to.map_or(y, |value| scale.at(value));
                let (top, bottom) = (y.min(other) - half, y.max(other) + half);
                Area { left: x - half, right: x + half, top, bottom }
            })
            .collect();
        Self { lines, boxes }
    }

    fn is_free(&self, area: Area) -> bool {
        !self.lines.iter().chain(&self.boxes).any(|other| {
            other.left < area.right
                && area.left < other.right
                && other.top < area.bottom
                && area.top < other.bottom
        })
    }
}

/// The box round a piece of a line. Pieces are short enough for that where lines are steep.
fn boxed(piece: &[Point]) -> Area {
    let ((x0, y0), (x1, y1)) = (piece[0], piece[1]);
    Area {
        left: x0.min(x1) - 1.5,
        right: x0.max(x1) + 1.5,
        top: y0.min(y1) - 1.5,
        bottom: y0.max(y1) + 1.5,
    }
}
