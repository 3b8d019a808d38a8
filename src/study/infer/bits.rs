//! Sets of rows, for counting which of them a hypothesis does not agree with.

/// A set of small numbers.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub(super) struct Bits(Vec<u64>);

impl Bits {
    /// Those of `count` numbers for which `holds`.
    pub(super) fn of(count: usize, mut holds: impl FnMut(usize) -> bool) -> Self {
        let mut words = vec![0; count.div_ceil(64)];
        for at in (0..count).filter(|at| holds(*at)) {
            words[at / 64] |= 1 << (at % 64);
        }
        Self(words)
    }

    pub(super) fn count(&self) -> u32 {
        self.0.iter().map(|word| word.count_ones()).sum()
    }

    pub(super) fn has(&self, at: usize) -> bool {
        self.0.get(at / 64).is_some_and(|word| word >> (at % 64) & 1 == 1)
    }

    pub(super) fn or(&self, other: &Self) -> Self {
        Self(self.0.iter().zip(&other.0).map(|(one, two)| one | two).collect())
    }

    /// 64 numbers a word, the smallest in the lowest bit.
    pub(super) fn words(&self) -> &[u64] {
        &self.0
    }
}

impl FromIterator<u64> for Bits {
    fn from_iter<I: IntoIterator<Item = u64>>(words: I) -> Self {
        Self(words.into_iter().collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_know_their_members() {
        let thirds = Bits::of(130, |at| at % 3 == 0);
        assert_eq!((thirds.count(), thirds.has(129), thirds.has(128)), (44, true, false));
        let sixths = Bits::of(130, |at| at % 6 == 0);
        assert_eq!(thirds.or(&sixths), thirds);
        assert_eq!(thirds.words().iter().copied().collect::<Bits>(), thirds);
    }
}
