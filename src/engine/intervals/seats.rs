//! Which zones of which cases step side by side: who has a lane in which batch.

use super::batch::Bonds;
use super::case::Case;
use super::exchange::{Coupled, Exchange, Team};
use super::interval::{IntervalObserver, Place};
use super::rows::{Batch, LANES};

/// The lanes of a round, batch by batch, each with its case and zone. Zones that have to do with each
/// other are in one batch.
#[derive(Debug, Default)]
pub(super) struct Seats {
    lanes: Vec<Vec<(usize, usize)>>,
    used: usize,
    /// The cases that take part, as they stand together.
    order: Vec<usize>,
    /// How many outdoor units there are in each batch.
    teams: Vec<usize>,
}

impl Seats {
    /// Gives a lane to every zone of the cases that take part. Cases at the same place stand together,
    /// and so do the same zones of several: the same acts on them.
    pub(super) fn assign<O: IntervalObserver>(&mut self, cases: &mut [Case<'_, O>]) {
        self.lanes.iter_mut().for_each(Vec::clear);
        self.used = 0;
        self.order.clear();
        self.order.extend((0..cases.len()).filter(|at| cases[*at].steps > 0));
        self.order.sort_unstable_by_key(|at| (cases[*at].place_in_day(), *at));
        for at in 0..self.order.len() {
            let case = self.order[at];
            for company in cases[case].companies() {
                self.seat(case, company);
            }
        }
        for (batch, lanes) in self.lanes[..self.used].iter_mut().enumerate() {
            lanes.sort_unstable_by_key(|&(case, zone)| (cases[case].place_in_day(), zone, case));
            for (lane, &(case, zone)) in lanes.iter().enumerate() {
                cases[case].seat(zone, Place { batch, lane });
            }
        }
        self.teams.clear();
        self.teams.resize(self.used, 0);
        for case in &self.order {
            cases[*case].seat_teams(&mut self.teams);
        }
    }

    /// Puts a company into the last batch, or into the next where it has no room.
    fn seat(&mut self, case: usize, company: &[usize]) {
        let last = self.lanes[..self.used].last();
        if last.is_none_or(|last| last.len() + company.len() > LANES) {
            self.used += 1;
            if self.lanes.len() < self.used {
                self.lanes.push(Vec::with_capacity(LANES));
            }
        }
        self.lanes[self.used - 1].extend(company.iter().map(|zone| (case, *zone)));
    }

    /// How many batches there are.
    pub(super) const fn batches(&self) -> usize {
        self.used
    }

    /// Takes the zones of a batch through their intervals side by side.
    pub(super) fn follow<O: IntervalObserver>(
        &self,
        number: usize,
        batch: &mut Batch,
        exchange: &mut Exchange,
        cases: &[Case<'_, O>],
    ) {
        let seats = &self.lanes[number];
        let (mut steps, mut lanes) = ([0; LANES], [None; LANES]);
        for (lane, &(case, zone)) in seats.iter().enumerate() {
            steps[lane] = cases[case].steps;
            lanes[lane] = Some(cases[case].lane(zone));
        }
        let Some(first) = &lanes[0] else { return };
        let lanes = std::array::from_fn(|at| lanes[at].as_ref().unwrap_or(first));
        let here = self.order.iter().map(|at| &cases[*at]);
        let mut teams: Vec<Team<'_>> = here.clone().flat_map(|it| it.teams_in(number)).collect();
        let mut blocks: Vec<Coupled<'_>> = here.flat_map(|it| it.blocks_in(number)).collect();
        let bonds = Bonds { teams: &mut teams, blocks: &mut blocks, exchange };
        batch.follow(&lanes, &steps[..seats.len()], bonds);
    }
}
