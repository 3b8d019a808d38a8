//! The order in which lines are done: while a timer of one plant runs, another plant is tested.
//!
//! A plant is a zone by itself, or the zones of an outdoor unit: what is pressed in one plant changes
//! nothing in another. So lines of one may be done while a timer of another runs, as long as each plant's
//! lines keep their order and their distance in time. For that a wait counts from the line before it in
//! its own plant ([`since`](super::since)), whatever was done elsewhere meanwhile.
//!
//! What is begun in a wait ends in it or stands where it may pause: where everything behind reads the same
//! also after [`PAUSE`]. The way back and some seconds besides are left: so a tester who is quicker than
//! reckoned waits longer, and misses nothing. The waits of what is done in a wait are filled likewise.
//! Lines are moved into waits alone, so that no order takes longer than one zone after the other; which
//! lines, is chosen greedily: of the plant of which most fits.

use std::cmp::Reverse;
use std::collections::VecDeque;

use super::bench::{Bench, CADENCE};
use super::pace::Pace;
use super::plants::plants;
use super::step::{Deed, Part, Step};
use crate::engine::{Model, ZoneIndex};
use crate::time::Seconds;

/// A tester is back so long before a timer ends, s. Readings before the end of a timer are taken half a
/// minute before it at least, so that somebody who comes later than this still reads in time.
const SPARE: i64 = 10;
/// So long somebody may be away where a plant's lines pause. Most timers of calls have run out by then.
const PAUSE: Seconds = Seconds::minutes(20);
/// So many places for a pause are tried in each plant for each wait.
const TRIES: usize = 4;

/// How a line follows the one before it in its plant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Follows {
    /// At any time.
    Freely,
    /// At once.
    AtOnce,
    /// So many seconds after it.
    After(i64),
}

/// The places of lines in the order that keeps waits busy; their own order where no other is shorter,
/// or where another would change what is read.
pub(super) fn busy(model: &Model, rooms: &[f64], steps: &[Step]) -> Vec<usize> {
    let plants = plants(model);
    let same: Vec<usize> = (0..steps.len()).collect();
    let mut met: Vec<usize> = steps.iter().map(|it| plants[it.place.zone.get()]).collect();
    met.sort_unstable();
    met.dedup();
    let Some(bench) = Bench::new(model, rooms).filter(|_| met.len() > 1) else { return same };
    let order = Planner::new(model, &plants, steps).planned(&bench);
    let time = |order: &[usize]| {
        let steps: Vec<Step> = order.iter().map(|at| steps[*at].clone()).collect();
        Pace::USUAL.whole(model, &steps)
    };
    let mut rig = bench.rig();
    let mut ordered = order.iter().map(|at| &steps[*at]);
    let holds = ordered.all(|step| step.agrees(&rig.perform(step.place, &step.deed)));
    if holds && time(&order) < time(&same) { order } else { same }
}

/// Whether time may pass between two lines, as far as their parts tell: in keys no timer is read.
fn may_pause(before: &Step, after: &Step) -> bool {
    let keys = |part: Part| matches!(part, Part::AsFound | Part::Keys);
    let behind = keys(after.part) || matches!(after.part, Part::Calls(_) | Part::Restore);
    before.part == Part::Restore || keys(before.part) && behind
}

struct Planner<'s> {
    steps: &'s [Step],
    plants: &'s [usize],
    follows: Vec<Follows>,
    /// While such a line is done something holds in the whole building: nobody is there, or the outdoor
    /// sensor is held.
    whole: Vec<bool>,
    /// All lines of each plant.
    lines: Vec<Vec<usize>>,
    /// Those that are to be done yet.
    queues: Vec<VecDeque<usize>>,
    /// After which lines somebody goes elsewhere.
    paused: Vec<bool>,
    order: Vec<usize>,
}

impl<'s> Planner<'s> {
    fn new(model: &Model, plants: &'s [usize], steps: &'s [Step]) -> Self {
        let mut lines: Vec<Vec<usize>> = vec![Vec::new(); plants.len()];
        let mut follows = Vec::with_capacity(steps.len());
        let mut whole = Vec::with_capacity(steps.len());
        let mut held = vec![false; plants.len()];
        let goes_off = |it: &Step| model.zones[it.place.zone.get()].controls.auto_off.is_some();
        for (at, step) in steps.iter().enumerate() {
            let plant = plants[step.place.zone.get()];
            let before = lines[plant].last().map(|it| &steps[*it]);
            follows.push(match (&step.deed, before) {
                (_, None) => Follows::Freely,
                (Deed::Wait(time), _) => Follows::After(time.get()),
                (_, Some(before)) if goes_off(before) || held[plant] => Follows::AtOnce,
                (_, Some(before)) if may_pause(before, step) => Follows::Freely,
                _ => Follows::AtOnce,
            });
            lines[plant].push(at);
            let was = held[plant];
            match step.deed {
                Deed::Leave | Deed::Outdoors(Some(_)) => held[plant] = true,
                Deed::Return | Deed::Outdoors(None) => held[plant] = false,
                _ => {}
            }
            whole.push(was || held[plant]);
        }
        let queues = lines.iter().map(|lines| lines.iter().copied().collect()).collect();
        let (paused, order) = (vec![false; steps.len()], Vec::with_capacity(steps.len()));
        Self { steps, plants, follows, whole, lines, queues, paused, order }
    }

    fn planned(mut self, bench: &Bench) -> Vec<usize> {
        // What all displays show stands before everything, whoever is tested first.
        let found = self.steps.iter().take_while(|step| step.part == Part::AsFound).count();
        for line in 0..found {
            let plant = self.plants[self.steps[line].place.zone.get()];
            self.queues[plant].pop_front();
            self.order.push(line);
            self.paused[line] = true;
        }
        // The longest timers first: then most is left to be done meanwhile.
        let wait = |line: &usize| match self.follows[*line] {
            Follows::After(time) => time,
            Follows::Freely | Follows::AtOnce => 0,
        };
        let mut homes: Vec<usize> = (0..self.queues.len()).collect();
        homes.sort_by_key(|plant| Reverse(self.queues[*plant].iter().map(wait).max()));
        for plant in homes {
            while let Some(line) = self.queues[plant].pop_front() {
                self.perform(bench, line, &mut vec![plant]);
            }
        }
        self.order
    }

    /// Does a line of the last of these plants; before it, where it waits, lines of others.
    fn perform(&mut self, bench: &Bench, line: usize, waiting: &mut Vec<usize>) {
        if let Follows::After(time) = self.follows[line]
            && !self.whole[line]
        {
            self.fill(bench, time, self.steps[line].place.zone, waiting);
        }
        self.order.push(line);
    }

    /// Does lines of other plants that take no longer than a wait, with the ways there and back.
    fn fill(&mut self, bench: &Bench, wait: i64, home: ZoneIndex, waiting: &mut Vec<usize>) {
        let mut left = wait - Pace::USUAL.walk - SPARE;
        let mut at = home;
        while let Some((time, plant, count)) = self.best(bench, at, left, waiting) {
            left -= time;
            let lines: Vec<usize> = self.queues[plant].drain(..count).collect();
            waiting.push(plant);
            for line in &lines {
                at = self.steps[*line].place.zone;
                self.perform(bench, *line, waiting);
            }
            waiting.pop();
            self.paused[lines[count - 1]] = true;
        }
    }

    /// What to do in so many seconds: how long it takes, in which plant, and how many of its next lines.
    fn best(
        &self,
        bench: &Bench,
        at: ZoneIndex,
        left: i64,
        waiting: &[usize],
    ) -> Option<(i64, usize, usize)> {
        // A way is worth while for what takes as long, or for what is the last there.
        let worth = |plant: usize, count: usize, time: i64| {
            time >= 2 * Pace::USUAL.walk || count == self.queues[plant].len()
        };
        let mut offers: Vec<(i64, usize, usize)> = Vec::new();
        for plant in (0..self.queues.len()).filter(|plant| !waiting.contains(plant)) {
            let fitting = self.fitting(plant, at, left).into_iter().rev();
            let worth = fitting.filter(|(count, time)| worth(plant, *count, *time));
            offers.extend(worth.take(TRIES).map(|(count, time)| (time, plant, count)));
        }
        offers.sort_by_key(|(time, plant, _)| (Reverse(*time), *plant));
        let mut tried = offers.into_iter().take(2 * TRIES);
        tried.find(|(_, plant, count)| self.may_leave(bench, *plant, *count))
    }

    /// Whether everything behind the next lines of a plant reads as it must, also after a pause there.
    fn may_leave(&self, bench: &Bench, plant: usize, count: usize) -> bool {
        let queue = &self.queues[plant];
        if count == queue.len() {
            return true;
        }
        let last = queue.get(count.saturating_sub(1));
        let mut rig = bench.rig();
        self.lines[plant].iter().all(|line| {
            let step = &self.steps[*line];
            let agrees = step.agrees(&rig.perform(step.place, &step.deed));
            if self.paused[*line] || Some(line) == last {
                rig.pass(PAUSE);
            }
            agrees
        })
    }

    /// How many of the next lines of a plant can be done in so many seconds from a zone on, up to each
    /// place where somebody may pause, and how long they take with the way there.
    fn fitting(&self, plant: usize, from: ZoneIndex, left: i64) -> Vec<(usize, i64)> {
        let (mut all, mut time, mut at) = (Vec::new(), 0, from);
        let queue = &self.queues[plant];
        for (count, line) in (1..).zip(queue) {
            let step = &self.steps[*line];
            time += if step.place.zone == at { 0 } else { Pace::USUAL.walk };
            // The bench takes this long for a line: so it is never behind a tester.
            time += Pace::USUAL.line(step).max(CADENCE.get());
            at = step.place.zone;
            if time > left || self.whole[*line] {
                break;
            }
            let next = queue.get(count);
            if next.is_none_or(|next| self.follows[*next] == Follows::Freely) {
                all.push((count, time));
            }
        }
        all
    }
}
