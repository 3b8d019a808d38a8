//! Counts the time that zones spend outside the lawful temperatures that the file gives.

use super::seasonal::Unlawful;
use crate::engine::{GroupView, LedgerRow, Model, Observer, ZoneIndex, ZoneView};
use crate::time::Instant;

/// An observer that counts for the zones that have lawful temperatures.
#[derive(Clone, Debug)]
pub struct LawfulMeter<'m> {
    model: &'m Model,
    /// Zone by zone: steps and degrees, below and above. Degrees are K.
    steps: Vec<[u64; 2]>,
    degrees: Vec<[f64; 2]>,
}

impl<'m> LawfulMeter<'m> {
    /// A meter at zero.
    pub fn new(model: &'m Model) -> Self {
        let zones = model.zones.len();
        Self { model, steps: vec![[0; 2]; zones], degrees: vec![[0.0; 2]; zones] }
    }

    /// What it has counted, zone by zone; zero for those without lawful temperatures.
    pub fn counted(&self) -> Vec<Unlawful> {
        let (step, unit) = (self.model.period.step().in_hours(), self.model.unit);
        let zones = self.steps.iter().zip(&self.degrees);
        zones
            .map(|(steps, degrees)| {
                let [hours_below, hours_above] = steps.map(|steps| steps as f64 * step);
                let [degree_hours_below, degree_hours_above] =
                    degrees.map(|degrees| unit.difference_from_kelvin(degrees) * step);
                Unlawful { hours_below, hours_above, degree_hours_below, degree_hours_above }
            })
            .collect()
    }
}

impl Observer for LawfulMeter<'_> {
    fn zone(&mut self, view: &ZoneView<'_>) {
        let place = view.zone.get();
        let Some(lawful) = self.model.zones[place].comfort.lawful else { return };
        let air = view.nodes[0];
        let outside = [lawful.low.map(|low| low - air), lawful.high.map(|high| air - high)];
        for (side, by) in outside.into_iter().enumerate() {
            if let Some(by) = by.filter(|by| *by > 0.0) {
                self.steps[place][side] += 1;
                self.degrees[place][side] += by;
            }
        }
    }

    fn group(&mut self, _: &GroupView<'_>) {}
    fn ledger(&mut self, _: LedgerRow) {}
    fn call_began(&mut self, _: ZoneIndex, _: Instant) {}
}
