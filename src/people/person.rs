//! A person as a file gives it, and as an occupant of one study.

use std::sync::Arc;

use super::complaint::Complaining;
use super::crowd::BodyHeat;
use super::draws::{Decision, Draws};
use super::stay::{Attendance, Stay};
use super::taste::{Sensation, Taste};
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
    /// What they prefer, and how they vote.
    pub taste: Taste,
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
    /// After the first press without effect they give up so often an hour, 1/h; 0 for never.
    pub gives_up_rate: f64,
    /// Whether they switch on when coming and off when going.
    pub switching: Switching,
    /// How they complain.
    pub complaining: Complaining,
    /// Heat that they give off.
    pub heat: BodyHeat,
}

/// How long somebody bears discomfort.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Patience {
    /// About so long.
    About {
        /// The mean time.
        mean: Seconds,
        /// It is drawn evenly from this part of the mean less to this part more, 0 to 1.
        spread: f64,
    },
    /// Who wants a change does something about it so often an hour, 1/h: most bear it until it is
    /// over.
    Rate(f64),
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
    /// The temperature that this one prefers on the whole, degrees C.
    prefers: f64,
    pub(super) draws: Draws,
    pub(super) stays: Vec<Stay>,
}

impl<'m> Occupant<'m> {
    /// Draws what this person prefers and when they are there. `zone` is the zone's name in the
    /// file, which tells people of the same name in different zones apart.
    pub fn new(person: &'m Person, zone: &str, seed: u64, period: &Period) -> Self {
        let draws = Draws::new(seed, zone, &person.name, person.copy);
        let own = person.taste.spread * draws.normal(Decision::Preference, 0, 0);
        let stays = person.attendance.stays(&draws, period);
        Self { person, prefers: person.taste.prefers + own, draws, stays }
    }

    /// When this person is there.
    pub fn stays(&self) -> &[Stay] {
        &self.stays
    }

    /// The temperature that this one prefers at an instant, degrees C.
    pub fn prefers(&self, at: Instant) -> f64 {
        let varies = self.person.taste.varies;
        if varies > 0.0 {
            self.prefers + varies * self.hourly(Decision::Mood, at)
        } else {
            self.prefers
        }
    }

    /// A normal deviate that stays the same for an hour.
    fn hourly(&self, decision: Decision, at: Instant) -> f64 {
        let hour = u32::try_from(at.second_of_day() / 3600).unwrap_or(0);
        self.draws.normal(decision, at.day(), hour)
    }

    /// What is wrong with an operative temperature, degrees C, if anything is.
    pub fn feels(&self, at: Instant, operative: f64) -> Option<Feels> {
        self.feels_at(self.prefers(at), operative)
    }

    /// [`Self::prefers`], with what it was in the same hour.
    pub(super) fn prefers_still(&self, known: &mut Option<(i64, f64)>, at: Instant) -> f64 {
        let hour = at.get().div_euclid(3600);
        match *known {
            Some((known, prefers)) if known == hour => prefers,
            _ => known.insert((hour, self.prefers(at))).1,
        }
    }

    /// What is wrong with an operative temperature for somebody who prefers another.
    pub(super) fn feels_at(&self, prefers: f64, operative: f64) -> Option<Feels> {
        let distance = operative - prefers;
        if distance < -self.person.taste.tolerance {
            Some(Feels::TooCold)
        } else if distance > self.person.taste.tolerance {
            Some(Feels::TooWarm)
        } else {
            None
        }
    }

    /// How this person votes on an operative temperature, degrees C: -3 (cold) to 3 (hot).
    pub fn vote(&self, at: Instant, operative: f64) -> f64 {
        let taste = &self.person.taste;
        let Some(Sensation { neutral, per_kelvin, spread, shared }) = taste.sensation else {
            return (operative - self.prefers(at)) / self.person.complaining.kelvin_per_vote;
        };
        let whole = taste.spread.hypot(taste.varies);
        let preferring = if whole > 0.0 { (self.prefers(at) - taste.prefers) / whole } else { 0.0 };
        let own = libm::sqrt(1.0 - shared * shared) * self.hourly(Decision::Feeling, at);
        // Who prefers it warmer than others votes colder.
        per_kelvin * (operative - neutral) + spread * (own - shared * preferring)
    }

    /// How long discomfort is borne, for the `number`-th time on a day.
    pub(super) fn wait(&self, day: i64, number: u32) -> Seconds {
        /// No wait is longer: nobody is there for so long.
        const LONGEST: f64 = 1e7;
        let seconds = match self.person.patience {
            Patience::About { mean, spread } => {
                let draw = self.draws.even(Decision::Wait, day, number);
                mean.get() as f64 * (1.0 + spread * (2.0 * draw - 1.0))
            }
            Patience::Rate(rate) if rate > 0.0 => {
                3600.0 / rate * self.draws.exponential(Decision::Wait, day, number)
            }
            Patience::Rate(_) => LONGEST,
        };
        #[expect(clippy::cast_possible_truncation, reason = "held to a longest")]
        Seconds::new((libm::round(seconds.min(LONGEST)) as i64).max(1))
    }

    /// Whether this person gives up within the step that begins at an instant, once presses were
    /// without effect.
    pub(super) fn gives_up(&self, at: Instant, step: Seconds) -> bool {
        let rate = self.person.gives_up_rate;
        let number = u32::try_from(at.second_of_day() / step.get()).unwrap_or(0);
        rate > 0.0
            && self.draws.even(Decision::GivingUp, at.day(), number)
                < -libm::expm1(-rate * step.in_hours())
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
