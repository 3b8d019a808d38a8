//! The simulation: the only place where control, building and plant meet.
//!
//! [`Simulation::step`] is one step in the order of rule 12; each phase stands in a file of its
//! own. [`run()`] finds the periodic state and then makes every step, showing each to an
//! [`Observer`].

mod advance;
mod coming;
mod decide;
mod drivers;
mod early;
mod halt;
mod ideal;
mod intervals;
mod model;
mod observe;
mod outage;
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

pub use halt::{Halt, MOST_LEDGER_ROWS, PLAUSIBLE, POSSIBLE};
pub use intervals::{
    Case, Interval, IntervalObserver, LANES, MAX_STEPS, MOST_WARMUP_DAYS, REPEATS_WITHIN, Row,
    Rows, WarmStart, ZoneInterval, run_together, share,
};
pub use model::{
    Action, Change, Clothing, Comfort, Doing, Humidity, Lawful, Model, OutdoorGroup, Zone,
    ZoneIndex,
};
pub use observe::{GroupView, Nobody, Observer, PersonView, ZonePower, ZoneView};
pub use run::{run, start, start_from, warm_start};
pub use state::{GroupMemory, Starving, State, ZoneState};
pub use step::Simulation;
pub use tariff::{DemandCharge, Rate, Tariff};
pub use trace::{Asker, Entry, Event, LedgerRow, StepRow, Why};
