//! What a zone of a test is given; all of it has a default.

use setband::building::{Gain, OPEN_WINDOW, Space, SpaceInput, Ventilation};
use setband::control::{
    Controllers, Differential, Direction, Grid, KeyLocks, Limits, LowLimit, Mode, ModeSet,
    Occupancy, OnConflict, OptimumStart, OutdoorLimits, OverrideUntil, Power, Range, Sensor,
    SensorPlace, Setback, SetpointRules, Settings, Side, Stored, Thermostat, Ticks, UnitModes,
    WindowContact, ZoneControls,
};
use setband::engine::{Comfort, Zone};
use setband::plant::{Capacity, FanRun, IndoorUnit, StartUp, UnitControl};
use setband::time::{Seconds, Span};
use setband::units::TemperatureUnit;

/// Heat capacity of a cubic metre of air, J/K, as the physics has it.
const AIR: f64 = 1.2 * 1006.0;

/// Settings, room and plant of one zone. Controller temperatures are in `unit`.
#[derive(Clone, Debug)]
pub(crate) struct Given {
    pub(crate) unit: TemperatureUnit,
    pub(crate) setpoint_step: f64,
    pub(crate) heat: f64,
    pub(crate) cool: f64,
    pub(crate) deadband: f64,
    pub(crate) heat_limits: (f64, f64),
    pub(crate) cool_limits: (f64, f64),
    pub(crate) mode: Mode,
    pub(crate) power: Power,
    pub(crate) direction: Direction,
    pub(crate) modes: Vec<Mode>,
    pub(crate) thermostat: Thermostat,
    pub(crate) sensor: Sensor,
    pub(crate) low_limit: Option<LowLimit>,
    pub(crate) auto_off: Option<Seconds>,
    pub(crate) occupancy: Occupancy,
    /// Heat, cool, lowest heat and highest cool.
    pub(crate) setback: Option<[f64; 4]>,
    /// How early recovery may begin.
    pub(crate) optimum_start: Option<OptimumStart>,
    pub(crate) override_time: Seconds,
    pub(crate) override_until: OverrideUntil,
    pub(crate) outdoor_limits: OutdoorLimits,
    pub(crate) window_contact: WindowContact,
    pub(crate) space: SpaceInput,
    pub(crate) gains: Vec<Gain>,
    pub(crate) heating: f64,
    pub(crate) cooling: f64,
    pub(crate) fan: f64,
    pub(crate) fan_run: FanRun,
    pub(crate) control: UnitControl,
    pub(crate) start_up: StartUp,
    pub(crate) reversal_time: Seconds,
}

impl Default for Given {
    /// A room of 40 m2 that begins at 20 C, 20/24 in `auto`, on a staged unit that is at full
    /// output at once; no timers.
    fn default() -> Self {
        Self {
            unit: TemperatureUnit::Celsius,
            setpoint_step: 0.5,
            heat: 20.0,
            cool: 24.0,
            deadband: 2.0,
            heat_limits: (10.0, 30.0),
            cool_limits: (16.0, 35.0),
            mode: Mode::Auto,
            power: Power::On,
            direction: Direction::Heating,
            modes: Mode::ALL.to_vec(),
            thermostat: Thermostat {
                call_start: Differential::same(0.5),
                call_stop: Differential::same(0.0),
                changeover_delay: Seconds::ZERO,
                min_on: Seconds::ZERO,
                min_off: Seconds::ZERO,
            },
            sensor: Sensor {
                place: SensorPlace::Room,
                offset: 0.0,
                lag: Seconds::ZERO,
                resolution: 0.0,
            },
            low_limit: None,
            auto_off: None,
            occupancy: Occupancy::Always,
            setback: None,
            optimum_start: None,
            override_time: Seconds::hours(2),
            override_until: OverrideUntil::Time,
            outdoor_limits: OutdoorLimits::NONE,
            window_contact: WindowContact::default(),
            space: room(),
            gains: Vec::new(),
            heating: 4000.0,
            cooling: 3500.0,
            fan: 0.0,
            fan_run: FanRun::Auto,
            control: UnitControl::ON_OFF,
            start_up: StartUp::NONE,
            reversal_time: Seconds::ZERO,
        }
    }
}

/// A room of 40 m2, medium, with windows and a little infiltration.
fn room() -> SpaceInput {
    SpaceInput {
        floor: 40.0,
        height: 2.7,
        mass_area: 100.0,
        mass_capacity: 6.6e6,
        air_capacity: 4e5,
        opaque: 20.0,
        windows: 12.0,
        infiltration: 0.4,
        open_window: OPEN_WINDOW,
        ventilation: None,
        start: Some(20.0),
    }
}

/// A room with one heat capacity, J/K, and one conductance outdoors, W/K: all of it air, beside a
/// floor so small that surfaces and mass take a ten-millionth of what goes outdoors.
pub(crate) fn one_capacity(outdoors: f64, capacity: f64, start: f64) -> SpaceInput {
    const FLOOR: f64 = 1e-6;
    SpaceInput {
        floor: FLOOR,
        height: 1.0,
        mass_area: 2.5 * FLOOR,
        mass_capacity: 1.0,
        air_capacity: capacity,
        opaque: 0.0,
        windows: 0.0,
        infiltration: 0.0,
        open_window: 0.0,
        ventilation: Some(Ventilation { flow: outdoors / AIR, when: Span::ALWAYS }),
        start: Some(start),
    }
}

impl Given {
    /// Heats or cools in proportion between a quarter and all of its capacity.
    pub(crate) const MODULATING: UnitControl = UnitControl::proportional(0.25, 1.0);

    /// The zone of that name.
    pub(crate) fn zone(&self, id: &str) -> Zone {
        Zone {
            id: id.into(),
            label: format!("The {id}"),
            space: Space::new(self.space).expect("the test gives sound sizes"),
            windows: Vec::new(),
            walls: Vec::new(),
            gains: self.gains.clone(),
            unit: self.indoor_unit(),
            controls: self.controls(),
            comfort: Comfort {
                low: 20.0,
                high: 26.0,
                tolerance: 0.0,
                met: 1.2,
                clothing: setband::engine::Clothing::Same(0.7),
                air_speed: 0.1,
                lawful: None,
            },
        }
    }

    fn indoor_unit(&self) -> IndoorUnit {
        IndoorUnit {
            heating: Some(Capacity { rated: self.heating, cop: 3.2.into() }),
            cooling: Some(Capacity { rated: self.cooling, cop: 3.4.into() }),
            fan: self.fan,
            fan_run: self.fan_run,
            control: self.control,
            start_up: self.start_up,
            reversal_time: self.reversal_time,
            count: 1,
            coil: setband::plant::Coil::USUAL,
        }
    }

    fn controls(&self) -> ZoneControls {
        let rules = self.rules();
        let (heat, cool) = (self.tick(self.heat), self.tick(self.cool));
        let setpoints = if rules.is_single() {
            rules.start_single(Side::Heat, heat)
        } else {
            rules.start_dual(heat, cool)
        };
        ZoneControls {
            settings: Settings {
                grid: self.grid(),
                display: None,
                modes: UnitModes::new(self.modes.clone()).expect("the test gives distinct modes"),
                controllers: Controllers::main(),
                rules,
                locked_modes: ModeSet::NONE,
                key_locks: vec![KeyLocks::NONE],
            },
            start: Stored {
                setpoints: setpoints.expect("the test gives a legal start"),
                mode: self.mode,
                power: self.power,
            },
            direction: self.direction,
            thermostat: self.thermostat,
            low_limit: self.low_limit,
            auto_off: self.auto_off,
            sensor: self.sensor,
            occupancy: self.occupancy.clone(),
            setback: self.setback.map(|[heat, cool, heat_low, cool_high]| Setback {
                heat: self.tick(heat),
                cool: self.tick(cool),
                heat_low: self.tick(heat_low),
                cool_high: self.tick(cool_high),
            }),
            optimum_start: self.optimum_start,
            override_time: self.override_time,
            override_until: self.override_until,
            returns: None,
            outdoor_limits: self.outdoor_limits,
            window_contact: self.window_contact,
            ignored_start: None,
        }
    }

    fn rules(&self) -> SetpointRules {
        let range = |(low, high)| Range { low: self.tick(low), high: self.tick(high) };
        let limits = Limits { heat: range(self.heat_limits), cool: range(self.cool_limits) };
        SetpointRules::new(limits, self.tick(self.deadband), OnConflict::Push)
            .expect("the test gives feasible rules")
    }

    fn grid(&self) -> Grid {
        Grid::new(self.unit, self.setpoint_step).expect("the test gives a known step")
    }

    /// The tick of a value that lies on the grid.
    pub(crate) fn tick(&self, value: f64) -> Ticks {
        self.grid().exact(value).expect("the test gives whole ticks")
    }
}
