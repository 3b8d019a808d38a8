//! How changeovers, electricity and opposed heat depend on the deadband, and the smallest deadband
//! that ends opposed heat: the knee of the curve.

use std::num::NonZeroUsize;

use super::parallel::in_parallel;
use super::simulate::{Finished, Keep, simulate};
use crate::control::{
    Grid, Infeasible, SetpointRules, Side, StartFault, about_midpoint, round_half_up,
};
use crate::engine::{Halt, Model, Zone, ZoneIndex};
use crate::measures::ImplausibleAir;

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

/// One deadband with the figures of its run.
#[derive(Clone, Debug)]
pub struct KneePoint {
    /// The gap between heat and cool, and the minimum deadband, in the file's unit.
    pub deadband: f64,
    /// The figures of a run with it, or why there are none.
    pub result: Result<KneeFigures, NotTried>,
}

/// The figures of a run that the deadband is weighed by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KneeFigures {
    /// Changes of the served direction.
    pub changeovers: u64,
    /// Electricity in all, kWh.
    pub total_kwh: f64,
    /// Heat put in and taken out again within four hours, or the reverse, kWh.
    pub opposed_kwh: f64,
    /// Air that is hardly that of a building, where there was any.
    pub implausible: Option<ImplausibleAir>,
}

/// Why a deadband has no figures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NotTried {
    /// It does not fit the limits of a zone, the first of them.
    Limits {
        /// Which zone.
        zone: ZoneIndex,
        /// What stands against it.
        why: Misfit,
    },
    /// The run with it had an end before its time.
    Ended(Halt),
}

impl NotTried {
    /// Whether there was a run all the same.
    pub const fn ran(&self) -> bool {
        matches!(self, Self::Ended(_))
    }
}

/// What stands against a deadband.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// Limits and deadband leave no pair at all (rule 2).
    Rules(Infeasible),
    /// The pair about the midpoint lies outside the limits.
    Pair(StartFault),
}

/// The model with that deadband in every zone, its setpoints so far apart about their midpoint.
///
/// # Errors
/// The first zone whose limits do not allow it.
pub fn with_deadband(model: &Model, deadband: f64) -> Result<Model, NotTried> {
    let mut changed = model.clone();
    for (place, zone) in changed.zones.iter_mut().enumerate() {
        widen(zone, deadband)
            .map_err(|why| NotTried::Limits { zone: ZoneIndex::new(place), why })?;
    }
    Ok(changed)
}

fn widen(zone: &mut Zone, deadband: f64) -> Result<(), Misfit> {
    let controls = &mut zone.controls;
    let (settings, start) = (&mut controls.settings, &mut controls.start);
    let deadband = settings.grid.nearest(deadband);
    let old = &settings.rules;
    let rules = SetpointRules::new(old.limits(), deadband, old.on_conflict());
    let rules = rules.map_err(Misfit::Rules)?;
    let (heat, cool) = about_midpoint(start.setpoints.heat(), start.setpoints.cool(), deadband);
    let pair = if rules.is_single() {
        rules.start_single(Side::Heat, heat)
    } else {
        rules.start_dual(heat, cool)
    };
    start.setpoints = pair.map_err(Misfit::Pair)?;
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
        result: with_deadband(model, *deadband).and_then(|model| figures(&model)),
    });
    Knee { points }
}

fn grid(zone: &Zone) -> Grid {
    zone.controls.settings.grid
}

fn figures(model: &Model) -> Result<KneeFigures, NotTried> {
    let Finished { summary, halt, .. } = simulate(model, Keep::Nothing);
    if let Some(halt) = halt {
        return Err(NotTried::Ended(halt));
    }
    Ok(KneeFigures {
        changeovers: summary.group.changeovers,
        total_kwh: summary.energy.total_kwh,
        opposed_kwh: summary.group.opposed_kwh,
        implausible: ImplausibleAir::of(&summary, model.unit),
    })
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

    fn knee_of(opposed: &[Option<f64>]) -> Knee {
        let hindered = NotTried::Limits {
            zone: ZoneIndex::new(0),
            why: Misfit::Rules(Infeasible::NegativeDeadband),
        };
        let points = opposed.iter().enumerate().map(|(place, opposed)| KneePoint {
            deadband: place as f64,
            result: opposed.ok_or(hindered).map(|opposed_kwh| KneeFigures {
                changeovers: 0,
                total_kwh: 1.0,
                opposed_kwh,
                implausible: None,
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
