//! Everything that occupants can bring about by pressing keys, exhaustively.
//!
//! The memory of a zone's controls is finite: two setpoints in ticks, what was last asked of each,
//! mode and power. From the file's start every key at every controller is pressed in every state
//! met ([`explore`]), so what is not found cannot be reached. Weather is free: in `auto`, and for a
//! zone that follows an owner, both directions count as possible, whatever outdoor limits forbid.
//! Technicians and schedules do nothing, but setpoints may go back by the clock at any time
//! (`return_at`). An open window moves nothing that is stored. Of a group each zone is looked at by itself: the owner's mode and power come in only as
//! the direction, which is free. Where a zone has `auto_off`, time may switch it off.
//!
//! ```
//! use setband::Scenario;
//! use setband::engine::ZoneIndex;
//! use setband::study::reach::{Claim, Proof, explore};
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
//! ",
//! )?;
//! let claim = Claim::parse("cool - heat >= 1").expect("a claim");
//! let reach = explore(scenario.model(), ZoneIndex::new(0), &[claim], 100_000, &mut |_| {});
//! assert!(reach.is_complete);
//! assert_eq!(reach.proofs, [Proof::Holds]);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod explore;
mod facts;
mod ratchet;
mod replay;
mod stationary;
mod table;

pub use explore::{Move, Presser, WorstPress};
pub use facts::{KeyEffect, ModeReach};
pub use ratchet::{Drift, Ratchet, Spread};
pub use replay::{replay, replay_actions};

pub use crate::control::{Claim, ClaimFault};
use crate::control::{Stored, Ticks};
use crate::engine::{Model, ZoneIndex};
use explore::Explored;

/// States beyond this are not explored unless asked for: about 400 MB.
pub const MOST_STATES: usize = 8_000_000;

/// What was found about one zone.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    /// Which zone.
    pub zone: ZoneIndex,
    /// How many states were found.
    pub states: usize,
    /// Whether that is all of them; where not, nothing is proved.
    pub is_complete: bool,
    /// The pairs of heat and cool that can be reached, in order.
    pub pairs: Vec<(Ticks, Ticks)>,
    /// How many pairs limits and deadband allow.
    pub legal_pairs: usize,
    /// The lowest and highest setpoints in each mode that can be reached.
    pub modes: Vec<ModeReach>,
    /// What each key does, over all states.
    pub keys: Vec<KeyEffect>,
    /// States from which no presses lead back to the start.
    pub no_way_back: usize,
    /// The press at the start that is hardest to undo.
    pub worst: Option<WorstPress>,
    /// Where random presses take the pair.
    pub ratchet: Ratchet,
    /// What became of the claims, in their order.
    pub proofs: Vec<Proof>,
}

/// What became of a claim.
#[derive(Clone, Debug, PartialEq)]
pub enum Proof {
    /// It holds in every state.
    Holds,
    /// It is broken after these moves, and after no fewer.
    Broken(Vec<Move>),
    /// It holds in every state looked at, and not all were.
    Undecided,
}

/// Explores one zone. `progress` hears now and then how many states have been found.
pub fn explore(
    model: &Model,
    zone: ZoneIndex,
    claims: &[Claim],
    most_states: usize,
    progress: &mut dyn FnMut(usize),
) -> Reach {
    let presser = Presser::new(model, zone);
    let explored = Explored::from_start(&presser, claims, most_states, progress);
    let proofs = (0..claims.len()).map(|claim| explored.proof(claim)).collect();
    Reach {
        zone,
        states: explored.states().len(),
        is_complete: explored.is_complete(),
        pairs: facts::pairs(explored.states()),
        legal_pairs: facts::legal_pairs(&presser.settings().rules),
        modes: facts::modes(explored.states()),
        keys: facts::keys(&presser, explored.states()),
        no_way_back: explored.no_way_back(&presser),
        worst: explored.worst_press(&presser),
        ratchet: Ratchet::of(&presser, explored.states()),
        proofs,
    }
}

/// Only finds the states, and says how many: what the benchmark of the search measures.
pub fn explore_states(
    presser: &Presser<'_>,
    claims: &[Claim],
    most_states: usize,
    progress: &mut dyn FnMut(usize),
) -> usize {
    Explored::from_start(presser, claims, most_states, progress).states().len()
}

/// Every state that occupants can bring about in a zone, up to so many.
pub(crate) fn every_state(model: &Model, zone: ZoneIndex, most_states: usize) -> Vec<Stored> {
    let presser = Presser::new(model, zone);
    Explored::from_start(&presser, &[], most_states, &mut |_| {}).into_states()
}

/// How many states an occupant can bring about, and whether a claim holds in all of them.
pub(crate) fn prove(presser: &Presser<'_>, claim: &Claim, most_states: usize) -> (usize, Proof) {
    let claims = std::slice::from_ref(claim);
    let explored = Explored::from_start(presser, claims, most_states, &mut |_| {});
    (explored.states().len(), explored.proof(0))
}
