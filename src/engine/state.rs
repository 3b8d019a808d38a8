//! The state of the world between two steps: everything that the next step depends on.

use std::sync::Arc;

use super::model::{Model, Zone};
use crate::control::{
    GroupSettings, GroupState, Mode, OutputState, Permitted, Power, Presence, Recovery, Selection,
    Settings, Standing, Stored, ThermostatState, WindowDoes, WindowState, WorkingSetpoints,
    ZoneLogic,
};
use crate::direction::Direction;
use crate::moist_air::{STANDARD_PRESSURE, humidity_ratio, saturation_pressure};
use crate::people::PersonState;
use crate::plant::{OutdoorMemory, UnitMemory};
use crate::time::{Instant, Seconds};
use crate::weather::Course;

/// What one zone's controllers remember, besides the thermostat.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneState {
    /// Settings as technicians have left them.
    pub settings: Arc<Settings>,
    /// Setpoints, mode and power.
    pub stored: Stored,
    /// Occupancy and override.
    pub presence: Presence,
    /// Whether the low limit heats.
    pub low_limit: bool,
    /// When power last came on; `None` while it is off.
    pub on_since: Option<Instant>,
    /// What the sensor's body has come to, degrees C.
    pub lagged: Option<f64>,
    /// What was served in the step before.
    pub served: Option<Direction>,
    /// What its units remember.
    pub unit: UnitMemory,
    /// Whether and since when the zone has been starved.
    pub starving: Starving,
    /// What it has learned about its recovery from setback.
    pub recovery: Recovery,
    /// Until when its power fails, if it does (rule 14).
    pub dark_until: Option<Instant>,
    /// What its controls remember of the output of its unit (rule 18).
    pub output: OutputState,
    /// Its windows (rule 16).
    pub window: WindowState,
    /// What its own outdoor limits and those of its outdoor unit allow (rule 15); `None` before the
    /// first step.
    pub permitted: Option<[Permitted; 2]>,
}

/// What outdoor limits (rule 15) compare with.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum OutdoorSensor {
    /// Outdoor air.
    #[default]
    Air,
    /// What a tester makes the sensor read, in the file's unit.
    Reads(f64),
    /// Nothing: no limit stands in the way, as at a temperature that allows both directions.
    Ignored,
}

/// Whether a zone is starved, and whether the ledger knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Starving {
    /// It is not.
    No,
    /// It is, for less than a quarter of an hour.
    Since(Instant),
    /// It is, and the ledger has it.
    Told,
}

impl Starving {
    /// How long a zone is starved before the ledger says so (rule 13).
    pub const TOLD_AFTER: Seconds = Seconds::minutes(15);
}

/// What one group remembers.
#[derive(Clone, Debug, PartialEq)]
pub struct GroupMemory {
    /// Settings as technicians have left them.
    pub settings: GroupSettings,
    /// Direction and timers.
    pub state: GroupState,
    /// The outdoor unit's memory.
    pub outdoor: OutdoorMemory,
    /// The direction last served, for counting changeovers.
    pub last_served: Option<Direction>,
}

/// Everything that a step depends on and changes.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// When the next step begins.
    pub now: Instant,
    /// How many of the model's actions have been applied.
    pub actions_done: usize,
    /// Controllers, zone by zone.
    pub zones: Vec<ZoneState>,
    /// Thermostats, zone by zone.
    pub logic: Vec<ZoneLogic>,
    /// Groups: first those on outdoor units, then zones with a plant of their own.
    pub groups: Vec<GroupMemory>,
    /// People, in their order in the model.
    pub people: Vec<PersonState>,
    /// Air and mass temperature, zone by zone, degrees C.
    pub nodes: Vec<[f64; 2]>,
    /// Humidity ratio of the air, zone by zone, kg/kg; empty where water is not followed.
    pub water: Vec<f64>,
    /// What outdoor limits compare with.
    pub outdoor: OutdoorSensor,
}

impl State {
    /// Controllers as the file has them, at midnight of the first day, in rooms at the
    /// temperatures given (air and mass, degrees C, zone by zone).
    pub fn fresh(
        model: &Model,
        groups: &[(GroupSettings, Vec<usize>)],
        nodes: Vec<[f64; 2]>,
    ) -> Self {
        let directions = group_directions(model, groups);
        let mut direction_of = vec![Direction::Heating; model.zones.len()];
        for ((settings, members), direction) in groups.iter().zip(&directions) {
            let own = matches!(settings.sharing, crate::control::Sharing::Simultaneous);
            for &member in members {
                let zone = &model.zones[member];
                direction_of[member] = if own { start_direction(zone) } else { *direction };
            }
        }
        Self {
            now: Instant::START,
            actions_done: 0,
            zones: model.zones.iter().map(ZoneState::fresh).collect(),
            logic: model.zones.iter().zip(direction_of).map(|(z, d)| fresh_logic(z, d)).collect(),
            groups: groups
                .iter()
                .zip(directions)
                .map(|((settings, _), direction)| GroupMemory {
                    settings: *settings,
                    state: GroupState::new(direction),
                    outdoor: OutdoorMemory::default(),
                    last_served: None,
                })
                .collect(),
            people: vec![PersonState::START; model.people.len()],
            water: initial_water(model, &nodes),
            nodes,
            outdoor: OutdoorSensor::Air,
        }
    }
}

/// The humidity ratios with which the zones of a model begin: that of the outdoor air, as far as
/// their air can hold it. Empty where water is not followed.
fn initial_water(model: &Model, nodes: &[[f64; 2]]) -> Vec<f64> {
    if !model.humidity.is_followed() {
        return Vec::new();
    }
    let outdoors = Course::new(&model.weather, model.period.first()).vapour(0.0);
    let vapour = outdoors.or(model.humidity.vapour_by_dew_point()).unwrap_or(0.0);
    let held = |vapour| humidity_ratio(vapour, STANDARD_PRESSURE);
    nodes.iter().map(|[air, _]| held(vapour.min(saturation_pressure(*air)))).collect()
}

/// Rule 10: before the first step a group has its owner's direction, by the owner's mode or else
/// its `direction`; without an owner the group's own.
fn group_directions(model: &Model, groups: &[(GroupSettings, Vec<usize>)]) -> Vec<Direction> {
    groups
        .iter()
        .enumerate()
        .map(|(at, (settings, members))| match (settings.owner(), model.outdoor_units.get(at)) {
            (None, Some(group)) => group.direction,
            (owner, _) => start_direction(&model.zones[members[owner.unwrap_or(0)]]),
        })
        .collect()
}

/// The direction a zone begins with: its mode's, else the file's.
fn start_direction(zone: &Zone) -> Direction {
    zone.controls.start.mode.only_direction().unwrap_or(zone.controls.direction)
}

impl ZoneState {
    fn fresh(zone: &Zone) -> Self {
        let start = zone.controls.start;
        let unit = zone.controls.settings.grid.unit();
        Self {
            settings: Arc::new(zone.controls.settings.clone()),
            stored: start,
            presence: Presence::START,
            low_limit: false,
            on_since: (start.power == Power::On).then_some(Instant::START),
            lagged: None,
            served: None,
            unit: UnitMemory::START,
            starving: Starving::No,
            recovery: Recovery::new(unit.difference_from_kelvin(1.0)),
            dark_until: None,
            output: OutputState::BEGINNING,
            window: WindowState::default(),
            permitted: None,
        }
    }

    /// The directions in which outdoor limits let calls exist; the low limit passes them.
    pub fn permitted(&self) -> Permitted {
        let both = self.permitted.map_or(Permitted::BOTH, |[own, unit]| own.and(unit));
        if self.low_limit { both.with(Direction::Heating) } else { both }
    }

    /// Mode and power as they are in force: the low limit counts as on and in `heat`, an open
    /// window may count as off.
    pub fn selection(&self) -> Selection {
        if self.dark_until.is_some() {
            return Selection::Off;
        }
        if self.low_limit {
            return Selection::On(Mode::Heat);
        }
        match self.stored.power {
            Power::On if self.window.does() != WindowDoes::Off => Selection::On(self.stored.mode),
            Power::On | Power::Off => Selection::Off,
        }
    }
}

fn fresh_logic(zone: &Zone, direction: Direction) -> ZoneLogic {
    let controls = &zone.controls;
    let (grid, start) = (controls.settings.grid, &controls.start.setpoints);
    ZoneLogic {
        thermostat: controls.thermostat,
        state: ThermostatState::new(direction),
        selection: Selection::Off,
        sensed: 0.0,
        working: WorkingSetpoints::new(grid.value(start.heat()), grid.value(start.cool())),
        rated: Direction::BOTH.map(|direction| zone.unit.rated(direction)),
    }
}

impl GroupMemory {
    /// How the zone at a place among the members stands to its group.
    pub fn standing(&self, place: usize, logic: &ZoneLogic) -> Standing {
        match self.settings.owner() {
            Some(owner) if owner != place => Standing::Follower(self.state.direction()),
            _ => Standing::Own(logic.state.direction()),
        }
    }
}
