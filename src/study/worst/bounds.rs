//! What is known of one room at one moment: bounds of three temperatures and of their differences.
//!
//! The three are the air, the sensor's body and what is held in the mass ([`super::basis`]). With a fourth
//! that is always zero, all is of one form, `x_i - x_j <= c_ij`: a *difference-bound matrix* (Miné, A new numerical abstract
//! domain based on difference-bound matrices, PADO 2001, LNCS 2053). It is *closed* where no bound
//! follows more tightly from others, `c_ij <= c_ik + c_kj`. How large a weighted sum of the
//! temperatures can be is then the cost of the cheapest shipment of the positive weights to the
//! negative ones (duality of linear programming), and every shipment, also one that is not the
//! cheapest, costs at least what the sum can be: nothing can come out too small.
//!
//! Here numbers are added as they come: a step's dozen roundings of numbers below a thousand are
//! smaller than what [`super::maps`] adds to each bound for them, by a factor of a thousand.

use super::basis::Basis;
use super::interval::Interval;

/// Which of the four: nothing, which is always 0.
pub(super) const NOTHING: usize = 0;
/// The air of the room, degrees C.
pub(super) const AIR: usize = 1;
/// What is held in its mass, by a [`Basis`], degrees C.
pub(super) const HELD: usize = 2;
/// The sensor's body, degrees C.
pub(super) const BODY: usize = 3;

/// The pairs (i, j) of the bounds `x_i - x_j <= c`.
pub(super) const PAIRS: [(usize, usize); 12] = [
    (AIR, NOTHING),
    (NOTHING, AIR),
    (HELD, NOTHING),
    (NOTHING, HELD),
    (BODY, NOTHING),
    (NOTHING, BODY),
    (AIR, HELD),
    (HELD, AIR),
    (AIR, BODY),
    (BODY, AIR),
    (HELD, BODY),
    (BODY, HELD),
];

/// Added to each bound of what is held, K: a thousand times what rounding does to a sum of four terms.
const ROUNDING: f64 = 1e-9;

/// Closed bounds of a room's three temperatures and of their differences, degrees C and K.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Bounds([[f64; 4]; 4]);

impl Bounds {
    /// Air, mass and body anywhere between two temperatures, independently.
    pub(super) fn anywhere(basis: Basis, low: f64, high: f64) -> Self {
        let plain = |which: usize| match which {
            AIR => [1.0, 0.0, 0.0],
            HELD => basis.of_held(),
            BODY => [0.0, 0.0, 1.0],
            _ => [0.0; 3],
        };
        let most = |(one, other): (usize, usize)| {
            let weights = plain(one).into_iter().zip(plain(other)).map(|(one, other)| one - other);
            let most: f64 = weights.map(|it| (it * low).max(it * high)).sum();
            if one == HELD || other == HELD { most + ROUNDING } else { most.next_up() }
        };
        Self::of(&PAIRS.map(most))
    }

    /// Bounds that are given one by one, in the order of [`PAIRS`].
    pub(super) fn of(values: &[f64; 12]) -> Self {
        let mut bounds = [[0.0; 4]; 4];
        for (&(one, other), value) in PAIRS.iter().zip(values) {
            bounds[one][other] = *value;
        }
        Self(bounds)
    }

    /// What holds where air, mass and body may each be so far from what holds so far, K. Closed bounds
    /// stay closed: what the middle of two steps adds is only more.
    pub(super) fn widened(&self, basis: Basis, kelvins: f64) -> Self {
        let held: f64 = basis.of_held().iter().map(|it| it.abs()).sum();
        let of = [0.0, kelvins, kelvins * held, kelvins];
        let mut wider = *self;
        for (one, other) in PAIRS {
            wider.0[one][other] += of[one] + of[other];
        }
        wider
    }

    /// The least that one of the temperatures can be.
    pub(super) const fn least(&self, which: usize) -> f64 {
        -self.0[NOTHING][which]
    }

    /// The most that one of the temperatures can be.
    pub(super) const fn most(&self, which: usize) -> f64 {
        self.0[which][NOTHING]
    }

    /// What holds of everything that either of two holds of.
    pub(super) fn join(&mut self, other: &Self) {
        for (row, others) in self.0.iter_mut().zip(&other.0) {
            for (bound, other) in row.iter_mut().zip(others) {
                *bound = bound.max(*other);
            }
        }
    }

    /// What is left where one of the temperatures lies between two others; `None` where nothing is.
    pub(super) fn within(&self, which: usize, low: f64, high: f64) -> Option<Self> {
        if high < self.least(which) || self.most(which) < low {
            return None;
        }
        let mut left = *self;
        if high < self.most(which) {
            left.tighten(which, NOTHING, high);
        }
        if low > self.least(which) {
            left.tighten(NOTHING, which, -low);
        }
        Some(left)
    }

    /// Takes `x_one - x_other <= bound` into account, and closes: every way may now go over it.
    fn tighten(&mut self, one: usize, other: usize, bound: f64) {
        self.0[one][other] = self.0[one][other].min(bound);
        let before = self.0;
        for (from, row) in self.0.iter_mut().enumerate() {
            for (to, slot) in row.iter_mut().enumerate() {
                if from != to {
                    let over = before[from][one] + bound + before[other][to];
                    *slot = slot.min(over);
                }
            }
        }
    }

    /// The lowest and the highest temperature that air, mass and body may have alike.
    pub(super) fn alike(&self, basis: Basis) -> Option<(f64, f64)> {
        let parts = basis.alike();
        let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
        for (one, other) in PAIRS {
            let bound = self.0[one][other];
            let per_kelvin = parts[one] - parts[other];
            if per_kelvin > 0.0 {
                high = high.min(bound / per_kelvin);
            } else if per_kelvin < 0.0 {
                low = low.max(bound / per_kelvin);
            } else if bound < 0.0 {
                return None;
            }
        }
        (low <= high).then_some((low, high))
    }

    /// The sensor's body takes on the temperature of the air.
    pub(super) fn read_air(&self, basis: Basis) -> Self {
        self.mapped([[1.0, 0.0, 0.0], basis.of_held_where_body_is_air(), [1.0, 0.0, 0.0]])
    }

    /// The same where the mass has been followed as it is.
    pub(super) fn based_on(&self, basis: Basis) -> Self {
        self.mapped([[1.0, 0.0, 0.0], basis.of_held(), [0.0, 0.0, 1.0]])
    }

    /// Bounds of sums with such weights of the three, in their order.
    fn mapped(&self, sums: [[f64; 3]; 3]) -> Self {
        let weights = |which: usize| if which == NOTHING { [0.0; 3] } else { sums[which - 1] };
        let most = |(one, other): (usize, usize)| {
            let (mut weights, others) = (weights(one), weights(other));
            weights.iter_mut().zip(others).for_each(|(weight, other)| *weight -= other);
            let most = self.most_of(&Shipment::of(weights));
            if one == HELD || other == HELD { most + ROUNDING } else { most }
        };
        Self::of(&PAIRS.map(most))
    }

    /// The range of the mass.
    pub(super) fn mass(&self, basis: Basis) -> Interval {
        let most = |sign: f64| self.most_of(&Shipment::of(basis.weights([0.0, sign, 0.0])));
        Interval::between(-most(-1.0) - ROUNDING, most(1.0) + ROUNDING)
    }

    /// No less than what a shipment weighs can be.
    #[inline]
    pub(super) fn most_of(&self, shipment: &Shipment) -> f64 {
        let cost = |ways: &[Way; 4]| {
            ways.iter().map(|way| way.weight * self.0[way.from][way.to]).sum::<f64>()
        };
        let one = cost(&shipment.one);
        if shipment.has_other { one.min(cost(&shipment.other)) } else { one }
    }
}

/// So much from one of the four to another.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Way {
    from: usize,
    to: usize,
    weight: f64,
}

/// A weighted sum of air, mass and body as shipments from positive weights to negative ones; where
/// two ship to two there are two that may be the cheapest.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Shipment {
    one: [Way; 4],
    other: [Way; 4],
    has_other: bool,
}

impl Shipment {
    /// That of the sum with these weights.
    pub(super) fn of(weights: [f64; 3]) -> Self {
        let [air, mass, body] = weights;
        // What ships to or from nothing costs what the bounds say and weighs what is left.
        let all = [-(air + mass + body), air, mass, body];
        let side = |sign: f64| -> Vec<(usize, f64)> {
            let all = all.iter().map(|weight| sign * weight).enumerate();
            all.filter(|(_, weight)| *weight > 0.0).collect()
        };
        let (sources, sinks) = (side(1.0), side(-1.0));
        match (&sources[..], &sinks[..]) {
            (&[one, other], &[first, second]) => {
                let sources = [one, other];
                let sinks = [first, second];
                let most = one.1.min(first.1);
                let least = (first.1 - other.1).max(0.0);
                Self {
                    one: two_to_two(sources, sinks, most),
                    other: two_to_two(sources, sinks, least),
                    has_other: true,
                }
            }
            (&[(from, _)], sinks) => {
                Self::along(sinks.iter().map(|&(to, weight)| (from, to, weight)))
            }
            (sources, &[(to, _)]) => {
                Self::along(sources.iter().map(|&(from, weight)| (from, to, weight)))
            }
            _ => Self::default(),
        }
    }

    fn along(ways: impl Iterator<Item = (usize, usize, f64)>) -> Self {
        let mut shipment = Self::default();
        for (slot, (from, to, weight)) in shipment.one.iter_mut().zip(ways) {
            *slot = Way { from, to, weight };
        }
        shipment
    }
}

/// One number is free, how much goes from the first to the first: all that can, or nothing that
/// need not.
fn two_to_two(sources: [(usize, f64); 2], sinks: [(usize, f64); 2], straight: f64) -> [Way; 4] {
    let way = |source: usize, sink: usize, weight: f64| Way {
        from: sources[source].0,
        to: sinks[sink].0,
        weight: weight.max(0.0),
    };
    let rest = sinks[0].1 - straight;
    [
        way(0, 0, straight),
        way(0, 1, sources[0].1 - straight),
        way(1, 0, rest),
        way(1, 1, sources[1].1 - rest),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// The corners of what bounds of air, mass and body leave, by brute force: all points of a
    /// grid that keep all bounds.
    fn members(bounds: &Bounds) -> Vec<[f64; 3]> {
        let mut found = Vec::new();
        for air in -8..=8 {
            for mass in -8..=8 {
                for body in -8..=8 {
                    let x = [0.0, f64::from(air), f64::from(mass), f64::from(body)];
                    if PAIRS.iter().all(|&(i, j)| x[i] - x[j] <= bounds.0[i][j] + 1e-9) {
                        found.push([x[1], x[2], x[3]]);
                    }
                }
            }
        }
        found
    }

    fn whole() -> impl Strategy<Value = (i32, i32)> {
        (-8..=4_i32, 0..=6_i32).prop_map(|(low, width)| (low, (low + width).min(8)))
    }

    proptest! {
        /// Whole bounds have their extremes at whole points, so that a grid shows the true most.
        #[test]
        fn the_most_of_a_sum_is_that_of_the_points(
            air in whole(),
            body in whole(),
            (from, to) in whole(),
            weights in [-2.0_f64..2.0, -2.0..2.0, -2.0..2.0],
        ) {
            let all = Bounds::anywhere(Basis::PLAIN, -8.0, 8.0);
            let some = all
                .within(AIR, f64::from(air.0), f64::from(air.1))
                .and_then(|it| it.within(BODY, f64::from(body.0), f64::from(body.1)));
            let Some(mut some) = some else { return Ok(()) };
            // A difference, too: air no further than `to` above the body.
            some.tighten(AIR, BODY, f64::from(to));
            some.tighten(HELD, AIR, f64::from(from.abs()));
            let points = members(&some);
            prop_assume!(!points.is_empty());
            let sum = |x: &[f64; 3]| x.iter().zip(weights).map(|(x, w)| x * w).sum::<f64>();
            let most = points.iter().map(sum).fold(f64::NEG_INFINITY, f64::max);
            let bound = some.most_of(&Shipment::of(weights));
            prop_assert!(bound >= most - 1e-12, "{bound} is below {most}");
            prop_assert!(bound <= most + 1e-6, "{bound} is not near {most}");
        }

        #[test]
        fn a_join_has_what_both_have(one in whole(), other in whole()) {
            let part = |(low, high): (i32, i32)| {
                Bounds::anywhere(Basis::PLAIN, -8.0, 8.0).within(BODY, f64::from(low), f64::from(high))
            };
            let (Some(mut one), Some(other)) = (part(one), part(other)) else { return Ok(()) };
            let points = [members(&one), members(&other)].concat();
            one.join(&other);
            let joined = members(&one);
            prop_assert!(points.iter().all(|point| joined.contains(point)));
        }
    }

    proptest! {
        /// Bounds that are taken over to another basis still have all that was inside them.
        #[test]
        fn another_basis_has_what_was_inside(
            x in [5.0_f64..9.0, 5.0..9.0, 5.0..9.0],
        ) {
            let basis = Basis::of([[0.94, 0.05], [0.004, 0.995]], [9e-5, 2e-7], 0.15);
            let [air, mass, body] = x;
            let inside = |bounds: &Bounds, [air, mass, body]: [f64; 3]| {
                let [a, m, b] = basis.of_held();
                let x = [0.0, air, a * air + m * mass + b * body, body];
                PAIRS.iter().all(|&(one, other)| x[one] - x[other] <= bounds.0[one][other])
            };
            let plain = Bounds::anywhere(Basis::PLAIN, 5.0, 9.0);
            let based = plain.based_on(basis);
            for bounds in [based, Bounds::anywhere(basis, 5.0, 9.0)] {
                prop_assert!(inside(&bounds, x));
                prop_assert!(inside(&bounds.read_air(basis), [air, mass, air]));
                let range = bounds.mass(basis);
                prop_assert!(range.low() <= mass && mass <= range.high());
                let (low, high) = bounds.alike(basis).expect("they may be alike");
                prop_assert!(low <= air && air <= high && inside(&bounds, [low + 1e-6; 3]));
            }
            let cut = based.within(BODY, 5.0, body).expect("something");
            prop_assert!(inside(&cut, x));
        }
    }

    #[test]
    fn three_that_may_be_alike_are_so_between_the_highest_least_and_the_lowest_most() {
        let all =
            Bounds::anywhere(Basis::PLAIN, 5.0, 9.0).within(AIR, 6.0, 8.0).expect("something");
        assert_eq!(all.alike(Basis::PLAIN), Some((6.0, 8.0)));
        let mut apart = all;
        apart.tighten(AIR, BODY, -0.5);
        assert_eq!(apart.alike(Basis::PLAIN), None);
        let above = all.within(HELD, 8.5, 9.0).expect("something");
        assert_eq!(above.alike(Basis::PLAIN), None);
    }

    #[test]
    fn a_sensor_that_reads_the_air_is_where_the_air_is() {
        let read = Bounds::anywhere(Basis::PLAIN, 5.0, 9.0)
            .within(AIR, 6.0, 7.0)
            .expect("something")
            .read_air(Basis::PLAIN);
        assert_eq!((read.least(BODY), read.most(BODY)), (6.0, 7.0));
        assert!(read.most_of(&Shipment::of([1.0, 0.0, -1.0])).abs() < 1e-12);
        assert_eq!(read.within(BODY, 7.5, 8.0), None);
    }
}
