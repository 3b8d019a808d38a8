//! Moves the sums of each zone from its meter into a lane, and back again.

use super::marks::{Marks, pieces};
use crate::direction::Direction;
use crate::engine::{Interval, LANES, MAX_STEPS, Row, Rows, ZoneInterval};
use crate::measures::comfort::{Body, vapour_in};
use crate::measures::meter::Meter;
use crate::measures::pmv_tally::Felt;
use crate::measures::sums::{Band, Extent, Sums};
use crate::measures::unmet::{Circumstances, air_starts, always, may};
use crate::numbers::{low_bits, ones};

/// Working memory: the sums of zones, one in each lane, and what is needed to add to them.
#[derive(Debug)]
#[repr(align(64))]
pub struct Lanes {
    /// How many lanes are in use, and for how many steps at most.
    pub(super) used: usize,
    pub(super) steps: usize,
    pub(super) sums: Sums<Row>,
    /// Comfort band, degrees C.
    pub(super) band: Band<Row>,
    pub(super) fan_without_call: Row,
    pub(super) fan_with_call: Row,
    pub(super) standby: Row,
    /// Length of a step, s.
    pub(super) seconds: Row,
    /// Which steps count, which are occupied, in which a span of the bill and in which a bin of
    /// opposed heat begins.
    pub(super) counts: [u64; LANES],
    pub(super) occupied: [u64; LANES],
    pub(super) new_span: [u64; LANES],
    pub(super) new_bin: [u64; LANES],
    /// In which a PMV is due, of whom, in how much water vapour, Pa, and what it comes to.
    pub(super) pmvs: [u64; LANES],
    pub(super) bodies: [Body; LANES],
    pub(super) vapour: [Row; MAX_STEPS],
    pub(super) pmv: [Row; MAX_STEPS],
    marks: Marks,
    /// Which steps lie outside the comfort band, and which below it.
    pub(super) outside: [u64; LANES],
    pub(super) cold: [u64; LANES],
    /// `power` and `heat` after each step with which a span or a bin ends.
    pub(super) powers: [Row; MAX_STEPS],
    pub(super) heats: [Row; MAX_STEPS],
}

impl Extent<Row> {
    const ZERO: Self = Self { lowest: [0.0; LANES], highest: [0.0; LANES], sum: [0.0; LANES] };

    fn set(&mut self, lane: usize, from: &Extent) {
        self.lowest[lane] = from.lowest;
        self.highest[lane] = from.highest;
        self.sum[lane] = from.sum;
    }

    fn get(&self, lane: usize) -> Extent {
        Extent { lowest: self.lowest[lane], highest: self.highest[lane], sum: self.sum[lane] }
    }
}

impl Sums<Row> {
    const ZERO: Self = Self {
        air: Extent::ZERO,
        operative: Extent::ZERO,
        outside_degrees: [0.0; LANES],
        compressor: [0.0; LANES],
        moved: [0.0; LANES],
        fan: [0.0; LANES],
        standby: [0.0; LANES],
        power: [0.0; LANES],
        heat: [0.0; LANES],
    };

    fn set(&mut self, lane: usize, from: &Sums) {
        self.air.set(lane, &from.air);
        self.operative.set(lane, &from.operative);
        self.outside_degrees[lane] = from.outside_degrees;
        self.compressor[lane] = from.compressor;
        self.moved[lane] = from.moved;
        self.fan[lane] = from.fan;
        self.standby[lane] = from.standby;
        self.power[lane] = from.power;
        self.heat[lane] = from.heat;
    }

    fn get(&self, lane: usize) -> Sums {
        Sums {
            air: self.air.get(lane),
            operative: self.operative.get(lane),
            outside_degrees: self.outside_degrees[lane],
            compressor: self.compressor[lane],
            moved: self.moved[lane],
            fan: self.fan[lane],
            standby: self.standby[lane],
            power: self.power[lane],
            heat: self.heat[lane],
        }
    }
}

impl Default for Lanes {
    fn default() -> Self {
        let row = [0.0; LANES];
        Self {
            used: 0,
            steps: 0,
            sums: Sums::<Row>::ZERO,
            band: Band { low: row, high: row },
            fan_without_call: row,
            fan_with_call: row,
            standby: row,
            seconds: row,
            counts: [0; LANES],
            occupied: [0; LANES],
            new_span: [0; LANES],
            new_bin: [0; LANES],
            pmvs: [0; LANES],
            // Lanes without a zone have this body; what they come to is not read.
            bodies: [Body::new(1.2, 0.7, 0.1); LANES],
            vapour: [row; MAX_STEPS],
            pmv: [row; MAX_STEPS],
            marks: Marks::default(),
            outside: [0; LANES],
            cold: [0; LANES],
            powers: [row; MAX_STEPS],
            heats: [row; MAX_STEPS],
        }
    }
}

impl Lanes {
    /// Takes all zones out of their lanes.
    pub(super) fn clear(&mut self) {
        (self.used, self.steps) = (0, 0);
        self.counts = [0; LANES];
        self.occupied = [0; LANES];
        self.pmvs = [0; LANES];
    }

    /// Takes over what a zone has so far.
    pub(super) fn take(
        &mut self,
        meter: &Meter<'_>,
        interval: &Interval<'_>,
        zone: &ZoneInterval<'_>,
        rows: Rows<'_>,
    ) {
        let (lane, at) = (zone.lane().1, zone.zone().get());
        let (tally, model) = (&meter.zones[at], meter.model);
        let (direction, from) = (zone.direction(), interval.from());
        self.sums.set(lane, &tally.sums(direction, from, meter.bill.so_far(at)));
        let comfort = &model.zones[at].comfort;
        (self.band.low[lane], self.band.high[lane]) = comfort.counted();
        [self.fan_without_call[lane], self.fan_with_call[lane]] = zone.fan();
        self.standby[lane] = zone.standby();
        self.seconds[lane] = model.period.step().get() as f64;
        self.counts[lane] = low_bits(interval.steps());
        let occupied = zone.state().presence.is_occupied();
        self.occupied[lane] = if occupied { self.counts[lane] } else { 0 };
        self.new_span[lane] = meter.bill.begins();
        let marks = self.marks.of(from, model.period.step(), interval.steps());
        self.new_bin[lane] = marks.new_bin;
        self.pmvs[lane] = 0;
        if occupied {
            self.bodies[lane] = *tally.pmvs.body(from);
            for step in ones(marks.pmvs) {
                let air = rows.air(step)[lane];
                if let Some(vapour) = vapour_in(air, zone.vapour(step), model.humidity) {
                    self.vapour[step][lane] = vapour;
                    self.pmvs[lane] |= 1 << step;
                }
            }
        }
        self.used = self.used.max(lane + 1);
        self.steps = self.steps.max(interval.steps());
    }

    /// Gives back what a zone has now.
    pub(super) fn give_back(
        &self,
        meter: &mut Meter<'_>,
        interval: &Interval<'_>,
        zone: &ZoneInterval<'_>,
        rows: Rows<'_>,
    ) {
        let (lane, at, steps) = (zone.lane().1, zone.zone().get(), interval.steps());
        let (tally, direction) = (&mut meter.zones[at], zone.direction());
        let occupied = u64::from(self.occupied[lane].count_ones());
        tally.steps += steps as u64;
        tally.occupied_steps += occupied;
        if zone.is_starved() {
            let at = zone.logic().working;
            (0..steps).for_each(|step| tally.starvation.add(zone.sensed(step), at));
        } else {
            tally.starvation.end_spell();
        }
        tally.set_sums(direction, &self.sums.get(lane));
        let served = rows.served()[lane] & self.counts[lane];
        tally.served_steps[direction as usize] += u64::from(served.count_ones());
        if served != 0 {
            for piece in pieces(self.new_bin[lane], steps) {
                let heat = self.heats[piece.end - 1][lane];
                tally.opposed.set_bin(direction, interval.at(piece.start), heat);
            }
        }
        for (span, piece) in pieces(self.new_span[lane], steps).enumerate() {
            meter.bill.set(span, at, self.powers[piece.end - 1][lane]);
        }
        if occupied > 0 {
            self.tell_comfort(meter, interval, zone, rows);
        }
    }

    /// PMVs and unmet steps.
    fn tell_comfort(
        &self,
        meter: &mut Meter<'_>,
        interval: &Interval<'_>,
        zone: &ZoneInterval<'_>,
        rows: Rows<'_>,
    ) {
        let (lane, at) = (zone.lane().1, zone.zone().get());
        let (model, tally) = (meter.model, &mut meter.zones[at]);
        for step in ones(self.pmvs[lane]) {
            let (air, operative) = (rows.air(step)[lane], rows.operative(step)[lane]);
            let felt = Felt { air, operative, vapour: self.vapour[step][lane] };
            tally.pmvs.add(interval.at(step), self.pmv[step][lane], felt);
        }
        let outside = self.outside[lane];
        tally.outside_steps += u64::from(outside.count_ones());
        let logic = zone.logic();
        for needed in Direction::BOTH {
            let cold = self.cold[lane];
            let unmet = outside & if needed == Direction::Heating { cold } else { !cold };
            if unmet == 0 {
                continue;
            }
            let own = needed == zone.direction();
            let called = if own { rows.on()[lane] } else { 0 };
            let starts = if own { rows.starts() } else { rows.starts_opposite() }[lane];
            let mut air_starting = 0;
            for step in ones(unmet & !called & !starts) {
                let air = model.unit.from_celsius(rows.air(step)[lane]);
                air_starting |= u64::from(air_starts(logic, needed, air)) << step;
            }
            tally.unmet.add(
                unmet,
                &Circumstances {
                    may: always(may(logic.selection, zone.is_led(), needed)),
                    permitted: always(logic.working.permitted.has(needed)),
                    called,
                    full: rows.full()[lane],
                    reversing: 0,
                    starts,
                    turned_away: always(zone.is_led() && !own),
                    air_starts: air_starting,
                },
            );
        }
    }
}
