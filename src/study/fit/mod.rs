//! The zone as it is: its own keys fitted to its log.
//!
//! The zone's network goes through a step by the engine's exact solution; what acts on it is taken from
//! the log ([`Inputs`]). Beside it stands a slow heat that nothing explains. A filter follows the
//! readings ([`Task`]), a smoother finds the state at the start and the heat that the file does not
//! explain ([`follow`]).
//!
//! ```
//! use setband::engine::ZoneIndex;
//! use setband::scenario::read_beside;
//! use setband::study::fit::{Inputs, follow};
//!
//! // A room that holds 21 degrees in the cold without any plant: something warms it.
//! let mut log = "time,air,out,run\n".to_owned();
//! for minute in 0..300 {
//!     let (hour, rest) = (minute / 60, minute % 60);
//!     log += &format!("2025-01-06 {hour:02}:{rest:02},21.0,5.0,none\n");
//! }
//! let text = "log: {file: day.csv, outdoor: out, zones: {hall: {temperature: air, running: run}}}\n\
//!             zones: {hall: {space: {floor: 60 m2}, unit: {heating: 4 kW}, controls: {heat: 20, cool: 24}}}\n";
//! let study = read_beside(text, "hall.yaml", &|_| Ok(log.clone().into_bytes()))?;
//! let site = study.base.log.clone().expect("it has a log");
//! let zone = ZoneIndex::new(0);
//! let grid = Inputs::grid(&study.base, &site, zone, 10_000).expect("the log has the zone");
//! let followed = follow(&study.base, &site, zone, grid, None).expect("it has its temperature");
//! assert!(followed.unexplained[150] > 100.0, "{}", followed.unexplained[150]);
//! # Ok::<(), setband::scenario::Faults>(())
//! ```

mod changes;
mod cycles;
mod drawing;
pub mod draws;
mod electricity;
mod filter;
mod finished;
mod fitting;
mod gains;
mod grid;
mod inputs;
mod measure;
mod minimise;
mod options;
mod parameter;
mod placing;
mod plant_heat;
mod problem;
mod profile;
mod readings;
mod search;
mod smoother;
mod state_space;
mod thresholds;
mod unexplained;
mod untold;
mod zone_fit;

pub use changes::{Change, Numbers, placed};
pub use electricity::{Electricity, Estimated};
pub use filter::{Column, Kept, Sums, Task};
pub use grid::Grid;
pub use inputs::{Inputs, NoInputs};
pub use measure::{LEADS, RunError, Whiteness};
pub use options::{Freed, Options};
pub use parameter::Parameter;
pub use placing::{draws_together, in_place};
pub use plant_heat::PlantHeat;
pub use problem::{GainOf, Room, Size};
pub use profile::Profile;
pub use readings::Readings;
pub use search::Structure;
pub use smoother::{Smoothed, smooth};
pub use state_space::{AIR, MASS, Noise, SLOW, StateSpace};
pub use thresholds::Threshold;
pub use unexplained::{Followed, SLOW_TIME, follow, follow_inputs};
pub use untold::Untold;
pub use zone_fit::{NoFit, OneStep, ZoneFit, fit_zone, fit_zones, logged_zones};
