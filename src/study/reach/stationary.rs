//! The distribution that a Markov chain on a plane of pairs settles to.
//!
//! Only the states that are met again and again carry it. Presses move a pair by single steps, so
//! plain iteration takes as many rounds as a random walk needs to cross the plane. Instead the
//! plane is cut into blocks: each round solves the small chain of blocks exactly (the elimination
//! of Grassmann, Taksar and Heyman 1985, which subtracts nothing) and then smooths within them by
//! Gauss-Seidel sweeps. This is iterative aggregation and disaggregation (Takahashi 1975).

/// It is found where one more press changes less than this, summed over all states.
const CLOSE_ENOUGH: f64 = 1e-12;
/// Rounds of the search; some dozens are usual.
const MOST_ROUNDS: usize = 2000;
/// About so many blocks are made of a large plane.
const BLOCKS: f64 = 400.0;
/// Sweeps there and back in each round.
const SWEEPS: usize = 3;

/// The stationary distribution. Each state has `presses` ways on, all alike, in `leads_to`, and a
/// place on the plane. `None` where there are several sets of states that are never left, or
/// rounding keeps it from being found.
pub(super) fn stationary(
    leads_to: &[u32],
    presses: usize,
    places: &[[i32; 2]],
) -> Option<Vec<f64>> {
    let ways = Ways::new(leads_to, presses, places.len());
    let kept = ways.never_left()?;
    let blocks = blocks(places, &kept);
    let each = 1.0 / presses as f64;
    let members = kept.iter().filter(|kept| **kept).count();
    let start = 1.0 / members as f64;
    let mut now: Vec<f64> = kept.iter().map(|kept| if *kept { start } else { 0.0 }).collect();
    for _ in 0..MOST_ROUNDS {
        blocks.balance(&ways, each, &mut now);
        for _ in 0..SWEEPS {
            ways.sweep(each, &kept, &mut now);
        }
        let sum: f64 = now.iter().sum();
        for value in &mut now {
            *value /= sum;
        }
        if ways.change(each, &now) <= CLOSE_ENOUGH {
            return Some(now);
        }
    }
    None
}

/// The ways between states, forward and backward.
struct Ways<'a> {
    forward: &'a [u32],
    presses: usize,
    /// From where ways lead into each state, itself left out: the start of each one's part.
    offsets: Vec<u32>,
    from: Vec<u32>,
    /// How many ways of a state lead nowhere.
    stays: Vec<u32>,
}

impl<'a> Ways<'a> {
    fn new(forward: &'a [u32], presses: usize, count: usize) -> Self {
        let (mut offsets, mut stays) = (vec![0_u32; count + 1], vec![0_u32; count]);
        let edges = || {
            let targets = forward.chunks_exact(presses).enumerate();
            targets.flat_map(|(state, to)| to.iter().map(move |to| (state, *to as usize)))
        };
        for (state, to) in edges() {
            if state == to {
                stays[state] += 1;
            } else {
                offsets[to + 1] += 1;
            }
        }
        for at in 1..offsets.len() {
            offsets[at] += offsets[at - 1];
        }
        let mut filled = offsets.clone();
        let mut from = vec![0_u32; offsets[count] as usize];
        for (state, to) in edges().filter(|(state, to)| state != to) {
            from[filled[to] as usize] = u32::try_from(state).unwrap_or(u32::MAX);
            filled[to] += 1;
        }
        Self { forward, presses, offsets, from, stays }
    }

    fn next(&self, state: usize) -> &[u32] {
        &self.forward[state * self.presses..(state + 1) * self.presses]
    }

    fn before(&self, state: usize) -> &[u32] {
        &self.from[self.offsets[state] as usize..self.offsets[state + 1] as usize]
    }

    /// Which states ways lead to from one, or from which they lead to it.
    fn spread(&self, from: usize, next: impl Fn(usize) -> Vec<usize>) -> Vec<bool> {
        let mut met = vec![false; self.stays.len()];
        let mut open = vec![from];
        met[from] = true;
        while let Some(state) = open.pop() {
            for to in next(state) {
                if !std::mem::replace(&mut met[to], true) {
                    open.push(to);
                }
            }
        }
        met
    }

    /// The states that are never left for good, provided that there is one set of them.
    fn never_left(&self) -> Option<Vec<bool>> {
        let wide = |states: &[u32]| states.iter().map(|state| *state as usize).collect();
        let mut state = 0;
        loop {
            let ahead = self.spread(state, |at| wide(self.next(at)));
            let behind = self.spread(state, |at| wide(self.before(at)));
            let lost = (0..ahead.len()).find(|at| ahead[*at] && !behind[*at]);
            match lost {
                // From there is no way back: what is never left lies further on.
                Some(further) => state = further,
                None => return behind.iter().all(|met| *met).then_some(ahead),
            }
        }
    }

    /// One Gauss-Seidel sweep there and back.
    fn sweep(&self, each: f64, kept: &[bool], now: &mut [f64]) {
        let mut update = |state: usize| {
            if kept[state] {
                let inflow: f64 = self.before(state).iter().map(|from| now[*from as usize]).sum();
                let leaves = 1.0 - each * f64::from(self.stays[state]);
                if leaves > 0.0 {
                    now[state] = inflow * each / leaves;
                }
            }
        };
        (0..kept.len()).for_each(&mut update);
        (0..kept.len()).rev().for_each(&mut update);
    }

    /// How much one more press changes, summed.
    fn change(&self, each: f64, now: &[f64]) -> f64 {
        (0..now.len())
            .map(|state| {
                let inflow: f64 = self.before(state).iter().map(|from| now[*from as usize]).sum();
                let stays = now[state] * f64::from(self.stays[state]);
                ((inflow + stays) * each - now[state]).abs()
            })
            .sum()
    }
}

/// Neighbouring states together.
struct Blocks {
    /// The block of each state; meaningless for states that are left for good.
    of: Vec<usize>,
    count: usize,
}

fn blocks(places: &[[i32; 2]], kept: &[bool]) -> Blocks {
    let members = kept.iter().filter(|kept| **kept).count();
    let side = libm::ceil(libm::sqrt(members as f64 / BLOCKS)).max(1.0);
    let mut names = std::collections::BTreeMap::new();
    let mut of = vec![0; places.len()];
    for (state, place) in places.iter().enumerate().filter(|(state, _)| kept[*state]) {
        let name = place.map(|at| libm::floor(f64::from(at) / side).to_bits());
        let count = names.len();
        of[state] = *names.entry(name).or_insert(count);
    }
    Blocks { of, count: names.len() }
}

impl Blocks {
    /// Gives every block the weight that the chain of blocks has in the long run.
    fn balance(&self, ways: &Ways<'_>, each: f64, now: &mut [f64]) {
        let count = self.count;
        let mut weight = vec![0.0; count];
        for (state, value) in now.iter().enumerate().filter(|(_, value)| **value > 0.0) {
            weight[self.of[state]] += value;
        }
        let mut flows = vec![0.0; count * count];
        for (state, value) in now.iter().enumerate().filter(|(_, value)| **value > 0.0) {
            let block = self.of[state];
            for to in ways.next(state) {
                flows[block * count + self.of[*to as usize]] += value * each / weight[block];
            }
        }
        let Some(right) = solve(flows, count) else { return };
        for (state, value) in now.iter_mut().enumerate().filter(|(_, value)| **value > 0.0) {
            let block = self.of[state];
            *value *= right[block] / weight[block];
        }
    }
}

/// The stationary distribution of a small chain given as a full matrix, row by row.
fn solve(mut flows: Vec<f64>, count: usize) -> Option<Vec<f64>> {
    for last in (1..count).rev() {
        let leaves: f64 = flows[last * count..last * count + last].iter().sum();
        if leaves <= 0.0 {
            return None;
        }
        for row in 0..last {
            let into = flows[row * count + last] / leaves;
            flows[row * count + last] = into;
            if into > 0.0 {
                for column in 0..last {
                    flows[row * count + column] += into * flows[last * count + column];
                }
            }
        }
    }
    let mut found = vec![1.0; count];
    for last in 1..count {
        found[last] = (0..last).map(|row| found[row] * flows[row * count + last]).sum();
    }
    let sum: f64 = found.iter().sum();
    for value in &mut found {
        *value /= sum;
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Derived: from the first of two states both ways lead on, from the second one of two leads
    /// back: 1/3 and 2/3.
    #[test]
    fn a_chain_of_two_states_has_a_known_end() {
        let found = stationary(&[1, 1, 0, 1], 2, &[[0, 0], [1, 0]]).expect("found");
        assert_relative_eq!(found[0], 1.0 / 3.0, epsilon = 1e-12);
        assert_relative_eq!(found[1], 2.0 / 3.0, epsilon = 1e-12);
    }

    /// Derived: a walk that goes up with two ways of three and down with one, between walls, has
    /// probabilities in proportion to powers of two.
    #[test]
    fn a_leaning_walk_has_a_geometric_end() {
        let count = 60_u32;
        let mut ways = Vec::new();
        for state in 0..count {
            let up = (state + 1).min(count - 1);
            ways.extend([up, up, state.saturating_sub(1)]);
        }
        let places: Vec<[i32; 2]> = (0..60).map(|at| [at, 0]).collect();
        let found = stationary(&ways, 3, &places).expect("found");
        for state in 40..59 {
            assert_relative_eq!(found[state + 1] / found[state], 2.0, max_relative = 1e-9);
        }
    }

    #[test]
    fn states_that_are_left_for_good_carry_nothing_and_two_ends_have_no_answer() {
        // 0 leads to 1, and 1 and 2 swap.
        let found = stationary(&[1, 2, 1], 1, &[[0, 0], [1, 0], [2, 0]]).expect("found");
        assert_relative_eq!(found[0], 0.0);
        assert_relative_eq!(found[1], 0.5, epsilon = 1e-12);
        // 0 leads to 1 or to 2, and both are ends.
        let places = [[0, 0], [1, 0], [2, 0]];
        assert_eq!(stationary(&[1, 2, 1, 1, 2, 2], 2, &places), None);
    }
}
