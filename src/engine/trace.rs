//! What a run leaves behind: rows of steps and the ledger.

use std::sync::Arc;

use super::model::{Doing, ZoneIndex};
use crate::control::{
    ChangeOutcome, ControllerIndex, Direction, Mode, Opening, Outcome, Power, RecoveryPlan, Role,
    Settings, Side, Stored, Verdict, WindowDoes,
};
use crate::people::{Feels, PersonIndex};
use crate::time::{Instant, Seconds};

/// One zone at one step. Temperatures are in the file's unit, at the start of the step; heat and
/// power are means over it, W.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepRow {
    /// Start of the step.
    pub at: Instant,
    /// Which zone.
    pub zone: ZoneIndex,
    /// Outdoor air.
    pub outdoor: f64,
    /// Zone air.
    pub temperature: f64,
    /// The building's mass.
    pub mass_temperature: f64,
    /// Operative temperature.
    pub operative: f64,
    /// What the governing sensor reports.
    pub sensed: f64,
    /// Working heat setpoint.
    pub heat: f64,
    /// Working cool setpoint.
    pub cool: f64,
    /// Selected mode.
    pub mode: Mode,
    /// Whether it is switched on.
    pub power: Power,
    /// Whether somebody is there.
    pub occupied: bool,
    /// The direction the zone has.
    pub direction: Direction,
    /// The thermostat's demand.
    pub call: Option<Direction>,
    /// What the plant gives.
    pub served: Option<Direction>,
    /// Whether the zone needs the opposite of what its group does.
    pub starved: bool,
    /// Heat from the plant into the zone, negative out of it, W.
    pub heat_w: f64,
    /// Electric power of the zone's share, W.
    pub electric_w: f64,
    /// Relative humidity of zone air, percent, where its water is followed.
    pub humidity: Option<f64>,
}

/// How many numbers every row has.
pub const VALUES: usize = 9;

impl StepRow {
    /// The numbers that every row has, for sums of them: temperatures, setpoints, heat and power.
    pub fn values(mut self) -> [f64; VALUES] {
        self.values_mut().map(|value| *value)
    }

    /// The same, to be changed.
    pub fn values_mut(&mut self) -> [&mut f64; VALUES] {
        [
            &mut self.outdoor,
            &mut self.temperature,
            &mut self.mass_temperature,
            &mut self.operative,
            &mut self.sensed,
            &mut self.heat,
            &mut self.cool,
            &mut self.heat_w,
            &mut self.electric_w,
        ]
    }
}

/// Something that is not a request and yet belongs in the ledger, with what it came from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Event {
    /// A step is served in the direction opposite to the last served one.
    Changeover {
        /// The direction that is served now.
        to: Direction,
    },
    /// The zone has been starved for a quarter of an hour, since the row's time.
    StarvedFrom {
        /// What it needs.
        needs: Direction,
    },
    /// It no longer is.
    StarvedUntil,
    /// Nobody is there any more.
    UnoccupiedFrom {
        /// Whether the zone has a setback, which now works.
        setback: bool,
    },
    /// Somebody is there again.
    UnoccupiedUntil,
    /// The stored setpoints begin to work before somebody comes.
    EarlyStart {
        /// What the recovery has to do.
        plan: RecoveryPlan,
        /// How long before somebody comes.
        lead: Seconds,
    },
    /// The low limit heats. Temperatures are in the file's unit.
    LowLimitFrom {
        /// What the sensor reads.
        sensed: f64,
        /// The low limit.
        below: f64,
    },
    /// The low limit has done its work. Temperatures are in the file's unit.
    LowLimitUntil {
        /// What the sensor reads.
        sensed: f64,
        /// Where the low limit ends.
        until: f64,
    },
    /// The power went off by itself.
    AutoOff {
        /// So long after it came on.
        after: Seconds,
    },
    /// A window has been open long enough for its contact to act.
    WindowFrom {
        /// What it does.
        does: WindowDoes,
        /// How long the window had to be open.
        after: Seconds,
    },
    /// The window is closed: the contact no longer acts.
    WindowUntil,
    /// The power is back after a failure.
    PowerBack,
    /// Somebody who was left uncomfortable complains. Temperatures are operative, degrees C.
    Complaint {
        /// Who.
        person: PersonIndex,
        /// What is wrong.
        feels: Feels,
        /// For how long.
        lasted: Seconds,
        /// What they have.
        felt: f64,
        /// What they would like best.
        prefers: f64,
    },
    /// Somebody presses no more: it had no effect.
    GivesUp {
        /// Who.
        person: PersonIndex,
        /// What is wrong.
        feels: Feels,
        /// How many presses had no effect.
        presses: u32,
    },
}

impl Event {
    /// The words in the ledger's `request` column.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Changeover { .. } => "changeover",
            Self::StarvedFrom { .. } => "starved from",
            Self::StarvedUntil => "starved until",
            Self::UnoccupiedFrom { .. } => "unoccupied from",
            Self::UnoccupiedUntil => "unoccupied until",
            Self::EarlyStart { .. } => "early start",
            Self::LowLimitFrom { .. } => "low limit from",
            Self::LowLimitUntil { .. } => "low limit until",
            Self::AutoOff { .. } => "auto off",
            Self::WindowFrom { .. } => "window from",
            Self::WindowUntil => "window until",
            Self::PowerBack => "power back",
            Self::Complaint { .. } => "complaint",
            Self::GivesUp { .. } => "gives up",
        }
    }

    /// Whose event it is, where it is somebody's.
    pub const fn person(self) -> Option<PersonIndex> {
        match self {
            Self::Complaint { person, .. } | Self::GivesUp { person, .. } => Some(person),
            _ => None,
        }
    }
}

/// Who made a request.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Asker {
    /// At which controller.
    pub controller: ControllerIndex,
    /// By whom.
    pub by: Arc<str>,
    /// In which role.
    pub role: Role,
}

/// Why a request ended as it did, with everything that its words need.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// Rules 2 to 7 judged it.
    Judged {
        /// How and why.
        verdict: Verdict,
        /// The settings in force.
        settings: Arc<Settings>,
        /// The owner of the zone's group, where it has one.
        owner: Option<ZoneIndex>,
    },
    /// Rule 8 judged a change of settings.
    Changed {
        /// What it did.
        outcome: ChangeOutcome,
        /// The settings in force after it.
        settings: Arc<Settings>,
    },
    /// A window is moved, or stands so already.
    Window {
        /// To where.
        to: Opening,
        /// Whether it moves.
        changes: bool,
    },
    /// The controller is dark.
    Dark {
        /// Until the power is back.
        until: Instant,
    },
    /// The power fails.
    Fails {
        /// Until then.
        until: Instant,
        /// How many other zones on the outdoor unit are dark, too.
        others: usize,
    },
}

/// What a ledger row is about.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// A request and how it ended.
    Request {
        /// Who asked.
        asker: Asker,
        /// What was asked.
        what: Doing,
        /// How it ended.
        outcome: Outcome,
        /// The side that was asked for or pressed, if a setpoint was.
        side: Option<Side>,
        /// Why.
        why: Box<Why>,
    },
    /// An event.
    Event(Event),
}

/// One row of the ledger (rule 13), without words: those are made where it is shown.
#[derive(Clone, Debug, PartialEq)]
pub struct LedgerRow {
    /// The request's own time, or when the event happened.
    pub at: Instant,
    /// Which zone.
    pub zone: ZoneIndex,
    /// What it is about.
    pub entry: Entry,
    /// What was stored before.
    pub before: Stored,
    /// What is stored after.
    pub after: Stored,
}
