//! The maps of a zone's steps, worked out when they are first needed: for what is in force, each
//! memory's ways with what the plant may bring on each.

use std::collections::HashMap;

use super::calls::{Call, Calls, InForce, Memory, Way};
use super::heat::{FAR, Piece, Service};
use super::interval::Interval;
use super::maps::{Around, Drive, Map};
use super::plan::ZonePlan;
use super::room::Room;
use super::sets::Sets;
use crate::direction::Direction;
use crate::plant::Rise;
use crate::time::Seconds;

/// A step in one state of the air change, with its mass held still or not.
#[derive(Clone, Debug)]
pub(super) struct Stage {
    pub(super) room: Room,
    pub(super) drive: Drive,
}

/// The maps of one zone.
#[derive(Clone, Debug)]
pub(super) struct Tables<'p> {
    plan: &'p ZonePlan,
    step: Seconds,
    memories: Vec<Memory>,
    places: HashMap<Memory, usize>,
    books: Vec<Book>,
}

/// The maps while the same is in force.
#[derive(Clone, Debug)]
struct Book {
    stage: usize,
    in_force: InForce,
    /// For each memory, where they have been worked out.
    maps: Vec<Option<Vec<Map>>>,
}

impl<'p> Tables<'p> {
    pub(super) fn new(plan: &'p ZonePlan, step: Seconds) -> Self {
        Self { plan, step, memories: Vec::new(), places: HashMap::new(), books: Vec::new() }
    }

    /// The place of a memory.
    pub(super) fn place(&mut self, memory: Memory) -> usize {
        let Self { memories, places, .. } = self;
        *places.entry(memory).or_insert_with(|| {
            memories.push(memory);
            memories.len() - 1
        })
    }

    /// The memory at a place.
    pub(super) fn memory(&self, place: usize) -> Memory {
        self.memories[place]
    }

    /// Every memory that can come about from one, while any of these is in force.
    pub(super) fn closure(&mut self, from: usize, in_force: &[InForce]) -> Vec<usize> {
        let mut found = vec![from];
        let mut at = 0;
        while let Some(&place) = found.get(at) {
            at += 1;
            for now in in_force {
                for way in calls_for(self.plan, now).ways(self.memory(place), now) {
                    let next = self.place(way.memory);
                    if !found.contains(&next) {
                        found.push(next);
                    }
                }
            }
        }
        found
    }

    /// One step from everything that can be: all ways of all that may be in force.
    pub(super) fn step(
        &mut self,
        stages: &[Stage],
        chosen: &[usize],
        in_force: &[InForce],
        around: &Around,
        (phase, before): (usize, &Sets),
    ) -> Sets {
        let edges = &self.plan.edges[phase];
        let mut after = Sets::none(edges);
        for &stage in chosen {
            let drive = stages[stage].drive.most(around);
            for now in in_force {
                let book = self.book(stage, now);
                for (memory, bounds) in before.iter() {
                    for map in self.maps(book, memory, &stages[stage].room) {
                        if let Some(next) = map.apply(bounds, &drive) {
                            after.add(edges, map.next, &next);
                        }
                    }
                }
            }
        }
        after
    }

    fn book(&mut self, stage: usize, now: &InForce) -> usize {
        let known = self.books.iter().position(|it| it.stage == stage && it.in_force == *now);
        known.unwrap_or_else(|| {
            self.books.push(Book { stage, in_force: *now, maps: Vec::new() });
            self.books.len() - 1
        })
    }

    fn maps(&mut self, book: usize, memory: usize, room: &Room) -> &[Map] {
        let slots = &mut self.books[book].maps;
        if slots.len() <= memory {
            slots.resize(memory + 1, None);
        }
        if slots[memory].is_none() {
            let now = self.books[book].in_force;
            let maps = self.work_out(self.memory(memory), &now, room);
            self.books[book].maps[memory] = Some(maps);
        }
        self.books[book].maps[memory].as_deref().unwrap_or_default()
    }

    fn work_out(&mut self, from: Memory, now: &InForce, room: &Room) -> Vec<Map> {
        if self.plan.is_ideal {
            return self.ideal(from, now, room);
        }
        let calls = calls_for(self.plan, now);
        let mut maps = Vec::new();
        for way in calls.ways(from, now) {
            let next = self.place(way.memory);
            for (piece, warmer) in self.service(&calls, &way, now) {
                let body = (piece.body.0.max(way.body.0), piece.body.1.min(way.body.1));
                if body.0 > body.1 {
                    continue;
                }
                let here = Piece { body, ..piece };
                maps.push(Map::new(room, &calls.reading, &here, warmer, next));
                if piece.may_rest && !calls.may_pause(way.memory) {
                    let next = self.place(resting(way.memory, calls.timers.idle_after_little));
                    maps.push(Map::new(room, &calls.reading, &here, warmer, next));
                }
            }
        }
        maps
    }

    /// What the plant may bring on a way, and how much warmer the sensor's place is after it.
    fn service(&self, calls: &Calls, way: &Way, now: &InForce) -> Vec<(Piece, Interval)> {
        let plan = self.plan;
        let alone = if plan.fan_alone { plan.unit.fan } else { 0.0 };
        // A fan that runs alone draws air past a sensor in the return air.
        let [heating, cooling] = calls.reading.stratification.map(Interval::exactly);
        let drawn = Interval::ZERO.hull(heating).hull(cooling);
        let unserved =
            (Piece::anywhere(0.0, alone), if plan.fan_alone { drawn } else { Interval::ZERO });
        let Call::On { age, .. } = way.memory.call else { return vec![unserved] };
        let direction = way.memory.turn;
        let warmer = Interval::exactly(calls.reading.warmer(Some(direction)));
        let all = |pieces: Vec<Piece>, warmer: Interval| -> Vec<(Piece, Interval)> {
            pieces.into_iter().map(|piece| (piece, warmer)).collect()
        };
        let service = Service {
            direction,
            setpoint: match direction {
                Direction::Heating => now.heat_to,
                Direction::Cooling => now.cool_to,
            },
            call_start: calls.call_start.of(direction),
            call_stop: calls.call_stop.of(direction),
            dry: if direction == Direction::Cooling { plan.dry } else { [false, true] },
            rise: self.rise(calls, age),
            share: plan.share[direction as usize],
            fan: plan.unit.fan,
        };
        let served = plan.share[direction as usize] == super::heat::Share::OWN;
        if way.is_idle || calls.may_pause(way.memory) {
            let pieces = service.interrupted(&plan.unit, &calls.reading);
            if !served || warmer == Interval::ZERO {
                return all(pieces, warmer.hull(Interval::ZERO));
            }
            // A plant of its own gives nothing or all, and only with that is it warmer there.
            let mut pieces = all(pieces, warmer);
            pieces.push(unserved);
            return pieces;
        }
        let warmer = if served { warmer } else { warmer.hull(Interval::ZERO) };
        let mut pieces = service.pieces(&plan.unit, &calls.reading);
        if !served {
            // Where the plant gives nothing the fan stands.
            for piece in pieces.iter_mut().filter(|piece| piece.least.1 == 0.0) {
                if piece.least.0 <= plan.unit.fan {
                    piece.least.0 -= plan.unit.fan;
                }
            }
        }
        all(pieces, warmer)
    }

    fn rise(&self, calls: &Calls, age: u8) -> Interval {
        let rise = Rise::new(self.plan.unit.start_up.time_constant, self.step.get() as f64);
        let after = |steps: i64| {
            let lacking = (0..steps).fold(1.0, |lacking, _| rise.after(lacking));
            rise.delivered(lacking)
        };
        // Computed in another order than the simulation does.
        let least = after(calls.timers.least(age)) * (1.0 - 1e-12);
        let is_last = age >= calls.timers.on_cap || calls.timers.shares;
        let most = if is_last { 1.0 } else { after(calls.timers.most(age)) * (1.0 + 1e-12) };
        Interval::between(least, most)
    }

    /// An ideal plant ends the step at the setpoint, or does all it can.
    fn ideal(&mut self, from: Memory, now: &InForce, room: &Room) -> Vec<Map> {
        let plan = self.plan;
        let (fan, reading) = (plan.unit.fan, plan.calls.reading);
        let alone = if plan.fan_alone { fan } else { 0.0 };
        // The fan's heat counts, and the search for coupled plants ends near enough.
        let slack = (fan + 1e-3) * room.gamma[0][0].high();
        let celsius = |setpoint: f64| plan.temperature.to_celsius(setpoint);
        let rated = Direction::BOTH.map(|direction| plan.unit.rated(direction));
        let next = self.place(from);
        let mut maps = Vec::new();
        let mut add = |least: f64, most: f64, air: (f64, f64), served: Option<Direction>| {
            let piece = Piece::anywhere(least, most);
            let [heating, cooling] = reading.stratification.map(Interval::exactly);
            let drawn = Interval::ZERO.hull(heating).hull(cooling);
            let warmer = served.map_or(drawn, |it| Interval::exactly(reading.warmer(Some(it))));
            let mut map = Map::new(room, &reading, &piece, warmer, next);
            map.air_after = Some(air);
            maps.push(map);
        };
        let heats = now.heat || now.auto;
        let cools = now.cool || now.auto;
        let only = |may: bool, others: [bool; 2]| may && !others[0] && !others[1] && !now.idle;
        let surely_heats = only(heats, [now.cool, false]);
        let surely_cools = only(cools, [now.heat, false]);
        let (heat, cool) = (now.heat_to, now.cool_to);
        let low = if surely_heats { celsius(heat.low()) - slack } else { -FAR };
        let high = if surely_cools { celsius(cool.high()) + slack } else { FAR };
        add(0.0, alone, (low, high), None);
        if heats {
            let served = Some(Direction::Heating);
            let to = (celsius(heat.low()) - slack, celsius(heat.high()) + slack);
            add(0.0, rated[0] + fan, to, served);
            add(rated[0] + fan, rated[0] + fan, (-FAR, to.1), served);
        }
        if cools {
            let served = Some(Direction::Cooling);
            let to = (celsius(cool.low()) - slack, celsius(cool.high()) + slack);
            add(-rated[1], fan, to, served);
            add(fan - rated[1], fan - rated[1], (to.0, FAR), served);
        }
        maps
    }
}

fn resting(memory: Memory, idle: u8) -> Memory {
    match memory.call {
        Call::On { age, .. } => Memory { call: Call::On { age, idle }, ..memory },
        Call::Off { .. } => memory,
    }
}

/// The thermostat with no more counts than make a difference: where every step may pass without a
/// call, only those of a service that may not end, and of the low limit, which nobody switches off.
fn calls_for(plan: &ZonePlan, now: &InForce) -> Calls {
    let mut calls = plan.calls.clone();
    if now.may_always_idle() {
        let timers = &mut calls.timers;
        timers.may_pause = timers.idle_at_start > 0 || timers.idle_after_little > 0;
        if calls.low_limit.is_none() {
            timers.off_cap = 0;
            timers.on_cap = timers.cap(timers.min_on);
            (timers.waits, timers.idle_at_start, timers.idle_after_little) = (0, 0, 0);
        } else {
            timers.off_cap = timers.cap(timers.min_off);
        }
    }
    calls
}
