//! Quiet stretches, added up for many zones at once.
//!
//! What is added step by step (temperatures, heat, power) goes through lanes of numbers, a zone in
//! each; the few steps of which more is to be told (a vote, a missed step, the end of a span of the
//! bill) are noted and gone through afterwards. Every sum has its terms in the order in which steps
//! one by one would add them, so that it is the same bits.

mod add_up;
mod lanes;
mod marks;

use super::meter::Meter;
use crate::engine::{Stretch, StretchObserver};
use crate::number::first;

use lanes::Lanes;

impl StretchObserver for Meter<'_> {
    type Memory = Box<Lanes>;

    fn stretches(each: &mut [(&mut Self, Stretch<'_>)], memory: &mut Box<Lanes>) {
        let Some(&(_, any)) = each.first() else { return };
        for (meter, stretch) in &mut *each {
            meter.bill.begin_stretch(stretch.from(), stretch.steps());
        }
        for part in 0..any.parts() {
            let rows = any.rows(part);
            memory.clear();
            for (meter, stretch) in &*each {
                for zone in stretch.zones().filter(|zone| zone.lane().0 == part) {
                    memory.take(meter, stretch, &zone, rows);
                }
            }
            add_up::add_up(memory, rows);
            for (meter, stretch) in &mut *each {
                for zone in stretch.zones().filter(|zone| zone.lane().0 == part) {
                    memory.give_back(meter, stretch, &zone, rows);
                }
            }
        }
        for (meter, stretch) in each {
            note_demands(meter, stretch);
        }
    }
}

/// Mixed demand, which one zone alone cannot have.
fn note_demands(meter: &mut Meter<'_>, stretch: &Stretch<'_>) {
    if meter.zones.len() < 2 {
        return;
    }
    let mut wanted = [0; 2];
    for zone in stretch.zones() {
        let (part, lane) = zone.lane();
        let (rows, direction) = (stretch.rows(part), zone.direction());
        wanted[direction as usize] |= rows.starts()[lane];
        wanted[direction.opposite() as usize] |= rows.starts_opposite()[lane];
    }
    let mixed = wanted[0] & wanted[1] & first(stretch.steps());
    meter.mixed_steps += u64::from(mixed.count_ones());
}
