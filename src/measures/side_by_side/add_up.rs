//! Going through the steps of many lanes at once.

use super::lanes::{Extents, Lanes, Row};
use crate::building::mean_radiant;
use crate::engine::{LANES, Rows};
use crate::measures::comfort::Body;
use crate::number::{Number, Work, one_by_one, side_by_side};

/// Goes through the steps of all lanes.
pub(super) fn add_up(lanes: &mut Lanes, rows: Rows<'_>) {
    let alone = lanes.used == 1;
    let work = AddUp { lanes, rows };
    if alone { one_by_one(work) } else { side_by_side(work) }
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
    air: Extents<V>,
    operative: Extents<V>,
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

impl<V: Number> Extents<V> {
    #[inline(always)]
    fn load(maker: V::Maker, of: &Extents, from: usize) -> Self {
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
    fn store(self, to: &mut Extents, from: usize) {
        self.lowest.store(&mut to.lowest[from..]);
        self.highest.store(&mut to.highest[from..]);
        self.sum.store(&mut to.sum[from..]);
    }
}

impl<V: Number> Side<V> {
    #[inline(always)]
    fn take(maker: V::Maker, lanes: &Lanes, rows: Rows<'_>, from: usize) -> Self {
        let load = |row: &Row| V::load(maker, &row[from..]);
        let notes = |row: &[u64; LANES]| V::load_notes(&row[from..]);
        let any = |row: &[u64; LANES]| row[from..][..V::LANES].iter().fold(0, |all, it| all | it);
        let counts = lanes.counts[from..][..V::LANES].iter();
        let last = counts.fold(0, |all, it| all | (it & !(it >> 1)));
        Self {
            maker,
            air: Extents::load(maker, &lanes.air, from),
            operative: Extents::load(maker, &lanes.operative, from),
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
        self.air.store(&mut lanes.air, from);
        self.operative.store(&mut lanes.operative, from);
        self.outside_degrees.store(&mut lanes.outside_degrees[from..]);
        self.compressor.store(&mut lanes.compressor[from..]);
        self.moved.store(&mut lanes.moved[from..]);
        self.fan.store(&mut lanes.fan[from..]);
        V::store_notes(self.outside, &mut lanes.outside[from..]);
        V::store_notes(self.cold, &mut lanes.cold[from..]);
    }
}
