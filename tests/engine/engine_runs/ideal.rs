//! Ideal plants: exactly the heat that brings the air to the setpoint at the end of the step.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use proptest::prelude::*;
use setband::building::Gain;
use setband::control::{Direction, Mode, Request};
use setband::engine::{Model, StepRow};
use setband::plant::UnitControl;
use setband::time::{Seconds, Span};
use setband::weather::Weather;

use crate::rig::{Given, asks, door, minute, model, period, row_at, rows_of, run};

/// A step's rounding, K.
const AT_SETPOINT: f64 = 1e-9;

/// A light room with an ample plant.
fn ideal() -> Given {
    let mut given = Given {
        control: UnitControl::Ideal,
        heating: 50_000.0,
        cooling: 50_000.0,
        ..Given::default()
    };
    given.space.mass_capacity = 1e6;
    given
}

/// A day that needs heating at night and cooling in the afternoon.
fn both_ways(zones: Vec<setband::engine::Zone>) -> Model {
    let mut model = model(0.0, zones);
    model.weather = Weather::DesignDay { high: 36.0, range: 26.0, site: None };
    model
}

/// Holds every row to what the step before it did; counts served steps in either direction. A
/// step that would need less than the fan gives alone is not served: `slack` is what that costs.
fn hold_to_setpoints(rows: &[StepRow], slack: f64) -> [usize; 2] {
    let mut served = [0; 2];
    for pair in rows.windows(2) {
        let (row, next) = (pair[0], pair[1].temperature);
        match row.served {
            Some(Direction::Heating) => assert_abs_diff_eq!(next, row.heat, epsilon = AT_SETPOINT),
            Some(Direction::Cooling) => assert_abs_diff_eq!(next, row.cool, epsilon = AT_SETPOINT),
            None => {
                let room = slack + AT_SETPOINT;
                assert!(row.heat - room <= next && next <= row.cool + AT_SETPOINT, "{row:?}");
            }
        }
        if let Some(direction) = row.served {
            served[direction as usize] += 1;
        }
    }
    served
}

#[test]
fn the_air_is_at_the_setpoint_at_the_end_of_every_served_step() {
    for step in [Seconds::minutes(1), Seconds::minutes(15), Seconds::hours(1)] {
        // 80 W over an hour raise 400 kJ/K by less than a kelvin.
        for (fan, slack) in [(0.0, 0.0), (80.0, 80.0 * step.get() as f64 / 4e5)] {
            let mut model = both_ways(vec![Given { fan, ..ideal() }.zone("room")]);
            model.period = period(2, step);
            let served = hold_to_setpoints(&rows_of(&run(&model), 0), slack);
            assert!(served[0] > 3 && served[1] > 3, "{served:?}");
        }
    }
}

#[test]
fn with_one_setpoint_the_air_never_leaves_it() {
    let given = Given { deadband: 0.0, heat: 21.0, cool: 21.0, ..ideal() };
    let rows = rows_of(&run(&both_ways(vec![given.zone("room")])), 0);
    assert!(rows[1..].iter().all(|row| (row.temperature - 21.0).abs() < AT_SETPOINT));
}

#[test]
fn at_its_capacity_an_ideal_plant_gives_all_it_has_and_no_more() {
    let given = Given { heating: 600.0, fan: 80.0, ..ideal() };
    let rows = rows_of(&run(&model(-10.0, vec![given.zone("room")])), 0);
    let last = rows.last().expect("rows");
    assert!(last.temperature < 18.0);
    assert_eq!(last.heat_w, 600.0);
    assert_relative_eq!(last.electric_w, 600.0 / 3.2 + 80.0);
    assert!(rows.iter().all(|row| row.heat_w <= 600.0));
}

#[test]
fn coupled_ideal_zones_all_reach_their_setpoints() {
    let at = |heat: f64| Given { heat, cool: heat + 3.0, ..ideal() };
    let zones = vec![at(20.0).zone("hall"), at(23.5).zone("bath"), at(16.0).zone("store"), {
        let mut given = at(21.0);
        given.gains = vec![Gain { when: Span::ALWAYS, power: 1200.0, latent: 0.0 }];
        given.zone("kitchen")
    }];
    let mut model = both_ways(zones);
    model.neighbours = vec![door(0, 1, 90.0), door(1, 2, 40.0), door(0, 3, 400.0)];
    let finished = run(&model);
    for zone in 0..4 {
        let served = hold_to_setpoints(&rows_of(&finished, zone), 0.0);
        assert!(served[0] + served[1] > 100, "{zone}: {served:?}");
    }
}

#[test]
fn modes_and_power_allow_an_ideal_plant_what_they_allow_any() {
    let given = Given { mode: Mode::Heat, ..ideal() };
    let mut model = both_ways(vec![given.zone("room")]);
    model.actions = vec![asks(minute(900), 0, Request::Mode(Mode::Cool))];
    let finished = run(&model);
    let rows = rows_of(&finished, 0);
    assert!(rows[..900].iter().all(|row| row.served != Some(Direction::Cooling)));
    assert!(rows[900..].iter().all(|row| row.served != Some(Direction::Heating)));
    // Rule 9: a step decided in `cool` makes the direction cooling, served or not.
    assert_eq!(row_at(&finished, 0, minute(899)).direction, Direction::Heating);
    assert!(rows[900..].iter().all(|row| row.direction == Direction::Cooling));
}

#[test]
fn an_ideal_zone_that_may_only_cool_is_starved_of_heating_when_it_is_cold() {
    let mut given = Given { mode: Mode::Heat, ..ideal() };
    given.space.start = Some(20.0);
    let mut model = model(-5.0, vec![given.zone("room")]);
    model.actions = vec![asks(minute(60), 0, Request::Mode(Mode::Cool))];
    let finished = run(&model);
    assert!(!row_at(&finished, 0, minute(59)).starved);
    let last = row_at(&finished, 0, minute(1439));
    assert!(last.sensed < last.heat - 0.5);
    assert!(last.starved);
}

/// A month leaves e^-12 of what the room began with.
const SETTLED: f64 = 1e-4;

#[test]
fn in_steady_weather_an_ideal_plant_covers_the_losses_of_the_hourly_method() {
    // ISO 13790:2008, annex C, at rest: air to outdoors by ventilation, and by way of the surface
    // through windows and, past the mass, the opaque envelope; 1/Hem = 1/Hop - 1/Hms.
    let mut given = Given { heat: 21.0, ..ideal() };
    given.space.mass_capacity = 6.6e6;
    let space = given.space;
    let ventilation = 0.4 * 40.0 * 2.7 / 3600.0 * 1.2 * 1006.0;
    let (to_surface, outwards) = (3.45 * 4.5 * 40.0, space.windows + space.opaque);
    let losses = ventilation + 1.0 / (1.0 / to_surface + 1.0 / outwards);
    let mut model = model(-3.0, vec![given.zone("room")]);
    model.period = period(30, Seconds::hours(1));
    let last = *rows_of(&run(&model), 0).last().expect("rows");
    assert_relative_eq!(last.heat_w, 24.0 * losses, max_relative = SETTLED);
    assert_relative_eq!(last.electric_w, last.heat_w / 3.2, max_relative = SETTLED);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Setpoints stay where they are and the capacity never binds: a band that holds another one
    /// takes no more heat in and gives no more out.
    #[test]
    fn a_wider_band_never_raises_heat_delivered_nor_heat_removed(
        heat in 16_i32..22, gap in 1_i32..4, below in 0_i32..4, above in 0_i32..4,
        high in 10.0..38.0_f64, range in 2.0..20.0_f64, mass in 5e5..2e7_f64, gain in 0.0..1500.0_f64,
    ) {
        let of = |low: i32, top: i32| {
            let mut given = Given {
                heat: f64::from(low),
                cool: f64::from(top),
                deadband: 0.5,
                heat_limits: (10.0, 30.0),
                cool_limits: (10.0, 32.0),
                ..ideal()
            };
            given.space.mass_capacity = mass;
            given.gains = vec![Gain { when: Span::ALWAYS, power: gain, latent: 0.0 }];
            let mut model = model(0.0, vec![given.zone("room")]);
            model.weather = Weather::DesignDay { high, range, site: None };
            model.period = period(2, Seconds::minutes(10));
            let energy = run(&model).summary.energy;
            [energy.heat_delivered_kwh, energy.heat_removed_kwh]
        };
        let narrow = of(heat, heat + gap);
        let wide = of(heat - below, heat + gap + above);
        prop_assert!(wide[0] <= narrow[0] + 1e-9, "delivered: {narrow:?}, wider {wide:?}");
        prop_assert!(wide[1] <= narrow[1] + 1e-9, "removed: {narrow:?}, wider {wide:?}");
    }
}
