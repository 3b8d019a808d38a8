//! Occupants who feel the room and press keys.
//!
//! Nothing here knows a plant, a file or a run: a [`Person`] is what a file says of somebody, an
//! [`Occupant`] is that person on the days of one study, and a [`PersonState`] goes through the
//! steps. The engine tells it what it can feel and see ([`Senses`]) and carries out what it
//! decides ([`Intent`]).
//!
//! # The model
//! *Coming and going.* On the days of a span a person comes at its start and goes at its end, each
//! shifted by a normal deviate of the spread given (cut at three spreads), or stays away that day
//! with the probability `absent`. In between, with `away`, stretches of presence and of absence
//! take turns, both exponentially distributed. For single offices exponential absences fit what
//! was measured: Wang, Federspiel and Rubinstein, Energy and Buildings 37 (2005), from memory; for
//! the stretches of presence it is a simplification.
//!
//! *Feeling.* A person is too cold below `prefers - tolerance` and too warm above
//! `prefers + tolerance`, of the operative temperature. Common practice, no source.
//!
//! *Acting.* A person who feels so bears it for a time drawn evenly from
//! `patience * (1 ± patience_spread)`, then does what would help: switches a unit on that is off,
//! steps a mode that cannot help, else presses `warmer` or `cooler`; and bears it anew. A press was
//! without effect where nothing that the controller shows changed, or where the room has not come
//! [`MOVED_ENOUGH`] nearer by the time of the next. After `gives_up_after` of them in a row the
//! person switches off a unit that works against them, if they use that key, or gives up until
//! comfortable again. Common practice, no source.
//!
//! *Complaining.* Discomfort that has lasted for `after` turns into a complaint at the rate
//! `rate * (PPD - 5) / 95`, where PPD is the percentage dissatisfied of ISO 7730:2005, eq. (5), at
//! a vote of one for each `degrees_per_vote` away from what the person prefers. So the formula is
//! the standard's; to use it as the weight of a rate, and the rate itself, is common practice
//! without a source. A person complains at most once a day.
//!
//! *Draws.* Every person has a random stream of their own ([`Draws`]): what is drawn for a day, a
//! kind of decision and its number does not depend on what else has been drawn. So variants share
//! draws, and so does any number of threads.

mod complaint;
mod crowd;
mod draws;
mod mind;
mod person;
mod stay;

pub use complaint::{Complaining, predicted_percentage_dissatisfied};
pub use crowd::{BodyHeat, Crowd};
pub use draws::{Decision, Draws};
pub use mind::{Coming, Intent, MOVED_ENOUGH, PersonState, Senses};
pub use person::{Feels, Occupant, Patience, Person, Switching, UsedKeys};
pub use stay::{Attendance, Away, Stay};

/// A person's place among the people of a model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct PersonIndex(usize);

impl PersonIndex {
    /// The person at a place, from 0.
    pub const fn new(place: usize) -> Self {
        Self(place)
    }

    /// The place, from 0.
    pub const fn get(self) -> usize {
        self.0
    }
}
