//! What zones side by side have to do with each other within a step: the outdoor units that they
//! share and the walls between them.

use super::rows::{LANES, Row, TeamTrace};
use crate::building::BlockPropagator;
use crate::direction::Direction;
use crate::engine::drivers::OutdoorAir;
use crate::plant::{OutdoorMemory, OutdoorUnit, Part, Wanted};
use crate::time::{Instant, Seconds};

/// What zones hand to each other within a step, a number for each lane.
#[derive(Clone, Debug)]
#[repr(align(64))]
pub(super) struct Exchange {
    /// 1 where a call goes on that has been served, else 0.
    pub goes_on: Row,
    /// 1 where a call may start, 0 where the compressor rests.
    pub may_start: Row,
    /// Heat asked for, W.
    pub asked: Row,
    /// What part of that is given, electric power for a watt of it, and what part of that is drawn
    /// where both directions share it.
    pub fraction: Row,
    pub per_heat: Row,
    pub shared_work: Row,
    /// 1 where a zone is coupled to others, else 0.
    pub coupled: Row,
    /// Air and mass, degrees C, and what flows into them, W, where zones are coupled.
    pub nodes: [Row; 2],
    pub flows: [Row; 2],
}

/// Zones on one outdoor unit that keep their directions.
#[derive(Clone, Debug)]
pub(super) struct Team<'s> {
    unit: &'s OutdoorUnit,
    outdoors: &'s [OutdoorAir],
    memory: OutdoorMemory,
    /// The lanes of those that heat and of those that cool, each in the order of the members.
    lanes: [Few; 2],
    min_off: Seconds,
    /// When any of them was last served until.
    served_until: Option<Instant>,
    /// Whether the compressor may start, as the lanes know it.
    may_start: bool,
    /// What part of their share is given, and what part of the power is drawn where both directions
    /// share it, as the lanes know it: heating and cooling.
    told: [[f64; 2]; 2],
    from: Instant,
    step: Seconds,
}

/// A few lanes.
#[derive(Clone, Copy, Debug)]
struct Few {
    lanes: [u8; LANES],
    count: usize,
}

/// Zones that must be stepped together.
#[derive(Clone, Debug)]
pub(super) struct Coupled<'s> {
    propagator: &'s BlockPropagator,
    lanes: Vec<usize>,
    state: Vec<f64>,
    flows: Vec<f64>,
    next: Vec<f64>,
}

impl Few {
    const NONE: Self = Self { lanes: [0; LANES], count: 0 };

    #[expect(clippy::cast_possible_truncation, reason = "there are fewer lanes than 256")]
    fn add(&mut self, lane: usize) {
        self.lanes[self.count] = lane as u8;
        self.count += 1;
    }

    #[inline(always)]
    fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        self.lanes[..self.count].iter().map(|lane| usize::from(*lane) % LANES)
    }
}

/// How an outdoor unit stands before an interval.
#[derive(Clone, Copy, Debug)]
pub(super) struct UnitStart<'s> {
    pub unit: &'s OutdoorUnit,
    pub outdoors: &'s [OutdoorAir],
    pub memory: OutdoorMemory,
    pub min_off: Seconds,
    pub served_until: Option<Instant>,
    pub from: Instant,
    pub step: Seconds,
}

impl<'s> Team<'s> {
    /// An outdoor unit with its zones: their lanes and directions, in the order of the members.
    pub(super) fn new(
        start: UnitStart<'s>,
        members: impl Iterator<Item = (usize, Direction)>,
    ) -> Self {
        let UnitStart { unit, outdoors, memory, min_off, served_until, from, step } = start;
        let mut lanes = [Few::NONE; 2];
        members.for_each(|(lane, direction)| lanes[direction as usize].add(lane));
        let told = [[1.0; 2]; 2];
        let may_start = true;
        Self { unit, outdoors, memory, lanes, min_off, served_until, may_start, told, from, step }
    }

    /// The start of a step.
    #[expect(clippy::cast_possible_wrap, reason = "an interval is short")]
    fn at(&self, step: usize) -> Instant {
        Instant::new(self.from.get() + step as i64 * self.step.get())
    }

    /// Lets calls start where the compressor has rested or runs anyway (rule 10).
    #[inline(always)]
    pub(super) fn rest(&mut self, exchange: &mut Exchange, step: usize) {
        let now = self.at(step);
        let may_start = match self.served_until.filter(|_| self.min_off > Seconds::ZERO) {
            None => true,
            Some(until) => {
                now.since(until) >= self.min_off
                    || (until == now && self.any(|lane| exchange.goes_on[lane] > 0.0))
            }
        };
        if may_start != self.may_start {
            self.may_start = may_start;
            for lane in self.lanes.iter().flat_map(Few::iter) {
                exchange.may_start[lane] = f64::from(u8::from(may_start));
            }
        }
    }

    /// One of its lanes, in which its events are noted.
    pub(super) fn first_lane(&self) -> usize {
        self.lanes.iter().flat_map(Few::iter).next().unwrap_or(0)
    }

    fn any(&self, is: impl Fn(usize) -> bool) -> bool {
        self.lanes.iter().flat_map(Few::iter).any(is)
    }

    /// Shares out what the unit gives of what the zones ask for.
    #[inline(always)]
    pub(super) fn supply(&mut self, exchange: &mut Exchange, trace: &mut TeamTrace, step: usize) {
        let now = self.at(step);
        let outdoor = self.outdoors[step.min(self.outdoors.len() - 1)].at_middle;
        let wanted = [0, 1].map(|way| {
            let share = self.lanes[way].iter().map(|lane| exchange.asked[lane]).sum();
            Wanted { share, power: share }
        });
        let supply = self.unit.supply(&mut self.memory, wanted, outdoor, now, self.step);
        let helped = self.unit.backup(&mut self.memory, &supply, outdoor, now).is_some();
        trace.memories[step] = self.memory;
        trace.started |= u64::from(supply.totals.started) << step;
        trace.recovered[step] = supply.totals.recovered;
        trace.events |= u64::from(helped || !supply.is_plain()) << step;
        for direction in Direction::BOTH {
            let way = direction as usize;
            if wanted[way].share <= 0.0 {
                continue;
            }
            let Part { share, per_heat, shared_work } = supply.part(direction);
            for lane in self.lanes[way].iter() {
                exchange.per_heat[lane] = per_heat;
            }
            // Most steps give all that is asked for, in one direction.
            if self.told[way] != [share, shared_work] {
                self.told[way] = [share, shared_work];
                for lane in self.lanes[way].iter() {
                    exchange.fraction[lane] = share;
                    exchange.shared_work[lane] = shared_work;
                }
            }
            if share > 0.0 {
                self.served_until = Some(now + self.step);
            }
        }
    }
}

impl Exchange {
    pub(super) const fn new() -> Self {
        let (none, all) = ([0.0; LANES], [1.0; LANES]);
        Self {
            goes_on: none,
            may_start: all,
            asked: none,
            fraction: all,
            per_heat: none,
            shared_work: all,
            coupled: none,
            nodes: [none; 2],
            flows: [none; 2],
        }
    }

    /// Nobody shares anything.
    pub(super) fn begin(&mut self) {
        self.may_start = [1.0; LANES];
        self.fraction = [1.0; LANES];
        self.shared_work = [1.0; LANES];
        self.coupled = [0.0; LANES];
    }
}

impl<'s> Coupled<'s> {
    /// Zones in their lanes, in the order of the block.
    pub(super) fn new(propagator: &'s BlockPropagator, lanes: Vec<usize>) -> Self {
        let nodes = vec![0.0; propagator.nodes()];
        Self { propagator, lanes, state: nodes.clone(), flows: nodes.clone(), next: nodes }
    }

    /// Tells the lanes that they are coupled.
    pub(super) fn begin(&self, exchange: &mut Exchange) {
        for lane in &self.lanes {
            exchange.coupled[*lane] = 1.0;
        }
    }

    /// Takes the zones to the end of a step.
    #[inline(always)]
    pub(super) fn advance(&mut self, exchange: &mut Exchange) {
        for (at, lane) in self.lanes.iter().enumerate() {
            for node in 0..2 {
                self.state[2 * at + node] = exchange.nodes[node][*lane];
                self.flows[2 * at + node] = exchange.flows[node][*lane];
            }
        }
        self.propagator.advance(&self.state, &self.flows, &mut self.next);
        for (at, lane) in self.lanes.iter().enumerate() {
            for node in 0..2 {
                exchange.nodes[node][*lane] = self.next[2 * at + node];
            }
        }
    }
}
