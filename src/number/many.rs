//! As many numbers as the processor takes at a time.

use std::ops::{Add, BitAnd, BitOr, Div, Mul, Not, Sub};

use pulp::{Arch, Simd, WithSimd};

use super::{NO_FRACTIONS, Number, Work};

/// No processor takes more numbers at a time.
pub(super) const MOST: usize = 16;

/// Does some work with as many numbers at a time as the processor can take.
pub fn side_by_side<W: Work>(work: W) -> W::Result {
    Arch::new().dispatch(AtATime(work))
}

/// Work, done with as many numbers at a time as a processor takes.
pub(super) struct AtATime<W>(pub(super) W);

impl<W: Work> WithSimd for AtATime<W> {
    type Output = W::Result;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> W::Result {
        self.0.go::<Many<S>>(simd)
    }
}

/// As many numbers as a processor takes at a time. So aligned that none goes over the edge of a line
/// of its cache, which would cost it twice the time.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
pub(super) struct Many<S: Simd> {
    simd: S,
    values: S::f64s,
}

/// A yes or no for each of many.
#[derive(Clone, Copy, Debug)]
pub(super) struct ManyMask<S: Simd> {
    simd: S,
    values: S::m64s,
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
    fn load_notes(from: &[u64]) -> S::u64s {
        S::as_simd_u64s(from).0[0]
    }

    #[inline(always)]
    fn store_notes(notes: S::u64s, to: &mut [u64]) {
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
