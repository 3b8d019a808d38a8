//! A person as a file gives it, and as an occupant of one study.

use std::sync::Arc;

use super::complaint::Complaining;
use super::crowd::BodyHeat;
use super::draws::{Decision, Draws};
use super::stay::{Attendance, Stay};
use crate::building::ZoneIndex;
use crate::control::{ControllerIndex, Key};
use crate::direction::Direction;
use crate::time::{Instant, Period, Seconds};

/// One person. A file's `count` of several has become several of these.
#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    /// In which zone.
    pub zone: ZoneIndex,
    /// What the file calls them.
    pub name: Arc<str>,
    /// What the ledger calls this one: the name, with a number where there are several.
    pub shown: Arc<str>,
    /// Which of several, from 1.
    pub copy: u32,
    /// The operative temperature they like best, degrees C.
    pub prefers: f64,
    /// Standard deviation of that from one person to the next, K.
    pub prefers_spread: f64,
    /// So far from it they are comfortable, K.
    pub tolerance: f64,
    /// How long they bear discomfort before they do something.
    pub patience: Patience,
    /// When they are there.
    pub attendance: Attendance,
    /// The controller that they use.
    pub controller: ControllerIndex,
    /// The keys that they use.
    pub keys: UsedKeys,
    /// How often they press warmer or cooler in a row.
    pub presses: u32,
    /// After so many presses without effect they give up; `None` for never.
    pub gives_up_after: Option<u32>,
    /// Whether they switch on when coming and off when going.
    pub switching: Switching,
    /// How they complain.
    pub complaining: Complaining,
    /// Heat that they give off.
    pub heat: BodyHeat,
}

/// How long somebody bears discomfort.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patience {
    /// The mean time.
    pub mean: Seconds,
    /// It is drawn evenly from this part of the mean less to this part more, 0 to 1.
    pub spread: f64,
}

/// The keys that somebody knows and uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UsedKeys {
    /// Warmer and cooler.
    pub setpoint: bool,
    /// Mode.
    pub mode: bool,
    /// Power.
    pub power: bool,
}

/// Whether somebody minds the power key when coming and going.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Switching {
    /// They do not.
    Never,
    /// They switch on what they find off when coming, and off what is on when going home last.
    Both {
        /// The probability of forgetting to switch off, 0 to 1.
        forgets: f64,
    },
}

/// What is wrong with the temperature.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feels {
    /// It is too cold.
    TooCold,
    /// It is too warm.
    TooWarm,
}

impl Feels {
    /// The direction that would help.
    pub const fn wants(self) -> Direction {
        match self {
            Self::TooCold => Direction::Heating,
            Self::TooWarm => Direction::Cooling,
        }
    }

    /// The key that should help.
    pub const fn key(self) -> Key {
        match self {
            Self::TooCold => Key::Warmer,
            Self::TooWarm => Key::Cooler,
        }
    }

    /// `too cold` or `too warm`.
    pub const fn words(self) -> &'static str {
        match self {
            Self::TooCold => "too cold",
            Self::TooWarm => "too warm",
        }
    }
}

/// A person on the days of one study.
#[derive(Clone, Debug, PartialEq)]
pub struct Occupant<'m> {
    /// Who it is.
    pub person: &'m Person,
    /// The temperature that this one prefers, degrees C.
    pub prefers: f64,
    pub(super) draws: Draws,
    pub(super) stays: Vec<Stay>,
}

impl<'m> Occupant<'m> {
    /// Draws what this person prefers and when they are there. `zone` is the zone's name in the
    /// file, which tells people of the same name in different zones apart.
    pub fn new(person: &'m Person, zone: &str, seed: u64, period: &Period) -> Self {
        let draws = Draws::new(seed, zone, &person.name, person.copy);
        let own = person.prefers_spread * draws.normal(Decision::Preference, 0, 0);
        let stays = person.attendance.stays(&draws, period);
        Self { person, prefers: person.prefers + own, draws, stays }
    }

    /// When this person is there.
    pub fn stays(&self) -> &[Stay] {
        &self.stays
    }

    /// What is wrong with an operative temperature, degrees C, if anything is.
    pub fn feels(&self, operative: f64) -> Option<Feels> {
        let distance = operative - self.prefers;
        if distance < -self.person.tolerance {
            Some(Feels::TooCold)
        } else if distance > self.person.tolerance {
            Some(Feels::TooWarm)
        } else {
            None
        }
    }

    /// How long discomfort is borne, for the `number`-th time on a day.
    pub(super) fn wait(&self, day: i64, number: u32) -> Seconds {
        let Patience { mean, spread } = self.person.patience;
        let draw = self.draws.even(Decision::Wait, day, number);
        let factor = 1.0 + spread * (2.0 * draw - 1.0);
        #[expect(clippy::cast_possible_truncation, reason = "twice a timer is far below 2^53")]
        Seconds::new((libm::round(mean.get() as f64 * factor) as i64).max(1))
    }

    /// Whether this person forgets to switch off when going at an instant.
    pub fn forgets(&self, at: Instant) -> bool {
        match self.person.switching {
            Switching::Never => true,
            Switching::Both { forgets } => {
                self.draws.even(Decision::Forgetting, at.day(), 0) < forgets
            }
        }
    }
}
