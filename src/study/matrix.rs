//! Small matrices, row by row.

/// A matrix by its entries.
pub(super) fn from_fn(size: usize, entry: impl Fn(usize, usize) -> f64) -> Vec<Vec<f64>> {
    (0..size).map(|row| (0..size).map(|column| entry(row, column)).collect()).collect()
}

/// The sum of products.
pub(super) fn dot(one: &[f64], two: &[f64]) -> f64 {
    one.iter().zip(two).map(|(one, two)| one * two).sum()
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

    /// By hand: the determinant of [[4, 2], [2, 10]] is 36.
    #[test]
    fn an_inverse_is_the_one_found_by_hand() {
        let matrix = vec![vec![4.0, 2.0], vec![2.0, 10.0]];
        let inverse = inverse(matrix).expect("it has one");
        assert_abs_diff_eq!(inverse[0][0], 10.0 / 36.0, epsilon = 1e-15);
        assert_abs_diff_eq!(inverse[1][0], -2.0 / 36.0, epsilon = 1e-15);
    }
}
