//! Draws from what a fit leaves unsure.

use super::changes::{Form, Numbers};
use super::draws::Draws;
use super::fitting::{Fitting, Tells};
use super::problem::GainOf;
use crate::study::chance::{Chance, normal_quantile};
use crate::study::matrix;

impl Fitting<'_> {
    /// Draws from what is left unsure: the numbers from their normal distribution, the gains from
    /// theirs for these numbers.
    pub(super) fn draws(
        &self,
        form: &Form,
        tells: &Tells,
        adds: bool,
        changes: &[(String, serde_json::Value)],
    ) -> Draws {
        let paths: Vec<String> = changes.iter().map(|it| it.0.clone()).collect();
        let (found, spread) = (&self.found, &self.spread);
        let Some(root) = matrix::root(&spread.numbers) else {
            return Draws { paths, rows: Vec::new() };
        };
        let mut chance = Chance::new(tells.options.seed, tells.zone as u64);
        let mut normal = || normal_quantile(chance.part());
        let mut rows = Vec::new();
        let mut tries = 0;
        while rows.len() < tells.options.draws && tries < 20 * tells.options.draws {
            tries += 1;
            let own: Vec<f64> = found.at.iter().map(|_| normal()).collect();
            let moved = matrix::times(&root, &own);
            let at: Vec<f64> = found.at.iter().zip(&moved).map(|(at, it)| at + it).collect();
            let room = found.problem.room_at(&at);
            let mut gains: Vec<f64> = found.choice.gains.iter().map(|_| normal()).collect();
            matrix::turn_back(&found.choice.root, &mut gains);
            let gains = gains.iter().enumerate().map(|(place, own)| {
                let value = found.choice.gains[place] + own;
                (found.problem.gains[place].of, value + matrix::dot(&spread.slopes[place], &moved))
            });
            let gains: Vec<(GainOf, f64)> = gains.collect();
            let running = form.electricity.as_ref().map(|it| {
                let half = (it.running.high - it.running.low) / 2.0;
                it.running.value + half / 1.96 * normal()
            });
            let numbers = Numbers { room, gains, running };
            if numbers.room.space(found.problem.base).is_none() {
                continue;
            }
            let drawn = form.changes(tells.model, tells.zone, &numbers, adds);
            rows.push(drawn.iter().map(|it| crate::scenario::value_text(&it.1)).collect());
        }
        Draws { paths, rows }
    }
}
