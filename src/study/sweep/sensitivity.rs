//! On which paths a figure hangs, and how much.

use super::cases::Results;
use super::estimate::{difference_of_groups, estimate};
use super::plan::{Axis, Sampling};
use crate::units::parse_number;

/// A path at one of its values.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// The value, or `0.2 to 0.4 /h` for a third of the values of a range.
    pub value: String,
    /// The mean of the figure there.
    pub mean: f64,
}

/// How much a figure hangs on one path.
#[derive(Clone, Debug, PartialEq)]
pub struct Sensitivity {
    /// The path's place among the plan's axes, then its varied paths.
    pub axis: usize,
    /// Where the figure is smallest.
    pub smallest: Level,
    /// Where it is largest.
    pub largest: Level,
    /// Largest less smallest with 95 % confidence; `None` where there are too few draws to tell.
    pub interval: Option<[f64; 2]>,
}

impl Sensitivity {
    /// Largest less smallest.
    pub fn span(&self) -> f64 {
        self.largest.mean - self.smallest.mean
    }
}

/// How much a figure hangs on each path of a sweep that takes at least two values, most first.
/// Everything else is averaged over.
pub fn sensitivities(results: &Results, figure: usize) -> Vec<Sensitivity> {
    let plan = &results.plan;
    let fit = results.fit_settings();
    let values: Vec<Vec<Option<f64>>> =
        fit.iter().map(|setting| results.by_draw(*setting, figure)).collect();
    let of_axis = |(place, axis): (usize, &Axis)| match plan.sampling {
        Sampling::Grid => of_grid(results, place, &fit, &values),
        Sampling::Random(_) | Sampling::Latin(_) => {
            let text = |setting: &usize| results.settings[*setting][place].clone();
            let means = values.iter().map(|draws| mean(draws));
            by_group(place, axis, fit.iter().map(text).zip(means))
        }
    };
    let of_varied = |(place, axis): (usize, &Axis)| {
        let draws = (0..plan.draws).map(|draw| {
            let all: Vec<Option<f64>> = values.iter().map(|draws| draws[draw]).collect();
            // A draw that some settings lack would stand for other settings than the rest.
            let value = if all.iter().all(Option::is_some) { mean(&all) } else { None };
            (plan.varied_values(draw)[place].clone(), value)
        });
        by_group(plan.axes.len() + place, axis, draws)
    };
    let axes = plan.axes.iter().enumerate().filter_map(of_axis);
    let varied = plan.varied.iter().enumerate().filter_map(of_varied);
    let mut all: Vec<Sensitivity> = axes.chain(varied).collect();
    all.sort_by(|one, two| two.span().total_cmp(&one.span()).then(one.axis.cmp(&two.axis)));
    all
}

fn mean(values: &[Option<f64>]) -> Option<f64> {
    estimate(&values.iter().copied().flatten().collect::<Vec<f64>>()).map(|it| it.mean)
}

/// Of a grid: each value of the path over the same combinations of all others, draw by draw.
fn of_grid(
    results: &Results,
    axis: usize,
    fit: &[usize],
    values: &[Vec<Option<f64>>],
) -> Option<Sensitivity> {
    let count = results.plan.axes[axis].values.count()?;
    if count < 2 {
        return None;
    }
    // The last axis changes fastest.
    let after = results.plan.axes[axis + 1..].iter().map(|it| it.values.count().unwrap_or(1));
    let stride: usize = after.product();
    let place_of = |setting: usize| fit.binary_search(&setting).ok();
    let row = |rest: usize| -> Option<Vec<usize>> {
        let first = rest / stride * stride * count + rest % stride;
        (0..count).map(|level| place_of(first + level * stride)).collect()
    };
    let rows: Vec<Vec<usize>> = (0..results.settings.len() / count).filter_map(row).collect();
    if rows.is_empty() {
        return None;
    }
    // By level and draw, the mean over the combinations.
    let by_draw = |level: usize, draw: usize| -> Option<f64> {
        let all: Option<Vec<f64>> = rows.iter().map(|row| values[row[level]][draw]).collect();
        estimate(&all?).map(|it| it.mean)
    };
    let draws: Vec<Vec<Option<f64>>> = (0..count)
        .map(|level| (0..results.plan.draws).map(|draw| by_draw(level, draw)).collect())
        .collect();
    let means: Vec<f64> = draws.iter().map(|draws| mean(draws)).collect::<Option<_>>()?;
    let (low, high) = extremes(&means)?;
    let interval = super::estimate::paired_difference(&draws[low], &draws[high])?.interval;
    let level = |level: usize| Level {
        value: results.plan.axes[axis].values.at(level),
        mean: means[level],
    };
    Some(Sensitivity { axis, smallest: level(low), largest: level(high), interval })
}

/// The places of the smallest and the largest; the first of equals.
fn extremes(means: &[f64]) -> Option<(usize, usize)> {
    let places = 0..means.len();
    let low = places.clone().reduce(|best, it| if means[it] < means[best] { it } else { best })?;
    let high = places.reduce(|best, it| if means[it] > means[best] { it } else { best })?;
    (low != high).then_some((low, high))
}

/// Of values by chance: those of a list by value, those of a range in thirds.
fn by_group(
    axis: usize,
    of: &Axis,
    all: impl Iterator<Item = (String, Option<f64>)>,
) -> Option<Sensitivity> {
    let mut all: Vec<(String, f64)> =
        all.filter_map(|(text, value)| Some((text, value?))).collect();
    let groups: Vec<(String, Vec<f64>)> = if of.values.count().is_some() {
        let own = |value: &str| {
            all.iter().filter(|(text, _)| text == value).map(|(_, figure)| *figure).collect()
        };
        of.values.samples().into_iter().map(|value| (value.clone(), own(&value))).collect()
    } else {
        all.sort_by(|one, two| leading(&one.0).total_cmp(&leading(&two.0)));
        thirds(&all)
    };
    let groups: Vec<(String, Vec<f64>)> =
        groups.into_iter().filter(|(_, values)| !values.is_empty()).collect();
    let means: Vec<f64> =
        groups.iter().filter_map(|(_, values)| estimate(values)).map(|it| it.mean).collect();
    let (low, high) = extremes(&means)?;
    let (_, interval) = difference_of_groups(&groups[low].1, &groups[high].1)?;
    let level = |place: usize| Level { value: groups[place].0.clone(), mean: means[place] };
    Some(Sensitivity { axis, smallest: level(low), largest: level(high), interval })
}

/// The lowest, the middle and the highest third, with their bounds in words.
fn thirds(sorted: &[(String, f64)]) -> Vec<(String, Vec<f64>)> {
    let cut = |part: usize| sorted.len() * part / 3;
    (0..3)
        .filter_map(|part| {
            let own = &sorted[cut(part)..cut(part + 1)];
            let (first, last) = (&own.first()?.0, &own.last()?.0);
            let unit = first.find(' ').map_or("", |at| &first[at..]);
            let (low, high) = (short(leading(first)), short(leading(last)));
            let words = match part {
                0 => format!("up to {high}{unit}"),
                1 => format!("{low} to {high}{unit}"),
                _ => format!("from {low}{unit}"),
            };
            Some((words, own.iter().map(|(_, value)| *value).collect()))
        })
        .collect()
}

/// A number in three digits or so.
fn short(value: f64) -> String {
    let size = value.abs();
    let digits = [(100.0, 0), (10.0, 1), (1.0, 2)];
    let digits = digits.into_iter().find(|(from, _)| size >= *from).map_or(3, |(_, digits)| digits);
    let text = format!("{value:.digits$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// The number that a value begins with.
fn leading(text: &str) -> f64 {
    text.split(' ').next().and_then(parse_number).unwrap_or(0.0)
}
