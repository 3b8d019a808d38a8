//! The numbers of an interval's rows, added up for zones side by side.

use super::interval::{Interval, ZoneInterval};
use super::rows::{Batch, LANES, Row};
use crate::engine::sensor::SensorBody;
use crate::engine::trace::VALUES;
use crate::numbers::{Kernel, Number, run_scalar, run_simd};
use crate::units::TemperatureUnit;

impl Interval<'_> {
    /// Adds the numbers of its rows ([`crate::engine::StepRow::values`]) to those of each zone, in
    /// file order: step by step, as if each row had been added by itself. Operative temperatures mean
    /// something where the observer asks for them always.
    pub fn add_values(&self, sums: &mut [[f64; VALUES]]) {
        for (number, batch) in self.batches.iter().enumerate() {
            let mut lanes = [None; LANES];
            let mut totals = [[0.0; LANES]; VALUES];
            let mut used = 0;
            for (zone, sums) in self.zones().zip(&*sums).filter(|(it, _)| it.place.batch == number)
            {
                let lane = zone.place.lane;
                lanes[lane] = Some(zone);
                used = used.max(lane + 1);
                totals.iter_mut().zip(sums).for_each(|(row, sum)| row[lane] = *sum);
            }
            let Some(any) = lanes.iter().flatten().next().copied() else { continue };
            let lanes = &lanes.map(|zone| zone.unwrap_or(any))[..used];
            let kernel = AddUp { interval: self, batch, lanes, totals: &mut totals };
            if used == 1 {
                run_scalar(kernel);
            } else {
                run_simd(kernel);
            }
            let zones = self.places.iter().zip(&mut *sums);
            for (place, sums) in zones.filter(|(place, _)| place.batch == number) {
                totals.iter().zip(sums).for_each(|(row, sum)| *sum = row[place.lane]);
            }
        }
    }
}

/// Adding up in the lanes of a batch; what comes to stand in lanes without a zone is not read.
struct AddUp<'t, 's> {
    interval: &'s Interval<'s>,
    batch: &'s Batch,
    lanes: &'t [ZoneInterval<'s>],
    totals: &'t mut [Row; VALUES],
}

impl Kernel for AddUp<'_, '_> {
    type Result = ();

    #[inline(always)]
    fn run<V: Number>(self, token: V::Token) {
        let Self { interval, batch, lanes, totals } = self;
        let simulation = interval.simulation;
        let is_celsius = simulation.model().unit == TemperatureUnit::Celsius;
        let outdoors = simulation.scratch.drivers.air_from(simulation.scratch.place);
        for from in (0..lanes.len()).step_by(V::LANES) {
            let zone = |lane: usize| &lanes[(from + lane).min(lanes.len() - 1)];
            let each = |of: fn(&ZoneInterval<'_>) -> f64| V::from_fn(token, |lane| of(zone(lane)));
            let sensors = SensorBody::<V>::from_fn(token, |lane| zone(lane).sensor());
            let heat = each(|zone| zone.logic().working.heat);
            let cool = each(|zone| zone.logic().working.cool);
            let sign = each(|zone| zone.service.direction.sign());
            let [at_rest, running] =
                [each(|zone| zone.service.fan[0]), each(|zone| zone.service.fan[1])];
            let standby = each(|zone| zone.service.standby);
            let served = V::load_bits(&batch.served[from..]);
            let shown = |it: V| if is_celsius { it } else { it * it.splat(1.8) + it.splat(32.0) };
            let mut sums = [heat; VALUES];
            for (sum, row) in sums.iter_mut().zip(&*totals) {
                *sum = V::load(token, &row[from..]);
            }
            for (step, outdoor) in outdoors[..interval.steps].iter().enumerate() {
                let load = |rows: &[Row]| V::load(token, &rows[step][from..]);
                let served = V::bit(token, served, step);
                let fan = V::select(served, running, at_rest);
                let values = [
                    shown(heat.splat(outdoor.at_start)),
                    shown(load(&batch.air)),
                    shown(load(&batch.mass)),
                    shown(load(&batch.operative)),
                    sensors.report(load(&batch.body)),
                    heat,
                    cool,
                    V::select(served, sign * load(&batch.heat), heat.splat(0.0)),
                    load(&batch.compressor) + fan + standby,
                ];
                for (sum, value) in sums.iter_mut().zip(values) {
                    *sum = *sum + value;
                }
            }
            for (sum, row) in sums.into_iter().zip(&mut *totals) {
                sum.store(&mut row[from..]);
            }
        }
    }
}
