//! Draws from what a fit leaves unsure: from prior and likelihood together, by weighted proposals.
//!
//! What a log does not tell is as wide as it was believed to be beforehand, and what hangs on it is as
//! wide as that makes it. So all numbers are free again here, those that were put back to the file's,
//! too. Proposals come from Student's distribution about the highest point of the posterior, with the
//! curvature there, and are drawn again by their weights (Gelman and others, Bayesian Data Analysis,
//! 3rd edition 2013, 10.4), of which none may count more than the root of their number (Ionides,
//! Truncated importance sampling, Journal of Computational and Graphical Statistics 17 (2008) 295-311).
//! The part of the proposals that count is that of Kish (Survey Sampling, 1965).

use serde_json::Value;

use super::changes::{Form, Numbers};
use super::draws::Draws;
use super::finished::{hours, slow};
use super::fitting::{Fitting, Tells};
use super::problem::{Choice, GainOf, Problem, Size};
use super::search::Found;
use crate::scenario::value_text;
use crate::study::chance::{Chance, normal_quantile};
use crate::study::matrix;

/// Degrees of freedom of the proposals: their tails are wider than the posterior's.
const FREEDOM: usize = 5;
/// Proposals for each draw,
const PROPOSALS: usize = 2;
/// and at least so many in all.
const LEAST: usize = 100;
/// Steps to the highest point, with all numbers free.
const STEPS: usize = 30;

/// A proposal with the logarithm of its weight.
struct Proposal {
    choice: Choice,
    weight: f64,
}

impl Fitting<'_> {
    /// Draws of what may vary, as changes of the file. `adds` is whether gains by the hour are added
    /// to the file's.
    pub(super) fn draws(&self, form: &Form, tells: &Tells, adds: bool) -> Draws {
        let mut chance = Chance::new(tells.options.seed, tells.zone as u64);
        let start = chance.part();
        let mut normal = || normal_quantile(chance.part());
        let Some(wide) = self.wide(tells) else { return Draws::default() };
        let proposals = proposals(&wide, tells.options.draws, &mut normal);
        let mut draws = Draws::default();
        for place in drawn_again(&proposals, tells.options.draws, start) {
            let choice = &proposals[place].choice;
            // With the sizes of the room given, gains are normal.
            let mut gains: Vec<f64> = choice.gains.iter().map(|_| normal()).collect();
            matrix::turn_back(&choice.root, &mut gains);
            gains.iter_mut().zip(&choice.gains).for_each(|(own, middle)| *own += middle);
            let running = form.electricity.as_ref().map(|it| {
                let half = (it.running.high - it.running.low) / 2.0;
                it.running.value + half / 1.96 * normal()
            });
            let problem = &wide.problem;
            // What is left over by the hour is that of this room.
            let by_hour =
                form.by_hour.map(|_| hours(problem.inputs, &slow(problem, choice, &gains)));
            let named: Vec<(GainOf, f64)> =
                problem.gains.iter().map(|it| it.of).zip(gains).collect();
            // Of what stands still no log says anything: that is drawn as it is believed to be.
            let still = self.standing_still(tells.options);
            let room = still.iter().fold(choice.room, |room, size| {
                let off = libm::exp(Problem::spread(*size) * normal());
                let drawn = room.with(*size, problem.believed.get(*size) * off);
                if drawn.space(problem.base).is_some() { drawn } else { room }
            });
            let numbers = Numbers { room, gains: named, running };
            let sizes = union(union(self.sizes(), &problem.free), &still);
            let form = Form { sizes, by_hour, ..form.clone() };
            let changes = form.changes(tells.model, tells.zone, &numbers, adds);
            draws.paths = changes.iter().map(|it| it.0.clone()).collect();
            draws.rows.push(changes.iter().map(|it| as_written(&it.1)).collect());
        }
        draws
    }

    /// The highest point of the posterior with everything free that may be.
    fn wide(&self, tells: &Tells) -> Option<Found<'_>> {
        let own = &self.found;
        let problem = own.problem.freeing(self.unsure_sizes(tells.options), &self.untold.1);
        let start = problem.at(&own.choice);
        Found::on_from(problem, &start, None, STEPS)
    }
}

/// A value as a file would have it: a size without quotes.
fn as_written(value: &Value) -> String {
    value.as_str().map_or_else(|| value_text(value), str::to_owned)
}

fn union(mut sizes: Vec<Size>, more: &[Size]) -> Vec<Size> {
    let missing: Vec<Size> = more.iter().copied().filter(|it| !sizes.contains(it)).collect();
    sizes.extend(missing);
    sizes
}

/// Proposals about the highest point.
fn proposals(wide: &Found, draws: usize, normal: &mut impl FnMut() -> f64) -> Vec<Proposal> {
    let spread = wide.spread();
    let Some(root) = matrix::root(&spread.numbers) else { return Vec::new() };
    let freedom = FREEDOM as f64;
    (0..(PROPOSALS * draws).max(LEAST))
        .filter_map(|_| {
            let squares: f64 = (0..FREEDOM).map(|_| normal().powi(2)).sum();
            let wider = (freedom / squares).sqrt();
            let own: Vec<f64> = wide.at.iter().map(|_| wider * normal()).collect();
            let at: Vec<f64> =
                root.iter().zip(&wide.at).map(|(row, at)| at + matrix::dot(row, &own)).collect();
            let choice = wide.problem.choose(&at)?;
            let proposed = -0.5
                * (freedom + own.len() as f64)
                * libm::log1p(matrix::dot(&own, &own) / freedom);
            // The gains are integrated over.
            let over: f64 = (0..choice.root.len()).map(|it| libm::log(choice.root[it][it])).sum();
            let weight = -choice.value - over - proposed;
            Some(Proposal { choice, weight })
        })
        .collect()
}

/// At least this part of the proposals must count.
const COUNT: f64 = 0.2;

/// The weights of proposals, of which none counts more than the root of their number. Where hardly any
/// lies where the posterior does, they are made alike until enough count: too wide rather than all one.
fn weights(proposals: &[Proposal]) -> Vec<f64> {
    let most = proposals.iter().fold(f64::NEG_INFINITY, |most, it| most.max(it.weight));
    let flattened = |power: f64| -> Vec<f64> {
        let raw: Vec<f64> =
            proposals.iter().map(|it| libm::exp(power * (it.weight - most))).collect();
        let mean = raw.iter().sum::<f64>() / raw.len().max(1) as f64;
        let limit = mean * (raw.len() as f64).sqrt();
        raw.into_iter().map(|it| it.min(limit)).collect()
    };
    let mut power = 1.0;
    loop {
        let weights = flattened(power);
        let sum: f64 = weights.iter().sum();
        let alike = sum * sum / matrix::dot(&weights, &weights);
        if power < 1e-6 || alike >= COUNT * weights.len() as f64 {
            return weights;
        }
        power *= 0.7;
    }
}

/// Places of proposals, each as often as its weight is worth, in rising order.
fn drawn_again(proposals: &[Proposal], draws: usize, start: f64) -> Vec<usize> {
    let weights = weights(proposals);
    let whole: f64 = weights.iter().sum();
    let mut places = Vec::with_capacity(draws);
    let mut sum = 0.0;
    for (place, weight) in weights.iter().enumerate() {
        sum += weight / whole * draws as f64;
        while (places.len() as f64) + start < sum && places.len() < draws {
            places.push(place);
        }
    }
    places
}
