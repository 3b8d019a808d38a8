//! Vectors as wide as the processor has.

use std::ops::{Add, BitAnd, BitOr, Div, Mul, Not, Sub};

use pulp::{Arch, Simd, WithSimd};

use super::{Kernel, NO_FRACTIONS, Number};

/// No processor has vectors of more lanes.
pub(super) const MAX_LANES: usize = 16;

/// Runs a kernel with the widest vectors that the processor has.
pub fn run_simd<K: Kernel>(kernel: K) -> K::Result {
    Arch::new().dispatch(OnSimd(kernel))
}

/// A kernel, run with the vectors of a given instruction set.
pub(super) struct OnSimd<K>(pub(super) K);

impl<K: Kernel> WithSimd for OnSimd<K> {
    type Output = K::Result;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> K::Result {
        self.0.run::<Wide<S>>(simd)
    }
}

/// A vector of an instruction set `S`. Aligned to a line of the cache: a load that crosses two lines
/// takes twice the time.
#[derive(Clone, Copy, Debug)]
#[repr(align(64))]
pub(super) struct Wide<S: Simd> {
    simd: S,
    values: S::f64s,
}

/// A boolean in each lane of a [`Wide`].
#[derive(Clone, Copy, Debug)]
pub(super) struct WideMask<S: Simd> {
    simd: S,
    values: S::m64s,
}

impl<S: Simd> Number for Wide<S> {
    const LANES: usize = S::F64_LANES;
    type Token = S;
    type Mask = WideMask<S>;
    type Bitmask = S::u64s;

    #[inline(always)]
    fn from_fn(simd: S, of: impl Fn(usize) -> f64) -> Self {
        let mut values = [0.0; MAX_LANES];
        for (lane, value) in values[..Self::LANES].iter_mut().enumerate() {
            *value = of(lane);
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
    fn splat(self, value: f64) -> Self {
        Self { values: self.simd.splat_f64s(value), ..self }
    }

    #[inline(always)]
    fn min(self, other: Self) -> Self {
        Self { values: self.simd.min_f64s(self.values, other.values), ..self }
    }

    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Self { values: self.simd.max_f64s(self.values, other.values), ..self }
    }

    #[inline(always)]
    fn floor(self) -> Self {
        let large = self.splat(NO_FRACTIONS);
        let nearest = (self + large) - large;
        let simd = self.simd;
        let above = simd.greater_than_f64s(nearest.values, self.values);
        let below = nearest - self.splat(1.0);
        Self { values: simd.select_f64s(above, below.values, nearest.values), ..self }
    }

    #[inline(always)]
    fn sqrt(self) -> Self {
        Self { values: self.simd.sqrt_f64s(self.values), ..self }
    }

    #[inline(always)]
    fn ge(self, other: Self) -> WideMask<S> {
        let values = self.simd.greater_than_or_equal_f64s(self.values, other.values);
        WideMask { simd: self.simd, values }
    }

    #[inline(always)]
    fn select(mask: WideMask<S>, yes: Self, no: Self) -> Self {
        let values = mask.simd.select_f64s(mask.values, yes.values, no.values);
        Self { simd: mask.simd, values }
    }

    #[inline(always)]
    fn mask_from_fn(simd: S, of: impl Fn(usize) -> bool) -> WideMask<S> {
        let ones = Self::from_fn(simd, |lane| f64::from(u8::from(of(lane))));
        ones.ge(ones.splat(1.0))
    }

    #[inline(always)]
    fn any(mask: WideMask<S>) -> bool {
        mask.simd.first_true_m64s(mask.values) < Self::LANES
    }

    #[inline(always)]
    fn no_bits(simd: S) -> S::u64s {
        simd.splat_u64s(0)
    }

    #[inline(always)]
    fn set_bit(bits: S::u64s, mask: WideMask<S>, place: usize) -> S::u64s {
        let simd = mask.simd;
        let set = simd.or_u64s(bits, simd.splat_u64s(1 << place));
        simd.select_u64s(mask.values, set, bits)
    }

    #[inline(always)]
    fn bit(simd: S, bits: S::u64s, place: usize) -> WideMask<S> {
        let one = simd.splat_u64s(1 << place);
        WideMask { simd, values: simd.equal_u64s(simd.and_u64s(bits, one), one) }
    }

    #[inline(always)]
    fn load_bits(from: &[u64]) -> S::u64s {
        S::as_simd_u64s(from).0[0]
    }

    #[inline(always)]
    fn store_bits(bits: S::u64s, to: &mut [u64]) {
        S::as_mut_simd_u64s(to).0[0] = bits;
    }
}

/// Implements an operator lane by lane.
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

each_lane!(Wide, Add, add, add_f64s);
each_lane!(Wide, Sub, sub, sub_f64s);
each_lane!(Wide, Mul, mul, mul_f64s);
each_lane!(Wide, Div, div, div_f64s);
each_lane!(WideMask, BitAnd, bitand, and_m64s);
each_lane!(WideMask, BitOr, bitor, or_m64s);

impl<S: Simd> Not for WideMask<S> {
    type Output = Self;

    #[inline(always)]
    fn not(self) -> Self {
        Self { values: self.simd.not_m64s(self.values), ..self }
    }
}
