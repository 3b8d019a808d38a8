//! How many presses of a key do not agree, for every pair of limits at once.

use crate::control::Key;

use super::trial::{Press, Reaction};

/// For each pair of limits, counted along the key, the presses that agree with neither.
#[derive(Clone, Debug)]
pub(super) struct Counts {
    /// The first limit of each side.
    first: [i32; 2],
    /// How many limits of cool there are.
    width: usize,
    /// Presses of the key in all.
    all: i32,
    /// For each side and limit the presses that agree.
    sides: [Vec<i32>; 2],
    /// For each limit of heat and then of cool the presses that agree with both; empty where none
    /// can.
    both: Vec<i32>,
}

impl Counts {
    /// Counts the presses of `key` that `counts` holds for, with limits in `spans`.
    pub(super) fn of(
        presses: &[Press],
        key: Key,
        spans: [[i32; 2]; 2],
        counts: impl Fn(usize) -> bool,
    ) -> Self {
        let [height, width] = spans.map(|[first, last]| usize::try_from(last - first + 1));
        let (height, width) = (height.unwrap_or(0), width.unwrap_or(0));
        let first = spans.map(|[first, _]| first);
        let place = |side: usize, limit: i32| usize::try_from(limit - first[side]).unwrap_or(0);
        let mut sides = [vec![0; height + 1], vec![0; width + 1]];
        let mut both: Vec<i32> = Vec::new();
        let mut all = 0;
        for press in presses.iter().filter(|it| it.key == key && counts(it.fact)) {
            all += 1;
            let of = |side: usize| {
                let [first, last] = spans[side];
                let spans = press.sides[side].as_deref().map(|it: &Reaction| it.spans(first, last));
                spans
                    .into_iter()
                    .flatten()
                    .map(move |[from, to]| (place(side, from), place(side, to) + 1))
            };
            for (side, sums) in sides.iter_mut().enumerate() {
                for (from, end) in of(side) {
                    sums[from] += 1;
                    sums[end] -= 1;
                }
            }
            if press.sides.iter().all(Option::is_some) {
                both.resize((height + 1) * (width + 1), 0);
                for (top, bottom) in of(0) {
                    for (left, right) in of(1) {
                        both[top * (width + 1) + left] += 1;
                        both[top * (width + 1) + right] -= 1;
                        both[bottom * (width + 1) + left] -= 1;
                        both[bottom * (width + 1) + right] += 1;
                    }
                }
            }
        }
        for sums in &mut sides {
            add_up(sums);
        }
        both.chunks_mut(width + 1).for_each(add_up);
        for at in width + 1..both.len() {
            both[at] += both[at - width - 1];
        }
        Self { first, width: width + 1, all, sides, both }
    }

    /// The presses that agree with neither limit.
    pub(super) fn at(&self, limits: [i32; 2]) -> u32 {
        let place = |side: usize| usize::try_from(limits[side] - self.first[side]).unwrap_or(0);
        let (heat, cool) = (place(0), place(1));
        let both = self.both.get(heat * self.width + cool).copied().unwrap_or(0);
        (self.all - self.sides[0][heat] - self.sides[1][cool] + both).unsigned_abs()
    }
}

/// Turns differences into sums.
fn add_up(differences: &mut [i32]) {
    let mut sum = 0;
    for value in differences {
        sum += *value;
        *value = sum;
    }
}
