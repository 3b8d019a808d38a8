//! The choice that explains a log best, and how sure each number of it is.

use super::minimise::{Effort, curvature, minimise};
use super::problem::{Choice, GainOf, NO_MASS, NOISES, Problem, Room, Size, What};
use crate::study::matrix;
use crate::time::Seconds;

/// Steps of a search that only tells which start is the better one, and of one that goes to the end.
const SHORT: usize = 12;
const LONG: usize = 60;
/// Half the width of differences that stand for second derivatives of logarithms.
const REACH: f64 = 0.01;
/// A number is told by a log where what remains unsure of it is less than this part of what was
/// before: three quarters of what is known then come from the log.
const TOLD: f64 = 0.5;

/// The best choice for a problem.
#[derive(Clone, Debug)]
pub(super) struct Found<'a> {
    pub problem: Problem<'a>,
    pub at: Vec<f64>,
    pub choice: Choice,
    pub inverse: Vec<Vec<f64>>,
}

impl<'a> Found<'a> {
    /// From the best of several starts.
    pub(super) fn from_starts(problem: Problem<'a>, starts: &[Vec<f64>]) -> Option<Self> {
        let lowest = starts
            .iter()
            .map(|start| minimise(&mut |at| problem.value(at), start, None, Effort::closely(SHORT)))
            .filter(|it| it.value.is_finite())
            .min_by(|one, two| one.value.total_cmp(&two.value))?;
        Self::on_from(problem, &lowest.at, Some(lowest.inverse), LONG)
    }

    /// On from a point.
    pub(super) fn on_from(
        problem: Problem<'a>,
        start: &[f64],
        inverse: Option<Vec<Vec<f64>>>,
        most: usize,
    ) -> Option<Self> {
        let lowest = minimise(&mut |at| problem.value(at), start, inverse, Effort::closely(most));
        let choice = problem.choose(&lowest.at)?;
        Some(Self { at: lowest.at, inverse: lowest.inverse, choice, problem })
    }

    /// The same point for another problem with fewer free sizes.
    fn without(&self, problem: Problem<'a>, spread: &Spread) -> Option<Self> {
        let mut kept: Vec<usize> = (0..NOISES).collect();
        for size in &problem.free {
            let place = self.problem.free.iter().position(|it| it == size)?;
            kept.push(NOISES + place);
        }
        let start: Vec<f64> = kept.iter().map(|it| self.at[*it]).collect();
        let inverse =
            matrix::from_fn(kept.len(), |row, column| spread.numbers[kept[row]][kept[column]]);
        Self::on_from(problem, &start, Some(inverse), LONG)
    }

    /// How sure its numbers are.
    pub(super) fn spread(&self) -> Spread {
        let mut second = self.curvature();
        // A flat direction has the curvature of what is believed; rounding may leave less.
        let mut more = 1e-3;
        let root = loop {
            if let Some(root) = matrix::root(&second) {
                break root;
            }
            for (place, row) in second.iter_mut().enumerate() {
                row[place] = row[place].abs().max(0.05) + more;
            }
            more *= 10.0;
        };
        let numbers = matrix::inverse_of(&root);
        let slopes = self.gain_slopes();
        let own = matrix::inverse_of(&self.choice.root);
        let gains = own
            .iter()
            .enumerate()
            .map(|(place, row)| {
                let by_numbers =
                    matrix::dot(&slopes[place], &matrix::times(&numbers, &slopes[place]));
                row[place] + by_numbers
            })
            .collect();
        Spread { numbers, slopes, gains }
    }

    /// Second derivatives at its point. Beside a room that cannot be there are none: then those of a point
    /// a little towards where the search begins, and at worst those of what is believed.
    fn curvature(&self) -> Vec<Vec<f64>> {
        let start = self.problem.start();
        let towards = |part: f64| -> Vec<f64> {
            self.at.iter().zip(&start).map(|(at, start)| at + part * (start - at)).collect()
        };
        let mut second = Vec::new();
        for part in [0.0, 0.05, 0.2] {
            second = curvature(&mut |at| self.problem.value(at), &towards(part), REACH);
            if second.iter().flatten().all(|it| it.is_finite()) {
                return second;
            }
        }
        for (place, row) in second.iter_mut().enumerate() {
            for (column, entry) in row.iter_mut().enumerate().filter(|it| !it.1.is_finite()) {
                *entry = f64::from(u8::from(column == place));
            }
        }
        second
    }

    /// How the gains go with the numbers.
    fn gain_slopes(&self) -> Vec<Vec<f64>> {
        let count = self.choice.gains.len();
        let mut slopes = vec![vec![0.0; self.at.len()]; count];
        let mut near = self.at.clone();
        for place in 0..self.at.len() {
            near[place] = self.at[place] + REACH;
            let above = self.problem.choose(&near);
            near[place] = self.at[place] - REACH;
            let below = self.problem.choose(&near);
            near[place] = self.at[place];
            if let (Some(above), Some(below)) = (above, below) {
                for (gain, slope) in slopes.iter_mut().enumerate() {
                    slope[place] = (above.gains[gain] - below.gains[gain]) / (2.0 * REACH);
                }
            }
        }
        slopes
    }
}

/// How sure the numbers of a choice are.
#[derive(Clone, Debug)]
pub(super) struct Spread {
    /// Covariance of the numbers that were searched for.
    pub numbers: Vec<Vec<f64>>,
    /// How each gain goes with each number.
    pub slopes: Vec<Vec<f64>>,
    /// Variance of each gain.
    pub gains: Vec<f64>,
}

/// Lags of a sensor that are tried beside the file's, s: none, and those of rule 9's usual sensors.
const LAGS: [i64; 3] = [0, 120, 360];
/// A lag is believed instead of the file's where it explains the log better by this: half of 3.841,
/// the 95 % point of the chi-squared distribution with one degree of freedom.
const BETTER: f64 = 1.92;

/// The problem with the lag that explains the log best.
pub(super) fn with_best_lag(problem: Problem<'_>) -> Problem<'_> {
    let value = |lag: Seconds| {
        let tried = Problem { lag, ..problem.clone() };
        let start = tried.start();
        minimise(&mut |at| tried.value(at), &start, None, Effort::closely(SHORT)).value
    };
    let own = value(problem.lag);
    let others = LAGS.into_iter().map(Seconds::new).filter(|lag| *lag != problem.lag);
    let best = others
        .map(|lag| (value(lag), lag))
        .min_by(|one, two| one.0.total_cmp(&two.0))
        .filter(|best| best.0 < own - BETTER);
    Problem { lag: best.map_or(problem.lag, |it| it.1), ..problem }
}

/// One capacity or two.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Structure {
    /// Air and mass apart.
    TwoCapacities,
    /// Two, of which the log does not tell the mass: the file's.
    FileMass,
    /// Air and mass as one.
    OneCapacity,
}

/// The 95 % point of the chi-squared distribution with two degrees of freedom: Abramowitz and Stegun
/// 1964, table 26.8.
const TWO_MORE: f64 = 5.991;

/// Whether a zone has one capacity or two, with the best choice for it and twice the logarithm of the
/// ratio of the likelihoods.
///
/// Where the log does not tell them apart, the zone keeps the file's mass, as any number that is not
/// told; that it has hardly any must be told, too, and against what is
/// believed of the whole.
pub(super) fn structure<'a>(problem: &Problem<'a>) -> Option<(Structure, Found<'a>, Option<f64>)> {
    let two = Found::from_starts(problem.clone(), &starts(problem))?;
    let both = [Size::Air, Size::Mass].iter().all(|it| problem.free.contains(it));
    if !both {
        return Some((Structure::TwoCapacities, two, None));
    }
    let whole = problem.believed.get(Size::Air) + problem.believed.get(Size::Mass);
    let single = |room: Room| room.with(Size::Air, whole).with(Size::Mass, NO_MASS);
    let kept = |size: &Size| !matches!(size, Size::Mass | Size::Coupling);
    let one = Problem {
        free: problem.free.iter().copied().filter(kept).collect(),
        room: single(problem.room),
        believed: single(problem.believed),
        ..problem.clone()
    };
    let starts = [one.start()];
    let Some(one) = Found::from_starts(one, &starts) else {
        return Some((Structure::TwoCapacities, two, None));
    };
    let ratio = 2.0 * (two.choice.log_likelihood - one.choice.log_likelihood);
    if ratio > TWO_MORE {
        return Some((Structure::TwoCapacities, two, Some(ratio)));
    }
    let held = problem.holding(Size::Mass, problem.believed.get(Size::Mass));
    let kept = two.without(held, &two.spread())?;
    // With what is believed: a room whose whole heat capacity is a seventh of the file's is unlikely.
    Some(if one.choice.value + BETTER < kept.choice.value {
        (Structure::OneCapacity, one, Some(ratio))
    } else {
        (Structure::FileMass, kept, Some(ratio))
    })
}

/// The file's sizes, and a room with more in its air and less in its mass.
fn starts(problem: &Problem) -> Vec<Vec<f64>> {
    let file = problem.start();
    let mut other = file.clone();
    for (place, size) in problem.free.iter().enumerate() {
        other[NOISES + place] += match size {
            Size::Loss => 0.3,
            Size::Air => 0.9,
            Size::Mass => -0.9,
            Size::Coupling => -0.3,
        };
    }
    if problem.free.is_empty() { vec![file] } else { vec![file, other] }
}

/// Of a number with more than this left unsure nothing is told, whatever becomes of the others.
const NOTHING: f64 = 0.85;

/// What a log tells nothing of is put back to what was believed before: first all of which it says
/// next to nothing, then one after the other, the least known first. What would explain the log worse
/// then is told, however wide its interval.
pub(super) fn leave_what_is_not_told(
    mut found: Found<'_>,
) -> (Found<'_>, Spread, Vec<Size>, Vec<GainOf>) {
    let (mut sizes, mut gains) = (Vec::new(), Vec::new());
    let mut told: Vec<What> = Vec::new();
    loop {
        let spread = found.spread();
        let mut unsure = unsure(&found, &spread);
        unsure.retain(|it| it.0 > TOLD && !told.contains(&it.1) && !gains.contains(&it.1));
        unsure.sort_by(|one, two| two.0.total_cmp(&one.0));
        let many = unsure.iter().take_while(|it| it.0 > NOTHING).count().max(1);
        let mut tries = [many, 1].into_iter().filter(|it| *it <= unsure.len());
        let all: Vec<What> = unsure.iter().map(|it| it.1).collect();
        let left = tries.find_map(|count| {
            let next = found.without(found.problem.leaving(&all[..count]), &spread)?;
            let lost = found.choice.log_likelihood - next.choice.log_likelihood;
            (lost < BETTER * count as f64).then(|| (next, &all[..count]))
        });
        let Some((next, put_back)) = left else {
            let Some(first) = all.first() else {
                let of_gains = gains.into_iter().filter_map(What::gain).collect();
                return (found, spread, sizes, of_gains);
            };
            told.push(*first);
            continue;
        };
        for what in put_back {
            match *what {
                What::Size(size) => sizes.push(size),
                What::Gain(_) => gains.push(*what),
            }
        }
        found = next;
    }
}

/// How unsure each free number is over what it was before.
fn unsure(found: &Found, spread: &Spread) -> Vec<(f64, What)> {
    let sizes = found.problem.free.iter().enumerate().map(|(place, size)| {
        let deviation = spread.numbers[NOISES + place][NOISES + place].sqrt();
        (deviation / Problem::spread(*size), What::Size(*size))
    });
    let gains =
        found.problem.gains.iter().enumerate().map(|(place, gain)| {
            (spread.gains[place].sqrt() / gain.deviation, What::Gain(gain.of))
        });
    sizes.chain(gains).collect()
}
