//! Quiet stretches, added up for many zones at once.
//!
//! What is added step by step (temperatures, heat, power) goes through lanes of numbers, a zone in
//! each; the few steps of which more is to be told (a vote, a missed step, the end of a span of the
//! bill) are noted and gone through afterwards. Every sum has its terms in the order in which steps
//! one by one would add them, so that it is the same bits.

use std::ops::Range;

use super::comfort::{Body, vapour_in};
use super::meter::Meter;
use super::missed::{Circumstances, air_starts, always, may};
use super::opposed::BIN;
use super::zone_tally::{BETWEEN_VOTES, Extent};
use crate::building::mean_radiant;
use crate::direction::Direction;
use crate::engine::{LANES, Rows, Stretch, ZoneStretch};
use crate::number::{Number, Work, one_by_one, side_by_side};
use crate::time::{Instant, Seconds};

/// The longest stretch that there may be: notes have so many bits.
const MOST_STEPS: usize = 64;

/// One number for each lane.
type Row = [f64; LANES];

/// Adds stretches of several cases, each to its meter.
pub(super) fn add(each: &mut [(&mut Meter<'_>, Stretch<'_>)], lanes: &mut Lanes) {
    let Some(&(_, first)) = each.first() else { return };
    for (meter, stretch) in &mut *each {
        meter.bill.begin_stretch(stretch.from(), stretch.steps());
    }
    for part in 0..first.parts() {
        let rows = first.rows(part);
        (lanes.used, lanes.steps) = (0, 0);
        lanes.counts = [0; LANES];
        lanes.votes = [0; LANES];
        lanes.occupied = [0; LANES];
        for (meter, stretch) in &*each {
            for zone in stretch.zones().filter(|zone| zone.lane().0 == part) {
                lanes.take(meter, stretch, &zone, rows);
            }
        }
        lanes.add_up(rows);
        for (meter, stretch) in &mut *each {
            for zone in stretch.zones().filter(|zone| zone.lane().0 == part) {
                lanes.give_back(meter, stretch, &zone, rows);
            }
        }
    }
    for (meter, stretch) in each {
        note_demands(meter, stretch);
    }
}

/// Mixed demand, which one zone alone cannot have.
fn note_demands(meter: &mut Meter<'_>, stretch: &Stretch<'_>) {
    if meter.zones.len() < 2 {
        return;
    }
    for step in 0..stretch.steps() {
        for zone in stretch.zones() {
            meter.note_demand(zone.logic().selection, |it| zone.meets_start(it, step));
        }
        meter.end_demand();
    }
}

/// The sums of zones side by side, and what they need: working memory.
#[derive(Debug)]
#[repr(align(64))]
pub struct Lanes {
    /// How many lanes are in use, and for how many steps at most.
    used: usize,
    steps: usize,
    air: Extents,
    operative: Extents,
    /// Kelvin, summed over steps outside the comfort band.
    outside_degrees: Row,
    compressor: Row,
    moved: Row,
    fan: Row,
    /// Power in the present span of the bill, W.
    power: Row,
    /// Heat in the present bin of opposed heat, J.
    heat: Row,
    /// Comfort band, degrees C.
    low: Row,
    high: Row,
    /// Electric power of the compressor for a watt of heat.
    per_heat: Row,
    fan_without_call: Row,
    fan_with_call: Row,
    /// Length of a step, s.
    seconds: Row,
    /// Which steps count, in which somebody is there, in which a span and in which a bin begins.
    counts: [u64; LANES],
    occupied: [u64; LANES],
    new_span: [u64; LANES],
    new_bin: [u64; LANES],
    /// In which a vote is asked for, of whom, in how much water vapour, Pa, and how they vote.
    votes: [u64; LANES],
    bodies: [Body; LANES],
    vapour: [Row; MOST_STEPS],
    voted: [Row; MOST_STEPS],
    marks: Marks,
    /// Which steps lie outside the comfort band, and which below it.
    outside: [u64; LANES],
    cold: [u64; LANES],
    /// `power` and `heat` after each step with which a span or a bin ends.
    powers: [Row; MOST_STEPS],
    heats: [Row; MOST_STEPS],
}

/// Lowest, highest and sum of a temperature, degrees C.
#[derive(Debug)]
struct Extents {
    lowest: Row,
    highest: Row,
    sum: Row,
}

impl Extents {
    fn take(&mut self, lane: usize, from: &Extent) {
        self.lowest[lane] = from.lowest;
        self.highest[lane] = from.highest;
        self.sum[lane] = from.sum;
    }

    fn give_back(&self, lane: usize, to: &mut Extent, count: usize) {
        to.count += count as u64;
        to.lowest = self.lowest[lane];
        to.highest = self.highest[lane];
        to.sum = self.sum[lane];
    }
}

impl Default for Lanes {
    fn default() -> Self {
        let row = [0.0; LANES];
        let extents = || Extents { lowest: row, highest: row, sum: row };
        Self {
            used: 0,
            steps: 0,
            air: extents(),
            operative: extents(),
            outside_degrees: row,
            compressor: row,
            moved: row,
            fan: row,
            power: row,
            heat: row,
            low: row,
            high: row,
            per_heat: row,
            fan_without_call: row,
            fan_with_call: row,
            seconds: row,
            counts: [0; LANES],
            occupied: [0; LANES],
            new_span: [0; LANES],
            new_bin: [0; LANES],
            votes: [0; LANES],
            bodies: [Body::new(1.2, 0.7, 0.1); LANES],
            vapour: [row; MOST_STEPS],
            voted: [row; MOST_STEPS],
            marks: Marks::default(),
            outside: [0; LANES],
            cold: [0; LANES],
            powers: [row; MOST_STEPS],
            heats: [row; MOST_STEPS],
        }
    }
}

impl Lanes {
    /// Takes over what a zone has so far.
    fn take(
        &mut self,
        meter: &Meter<'_>,
        stretch: &Stretch<'_>,
        zone: &ZoneStretch<'_>,
        rows: Rows<'_>,
    ) {
        let (lane, at) = (zone.lane().1, zone.zone().get());
        let (tally, model) = (&meter.zones[at], meter.model);
        let (direction, from) = (zone.direction(), stretch.from());
        self.air.take(lane, &tally.air);
        self.operative.take(lane, &tally.operative);
        self.outside_degrees[lane] = tally.outside_degrees;
        self.compressor[lane] = tally.energy.compressor[direction as usize];
        self.moved[lane] = tally.energy.moved[direction as usize];
        self.fan[lane] = tally.energy.fan;
        self.power[lane] = meter.bill.so_far(at);
        self.heat[lane] = tally.opposed.in_bin(direction, from);
        let comfort = &model.zones[at].comfort;
        (self.low[lane], self.high[lane]) = (comfort.low, comfort.high);
        self.per_heat[lane] = zone.per_heat();
        [self.fan_without_call[lane], self.fan_with_call[lane]] = zone.fan();
        self.seconds[lane] = model.period.step().get() as f64;
        self.counts[lane] = first(stretch.steps());
        let occupied = zone.state().presence.is_occupied();
        self.occupied[lane] = if occupied { self.counts[lane] } else { 0 };
        self.new_span[lane] = meter.bill.begins();
        let marks = self.marks.of(from, model.period.step(), stretch.steps());
        self.new_bin[lane] = marks.new_bin;
        self.votes[lane] = 0;
        if occupied {
            self.bodies[lane] = *tally.votes.body();
            for step in ones(marks.votes) {
                let air = rows.air(step)[lane];
                if let Some(vapour) = vapour_in(air, zone.vapour(step), model.humidity) {
                    self.vapour[step][lane] = vapour;
                    self.votes[lane] |= 1 << step;
                }
            }
        }
        self.used = self.used.max(lane + 1);
        self.steps = self.steps.max(stretch.steps());
    }

    fn add_up(&mut self, rows: Rows<'_>) {
        let alone = self.used == 1;
        let work = AddUp { lanes: self, rows };
        if alone { one_by_one(work) } else { side_by_side(work) }
    }

    /// Gives back what a zone has now.
    fn give_back(
        &self,
        meter: &mut Meter<'_>,
        stretch: &Stretch<'_>,
        zone: &ZoneStretch<'_>,
        rows: Rows<'_>,
    ) {
        let (lane, at, steps) = (zone.lane().1, zone.zone().get(), stretch.steps());
        let (tally, direction) = (&mut meter.zones[at], zone.direction());
        let occupied = self.occupied[lane].count_ones() as usize;
        tally.steps += steps as u64;
        tally.wait = 0;
        self.air.give_back(lane, &mut tally.air, steps);
        self.operative.give_back(lane, &mut tally.operative, occupied);
        tally.outside_degrees = self.outside_degrees[lane];
        tally.energy.compressor[direction as usize] = self.compressor[lane];
        tally.energy.moved[direction as usize] = self.moved[lane];
        tally.energy.fan = self.fan[lane];
        let served = rows.on()[lane] & self.counts[lane];
        tally.served_steps[direction as usize] += u64::from(served.count_ones());
        if served != 0 {
            for piece in pieces(self.new_bin[lane], steps) {
                let heat = self.heats[piece.end - 1][lane];
                tally.opposed.set_bin(direction, stretch.at(piece.start), heat);
            }
        }
        for (span, piece) in pieces(self.new_span[lane], steps).enumerate() {
            meter.bill.set(span, at, self.powers[piece.end - 1][lane]);
        }
        if occupied > 0 {
            self.tell_comfort(meter, zone, rows);
        }
    }

    /// Votes and missed steps.
    fn tell_comfort(&self, meter: &mut Meter<'_>, zone: &ZoneStretch<'_>, rows: Rows<'_>) {
        let (lane, at) = (zone.lane().1, zone.zone().get());
        let (model, tally) = (meter.model, &mut meter.zones[at]);
        for step in ones(self.votes[lane]) {
            tally.votes.add(self.voted[step][lane]);
        }
        let outside = self.outside[lane];
        tally.outside_steps += u64::from(outside.count_ones());
        let logic = zone.logic();
        for needed in Direction::BOTH {
            let cold = self.cold[lane];
            let missed = outside & if needed == Direction::Heating { cold } else { !cold };
            if missed == 0 {
                continue;
            }
            let own = needed == zone.direction();
            let called = if own { rows.on()[lane] } else { 0 };
            let starts = if own { rows.starts() } else { rows.starts_opposite() }[lane];
            let mut air_starting = 0;
            for step in ones(missed & !called & !starts) {
                let air = model.unit.from_celsius(rows.air(step)[lane]);
                air_starting |= u64::from(air_starts(logic, needed, air)) << step;
            }
            tally.missed.add(
                missed,
                &Circumstances {
                    may: always(may(logic.selection, false, needed)),
                    called,
                    reversing: 0,
                    starts,
                    turned_away: 0,
                    air_starts: air_starting,
                },
            );
        }
    }
}

/// Adding up in so many lanes.
struct AddUp<'s> {
    lanes: &'s mut Lanes,
    rows: Rows<'s>,
}

impl Work for AddUp<'_> {
    type Result = ();

    #[inline(always)]
    fn go<V: Number>(self, maker: V::Maker) {
        for from in (0..self.lanes.used).step_by(V::LANES) {
            let mut side = Side::<V>::take(maker, self.lanes, self.rows, from);
            for step in 0..self.lanes.steps {
                side.step(self.lanes, self.rows, step, from);
            }
            side.give_back(self.lanes, from);
        }
    }
}

/// As many lanes as a `V` has.
struct Side<V: Number> {
    maker: V::Maker,
    air: Extreme<V>,
    operative: Extreme<V>,
    outside_degrees: V,
    compressor: V,
    moved: V,
    fan: V,
    power: V,
    heat: V,
    low: V,
    high: V,
    per_heat: V,
    fan_without_call: V,
    fan_with_call: V,
    seconds: V,
    counts: V::Notes,
    occupied: V::Notes,
    new_span: V::Notes,
    new_bin: V::Notes,
    on: V::Notes,
    outside: V::Notes,
    cold: V::Notes,
    anybody: bool,
    bodies: Body<V>,
    /// In which steps a vote is asked for in any lane.
    votes: u64,
    /// With which steps a span and a bin ends in any lane.
    span_ends: u64,
    bin_ends: u64,
}

/// Lowest, highest and sum of a temperature in each lane.
struct Extreme<V> {
    lowest: V,
    highest: V,
    sum: V,
}

impl<V: Number> Extreme<V> {
    #[inline(always)]
    fn take(maker: V::Maker, of: &Extents, from: usize) -> Self {
        Self {
            lowest: V::load(maker, &of.lowest[from..]),
            highest: V::load(maker, &of.highest[from..]),
            sum: V::load(maker, &of.sum[from..]),
        }
    }

    #[inline(always)]
    fn add(&mut self, value: V, counts: V::Mask) {
        self.lowest = V::choose(counts, self.lowest.at_most(value), self.lowest);
        self.highest = V::choose(counts, self.highest.at_least(value), self.highest);
        self.sum = V::choose(counts, self.sum + value, self.sum);
    }

    #[inline(always)]
    fn give_back(self, to: &mut Extents, from: usize) {
        self.lowest.store(&mut to.lowest[from..]);
        self.highest.store(&mut to.highest[from..]);
        self.sum.store(&mut to.sum[from..]);
    }
}

impl<V: Number> Side<V> {
    #[inline(always)]
    fn take(maker: V::Maker, lanes: &Lanes, rows: Rows<'_>, from: usize) -> Self {
        let load = |row: &Row| V::load(maker, &row[from..]);
        let notes = |row: &[u64; LANES]| V::load_notes(maker, &row[from..]);
        let any = |row: &[u64; LANES]| row[from..][..V::LANES].iter().fold(0, |all, it| all | it);
        let counts = lanes.counts[from..][..V::LANES].iter();
        let last = counts.fold(0, |all, it| all | (it & !(it >> 1)));
        Self {
            maker,
            air: Extreme::take(maker, &lanes.air, from),
            operative: Extreme::take(maker, &lanes.operative, from),
            outside_degrees: load(&lanes.outside_degrees),
            compressor: load(&lanes.compressor),
            moved: load(&lanes.moved),
            fan: load(&lanes.fan),
            power: load(&lanes.power),
            heat: load(&lanes.heat),
            low: load(&lanes.low),
            high: load(&lanes.high),
            per_heat: load(&lanes.per_heat),
            fan_without_call: load(&lanes.fan_without_call),
            fan_with_call: load(&lanes.fan_with_call),
            seconds: load(&lanes.seconds),
            counts: notes(&lanes.counts),
            occupied: notes(&lanes.occupied),
            new_span: notes(&lanes.new_span),
            new_bin: notes(&lanes.new_bin),
            on: notes(rows.on()),
            outside: V::no_notes(maker),
            cold: V::no_notes(maker),
            anybody: any(&lanes.occupied) != 0,
            bodies: Body::side_by_side(maker, |lane| &lanes.bodies[from + lane]),
            votes: any(&lanes.votes),
            span_ends: last | any(&lanes.new_span) >> 1,
            bin_ends: last | any(&lanes.new_bin) >> 1,
        }
    }

    #[inline(always)]
    fn step(&mut self, lanes: &mut Lanes, rows: Rows<'_>, step: usize, from: usize) {
        let load = |row: &Row| V::load(self.maker, &row[from..]);
        let noted = |notes| V::noted(self.maker, notes, step);
        let (counts, on) = (noted(self.counts), noted(self.on));
        self.air.add(load(rows.air(step)), counts);

        let heat = load(rows.heat(step));
        let compressor = heat * self.per_heat;
        let fan = V::choose(on, self.fan_with_call, self.fan_without_call);
        self.moved = V::choose(counts, self.moved + heat, self.moved);
        self.compressor = V::choose(counts, self.compressor + compressor, self.compressor);
        self.fan = V::choose(counts, self.fan + fan, self.fan);
        let nothing = heat.same(0.0);
        let power = V::choose(noted(self.new_span), nothing, self.power) + (compressor + fan);
        self.power = power;
        if self.span_ends >> step & 1 == 1 {
            power.store(&mut lanes.powers[step][from..]);
        }
        let heat = V::choose(noted(self.new_bin), nothing, self.heat) + heat * self.seconds;
        self.heat = heat;
        if self.bin_ends >> step & 1 == 1 {
            heat.store(&mut lanes.heats[step][from..]);
        }

        if self.anybody {
            let occupied = noted(self.occupied);
            let felt = load(rows.operative(step));
            self.operative.add(felt, occupied);
            let below = self.low - felt;
            let degrees = below.at_least(felt - self.high);
            let outside = occupied & !nothing.at_or_above(degrees);
            self.outside_degrees =
                V::choose(outside, self.outside_degrees + degrees, self.outside_degrees);
            self.outside = V::note(self.outside, outside, step);
            self.cold = V::note(self.cold, !nothing.at_or_above(below), step);
            if self.votes >> step & 1 == 1 {
                let (air, vapour) = (load(rows.air(step)), load(&lanes.vapour[step]));
                let vote = self.bodies.vote(air, mean_radiant(air, felt), vapour);
                vote.store(&mut lanes.voted[step][from..]);
            }
        }
    }

    #[inline(always)]
    fn give_back(self, lanes: &mut Lanes, from: usize) {
        self.air.give_back(&mut lanes.air, from);
        self.operative.give_back(&mut lanes.operative, from);
        self.outside_degrees.store(&mut lanes.outside_degrees[from..]);
        self.compressor.store(&mut lanes.compressor[from..]);
        self.moved.store(&mut lanes.moved[from..]);
        self.fan.store(&mut lanes.fan[from..]);
        V::store_notes(self.maker, self.outside, &mut lanes.outside[from..]);
        V::store_notes(self.maker, self.cold, &mut lanes.cold[from..]);
    }
}

/// So many ones, from the lowest bit on.
fn first(count: usize) -> u64 {
    !u64::MAX.checked_shl(u32::try_from(count).unwrap_or(u32::MAX)).unwrap_or(0)
}

/// Where there are ones among bits, from the lowest on.
fn ones(mut bits: u64) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        let place = bits.trailing_zeros();
        bits &= bits.wrapping_sub(1);
        (place < u64::BITS).then_some(place as usize)
    })
}

/// Steps in pieces, of which the first begins at the first step and each other at a one.
fn pieces(begins: u64, steps: usize) -> impl Iterator<Item = Range<usize>> {
    let mut start = 0;
    ones(last_before(begins, steps)).map(move |last| {
        let piece = start..last + 1;
        start = piece.end;
        piece
    })
}

/// The last of so many steps, and those before which others begin.
fn last_before(begins: u64, steps: usize) -> u64 {
    (begins >> 1 | 1 << (steps - 1)) & first(steps)
}

/// What the clock alone marks in a stretch; most zones have the same.
#[derive(Clone, Copy, Debug, Default)]
struct Marks {
    /// Start of the stretch, length of a step, number of steps.
    of: (Instant, Seconds, usize),
    /// In which steps a bin of opposed heat begins, but for the first, and in which a vote is asked
    /// for: the first step lowest.
    new_bin: u64,
    votes: u64,
}

impl Marks {
    fn of(&mut self, from: Instant, step: Seconds, steps: usize) -> Self {
        if self.of != (from, step, steps) {
            let new_bin = begins(from, step, steps, BIN);
            let votes = multiples(from, step, steps, BETWEEN_VOTES);
            *self = Self { of: (from, step, steps), new_bin, votes };
        }
        *self
    }
}

/// Which of so many steps begin at a multiple of some time: the first step lowest.
fn multiples(from: Instant, step: Seconds, steps: usize, of: Seconds) -> u64 {
    let past = from.get().rem_euclid(of.get());
    let to_next = if past == 0 { 0 } else { of.get() - past };
    every(to_next, step, steps, of, |wait| wait % step.get() == 0)
}

/// Which of so many steps, but for the first, begin in another stretch of some length than the
/// step before.
fn begins(from: Instant, step: Seconds, steps: usize, length: Seconds) -> u64 {
    let to_next = length.get() - from.get().rem_euclid(length.get());
    every(to_next, step, steps, length, |_| true)
}

/// The first of so many steps that begin at or after some instants, if they are wanted: the first
/// instant is some seconds ahead, the others follow at a distance.
fn every(
    mut ahead: i64,
    step: Seconds,
    steps: usize,
    distance: Seconds,
    wanted: impl Fn(i64) -> bool,
) -> u64 {
    let step = step.get();
    let end = i64::try_from(steps).map_or(i64::MAX, |steps| steps * step);
    let mut marks = 0;
    while ahead <= end - step {
        if wanted(ahead) {
            marks |= 1 << ((ahead + step - 1) / step);
        }
        ahead += distance.get();
    }
    marks
}
