//! The trajectories of zones side by side, row by row.

use crate::numbers::{low_bits, ones};
use crate::plant::OutdoorMemory;

pub use crate::engine::plan::LANES;

/// The longest interval, in steps: long enough to pay for its preparation, short enough to stay near
/// the processor and to lose little where a zone ends it early. Not above 64: notes have no more
/// bits.
pub const MAX_STEPS: usize = 60;
/// One number for each lane.
pub type Row = [f64; LANES];

/// The trajectories of zones, one in each lane, step by step; steps past a zone's own interval mean nothing.
#[derive(Clone, Debug)]
#[repr(align(64))]
pub(super) struct Batch {
    /// At the start of each step and at the end of the last, degrees C.
    pub air: [Row; MAX_STEPS + 1],
    pub mass: [Row; MAX_STEPS + 1],
    /// The sensor's body, degrees C.
    pub body: [Row; MAX_STEPS],
    /// Heat given or taken by the plant and electric power of its compressor, W: none without a
    /// call.
    pub heat: [Row; MAX_STEPS],
    pub compressor: [Row; MAX_STEPS],
    /// At the start of each step, degrees C, where a zone is occupied.
    pub operative: [Row; MAX_STEPS],
    /// For each lane in which steps it has a call, the first step lowest.
    pub on: [u64; LANES],
    /// In which of these it is served.
    pub served: [u64; LANES],
    /// In which of those with a call the unit gives all that it is rated for, or the plant less than
    /// was asked of it.
    pub full: [u64; LANES],
    /// What the units lack of their output after each step.
    pub lacking: [Row; MAX_STEPS],
    /// Whether it had one in the step before the first.
    pub(super) was_on: [bool; LANES],
    /// In which it meets the start condition of its direction and of the opposite one.
    pub starts: [u64; LANES],
    pub starts_opposite: [u64; LANES],
    /// In which it may have something else to decide.
    pub(super) events: [u64; LANES],
    /// What outdoor units do that its zones share.
    pub(super) teams: Vec<TeamTrace>,
}

/// What an outdoor unit does, step by step; steps past its interval mean nothing.
#[derive(Clone, Debug)]
pub(super) struct TeamTrace {
    /// What it remembers after each step.
    pub memories: [OutdoorMemory; MAX_STEPS],
    /// In which steps its compressor starts, the first lowest.
    pub started: u64,
    /// Heat moved from cooled zones to heated ones, W.
    pub recovered: [f64; MAX_STEPS],
    /// In which steps it does what only steps by themselves do: reverse, defrost, help out.
    pub events: u64,
}

impl TeamTrace {
    /// Nothing yet.
    pub(super) fn new() -> Self {
        Self {
            memories: [OutdoorMemory::default(); MAX_STEPS],
            started: 0,
            recovered: [0.0; MAX_STEPS],
            events: 0,
        }
    }
}

impl Batch {
    pub(super) fn new() -> Self {
        let rows = [[0.0; LANES]; MAX_STEPS];
        let nodes = [[0.0; LANES]; MAX_STEPS + 1];
        Self {
            air: nodes,
            mass: nodes,
            body: rows,
            heat: rows,
            compressor: rows,
            full: [0; LANES],
            lacking: rows,
            operative: rows,
            on: [0; LANES],
            served: [0; LANES],
            was_on: [false; LANES],
            starts: [0; LANES],
            starts_opposite: [0; LANES],
            events: [0; LANES],
            teams: Vec::new(),
        }
    }

    /// How many of the first steps of a lane are event-free.
    pub(super) fn event_free(&self, lane: usize, steps: usize) -> usize {
        steps.min(self.events[lane].trailing_zeros() as usize)
    }

    /// Whether a lane has a call in a step.
    pub(super) fn is_on(&self, lane: usize, step: usize) -> bool {
        self.on[lane] >> step & 1 == 1
    }

    /// In which of so many steps a lane is served.
    pub(super) fn served(&self, lane: usize, steps: usize) -> u64 {
        self.served[lane] & low_bits(steps)
    }

    /// The first of so many steps at which a lane's calls begin and end, in order.
    pub(super) fn turns(&self, lane: usize, steps: usize) -> impl Iterator<Item = (usize, bool)> {
        let before = self.on[lane] << 1 | u64::from(self.was_on[lane]);
        let turned = (self.on[lane] ^ before) & low_bits(steps);
        ones(turned).map(move |step| (step, self.is_on(lane, step)))
    }
}
