//! Sets of rows, for counting which of them a hypothesis does not agree with.

/// A set of small numbers.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
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

    pub(super) fn put(&mut self, at: usize) {
        self.0[at / 64] |= 1 << (at % 64);
    }

    pub(super) fn without(&self, other: &Self) -> Self {
        Self(self.0.iter().zip(&other.0).map(|(one, two)| one & !two).collect())
    }

    pub(super) fn or(&self, other: &Self) -> Self {
        Self(self.0.iter().zip(&other.0).map(|(one, two)| one | two).collect())
    }

    /// Whether every member is one of `other`.
    pub(super) fn is_within(&self, other: &Self) -> bool {
        self.0.iter().zip(&other.0).all(|(one, two)| one & !two == 0)
    }

    /// Whether every member is one of these or of those.
    pub(super) fn is_within_either(&self, these: &Self, those: &Self) -> bool {
        let either = these.0.iter().zip(&those.0).map(|(one, two)| one | two);
        self.0.iter().zip(either).all(|(own, either)| own & !either == 0)
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
        assert!(sixths.is_within(&thirds) && !thirds.is_within(&sixths));
        assert_eq!(thirds.or(&sixths), thirds);
        let mut odd = thirds.without(&sixths);
        assert_eq!((odd.has(9), odd.has(6), odd.count()), (true, false, 22));
        assert!(thirds.is_within_either(&odd, &sixths) && !thirds.is_within_either(&odd, &odd));
        odd.put(6);
        assert!(odd.has(6));
    }
}
