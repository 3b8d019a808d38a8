//! The 64 bits of one lane.

/// The lowest `count` bits set, all 64 from there on.
pub fn low_bits(count: usize) -> u64 {
    !u64::MAX.checked_shl(u32::try_from(count).unwrap_or(u32::MAX)).unwrap_or(0)
}

/// The places of the bits that are set, lowest first.
pub fn ones(mut bits: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let place = bits.trailing_zeros();
        bits &= bits.wrapping_sub(1);
        (place < u64::BITS).then_some(place as usize)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn low_bits_are_set_from_the_lowest() {
        assert_eq!([0, 1, 5, 63, 64, 99].map(low_bits), [0, 1, 0b1_1111, u64::MAX >> 1, !0, !0]);
    }

    #[test]
    fn ones_come_in_order() {
        assert_eq!(ones(0).count(), 0);
        assert_eq!(ones(1 << 63 | 0b1010).collect::<Vec<_>>(), [1, 3, 63]);
        assert_eq!(ones(u64::MAX).collect::<Vec<_>>(), (0..64).collect::<Vec<_>>());
    }
}
