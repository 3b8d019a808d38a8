//! How a room's mass is followed: less such parts of the air and of the sensor's body that what is left,
//! what is *held*, moves by the body alone, whatever heat comes into the air.
//!
//! The mass moves little while the air swings, but over hours it goes by the mean of the air; and that,
//! too, is what the body goes by, which lags. Bounds of what is held do not forget how warm the body was
//! meanwhile, as bounds of the mass would: whoever heats a room to cool it again cannot have its mass go
//! by the cold spells alone. Whatever the parts, what is bounded stays bounded; they only make it nearer.

/// What is taken off the mass.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Basis {
    air: f64,
    body: f64,
}

/// With a larger part than this, as very slow sensors would have it, the mass is followed as it is.
const LARGEST_PART: f64 = 0.5;

impl Basis {
    /// The mass as it is.
    pub(super) const PLAIN: Self = Self { air: 0.0, body: 0.0 };

    /// The one that moves by the body alone in a step of a room. Derived: with air and mass going to
    /// `a' = p a + q m + g heat` and `m' = r a + s m + h heat` and the body `b' = b + k (a' - b)`, what
    /// is held goes to `m' - body k a' - air a' - body (1 - k) b`. Heat does not come into it where
    /// `body k + air = h / g = c`, and the air does not where `(c p - r) = air (s - c q)`.
    pub(super) fn of([[p, q], [r, s]]: [[f64; 2]; 2], [g, h]: [f64; 2], approach: f64) -> Self {
        let parts = h / g;
        let air = (parts * p - r) / (s - parts * q);
        let body = (parts - air) / approach;
        let is_small = |part: f64| part.abs() <= LARGEST_PART;
        if is_small(air) && is_small(body) { Self { air, body } } else { Self::PLAIN }
    }

    /// The weights of air, held and body in a sum that has these of air, mass and body.
    pub(super) fn weights(self, [air, mass, body]: [f64; 3]) -> [f64; 3] {
        [air + mass * self.air, mass, body + mass * self.body]
    }

    /// The weights of air, mass and body in what is held less others.
    pub(super) fn of_held(self) -> [f64; 3] {
        [-self.air, 1.0, -self.body]
    }

    /// The weights of air, held and body in what is held once the body is where the air is.
    pub(super) fn of_held_where_body_is_air(self) -> [f64; 3] {
        [-self.body, 1.0, self.body]
    }

    /// What of one temperature that all three have comes into each of the four.
    pub(super) fn alike(self) -> [f64; 4] {
        [0.0, 1.0, 1.0 - self.air - self.body, 1.0]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A room's step, heat that comes into its air, and a sensor.
    const PHI: [[f64; 2]; 2] = [[0.94, 0.05], [0.004, 0.995]];
    const HEAT: [f64; 2] = [9e-5, 2e-7];
    const APPROACH: f64 = 0.15;

    proptest! {
        /// Derived: what is held moves by the body alone.
        #[test]
        fn what_is_held_goes_neither_by_heat_nor_by_air(
            held in 5.0_f64..30.0,
            body in 5.0_f64..30.0,
            airs in [5.0_f64..30.0, 5.0..30.0],
            heats in [-4000.0_f64..4000.0, -4000.0..4000.0],
        ) {
            let basis = Basis::of(PHI, HEAT, APPROACH);
            prop_assert!(basis != Basis::PLAIN);
            let sum = |weights: [f64; 3], x: [f64; 3]| -> f64 {
                weights.into_iter().zip(x).map(|(weight, x)| weight * x).sum()
            };
            let after = |(air, heat): (f64, f64)| {
                let mass = sum(basis.weights([0.0, 1.0, 0.0]), [air, held, body]);
                let [air, mass] =
                    [0, 1].map(|it| PHI[it][0] * air + PHI[it][1] * mass + HEAT[it] * heat);
                sum(basis.of_held(), [air, mass, body + APPROACH * (air - body)])
            };
            let [one, other] = [0, 1].map(|it| after((airs[it], heats[it])));
            prop_assert!((one - other).abs() < 1e-9, "{one} {other}");
        }
    }
}
