//! The water in a room's air: what comes with outdoor air and from people, what a cold coil takes
//! out, and what condenses on surfaces. Walls and furniture neither store nor release any, and no
//! water goes from room to room: common practice for a plain balance, no source.

/// What acts on the water in a room's air over a step. Masses of air are of dry air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterFlows {
    /// Air in the room, kg.
    pub air: f64,
    /// Air that comes from outdoors and leaves, kg/s.
    pub exchange: f64,
    /// Humidity ratio of the outdoor air, kg/kg.
    pub outdoors: f64,
    /// Water from people and processes, kg/s.
    pub gain: f64,
    /// The most that the coil can take out, kg/s.
    pub coil: f64,
    /// Humidity ratio of air saturated at the coil: it dries no further, kg/kg.
    pub at_coil: f64,
    /// Humidity ratio of saturated air in the room: more condenses on surfaces, kg/kg.
    pub saturated: f64,
}

/// The water in a room's air at the end of a step, and where water went over it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Water {
    /// Humidity ratio, kg/kg.
    pub ratio: f64,
    /// Out at the coil, mean over the step, kg/s.
    pub at_coil: f64,
    /// Condensed on surfaces, mean over the step, kg/s.
    pub on_surfaces: f64,
}

impl WaterFlows {
    /// Takes a humidity ratio through so many seconds: the exact solution of
    /// `air dw/dt = exchange (outdoors - w) + gain - coil`, everything constant over the step, with
    /// the coil working just hard enough not to dry further than it can.
    pub fn advance(&self, ratio: f64, seconds: f64) -> Water {
        let changes = self.exchange * seconds / self.air;
        let decay = libm::exp(-changes);
        // What a kg/s over the step changes at its end; one less its decay would lose digits where
        // little air is changed.
        let response =
            if changes > 0.0 { -libm::expm1(-changes) / self.exchange } else { seconds / self.air };
        let free = self.outdoors + (ratio - self.outdoors) * decay + self.gain * response;
        let at_coil = ((free - self.at_coil) / response).clamp(0.0, self.coil);
        let dried = free - at_coil * response;
        let on_surfaces = ((dried - self.saturated) / response).max(0.0);
        Water { ratio: dried - on_surfaces * response, at_coil, on_surfaces }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;
    use proptest::prelude::*;

    /// 150 m3 of air with half an air change an hour.
    const ROOM: WaterFlows = WaterFlows {
        air: 180.0,
        exchange: 0.025,
        outdoors: 0.006,
        gain: 0.0,
        coil: 0.0,
        at_coil: 0.0076,
        saturated: 0.0147,
    };

    /// Worked by hand: 4 people with 55 W of latent heat each give 220 / 2.4535e6 kg/s, so the air
    /// ends 3.587 g/kg above outdoors.
    #[test]
    fn a_room_ends_where_gains_and_air_change_balance() {
        let people = WaterFlows { gain: 220.0 / 2.4535e6, ..ROOM };
        let day = people.advance(0.002, 200_000.0);
        assert_relative_eq!(day.ratio, 0.006 + 0.003_586_7, max_relative = 1e-4);
        // One air change, half of which is left after two hours: 1/e of the difference.
        assert_relative_eq!(
            ROOM.advance(0.010, 7200.0).ratio,
            0.006 + 0.004 * (-1.0_f64).exp(),
            max_relative = 1e-12
        );
    }

    #[test]
    fn a_coil_dries_no_further_than_its_surface_and_damp_air_condenses() {
        let cooled = WaterFlows { outdoors: 0.012, coil: 1.0, ..ROOM };
        let dried = cooled.advance(0.012, 3600.0);
        assert_relative_eq!(dried.ratio, 0.0076, max_relative = 1e-12);
        assert!(dried.at_coil > 0.0 && dried.at_coil < 1.0);
        let dry = WaterFlows { outdoors: 0.004, coil: 1.0, ..ROOM };
        assert_eq!(dry.advance(0.005, 3600.0).at_coil, 0.0);
        let wet = WaterFlows { gain: 0.01, ..ROOM }.advance(0.0147, 3600.0);
        assert_relative_eq!(wet.ratio, 0.0147, max_relative = 1e-12);
        assert!(wet.on_surfaces > 0.0);
    }

    proptest! {
        /// What came in and did not go out is there: with the mean of the exact course, which
        /// follows from the balance itself for short steps added up.
        #[test]
        fn one_step_is_many_short_ones(
            ratio in 0.001..0.014_f64, outdoors in 0.001..0.02_f64, gain in 0.0..3e-4_f64,
            coil in 0.0..2e-4_f64, exchange in 0.0..0.1_f64,
        ) {
            let room = WaterFlows { exchange, outdoors, gain, coil, ..ROOM };
            let whole = room.advance(ratio, 600.0);
            prop_assume!(whole.at_coil == 0.0 || whole.at_coil == coil);
            prop_assume!(whole.on_surfaces == 0.0);
            let mut end = ratio;
            let mut exchanged = 0.0;
            let parts = 4000;
            for _ in 0..parts {
                let over = 600.0 / f64::from(parts);
                let next = WaterFlows { coil: whole.at_coil, at_coil: 0.0, ..room }.advance(end, over);
                exchanged += exchange * (outdoors - f64::midpoint(end, next.ratio)) * over;
                end = next.ratio;
            }
            prop_assert!((end - whole.ratio).abs() < 1e-12);
            let balance = room.air * (whole.ratio - ratio);
            let flows = exchanged + (gain - whole.at_coil) * 600.0;
            prop_assert!((balance - flows).abs() < 1e-6, "{balance} {flows}");
        }
    }
}
