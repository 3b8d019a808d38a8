//! Small matrices, row by row.

/// A matrix by its entries.
pub(super) fn from_fn(size: usize, entry: impl Fn(usize, usize) -> f64) -> Vec<Vec<f64>> {
    (0..size).map(|row| (0..size).map(|column| entry(row, column)).collect()).collect()
}

/// The sum of products.
pub(super) fn dot(one: &[f64], two: &[f64]) -> f64 {
    one.iter().zip(two).map(|(one, two)| one * two).sum()
}

/// A matrix times a column.
pub(super) fn times(matrix: &[Vec<f64>], column: &[f64]) -> Vec<f64> {
    matrix.iter().map(|row| dot(row, column)).collect()
}

/// The lower triangle whose product with its own mirror image is a symmetric matrix (Cholesky);
/// `None` where there is none.
pub(super) fn root(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let size = matrix.len();
    let mut root = from_fn(size, |_, _| 0.0);
    for row in 0..size {
        for column in 0..=row {
            let rest = matrix[row][column] - dot(&root[row][..column], &root[column][..column]);
            if row == column {
                if rest.is_nan() || rest <= 0.0 {
                    return None;
                }
                root[row][row] = rest.sqrt();
            } else {
                root[row][column] = rest / root[column][column];
            }
        }
    }
    Some(root)
}

/// The solution of a system by the root of its matrix.
pub(super) fn solve(root: &[Vec<f64>], right: &[f64]) -> Vec<f64> {
    let size = root.len();
    let mut solution = right.to_vec();
    for row in 0..size {
        let sum = dot(&root[row][..row], &solution[..row]);
        solution[row] = (solution[row] - sum) / root[row][row];
    }
    turn_back(root, &mut solution);
    solution
}

/// Solves by the mirror image of a root, in place.
pub(super) fn turn_back(root: &[Vec<f64>], values: &mut [f64]) {
    for row in (0..root.len()).rev() {
        let sum: f64 = (row + 1..root.len()).map(|below| root[below][row] * values[below]).sum();
        values[row] = (values[row] - sum) / root[row][row];
    }
}

/// The inverse of a matrix by its root.
pub(super) fn inverse_of(root: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let unit = |place: usize| -> Vec<f64> {
        (0..root.len()).map(|row| f64::from(u8::from(row == place))).collect()
    };
    (0..root.len()).map(|place| solve(root, &unit(place))).collect()
}

/// The inverse of a matrix; `None` where it has none. Gauss and Jordan, largest pivot first.
pub(super) fn inverse(mut matrix: Vec<Vec<f64>>) -> Option<Vec<Vec<f64>>> {
    let size = matrix.len();
    for (place, row) in matrix.iter_mut().enumerate() {
        row.extend((0..size).map(|column| f64::from(u8::from(column == place))));
    }
    let largest = matrix.iter().flatten().fold(0.0_f64, |most, value| most.max(value.abs()));
    for place in 0..size {
        let size_of = |row: &usize| matrix[*row][place].abs();
        let pivot = (place..size).max_by(|one, two| size_of(one).total_cmp(&size_of(two)))?;
        if size_of(&pivot) <= 1e-12 * largest {
            return None;
        }
        matrix.swap(place, pivot);
        let lead = matrix[place][place];
        matrix[place].iter_mut().for_each(|value| *value /= lead);
        let own = matrix[place].clone();
        for (other, row) in matrix.iter_mut().enumerate() {
            let part = row[place];
            if other != place && part != 0.0 {
                row.iter_mut().zip(&own).for_each(|(value, it)| *value -= part * it);
            }
        }
    }
    Some(matrix.into_iter().map(|row| row[size..].to_vec()).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// By hand: the root of [[4, 2], [2, 10]] is [[2, 0], [1, 3]], its determinant 36.
    #[test]
    fn roots_and_inverses_are_those_found_by_hand() {
        let matrix = vec![vec![4.0, 2.0], vec![2.0, 10.0]];
        let half = root(&matrix).expect("it has one");
        assert_eq!(half, [[2.0, 0.0], [1.0, 3.0]]);
        assert_eq!(root(&[vec![1.0, 2.0], vec![2.0, 1.0]]), None);
        assert_eq!(times(&matrix, &solve(&half, &[3.0, 4.0])), [3.0, 4.0]);
        assert_abs_diff_eq!(inverse_of(&half)[1][0], -2.0 / 36.0, epsilon = 1e-15);
        let inverse = inverse(matrix).expect("it has one");
        assert_abs_diff_eq!(inverse[0][0], 10.0 / 36.0, epsilon = 1e-15);
        assert_abs_diff_eq!(inverse[1][0], -2.0 / 36.0, epsilon = 1e-15);
    }
}
