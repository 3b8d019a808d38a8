//! Numbers that go through a formula one by one, or many side by side.
//!
//! A formula written for [`Number`] gives each of many the bits that it gives one alone: it is made
//! of operations that IEEE 754 rounds exactly, in the order in which they are written. So rooms can
//! be stepped side by side, which keeps a processor busier, and no result depends on it, nor on how
//! many numbers a processor takes at a time.
//!
//! What stands in a [`Work`] must be inlined whole, since only there the processor's wider
//! instructions may be used; hence `#[inline(always)]` on every formula.

use std::fmt::Debug;
use std::ops::{Add, BitAnd, BitOr, Div, Mul, Not, Sub};

use pulp::{Arch, Simd, WithSimd};

/// Adding this to a number of less than 2^51 rounds it to a whole one: 1.5 times 2^52, from where
/// on a double has no fractions.
const NO_FRACTIONS: f64 = 6_755_399_441_055_744.0;

/// No processor takes more numbers at a time.
const MOST: usize = 16;

/// One number, or several side by side, each in its lane.
pub trait Number:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self> + Debug
{
    /// How many stand side by side.
    const LANES: usize;

    /// What it takes to make some: that the processor can.
    type Maker: Copy;

    /// A yes or no for each lane.
    type Mask: Copy
        + BitAnd<Output = Self::Mask>
        + BitOr<Output = Self::Mask>
        + Not<Output = Self::Mask>
        + Debug;

    /// Up to 64 yeses and noes for each lane.
    type Notes: Copy;

    /// Asks for each lane's number.
    fn of(maker: Self::Maker, each: impl Fn(usize) -> f64) -> Self;

    /// The first numbers of a slice, one for each lane.
    fn load(maker: Self::Maker, from: &[f64]) -> Self;

    /// Puts the number of each lane at the beginning of a slice.
    fn store(self, to: &mut [f64]);

    /// The same number in every lane, as many as here.
    #[must_use]
    fn same(self, value: f64) -> Self;

    /// The smaller of two; neither may be a NaN.
    #[must_use]
    fn at_most(self, most: Self) -> Self;

    /// The larger of two; neither may be a NaN.
    #[must_use]
    fn at_least(self, least: Self) -> Self;

    /// The next whole number below, or the number itself where it is one. Below 2^51.
    #[must_use]
    fn floor(self) -> Self;

    /// The square root.
    #[must_use]
    fn sqrt(self) -> Self;

    /// Without its sign.
    #[must_use]
    fn abs(self) -> Self {
        self.at_least(self.same(0.0) - self)
    }

    /// Where it is another number or above it.
    fn at_or_above(self, other: Self) -> Self::Mask;

    /// `yes` where the mask says so, else `no`.
    fn choose(mask: Self::Mask, yes: Self, no: Self) -> Self;

    /// Asks for each lane's yes or no.
    fn mask(maker: Self::Maker, each: impl Fn(usize) -> bool) -> Self::Mask;

    /// Whether there is any yes.
    fn any(mask: Self::Mask) -> bool;

    /// Nothing but noes.
    fn no_notes(maker: Self::Maker) -> Self::Notes;

    /// Notes the yeses of a mask at a place below 64.
    fn note(notes: Self::Notes, mask: Self::Mask, place: usize) -> Self::Notes;

    /// Where there is a yes at a place below 64.
    fn noted(maker: Self::Maker, notes: Self::Notes, place: usize) -> Self::Mask;

    /// The first notes of a slice, one for each lane; those of the first place are the lowest bits.
    fn load_notes(maker: Self::Maker, from: &[u64]) -> Self::Notes;

    /// Puts the notes of each lane at the beginning of a slice.
    fn store_notes(maker: Self::Maker, notes: Self::Notes, to: &mut [u64]);
}

/// Work on many numbers.
pub trait Work {
    /// What comes of it.
    type Result;

    /// Does it with as many numbers at a time as a `V` has lanes. Must be `#[inline(always)]`.
    fn go<V: Number>(self, maker: V::Maker) -> Self::Result;
}

/// Does some work with as many numbers at a time as the processor can take.
pub fn side_by_side<W: Work>(work: W) -> W::Result {
    Arch::new().dispatch(AtATime(work))
}

/// Does some work number by number.
pub fn one_by_one<W: Work>(work: W) -> W::Result {
    work.go::<f64>(())
}

struct AtATime<W>(W);

impl<W: Work> WithSimd for AtATime<W> {
    type Output = W::Result;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> W::Result {
        self.0.go::<Many<S>>(simd)
    }
}

/// As many numbers as a processor takes at a time. So aligned that no number goes over the edge of a
/// line of its cache, which would cost it twice the time.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
pub struct Many<S: Simd> {
    simd: S,
    values: S::f64s,
}

/// A yes or no for each of many.
#[derive(Clone, Copy, Debug)]
pub struct ManyMask<S: Simd> {
    simd: S,
    values: S::m64s,
}

impl Number for f64 {
    const LANES: usize = 1;
    type Maker = ();
    type Mask = bool;
    type Notes = u64;

    #[inline(always)]
    fn of((): (), each: impl Fn(usize) -> f64) -> Self {
        each(0)
    }

    #[inline(always)]
    fn load((): (), from: &[f64]) -> Self {
        from[0]
    }

    #[inline(always)]
    fn store(self, to: &mut [f64]) {
        to[0] = self;
    }

    #[inline(always)]
    fn same(self, value: f64) -> Self {
        value
    }

    #[inline(always)]
    fn at_most(self, most: Self) -> Self {
        self.min(most)
    }

    #[inline(always)]
    fn at_least(self, least: Self) -> Self {
        self.max(least)
    }

    // Without a call into a library of mathematics, which x86-64 in its oldest form needs.
    #[inline(always)]
    fn floor(self) -> Self {
        let nearest = (self + NO_FRACTIONS) - NO_FRACTIONS;
        if nearest > self { nearest - 1.0 } else { nearest }
    }

    #[inline(always)]
    fn sqrt(self) -> Self {
        Self::sqrt(self)
    }

    #[inline(always)]
    fn at_or_above(self, other: Self) -> bool {
        self >= other
    }

    #[inline(always)]
    fn choose(mask: bool, yes: Self, no: Self) -> Self {
        if mask { yes } else { no }
    }

    #[inline(always)]
    fn mask((): (), each: impl Fn(usize) -> bool) -> bool {
        each(0)
    }

    #[inline(always)]
    fn any(mask: bool) -> bool {
        mask
    }

    #[inline(always)]
    fn no_notes((): ()) -> u64 {
        0
    }

    #[inline(always)]
    fn note(notes: u64, mask: bool, place: usize) -> u64 {
        notes | u64::from(mask) << place
    }

    #[inline(always)]
    fn noted((): (), notes: u64, place: usize) -> bool {
        notes >> place & 1 == 1
    }

    #[inline(always)]
    fn load_notes((): (), from: &[u64]) -> u64 {
        from[0]
    }

    #[inline(always)]
    fn store_notes((): (), notes: u64, to: &mut [u64]) {
        to[0] = notes;
    }
}

impl<S: Simd> Number for Many<S> {
    const LANES: usize = S::F64_LANES;
    type Maker = S;
    type Mask = ManyMask<S>;
    type Notes = S::u64s;

    #[inline(always)]
    fn of(simd: S, each: impl Fn(usize) -> f64) -> Self {
        let mut values = [0.0; MOST];
        for (lane, value) in values[..Self::LANES].iter_mut().enumerate() {
            *value = each(lane);
        }
        Self::load(simd, &values)
    }

    #[inline(always)]
    fn load(simd: S, from: &[f64]) -> Self {
        Self { simd, values: S::as_simd_f64s(from).0[0] }
    }

    #[inline(always)]
    fn store(self, to: &mut [f64]) {
        S::as_mut_simd_f64s(to).0[0] = self.values;
    }

    #[inline(always)]
    fn same(self, value: f64) -> Self {
        Self { values: self.simd.splat_f64s(value), ..self }
    }

    #[inline(always)]
    fn at_most(self, most: Self) -> Self {
        Self { values: self.simd.min_f64s(self.values, most.values), ..self }
    }

    #[inline(always)]
    fn at_least(self, least: Self) -> Self {
        Self { values: self.simd.max_f64s(self.values, least.values), ..self }
    }

    #[inline(always)]
    fn floor(self) -> Self {
        let large = self.same(NO_FRACTIONS);
        let nearest = (self + large) - large;
        let simd = self.simd;
        let above = simd.greater_than_f64s(nearest.values, self.values);
        let below = nearest - self.same(1.0);
        Self { values: simd.select_f64s(above, below.values, nearest.values), ..self }
    }

    #[inline(always)]
    fn sqrt(self) -> Self {
        Self { values: self.simd.sqrt_f64s(self.values), ..self }
    }

    #[inline(always)]
    fn at_or_above(self, other: Self) -> ManyMask<S> {
        let values = self.simd.greater_than_or_equal_f64s(self.values, other.values);
        ManyMask { simd: self.simd, values }
    }

    #[inline(always)]
    fn choose(mask: ManyMask<S>, yes: Self, no: Self) -> Self {
        let values = mask.simd.select_f64s(mask.values, yes.values, no.values);
        Self { simd: mask.simd, values }
    }

    #[inline(always)]
    fn mask(simd: S, each: impl Fn(usize) -> bool) -> ManyMask<S> {
        let ones = Self::of(simd, |lane| f64::from(u8::from(each(lane))));
        ones.at_or_above(ones.same(1.0))
    }

    #[inline(always)]
    fn any(mask: ManyMask<S>) -> bool {
        mask.simd.first_true_m64s(mask.values) < Self::LANES
    }

    #[inline(always)]
    fn no_notes(simd: S) -> S::u64s {
        simd.splat_u64s(0)
    }

    #[inline(always)]
    fn note(notes: S::u64s, mask: ManyMask<S>, place: usize) -> S::u64s {
        let simd = mask.simd;
        let noted = simd.or_u64s(notes, simd.splat_u64s(1 << place));
        simd.select_u64s(mask.values, noted, notes)
    }

    #[inline(always)]
    fn noted(simd: S, notes: S::u64s, place: usize) -> ManyMask<S> {
        let one = simd.splat_u64s(1 << place);
        ManyMask { simd, values: simd.equal_u64s(simd.and_u64s(notes, one), one) }
    }

    #[inline(always)]
    fn load_notes(_: S, from: &[u64]) -> S::u64s {
        S::as_simd_u64s(from).0[0]
    }

    #[inline(always)]
    fn store_notes(_: S, notes: S::u64s, to: &mut [u64]) {
        S::as_mut_simd_u64s(to).0[0] = notes;
    }
}

/// An operator of many numbers, lane by lane.
macro_rules! each_lane {
    ($of:ident, $operator:ident, $method:ident, $lanes:ident) => {
        impl<S: Simd> $operator for $of<S> {
            type Output = Self;

            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                Self { values: self.simd.$lanes(self.values, other.values), ..self }
            }
        }
    };
}

each_lane!(Many, Add, add, add_f64s);
each_lane!(Many, Sub, sub, sub_f64s);
each_lane!(Many, Mul, mul, mul_f64s);
each_lane!(Many, Div, div, div_f64s);
each_lane!(ManyMask, BitAnd, bitand, and_m64s);
each_lane!(ManyMask, BitOr, bitor, or_m64s);

impl<S: Simd> Not for ManyMask<S> {
    type Output = Self;

    #[inline(always)]
    fn not(self) -> Self {
        Self { values: self.simd.not_m64s(self.values), ..self }
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

    /// Everything that numbers can do, with three of any size and two that are finite.
    struct Everything<'n>(&'n [Vec<f64>; 5]);

    impl Work for Everything<'_> {
        type Result = (Vec<[f64; MOST]>, [u64; MOST]);

        #[inline(always)]
        fn go<V: Number>(self, maker: V::Maker) -> Self::Result {
            let mut results = vec![[0.0; MOST]; 9];
            let mut noted = [0; MOST];
            for from in (0..MOST).step_by(V::LANES) {
                let [a, b, c, x, y] = [0, 1, 2, 3, 4].map(|of| V::load(maker, &self.0[of][from..]));
                let above = a.at_or_above(b);
                let other = V::mask(maker, |lane| self.0[1][from + lane] >= self.0[2][from + lane]);
                let all = [
                    a.at_most(b),
                    a.at_least(b),
                    V::choose(above, b, c),
                    V::choose(above & !other | b.at_or_above(a), a, c),
                    x.floor(),
                    x * y + x,
                    x - y / x.same(3.0),
                    Number::sqrt(Number::abs(x)),
                    V::of(maker, |lane| 2.0 * self.0[4][from + lane]) - y,
                ];
                for (result, values) in results.iter_mut().zip(all) {
                    values.store(&mut result[from..]);
                }
                let mut notes = V::note(V::no_notes(maker), above, 0);
                notes = V::note(notes, other, 63);
                if V::any(other) {
                    notes = V::note(notes, other, 5);
                }
                notes = V::note(notes, V::noted(maker, notes, 63) & !above, 31);
                V::store_notes(maker, notes, &mut noted[from..]);
                let again = V::load_notes(maker, &noted[from..]);
                V::store_notes(maker, V::note(again, above, 1), &mut noted[from..]);
            }
            (results, noted)
        }
    }

    proptest! {
        #[test]
        fn each_of_many_is_what_one_alone_is(
            any in prop::collection::vec(value(), 3 * MOST),
            finite in prop::collection::vec(finite(), 2 * MOST),
        ) {
            let mut numbers = any.chunks(MOST).chain(finite.chunks(MOST)).map(<[f64]>::to_vec);
            let numbers = [(); 5].map(|()| numbers.next().expect("five"));
            let alone = one_by_one(Everything(&numbers));
            prop_assert_eq!(&side_by_side(Everything(&numbers)), &alone);
            // As on a processor that can do no more.
            let narrow = pulp::Scalar::new().vectorize(AtATime(Everything(&numbers)));
            prop_assert_eq!(&narrow, &alone);
            #[cfg(target_arch = "x86_64")]
            if let Some(four) = pulp::x86::V3::try_new() {
                let found = Simd::vectorize(four, AtATime(Everything(&numbers)));
                prop_assert_eq!(&found, &alone);
            }
        }

        #[test]
        fn floor_is_the_floor(value in finite()) {
            prop_assert_eq!(Number::floor(value), value.floor());
        }
    }
}
