//! Zones stepped side by side.

use super::exchange::{Coupled, Exchange, Team};
use super::lane::Lane;
use super::rows::{Batch, LANES, TeamTrace};
use super::vector::ZoneVector;
use crate::numbers::{Kernel, Number, run_scalar, run_simd};

/// Several of the widest vectors are stepped in turn, so that the processor has work to do for the
/// others while one waits for a result.
const MAX_VECTORS: usize = 4;

/// What zones of a batch have to do with each other.
#[derive(Debug)]
pub(super) struct Bonds<'t, 's> {
    pub(super) teams: &'t mut [Team<'s>],
    pub(super) blocks: &'t mut [Coupled<'s>],
    pub(super) exchange: &'t mut Exchange,
}

/// Zones that go through so many steps.
struct Follow<'t, 'l, 's> {
    batch: &'t mut Batch,
    lanes: &'t [&'l Lane<'l>; LANES],
    /// How many steps each of the lanes that count goes; the others only fill up.
    each: &'t [usize],
    bonds: Bonds<'t, 's>,
}

impl Kernel for Follow<'_, '_, '_> {
    type Result = ();

    #[inline(always)]
    fn run<V: Number>(mut self, token: V::Token) {
        let steps = self.each.iter().copied().max().unwrap_or(0);
        if !self.bonds.teams.is_empty() || !self.bonds.blocks.is_empty() {
            self.in_company::<V>(token, steps);
            return;
        }
        for from in (0..self.each.len()).step_by(MAX_VECTORS * V::LANES) {
            match (self.each.len() - from).div_ceil(V::LANES) {
                1 => self.vectors::<V, 1>(token, from, steps),
                2 => self.vectors::<V, 2>(token, from, steps),
                3 => self.vectors::<V, 3>(token, from, steps),
                _ => self.vectors::<V, MAX_VECTORS>(token, from, steps),
            }
        }
    }
}

impl Follow<'_, '_, '_> {
    #[inline(always)]
    fn vectors<V: Number, const VECTORS: usize>(
        &mut self,
        token: V::Token,
        first_lane: usize,
        steps: usize,
    ) {
        let from = |vector: usize| first_lane + vector * V::LANES;
        let mut vectors: [ZoneVector<'_, V>; VECTORS] = std::array::from_fn(|vector| {
            ZoneVector::new(token, &self.lanes[from(vector)..], steps)
        });
        for step in 0..steps {
            for (number, vector) in vectors.iter_mut().enumerate() {
                vector.step(self.batch, step, from(number));
            }
        }
        for (number, vector) in vectors.iter().enumerate() {
            vector.end(self.batch, steps, from(number));
        }
        self.batch.served = self.batch.on;
    }

    /// Zones that share outdoor units or walls: each phase of a step for all of them before the next.
    #[inline(always)]
    fn in_company<V: Number>(&mut self, token: V::Token, steps: usize) {
        let Self { batch, lanes, each, bonds: Bonds { teams, blocks, exchange } } = self;
        let mut traces = std::mem::take(&mut batch.teams);
        let mut vectors = Vec::with_capacity(each.len().div_ceil(V::LANES));
        for from in (0..each.len()).step_by(V::LANES) {
            vectors.push((from, ZoneVector::<V>::new(token, &lanes[from..], steps)));
        }
        for step in 0..steps {
            for (from, vector) in &mut vectors {
                vector.sense_and_end(exchange, step, *from);
            }
            for team in &mut **teams {
                team.rest(exchange, step);
            }
            for (from, vector) in &mut vectors {
                vector.start_and_ask(exchange, step, *from);
            }
            for (team, trace) in teams.iter_mut().zip(&mut traces) {
                team.supply(exchange, trace, step);
            }
            for (from, vector) in &mut vectors {
                vector.serve(batch, exchange, step, *from);
            }
            if blocks.is_empty() {
                continue;
            }
            for block in &mut **blocks {
                block.advance(exchange);
            }
            for (from, vector) in &mut vectors {
                vector.arrive(exchange, *from);
            }
        }
        for (from, vector) in &vectors {
            vector.end(batch, steps, *from);
        }
        batch.teams = traces;
    }
}

impl Batch {
    /// Takes the first of these zones through so many steps each, as if all of them were event-free; the
    /// others only fill lanes.
    pub(super) fn follow(
        &mut self,
        lanes: &[&Lane<'_>; LANES],
        steps: &[usize],
        bonds: Bonds<'_, '_>,
    ) {
        self.was_on = std::array::from_fn(|lane| lanes[lane].thermostat.is_on());
        bonds.exchange.begin();
        bonds.blocks.iter().for_each(|block| block.begin(bonds.exchange));
        self.teams.resize_with(self.teams.len().max(bonds.teams.len()), TeamTrace::new);
        for trace in &mut self.teams[..bonds.teams.len()] {
            (trace.started, trace.events) = (0, 0);
        }
        let firsts: Vec<usize> = bonds.teams.iter().map(Team::first_lane).collect();
        let kernel = Follow { batch: self, lanes, each: steps, bonds };
        if steps.len() > 1 {
            run_simd(kernel);
        } else {
            run_scalar(kernel);
        }
        for (first, trace) in firsts.into_iter().zip(&self.teams) {
            self.events[first] |= trace.events;
        }
    }
}
