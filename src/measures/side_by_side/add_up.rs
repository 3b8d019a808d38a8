//! Going through the steps of many lanes at once.

use super::lanes::{Extents, Lanes, Row};
use crate::building::mean_radiant;
use crate::engine::{LANES, Rows};
use crate::measures::comfort::Body;
use crate::numbers::{Kernel, Number, run_scalar, run_simd};

/// Goes through the steps of all lanes.
pub(super) fn add_up(lanes: &mut Lanes, rows: Rows<'_>) {
    let alone = lanes.used == 1;
    let kernel = AddUp { lanes, rows };
    if alone { run_scalar(kernel) } else { run_simd(kernel) }
}

/// Adding up in so many lanes.
struct AddUp<'s> {
    lanes: &'s mut Lanes,
    rows: Rows<'s>,
}

impl Kernel for AddUp<'_> {
    type Result = ();

    #[inline(always)]
    fn run<V: Number>(self, token: V::Token) {
        for from in (0..self.lanes.used).step_by(V::LANES) {
            let mut side = Side::<V>::take(token, self.lanes, self.rows, from);
            for step in 0..self.lanes.steps {
                side.step(self.lanes, self.rows, step, from);
            }
            side.give_back(self.lanes, from);
        }
    }
}

/// As many lanes as a `V` has.
struct Side<V: Number> {
    token: V::Token,
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
    counts: V::Bitmask,
    occupied: V::Bitmask,
    new_span: V::Bitmask,
    new_bin: V::Bitmask,
    on: V::Bitmask,
    outside: V::Bitmask,
    cold: V::Bitmask,
    anybody: bool,
    bodies: Body<V>,
    /// In which steps a PMV is due in any lane.
    pmvs: u64,
    /// With which steps a span and a bin ends in any lane.
    span_ends: u64,
    bin_ends: u64,
}

impl<V: Number> Extents<V> {
    #[inline(always)]
    fn load(token: V::Token, of: &Extents, from: usize) -> Self {
        Self {
            lowest: V::load(token, &of.lowest[from..]),
            highest: V::load(token, &of.highest[from..]),
            sum: V::load(token, &of.sum[from..]),
        }
    }

    #[inline(always)]
    fn add(&mut self, value: V, counts: V::Mask) {
        self.lowest = V::select(counts, self.lowest.min(value), self.lowest);
        self.highest = V::select(counts, self.highest.max(value), self.highest);
        self.sum = V::select(counts, self.sum + value, self.sum);
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
    fn take(token: V::Token, lanes: &Lanes, rows: Rows<'_>, from: usize) -> Self {
        let load = |row: &Row| V::load(token, &row[from..]);
        let bits = |row: &[u64; LANES]| V::load_bits(&row[from..]);
        let any = |row: &[u64; LANES]| row[from..][..V::LANES].iter().fold(0, |all, it| all | it);
        let counts = lanes.counts[from..][..V::LANES].iter();
        let last = counts.fold(0, |all, it| all | (it & !(it >> 1)));
        Self {
            token,
            air: Extents::load(token, &lanes.air, from),
            operative: Extents::load(token, &lanes.operative, from),
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
            counts: bits(&lanes.counts),
            occupied: bits(&lanes.occupied),
            new_span: bits(&lanes.new_span),
            new_bin: bits(&lanes.new_bin),
            on: bits(rows.on()),
            outside: V::no_bits(token),
            cold: V::no_bits(token),
            anybody: any(&lanes.occupied) != 0,
            bodies: Body::side_by_side(token, |lane| &lanes.bodies[from + lane]),
            pmvs: any(&lanes.pmvs),
            span_ends: last | any(&lanes.new_span) >> 1,
            bin_ends: last | any(&lanes.new_bin) >> 1,
        }
    }

    #[inline(always)]
    fn step(&mut self, lanes: &mut Lanes, rows: Rows<'_>, step: usize, from: usize) {
        let load = |row: &Row| V::load(self.token, &row[from..]);
        let set = |bits| V::bit(self.token, bits, step);
        let (counts, on) = (set(self.counts), set(self.on));
        self.air.add(load(rows.air(step)), counts);

        let heat = load(rows.heat(step));
        let compressor = heat * self.per_heat;
        let fan = V::select(on, self.fan_with_call, self.fan_without_call);
        self.moved = V::select(counts, self.moved + heat, self.moved);
        self.compressor = V::select(counts, self.compressor + compressor, self.compressor);
        self.fan = V::select(counts, self.fan + fan, self.fan);
        let nothing = heat.splat(0.0);
        let power = V::select(set(self.new_span), nothing, self.power) + (compressor + fan);
        self.power = power;
        if self.span_ends >> step & 1 == 1 {
            power.store(&mut lanes.powers[step][from..]);
        }
        let heat = V::select(set(self.new_bin), nothing, self.heat) + heat * self.seconds;
        self.heat = heat;
        if self.bin_ends >> step & 1 == 1 {
            heat.store(&mut lanes.heats[step][from..]);
        }

        if self.anybody {
            let occupied = set(self.occupied);
            let felt = load(rows.operative(step));
            self.operative.add(felt, occupied);
            let below = self.low - felt;
            let degrees = below.max(felt - self.high);
            let outside = occupied & !nothing.ge(degrees);
            self.outside_degrees =
                V::select(outside, self.outside_degrees + degrees, self.outside_degrees);
            self.outside = V::set_bit(self.outside, outside, step);
            self.cold = V::set_bit(self.cold, !nothing.ge(below), step);
            if self.pmvs >> step & 1 == 1 {
                let (air, vapour) = (load(rows.air(step)), load(&lanes.vapour[step]));
                let pmv = self.bodies.pmv(air, mean_radiant(air, felt), vapour);
                pmv.store(&mut lanes.pmv[step][from..]);
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
        V::store_bits(self.outside, &mut lanes.outside[from..]);
        V::store_bits(self.cold, &mut lanes.cold[from..]);
    }
}
