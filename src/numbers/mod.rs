//! SIMD: numbers that go through a formula one by one, or several side by side, one in each lane.
//!
//! A formula written for [`Number`] gives every lane the bits that it gives a single `f64`: it is
//! made of operations that IEEE 754 rounds exactly, in the order in which they are written. So
//! zones can be stepped side by side, which keeps a processor busier, and no result depends on it,
//! nor on how many lanes the processor has.
//!
//! Whatever a [`Kernel`] calls must be inlined into it, since only there the processor's wider
//! instructions may be used; hence `#[inline(always)]` on every formula.
//!
//! ```
//! use setband::numbers::{low_bits, ones};
//!
//! assert_eq!(ones(low_bits(3)).collect::<Vec<_>>(), [0, 1, 2]);
//! ```

mod bits;
mod wide;

use std::fmt::Debug;
use std::ops::{Add, BitAnd, BitOr, Div, Mul, Not, Sub};

pub use bits::{low_bits, ones};
pub use wide::run_simd;

/// Adding this to a number of less than 2^51 rounds it to a whole one: 1.5 times 2^52, from where
/// on a double has no fractions.
const NO_FRACTIONS: f64 = 6_755_399_441_055_744.0;

/// A vector of double-precision numbers, one in each lane. `f64` is the vector of one lane.
pub trait Number:
    Copy + Add<Output = Self> + Sub<Output = Self> + Mul<Output = Self> + Div<Output = Self> + Debug
{
    /// Number of lanes.
    const LANES: usize;

    /// Proof that the processor has the instructions for vectors of this width.
    type Token: Copy;

    /// A boolean in each lane.
    type Mask: Copy
        + BitAnd<Output = Self::Mask>
        + BitOr<Output = Self::Mask>
        + Not<Output = Self::Mask>
        + Debug;

    /// 64 bits in each lane.
    type Bitmask: Copy;

    /// The vector of what `of` gives for each lane.
    fn from_fn(token: Self::Token, of: impl Fn(usize) -> f64) -> Self;

    /// The first numbers of a slice, one for each lane.
    fn load(token: Self::Token, from: &[f64]) -> Self;

    /// Writes the number of each lane to the beginning of a slice.
    fn store(self, to: &mut [f64]);

    /// The same number in every lane.
    #[must_use]
    fn splat(self, value: f64) -> Self;

    /// The smaller of two, lane by lane; neither may be a NaN.
    #[must_use]
    fn min(self, other: Self) -> Self;

    /// The larger of two, lane by lane; neither may be a NaN.
    #[must_use]
    fn max(self, other: Self) -> Self;

    /// The largest whole number that is not above. For numbers below 2^51.
    #[must_use]
    fn floor(self) -> Self;

    /// The square root.
    #[must_use]
    fn sqrt(self) -> Self;

    /// The absolute value.
    #[must_use]
    fn abs(self) -> Self {
        self.max(self.splat(0.0) - self)
    }

    /// Greater than or equal, lane by lane.
    fn ge(self, other: Self) -> Self::Mask;

    /// `yes` in lanes where the mask is set, else `no`.
    fn select(mask: Self::Mask, yes: Self, no: Self) -> Self;

    /// The mask of what `of` gives for each lane.
    fn mask_from_fn(token: Self::Token, of: impl Fn(usize) -> bool) -> Self::Mask;

    /// Whether the mask is set in any lane.
    fn any(mask: Self::Mask) -> bool;

    /// No bit set in any lane.
    fn no_bits(token: Self::Token) -> Self::Bitmask;

    /// Sets a bit, 0 to 63, in the lanes where the mask is set.
    fn set_bit(bits: Self::Bitmask, mask: Self::Mask, place: usize) -> Self::Bitmask;

    /// The lanes in which a bit, 0 to 63, is set.
    fn bit(token: Self::Token, bits: Self::Bitmask, place: usize) -> Self::Mask;

    /// The first bitmasks of a slice, one for each lane.
    fn load_bits(from: &[u64]) -> Self::Bitmask;

    /// Writes the bitmask of each lane to the beginning of a slice.
    fn store_bits(bits: Self::Bitmask, to: &mut [u64]);
}

/// A computation over many numbers, for vectors of any width.
pub trait Kernel {
    /// What it gives.
    type Result;

    /// Computes it with vectors of type `V`. Must be `#[inline(always)]`.
    fn run<V: Number>(self, token: V::Token) -> Self::Result;
}

/// Runs a kernel with one lane.
pub fn run_scalar<K: Kernel>(kernel: K) -> K::Result {
    kernel.run::<f64>(())
}

impl Number for f64 {
    const LANES: usize = 1;
    type Token = ();
    type Mask = bool;
    type Bitmask = u64;

    #[inline(always)]
    fn from_fn((): (), of: impl Fn(usize) -> f64) -> Self {
        of(0)
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
    fn splat(self, value: f64) -> Self {
        value
    }

    #[inline(always)]
    fn min(self, other: Self) -> Self {
        Self::min(self, other)
    }

    #[inline(always)]
    fn max(self, other: Self) -> Self {
        Self::max(self, other)
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
    fn ge(self, other: Self) -> bool {
        self >= other
    }

    #[inline(always)]
    fn select(mask: bool, yes: Self, no: Self) -> Self {
        if mask { yes } else { no }
    }

    #[inline(always)]
    fn mask_from_fn((): (), of: impl Fn(usize) -> bool) -> bool {
        of(0)
    }

    #[inline(always)]
    fn any(mask: bool) -> bool {
        mask
    }

    #[inline(always)]
    fn no_bits((): ()) -> u64 {
        0
    }

    #[inline(always)]
    fn set_bit(bits: u64, mask: bool, place: usize) -> u64 {
        bits | u64::from(mask) << place
    }

    #[inline(always)]
    fn bit((): (), bits: u64, place: usize) -> bool {
        bits >> place & 1 == 1
    }

    #[inline(always)]
    fn load_bits(from: &[u64]) -> u64 {
        from[0]
    }

    #[inline(always)]
    fn store_bits(bits: u64, to: &mut [u64]) {
        to[0] = bits;
    }
}

#[cfg(test)]
mod tests;
