//! A zone with a plant of its own: output, timers, fan, power, frost guard.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use proptest::prelude::*;
use setband::control::{Differential, Direction, Key, LowLimit, Mode, Power, Request};
use setband::plant::{FanRun, UnitControl};
use setband::time::Seconds;

use crate::rig::{Given, asks, ledger, minute, model, presses, row_at, rows_of, run};

const ROUNDING: f64 = 1e-9;

/// A zone that loses heat quickly.
fn cold() -> Given {
    let mut given = Given { mode: Mode::Heat, ..Given::default() };
    given.space.windows = 40.0;
    given
}

#[test]
fn a_modulating_unit_works_in_proportion_between_its_turndown_and_full() {
    let mut given = Given { control: Given::MODULATING, ..cold() };
    given.thermostat.call_stop = Differential::same(0.25);
    given.space.start = Some(17.0);
    let rows = rows_of(&run(&model(2.0, vec![given.zone("room")])), 0);
    let mut seen = [0; 3];
    for row in rows.iter().filter(|row| row.served.is_some()) {
        // (heat + call_stop - S) / throttling_range, held between turndown and 1.
        let ratio = (row.heat + 0.25 - row.sensed).clamp(0.25, 1.0);
        assert_relative_eq!(row.heat_w, 4000.0 * ratio, max_relative = ROUNDING);
        assert_relative_eq!(row.electric_w, row.heat_w / 3.2, max_relative = ROUNDING);
        seen[if ratio >= 1.0 { 2 } else { usize::from(ratio > 0.25) }] += 1;
    }
    assert!(seen[1] > 0 && seen[2] > 0, "{seen:?}");
}

#[test]
fn below_its_turndown_a_modulating_unit_cycles_on_its_call() {
    let given = Given { control: Given::MODULATING, mode: Mode::Heat, ..Given::default() };
    let finished = run(&model(16.0, vec![given.zone("room")]));
    let rows = rows_of(&finished, 0);
    let outputs = rows.iter().filter(|row| row.served.is_some()).map(|row| row.heat_w);
    let least = outputs.fold(f64::INFINITY, f64::min);
    assert_relative_eq!(least, 1000.0);
    assert!(finished.summary.zones[0].1.unit_starts >= 3);
}

#[test]
fn past_its_end_within_min_on_a_call_goes_on_at_turndown() {
    let mut given = Given { control: Given::MODULATING, mode: Mode::Heat, ..Given::default() };
    given.thermostat.min_on = Seconds::minutes(20);
    given.space.start = Some(19.4);
    let rows = rows_of(&run(&model(15.0, vec![given.zone("room")])), 0);
    let first: Vec<_> = rows.iter().take_while(|row| row.served.is_some()).collect();
    assert_eq!(first.len(), 20);
    let past: Vec<_> = first.iter().filter(|row| row.sensed >= row.heat).collect();
    assert!(!past.is_empty());
    assert!(past.iter().all(|row| row.heat_w == 1000.0));
}

#[test]
fn dry_cools_at_turndown_and_a_staged_unit_in_dry_at_full() {
    for (control, expected) in [(Given::MODULATING, 875.0), (UnitControl::ON_OFF, 3500.0)] {
        let mut given = Given { control, mode: Mode::Dry, ..Given::default() };
        given.space.start = Some(27.0);
        let rows = rows_of(&run(&model(30.0, vec![given.zone("room")])), 0);
        assert_eq!(rows[0].served, Some(Direction::Cooling));
        assert_relative_eq!(rows[0].heat_w, -expected);
        let served = rows.iter().filter(|row| row.served.is_some());
        assert!(served.clone().count() > 10);
        assert!(served.clone().all(|row| row.heat_w == -expected));
    }
}

#[test]
fn after_a_call_none_starts_before_min_off() {
    let mut given = cold();
    given.thermostat.min_off = Seconds::minutes(17);
    given.thermostat.call_start = Differential::same(0.0);
    let rows = rows_of(&run(&model(-5.0, vec![given.zone("room")])), 0);
    let rests: Vec<usize> = rows
        .split(|row| row.served.is_some())
        .map(<[_]>::len)
        .filter(|length| *length > 0)
        .collect();
    assert!(rests.len() > 5, "{rests:?}");
    // The first run of the day is preceded by none.
    assert!(rests[..rests.len() - 1].iter().all(|rest| *rest >= 17), "{rests:?}");
}

#[test]
fn the_fan_runs_while_served_and_its_heat_enters_the_air() {
    let electric = |fan: f64| {
        let given = Given { fan, ..cold() };
        let rows = rows_of(&run(&model(5.0, vec![given.zone("room")])), 0);
        let served = rows.iter().filter(|row| row.served.is_some()).count() as f64;
        let all: f64 = rows.iter().map(|row| row.electric_w).sum();
        let heat: f64 = rows.iter().map(|row| row.heat_w).sum();
        (served, all, heat)
    };
    let (served, all, heat) = electric(120.0);
    assert_relative_eq!(all - heat / 3.2, 120.0 * served, max_relative = ROUNDING);
    // What the fan gives, the plant need not: the same room, nearly the same heat in all.
    let (_, _, without) = electric(0.0);
    assert_relative_eq!(heat + 120.0 * served, without, max_relative = 0.01);
    assert!(heat < without);
}

#[test]
fn the_fan_mode_and_a_continuous_fan_run_with_the_power_on_and_not_off() {
    let electric = |mode: Mode, fan_run: FanRun, power: Power| {
        let given = Given { fan: 90.0, mode, fan_run, power, ..Given::default() };
        // Nothing calls at 22 degrees outdoors and 20 to 24 in the file.
        let mut model = model(22.0, vec![given.zone("room")]);
        model.actions = vec![presses(minute(600), 0, Key::Power)];
        let finished = run(&model);
        [row_at(&finished, 0, minute(599)), row_at(&finished, 0, minute(601))]
            .map(|row| row.electric_w)
    };
    assert_eq!(electric(Mode::Fan, FanRun::Auto, Power::On), [90.0, 0.0]);
    assert_eq!(electric(Mode::Fan, FanRun::Auto, Power::Off), [0.0, 90.0]);
    assert_eq!(electric(Mode::Auto, FanRun::Continuous, Power::On), [90.0, 0.0]);
    assert_eq!(electric(Mode::Auto, FanRun::Auto, Power::On), [0.0, 0.0]);
}

#[test]
fn below_its_low_limit_a_zone_heats_with_the_power_off_until_one_degree_above() {
    let low_limit = Some(LowLimit { below: 7.0, until: 8.0 });
    let mut given = Given { power: Power::Off, mode: Mode::Cool, low_limit, ..cold() };
    given.space.start = Some(9.0);
    let model = model(-5.0, vec![given.zone("store")]);
    let finished = run(&model);
    let rows = rows_of(&finished, 0);
    let first = rows.iter().position(|row| row.served.is_some()).expect("it freezes");
    assert!(rows[first].sensed < 7.0 && rows[..first].iter().all(|row| row.sensed >= 7.0));
    for row in &rows {
        // What was selected stays as it was.
        assert_eq!((row.power, row.mode), (Power::Off, Mode::Cool));
        assert!(row.served != Some(Direction::Cooling));
        assert!(row.served.is_none() || row.sensed < 8.0);
    }
    let events = ledger(&model, &finished);
    assert!(events[0].ends_with("low limit from") && events[1].ends_with("low limit until"));
}

#[test]
fn power_goes_off_by_itself_so_long_after_it_last_came_on() {
    let given = Given { auto_off: Some(Seconds::hours(3)), ..cold() };
    let mut model = model(0.0, vec![given.zone("room")]);
    model.actions = vec![
        // Power that is on does not come on again.
        asks(minute(60), 0, Request::Power(Power::On)),
        asks(minute(300), 0, Request::Power(Power::On)),
        asks(minute(330), 0, Request::Power(Power::Off)),
        asks(minute(400), 0, Request::Power(Power::On)),
    ];
    let finished = run(&model);
    assert_eq!(
        ledger(&model, &finished),
        [
            "01:00 power on: accepted",
            "03:00 auto off",
            "05:00 power on: accepted",
            "05:30 power off: accepted",
            "06:40 power on: accepted",
            "09:40 auto off",
        ]
    );
    let on = |at| row_at(&finished, 0, minute(at)).power;
    let powers = [179, 180, 300, 330, 400, 579, 580].map(on);
    let on = [true, false, true, false, true, true, false];
    assert_eq!(powers.map(|power| power == Power::On), on);
}

#[test]
fn a_changeover_waits_for_its_delay_after_the_last_served_step_and_is_counted() {
    // One setpoint and a small room: nothing but the hysteresis separates the calls.
    let mut given = Given { deadband: 0.0, heat: 21.0, cool: 21.0, ..Given::default() };
    given.space.mass_capacity = 4e5;
    given.space.air_capacity = 5e4;
    given.space.start = Some(21.0);
    given.thermostat.call_start = Differential::same(0.1);
    given.thermostat.call_stop = Differential::same(0.3);
    for delay in [0, 10] {
        given.thermostat.changeover_delay = Seconds::minutes(delay);
        let finished = run(&model(17.0, vec![given.zone("cell")]));
        let rows = rows_of(&finished, 0);
        let served: Vec<_> =
            rows.iter().filter_map(|row| row.served.map(|direction| (row.at, direction))).collect();
        let turns: Vec<_> = served.windows(2).filter(|pair| pair[0].1 != pair[1].1).collect();
        assert!(turns.len() > 4, "{}", turns.len());
        for pair in &turns {
            // A step ends a minute after it begins.
            assert!(pair[1].0.since(pair[0].0) >= Seconds::minutes(delay + 1));
        }
        assert_eq!(finished.summary.zones[0].1.changeovers, turns.len() as u64);
        assert_eq!(finished.summary.group.changeovers, turns.len() as u64);
    }
}

#[test]
fn a_wide_band_never_changes_over() {
    let given = Given { heat: 18.0, cool: 28.0, ..Given::default() };
    let finished = run(&model(5.0, vec![given.zone("room")]));
    assert_eq!(finished.summary.group.changeovers, 0);
    assert_abs_diff_eq!(finished.summary.energy.cooling_kwh, 0.0);
    assert!(finished.summary.energy.heating_kwh > 0.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn with_the_power_off_no_step_is_served(
        outdoor in -20.0..45.0,
        toggles in prop::collection::btree_set(0_i64..1440, 0..12),
        mode in prop::sample::select(Mode::ALL.to_vec()),
        modulating in any::<bool>(),
    ) {
        let mut given = Given { mode, fan: 50.0, ..Given::default() };
        if modulating {
            given.control = Given::MODULATING;
        }
        let mut model = model(outdoor, vec![given.zone("room")]);
        model.actions = toggles.iter().map(|at| presses(minute(*at), 0, Key::Power)).collect();
        for row in rows_of(&run(&model), 0) {
            let toggled = toggles.iter().filter(|at| minute(**at) <= row.at).count();
            prop_assert_eq!(row.power == Power::Off, toggled % 2 == 1);
            if row.power == Power::Off {
                prop_assert!(row.served.is_none() && row.call.is_none());
                prop_assert_eq!((row.heat_w, row.electric_w), (0.0, 0.0));
            }
            if let Some(direction) = row.served {
                prop_assert!(mode.allows(direction));
                prop_assert!(row.heat_w * direction.sign() > 0.0);
            }
        }
    }
}
