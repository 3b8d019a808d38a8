//! Going through the steps of many lanes at once.

use super::lanes::Lanes;
use crate::building::mean_radiant;
use crate::engine::{LANES, Row, Rows};
use crate::measures::comfort::Body;
use crate::measures::sums::{Band, Extent, Sums, ZoneStep};
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
            let mut vector = SumVector::<V>::take(token, self.lanes, self.rows, from);
            for step in 0..self.lanes.steps {
                vector.step(self.lanes, self.rows, step, from);
            }
            vector.give_back(self.lanes, from);
        }
    }
}

/// Zones in the lanes of one vector.
struct SumVector<V: Number> {
    token: V::Token,
    sums: Sums<V>,
    band: Band<V>,
    fan_without_call: V,
    fan_with_call: V,
    standby: V,
    seconds: V,
    counts: V::Bitmask,
    occupied: V::Bitmask,
    new_span: V::Bitmask,
    new_bin: V::Bitmask,
    served: V::Bitmask,
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

impl<V: Number> Extent<V> {
    #[inline(always)]
    fn load(token: V::Token, of: &Extent<Row>, from: usize) -> Self {
        Self {
            lowest: V::load(token, &of.lowest[from..]),
            highest: V::load(token, &of.highest[from..]),
            sum: V::load(token, &of.sum[from..]),
        }
    }

    #[inline(always)]
    fn store(self, to: &mut Extent<Row>, from: usize) {
        self.lowest.store(&mut to.lowest[from..]);
        self.highest.store(&mut to.highest[from..]);
        self.sum.store(&mut to.sum[from..]);
    }
}

impl<V: Number> Sums<V> {
    #[inline(always)]
    fn load(token: V::Token, of: &Sums<Row>, from: usize) -> Self {
        let load = |row: &Row| V::load(token, &row[from..]);
        Self {
            air: Extent::load(token, &of.air, from),
            operative: Extent::load(token, &of.operative, from),
            outside_degrees: load(&of.outside_degrees),
            compressor: load(&of.compressor),
            moved: load(&of.moved),
            fan: load(&of.fan),
            standby: load(&of.standby),
            power: load(&of.power),
            heat: load(&of.heat),
        }
    }

    /// Without power and heat, which are stored with each span and bin.
    #[inline(always)]
    fn store(self, to: &mut Sums<Row>, from: usize) {
        self.air.store(&mut to.air, from);
        self.operative.store(&mut to.operative, from);
        self.outside_degrees.store(&mut to.outside_degrees[from..]);
        self.compressor.store(&mut to.compressor[from..]);
        self.moved.store(&mut to.moved[from..]);
        self.fan.store(&mut to.fan[from..]);
        self.standby.store(&mut to.standby[from..]);
    }
}

impl<V: Number> SumVector<V> {
    #[inline(always)]
    fn take(token: V::Token, lanes: &Lanes, rows: Rows<'_>, from: usize) -> Self {
        let load = |row: &Row| V::load(token, &row[from..]);
        let bits = |row: &[u64; LANES]| V::load_bits(&row[from..]);
        let any = |row: &[u64; LANES]| row[from..][..V::LANES].iter().fold(0, |all, it| all | it);
        let counts = lanes.counts[from..][..V::LANES].iter();
        let last = counts.fold(0, |all, it| all | (it & !(it >> 1)));
        Self {
            token,
            sums: Sums::<V>::load(token, &lanes.sums, from),
            band: Band { low: load(&lanes.band.low), high: load(&lanes.band.high) },
            fan_without_call: load(&lanes.fan_without_call),
            fan_with_call: load(&lanes.fan_with_call),
            standby: load(&lanes.standby),
            seconds: load(&lanes.seconds),
            counts: bits(&lanes.counts),
            occupied: bits(&lanes.occupied),
            new_span: bits(&lanes.new_span),
            new_bin: bits(&lanes.new_bin),
            served: bits(rows.served()),
            outside: V::no_bits(token),
            cold: V::no_bits(token),
            anybody: any(&lanes.occupied) != 0,
            bodies: Body::from_fn(token, |lane| &lanes.bodies[from + lane]),
            pmvs: any(&lanes.pmvs),
            span_ends: last | any(&lanes.new_span) >> 1,
            bin_ends: last | any(&lanes.new_bin) >> 1,
        }
    }

    #[inline(always)]
    fn step(&mut self, lanes: &mut Lanes, rows: Rows<'_>, step: usize, from: usize) {
        let load = |row: &Row| V::load(self.token, &row[from..]);
        let set = |bits| V::bit(self.token, bits, step);
        let (air, heat) = (load(rows.air(step)), load(rows.heat(step)));
        let compressor = load(rows.compressor(step));
        let fan = V::select(set(self.served), self.fan_with_call, self.fan_without_call);
        self.sums.add(&ZoneStep {
            counts: set(self.counts),
            new_span: set(self.new_span),
            new_bin: set(self.new_bin),
            air,
            compressor,
            heat,
            fan,
            standby: self.standby,
            electric: compressor + fan + self.standby,
            seconds: self.seconds,
        });
        if self.span_ends >> step & 1 == 1 {
            self.sums.power.store(&mut lanes.powers[step][from..]);
        }
        if self.bin_ends >> step & 1 == 1 {
            self.sums.heat.store(&mut lanes.heats[step][from..]);
        }
        if self.anybody {
            let operative = load(rows.operative(step));
            let found = self.sums.add_comfort(operative, self.band, set(self.occupied));
            self.outside = V::set_bit(self.outside, found.outside, step);
            self.cold = V::set_bit(self.cold, found.cold, step);
            if self.pmvs >> step & 1 == 1 {
                let vapour = load(&lanes.vapour[step]);
                let pmv = self.bodies.pmv(air, mean_radiant(air, operative), vapour);
                pmv.store(&mut lanes.pmv[step][from..]);
            }
        }
    }

    #[inline(always)]
    fn give_back(self, lanes: &mut Lanes, from: usize) {
        self.sums.store(&mut lanes.sums, from);
        V::store_bits(self.outside, &mut lanes.outside[from..]);
        V::store_bits(self.cold, &mut lanes.cold[from..]);
    }
}
