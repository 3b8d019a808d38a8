//! The axes: temperature and power to the left, outdoor temperature to the right, time below.

use super::ChartFault;
use super::canvas::{Area, Canvas, Stroke};
use super::palette::{BORDER, GRID, OUTDOOR, QUIET};
use super::scale::{Linear, TimeAxis, whole_count};
use super::text::{Anchor, Type};
use crate::report::figures::{month, setpoint};
use crate::time::{DAY, Instant, Period, Seconds};

/// Grid lines and their values to the left of an area; the topmost value carries the unit.
pub(super) fn values(
    canvas: &mut Canvas,
    area: Area,
    scale: Linear,
    unit: &str,
    em: f64,
) -> Result<(), ChartFault> {
    let ticks = scale.ticks(most_ticks(area, em));
    canvas.layer("grid", Stroke::Solid, |layer| {
        for value in &ticks {
            let y = scale.at(*value);
            layer.line(&[(area.left, y), (area.right, y)], GRID, 0.8);
        }
    })?;
    canvas.layer("scale", Stroke::Solid, |layer| {
        for (place, value) in ticks.iter().enumerate() {
            let number = setpoint(*value);
            let last = place + 1 == ticks.len();
            let text = if last { format!("{number} {unit}") } else { number };
            let how = Type::new(em, QUIET).at(Anchor::End);
            layer.words(&text, (area.left - em * 0.5, scale.at(*value)), how);
        }
    })
}

/// Ticks, values and the name of the outdoor scale, to the right of an area. Values that a leader
/// to a label would cross are left out. `taken` are heights that labels and leaders need.
pub(super) fn outdoor(
    canvas: &mut Canvas,
    area: Area,
    scale: Linear,
    taken: &[f64],
    em: f64,
) -> Result<(), ChartFault> {
    let how = Type::new(em * 0.85, QUIET);
    let ticks = scale.ticks(most_ticks(area, em).max(4));
    let is_free = |y: f64, taken: &[f64], room: f64| taken.iter().all(|at| (at - y).abs() > room);
    let mut heights = taken.to_vec();
    canvas.layer("outdoor-scale", Stroke::Solid, |layer| {
        for value in ticks {
            let y = scale.at(value);
            layer.line(&[(area.right, y), (area.right + 4.0, y)], OUTDOOR, 1.0);
            if is_free(y, taken, em * 0.7) {
                layer.words(&format!("{}°", setpoint(value)), (area.right + 6.0, y), how);
                heights.push(y);
            }
        }
        let steps = (0..80).map(|step| area.top + em * (0.3 + 0.25 * f64::from(step)));
        let free =
            steps.take_while(|y| *y < area.bottom).find(|y| is_free(*y, &heights, em * 1.15));
        if let Some(y) = free {
            layer.words("outdoor", (area.right + 6.0, y), how);
        }
    })
}

fn most_ticks(area: Area, em: f64) -> usize {
    whole_count((area.height() / (em * 2.6)).clamp(2.0, 9.0))
}

/// Where the time axis has lines and words.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct TimeMarks {
    /// Fine lines, px.
    pub lines: Vec<f64>,
    /// Lines between days or months, px; none on a single day.
    pub borders: Vec<f64>,
    /// Words with their middle, px.
    pub words: Vec<(f64, String)>,
    /// Words of a second row: the days.
    pub days: Vec<(f64, String)>,
    /// Where clocks are changed, and by how much; none where hours are too narrow to be told.
    pub changes: Vec<(f64, String)>,
}

/// Lines and words for the period at hand: hours of a day, days of a month, months of a year.
pub(super) fn time_marks(period: &Period, time: TimeAxis, em: f64) -> TimeMarks {
    let day = time.day_width();
    if time.days == 1 {
        hours(
            period,
            time,
            match day / em {
                wide if wide > 30.0 => 3,
                some if some > 19.0 => 6,
                _ => 12,
            },
        )
    } else if day > 20.0 * em {
        TimeMarks {
            days: day_names(period, time),
            borders: midnights(period, time),
            ..hours(period, time, 6)
        }
    } else if day > 10.0 * em {
        let marks = hours(period, time, 12);
        TimeMarks { days: day_names(period, time), borders: midnights(period, time), ..marks }
    } else if day > 5.5 * em {
        let words = day_names(period, time);
        let (borders, changes) = (midnights(period, time), changes(period, time));
        TimeMarks { borders, words, changes, ..TimeMarks::default() }
    } else if time.days <= 92 {
        dates(period, time, em)
    } else {
        months(period, time, em)
    }
}

/// Hours as clocks show them: one that they pass over has no mark.
fn hours(period: &Period, time: TimeAxis, every: i64) -> TimeMarks {
    let mut marks = TimeMarks { changes: changes(period, time), ..TimeMarks::default() };
    let many = time.days > 1;
    for hour in (0..=time.days * 24).step_by(usize::try_from(every).unwrap_or(3)) {
        let shown = time.start() + Seconds::hours(hour);
        let at = period.off_clocks(shown);
        if !time.has(at) || period.on_clocks(at) != shown {
            continue;
        }
        let x = time.x(at);
        marks.lines.push(x);
        let shown = if hour == time.days * 24 { 24 } else { hour % 24 };
        // Where days have names, the border between two says midnight.
        if !(many && hour % 24 == 0) {
            marks.words.push((x, format!("{shown:02}:00")));
        }
    }
    marks
}

/// Where clocks are put forward or back.
fn changes(period: &Period, time: TimeAxis) -> Vec<(f64, String)> {
    let told = period.clocks_ahead(time.start(), time.end());
    let change = |pair: &[(Instant, Seconds)]| {
        let words = if pair[1].1 > pair[0].1 { "clocks +1 h" } else { "clocks \u{2212}1 h" };
        (time.x(pair[1].0), words.to_owned())
    };
    told.windows(2).map(change).collect()
}

fn midnights(period: &Period, time: TimeAxis) -> Vec<f64> {
    let days = (0..=time.days).map(|day| time.start() + Seconds::new(day * DAY));
    let midnights = days.map(|shown| period.off_clocks(shown));
    midnights.filter(|at| time.has(*at)).map(|at| time.x(at)).collect()
}

fn day_names(period: &Period, time: TimeAxis) -> Vec<(f64, String)> {
    (time.first..time.first + time.days)
        .map(|day| {
            let date = period.date(day);
            let name = crate::report::headline::capitalised(period.weekday(day).short());
            let x = time.x(Instant::new(day * DAY + DAY / 2));
            (x, format!("{name} {}", date.day()))
        })
        .collect()
}

fn dates(period: &Period, time: TimeAxis, em: f64) -> TimeMarks {
    let every = [2, 7, 14].into_iter().find(|days| time.day_width() * f64::from(*days) > 5.0 * em);
    let every = i64::from(every.unwrap_or(28));
    let mut marks = TimeMarks::default();
    for day in (time.first..=time.first + time.days).step_by(usize::try_from(every).unwrap_or(7)) {
        let x = time.x(Instant::new(day * DAY));
        let date = period.date(day);
        marks.lines.push(x);
        marks.words.push((x, format!("{} {}", date.day(), &month(date)[..3])));
    }
    marks
}

fn months(period: &Period, time: TimeAxis, em: f64) -> TimeMarks {
    let mut marks = TimeMarks::default();
    let (mut begun, last) = (time.first, time.first + time.days);
    for day in time.first..=last {
        let (date, end) = (period.date(day), day == last);
        if date.day() != 1 && !end {
            continue;
        }
        let (from, to) = (time.x(Instant::new(begun * DAY)), time.x(Instant::new(day * DAY)));
        if to - from > 2.6 * em {
            let named = period.date(begun);
            marks.words.push((f64::midpoint(from, to), month(named)[..3].to_owned()));
        }
        if !end {
            marks.borders.push(to);
        }
        begun = day;
    }
    marks
}

/// The lines of the time axis through everything from `top` to `bottom`.
pub(super) fn time_lines(
    canvas: &mut Canvas,
    marks: &TimeMarks,
    top: f64,
    bottom: f64,
) -> Result<(), ChartFault> {
    canvas.layer("grid", Stroke::Solid, |layer| {
        for x in &marks.lines {
            layer.line(&[(*x, top), (*x, bottom)], GRID, 0.8);
        }
        for x in &marks.borders {
            layer.line(&[(*x, top), (*x, bottom)], BORDER, 0.9);
        }
    })?;
    canvas.layer("clock-changes", Stroke::Dashed, |layer| {
        for (x, _) in &marks.changes {
            layer.line(&[(*x, top), (*x, bottom)], QUIET, 0.9);
        }
    })
}

/// The words of the time axis below `y`.
pub(super) fn time_words(
    canvas: &mut Canvas,
    marks: &TimeMarks,
    y: f64,
    em: f64,
) -> Result<(), ChartFault> {
    canvas.layer("times", Stroke::Solid, |layer| {
        let how = Type::new(em, QUIET).at(Anchor::Middle);
        for (x, text) in &marks.words {
            layer.words(text, (*x, y + em * 1.1), how);
        }
        for (x, text) in &marks.days {
            let below = if marks.words.is_empty() { 1.1 } else { 2.4 };
            layer.words(text, (*x, y + em * below), how);
        }
    })?;
    canvas.layer("clock-change-words", Stroke::Solid, |layer| {
        let how = Type::new(em * 0.85, QUIET).at(Anchor::Middle);
        for (x, text) in &marks.changes {
            layer.words(text, (*x, y + em * if marks.days.is_empty() { 2.4 } else { 3.5 }), how);
        }
    })
}
