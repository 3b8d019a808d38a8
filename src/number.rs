//! Numbers that go through a formula one by one, or four side by side.
//!
//! A formula written for [`Number`] gives each of four the bits that it gives one alone: it is made
//! of operations that IEEE 754 rounds exactly, in the order in which they are written. So rooms can
//! be stepped side by side, which keeps a processor busier, and no result depends on it.

use std::ops::{Add, BitAnd, BitOr, Div, Mul, Not, Sub};

use wide::f64x4;

/// Four numbers side by side.
pub type Four = f64x4;

/// Adding this to a number of less than 2^51 rounds it to a whole one: 1.5 times 2^52, from where
/// on a double has no fractions.
const NO_FRACTIONS: f64 = 6_755_399_441_055_744.0;

/// One number, or several side by side.
pub trait Number:
    Copy
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + std::fmt::Debug
{
    /// How many stand side by side.
    const LANES: usize;

    /// A yes or no for each lane.
    type Mask: Copy
        + BitAnd<Output = Self::Mask>
        + BitOr<Output = Self::Mask>
        + Not<Output = Self::Mask>
        + std::fmt::Debug;

    /// Asks for each lane's number.
    fn of(each: impl Fn(usize) -> f64) -> Self;

    /// The first numbers of a slice, one for each lane.
    fn load(from: &[f64]) -> Self {
        Self::of(|lane| from[lane])
    }

    /// Puts the number of each lane at the beginning of a slice.
    fn store(self, to: &mut [f64]);

    /// The smaller of two; neither may be a NaN.
    #[must_use]
    fn at_most(self, most: Self) -> Self;

    /// The larger of two; neither may be a NaN.
    #[must_use]
    fn at_least(self, least: Self) -> Self;

    /// The next whole number below, or the number itself where it is one. Below 2^51.
    #[must_use]
    fn floor(self) -> Self;

    /// Where it is another number or above it.
    fn at_or_above(self, other: Self) -> Self::Mask;

    /// `yes` where the mask says so, else `no`.
    fn choose(mask: Self::Mask, yes: Self, no: Self) -> Self;

    /// Asks for each lane's yes or no.
    fn mask(each: impl Fn(usize) -> bool) -> Self::Mask;

    /// A bit for each lane, the first lowest.
    fn bits(mask: Self::Mask) -> u32;

    /// The same in every lane.
    fn all(value: f64) -> Self {
        Self::of(|_| value)
    }
}

impl Number for f64 {
    const LANES: usize = 1;
    type Mask = bool;

    fn of(each: impl Fn(usize) -> f64) -> Self {
        each(0)
    }

    fn store(self, to: &mut [f64]) {
        to[0] = self;
    }

    fn at_most(self, most: Self) -> Self {
        self.min(most)
    }

    fn at_least(self, least: Self) -> Self {
        self.max(least)
    }

    // Without a call into a library of mathematics, which x86-64 in its oldest form needs.
    fn floor(self) -> Self {
        let nearest = (self + NO_FRACTIONS) - NO_FRACTIONS;
        if nearest > self { nearest - 1.0 } else { nearest }
    }

    fn at_or_above(self, other: Self) -> bool {
        self >= other
    }

    fn choose(mask: bool, yes: Self, no: Self) -> Self {
        if mask { yes } else { no }
    }

    fn mask(each: impl Fn(usize) -> bool) -> bool {
        each(0)
    }

    fn bits(mask: bool) -> u32 {
        u32::from(mask)
    }
}

impl Number for Four {
    const LANES: usize = 4;
    type Mask = Self;

    fn of(each: impl Fn(usize) -> f64) -> Self {
        Self::new([each(0), each(1), each(2), each(3)])
    }

    fn store(self, to: &mut [f64]) {
        to[..4].copy_from_slice(self.as_array());
    }

    fn at_most(self, most: Self) -> Self {
        self.fast_min(most)
    }

    fn at_least(self, least: Self) -> Self {
        self.fast_max(least)
    }

    fn floor(self) -> Self {
        let large = Self::splat(NO_FRACTIONS);
        let nearest = (self + large) - large;
        nearest - (nearest.simd_gt(self) & Self::ONE)
    }

    fn at_or_above(self, other: Self) -> Self {
        self.simd_ge(other)
    }

    fn choose(mask: Self, yes: Self, no: Self) -> Self {
        mask.select(yes, no)
    }

    fn mask(each: impl Fn(usize) -> bool) -> Self {
        let all = [0, 1, 2, 3].map(|lane| if each(lane) { u64::MAX } else { 0 });
        Self::new(all.map(f64::from_bits))
    }

    fn bits(mask: Self) -> u32 {
        mask.to_bitmask()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Any temperature or power, and the awkward ones among them.
    fn value() -> impl Strategy<Value = f64> {
        prop_oneof![
            -1e6..1e6_f64,
            (-400..400_i32).prop_map(|half| f64::from(half) / 2.0),
            (-40..40_i32).prop_map(|tenth| f64::from(tenth) / 10.0),
            Just(f64::INFINITY),
            Just(f64::NEG_INFINITY),
        ]
    }

    fn finite() -> impl Strategy<Value = f64> {
        value().prop_map(|value| if value.is_finite() { value } else { 0.5 })
    }

    proptest! {
        #[test]
        fn each_of_four_is_what_one_alone_is(
            of in prop::array::uniform4((value(), value(), value())),
            finite in prop::array::uniform4((finite(), finite())),
        ) {
            let four = |pick: fn(&(f64, f64, f64)) -> f64| Four::of(|lane| pick(&of[lane]));
            let (a, b, c) = (four(|it| it.0), four(|it| it.1), four(|it| it.2));
            let (x, y) = (Four::of(|lane| finite[lane].0), Four::of(|lane| finite[lane].1));
            let above = a.at_or_above(b);
            let other = Four::mask(|lane| of[lane].1 >= of[lane].2);
            for lane in 0..Four::LANES {
                let (one, two, three) = of[lane];
                let (p, q) = finite[lane];
                let pairs = [
                    (a.at_most(b), one.at_most(two)),
                    (a.at_least(b), one.at_least(two)),
                    (Four::choose(above, b, c), f64::choose(one >= two, two, three)),
                    (x.floor(), Number::floor(p)),
                    (x * y + x, p * q + p),
                    (x - y / <Four as Number>::all(3.0), p - q / 3.0),
                ];
                for (place, (side_by_side, alone)) in pairs.into_iter().enumerate() {
                    let (found, wanted) = (side_by_side.as_array()[lane], alone);
                    prop_assert!(found == wanted, "{place}: {found} {wanted}");
                }
                let bits = Four::bits(above & !other | b.at_or_above(a));
                let alone = f64::bits(one >= two && two < three || two >= one);
                prop_assert_eq!(bits >> lane & 1, alone);
            }
        }

        #[test]
        fn floor_is_the_floor(value in finite()) {
            prop_assert_eq!(Number::floor(value), value.floor());
        }
    }
}
