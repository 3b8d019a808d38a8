//! On which paths a figure hangs, and how much.

use super::cases::Results;
use super::estimate::{estimate, paired_difference};
use super::plan::{Axis, Sampling};
use super::regress::{Effect, Factor, effects};
use super::values::Values;
use crate::units::parse_number;

/// A path at one of its values.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// The value.
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
    /// Largest less smallest with 95 % confidence, picked as they were; `None` where there are too
    /// few draws to tell.
    pub interval: Option<[f64; 2]>,
    /// Whether it can be told from noise: the interval leaves zero out, which it does for a path
    /// without any effect in at most one of twenty sweeps; or nothing happens by chance.
    pub is_told: bool,
}

impl Sensitivity {
    /// Largest less smallest.
    pub fn span(&self) -> f64 {
        self.largest.mean - self.smallest.mean
    }
}

/// Why a path that takes several values is not among those that a figure hangs on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Silent {
    /// The figure is the same at all of its values.
    Same,
    /// It takes one value only, as far as it could be run.
    OneValue,
    /// Too few rows, or other paths take their values along with it.
    Unclear,
}

/// What a figure hangs on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sensitivities {
    /// Those that can be told from noise, most first; then the others, most first.
    pub found: Vec<Sensitivity>,
    /// The other paths, by their places, with the reason.
    pub silent: Vec<(usize, Silent)>,
}

/// How much a figure hangs on each path of a sweep: what a path does beside all others that vary.
pub fn sensitivities(results: &Results, figure: usize) -> Sensitivities {
    let plan = &results.plan;
    let fit = results.fit_settings();
    let values: Vec<Vec<Option<f64>>> =
        fit.iter().map(|setting| results.by_draw(*setting, figure)).collect();
    let mut all: Vec<(usize, Result<Sensitivity, Silent>)> = match plan.sampling {
        Sampling::Grid => {
            (0..plan.axes.len()).map(|axis| (axis, of_grid(results, axis, &fit, &values))).collect()
        }
        Sampling::Random(_) | Sampling::Latin(_) => {
            let rows = fit.iter().zip(&values).filter_map(|(setting, draws)| {
                Some((results.settings[*setting].clone(), mean(draws)?))
            });
            by_regression(&plan.axes, 0, rows)
        }
    };
    let rows = (0..plan.draws).filter_map(|draw| {
        let all: Vec<Option<f64>> = values.iter().map(|draws| draws[draw]).collect();
        // A draw that some settings lack would stand for other settings than the rest.
        let value = if all.iter().all(Option::is_some) { mean(&all) } else { None };
        Some((plan.varied_values(draw), value?))
    });
    all.extend(by_regression(&plan.varied, plan.axes.len(), rows));
    let mut answer = Sensitivities::default();
    for (axis, one) in all {
        match one {
            Ok(one) => answer.found.push(one),
            Err(why) => answer.silent.push((axis, why)),
        }
    }
    answer.found.sort_by(|one, two| {
        let order = two.is_told.cmp(&one.is_told).then(two.span().total_cmp(&one.span()));
        order.then(one.axis.cmp(&two.axis))
    });
    answer
}

fn mean(values: &[Option<f64>]) -> Option<f64> {
    estimate(&values.iter().copied().flatten().collect::<Vec<f64>>()).map(|it| it.mean)
}

/// Of a grid: each value of the path over the same combinations of all others, draw by draw.
/// Values that could not be run with anything are left out.
fn of_grid(
    results: &Results,
    axis: usize,
    fit: &[usize],
    values: &[Vec<Option<f64>>],
) -> Result<Sensitivity, Silent> {
    let count = results.plan.axes[axis].values.count().unwrap_or(1);
    // The last axis changes fastest.
    let after = results.plan.axes[axis + 1..].iter().map(|it| it.values.count().unwrap_or(1));
    let stride: usize = after.product();
    let levels: Vec<usize> =
        (0..count).filter(|it| fit.iter().any(|at| at / stride % count == *it)).collect();
    if levels.len() < 2 {
        return Err(Silent::OneValue);
    }
    let place_of = |setting: usize| fit.binary_search(&setting).ok();
    let row = |rest: usize| -> Option<Vec<usize>> {
        let first = rest / stride * stride * count + rest % stride;
        levels.iter().map(|level| place_of(first + level * stride)).collect()
    };
    let rows: Vec<Vec<usize>> = (0..results.settings.len() / count).filter_map(row).collect();
    if rows.is_empty() {
        return Err(Silent::Unclear);
    }
    // By level and draw, the mean over the combinations.
    let by_draw = |level: usize, draw: usize| -> Option<f64> {
        let all: Option<Vec<f64>> = rows.iter().map(|row| values[row[level]][draw]).collect();
        estimate(&all?).map(|it| it.mean)
    };
    let draws: Vec<Vec<Option<f64>>> = (0..levels.len())
        .map(|level| (0..results.plan.draws).map(|draw| by_draw(level, draw)).collect())
        .collect();
    let means: Option<Vec<f64>> = draws.iter().map(|draws| mean(draws)).collect();
    let means = means.ok_or(Silent::Unclear)?;
    let (low, high) = extremes(&means).ok_or(Silent::Same)?;
    // Two were picked of all: the interval is that of every pair at once (Bonferroni).
    let pairs = levels.len() * (levels.len() - 1) / 2;
    let difference = paired_difference(&draws[low], &draws[high]).ok_or(Silent::Unclear)?;
    let interval = difference.interval_of_one_in(pairs);
    let level = |level: usize| Level {
        value: results.plan.axes[axis].values.at(levels[level]),
        mean: means[level],
    };
    // A single draw, or one like all others, leaves nothing to chance.
    let is_told = interval.is_none_or(|[low, high]| low > 0.0 || high < 0.0);
    Ok(Sensitivity { axis, smallest: level(low), largest: level(high), interval, is_told })
}

/// The places of the smallest and the largest; the first of equals.
fn extremes(means: &[f64]) -> Option<(usize, usize)> {
    let places = 0..means.len();
    let low = places.clone().reduce(|best, it| if means[it] < means[best] { it } else { best })?;
    let high = places.reduce(|best, it| if means[it] > means[best] { it } else { best })?;
    (low != high).then_some((low, high))
}

/// Of values by chance, all paths at once: see [`effects`]. Rows are values, path by path, with
/// the figure.
fn by_regression(
    axes: &[Axis],
    first: usize,
    rows: impl Iterator<Item = (Vec<String>, f64)>,
) -> Vec<(usize, Result<Sensitivity, Silent>)> {
    /// Rows that must be left for curves to be fitted, and not straight lines alone.
    const FOR_CURVES: usize = 10;
    let rows: Vec<(Vec<String>, f64)> = rows.collect();
    let figure: Vec<f64> = rows.iter().map(|(_, value)| *value).collect();
    let texts: Vec<Vec<&str>> = (0..axes.len())
        .map(|axis| rows.iter().map(|(values, _)| values[axis].as_str()).collect())
        .collect();
    let columns = |curved: bool| -> Vec<Option<(Factor, Vec<String>)>> {
        axes.iter().zip(&texts).map(|(axis, texts)| factor(axis, texts, curved)).collect()
    };
    let taken = |all: &[Option<(Factor, Vec<String>)>]| {
        all.iter().flatten().map(|(factor, _)| factor.columns.len()).sum::<usize>()
    };
    let curved = columns(true);
    let enough = rows.len() > taken(&curved) + FOR_CURVES;
    let all = if enough { curved } else { columns(false) };
    let factors: Vec<Factor> = all.iter().flatten().map(|(factor, _)| factor.clone()).collect();
    let mut found = effects(&figure, &factors).into_iter();
    let one = |(place, it): (usize, Option<(Factor, Vec<String>)>)| {
        let Some((_, names)) = it else { return (first + place, Err(Silent::OneValue)) };
        let effect = found.next().flatten().ok_or(Silent::Unclear);
        let sensitivity = effect.and_then(|effect| of_effect(first + place, &effect, &names));
        (first + place, sensitivity)
    };
    all.into_iter().enumerate().map(one).collect()
}

/// The two levels of an effect that lie furthest apart.
fn of_effect(axis: usize, effect: &Effect, names: &[String]) -> Result<Sensitivity, Silent> {
    let (low, high) = extremes(&effect.means).ok_or(Silent::Same)?;
    let level = |place: usize| Level { value: names[place].clone(), mean: effect.means[place] };
    let (smallest, largest) = (level(low), level(high));
    let span = largest.mean - smallest.mean;
    let half = effect.halves.as_ref().map(|halves| halves[low][high]);
    let interval = half.map(|half| [span - half, span + half]);
    let is_told = interval.is_some_and(|[low, _]| low > 0.0);
    Ok(Sensitivity { axis, smallest, largest, interval, is_told })
}

/// A path as columns of numbers, with its levels in words: a list with one column less than it has
/// values, a range as a line or a curve of the second degree. `None` where it takes one value.
fn factor(axis: &Axis, texts: &[&str], curved: bool) -> Option<(Factor, Vec<String>)> {
    if let Values::List(_) = axis.values {
        let taken: Vec<String> = axis.values.samples();
        let taken: Vec<String> =
            taken.into_iter().filter(|value| texts.contains(&value.as_str())).collect();
        if taken.len() < 2 {
            return None;
        }
        let is = |one: &str, other: &str| f64::from(u8::from(one == other));
        let column = |value: &String| texts.iter().map(|text| is(text, value)).collect();
        let columns = taken[1..].iter().map(column).collect();
        let level = |own: &String| taken[1..].iter().map(|value| is(own, value)).collect();
        let levels = taken.iter().map(level).collect();
        return Some((Factor { columns, levels }, taken));
    }
    let mut sorted: Vec<&str> = texts.to_vec();
    sorted.sort_by(|one, two| leading(one).total_cmp(&leading(two)));
    let (first, last) = (*sorted.first()?, *sorted.last()?);
    let (low, high) = (leading(first), leading(last));
    if low >= high {
        return None;
    }
    // From -1 to 1, so that lines and squares do not run together.
    let place = |text: &str| (2.0 * leading(text) - low - high) / (high - low);
    let powers = if curved { 1..=2 } else { 1..=1 };
    let column = |power: i32| -> Vec<f64> {
        texts
            .iter()
            .map(|text| if power == 1 { place(text) } else { place(text) * place(text) })
            .collect()
    };
    let columns: Vec<Vec<f64>> = powers.map(column).collect();
    let middle = sorted[sorted.len() / 2];
    let names = if curved { vec![first, middle, last] } else { vec![first, last] };
    let level = |text: &&str| -> Vec<f64> {
        let own = place(text);
        if curved { vec![own, own * own] } else { vec![own] }
    };
    let levels = names.iter().map(level).collect();
    Some((Factor { columns, levels }, names.into_iter().map(short).collect()))
}

/// A value in three digits or so, with its unit.
fn short(text: &str) -> String {
    let (value, unit) = (leading(text), text.find(' ').map_or("", |at| &text[at..]));
    let size = value.abs();
    let digits = [(100.0, 0), (10.0, 1), (1.0, 2)];
    let digits = digits.into_iter().find(|(from, _)| size >= *from).map_or(3, |(_, digits)| digits);
    let number = format!("{value:.digits$}");
    let number = if number.contains('.') {
        number.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        number
    };
    number + unit
}

/// The number that a value begins with.
fn leading(text: &str) -> f64 {
    text.split(' ').next().and_then(parse_number).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::super::super::chance::{Chance, normal_quantile};
    use super::*;

    /// 12 draws of two varied paths, of which `b` does nothing: as a sweep of one setting has
    /// them. Returns what is said of both.
    fn study(seed: u64, noise: f64) -> (Option<Sensitivity>, Option<Sensitivity>, bool) {
        let axes =
            [Axis::parse("a=0..1").expect("an axis"), Axis::parse("b=0..1").expect("an axis")];
        let mut chance = Chance::new(seed, 9);
        let rows: Vec<(Vec<String>, f64)> = (0..12)
            .map(|_| {
                let (a, b) = (chance.part(), chance.part());
                let figure = 20.0 + 3.0 * a + noise * normal_quantile(chance.part());
                (vec![format!("{a:.5}"), format!("{b:.5}")], figure)
            })
            .collect();
        let mut all = by_regression(&axes, 0, rows.into_iter()).into_iter();
        let mut next = || all.next().and_then(|(_, it)| it.ok());
        let (a, b) = (next(), next());
        let first = |one: &Sensitivity, two: &Sensitivity| {
            (one.is_told, one.span()) > (two.is_told, two.span())
        };
        let right = a.as_ref().zip(b.as_ref()).is_some_and(|(a, b)| first(a, b));
        (a, b, right)
    }

    /// A path without effect is told from noise in at most 5 % of sweeps (of 1000: 50 with a
    /// standard deviation of 7; three of them), and hardly ever stands above one with an effect.
    #[test]
    fn a_path_without_effect_is_seldom_told_from_noise_and_seldom_first() {
        const SWEEPS: u64 = 1000;
        let (mut told, mut right, mut held) = (0, 0, 0);
        for seed in 0..SWEEPS {
            let (a, b, is_right) = study(seed, 1.0);
            told += u32::from(b.is_some_and(|it| it.is_told));
            right += u32::from(is_right);
            let a = a.expect("it varies");
            let truth = 3.0 * (leading(&a.largest.value) - leading(&a.smallest.value));
            held += u32::from(a.interval.is_some_and(|[low, high]| low <= truth && truth <= high));
        }
        assert!(told <= 71, "{told} of {SWEEPS} told from noise");
        assert!(right >= 900, "{right} of {SWEEPS} in the right order");
        assert!(held >= 929, "{held} of {SWEEPS} intervals hold the difference");
    }

    #[test]
    fn what_is_not_among_the_answers_has_a_reason() {
        let axes = ["a=[x, y]", "b=0..1", "c=[p, q]"];
        let axes: Vec<Axis> = axes.iter().map(|it| Axis::parse(it).expect("an axis")).collect();
        let row = |a: &str, b: &str, c: &str, value: f64| {
            (vec![a.to_owned(), b.to_owned(), c.to_owned()], value)
        };
        let rows = vec![
            row("x", "0.1", "p", 5.0),
            row("y", "0.9", "p", 7.0),
            row("x", "0.3", "p", 5.0),
            row("y", "0.2", "p", 7.0),
            row("x", "0.8", "p", 5.0),
            row("y", "0.5", "p", 7.0),
        ];
        let found = by_regression(&axes, 3, rows.into_iter());
        let a = found[0].1.as_ref().expect("an effect");
        assert!((a.span() - 2.0).abs() < 1e-9 && a.is_told && a.axis == 3, "{a:?}");
        assert_eq!(found[2], (5, Err(Silent::OneValue)));
    }
}
