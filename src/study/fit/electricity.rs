//! What a zone's own unit draws: by stage and outdoor temperature while it runs, and at rest.

use super::inputs::Inputs;
use crate::direction::Direction;
use crate::engine::Model;
use crate::plant::UnitControl;
use crate::study::matrix;

/// Readings of running and resting that are enough to tell.
const ENOUGH: usize = 10;
/// Outdoor temperatures so far apart tell how the power goes with them, K.
const APART: f64 = 3.0;

/// A figure with its interval of 95 %.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimated {
    /// The figure.
    pub value: f64,
    /// The lower end,
    pub low: f64,
    /// and the upper.
    pub high: f64,
}

/// Electric power of a unit, W.
#[derive(Clone, Debug, PartialEq)]
pub struct Electricity {
    /// In which direction it was seen running.
    pub direction: Direction,
    /// At rest.
    pub rest: f64,
    /// While it runs at its last stage, at a degree outdoors, degrees C.
    pub running: Estimated,
    /// That degree: the mean while it ran.
    pub outdoor: f64,
    /// How much more for each degree outdoors, W/K.
    pub slope: f64,
    /// The coldest and warmest outdoors while it ran, degrees C.
    pub seen: (f64, f64),
    /// Power of each stage over that of the last.
    pub stages: Vec<f64>,
    /// Of the sums by the hour, measured against these: the root mean square of the difference over
    /// the mean,
    pub cv_rmse: f64,
    /// and the mean difference over the mean.
    pub nmbe: f64,
}

/// Fits the power of a zone's own plant to a log whose meters have no other zone's; `None` where the
/// log cannot tell.
pub(super) fn electricity(
    model: &Model,
    zone: usize,
    zones: usize,
    inputs: &Inputs,
) -> Option<Electricity> {
    let shares =
        model.outdoor_units.iter().any(|unit| unit.zones.iter().any(|it| it.get() == zone));
    if shares || zones != 1 {
        return None;
    }
    let unit = &model.zones[zone].unit;
    let stage_at = |at: usize| inputs.plant.by_stage.iter().position(|stage| stage[at] != 0.0);
    let mut rest: Vec<f64> = Vec::new();
    let mut rows: Vec<(usize, f64, f64)> = Vec::new();
    let mut signs = 0.0;
    for at in 1..inputs.grid.count {
        let Some(power) = inputs.electric[at] else { continue };
        let (now, before) = (inputs.plant.ran[at], inputs.plant.ran[at - 1]);
        if now == 0.0 && before == 0.0 && inputs.plant.unsure[at] == 0.0 {
            rest.push(power);
        }
        // The first step after a start has the rush of it, and the last may be cut.
        let goes_on = at + 1 < inputs.grid.count && inputs.plant.ran[at + 1] >= 1.0;
        if now >= 1.0
            && before >= 1.0
            && goes_on
            && let (Some(stage), Some(last)) = (stage_at(at), stage_at(at - 1))
            && stage == last
        {
            signs += inputs.plant.by_stage[stage][at].signum();
            rows.push((stage, inputs.outdoor[at], power));
        }
    }
    if rows.len() < ENOUGH {
        return None;
    }
    let rest =
        if rest.len() >= ENOUGH { rest.iter().sum::<f64>() / rest.len() as f64 } else { 0.0 };
    let direction = if signs >= 0.0 { Direction::Heating } else { Direction::Cooling };
    let law = Law::fit(&rows, inputs.plant.by_stage.len());
    let top = inputs.plant.by_stage.len() - 1;
    let shares: Vec<f64> = match unit.control {
        UnitControl::Staged { stages } => stages.shares().to_vec(),
        UnitControl::Modulating { .. } | UnitControl::Ideal => vec![1.0],
    };
    // A stage that never ran has the power that goes with its share.
    let own = |stage: usize| law.stages[stage];
    let known = (0..=top).find_map(|stage| own(stage).map(|power| power / shares[stage]))?;
    let powers: Vec<f64> =
        (0..=top).map(|stage| own(stage).unwrap_or(known * shares[stage])).collect();
    let seen = rows
        .iter()
        .fold((f64::MAX, f64::MIN), |(low, high), row| (low.min(row.1), high.max(row.1)));
    let running = powers[top];
    let half = 1.96 * law.deviation / (rows.len() as f64 / law.alike).sqrt();
    let mut fitted = Electricity {
        direction,
        rest,
        running: Estimated { value: running, low: running - half, high: running + half },
        outdoor: law.middle,
        slope: running * law.relative_slope,
        seen,
        stages: powers.iter().map(|power| power / running).collect(),
        cv_rmse: 0.0,
        nmbe: 0.0,
    };
    (fitted.cv_rmse, fitted.nmbe) = by_hour(&fitted, inputs);
    Some(fitted)
}

impl Electricity {
    /// The power at a stage and an outdoor temperature, W.
    pub fn at(&self, stage: usize, outdoor: f64) -> f64 {
        let (low, high) = self.seen;
        let full = self.running.value + self.slope * (outdoor.clamp(low, high) - self.outdoor);
        full * self.stages[stage.min(self.stages.len() - 1)]
    }

    /// Outdoor temperatures, degrees C, between which the power is straight.
    pub fn outdoors(&self) -> Vec<f64> {
        let (low, high) = self.seen;
        if high - low < APART || self.slope == 0.0 { vec![self.outdoor] } else { vec![low, high] }
    }
}

/// Power by stage at the mean outdoor temperature, and how it rises with it, the same part in all.
struct Law {
    stages: Vec<Option<f64>>,
    relative_slope: f64,
    middle: f64,
    deviation: f64,
    /// So many readings, one after the other, are as good as one.
    alike: f64,
}

impl Law {
    fn fit(rows: &[(usize, f64, f64)], stages: usize) -> Self {
        let middle = rows.iter().map(|row| row.1).sum::<f64>() / rows.len() as f64;
        let ran: Vec<usize> =
            (0..stages).filter(|stage| rows.iter().any(|row| row.0 == *stage)).collect();
        // A level for each stage and a slope for each, by least squares.
        let mut levels = vec![None; stages];
        let mut slopes = Vec::new();
        for stage in &ran {
            let own: Vec<(f64, f64)> = rows
                .iter()
                .filter(|row| row.0 == *stage)
                .map(|row| (row.1 - middle, row.2))
                .collect();
            let count = own.len() as f64;
            let sums = own.iter().fold([0.0; 4], |sum, (x, y)| {
                [sum[0] + x, sum[1] + x * x, sum[2] + y, sum[3] + x * y]
            });
            let spread = sums[1] - sums[0] * sums[0] / count;
            let slope = if spread > count * APART * APART / 12.0 {
                (sums[3] - sums[0] * sums[2] / count) / spread
            } else {
                0.0
            };
            let level = (sums[2] - slope * sums[0]) / count;
            levels[*stage] = Some(level);
            slopes.push((spread, slope / level));
        }
        let weight: f64 = slopes.iter().map(|it| it.0).sum();
        let relative_slope = if weight > 0.0 {
            slopes.iter().map(|(spread, slope)| spread * slope).sum::<f64>() / weight
        } else {
            0.0
        };
        let left: Vec<f64> = rows
            .iter()
            .map(|(stage, outdoor, power)| {
                let level = levels[*stage].unwrap_or(0.0);
                power - level * (1.0 + relative_slope * (outdoor - middle))
            })
            .collect();
        let square = matrix::dot(&left, &left);
        let next = matrix::dot(&left[1..], &left[..left.len() - 1]);
        let carried = if square > 0.0 { (next / square).clamp(0.0, 0.99) } else { 0.0 };
        Self {
            stages: levels,
            relative_slope,
            middle,
            deviation: (square / left.len() as f64).sqrt(),
            alike: (1.0 + carried) / (1.0 - carried),
        }
    }
}

/// Sums of each whole hour: modelled against measured, with what ran as the log has it.
fn by_hour(fitted: &Electricity, inputs: &Inputs) -> (f64, f64) {
    let steps = inputs.grid.steps_in(3600);
    let mut hours: Vec<(f64, f64)> = Vec::new();
    for from in (0..inputs.grid.count.saturating_sub(steps - 1)).step_by(steps) {
        let mut sums = (0.0, 0.0);
        let mut known = 0;
        for at in from..from + steps {
            let Some(power) = inputs.electric[at] else { continue };
            known += 1;
            let stage = inputs.plant.by_stage.iter().position(|stage| stage[at] != 0.0);
            let part = inputs.plant.ran[at];
            let running = stage.map_or(0.0, |stage| fitted.at(stage, inputs.outdoor[at]));
            sums.0 += power;
            sums.1 += part * running + (1.0 - part) * fitted.rest;
        }
        if known == steps {
            hours.push((sums.0 / steps as f64, sums.1 / steps as f64));
        }
    }
    let count = hours.len() as f64;
    let mean = hours.iter().map(|it| it.0).sum::<f64>() / count;
    if hours.is_empty() || mean <= 0.0 {
        return (f64::NAN, f64::NAN);
    }
    let square =
        hours.iter().map(|(measured, modelled)| (measured - modelled).powi(2)).sum::<f64>();
    let bias = hours.iter().map(|(measured, modelled)| modelled - measured).sum::<f64>();
    ((square / count).sqrt() / mean, bias / count / mean)
}
