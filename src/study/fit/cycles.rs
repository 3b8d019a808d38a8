//! Whether rows are fine enough for what the plant does between them.

/// So many whole spells tell how long they usually are.
const ENOUGH: usize = 6;
/// Spells of this many rows or fewer begin and end who knows where: half a row at either end is half of
/// them.
const FEW: usize = 2;

/// Whether most spells in which a plant runs, or in which it rests, are no longer than two steps. `ran` is
/// the part of each step in which it runs.
pub(super) fn are_blurred(ran: &[f64]) -> bool {
    let mut spells: [Vec<usize>; 2] = [Vec::new(), Vec::new()];
    let mut length = 0;
    for (at, part) in ran.iter().enumerate() {
        let runs = *part > 0.0;
        if at > 0 && runs != (ran[at - 1] > 0.0) {
            spells[usize::from(!runs)].push(length);
            length = 0;
        }
        length += 1;
    }
    // The first one began before the log did.
    let begun = usize::from(ran.first().is_some_and(|part| *part > 0.0));
    spells.iter_mut().enumerate().any(|(runs, spells)| {
        if runs == begun && !spells.is_empty() {
            spells.remove(0);
        }
        spells.sort_unstable();
        spells.len() >= ENOUGH && spells[spells.len() / 2] <= FEW
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cycles(on: usize, off: usize) -> Vec<f64> {
        (0..20 * (on + off)).map(|at| f64::from(u8::from(at % (on + off) >= off))).collect()
    }

    #[test]
    fn spells_of_two_rows_are_blurred_and_longer_ones_are_not() {
        assert!(are_blurred(&cycles(2, 12)));
        assert!(are_blurred(&cycles(12, 1)));
        assert!(!are_blurred(&cycles(3, 12)));
        assert!(!are_blurred(&cycles(15, 10)));
    }

    #[test]
    fn a_plant_that_hardly_starts_says_nothing() {
        assert!(!are_blurred(&[]));
        assert!(!are_blurred(&[0.0; 50]));
        assert!(!are_blurred(&[0.0, 1.0, 0.0, 1.0, 0.0]));
    }
}
