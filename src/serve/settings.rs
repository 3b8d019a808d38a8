//! The settings of zones and groups as controls of a form: each with its place in the file, its
//! present value, and what it may become.

mod group;

use serde::Serialize;
use serde_json::{Value, json};

use crate::control::{Mode, OnConflict, Range, SensorPlace, Side};
use crate::engine::{Model, Zone};
use crate::scenario::is_written;
use crate::time::Seconds;
use crate::units::TemperatureUnit;

pub(super) use group::GroupForm;

/// A zone with its settings.
#[derive(Clone, Debug, Serialize)]
pub(super) struct ZoneForm {
    id: String,
    label: String,
    sections: Vec<Section>,
}

impl ZoneForm {
    /// Takes the settings away.
    pub(super) fn hold_back(&mut self) {
        self.sections.clear();
    }
}

/// Settings that belong together.
#[derive(Clone, Debug, Serialize)]
struct Section {
    title: &'static str,
    fields: Vec<Field>,
}

/// One setting.
#[derive(Clone, Debug, Serialize)]
struct Field {
    /// Where it stands in the file.
    path: String,
    label: &'static str,
    /// What it does, in one sentence.
    help: &'static str,
    value: Value,
    #[serde(flatten)]
    kind: Kind,
}

/// What a setting may become.
#[derive(Clone, Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum Kind {
    /// A number.
    Number { min: f64, max: f64, step: f64, unit: String },
    /// Minutes, written with their unit.
    Minutes { min: f64, max: f64, step: f64 },
    /// The lowest and the highest of something.
    Span { min: f64, max: f64, step: f64, unit: String },
    /// One of some words.
    Choice { options: Vec<(&'static str, &'static str)> },
    /// Any of some words.
    Several { options: Vec<(&'static str, &'static str)> },
    /// Keys that are locked, and whether the lock is in force.
    Locks {
        options: Vec<(&'static str, &'static str)>,
        /// Whether the file has no list of controllers yet, so that one must be written.
        whole_list: bool,
    },
}

/// The forms of all zones and of all groups.
pub(super) fn forms(text: &str, model: &Model) -> (Vec<ZoneForm>, Vec<GroupForm>) {
    let zones = model.zones.iter().map(|zone| Form { text, unit: model.unit, zone }.whole());
    (zones.collect(), group::forms(text, model))
}

/// A zone whose form is being made.
#[derive(Clone, Copy, Debug)]
struct Form<'a> {
    text: &'a str,
    unit: TemperatureUnit,
    zone: &'a Zone,
}

impl Form<'_> {
    fn whole(self) -> ZoneForm {
        let mut sections = vec![
            Section { title: "Setpoints", fields: self.setpoints() },
            Section { title: "Modes and locks", fields: self.modes_and_locks() },
            Section { title: "Calls and sensor", fields: self.calls_and_sensor() },
        ];
        if self.zone.controls.setback.is_some() || self.is_written("occupancy") {
            sections.push(Section { title: "While nobody is there", fields: self.setback() });
        }
        ZoneForm { id: self.zone.id.clone(), label: self.label(), sections }
    }

    fn label(self) -> String {
        if self.zone.label.is_empty() { self.zone.id.clone() } else { self.zone.label.clone() }
    }

    fn path(self, key: &str) -> String {
        format!("zones.{}.controls.{key}", self.zone.id)
    }

    fn is_written(self, key: &str) -> bool {
        is_written(self.text, &self.path(key))
    }

    fn field(
        self,
        key: &str,
        label: &'static str,
        help: &'static str,
        value: impl Into<Value>,
        kind: Kind,
    ) -> Field {
        Field { path: self.path(key), label, help, value: value.into(), kind }
    }

    /// A temperature or a difference in whole steps of the setpoint, given in C or K.
    fn degrees(self, low: f64, high: f64) -> Kind {
        let unit = format!("°{}", self.unit.letter());
        Kind::Number { min: low, max: high, step: self.step(), unit }
    }

    fn step(self) -> f64 {
        self.zone.controls.settings.grid.step()
    }

    fn fahrenheit(self) -> bool {
        self.unit == TemperatureUnit::Fahrenheit
    }

    /// One of two numbers, by the file's unit.
    fn either(self, celsius: f64, fahrenheit: f64) -> f64 {
        if self.fahrenheit() { fahrenheit } else { celsius }
    }

    fn ends(self, range: Range) -> (f64, f64) {
        let grid = self.zone.controls.settings.grid;
        (grid.value(range.low), grid.value(range.high))
    }

    fn setpoints(self) -> Vec<Field> {
        let controls = &self.zone.controls;
        let (rules, grid) = (&controls.settings.rules, controls.settings.grid);
        let start = |side| grid.value(controls.start.setpoints.get(side));
        let (heat_low, heat_high) = self.ends(rules.written(Side::Heat));
        let (cool_low, cool_high) = self.ends(rules.written(Side::Cool));
        let widest = || Kind::Span {
            min: self.either(5.0, 41.0),
            max: self.either(40.0, 104.0),
            step: self.step(),
            unit: format!("°{}", self.unit.letter()),
        };
        vec![
            self.field(
                "heat",
                "Heat setpoint",
                "Heating is called for below it.",
                start(Side::Heat),
                self.degrees(heat_low, heat_high),
            ),
            self.field(
                "cool",
                "Cool setpoint",
                "Cooling is called for above it.",
                start(Side::Cool),
                self.degrees(cool_low, cool_high),
            ),
            self.field(
                "min_deadband",
                "Minimum deadband",
                "How far apart the two setpoints are kept; 0 makes them one.",
                grid.value(rules.deadband()),
                self.degrees(0.0, self.either(8.0, 15.0)),
            ),
            self.field(
                "on_conflict",
                "When a request comes too close",
                "What happens to the other setpoint.",
                rules.on_conflict().name(),
                Kind::Choice { options: ON_CONFLICT.map(|(it, words)| (it.name(), words)).into() },
            ),
            self.field(
                "limits.heat",
                "Limits of the heat setpoint",
                "How far occupants may move it.",
                json!([heat_low, heat_high]),
                widest(),
            ),
            self.field(
                "limits.cool",
                "Limits of the cool setpoint",
                "How far occupants may move it.",
                json!([cool_low, cool_high]),
                widest(),
            ),
        ]
    }

    fn modes_and_locks(self) -> Vec<Field> {
        let controls = &self.zone.controls;
        let settings = &controls.settings;
        let modes = |modes: &[Mode]| modes.iter().map(|mode| (mode.name(), mode.name())).collect();
        let locked: Vec<&str> = Mode::ALL
            .into_iter()
            .filter(|it| settings.locked_modes.has(*it))
            .map(Mode::name)
            .collect();
        let mut fields = vec![
            self.field(
                "mode",
                "Mode at the start",
                "Auto chooses between heating and cooling by itself.",
                controls.start.mode.name(),
                Kind::Choice { options: modes(settings.modes.as_slice()) },
            ),
            self.field(
                "power",
                "Power at the start",
                "Off keeps the mode for later.",
                controls.start.power.name(),
                Kind::Choice { options: vec![("on", "on"), ("off", "off")] },
            ),
            self.field(
                "locked_modes",
                "Modes that occupants may not select",
                "Auto may still heat where heat is locked.",
                json!(locked),
                Kind::Several { options: modes(settings.modes.as_slice()) },
            ),
        ];
        fields.push(self.key_locks());
        fields
    }

    /// The key locks of the primary controller.
    fn key_locks(self) -> Field {
        use crate::control::LockableKey;
        let controllers = &self.zone.controls.settings.controllers;
        let primary = controllers.primary();
        let locks = controllers.as_slice().get(primary.get()).map(|it| it.key_locks);
        let keys: Vec<&str> =
            locks.iter().flat_map(|locks| locks.keys()).map(LockableKey::name).collect();
        let in_force = locks.is_none_or(|locks| keys.is_empty() || locks.is_in_force());
        let whole_list = !self.is_written("controllers");
        let key = if whole_list {
            "controllers".to_owned()
        } else {
            format!("controllers[{}].key_locks", primary.get())
        };
        let options = LockableKey::ALL.iter().map(|key| (key.name(), key.name())).collect();
        self.field(
            &key,
            "Keys locked for occupants",
            "A lock that is saved and not in force does nothing.",
            json!({ "keys": keys, "in_force": in_force }),
            Kind::Locks { options, whole_list },
        )
    }

    fn calls_and_sensor(self) -> Vec<Field> {
        let controls = &self.zone.controls;
        let thermostat = &controls.thermostat;
        let tenth = self.either(0.1, 0.2);
        let unit = || format!("°{}", self.unit.letter());
        let difference = |min: f64, max: f64| Kind::Number { min, max, step: tenth, unit: unit() };
        let mut fields = vec![
            self.field(
                "call_start",
                "A call starts past the setpoint by",
                "Hysteresis keeps a call from flickering.",
                thermostat.call_start,
                difference(0.0, self.either(2.0, 4.0)),
            ),
            self.field(
                "call_stop",
                "A call ends past the setpoint by",
                "How far back past the setpoint.",
                thermostat.call_stop,
                difference(0.0, self.either(2.0, 4.0)),
            ),
            self.minutes(
                "changeover_delay",
                "Changeover delay",
                "Least time from the end of one direction to a change to the other.",
                thermostat.changeover_delay,
                240.0,
            ),
        ];
        if let Some(place) = self.sensor_place() {
            fields.push(place);
        }
        fields.extend([
            self.field(
                "sensor.offset",
                "Sensor reads too much by",
                "An offset shifts everything that the controller does.",
                controls.sensor.offset,
                difference(self.either(-4.0, -8.0), self.either(4.0, 8.0)),
            ),
            self.minutes(
                "sensor.lag",
                "Sensor lag",
                "How slowly its reading follows the air.",
                controls.sensor.lag,
                30.0,
            ),
        ]);
        fields
    }

    /// Where the sensor sits; a choice of controllers is left to the file.
    fn sensor_place(self) -> Option<Field> {
        let place = match self.zone.controls.sensor.place {
            SensorPlace::Room => "room",
            SensorPlace::ReturnAir { .. } => "return_air",
            SensorPlace::Controllers { .. } => return None,
        };
        let options = vec![("room", "in the room"), ("return_air", "in the return air")];
        Some(self.field(
            "sensor.place",
            "Sensor",
            "Return air is warmer than the room while heating.",
            place,
            Kind::Choice { options },
        ))
    }

    fn setback(self) -> Vec<Field> {
        let grid = self.zone.controls.settings.grid;
        let setback = self.zone.controls.setback;
        let by = |side: Side| {
            let ticks = setback.map(|it| match side {
                Side::Heat => it.heat,
                Side::Cool => it.cool,
            });
            ticks.map_or(0.0, |ticks| grid.value(ticks))
        };
        let most = self.either(12.0, 22.0);
        vec![
            self.field(
                "setback.heat",
                "Heat works lower by",
                "The stored setpoint stays as it is.",
                by(Side::Heat),
                self.degrees(0.0, most),
            ),
            self.field(
                "setback.cool",
                "Cool works higher by",
                "The stored setpoint stays as it is.",
                by(Side::Cool),
                self.degrees(0.0, most),
            ),
        ]
    }

    fn minutes(
        self,
        key: &str,
        label: &'static str,
        help: &'static str,
        value: Seconds,
        max: f64,
    ) -> Field {
        let minutes = value.get() as f64 / 60.0;
        self.field(key, label, help, minutes, Kind::Minutes { min: 0.0, max, step: 1.0 })
    }
}

const ON_CONFLICT: [(OnConflict, &str); 3] = [
    (OnConflict::Push, "the other is pushed and stays there"),
    (OnConflict::PushAndReturn, "the other is pushed and comes back"),
    (OnConflict::Hold, "the other stands, and the request is held"),
];
