//! How changeovers, electricity and opposed heat depend on the deadband, and the smallest deadband
//! that ends opposed heat: the knee of the curve.

use std::num::NonZeroUsize;

use super::parallel::in_parallel;
use super::simulate::{Keep, simulate};
use crate::control::{
    Grid, Infeasible, SetpointRules, Setpoints, Side, StartFault, Ticks, round_half_up,
};
use crate::engine::{Model, Zone, ZoneIndex};

/// The widest deadband that is tried, K.
pub const WIDEST_DEADBAND: f64 = 4.0;
/// Opposed heat below this counts as none: half a watt-hour, which reads as 0 kWh everywhere.
pub const NO_OPPOSED_KWH: f64 = 0.000_5;

/// One model under deadbands from 0 on, everything else as it is.
#[derive(Clone, Debug)]
pub struct Knee {
    /// The deadbands, ascending in equal steps from 0.
    pub points: Vec<KneePoint>,
}

/// What one deadband brings.
#[derive(Clone, Debug)]
pub struct KneePoint {
    /// The gap between heat and cool, and the minimum deadband, in the file's unit.
    pub deadband: f64,
    /// What came of it, or why it could not be tried.
    pub result: Result<KneeFigures, NotAllowed>,
}

/// What came of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KneeFigures {
    /// Changes of the served direction.
    pub changeovers: u64,
    /// Electricity in all, kWh.
    pub total_kwh: f64,
    /// Heat put in and taken out again within four hours, or the reverse, kWh.
    pub opposed_kwh: f64,
}

/// The first zone in which a deadband does not fit the limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NotAllowed {
    /// Which zone.
    pub zone: ZoneIndex,
    /// What stands against it.
    pub why: Hindrance,
}

/// What stands against a deadband.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hindrance {
    /// Limits and deadband leave no pair at all (rule 2).
    Rules(Infeasible),
    /// The pair about the midpoint lies outside the limits.
    Pair(StartFault),
}

/// The pair that lies `deadband` apart about the midpoint of another one: half the deadband below
/// and above it. Where that needs half a tick, both go up by it, so that an odd tick goes to cool.
pub fn about_midpoint(pair: &Setpoints, deadband: Ticks) -> (Ticks, Ticks) {
    let twice_heat = pair.heat().count() + pair.cool().count() - deadband.count();
    let heat = Ticks::new(twice_heat.div_euclid(2) + twice_heat.rem_euclid(2));
    (heat, heat + deadband)
}

/// The model with that deadband in every zone, its setpoints so far apart about their midpoint.
///
/// # Errors
/// The first zone whose limits do not allow it.
pub fn with_deadband(model: &Model, deadband: f64) -> Result<Model, NotAllowed> {
    let mut changed = model.clone();
    for (place, zone) in changed.zones.iter_mut().enumerate() {
        widen(zone, deadband).map_err(|why| NotAllowed { zone: ZoneIndex::new(place), why })?;
    }
    Ok(changed)
}

fn widen(zone: &mut Zone, deadband: f64) -> Result<(), Hindrance> {
    let controls = &mut zone.controls;
    let (settings, start) = (&mut controls.settings, &mut controls.start);
    let deadband = settings.grid.nearest(deadband);
    let old = &settings.rules;
    let rules = SetpointRules::new(old.limits(), deadband, old.on_conflict());
    let rules = rules.map_err(Hindrance::Rules)?;
    let (heat, cool) = about_midpoint(&start.setpoints, deadband);
    let pair = if rules.is_single() {
        rules.start_single(Side::Heat, heat)
    } else {
        rules.start_dual(heat, cool)
    };
    start.setpoints = pair.map_err(Hindrance::Pair)?;
    settings.rules = rules;
    controls.ignored_start = None;
    Ok(())
}

/// Runs the model at every deadband from 0 to [`WIDEST_DEADBAND`] in ticks of its controllers
/// (the coarsest of them where they differ; every other step divides it).
pub fn knee(model: &Model, threads: NonZeroUsize) -> Knee {
    let step = model.zones.iter().map(|zone| grid(zone).step()).fold(0.0, f64::max);
    let widest = model.unit.difference_from_kelvin(WIDEST_DEADBAND);
    // A controller has ten ticks a degree at most, so the widest deadband is far within 100 of them.
    let deadbands: Vec<f64> = (0..100)
        .map(|count| f64::from(count) * step)
        .take_while(|deadband| step > 0.0 && *deadband <= widest + 1e-9)
        // A sum of steps of 0.1 carries rounding that nobody wants to read.
        .map(|deadband| round_half_up(deadband * 10.0) / 10.0)
        .collect();
    let points = in_parallel(&deadbands, threads, |deadband| KneePoint {
        deadband: *deadband,
        result: with_deadband(model, *deadband).map(|model| figures(&model)),
    });
    Knee { points }
}

fn grid(zone: &Zone) -> Grid {
    zone.controls.settings.grid
}

fn figures(model: &Model) -> KneeFigures {
    let summary = simulate(model, Keep::Nothing).summary;
    KneeFigures {
        changeovers: summary.group.changeovers,
        total_kwh: summary.energy.total_kwh,
        opposed_kwh: summary.group.opposed_kwh,
    }
}

impl Knee {
    /// The deadbands that the limits allow, with what came of them.
    pub fn tried(&self) -> impl DoubleEndedIterator<Item = (f64, KneeFigures)> {
        self.points.iter().filter_map(|point| Some((point.deadband, point.result.ok()?)))
    }

    /// The smallest deadband with which opposed heat is at an end: there is none with it, nor with
    /// any wider one that the limits allow. `None` where even the widest leaves some, or where none
    /// could be tried.
    pub fn ends_opposed(&self) -> Option<(f64, KneeFigures)> {
        self.tried().rev().take_while(|(_, figures)| figures.opposed_kwh < NO_OPPOSED_KWH).last()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::control::{Limits, OnConflict, Range};

    fn pair(heat: i32, cool: i32) -> Setpoints {
        let all = Range { low: Ticks::new(-1000), high: Ticks::new(1000) };
        let limits = Limits { heat: all, cool: all };
        let rules = SetpointRules::new(limits, Ticks::ONE, OnConflict::Push).expect("feasible");
        rules.start_dual(Ticks::new(heat), Ticks::new(cool)).expect("apart")
    }

    #[test]
    fn the_band_widens_about_its_midpoint_and_an_odd_tick_goes_to_cool() {
        // Midpoint 43 ticks: whole.
        let found: Vec<(i32, i32)> = (0..5)
            .map(|deadband| about_midpoint(&pair(40, 46), Ticks::new(deadband)))
            .map(|(heat, cool)| (heat.count(), cool.count()))
            .collect();
        assert_eq!(found, [(43, 43), (43, 44), (42, 44), (42, 45), (41, 45)]);
        // Midpoint 43.5 ticks: the even deadbands go up by half a tick.
        let found: Vec<(i32, i32)> = (0..4)
            .map(|deadband| about_midpoint(&pair(40, 47), Ticks::new(deadband)))
            .map(|(heat, cool)| (heat.count(), cool.count()))
            .collect();
        assert_eq!(found, [(44, 44), (43, 44), (43, 45), (42, 45)]);
        // Below zero as above it: midpoint -3.5.
        let (heat, cool) = about_midpoint(&pair(-5, -2), Ticks::new(2));
        assert_eq!((heat.count(), cool.count()), (-4, -2));
    }

    fn knee_of(opposed: &[Option<f64>]) -> Knee {
        let hindered = NotAllowed {
            zone: ZoneIndex::new(0),
            why: Hindrance::Rules(Infeasible::NegativeDeadband),
        };
        let points = opposed.iter().enumerate().map(|(place, opposed)| KneePoint {
            deadband: place as f64,
            result: opposed.ok_or(hindered).map(|opposed_kwh| KneeFigures {
                changeovers: 0,
                total_kwh: 1.0,
                opposed_kwh,
            }),
        });
        Knee { points: points.collect() }
    }

    #[test]
    fn opposed_heat_is_at_an_end_only_where_no_wider_deadband_brings_it_back() {
        let ends = |opposed: &[Option<f64>]| knee_of(opposed).ends_opposed().map(|found| found.0);
        assert_eq!(ends(&[Some(2.0), Some(0.5), Some(0.0), Some(0.0)]), Some(2.0));
        assert_eq!(ends(&[Some(2.0), Some(0.0), Some(0.5), Some(0.0)]), Some(3.0));
        assert_eq!(ends(&[Some(0.0), Some(0.0)]), Some(0.0));
        assert_eq!(ends(&[Some(2.0), Some(1.0)]), None);
        assert_eq!(ends(&[None, Some(2.0), None, Some(0.0), None]), Some(3.0));
        assert_eq!(ends(&[None, None]), None);
    }
}
