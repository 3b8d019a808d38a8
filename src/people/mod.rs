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
//! *Feeling.* A person wants it warmer below `prefers - tolerance` and cooler above
//! `prefers + tolerance`, of the operative temperature. What is preferred differs from person to
//! person and, where the file says so, from hour to hour. `prefers: usual` takes all of it from
//! votes that were measured in offices ([`Taste::USUAL`]); other numbers are the file's. Beside
//! that a person has a vote on the scale of ISO 7730: of `usual` people as measured, else by the
//! distance from what is preferred.
//!
//! *Acting.* Presses follow what is wanted and not the vote. A person who wants a change bears it
//! for a time drawn evenly from `patience * (1 ± patience_spread)`, or acts at a rate of
//! `presses_per_hour` (of `usual` people [`USUAL_PRESSES`]: fewer than one press a week and person
//! in an office at 22 to 24 C, from memory), then does what would help: switches a unit on that is off,
//! steps a mode that cannot help, else presses `warmer` or `cooler`; and bears it anew. A press was
//! without effect where nothing that the controller shows changed, or where the room has not come
//! [`MOVED_ENOUGH`] nearer by the time of the next. After `gives_up_after` of them in a row the
//! person switches off a unit that works against them, if they use that key, or gives up until
//! comfortable again; likewise at the rate `gives_up_per_hour` after the first of them. Common
//! practice, no source.
//!
//! *Complaining.* Discomfort that has lasted for `after` turns into a complaint at the rate
//! `rate * (PPD - 5) / 95`, where PPD is the percentage dissatisfied of ISO 7730:2005, eq. (5), at
//! the person's vote. So the formula is
//! the standard's; to use it as the weight of a rate, and the rate itself, is common practice
//! without a source. A person complains at most once a day.
//!
//! *Draws.* Every person has a random stream of their own ([`Draws`]): what is drawn for a day, a
//! kind of decision and its number does not depend on what else has been drawn. So variants share
//! draws, and so does any number of threads.
//!
//! # An example
//! ```
//! // ISO 7730:2005, eq. (5): at a vote of 0 five percent are dissatisfied.
//! assert_eq!(setband::people::predicted_percentage_dissatisfied(0.0), 5.0);
//! ```

mod complaint;
mod crowd;
mod draws;
mod mind;
mod person;
mod stay;
mod taste;

pub use complaint::{Complaining, predicted_percentage_dissatisfied};
pub use crowd::{BodyHeat, Crowd};
pub use draws::{Decision, Draws};
pub use mind::{Intent, Lived, MOVED_ENOUGH, Movement, PersonState, Senses};
pub use person::{Feels, Occupant, Patience, Person, Switching, UsedKeys};
pub use stay::{Attendance, Away, Stay};
pub use taste::{Sensation, Taste};

/// Presses an hour of somebody who wants a change, 1/h: some 45 % of people in offices at 22 to
/// 24 C want one, so that this comes to half a press a person and week of 40 h; fewer than one is
/// what is usual (from memory, no source).
pub const USUAL_PRESSES: f64 = 0.03;

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
