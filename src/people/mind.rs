//! What somebody makes of what they feel and see, step by step.

use super::draws::Decision;
use super::person::{Feels, Occupant};
use crate::control::{Key, Mode, Power};
use crate::direction::Direction;
use crate::time::{DAY, Instant, Seconds};

/// A room that has not come so much nearer since the last press counts as not moved, K: less is
/// hardly felt. Common practice, no source.
pub const MOVED_ENOUGH: f64 = 0.1;
/// How often somebody uncomfortable thinks of complaining.
const THINKS_EVERY: Seconds = Seconds::minutes(15);

/// What somebody in a zone feels and sees at the controller.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Senses {
    /// The present time.
    pub now: Instant,
    /// The length of a step.
    pub step: Seconds,
    /// Operative temperature, degrees C.
    pub operative: f64,
    /// The mode that is shown.
    pub mode: Mode,
    /// How many modes the unit has.
    pub modes: u32,
    /// Whether it is switched on.
    pub power: Power,
    /// Whether the mode is an owner's and not the zone's own.
    pub follows: bool,
    /// What the plant gave in the step before.
    pub served: Option<Direction>,
}

/// What somebody decides to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Intent {
    /// Press a key once; then [`PersonState::learn`] is to be told what came of it.
    Press(Key),
    /// Complain, after so long.
    Complain(Feels, Seconds),
    /// Give up pressing, after so many presses without effect.
    GiveUp(Feels, u32),
}

/// Steps in which somebody was there and had nothing to do.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Lived {
    /// How many.
    pub steps: usize,
    /// In how many of them it was too cold,
    pub cold: u64,
    /// and in how many too warm.
    pub warm: u64,
}

/// Whether somebody is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Movement {
    /// Not there.
    Away,
    /// There since this step.
    Comes,
    /// There as before.
    Stays,
    /// Gone since this step: for a break, or home.
    Goes {
        /// Whether for good that day.
        home: bool,
    },
}

/// What somebody remembers from one step to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PersonState {
    /// The present stay, or the next.
    stay: usize,
    mind: Mind,
    waits: Waits,
    /// The day of the last complaint.
    complained_on: Option<i64>,
    /// When complaining was last thought of, in spells since the first midnight.
    thought_at: i64,
}

/// How many waits have been drawn on a day.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Waits {
    day: i64,
    count: u32,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Mind {
    Away,
    Comfortable,
    Bothered(Bothered),
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Bothered {
    feels: Feels,
    since: Instant,
    /// Presses without effect in a row.
    futile: u32,
    /// The last presses, as long as it is open whether the room follows.
    tried: Option<Tried>,
    next: Next,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Tried {
    /// How far the room was from what is preferred, K.
    distance: f64,
    /// Presses that the controller took.
    presses: u32,
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Next {
    Acts { at: Instant },
    Presses { key: Key, left: u32 },
    GivenUp,
}

impl PersonState {
    /// Before the first step.
    pub const START: Self = Self {
        stay: 0,
        mind: Mind::Away,
        waits: Waits { day: i64::MIN, count: 0 },
        complained_on: None,
        thought_at: i64::MIN,
    };

    /// Comes, stays or goes, as it is time to.
    pub fn attend(&mut self, who: &Occupant<'_>, now: Instant) -> Movement {
        let there = self.mind != Mind::Away;
        let Some(stay) = who.stays.get(self.stay) else { return Movement::Away };
        if now >= stay.to {
            // A stay shorter than a step was never noticed.
            self.stay += 1;
            self.mind = Mind::Away;
            return if there { Movement::Goes { home: stay.goes_home } } else { Movement::Away };
        }
        if now < stay.from {
            return Movement::Away;
        }
        if there {
            return Movement::Stays;
        }
        self.mind = Mind::Comfortable;
        Movement::Comes
    }

    /// Whether this person is there, as noted last.
    pub fn is_there(&self) -> bool {
        self.mind != Mind::Away
    }

    /// What is wrong with the temperature for somebody who is there, as felt last.
    pub const fn feels(&self) -> Option<Feels> {
        match self.mind {
            Mind::Bothered(Bothered { feels, .. }) => Some(feels),
            Mind::Away | Mind::Comfortable => None,
        }
    }

    /// What somebody who is there does next; to be asked again in the same step until there is
    /// nothing more.
    pub fn decide(&mut self, who: &Occupant<'_>, senses: &Senses) -> Option<Intent> {
        let Some(feels) = who.feels(senses.now, senses.operative) else {
            self.mind = Mind::Comfortable;
            return None;
        };
        let mut bothered = match self.mind {
            Mind::Bothered(bothered) if bothered.feels == feels => bothered,
            _ => {
                let at = senses.now + self.next_wait(who, senses.now);
                let next = Next::Acts { at };
                Bothered { feels, since: senses.now, futile: 0, tried: None, next }
            }
        };
        let intent = self.complaint(who, &bothered, senses);
        let intent = intent.or_else(|| self.action(who, &mut bothered, senses));
        self.mind = Mind::Bothered(bothered);
        intent
    }

    /// Until when somebody there stays, or somebody who is not stays away.
    pub fn until(&self, who: &Occupant<'_>) -> Option<Instant> {
        let stay = who.stays.get(self.stay)?;
        Some(if self.is_there() { stay.to } else { stay.from })
    }

    /// Lets somebody who is there live through so many steps, each with what it is like, up to the one
    /// in which there is something to be done; that is left to [`Self::decide`].
    pub fn live_through(
        &mut self,
        who: &Occupant<'_>,
        steps: usize,
        senses: impl Fn(usize) -> Senses,
    ) -> Lived {
        let mut lived = Lived { steps, cold: 0, warm: 0 };
        let mut mood = None;
        for step in 0..steps {
            let senses = senses(step);
            let prefers = who.prefers_still(&mut mood, senses.now);
            let feels = who.feels_at(prefers, senses.operative);
            if self.mind == Mind::Comfortable && feels.is_none() {
                continue;
            }
            let before = *self;
            if self.decide(who, &senses).is_some() {
                *self = before;
                lived.steps = step;
                break;
            }
            match self.feels() {
                Some(Feels::TooCold) => lived.cold += 1,
                Some(Feels::TooWarm) => lived.warm += 1,
                None => {}
            }
        }
        lived
    }

    /// What came of the press that was decided last: whether the controller shows a change.
    pub fn learn(&mut self, who: &Occupant<'_>, senses: &Senses, changed: bool) {
        let Mind::Bothered(mut bothered) = self.mind else { return };
        let Next::Presses { key, left } = bothered.next else { return };
        if changed {
            let distance = (senses.operative - who.prefers(senses.now)).abs();
            let before = bothered.tried.map_or(0, |tried| tried.presses);
            bothered.tried = Some(Tried { distance, presses: before + 1 });
        } else {
            bothered.futile += 1;
        }
        bothered.next = if changed && left > 1 {
            Next::Presses { key, left: left - 1 }
        } else {
            Next::Acts { at: senses.now + self.next_wait(who, senses.now) }
        };
        self.mind = Mind::Bothered(bothered);
    }

    fn action(
        &mut self,
        who: &Occupant<'_>,
        bothered: &mut Bothered,
        senses: &Senses,
    ) -> Option<Intent> {
        let acts = matches!(bothered.next, Next::Acts { .. });
        if acts && bothered.futile > 0 && who.gives_up(senses.now, senses.step) {
            bothered.next = Next::GivenUp;
            return Some(Intent::GiveUp(bothered.feels, bothered.futile));
        }
        match bothered.next {
            Next::GivenUp => None,
            Next::Acts { at } if senses.now < at => None,
            Next::Presses { key: Key::Mode, .. } if can_help(senses, bothered.feels) => {
                bothered.next = Next::Acts { at: senses.now + self.next_wait(who, senses.now) };
                None
            }
            Next::Presses { key, .. } => Some(Intent::Press(key)),
            Next::Acts { .. } => {
                note_what_the_room_did(who, bothered, senses);
                let fed_up =
                    who.person.gives_up_after.is_some_and(|after| bothered.futile >= after);
                let chosen = if fed_up {
                    last_resort(who, bothered.feels, senses)
                } else {
                    choice(who, bothered.feels, senses)
                };
                let Some((key, left)) = chosen else {
                    if fed_up {
                        bothered.next = Next::GivenUp;
                        return Some(Intent::GiveUp(bothered.feels, bothered.futile));
                    }
                    bothered.next = Next::Acts { at: senses.now + self.next_wait(who, senses.now) };
                    return None;
                };
                bothered.next = Next::Presses { key, left };
                Some(Intent::Press(key))
            }
        }
    }

    fn complaint(
        &mut self,
        who: &Occupant<'_>,
        bothered: &Bothered,
        senses: &Senses,
    ) -> Option<Intent> {
        let spell = THINKS_EVERY.max(senses.step);
        let number = senses.now.get().div_euclid(spell.get());
        let already = std::mem::replace(&mut self.thought_at, number) == number;
        let complaining = &who.person.complaining;
        let (day, lasted) = (senses.now.day(), senses.now.since(bothered.since));
        if already || lasted < complaining.after || self.complained_on == Some(day) {
            return None;
        }
        let chance = complaining.probability(who.vote(senses.now, senses.operative), spell);
        let today = u32::try_from(number - day * DAY / spell.get()).unwrap_or(0);
        if who.draws.even(Decision::Complaint, day, today) >= chance {
            return None;
        }
        self.complained_on = Some(day);
        Some(Intent::Complain(bothered.feels, lasted))
    }

    fn next_wait(&mut self, who: &Occupant<'_>, now: Instant) -> Seconds {
        let day = now.day();
        if self.waits.day != day {
            self.waits = Waits { day, count: 0 };
        }
        let wait = who.wait(day, self.waits.count);
        self.waits.count += 1;
        wait
    }
}

/// Presses that the controller took were without effect where the room has not come nearer.
fn note_what_the_room_did(who: &Occupant<'_>, bothered: &mut Bothered, senses: &Senses) {
    if let Some(tried) = bothered.tried.take() {
        let distance = (senses.operative - who.prefers(senses.now)).abs();
        if tried.distance - distance < MOVED_ENOUGH {
            bothered.futile += tried.presses;
        } else {
            bothered.futile = 0;
        }
    }
}

/// Whether the mode that is shown can do what would help.
fn can_help(senses: &Senses, feels: Feels) -> bool {
    match (senses.follows, senses.mode) {
        (_, Mode::Fan) => false,
        (true, _) => true,
        (false, mode) => mode.allows(feels.wants()),
    }
}

/// The key that somebody thinks would help, and how often to press it.
fn choice(who: &Occupant<'_>, feels: Feels, senses: &Senses) -> Option<(Key, u32)> {
    let person = who.person;
    let keys = person.keys;
    if senses.power == Power::Off && keys.power {
        return Some((Key::Power, 1));
    }
    if senses.power == Power::On && keys.mode && !can_help(senses, feels) {
        return Some((Key::Mode, senses.modes));
    }
    keys.setpoint.then(|| (feels.key(), person.presses))
}

/// What somebody does before giving up: switch off a unit that works against them.
fn last_resort(who: &Occupant<'_>, feels: Feels, senses: &Senses) -> Option<(Key, u32)> {
    let against = senses.served == Some(feels.wants().opposite());
    let can = who.person.keys.power && senses.power == Power::On;
    (against && can).then_some((Key::Power, 1))
}

#[cfg(test)]
mod tests;
