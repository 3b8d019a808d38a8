//! Why somebody was cold or hot: the causes of one moment, ranked, each with the reading that decides
//! it, from a log or from a simulated run; and settings that would have helped, tried.
//!
//! ```
//! use setband::scenario::read_beside;
//! use setband::engine::ZoneIndex;
//! use setband::study::why::{Felt, Scene, why};
//!
//! let text = "log: {file: week.csv, outdoor: out, zones: {hall: {temperature: air, heat: h, cool: c}}}
//! zones:
//!   hall:
//!     space: {floor: 60 m2}
//!     unit: {heating: 4 kW, cooling: 4 kW}
//!     controls: {heat: 20, cool: 24, min_deadband: 3}
//! ";
//! let log = "time,out,air,h,c
//! 2025-04-16 08:00,9,18,17,18
//! 2025-04-16 08:05,9,18,17,18
//! 2025-04-16 08:10,9,18,17,18
//! ";
//! let study = read_beside(text, "hall.yaml", &|_| Ok(log.into()))?;
//! let site = study.base.log.clone().expect("the file names a log");
//! let (_, last) = site.log.span().expect("it has rows");
//! let scene = Scene::of_log(&study.base, &site, ZoneIndex::new(0), last).expect("it covers that");
//! let answer = why(&scene, Felt::Cold).expect("it covers that");
//! assert_eq!(answer.causes[0].code, "setpoint");
//! # Ok::<(), setband::scenario::Faults>(())
//! ```

mod asked;
mod candidates;
mod causes;
mod given;
mod look;
mod remedies;
mod scene;

pub use remedies::{Differences, Remedy, remedies};
pub use scene::Scene;

use crate::direction::Direction;
use crate::log::LogTime;

/// Every code that a cause may have.
pub const CODES: [&str; 14] = [
    "power_off",
    "mode",
    "setpoint",
    "moved_by",
    "limit",
    "deadband",
    "unoccupied",
    "recovery",
    "group_direction",
    "capacity",
    "rest",
    "sensor",
    "outdoor_limit",
    "within_band",
];

/// What somebody felt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Felt {
    /// Too cold.
    Cold,
    /// Too hot.
    Hot,
}

impl Felt {
    /// The word in calls and outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Cold => "cold",
            Self::Hot => "hot",
        }
    }

    /// The opposite.
    const fn opposite(self) -> Self {
        match self {
            Self::Cold => Self::Hot,
            Self::Hot => Self::Cold,
        }
    }

    /// What would help.
    pub const fn needs(self) -> Direction {
        match self {
            Self::Cold => Direction::Heating,
            Self::Hot => Direction::Cooling,
        }
    }
}

/// One cause.
#[derive(Clone, Debug, PartialEq)]
pub struct CauseFound {
    /// What kind of cause, the same for ever: `power_off`.
    pub code: &'static str,
    /// Since when it holds.
    pub since: LogTime,
    /// Until when it held, where the room had only not yet recovered from it.
    pub until: Option<LogTime>,
    /// The reading that decides it.
    pub reading: String,
    /// What it means, in a sentence.
    pub message: String,
}

impl CauseFound {
    /// A cause that still holds.
    fn new(
        code: &'static str,
        since: LogTime,
        reading: impl Into<String>,
        message: impl Into<String>,
    ) -> Self {
        Self { code, since, until: None, reading: reading.into(), message: message.into() }
    }
}

/// The answer to a complaint.
#[derive(Clone, Debug, PartialEq)]
pub struct Answer {
    /// What people call the zone.
    pub zone: String,
    /// When.
    pub at: LogTime,
    /// What was felt.
    pub felt: Felt,
    /// In one sentence.
    pub answer: String,
    /// The causes, the first the one that decides.
    pub causes: Vec<CauseFound>,
}

/// Why a scene felt as it did; `None` where nothing is known of that time.
pub fn why(scene: &Scene, felt: Felt) -> Option<Answer> {
    let causes = causes::causes(scene, felt)?;
    let sample = scene.sample()?;
    let air = sample.temperature.map_or_else(
        || "at a temperature that was not recorded".to_owned(),
        |air| format!("at {} {}", scene::shown(air), scene.unit.letter()),
    );
    let first = causes.first()?;
    let since = scene.lasted(first);
    let answer =
        format!("{} was {} {air} because {}{since}.", scene.label, felt.name(), first.message);
    let (zone, at) = (scene.label.clone(), scene.at);
    Some(Answer { zone, at, felt, answer, causes })
}
