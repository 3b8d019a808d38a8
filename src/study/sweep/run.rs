//! Running the cases of a sweep, on as many threads as are given.

use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

use rayon::ThreadPoolBuilder;
use rayon::iter::{ParallelBridge, ParallelIterator};

use super::cases::Outcome;
use super::plan::Plan;
use crate::engine::{Model, WarmStart, run as run_model, run_from, warm_start};
use crate::measures::Meter;
use crate::scenario::{Change, Rejected, Template};

/// So many draws of a setting are run one after the other before the next setting has its turn: a
/// sweep that is broken off knows something about every setting.
const DRAWS_AT_ONCE: usize = 16;

/// A sweep about to run.
#[derive(Debug)]
pub struct Study<'a> {
    /// What to do.
    pub plan: &'a Plan,
    /// The file.
    pub template: &'a Template,
    /// The plan's settings.
    pub settings: &'a [Vec<String>],
    /// Rooms at the first step, by setting, where several stretches of draws share them.
    warm: Vec<OnceLock<WarmStart>>,
}

/// Draws of one setting that are run together.
struct Stretch {
    setting: usize,
    draws: Vec<usize>,
}

impl<'a> Study<'a> {
    /// A sweep of a file.
    pub fn new(plan: &'a Plan, template: &'a Template, settings: &'a [Vec<String>]) -> Self {
        let warm = settings.iter().map(|_| OnceLock::new()).collect();
        Self { plan, template, settings, warm }
    }

    fn changes(&self, setting: usize, varied: &[String]) -> Result<Vec<Change>, String> {
        let axes = self.plan.axes.iter().zip(&self.settings[setting]);
        let varied = self.plan.varied.iter().zip(varied);
        axes.chain(varied).map(|(axis, value)| Change::new(&axis.path, value)).collect()
    }

    fn model(&self, setting: usize, varied: &[String]) -> Result<Model, Arc<str>> {
        let changes = self.changes(setting, varied).map_err(Arc::from)?;
        let in_words = |fault: Rejected| Arc::from(fault.to_string());
        self.template.model(&changes).map_err(in_words)
    }

    /// Draws that differ in their seed alone share a model and its warm-up.
    fn run_alike(&self, stretch: &Stretch, stop: &AtomicBool, done: &Done) {
        let mut model = match self.model(stretch.setting, &[]) {
            Ok(model) => model,
            Err(why) => {
                for draw in &stretch.draws {
                    done(self.plan.case(stretch.setting, *draw), Outcome::Unfit(why.clone()));
                }
                return;
            }
        };
        let warm = self.warm[stretch.setting].get_or_init(|| warm_start(&model));
        for draw in &stretch.draws {
            if stop.load(Ordering::Relaxed) {
                return;
            }
            model.seed = self.plan.seed_of(*draw);
            let mut meter = Meter::new(&model);
            run_from(warm, &model, &mut meter);
            let outcome = Outcome::of(&meter.summary(warm.days));
            done(self.plan.case(stretch.setting, *draw), outcome);
        }
    }

    /// Draws with values of their own are models of their own.
    fn run_apart(&self, stretch: &Stretch, stop: &AtomicBool, done: &Done) {
        for draw in &stretch.draws {
            if stop.load(Ordering::Relaxed) {
                return;
            }
            let model = self.model(stretch.setting, &self.plan.varied_values(*draw));
            let outcome = match model {
                Ok(model) => one(&Model { seed: self.plan.seed_of(*draw), ..model }),
                Err(why) => Outcome::Unfit(why),
            };
            done(self.plan.case(stretch.setting, *draw), outcome);
        }
    }
}

fn one(model: &Model) -> Outcome {
    let mut meter = Meter::new(model);
    let days = run_model(model, &mut meter);
    Outcome::of(&meter.summary(days))
}

type Done<'d> = dyn Fn(usize, Outcome) + Sync + 'd;

/// Runs the cases that `wanted` names, and hands each to `done` as soon as it is finished, in no
/// particular order. Takes no new case once `stop` is set.
pub fn run(
    study: &Study<'_>,
    wanted: &(dyn Fn(usize) -> bool + Sync),
    threads: NonZeroUsize,
    stop: &AtomicBool,
    done: &Done<'_>,
) {
    let work = |stretch: Stretch| {
        if stop.load(Ordering::Relaxed) {
        } else if study.plan.varied.is_empty() {
            study.run_alike(&stretch, stop, done);
        } else {
            study.run_apart(&stretch, stop, done);
        }
    };
    let all = stretches(study.plan, wanted);
    match ThreadPoolBuilder::new().num_threads(threads.get()).build() {
        // Bridged and not split, so that stretches begin in their order.
        Ok(pool) => pool.install(|| all.par_bridge().for_each(work)),
        // Where no threads can be had this one does the work.
        Err(_) => all.for_each(work),
    }
}

/// What is wanted, in stretches: some draws of every setting, then some more of every setting.
fn stretches<'a>(
    plan: &'a Plan,
    wanted: &'a (dyn Fn(usize) -> bool + Sync),
) -> impl Iterator<Item = Stretch> + Send + 'a {
    let firsts = (0..plan.draws).step_by(DRAWS_AT_ONCE);
    let all = firsts.flat_map(move |first| (0..plan.settings()).map(move |it| (first, it)));
    all.filter_map(move |(first, setting)| {
        let end = (first + DRAWS_AT_ONCE).min(plan.draws);
        let draws: Vec<usize> =
            (first..end).filter(|draw| wanted(plan.case(setting, *draw))).collect();
        (!draws.is_empty()).then_some(Stretch { setting, draws })
    })
}
