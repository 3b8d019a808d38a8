//! Numbers known to lie between two others.
//!
//! A sum or a product of floating-point numbers is the nearest number to the true one, so the true
//! one lies between the two neighbours of what comes out (IEEE 754-2019, 4.3.1 and 5.3.1). Every
//! operation here goes on to that neighbour: the result may be wider than the truth, never
//! narrower (Moore, Kearfott and Cloud, Introduction to Interval Analysis, 2009, chapters 2 and 3).

use std::ops::{Add, Mul, Neg, Sub};

/// A number known to lie between two others, both included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Interval {
    low: f64,
    high: f64,
}

impl Interval {
    /// Exactly nothing.
    pub(super) const ZERO: Self = Self { low: 0.0, high: 0.0 };

    /// Exactly one number.
    pub(super) const fn exactly(value: f64) -> Self {
        Self { low: value, high: value }
    }

    /// Between two numbers, in either order.
    pub(super) const fn between(one: f64, other: f64) -> Self {
        Self { low: one.min(other), high: one.max(other) }
    }

    /// A computed number that is wrong by at most so large a part of itself.
    pub(super) fn about(value: f64, part: f64) -> Self {
        let most = (value.abs() * part).next_up();
        Self { low: (value - most).next_down(), high: (value + most).next_up() }
    }

    /// The least it can be.
    pub(super) const fn low(self) -> f64 {
        self.low
    }

    /// The most it can be.
    pub(super) const fn high(self) -> f64 {
        self.high
    }

    /// A number near its middle.
    pub(super) const fn middle(self) -> f64 {
        f64::midpoint(self.low, self.high)
    }

    /// How far it can lie from its middle, at most.
    pub(super) fn radius(self) -> f64 {
        let middle = self.middle();
        (self.high - middle).max(middle - self.low).next_up()
    }

    /// The least interval that has both.
    #[must_use]
    pub(super) const fn hull(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }

    /// Whether a number lies in it.
    pub(super) fn has(self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }
}

impl Add for Interval {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self { low: (self.low + other.low).next_down(), high: (self.high + other.high).next_up() }
    }
}

impl Neg for Interval {
    type Output = Self;

    fn neg(self) -> Self {
        Self { low: -self.high, high: -self.low }
    }
}

impl Sub for Interval {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Mul for Interval {
    type Output = Self;

    fn mul(self, other: Self) -> Self {
        let ends = [
            self.low * other.low,
            self.low * other.high,
            self.high * other.low,
            self.high * other.high,
        ];
        let least = ends.into_iter().fold(f64::INFINITY, f64::min);
        let most = ends.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Self { low: least.next_down(), high: most.next_up() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A number as a whole multiple of 2^-40, so that sums and products are exact in integers.
    const PLACES: u32 = 40;

    fn exact(number: i64) -> f64 {
        number as f64 / (1_u64 << PLACES) as f64
    }

    /// Whether a whole multiple of 2^-places lies in an interval, decided in integers.
    fn lies_in(value: i128, places: u32, interval: Interval) -> bool {
        // An end of at most 2^60 with 52 bits behind its leading one, times 2^90, in integers.
        let scaled = |end: f64| {
            let (mantissa, exponent, sign) = parts(end);
            let shift = exponent + 90;
            assert!((-60..=70).contains(&shift) || mantissa == 0);
            let whole = if shift >= 0 { mantissa << shift } else { mantissa >> -shift };
            // What is shifted out makes a positive end smaller and a negative one larger: that is
            // below a 2^-90th and decides nothing but equality, which the ends are wider than.
            whole * sign
        };
        let value = value << (90 - places);
        scaled(interval.low()) <= value && value <= scaled(interval.high())
    }

    fn parts(value: f64) -> (i128, i32, i128) {
        let bits = value.to_bits();
        let exponent = i32::try_from(bits >> 52 & 0x7ff).expect("eleven bits");
        let fraction = i128::from(bits & ((1 << 52) - 1));
        let mantissa = if exponent == 0 { fraction } else { fraction | 1 << 52 };
        (mantissa, exponent.max(1) - 1075, if value.is_sign_negative() { -1 } else { 1 })
    }

    proptest! {
        /// Derived: exact fractions with denominators 2^40 and 2^80, in integers of 128 bits.
        #[test]
        fn results_enclose_exact_fractions(
            one in -(1_i64 << 46)..1_i64 << 46,
            other in -(1_i64 << 46)..1_i64 << 46,
        ) {
            prop_assume!(one != 0 && other != 0 && one != other && one != -other);
            let (x, y) = (Interval::exactly(exact(one)), Interval::exactly(exact(other)));
            let (a, b) = (i128::from(one), i128::from(other));
            prop_assert!(lies_in(a + b, PLACES, x + y));
            prop_assert!(lies_in(a - b, PLACES, x - y));
            // 2^92 of 2^-80 at most: within 2^12, whose last place is far above 2^-90.
            let product = x * y;
            let (a, b) = (a >> 8, b >> 8);
            prop_assume!(a != 0 && b != 0);
            let (x, y) = (exact((one >> 8) << 8), exact((other >> 8) << 8));
            let rounded = Interval::exactly(x) * Interval::exactly(y);
            prop_assert!(lies_in(a * b, 2 * (PLACES - 8), rounded));
            prop_assert!(product.low() < product.high());
        }

        /// Every product of members lies in the product of the intervals.
        #[test]
        fn members_stay_members(
            ends in [-50.0_f64..50.0, -50.0..50.0, -50.0..50.0, -50.0..50.0],
            parts in [0.0_f64..1.0, 0.0..1.0],
        ) {
            let (x, y) = (Interval::between(ends[0], ends[1]), Interval::between(ends[2], ends[3]));
            let inside = |it: Interval, part: f64| {
                (it.low() + part * (it.high() - it.low())).clamp(it.low(), it.high())
            };
            let (a, b) = (inside(x, parts[0]), inside(y, parts[1]));
            prop_assert!((x + y).has(a + b) && (x - y).has(a - b) && (x * y).has(a * b));
            prop_assert!((-x).has(-a) && x.hull(y).has(a) && x.hull(y).has(b));
            prop_assert!((a - x.middle()).abs() <= x.radius());
        }
    }

    /// Derived: 1/3 is not 0.333..., and the interval about it has three thirds of one.
    #[test]
    fn a_third_is_enclosed_by_what_is_near_it() {
        let third = Interval::about(1.0 / 3.0, f64::EPSILON);
        assert!((third + third + third).has(1.0));
        let one = third * Interval::exactly(3.0);
        assert!(one.low() < 1.0 && 1.0 < one.high() && one.radius() < 1e-14);
    }
}
