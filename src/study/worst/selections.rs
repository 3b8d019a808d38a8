//! What may be in force at a controller: which modes, whether off, which setpoints.
//!
//! The modes and the pairs of setpoints are those that [`crate::study::reach`] finds by pressing
//! every key in every state, and those besides that are asked for directly, as an app does. Where a
//! key is free at one controller of a zone, any number of presses fits into a step, so that at each
//! step anything that can be reached may be in force. The two setpoints are followed each between
//! its lowest and its highest value, which has every pair that can be reached.

use crate::control::{
    ControllerIndex, LockableKey, Mode, OnConflict, Power, Request, Returns, Role, Setback,
    Settings, Side,
};
use crate::engine::{Action, Doing, Model, Zone, ZoneIndex};

use super::interval::Interval;

/// What may be in force at a zone's controllers at any step.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Selections {
    /// Whether the zone may be switched on.
    pub(super) on: bool,
    /// Whether it may be switched off.
    pub(super) off: bool,
    /// The modes that may be selected.
    pub(super) modes: Vec<Mode>,
    /// The stored heat setpoint, in the file's unit.
    pub(super) heat: Interval,
    /// The stored cool setpoint, in the file's unit.
    pub(super) cool: Interval,
    /// Whether occupants may ask for a setpoint, which starts an override.
    pub(super) may_override: bool,
}

/// Which keys somebody may press somewhere in a zone.
#[derive(Clone, Copy, Debug, Default)]
struct Free {
    setpoint: bool,
    mode: bool,
    power: bool,
}

impl Selections {
    /// What the file by itself puts in force: its start, what schedules and technicians ask for.
    pub(super) fn undisturbed(model: &Model, zone: ZoneIndex) -> Self {
        Self::of(model, zone, |_| Free::default())
    }

    /// What occupants can put in force besides.
    pub(super) fn with_presses(model: &Model, zone: ZoneIndex) -> Self {
        Self::of(model, zone, free_keys)
    }

    fn of(model: &Model, zone: ZoneIndex, free: impl Fn(&Settings) -> Free) -> Self {
        let here = &model.zones[zone.get()];
        let controls = &here.controls;
        let start = &controls.start;
        let grid = controls.settings.grid;
        let mut found = Self {
            on: start.power == Power::On,
            off: start.power == Power::Off || controls.auto_off.is_some(),
            modes: vec![start.mode],
            heat: Interval::exactly(grid.value(start.setpoints.heat())),
            cool: Interval::exactly(grid.value(start.setpoints.cool())),
            may_override: false,
        };
        let actions = || model.actions.iter().filter(|action| action.zone == zone);
        let versions = versions(here, actions());
        for settings in &versions {
            let all = free(settings);
            found.add_free(settings, all);
            found.may_override |= all.setpoint;
        }
        // What is asked for by others, under every version of the settings. Twice, since what one
        // request pushes another may push on.
        for _ in 0..2 {
            for action in actions().filter(|action| action.role != Role::Occupant) {
                if let Doing::Request(request) = action.what {
                    for settings in &versions {
                        found.add_request(settings, request);
                    }
                }
            }
            for (side, to) in controls.returns.iter().flat_map(Returns::to) {
                let value = grid.value(to);
                for settings in &versions {
                    found.add_setpoint(settings, side, value);
                }
            }
            if versions.len() > 1 {
                for settings in &versions {
                    found.add_all_setpoints(settings);
                }
            }
        }
        found
    }

    fn add_free(&mut self, settings: &Settings, free: Free) {
        if free.setpoint {
            self.add_all_setpoints(settings);
        }
        if free.mode {
            self.add_all_modes(settings);
        }
        if free.power {
            (self.on, self.off) = (true, true);
        }
    }

    fn add_all_modes(&mut self, settings: &Settings) {
        for mode in settings.modes.as_slice() {
            if !settings.locked_modes.has(*mode) {
                self.add_mode(*mode);
            }
        }
    }

    fn add_mode(&mut self, mode: Mode) {
        if !self.modes.contains(&mode) {
            self.modes.push(mode);
        }
    }

    /// Every value that limits and deadband leave.
    fn add_all_setpoints(&mut self, settings: &Settings) {
        let range = |side| {
            let range = settings.rules.range(side);
            Interval::between(settings.grid.value(range.low), settings.grid.value(range.high))
        };
        self.heat = self.heat.hull(range(Side::Heat));
        self.cool = self.cool.hull(range(Side::Cool));
    }

    /// A request that no lock stops.
    fn add_request(&mut self, settings: &Settings, request: Request) {
        match request {
            Request::Power(Power::On) => self.on = true,
            Request::Power(Power::Off) => self.off = true,
            Request::Mode(mode) if settings.modes.has(mode) => self.add_mode(mode),
            Request::Mode(_) => {}
            Request::Setpoint(side, value) => self.add_setpoint(settings, side, value),
            Request::Press(key) => {
                let needs = Request::Press(key).needs();
                let free = Free {
                    setpoint: needs == LockableKey::Setpoint,
                    mode: needs == LockableKey::Mode,
                    power: needs == LockableKey::Power,
                };
                self.add_free(settings, free);
            }
        }
    }

    /// A setpoint that is asked for, and what it pushes; where the deadband may hold it back,
    /// everything is possible.
    fn add_setpoint(&mut self, settings: &Settings, side: Side, value: f64) {
        let rules = &settings.rules;
        if rules.on_conflict() != OnConflict::Push || settings.display.is_some() {
            return self.add_all_setpoints(settings);
        }
        let grid = settings.grid;
        let asked = rules.range(side).hold(grid.nearest(value));
        let (same, pushed) = match side {
            Side::Heat => (&mut self.heat, asked + rules.deadband()),
            Side::Cool => (&mut self.cool, asked - rules.deadband()),
        };
        *same = same.hull(Interval::exactly(grid.value(asked)));
        let pushed = grid.value(pushed);
        match side {
            Side::Heat if pushed > self.cool.low() => {
                self.cool = self.cool.hull(Interval::exactly(pushed));
            }
            Side::Cool if pushed < self.heat.high() => {
                self.heat = self.heat.hull(Interval::exactly(pushed));
            }
            Side::Heat | Side::Cool => {}
        }
        if rules.is_single() {
            let both = Interval::exactly(grid.value(asked));
            (self.heat, self.cool) = (self.heat.hull(both), self.cool.hull(both));
        }
    }

    /// The setpoints that may be in force while nobody is there: set back (rule 11).
    pub(super) fn set_back(&self, settings: &Settings, setback: &Setback) -> (Interval, Interval) {
        let grid = settings.grid;
        let value = |ticks| grid.value(ticks);
        let cool = |stored: f64| (stored + value(setback.cool)).min(value(setback.cool_high));
        let heat = |stored: f64| (stored - value(setback.heat)).max(value(setback.heat_low));
        let (low, high) = (cool(self.cool.low()), cool(self.cool.high()));
        (
            Interval::between(heat(self.heat.low()).min(low), heat(self.heat.high()).min(high)),
            Interval::between(low, high),
        )
    }
}

/// The settings as they are at the start, and after each change that a technician makes.
fn versions<'a>(zone: &Zone, actions: impl Iterator<Item = &'a Action>) -> Vec<Settings> {
    let mut settings = vec![zone.controls.settings.clone()];
    for action in actions {
        if let (Doing::Set(change), Some(last)) = (&action.what, settings.last()) {
            let mut next = last.clone();
            let mut stored = zone.controls.start;
            let standing = crate::control::Standing::Own(zone.controls.direction);
            change.zone.apply(&mut next, &mut stored, standing);
            settings.push(next);
        }
    }
    settings
}

/// The keys that are free at one of the controllers at least.
fn free_keys(settings: &Settings) -> Free {
    let free = |key| settings.key_locks.iter().any(|locks| !locks.refuses(key));
    Free {
        setpoint: free(LockableKey::Setpoint),
        mode: free(LockableKey::Mode),
        power: free(LockableKey::Power),
    }
}

/// A controller of a zone at which a key is free, as it starts.
pub(super) fn free_controller(zone: &Zone, key: LockableKey) -> Option<ControllerIndex> {
    let locks = &zone.controls.settings.key_locks;
    locks.iter().position(|locks| !locks.refuses(key)).map(ControllerIndex::new)
}
