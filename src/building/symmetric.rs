//! Eigenvalues and eigenvectors of a symmetric matrix by Jacobi's rotations (Golub and Van Loan,
//! Matrix Computations, 4th edition, section 8.5).
//!
//! Only the four operations and the square root occur, which IEEE 754 rounds the same everywhere,
//! so the result is the same to the last bit on every machine; and small eigenvalues keep their
//! relative accuracy beside large ones, as where little air stands beside much mass.

/// A square matrix, row after row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Square {
    size: usize,
    entries: Vec<f64>,
}

impl Square {
    pub(super) fn zero(size: usize) -> Self {
        Self { size, entries: vec![0.0; size * size] }
    }

    fn identity(size: usize) -> Self {
        let mut matrix = Self::zero(size);
        for place in 0..size {
            *matrix.at(place, place) = 1.0;
        }
        matrix
    }

    pub(super) fn from_fn(size: usize, entry: impl Fn(usize, usize) -> f64) -> Self {
        let entries = (0..size * size).map(|place| entry(place / size, place % size)).collect();
        Self { size, entries }
    }

    pub(super) fn size(&self) -> usize {
        self.size
    }

    pub(super) fn get(&self, row: usize, column: usize) -> f64 {
        self.entries[row * self.size + column]
    }

    pub(super) fn at(&mut self, row: usize, column: usize) -> &mut f64 {
        &mut self.entries[row * self.size + column]
    }

    pub(super) fn row(&self, row: usize) -> &[f64] {
        &self.entries[row * self.size..(row + 1) * self.size]
    }

    /// Turns rows `one` and `other` by the angle.
    fn rotate_rows(&mut self, one: usize, other: usize, angle: Angle) {
        for column in 0..self.size {
            let (first, second) = (self.get(one, column), self.get(other, column));
            *self.at(one, column) = angle.cos * first - angle.sin * second;
            *self.at(other, column) = angle.sin * first + angle.cos * second;
        }
    }

    /// Turns columns `one` and `other` by the angle.
    fn rotate_columns(&mut self, one: usize, other: usize, angle: Angle) {
        for row in 0..self.size {
            let (first, second) = (self.get(row, one), self.get(row, other));
            *self.at(row, one) = angle.cos * first - angle.sin * second;
            *self.at(row, other) = angle.sin * first + angle.cos * second;
        }
    }
}

/// An angle by its cosine and sine.
#[derive(Clone, Copy)]
struct Angle {
    cos: f64,
    sin: f64,
}

/// A symmetric matrix as its eigenvalues and, row by row, its eigenvectors of length one.
pub(super) struct Eigen {
    pub(super) values: Vec<f64>,
    pub(super) vectors: Square,
}

/// Sweeps double the number of right digits; ten are plenty for a thousand rows.
const MOST_SWEEPS: u32 = 30;

impl Eigen {
    /// Of a symmetric matrix without negative eigenvalues.
    pub(super) fn of(mut matrix: Square) -> Self {
        let size = matrix.size();
        let mut vectors = Square::identity(size);
        let trace: f64 = (0..size).map(|place| matrix.get(place, place)).sum();
        // Below this an entry is smaller than the rounding of the rounding.
        let floor = trace * f64::EPSILON * f64::EPSILON;
        for _ in 0..MOST_SWEEPS {
            let mut turned = false;
            for one in 0..size {
                for other in one + 1..size {
                    if let Some(angle) = angle_to_clear(&matrix, one, other, floor) {
                        matrix.rotate_rows(one, other, angle);
                        matrix.rotate_columns(one, other, angle);
                        vectors.rotate_rows(one, other, angle);
                        turned = true;
                    }
                }
            }
            if !turned {
                break;
            }
        }
        Self { values: (0..size).map(|place| matrix.get(place, place)).collect(), vectors }
    }

    /// The entry of the matrix whose eigenvalues are `values` in place of this one's, with the
    /// same eigenvectors.
    pub(super) fn entry(&self, values: &[f64], row: usize, column: usize) -> f64 {
        let terms = values.iter().enumerate().map(|(place, value)| {
            let vector = self.vectors.row(place);
            vector[row] * value * vector[column]
        });
        terms.sum()
    }
}

/// The smaller of the two angles that make the entry beside the diagonal zero; `None` where it
/// is negligible beside the two on it.
fn angle_to_clear(matrix: &Square, one: usize, other: usize, floor: f64) -> Option<Angle> {
    let (entry, first, second) =
        (matrix.get(one, other), matrix.get(one, one), matrix.get(other, other));
    let negligible = f64::EPSILON * (first * second).abs().sqrt();
    if entry.abs() <= negligible.max(floor) {
        return None;
    }
    let slant = (second - first) / (2.0 * entry);
    let tan = slant.signum() / (slant.abs() + (slant * slant + 1.0).sqrt());
    let cos = 1.0 / (tan * tan + 1.0).sqrt();
    Some(Angle { cos, sin: tan * cos })
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// Rounding of sums of a few products near one.
    const ROUNDING: f64 = 1e-14;

    #[test]
    fn two_by_two_is_done_by_one_turn() {
        let matrix = Square::from_fn(2, |row, column| if row == column { 2.0 } else { -1.0 });
        let mut values = Eigen::of(matrix).values;
        values.sort_by(f64::total_cmp);
        assert_abs_diff_eq!(values.as_slice(), [1.0, 3.0].as_slice(), epsilon = ROUNDING);
    }

    #[test]
    fn eigenvectors_put_the_matrix_together_again() {
        // A chain: each row sums to zero, so one eigenvalue is zero.
        let chain = Square::from_fn(7, |row, column| match row.abs_diff(column) {
            0 => f64::from(u8::from(row > 0)) + f64::from(u8::from(row < 6)),
            1 => -1.0,
            _ => 0.0,
        });
        let eigen = Eigen::of(chain.clone());
        for row in 0..7 {
            for column in 0..7 {
                let entry = eigen.entry(&eigen.values, row, column);
                assert_abs_diff_eq!(entry, chain.get(row, column), epsilon = ROUNDING);
            }
        }
        let least = eigen.values.iter().copied().fold(f64::INFINITY, f64::min);
        assert_abs_diff_eq!(least, 0.0, epsilon = ROUNDING);
    }

    #[test]
    fn a_small_eigenvalue_keeps_its_digits_beside_a_large_one() {
        // Determinant 1e-12 - 0.25e-12 over a trace near one.
        let entries = [[1.0, 0.5e-6], [0.5e-6, 1e-12]];
        let eigen = Eigen::of(Square::from_fn(2, |row, column| entries[row][column]));
        let least = eigen.values.iter().copied().fold(f64::INFINITY, f64::min);
        assert!((least / 0.75e-12 - 1.0).abs() < 1e-11, "{least}");
    }
}
