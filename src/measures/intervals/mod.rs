//! Event-free intervals, added up for many zones at once.
//!
//! The sums of each zone go into a lane and back; the few steps of which more is to be told (a PMV,
//! an unmet step, the end of a span of the bill) are noted in bitmasks and gone through afterwards.
//! Every sum has its terms in the order in which steps one by one would add them, so that it is the
//! same bits.

mod add_up;
mod lanes;
mod marks;

use super::meter::Meter;
use crate::engine::{Interval, IntervalObserver};

use lanes::Lanes;

impl IntervalObserver for Meter<'_> {
    type Memory = Box<Lanes>;

    fn intervals(each: &mut [(&mut Self, Interval<'_>)], memory: &mut Box<Lanes>) {
        let Some(&(_, any)) = each.first() else { return };
        for (meter, interval) in &mut *each {
            meter.bill.begin_interval(interval.from(), interval.steps());
        }
        for batch in 0..any.batches() {
            let rows = any.rows(batch);
            memory.clear();
            for (meter, interval) in &*each {
                for zone in interval.zones().filter(|zone| zone.lane().0 == batch) {
                    memory.take(meter, interval, &zone, rows);
                }
            }
            add_up::add_up(memory, rows);
            for (meter, interval) in &mut *each {
                for zone in interval.zones().filter(|zone| zone.lane().0 == batch) {
                    memory.give_back(meter, interval, &zone, rows);
                }
            }
        }
        for (meter, interval) in each {
            note_demands(meter, interval);
            interval.units().for_each(|unit| meter.add_unit(&unit));
            interval.people().iter().for_each(|(who, lived)| meter.add_person(*who, lived));
        }
    }
}

/// Mixed demand over the steps of an interval, from the start conditions that its rows have noted.
fn note_demands(meter: &mut Meter<'_>, interval: &Interval<'_>) {
    for zone in interval.zones() {
        let (batch, lane) = zone.lane();
        let (rows, direction) = (interval.rows(batch), zone.direction());
        meter.demand.note(direction, rows.starts()[lane]);
        meter.demand.note(direction.opposite(), rows.starts_opposite()[lane]);
    }
    meter.demand.end(interval.steps());
}
