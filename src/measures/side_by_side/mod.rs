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

use lanes::Lanes;

impl StretchObserver for Meter<'_> {
    type Memory = Box<Lanes>;

    fn stretches(each: &mut [(&mut Self, Stretch<'_>)], memory: &mut Box<Lanes>) {
        add(each, memory);
    }
}

/// Adds stretches of several cases, each to its meter.
fn add(each: &mut [(&mut Meter<'_>, Stretch<'_>)], lanes: &mut Lanes) {
    let Some(&(_, first)) = each.first() else { return };
    for (meter, stretch) in &mut *each {
        meter.bill.begin_stretch(stretch.from(), stretch.steps());
    }
    for part in 0..first.parts() {
        let rows = first.rows(part);
        lanes.clear();
        for (meter, stretch) in &*each {
            for zone in stretch.zones().filter(|zone| zone.lane().0 == part) {
                lanes.take(meter, stretch, &zone, rows);
            }
        }
        add_up::add_up(lanes, rows);
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
