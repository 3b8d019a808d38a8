//! What machines lose: reversals, starts, outdoor air; and what a fan between calls does.

use approx::{assert_abs_diff_eq, assert_relative_eq};
use setband::control::{Differential, Direction, Mode, Request, SensorPlace, Side};
use setband::engine::Model;
use setband::plant::{Capacity, Cop, FanRun, StartUp};
use setband::time::Seconds;
use setband::weather::Weather;

use crate::rig::{Given, asks, minute, model, rows_of, run};

const ROUNDING: f64 = 1e-9;

/// Physics, second edition: a plant of a zone's own delivers nothing for its reversal time, counts as
/// serving meanwhile and draws 30 % of its power; a step that the reversal covers in part is shared.
#[test]
fn a_plant_of_its_own_reverses_as_one_in_a_group_does() {
    let reversal_time = Seconds::new(150);
    let mut room = Given { mode: Mode::Cool, reversal_time, ..Given::default() };
    // Warm enough to cool from the first step on.
    room.space.start = Some(27.0);
    let mut model = model(27.0, vec![room.zone("room")]);
    model.actions = vec![
        asks(minute(3), 0, Request::Mode(Mode::Heat)),
        asks(minute(3), 0, Request::Setpoint(Side::Heat, 30.0)),
    ];
    let rows = rows_of(&run(&model), 0);
    let served: Vec<_> = rows[..8].iter().map(|row| row.served).collect();
    let (heating, cooling) = (Some(Direction::Heating), Some(Direction::Cooling));
    assert_eq!(served[..3], [cooling; 3], "the first direction needs no reversal");
    assert_eq!(served[3..], [heating; 5]);
    assert_eq!(rows[0].heat_w, -3500.0);
    let heat: Vec<f64> = rows[3..8].iter().map(|row| row.heat_w).collect();
    assert_eq!(heat, [0.0, 0.0, 2000.0, 4000.0, 4000.0]);
    let electric: Vec<f64> = rows[3..7].iter().map(|row| row.electric_w).collect();
    for (found, part) in electric.into_iter().zip([0.3, 0.3, 0.65, 1.0]) {
        assert_relative_eq!(found, part * 4000.0 / 3.2, max_relative = ROUNDING);
    }
}

/// Every start of a modulating unit rises with its time constant, at full electric power.
#[test]
fn a_modulating_unit_rises_after_each_start() {
    let start_up = StartUp::USUAL;
    let given =
        Given { start_up, control: Given::MODULATING, mode: Mode::Heat, ..Given::default() };
    let mut given = Given { heat: 22.0, cool: 26.0, ..given };
    given.space.start = Some(15.0);
    let rows = rows_of(&run(&model(0.0, vec![given.zone("room")])), 0);
    // 1 - tau / 60 s * (exp(-t / tau) - exp(-(t + 60 s) / tau)) from t = 0, 60 and 120 s on.
    let mean = |t: f64| 1.0 - 76.0 / 60.0 * ((-t / 76.0).exp() - (-(t + 60.0) / 76.0).exp());
    for (row, second) in rows.iter().zip([0.0, 60.0, 120.0]) {
        assert_relative_eq!(row.heat_w, 4000.0 * mean(second), max_relative = ROUNDING);
        assert_relative_eq!(row.electric_w, 4000.0 / 3.2, max_relative = ROUNDING);
    }
    let starts = rows.windows(2).filter(|two| two[0].served.is_none() && two[1].served.is_some());
    for two in starts {
        let asked = two[1].electric_w * 3.2;
        assert_relative_eq!(two[1].heat_w, asked * mean(0.0), max_relative = ROUNDING);
    }
}

/// Until `reach_lowest` a unit that is asked for little gives more than its turndown.
#[test]
fn a_unit_comes_down_to_its_turndown_in_its_time() {
    let start_up = StartUp { reach_lowest: Seconds::minutes(10), ..StartUp::NONE };
    let given =
        Given { start_up, control: Given::MODULATING, mode: Mode::Heat, ..Given::default() };
    let mut given = Given { heat: 20.0, ..given };
    // Nothing that it gives moves this room, so that it asks for a tenth of its output throughout.
    given.thermostat.call_start = Differential::same(0.05);
    (given.space.start, given.space.air_capacity, given.space.mass_capacity) =
        (Some(19.9), 1e12, 1e12);
    let rows = rows_of(&run(&model(19.9, vec![given.zone("room")])), 0);
    let falls = |minutes: f64| 1.0 - 0.75 * minutes / 10.0;
    for (row, minutes) in rows[..10].iter().zip(0_u32..) {
        assert_relative_eq!(row.heat_w, 4000.0 * falls(f64::from(minutes) + 0.5), epsilon = 1e-6);
    }
    assert!(rows[10..].iter().all(|row| (row.heat_w - 1000.0).abs() < 1e-6));
}

/// COP by the outdoor temperature at the middle of each step.
#[test]
fn the_usual_plant_takes_more_power_the_colder_it_is() {
    let mut given = Given { mode: Mode::Heat, ..Given::default() };
    given.space.start = Some(10.0);
    let mut zone = given.zone("room");
    zone.unit.heating = Some(Capacity { rated: 4000.0, cop: Cop::usual_heating() });
    let outdoors = std::array::from_fn(|hour| hour as f64 - 12.0);
    let weather = Weather::Hours(Box::new(outdoors));
    let rows = rows_of(&run(&Model { weather, ..model(0.0, vec![zone]) }), 0);
    let mut seen = 0;
    for (row, second) in rows.iter().zip(0_u32..).filter(|(row, _)| row.served.is_some()) {
        let hours = (f64::from(second) * 60.0 + 30.0) / 3600.0;
        if hours >= 23.0 {
            continue;
        }
        let outdoor = hours - 12.0;
        let cop = (2.25 + (outdoor + 8.3) / 16.6 * 1.05).clamp(2.25, 3.3);
        assert_relative_eq!(row.electric_w, row.heat_w / cop, max_relative = 1e-6);
        seen += 1;
    }
    assert!(seen > 300, "{seen}");
}

/// Return air is warmer than the room while the fan runs, and not while it rests.
#[test]
fn return_air_is_warmer_while_the_fan_runs() {
    let sensed_above = |fan_run: FanRun, mode: Mode| {
        let mut given = Given { fan: 80.0, fan_run, mode, ..Given::default() };
        given.sensor.place = SensorPlace::ReturnAir { heating: 1.5, cooling: 0.0 };
        // Nothing calls at 22 degrees.
        let rows = rows_of(&run(&model(22.0, vec![given.zone("room")])), 0);
        let above: Vec<f64> = rows[1..].iter().map(|row| row.sensed - row.temperature).collect();
        let power = rows.iter().map(|row| row.electric_w).sum::<f64>() / rows.len() as f64;
        (above, power)
    };
    let (above, power) = sensed_above(FanRun::Auto, Mode::Auto);
    assert!(above.iter().all(|it| it.abs() < ROUNDING) && power == 0.0);
    for (fan_run, mode, expected) in [
        (FanRun::Continuous, Mode::Auto, 80.0),
        (FanRun::Auto, Mode::Fan, 80.0),
        (FanRun::Low { power: 0.25 }, Mode::Auto, 20.0),
    ] {
        let (above, power) = sensed_above(fan_run, mode);
        assert!(above.iter().all(|it| (it - 1.5).abs() < ROUNDING), "{fan_run:?}");
        assert_abs_diff_eq!(power, expected, epsilon = ROUNDING);
    }
    let sample = FanRun::Sample { every: Seconds::minutes(10), lasts: Seconds::minutes(1) };
    let (above, power) = sensed_above(sample, Mode::Auto);
    for (place, above) in above.into_iter().enumerate() {
        let expected = if place % 10 == 0 { 1.5 } else { 0.0 };
        assert_abs_diff_eq!(above, expected, epsilon = ROUNDING);
    }
    assert_abs_diff_eq!(power, 8.0, epsilon = ROUNDING);
}
