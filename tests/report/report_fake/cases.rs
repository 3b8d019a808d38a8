//! The zones and the cases that tests ask for.

use setband::building::{Space, SpaceInput};
use setband::control::{
    Controllers, Differential, Direction, Grid, Key, KeyLocks, Limits, LockableKey, Mode, ModeSet,
    Occupancy, OnConflict, Power, Range, Request, Sensor, SensorPlace, SetpointRules, Settings,
    Side, Stored, Thermostat, UnitModes, ZoneControls,
};
use setband::engine::{Comfort, Zone};
use setband::plant::{Capacity, FanRun, IndoorUnit, StartUp, UnitControl};
use setband::time::Seconds;
use setband::units::TemperatureUnit;

use super::{Wish, at};

/// A zone with these setpoints and this minimum deadband.
pub(crate) fn zone(
    id: &str,
    label: &str,
    unit: TemperatureUnit,
    pair: (f64, f64),
    deadband: f64,
) -> Zone {
    let step = if unit == TemperatureUnit::Celsius { 0.5 } else { 1.0 };
    let grid = Grid::new(unit, step).expect("known step");
    let range = |low: f64, high: f64| Range {
        low: grid.nearest(unit.from_celsius(low)),
        high: grid.nearest(unit.from_celsius(high)),
    };
    let limits = Limits { heat: range(17.0, 23.0), cool: range(22.0, 28.0) };
    let rules =
        SetpointRules::new(limits, grid.nearest(deadband), OnConflict::Push).expect("feasible");
    let setpoints = rules.start_dual(grid.nearest(pair.0), grid.nearest(pair.1)).expect("legal");
    let settings = Settings {
        grid,
        display: None,
        modes: UnitModes::default(),
        controllers: Controllers::main(),
        rules,
        locked_modes: ModeSet::of(&[Mode::Fan]),
        key_locks: vec![KeyLocks::new(&[LockableKey::Power], false)],
    };
    let kelvin = |value: f64| unit.difference_from_kelvin(value);
    let space = SpaceInput {
        floor: 60.0,
        height: 2.7,
        mass_area: 150.0,
        mass_capacity: 9.9e6,
        air_capacity: 6e5,
        opaque: 60.0,
        windows: 20.0,
        infiltration: 0.2,
        open_window: 4.0,
        ventilation: None,
        start: None,
    };
    Zone {
        id: id.into(),
        label: label.into(),
        space: Space::new(space).expect("a room"),
        windows: Vec::new(),
        walls: Vec::new(),
        gains: Vec::new(),
        unit: IndoorUnit {
            heating: Some(Capacity { rated: 5000.0, cop: 3.2.into() }),
            cooling: Some(Capacity { rated: 5000.0, cop: 3.4.into() }),
            fan: 60.0,
            fan_run: FanRun::Auto,
            control: UnitControl::Ideal,
            start_up: StartUp::NONE,
            reversal_time: setband::time::Seconds::ZERO,
            count: 1,
            coil: setband::plant::Coil::USUAL,
        },
        controls: ZoneControls {
            settings,
            start: Stored { setpoints, mode: Mode::Auto, power: Power::On },
            direction: Direction::Heating,
            thermostat: Thermostat {
                call_start: Differential::same(kelvin(0.5)),
                call_stop: Differential::same(0.0),
                changeover_delay: Seconds::minutes(10),
                min_on: Seconds::minutes(3),
                min_off: Seconds::minutes(3),
            },
            low_limit: None,
            auto_off: None,
            sensor: Sensor {
                place: SensorPlace::Room,
                offset: 0.0,
                lag: Seconds::ZERO,
                resolution: 0.1,
            },
            occupancy: Occupancy::Always,
            setback: None,
            optimum_start: None,
            override_time: Seconds::hours(2),
            override_until: setband::control::OverrideUntil::Time,
            returns: None,
            outdoor_limits: setband::control::OutdoorLimits::NONE,
            window_contact: setband::control::WindowContact::default(),
            ignored_start: None,
        },
        comfort: Comfort {
            low: 20.0,
            high: 25.0,
            tolerance: 0.0,
            met: 1.1,
            clothing: setband::engine::Clothing::Same(0.8),
            air_speed: 0.1,
            lawful: None,
        },
    }
}

/// The library of most tests: one zone, nine requests of every outcome but one.
pub(crate) fn library() -> Wish {
    let zones =
        vec![zone("reading_room", "Reading room", TemperatureUnit::Celsius, (20.0, 22.0), 2.0)];
    let asks = vec![
        (at(8, 40), 0, "front desk", Request::Setpoint(Side::Heat, 21.5)),
        (at(10, 5), 0, "visitor", Request::Press(Key::Cooler)),
        (at(10, 5), 0, "visitor", Request::Press(Key::Cooler)),
        (at(12, 30), 0, "front desk", Request::Setpoint(Side::Cool, 21.5)),
        (at(14, 0), 0, "front desk", Request::Mode(Mode::Fan)),
        (at(15, 10), 0, "visitor", Request::Press(Key::Cooler)),
        (at(15, 10), 0, "visitor", Request::Press(Key::Cooler)),
        (at(17, 20), 0, "visitor", Request::Setpoint(Side::Heat, 26.0)),
        (at(20, 45), 0, "front desk", Request::Power(Power::Off)),
    ];
    Wish { asks, ..Wish::new(zones) }
}

/// The library on a day with that many presses, two minutes apart.
pub(crate) fn restless(presses: i64) -> Wish {
    let press = |number: i64| {
        let key = if number * 7919 % 11 < 6 { Key::Warmer } else { Key::Cooler };
        (60 + number * 2, 0, "visitor", Request::Press(key))
    };
    Wish { asks: (0..presses).map(press).collect(), ..library() }
}

/// A group of rooms that follow the first one's direction; some want to be warmer than it.
pub(crate) fn office(rooms: u32) -> Wish {
    let room = |number: u32| {
        let spare = f64::from(number % 3);
        let pair = if number % 5 == 4 { (22.5, 26.0) } else { (20.0, 22.0 + spare) };
        let (id, label) = (format!("room_{number}"), format!("Room {number}"));
        zone(&id, &label, TemperatureUnit::Celsius, pair, 1.0)
    };
    let asks = vec![(at(18, 0), 1, "porter", Request::Power(Power::Off))];
    Wish {
        asks,
        one_direction: true,
        outdoor: 8.0,
        gains: 5200.0,
        ..Wish::new((0..rooms).map(room).collect())
    }
}
