//! What each of several things does to a figure while the others vary, too: least squares, with
//! the share of each tested against what the others leave unexplained.
//!
//! The test of a thing is the partial F test of its columns. The interval of the difference
//! between the two of its levels that lie furthest apart is that of Scheffé (1959), which holds
//! for every contrast of the columns at once: so it leaves zero out in at most one of twenty
//! cases without any effect, although those levels were picked because they lie furthest apart.

use super::super::chance::fisher_quantile;
use super::super::matrix::{dot, inverse};
use super::estimate::CONFIDENCE;

/// One thing that varies: what it is in each row, in one or several columns.
#[derive(Clone, Debug)]
pub(super) struct Factor {
    /// By column, then by row.
    pub columns: Vec<Vec<f64>>,
    /// The levels that are held against each other, each by its value in every column.
    pub levels: Vec<Vec<f64>>,
}

/// What a factor does.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Effect {
    /// The mean of the figure at each level, the other factors at their means.
    pub means: Vec<f64>,
    /// Half the width of the interval of the difference of two levels, by their places; `None`
    /// where too few rows are left to tell.
    pub halves: Option<Vec<Vec<f64>>>,
}

/// Rows that must be left beside the columns, for anything to be told from noise.
const LEAST_FREEDOM: usize = 2;

/// The effects of the factors on a figure, each beside all others. `None` for one whose columns do
/// not vary by themselves.
pub(super) fn effects(figure: &[f64], factors: &[Factor]) -> Vec<Option<Effect>> {
    (0..factors.len()).map(|own| effect(figure, factors, own)).collect()
}

fn effect(figure: &[f64], factors: &[Factor], own: usize) -> Option<Effect> {
    let rows = figure.len();
    let mean = |values: &[f64]| values.iter().sum::<f64>() / rows as f64;
    let centred = |values: &[f64]| -> Vec<f64> {
        let middle = mean(values);
        values.iter().map(|value| value - middle).collect()
    };
    let mut basis = Basis::default();
    for (place, factor) in factors.iter().enumerate() {
        if place != own {
            for column in &factor.columns {
                basis.take(centred(column));
            }
        }
    }
    let mut left = centred(figure);
    basis.remove_from(&mut left);
    let factor = &factors[own];
    let mut free: Vec<Vec<f64>> = factor.columns.iter().map(|column| centred(column)).collect();
    let scales: Vec<f64> = free.iter().map(|column| dot(column, column)).collect();
    for column in &mut free {
        basis.remove_from(column);
    }
    let gone = |(column, scale): (&Vec<f64>, &f64)| dot(column, column) <= 1e-9 * scale;
    if free.is_empty() || free.iter().zip(&scales).any(gone) {
        return None;
    }
    let gram: Vec<Vec<f64>> =
        free.iter().map(|one| free.iter().map(|two| dot(one, two)).collect()).collect();
    let inverse = inverse(gram)?;
    let with: Vec<f64> = free.iter().map(|column| dot(column, &left)).collect();
    let slopes: Vec<f64> = inverse.iter().map(|row| dot(row, &with)).collect();
    for (column, slope) in free.iter().zip(&slopes) {
        left.iter_mut().zip(column).for_each(|(value, it)| *value -= slope * it);
    }
    let middles: Vec<f64> = factor.columns.iter().map(|column| mean(column)).collect();
    let means = factor.levels.iter().map(|level| {
        let parts = level.iter().zip(&middles).zip(&slopes);
        mean(figure) + parts.map(|((value, middle), slope)| slope * (value - middle)).sum::<f64>()
    });
    let columns = free.len();
    let freedom = rows.saturating_sub(1 + basis.0.len() + columns);
    let halves = (freedom >= LEAST_FREEDOM).then(|| {
        let noise = dot(&left, &left) / freedom as f64;
        let reach = columns as f64 * fisher_quantile(CONFIDENCE, columns as f64, freedom as f64);
        let half = |one: &Vec<f64>, two: &Vec<f64>| {
            let apart: Vec<f64> = one.iter().zip(two).map(|(one, two)| one - two).collect();
            let spread: Vec<f64> = inverse.iter().map(|row| dot(row, &apart)).collect();
            (reach * noise * dot(&apart, &spread)).max(0.0).sqrt()
        };
        let all = factor.levels.iter();
        all.map(|one| factor.levels.iter().map(|two| half(one, two)).collect()).collect()
    });
    Some(Effect { means: means.collect(), halves })
}

/// Directions at right angles, each of length one.
#[derive(Default)]
struct Basis(Vec<Vec<f64>>);

impl Basis {
    /// Takes in what is new in a column, if anything is.
    fn take(&mut self, mut column: Vec<f64>) {
        let before = dot(&column, &column);
        // Twice: once leaves rounding behind.
        self.remove_from(&mut column);
        self.remove_from(&mut column);
        let length = dot(&column, &column);
        if length > 1e-9 * before {
            for value in &mut column {
                *value /= length.sqrt();
            }
            self.0.push(column);
        }
    }

    fn remove_from(&self, column: &mut [f64]) {
        for direction in &self.0 {
            let part = dot(direction, column);
            column.iter_mut().zip(direction).for_each(|(value, it)| *value -= part * it);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::chance::{Chance, normal_quantile};
    use super::*;

    fn line(column: Vec<f64>) -> Factor {
        Factor { columns: vec![column], levels: vec![vec![0.0], vec![1.0]] }
    }

    /// A plane through five points: y = 1 + 2 a - b.
    #[test]
    fn a_plane_is_found_whatever_else_varies() {
        let a = vec![0.0, 1.0, 2.0, 3.0, 5.0];
        let b = vec![1.0, 0.0, 1.0, 3.0, 2.0];
        let y: Vec<f64> = a.iter().zip(&b).map(|(a, b)| 1.0 + 2.0 * a - b).collect();
        let found = effects(&y, &[line(a), line(b)]);
        for (effect, slope) in found.iter().zip([2.0, -1.0]) {
            let effect = effect.as_ref().expect("both vary");
            assert!((effect.means[1] - effect.means[0] - slope).abs() < 1e-9, "{effect:?}");
            assert!(effect.halves.as_ref().expect("rows enough")[0][1] < 1e-6, "{effect:?}");
        }
        // The same column twice tells nothing apart.
        let twice = vec![0.0, 1.0, 2.0, 3.0, 5.0];
        assert_eq!(effects(&y, &[line(twice.clone()), line(twice)]), [None, None]);
    }

    /// Simple regression of five points by hand: slope 0.6, residual sum of squares 2.4 on three
    /// degrees, sum of squares of x 10, t(0.975, 3) = 3.182 (NIST e-Handbook, table 1.3.6.7.2).
    #[test]
    fn the_interval_of_a_slope_is_students() {
        let x = vec![1.0, 2.0, 3.0, 4.0, 5.0];
        let y = [2.0, 4.0, 5.0, 4.0, 5.0];
        let effect = effects(&y, &[line(x)]).remove(0).expect("it varies");
        assert!((effect.means[1] - effect.means[0] - 0.6).abs() < 1e-9);
        let half = 3.182 * (2.4_f64 / 3.0 / 10.0).sqrt();
        assert!((effect.halves.expect("rows enough")[0][1] - half).abs() < 1e-3);
    }

    /// The error rate that is promised: of 1000 studies of 12 rows with one factor that does
    /// something and one, in three levels, that does nothing, the latter is told from noise in 5 %
    /// (a standard deviation of 0.7 %; three of them).
    #[test]
    fn what_does_nothing_is_told_from_noise_in_one_of_twenty_studies() {
        const STUDIES: usize = 1000;
        let mut chance = Chance::new(5, 1);
        let mut normal = || normal_quantile(chance.part());
        let (mut told, mut strong_told) = (0, 0);
        for _ in 0..STUDIES {
            let strong: Vec<f64> = (0..12).map(|_| normal()).collect();
            let idle: Vec<usize> = (0..12).map(|row| row % 3).collect();
            let column = |level| idle.iter().map(|it| f64::from(u8::from(*it == level))).collect();
            let idle = Factor {
                columns: vec![column(1), column(2)],
                levels: vec![vec![0.0, 0.0], vec![1.0, 0.0], vec![0.0, 1.0]],
            };
            let y: Vec<f64> = strong.iter().map(|it| 3.0 * it + normal()).collect();
            let found = effects(&y, &[line(strong), idle]);
            let of_idle = found[1].as_ref().expect("it varies");
            let halves = of_idle.halves.as_ref().expect("rows enough");
            let beyond = |one: usize, two: usize| {
                (of_idle.means[one] - of_idle.means[two]).abs() > halves[one][two]
            };
            told += u32::from(beyond(0, 1) || beyond(0, 2) || beyond(1, 2));
            let of_strong = found[0].as_ref().expect("it varies");
            let half = of_strong.halves.as_ref().expect("rows enough")[0][1];
            strong_told += u32::from((of_strong.means[1] - of_strong.means[0]).abs() > half);
        }
        // Scheffé's interval holds for all contrasts, of which three are looked at: never more
        // often than one in twenty.
        assert!((15..=71).contains(&told), "{told} of {STUDIES}");
        assert!(strong_told > 980, "{strong_told} of {STUDIES}");
    }
}
