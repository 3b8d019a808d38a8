use pulp::Simd;

use super::many::{AtATime, MOST};
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
            V::store_notes(notes, &mut noted[from..]);
            let again = V::load_notes(&noted[from..]);
            V::store_notes(V::note(again, above, 1), &mut noted[from..]);
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
