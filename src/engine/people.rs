//! The second half of phase 1: what people decide from the state at the start of the step.

use super::model::{Doing, ZoneIndex};
use super::observe::{Observer, PersonView};
use super::requests::Asking;
use super::step::Simulation;
use super::trace::{Asker, Event};
use crate::control::{Key, Mode, Power, Request, Role, Standing, Ticks};
use crate::people::{Intent, Movement, PersonIndex, Senses, Switching};
use crate::time::Instant;

/// Decisions of one person in one step, at most; the most presses in a row are far fewer.
const MOST_DECISIONS: u32 = 100;

/// What a controller shows.
type Shows = (Ticks, Ticks, Mode, Power);

impl Simulation<'_> {
    /// Lets everybody who is there feel, press and complain, in the order of the file.
    pub(super) fn people_act(&mut self, now: Instant, observer: &mut impl Observer) {
        if self.state.people.is_empty() || !self.scratch.acting {
            return;
        }
        for person in 0..self.state.people.len() {
            match self.state.people[person].attend(&self.plan.people[person], now) {
                Movement::Away => {}
                Movement::Goes { home } => {
                    if home && self.switches_off(person, now) {
                        self.touch(person, Key::Power, now, observer);
                    }
                }
                Movement::Comes => {
                    if self.switches_on(person) {
                        self.touch(person, Key::Power, now, observer);
                    }
                    self.live(person, now, observer);
                }
                Movement::Stays => self.live(person, now, observer),
            }
        }
    }

    /// One step of somebody who is there.
    fn live(&mut self, person: usize, now: Instant, observer: &mut impl Observer) {
        let mut view = PersonView {
            at: now,
            person: PersonIndex::new(person),
            feels: None,
            has_complained: false,
            has_given_up: false,
        };
        for _ in 0..MOST_DECISIONS {
            let senses = self.senses(person, now);
            let occupant = &self.plan.people[person];
            let Some(intent) = self.state.people[person].decide(occupant, &senses) else { break };
            match intent {
                Intent::Press(key) => {
                    let changed = self.touch(person, key, now, observer);
                    let senses = self.senses(person, now);
                    let occupant = &self.plan.people[person];
                    self.state.people[person].learn(occupant, &senses, changed);
                }
                Intent::Complain(feels, lasted) => {
                    view.has_complained = true;
                    let event = Event::Complaint {
                        person: view.person,
                        feels,
                        lasted,
                        felt: senses.operative,
                        prefers: self.plan.people[person].prefers(senses.now),
                    };
                    self.event(self.zone_of(person).get(), now, event, observer);
                }
                Intent::GiveUp(feels, presses) => {
                    view.has_given_up = true;
                    let event = Event::GivesUp { person: view.person, feels, presses };
                    self.event(self.zone_of(person).get(), now, event, observer);
                }
            }
        }
        view.feels = self.state.people[person].feels();
        observer.person(&view);
    }

    /// Presses a key for somebody; whether the controller then shows anything else.
    fn touch(
        &mut self,
        person: usize,
        key: Key,
        now: Instant,
        observer: &mut impl Observer,
    ) -> bool {
        let who = self.plan.people[person].person;
        let asker =
            Asker { controller: who.controller, by: who.shown.clone(), role: Role::Occupant };
        let asking = Asking { at: now, zone: who.zone, asker };
        let before = self.shown(who.zone);
        let outcome = self.apply(&asking, &Doing::Request(Request::Press(key)), now, observer);
        observer.person_pressed(PersonIndex::new(person), outcome);
        self.shown(who.zone) != before
    }

    fn shown(&self, zone: ZoneIndex) -> Shows {
        let stored = &self.state.zones[zone.get()].stored;
        (stored.setpoints.heat(), stored.setpoints.cool(), stored.mode, stored.power)
    }

    fn senses(&self, person: usize, now: Instant) -> Senses {
        let operative = self.view(self.zone_of(person).get(), now).operative();
        self.senses_of(person, now, operative)
    }

    /// What somebody feels and sees at an operative temperature, degrees C.
    pub(super) fn senses_of(&self, person: usize, now: Instant, operative: f64) -> Senses {
        let zone = self.zone_of(person).get();
        let state = &self.state.zones[zone];
        let plan = &self.plan.zones[zone];
        let group = &self.state.groups[plan.group];
        let standing = group.standing(plan.place, &self.state.logic[zone]);
        let modes = state.settings.modes.as_slice().len();
        Senses {
            now,
            step: self.plan.model.period.step(),
            operative,
            mode: state.stored.mode,
            modes: u32::try_from(modes).unwrap_or(u32::MAX),
            power: state.stored.power,
            follows: matches!(standing, Standing::Follower(_)),
            served: state.served,
        }
    }

    fn zone_of(&self, person: usize) -> ZoneIndex {
        self.plan.people[person].person.zone
    }

    fn power_of(&self, person: usize) -> Power {
        self.state.zones[self.zone_of(person).get()].stored.power
    }

    fn switches_on(&self, person: usize) -> bool {
        let minds = self.plan.people[person].person.switching != Switching::Never;
        minds && self.power_of(person) == Power::Off
    }

    /// Whether somebody who goes home switches off: nobody else is left, and it is not forgotten.
    fn switches_off(&self, person: usize, now: Instant) -> bool {
        let left = self.plan.crowds[self.zone_of(person).get()].count(now);
        left == 0 && self.power_of(person) == Power::On && !self.plan.people[person].forgets(now)
    }
}
