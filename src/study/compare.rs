//! Several settings under the same weather, the same people and the same random draws.

use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicI64, Ordering};

use super::knee::Knee;
use super::parallel::in_parallel;
use super::simulate::{Finished, Keep, simulate_while};
use crate::engine::Model;
use crate::measures::{FIGURES, Figure, Summary};
use crate::scenario::Faults;

/// One that is compared, finished.
#[derive(Clone, Debug)]
pub struct Contender {
    /// The name of the variant or of the file; `base` for a file as written.
    pub name: String,
    /// What was run. Where rows are kept by the hour, its period has steps of an hour.
    pub model: Model,
    /// What came of it.
    pub finished: Finished,
}

impl Contender {
    /// What people call it: its name without the underscores of a file's names.
    pub fn spoken(&self) -> String {
        self.name.replace('_', " ")
    }
}

/// One that could not be run.
#[derive(Clone, Debug)]
pub struct LeftOut {
    /// The name of the variant or of the file.
    pub name: String,
    /// What is wrong with it.
    pub faults: Faults,
}

/// A finished comparison.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// Against which all others are held.
    pub base: Contender,
    /// The others.
    pub variants: Vec<Contender>,
    /// Those that could not be run.
    pub left_out: Vec<LeftOut>,
    /// What a reader must know about how they were made comparable.
    pub notes: Vec<String>,
    /// The base under other deadbands; `None` where nobody asked.
    pub knee: Option<Knee>,
}

/// A figure of a variant beside that of the base.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// The base's; `None` where it has none.
    pub base: Option<f64>,
    /// The variant's.
    pub value: Option<f64>,
}

impl Difference {
    /// The variant's less the base's.
    pub fn absolute(&self) -> Option<f64> {
        Some(self.value? - self.base?)
    }

    /// The same in percent of the base's; `None` where that is zero and the variant's is not.
    pub fn percent(&self) -> Option<f64> {
        match (self.absolute()?, self.base?) {
            (0.0, _) => Some(0.0),
            (_, 0.0) => None,
            (absolute, base) => Some(100.0 * absolute / base.abs()),
        }
    }
}

/// Every figure of a variant beside that of the base, in the order of [`FIGURES`].
pub fn differences(base: &Summary, variant: &Summary) -> Vec<(&'static Figure, Difference)> {
    let beside = |figure: &Figure| Difference { base: figure.of(base), value: figure.of(variant) };
    FIGURES.iter().map(|figure| (figure, beside(figure))).collect()
}

/// Runs the base and the variants of one file. A variant may change whatever it likes, but the
/// random draws are the base's; weather of its own is noted.
pub fn compare_variants(
    base: Model,
    variants: Vec<(String, Result<Model, Faults>)>,
    threads: NonZeroUsize,
) -> Comparison {
    compare_variants_while(base, variants, threads, &|_| true)
}

/// The same, as long as `go_on` says so, which hears from all threads what part of all runs is
/// simulated, from 0 to 1; what was broken off has figures of first parts alone.
pub fn compare_variants_while(
    base: Model,
    variants: Vec<(String, Result<Model, Faults>)>,
    threads: NonZeroUsize,
    go_on: &(dyn Fn(f64) -> bool + Sync),
) -> Comparison {
    let mut notes = Vec::new();
    for (name, model) in &variants {
        if model.as_ref().is_ok_and(|model| model.weather != base.weather) {
            notes.push(format!(
                "{name} has weather of its own: its differences are not those of settings alone."
            ));
        }
    }
    compare(("base".into(), base), variants, notes, (threads, go_on))
}

/// Runs files against the first of them, all with its weather and its random draws.
pub fn compare_files(
    base: (String, Model),
    others: Vec<(String, Result<Model, Faults>)>,
    threads: NonZeroUsize,
) -> Comparison {
    let mut notes = Vec::new();
    let mut under_base = Vec::new();
    for (name, model) in others {
        let model = model.map(|mut model| {
            if model.weather != base.1.weather {
                notes.push(format!("{name} was run with the weather of {}.", base.0));
            }
            model.weather = base.1.weather.clone();
            model.site = base.1.site;
            model.sky = base.1.sky.clone();
            model.humidity = base.1.humidity;
            model
        });
        under_base.push((name, model));
    }
    compare(base, under_base, notes, (threads, &|_| true))
}

fn compare(
    base: (String, Model),
    others: Vec<(String, Result<Model, Faults>)>,
    notes: Vec<String>,
    (threads, go_on): (NonZeroUsize, &(dyn Fn(f64) -> bool + Sync)),
) -> Comparison {
    let mut left_out = Vec::new();
    let seed = base.1.seed;
    let mut to_run = vec![base];
    for (name, model) in others {
        match model {
            Ok(model) => to_run.push((name, Model { seed, ..model })),
            Err(faults) => left_out.push(LeftOut { name, faults }),
        }
    }
    let whole: i64 = to_run.iter().map(|(_, model)| model.period.end().get()).sum();
    let done = AtomicI64::new(0);
    let finished = in_parallel(&to_run, threads, |(_, model)| {
        let mut told = 0;
        simulate_while(model, Keep::for_charts(model), &mut |now| {
            let since = now.get() - told;
            told = now.get();
            go_on((done.fetch_add(since, Ordering::Relaxed) + since) as f64 / whole as f64)
        })
    });
    let contender = |((name, model), finished)| {
        let keep = Keep::for_charts(&model);
        Contender { name, model: keep.shown(model), finished }
    };
    let mut all: Vec<Contender> = to_run.into_iter().zip(finished).map(contender).collect();
    Comparison { base: all.remove(0), variants: all, left_out, notes, knee: None }
}

impl Comparison {
    /// The base, then the variants.
    pub fn all(&self) -> impl Iterator<Item = &Contender> {
        std::iter::once(&self.base).chain(&self.variants)
    }
}
