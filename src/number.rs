//! Numbers that go through a formula one by one, or many side by side.
//!
//! A formula written for [`Number`] gives each of many the bits that it gives one alone: it is made
//! of operations that IEEE 754 rounds exactly, in the order in which they are written. So rooms can
//! be stepped side by side, which keeps a processor busier, and no result depends on it, nor on how
//! many numbers a processor takes at a time.
//!
//! What stands in a [`Work`] must be inlined whole, since only there the processor's wider
//! instructions may be used; hence `#[inline(always)]` on every formula.

mod bits;
mod many;

use std::fmt::Debug;
use std::ops::{Add, BitAnd, BitOr, Div, Mul, Not, Sub};

pub use bits::{first, ones};
pub use many::side_by_side;

/// Adding this to a number of less than 2^51 rounds it to a whole one: 1.5 times 2^52, from where
/// on a double has no fractions.
const NO_FRACTIONS: f64 = 6_755_399_441_055_744.0;

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
    fn load_notes(from: &[u64]) -> Self::Notes;

    /// Puts the notes of each lane at the beginning of a slice.
    fn store_notes(notes: Self::Notes, to: &mut [u64]);
}

/// Work on many numbers.
pub trait Work {
    /// What comes of it.
    type Result;

    /// Does it with as many numbers at a time as a `V` has lanes. Must be `#[inline(always)]`.
    fn go<V: Number>(self, maker: V::Maker) -> Self::Result;
}

/// Does some work number by number.
pub fn one_by_one<W: Work>(work: W) -> W::Result {
    work.go::<f64>(())
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
    fn load_notes(from: &[u64]) -> u64 {
        from[0]
    }

    #[inline(always)]
    fn store_notes(notes: u64, to: &mut [u64]) {
        to[0] = notes;
    }
}

#[cfg(test)]
mod tests;
