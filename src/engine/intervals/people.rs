//! People in event-free intervals: what they feel in each step, up to the one in which they do
//! something.

use super::interval::Place;
use super::lane::EventFree;
use super::rows::Batch;
use crate::engine::step::Simulation;
use crate::people::{Lived, PersonIndex, PersonState, Senses};
use crate::time::Instant;

/// What people went through in an interval, and how it leaves them.
#[derive(Clone, Debug, Default)]
pub(super) struct Living {
    /// Those who are there.
    lived: Vec<(PersonIndex, Lived)>,
    before: Vec<PersonState>,
}

impl Living {
    /// Those who are there, with what they went through.
    pub(super) fn lived(&self) -> &[(PersonIndex, Lived)] {
        &self.lived
    }
}

impl Simulation<'_> {
    /// When the first of all people comes or goes, where people act.
    pub(super) fn somebody_moves_at(&self) -> Option<Instant> {
        let people = self.state.people.iter().zip(&self.plan.people);
        people.filter(|_| self.scratch.acting).filter_map(|(state, who)| state.until(who)).min()
    }

    /// Whether somebody is in a zone and feels how warm it is.
    pub(super) fn is_somebody_in(&self, zone: usize) -> bool {
        let people = self.state.people.iter().zip(&self.plan.people);
        self.scratch.acting
            && people.into_iter().any(|(it, who)| it.is_there() && who.person.zone.get() == zone)
    }

    /// Lets people live through so many steps of trajectories, up to the first step in which one of
    /// them does something. Returns how many steps that are.
    pub(super) fn live_through(
        &mut self,
        (zones, places): (&[EventFree], &[Place]),
        batches: &[Batch],
        steps: usize,
        living: &mut Living,
    ) -> usize {
        living.lived.clear();
        if !self.scratch.acting || steps == 0 {
            return steps;
        }
        living.before.clone_from(&self.state.people);
        let mut left = steps;
        for person in 0..self.state.people.len() {
            left = left.min(self.lives(person, (zones, places), batches, left).steps);
        }
        // Who has lived on while another did something does it again, no further than that.
        for person in 0..self.state.people.len() {
            self.state.people[person] = living.before[person];
            let lived = self.lives(person, (zones, places), batches, left);
            if self.state.people[person].is_there() {
                living.lived.push((PersonIndex::new(person), lived));
            }
        }
        left
    }

    /// Lets one of them live through so many steps, or be away.
    fn lives(
        &mut self,
        person: usize,
        (zones, places): (&[EventFree], &[Place]),
        batches: &[Batch],
        steps: usize,
    ) -> Lived {
        let mut state = self.state.people[person];
        if !state.is_there() {
            return Lived { steps, cold: 0, warm: 0 };
        }
        let who = &self.plan.people[person];
        let zone = who.person.zone.get();
        let (Place { batch, lane }, from) = (places[zone], self.state.now);
        let (batch, direction) = (&batches[batch], zones[zone].service.direction);
        let first = self.senses_of(person, from, batch.operative[0][lane]);
        let lived = state.live_through(who, steps, |step| {
            let served = match step.checked_sub(1) {
                Some(before) => (batch.served[lane] >> before & 1 == 1).then_some(direction),
                None => first.served,
            };
            let operative = batch.operative[step][lane];
            Senses { now: self.after(from, step), operative, served, ..first }
        });
        self.state.people[person] = state;
        lived
    }
}
