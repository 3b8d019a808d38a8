use pulp::Simd;

use super::wide::{MAX_LANES, OnSimd};
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

impl Kernel for Everything<'_> {
    type Result = (Vec<[f64; MAX_LANES]>, [u64; MAX_LANES]);

    #[inline(always)]
    fn run<V: Number>(self, token: V::Token) -> Self::Result {
        let mut results = vec![[0.0; MAX_LANES]; 9];
        let mut noted = [0; MAX_LANES];
        for from in (0..MAX_LANES).step_by(V::LANES) {
            let [a, b, c, x, y] = [0, 1, 2, 3, 4].map(|of| V::load(token, &self.0[of][from..]));
            let above = a.ge(b);
            let other =
                V::mask_from_fn(token, |lane| self.0[1][from + lane] >= self.0[2][from + lane]);
            let all = [
                a.min(b),
                a.max(b),
                V::select(above, b, c),
                V::select(above & !other | b.ge(a), a, c),
                x.floor(),
                x * y + x,
                x - y / x.splat(3.0),
                Number::sqrt(Number::abs(x)),
                V::from_fn(token, |lane| 2.0 * self.0[4][from + lane]) - y,
            ];
            for (result, values) in results.iter_mut().zip(all) {
                values.store(&mut result[from..]);
            }
            let mut bits = V::set_bit(V::no_bits(token), above, 0);
            bits = V::set_bit(bits, other, 63);
            if V::any(other) {
                bits = V::set_bit(bits, other, 5);
            }
            bits = V::set_bit(bits, V::bit(token, bits, 63) & !above, 31);
            V::store_bits(bits, &mut noted[from..]);
            let again = V::load_bits(&noted[from..]);
            V::store_bits(V::set_bit(again, above, 1), &mut noted[from..]);
        }
        (results, noted)
    }
}

proptest! {
    #[test]
    fn each_of_many_is_what_one_alone_is(
        any in prop::collection::vec(value(), 3 * MAX_LANES),
        finite in prop::collection::vec(finite(), 2 * MAX_LANES),
    ) {
        let mut numbers = any.chunks(MAX_LANES).chain(finite.chunks(MAX_LANES)).map(<[f64]>::to_vec);
        let numbers = [(); 5].map(|()| numbers.next().expect("five"));
        let alone = run_scalar(Everything(&numbers));
        prop_assert_eq!(&run_simd(Everything(&numbers)), &alone);
        // As on a processor that can do no more.
        let narrow = pulp::Scalar::new().vectorize(OnSimd(Everything(&numbers)));
        prop_assert_eq!(&narrow, &alone);
        #[cfg(target_arch = "x86_64")]
        if let Some(four) = pulp::x86::V3::try_new() {
            let found = Simd::vectorize(four, OnSimd(Everything(&numbers)));
            prop_assert_eq!(&found, &alone);
        }
    }

    #[test]
    fn floor_is_the_floor(value in finite()) {
        prop_assert_eq!(Number::floor(value), value.floor());
    }
}
