//! Event-free intervals, added up for many zones at once.
//!
//! What is added step by step (temperatures, heat, power) goes through lanes of numbers, a zone in
//! each; the few steps of which more is to be told (a PMV, an unmet step, the end of a span of the
//! bill) are noted and gone through afterwards. Every sum has its terms in the order in which steps
//! one by one would add them, so that it is the same bits.

mod add_up;
mod lanes;
mod marks;

use super::meter::Meter;
use crate::engine::{Interval, IntervalObserver};
use crate::numbers::low_bits;

use lanes::Lanes;

impl IntervalObserver for Meter<'_> {
    type Memory = Box<Lanes>;

    fn intervals(each: &mut [(&mut Self, Interval<'_>)], memory: &mut Box<Lanes>) {
        let Some(&(_, any)) = each.first() else { return };
        for (meter, interval) in &mut *each {
            meter.bill.begin_interval(interval.from(), interval.steps());
        }
        for part in 0..any.parts() {
            let rows = any.rows(part);
            memory.clear();
            for (meter, interval) in &*each {
                for zone in interval.zones().filter(|zone| zone.lane().0 == part) {
                    memory.take(meter, interval, &zone, rows);
                }
            }
            add_up::add_up(memory, rows);
            for (meter, interval) in &mut *each {
                for zone in interval.zones().filter(|zone| zone.lane().0 == part) {
                    memory.give_back(meter, interval, &zone, rows);
                }
            }
        }
        for (meter, interval) in each {
            note_demands(meter, interval);
        }
    }
}

/// Mixed demand, which one zone alone cannot have.
fn note_demands(meter: &mut Meter<'_>, interval: &Interval<'_>) {
    if meter.zones.len() < 2 {
        return;
    }
    let mut wanted = [0; 2];
    for zone in interval.zones() {
        let (part, lane) = zone.lane();
        let (rows, direction) = (interval.rows(part), zone.direction());
        wanted[direction as usize] |= rows.starts()[lane];
        wanted[direction.opposite() as usize] |= rows.starts_opposite()[lane];
    }
    let mixed = wanted[0] & wanted[1] & low_bits(interval.steps());
    meter.mixed_steps += u64::from(mixed.count_ones());
}
