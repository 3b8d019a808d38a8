//! Running the cases of a sweep, on as many threads as are given.

use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};

use rayon::ThreadPoolBuilder;
use rayon::iter::{ParallelBridge, ParallelIterator};

use super::cases::CaseOutcome;
use super::plan::SweepPlan;
use crate::engine::{Case, LANES, Model, WarmStart, run_together, share, warm_start};
use crate::measures::Meter;
use crate::scenario::{Override, Rejected, Template};
use crate::study::parallel::MOST_THREADS;

/// So many draws of a setting are run one after the other before the next setting has its turn: a
/// sweep that is broken off knows something about every setting.
const DRAWS_AT_ONCE: usize = 16;
/// At most so many cases are run side by side: a crash loses no more for each thread.
const BATCH: usize = 32;

/// So many zones run side by side: enough to fill lanes, few enough to stay near the processor.
const ZONES_TOGETHER: usize = 2 * LANES;

/// A sweep about to run.
#[derive(Debug)]
pub struct SweepRun<'a> {
    /// What to do.
    pub plan: &'a SweepPlan,
    /// The file.
    pub template: &'a Template,
    /// The plan's settings.
    pub settings: &'a [Vec<String>],
    /// Rooms at the first step, by setting, where several stretches of draws share them.
    warm: Vec<OnceLock<WarmStart>>,
}

impl<'a> SweepRun<'a> {
    /// A sweep of a file.
    pub fn new(plan: &'a SweepPlan, template: &'a Template, settings: &'a [Vec<String>]) -> Self {
        let warm = settings.iter().map(|_| OnceLock::new()).collect();
        Self { plan, template, settings, warm }
    }

    fn changes(&self, setting: usize, varied: &[String]) -> Result<Vec<Override>, String> {
        let axes = self.plan.axes.iter().zip(&self.settings[setting]);
        let varied = self.plan.varied.iter().zip(varied);
        axes.chain(varied).map(|(axis, value)| Override::new(&axis.path, value)).collect()
    }

    fn model(&self, setting: usize, varied: &[String]) -> Result<Model, Arc<str>> {
        let changes = self.changes(setting, varied).map_err(Arc::from)?;
        let in_words = |fault: Rejected| Arc::from(fault.to_string());
        self.template.model(&changes).map_err(in_words)
    }

    /// The rooms at the first step of a setting, where its draws share them: draws that differ in
    /// their seed alone.
    fn warm(&self, setting: usize, model: &Model) -> Option<&WarmStart> {
        let shared = self.plan.varied.is_empty() && self.plan.draws > 1;
        shared.then(|| self.warm[setting].get_or_init(|| warm_start(model)))
    }

    /// The models of some cases, each with its case; those that cannot be run are done.
    fn models(&self, batch: &[usize], done: &Done) -> Vec<(usize, Model)> {
        let mut models: Vec<(usize, Model)> = Vec::with_capacity(batch.len());
        for &case in batch {
            let (setting, draw) = self.plan.split(case);
            let like = models.last().filter(|(other, _)| {
                self.plan.varied.is_empty() && self.plan.split(*other).0 == setting
            });
            let model = match like {
                Some((_, model)) => Ok(model.clone()),
                None => self.model(setting, &self.plan.varied_values(draw)),
            };
            match model {
                Ok(model) => models.push((case, Model { seed: self.plan.seed_of(draw), ..model })),
                Err(why) => done(case, CaseOutcome::Unfit(why)),
            }
        }
        models
    }

    /// Runs some cases side by side, or one after the other where that gains nothing.
    fn run_batch(&self, batch: &[usize], stop: &AtomicBool, done: &Done) {
        let models = self.models(batch, done);
        let mut cases: Vec<Case<'_, Meter<'_>>> = Vec::with_capacity(models.len());
        for (number, model) in &models {
            cases.push(match self.warm(self.plan.split(*number).0, model) {
                Some(warm) => Case::warm(warm, model, Meter::new(model)),
                None => Case::new(model, Meter::new(model)),
            });
        }
        share(&mut cases);
        let zones = models.iter().map(|(_, model)| model.zones.len()).max().unwrap_or(1);
        let together = if cases.iter().all(Case::may_be_event_free) {
            (ZONES_TOGETHER / zones.max(1)).max(1)
        } else {
            1
        };
        let mut about = models.iter();
        while !cases.is_empty() && !stop.load(Ordering::Relaxed) {
            let rest = cases.split_off(together.min(cases.len()));
            run_together(&mut cases);
            let ended = std::mem::replace(&mut cases, rest);
            for (case, (number, model)) in ended.into_iter().zip(&mut about) {
                let halt = case.halt();
                let (meter, warmup_days) = case.finish();
                let outcome = match halt {
                    Some(halt) => CaseOutcome::Unfit(halt.in_words(model).0.into()),
                    None => CaseOutcome::of(model, &meter.summary(warmup_days)),
                };
                done(*number, outcome);
            }
        }
    }
}

type Done<'d> = dyn Fn(usize, CaseOutcome) + Sync + 'd;

/// Runs the cases that `wanted` names, and hands each to `done` as soon as it is finished, in no
/// particular order. Takes no new case once `stop` is set.
pub fn run(
    study: &SweepRun<'_>,
    wanted: &(dyn Fn(usize) -> bool + Sync),
    threads: NonZeroUsize,
    stop: &AtomicBool,
    done: &Done<'_>,
) {
    let work = |batch: Vec<usize>| {
        if !stop.load(Ordering::Relaxed) {
            study.run_batch(&batch, stop, done);
        }
    };
    let count = (0..study.plan.cases()).filter(|case| wanted(*case)).count();
    let together = count.div_ceil(threads.get()).clamp(1, BATCH);
    let all = batches(study.plan, wanted, together);
    let threads = threads.get().min(count.max(1)).min(MOST_THREADS);
    match ThreadPoolBuilder::new().num_threads(threads).build() {
        // Bridged and not split, so that batches begin in their order.
        Ok(pool) => pool.install(|| all.par_bridge().for_each(work)),
        // Where no threads can be had this one does the work.
        Err(_) => all.for_each(work),
    }
}

/// What is wanted, in batches of so many cases: some draws of every setting, then some more of every
/// setting.
fn batches<'a>(
    plan: &'a SweepPlan,
    wanted: &'a (dyn Fn(usize) -> bool + Sync),
    together: usize,
) -> impl Iterator<Item = Vec<usize>> + Send + 'a {
    let firsts = (0..plan.draws).step_by(DRAWS_AT_ONCE);
    let stretches = firsts.flat_map(move |first| (0..plan.settings()).map(move |it| (first, it)));
    let mut cases = stretches
        .flat_map(move |(first, setting)| {
            let draws = first..(first + DRAWS_AT_ONCE).min(plan.draws);
            draws.map(move |draw| plan.case(setting, draw))
        })
        .filter(|case| wanted(*case));
    std::iter::from_fn(move || {
        let batch: Vec<usize> = cases.by_ref().take(together).collect();
        (!batch.is_empty()).then_some(batch)
    })
}
