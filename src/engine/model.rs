//! A scenario as the engine runs it: checked, in SI where it is physics, in ticks and the file's
//! unit where it is control.

use std::sync::Arc;

use super::tariff::Tariff;
use crate::building::{Gain, Neighbour, Space, SunnyWall, Window};
use crate::control::{
    ControllerIndex, GroupChange, GroupSettings, Opening, OutdoorLimits, Request, Role,
    SettingsChange, ZoneControls,
};
use crate::direction::Direction;
use crate::log::SiteLog;
use crate::moist_air::over_water;
use crate::people::Person;
use crate::plant::{IndoorUnit, OutdoorUnit};
use crate::time::{Instant, Period, Seconds};
use crate::units::TemperatureUnit;
use crate::weather::{Almanac, Site, Sky, Weather};

pub use crate::building::ZoneIndex;

/// One study, ready to run.
#[derive(Clone, Debug)]
pub struct Model {
    /// What the study is called.
    pub title: String,
    /// Which variant of its file this is; `None` for the file as written.
    pub variant: Option<String>,
    /// The unit of every bare temperature, and of the controllers.
    pub unit: TemperatureUnit,
    /// Which days, in which steps.
    pub period: Period,
    /// Seed of everything random.
    pub seed: u64,
    /// The weather.
    pub weather: Weather,
    /// Where the building stands, if the file says so.
    pub site: Option<Site>,
    /// How the light is spread over the sky, and where it comes from where the weather has none.
    pub sky: Sky,
    /// How damp the air of the zones is.
    pub humidity: Humidity,
    /// The zones, in file order.
    pub zones: Vec<Zone>,
    /// Conductances between the air of two zones.
    pub neighbours: Vec<Neighbour>,
    /// Outdoor units that several zones share; a zone on none has a plant of its own.
    pub outdoor_units: Vec<OutdoorGroup>,
    /// What people and schedules do, in the order in which it is applied.
    pub actions: Vec<Action>,
    /// Occupants who feel and press keys, in file order, each by itself.
    pub people: Vec<Person>,
    /// What the site recorded, if the file names a log.
    pub log: Option<Arc<SiteLog>>,
    /// What electricity costs, if the file says so.
    pub tariff: Option<Tariff>,
    /// What follows from weather and place, shared by models of one file. Which one it is changes no
    /// result.
    pub almanac: Arc<Almanac>,
}

impl Model {
    /// The zone of that name in the file.
    pub fn zone_named(&self, id: &str) -> Option<ZoneIndex> {
        self.zones.iter().position(|zone| zone.id == id).map(ZoneIndex::new)
    }
}

/// How damp the air of the zones is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Humidity {
    /// Relative humidity, percent, where the weather has none of its own.
    Constant(f64),
    /// The water in each zone's air is followed; the dew point outdoors, degrees C, where the
    /// weather has no humidity of its own.
    Followed {
        /// Dew point outdoors, degrees C.
        dew_point: Option<f64>,
    },
}

impl Humidity {
    /// Whether the water in each zone's air is followed.
    pub const fn is_followed(self) -> bool {
        matches!(self, Self::Followed { .. })
    }

    /// Pressure of water vapour outdoors, Pa, by the dew point given, if one is.
    pub(super) fn vapour_by_dew_point(self) -> Option<f64> {
        match self {
            Self::Followed { dew_point } => dew_point.map(over_water),
            Self::Constant(_) => None,
        }
    }
}

/// One zone with its unit and its controls.
#[derive(Clone, Debug)]
pub struct Zone {
    /// Its name in the file.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// The room.
    pub space: Space,
    /// Its windows, for the sun; their conductance is in the space already.
    pub windows: Vec<Window>,
    /// Outer walls and roofs that the sun warms; their conductance is in the space already.
    pub walls: Vec<SunnyWall>,
    /// Heat that people, lights and machines give off.
    pub gains: Vec<Gain>,
    /// What heats and cools it.
    pub unit: IndoorUnit,
    /// How that is controlled.
    pub controls: ZoneControls,
    /// What its people find comfortable.
    pub comfort: Comfort,
}

/// Zones on one outdoor unit.
#[derive(Clone, Debug)]
pub struct OutdoorGroup {
    /// Its name in the file.
    pub id: String,
    /// What people call it.
    pub label: String,
    /// Its zones, in file order.
    pub zones: Vec<ZoneIndex>,
    /// The outdoor unit.
    pub unit: OutdoorUnit,
    /// How the zones share it.
    pub settings: GroupSettings,
    /// Its direction before the first step, where no owner gives one.
    pub direction: Direction,
    /// Outdoor temperatures beyond which none of its zones may heat or cool.
    pub outdoor_limits: OutdoorLimits,
}

/// What is comfortable, and what comfort depends on besides temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Comfort {
    /// Lowest comfortable operative temperature, degrees C.
    pub low: f64,
    /// Highest comfortable operative temperature, degrees C.
    pub high: f64,
    /// So far outside that counts as comfortable still, K.
    pub tolerance: f64,
    /// Metabolic rate, met.
    pub met: f64,
    /// What people wear.
    pub clothing: Clothing,
    /// Air speed, m/s.
    pub air_speed: f64,
    /// The temperatures that the law asks for, if the file gives any.
    pub lawful: Option<Lawful>,
}

impl Comfort {
    /// Beyond these operative temperatures time counts as outside the band, degrees C.
    pub fn counted(&self) -> (f64, f64) {
        (self.low - self.tolerance, self.high + self.tolerance)
    }
}

/// What people wear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Clothing {
    /// The same all year, clo.
    Same(f64),
    /// By the running mean outdoors: winter clothes up to 10 C, summer clothes from 20 C on, in
    /// between in proportion (common practice, no source).
    BySeason {
        /// clo.
        winter: f64,
        /// clo.
        summer: f64,
    },
}

impl Clothing {
    /// Insulation, clo, on a day with a running mean outdoors, degrees C.
    pub fn on(self, running_mean: f64) -> f64 {
        match self {
            Self::Same(clo) => clo,
            Self::BySeason { winter, summer } => {
                let part = ((running_mean - 10.0) / 10.0).clamp(0.0, 1.0);
                winter + part * (summer - winter)
            }
        }
    }

    /// Whether it is the same on every day.
    pub const fn is_constant(self) -> bool {
        matches!(self, Self::Same(_))
    }
}

/// Lawful air temperatures, which differ by place and are never assumed, degrees C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lawful {
    /// The least.
    pub low: Option<f64>,
    /// The most.
    pub high: Option<f64>,
}

/// One request or change of settings at its time. An action of the file with several keys or
/// presses has become several of these.
#[derive(Clone, Debug, PartialEq)]
pub struct Action {
    /// When.
    pub at: Instant,
    /// Which of the file's actions it is or comes from, counted from 0; `None` where it comes from
    /// somewhere else, such as setpoints that go back by the clock.
    pub place: Option<usize>,
    /// In which zone.
    pub zone: ZoneIndex,
    /// At which controller.
    pub controller: ControllerIndex,
    /// By whom.
    pub by: Arc<str>,
    /// In which role.
    pub role: Role,
    /// What.
    pub what: Doing,
}

/// What an action does.
#[derive(Clone, Debug, PartialEq)]
pub enum Doing {
    /// Asks for something.
    Request(Request),
    /// Changes settings of the zone, its group, or both.
    Set(Arc<Change>),
    /// Opens or closes a window of the zone (rule 16).
    Window(Opening),
    /// The power of the zone's whole group fails for so long (rule 14).
    PowerFailure(Seconds),
}

/// New settings, with the words that the ledger has for them.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// The change as the file writes it: `min_deadband 3`.
    pub words: String,
    /// New settings of the zone.
    pub zone: SettingsChange,
    /// New settings of its group.
    pub group: GroupChange,
}
