//! The simulation: the only place where control, building and plant meet.
//!
//! [`Simulation::step`] is one step in the order of rule 12; each phase stands in a file of its
//! own. [`run()`] finds the periodic state and then makes every step, showing each to an
//! [`Observer`].
//!
//! ```
//! use setband::Scenario;
//! use setband::engine::{Nobody, start};
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
//! ",
//! )?;
//! let (mut simulation, _) = start(scenario.model());
//! simulation.step(&mut Nobody);
//! assert_eq!(simulation.state().now.to_string(), "00:01");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod advance;
mod coming;
mod decide;
mod drivers;
mod early;
mod halt;
mod ideal;
mod impose;
mod imposed;
mod intervals;
mod model;
mod observe;
mod outage;
mod outdoor;
mod output;
mod people;
mod plan;
mod presence;
mod record;
mod requests;
mod run;
mod sense;
mod sensor;
mod serve;
mod shared;
mod state;
mod step;
mod sun;
mod tariff;
mod trace;
mod water;
mod window;

pub use halt::{Halt, MOST_LEDGER_ROWS, PLAUSIBLE, POSSIBLE};
pub use impose::start_in;
pub use imposed::Imposed;
pub use intervals::{
    Case, Interval, IntervalObserver, LANES, MAX_STEPS, MOST_WARMUP_DAYS, REPEATS_WITHIN, Row,
    Rows, Together, UnitInterval, WarmStart, ZoneInterval, run_together, share,
};
pub use model::{
    Action, Change, Clothing, Comfort, Doing, Humidity, Lawful, Model, OutdoorGroup, Zone,
    ZoneIndex,
};
pub use observe::{GroupView, Nobody, Observer, PersonView, ZonePower, ZoneView};
pub use run::{run, start, start_from, warm_start};
pub use state::{GroupMemory, OutdoorSensor, Starving, State, ZoneState};
pub use step::Simulation;
pub use sun::SunOver;
pub use tariff::{DemandCharge, Rate, Tariff};
pub use trace::{Asker, Entry, Event, LedgerRow, StepRow, VALUES, Why};
