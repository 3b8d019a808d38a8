//! A zone on the test rig: settings given, requests made, readings expected.

use super::changes::{ChangeOutcome, SettingsChange};
use super::display::Display;
use super::judge::judge;
use super::locks::{Controller, ControllerIndex, Controllers, KeyLocks, LockableKey};
use super::modes::{Mode, ModeSet, Power, UnitModes};
use super::ranges::{Limits, OnConflict, Range, SetpointRules, Side};
use super::reason::Words;
use super::request::{Key, Request, Role, Settings, Standing, Stored, Verdict};
use super::setpoints::Setpoints;
use super::ticks::{Grid, Ticks};
use crate::direction::Direction;
use crate::units::TemperatureUnit;

/// The primary controller of a rig.
pub(super) const DESK: ControllerIndex = ControllerIndex::new(0);
/// The other controller of a rig.
pub(super) const WINDOW: ControllerIndex = ControllerIndex::new(1);

/// What a test is given; all of it has a default.
#[derive(Clone, Copy)]
pub(super) struct Given {
    pub(super) unit: TemperatureUnit,
    pub(super) step: f64,
    pub(super) heat_limits: (f64, f64),
    pub(super) cool_limits: (f64, f64),
    pub(super) deadband: f64,
    pub(super) on_conflict: OnConflict,
    /// Heat and cool at the start.
    pub(super) start: (f64, f64),
    pub(super) mode: Mode,
    pub(super) power: Power,
    pub(super) standing: Standing,
    pub(super) modes: &'static [Mode],
    pub(super) locked_modes: &'static [Mode],
    pub(super) desk_locks: KeyLocks,
    pub(super) shown: TemperatureUnit,
}

impl Default for Given {
    fn default() -> Self {
        Self {
            unit: TemperatureUnit::Celsius,
            step: 0.5,
            heat_limits: (17.0, 22.0),
            cool_limits: (22.0, 28.0),
            deadband: 2.0,
            on_conflict: OnConflict::Push,
            start: (20.0, 24.0),
            mode: Mode::Auto,
            power: Power::On,
            standing: Standing::Own(Direction::Heating),
            modes: &Mode::ALL,
            locked_modes: &[],
            desk_locks: KeyLocks::NONE,
            shown: TemperatureUnit::Celsius,
        }
    }
}

impl Given {
    /// In Fahrenheit, in steps of one degree.
    pub(super) fn fahrenheit() -> Self {
        Self {
            unit: TemperatureUnit::Fahrenheit,
            step: 1.0,
            heat_limits: (50.0, 86.0),
            cool_limits: (60.0, 95.0),
            deadband: 2.0,
            start: (68.0, 75.0),
            shown: TemperatureUnit::Fahrenheit,
            ..Self::default()
        }
    }

    pub(super) fn grid(&self) -> Grid {
        Grid::new(self.unit, self.step).expect("the test gives a known step")
    }

    pub(super) fn limits(&self) -> Limits {
        let range = |(low, high)| range(self.grid(), low, high);
        Limits { heat: range(self.heat_limits), cool: range(self.cool_limits) }
    }

    pub(super) fn rules(&self) -> SetpointRules {
        SetpointRules::new(self.limits(), tick(self.grid(), self.deadband), self.on_conflict)
            .expect("the test gives feasible rules")
    }

    /// Puts the zone on the rig.
    pub(super) fn rig(self) -> Rig {
        let (grid, rules) = (self.grid(), self.rules());
        let (heat, cool) = (tick(grid, self.start.0), tick(grid, self.start.1));
        let setpoints = if rules.is_single() {
            rules.start_single(Side::Heat, heat)
        } else {
            rules.start_dual(heat, cool)
        };
        let settings = Settings {
            grid,
            display: Display::new(self.unit, self.shown),
            modes: UnitModes::new(self.modes.to_vec()).expect("the test gives distinct modes"),
            controllers: two_controllers(),
            rules,
            locked_modes: ModeSet::of(self.locked_modes),
            key_locks: vec![self.desk_locks, KeyLocks::NONE],
        };
        let setpoints = setpoints.expect("the test gives a legal start");
        let stored = Stored { setpoints, mode: self.mode, power: self.power };
        Rig { settings, stored, standing: self.standing, owner: None, said: String::new() }
    }
}

fn two_controllers() -> Controllers {
    let named = |id: &str| Controller { id: id.into(), offset: 0.0, key_locks: KeyLocks::NONE };
    Controllers::new(vec![(named("desk"), true), (named("window"), false)])
        .expect("one of two is primary")
}

/// The tick of a value that lies on the grid.
pub(super) fn tick(grid: Grid, value: f64) -> Ticks {
    grid.exact(value).expect("the test gives whole ticks")
}

/// A range of values that lie on the grid.
pub(super) fn range(grid: Grid, low: f64, high: f64) -> Range {
    Range { low: tick(grid, low), high: tick(grid, high) }
}

/// A zone with its settings, whose requests are made one after the other.
pub(super) struct Rig {
    pub(super) settings: Settings,
    pub(super) stored: Stored,
    pub(super) standing: Standing,
    pub(super) owner: Option<&'static str>,
    said: String,
}

impl Rig {
    /// Makes a request and reads the outcome with what it was about: `pushed 21.5/24`,
    /// `refused auto`, `accepted off`.
    pub(super) fn ask(&mut self, role: Role, at: ControllerIndex, request: Request) -> String {
        let verdict = judge(&self.settings, &self.stored, self.standing, request, role, at);
        self.stored = verdict.after;
        self.said = self.words(&verdict);
        let about = match request.needs() {
            LockableKey::Mode => self.stored.mode.name().to_owned(),
            LockableKey::Power => self.stored.power.name().to_owned(),
            LockableKey::Setpoint | LockableKey::Fan => self.pair(),
        };
        format!("{} {about}", verdict.outcome.name())
    }

    fn words(&self, verdict: &Verdict) -> String {
        Words { settings: &self.settings, owner: self.owner }.reason(verdict)
    }

    /// An occupant at the desk asks.
    pub(super) fn does(&mut self, request: Request) -> String {
        self.ask(Role::Occupant, DESK, request)
    }

    /// An occupant at the desk asks for a heat setpoint.
    pub(super) fn heat(&mut self, value: f64) -> String {
        self.does(Request::Setpoint(Side::Heat, value))
    }

    /// An occupant at the desk asks for a cool setpoint.
    pub(super) fn cool(&mut self, value: f64) -> String {
        self.does(Request::Setpoint(Side::Cool, value))
    }

    /// An occupant at the desk presses a key.
    pub(super) fn press(&mut self, key: Key) -> String {
        self.does(Request::Press(key))
    }

    /// An occupant at the desk asks for a mode.
    pub(super) fn mode(&mut self, mode: Mode) -> String {
        self.does(Request::Mode(mode))
    }

    /// A technician changes settings.
    pub(super) fn set(&mut self, change: &SettingsChange) -> String {
        let before = self.stored.setpoints;
        let outcome = change.apply(&mut self.settings, &mut self.stored, self.standing);
        let words = Words { settings: &self.settings, owner: self.owner };
        self.said = words.change(change, outcome, &before, &self.stored.setpoints);
        let outcome = match outcome {
            ChangeOutcome::Accepted => "accepted",
            ChangeOutcome::Pushed => "pushed",
            ChangeOutcome::Refused(_) => "refused",
        };
        format!("{outcome} {}", self.pair())
    }

    /// Both setpoints, heat before cool.
    pub(super) fn pair(&self) -> String {
        pair(self.settings.grid, &self.stored.setpoints)
    }

    /// The reason of the last request.
    pub(super) fn reason(&self) -> &str {
        &self.said
    }

    /// The tick of a value.
    pub(super) fn tick(&self, value: f64) -> Ticks {
        tick(self.settings.grid, value)
    }

    /// The range between two values.
    pub(super) fn range(&self, low: f64, high: f64) -> Range {
        range(self.settings.grid, low, high)
    }
}

fn pair(grid: Grid, setpoints: &Setpoints) -> String {
    format!("{}/{}", grid.show(setpoints.heat()), grid.show(setpoints.cool()))
}
