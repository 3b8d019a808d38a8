//! Rule 18 through the engine: differentials for each direction, stages and integral action.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use setband::control::{Differential, Direction, Mode};
use setband::engine::{Model, StepRow};
use setband::plant::{Stages, UnitControl};
use setband::time::Seconds;

use crate::rig::given::one_capacity;
use crate::rig::{Given, grouped, model, outdoor_unit, owned, rows_of, run};

/// Two stages, half a degree apart; the first takes less than its share of power.
fn two() -> UnitControl {
    let stages = Stages::new(&[0.65, 1.0], &[0.6, 1.0], 0.5).expect("they rise to 1");
    UnitControl::Staged { stages }
}

/// A room with one heat capacity that loses 200 W/K to air at 0 C and begins at 18 C.
fn heated(control: UnitControl, heating: f64) -> Model {
    let space = one_capacity(200.0, 2e6, 18.0);
    let given = Given { control, heating, mode: Mode::Heat, space, ..Given::default() };
    model(0.0, vec![given.zone("room")])
}

fn rows(model: &Model) -> Vec<StepRow> {
    rows_of(&run(model), 0)
}

/// Which stage the heat of a row is that of, from 1; 0 without a call.
fn stage(row: &StepRow, rated: f64) -> usize {
    let share = row.heat_w.abs() / rated;
    if row.served.is_none() {
        0
    } else if (share - 1.0).abs() < 1e-9 {
        2
    } else {
        assert_relative_eq!(share, 0.65, epsilon = 1e-9);
        1
    }
}

#[test]
fn rule_18_calls_of_each_direction_have_differentials_of_their_own() {
    let mut given = Given { mode: Mode::Heat, ..Given::default() };
    given.thermostat.call_start = Differential { heating: 0.25, cooling: 1.0 };
    given.thermostat.call_stop = Differential { heating: 0.0, cooling: 0.5 };
    for (mode, outdoor, start, [from, to]) in
        [(Mode::Heat, 0.0, 20.0, [19.75, 20.0]), (Mode::Cool, 40.0, 24.0, [25.0, 23.5])]
    {
        let mut given = Given { mode, ..given.clone() };
        given.space.start = Some(start);
        let all = rows(&model(outdoor, vec![given.zone("room")]));
        let begins = all.windows(2).filter(|it| it[0].call.is_none() && it[1].call.is_some());
        let ends = all.windows(2).filter(|it| it[0].call.is_some() && it[1].call.is_none());
        let outside = if mode == Mode::Heat { -1.0 } else { 1.0 };
        let past = |sensed: f64, at: f64| outside * (sensed - at);
        let (mut calls, mut rests) = (0, 0);
        for pair in begins {
            // Between calls `min_off` may hold one back, but none comes too soon.
            assert!(past(pair[1].sensed, from) >= -1e-9, "{mode:?} at {}", pair[1].sensed);
            calls += 1;
        }
        for pair in ends {
            assert!(past(pair[1].sensed, to) <= 1e-9 && past(pair[0].sensed, to) > -1e-9);
            rests += 1;
        }
        assert!(calls > 3 && rests > 3, "{mode:?}: {calls}, {rests}");
    }
}

#[test]
fn rule_18_stages_switch_at_their_distances_one_down_a_step() {
    // 4 kW are lost at 20 C; the first stage gives 3.9 kW, so that it needs the second at times.
    let all = rows(&heated(two(), 6000.0));
    let mut seen = [0; 3];
    for (at, row) in all.iter().enumerate() {
        let found = stage(row, 6000.0);
        seen[found] += 1;
        if found == 0 {
            continue;
        }
        // Calls start at 19.5: the second stage comes at 19 and goes at 19.5.
        let before = if at == 0 { 0 } else { stage(&all[at - 1], 6000.0) };
        let expected = match before {
            _ if row.sensed <= 19.0 + 1e-9 => 2,
            2 if row.sensed < 19.5 - 1e-9 => 2,
            _ => 1,
        };
        assert_eq!(found, expected, "at {}: {} after {before}", row.at, row.sensed);
    }
    assert!(seen[1] > 10 && seen[2] > 10, "{seen:?}");
}

#[test]
fn rule_18_a_stage_takes_the_power_written_for_it() {
    for row in rows(&heated(two(), 6000.0)) {
        let power = [0.0, 0.6, 1.0][stage(&row, 6000.0)];
        assert_relative_eq!(row.electric_w, 6000.0 * power / 3.2, max_relative = 1e-9);
    }
}

#[test]
fn rule_18_a_staged_unit_on_an_outdoor_unit_takes_the_power_of_its_stage() {
    let space = one_capacity(200.0, 2e6, 18.0);
    let given = Given { control: two(), mode: Mode::Heat, space, ..Given::default() };
    let mut model = grouped(model(0.0, vec![given.zone("hall")]), outdoor_unit(), owned());
    let full = rows(&model);
    let same = Stages::new(&[0.65, 1.0], &[0.65, 1.0], 0.5).expect("they rise to 1");
    model.zones[0].unit.control = UnitControl::Staged { stages: same };
    let plain = rows(&model);
    let mut seen = 0;
    for (with, without) in full.iter().zip(&plain) {
        assert_eq!(with.heat_w, without.heat_w);
        if with.served.is_some() && stage(with, 4000.0) == 1 {
            assert_relative_eq!(
                with.electric_w,
                without.electric_w * 0.6 / 0.65,
                max_relative = 1e-9
            );
            seen += 1;
        }
    }
    assert!(seen > 10, "{seen}");
}

#[test]
fn rule_18_past_the_end_of_a_call_and_in_dry_the_first_stage_runs() {
    let mut past = heated(two(), 12_000.0);
    past.zones[0].controls.thermostat.min_on = Seconds::hours(2);
    let all = rows(&past);
    let first: Vec<_> = all.iter().take_while(|row| row.served.is_some()).collect();
    let beyond: Vec<_> = first.iter().filter(|row| row.sensed >= 20.0 - 1e-9).collect();
    assert!(beyond.len() > 10, "{}", beyond.len());
    assert!(beyond.iter().all(|row| stage(row, 12_000.0) == 1));
    let mut given = Given { control: two(), mode: Mode::Dry, ..Given::default() };
    given.space.start = Some(29.0);
    let dry = rows(&model(30.0, vec![given.zone("room")]));
    assert_eq!(dry[0].served, Some(Direction::Cooling));
    assert!(dry.iter().filter(|row| row.served.is_some()).all(|row| stage(row, 3500.0) == 1));
}

/// Where the sensed temperature of a room settles with a load of 40 % of its unit.
fn settles(direction: Direction, integral_time: Option<f64>) -> f64 {
    let control = UnitControl::Modulating { turndown: 0.1, throttling_range: 1.0, integral_time };
    let (mode, outdoor, start) = match direction {
        Direction::Heating => (Mode::Heat, 0.0, 18.0),
        Direction::Cooling => (Mode::Cool, 44.0, 26.0),
    };
    let given = Given {
        control,
        mode,
        heating: 10_000.0,
        cooling: 10_000.0,
        space: one_capacity(200.0, 2e6, start),
        ..Given::default()
    };
    let all = rows(&model(outdoor, vec![given.zone("room")]));
    let served = all.iter().skip(60).all(|row| row.served == Some(direction));
    assert!(served, "the load is above the turndown: the call goes on");
    all.last().expect("a day").sensed
}

#[test]
fn rule_18_integral_action_removes_the_droop() {
    // In proportion alone the room settles 0.4 of the throttling range beside the setpoint; with
    // an integral time like the room's own time constant (2e6 J/K over 200 W/K) it does not, and
    // does not shoot past the end of its call on the way.
    for (direction, setpoint, outside) in
        [(Direction::Heating, 20.0, -1.0), (Direction::Cooling, 24.0, 1.0)]
    {
        let proportional = settles(direction, None);
        // In balance 200 (20 - d) = 10 000 d, with d between room and setpoint.
        let expected = 200.0 * 20.0 / (10_000.0 + 200.0);
        assert_abs_diff_eq!(outside * (proportional - setpoint), expected, epsilon = 1e-3);
        assert_abs_diff_eq!(settles(direction, Some(1e4)), setpoint, epsilon = 1e-3);
    }
}
