//! The short way in for other programs: text in, answers by name. What it is made of stands in the
//! other modules; whoever needs more goes there with [`Scenario::model`].

#[cfg(feature = "pages")]
mod drawn;
mod error;
mod ledger;
mod results;
mod site;

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::engine::{Model, Nobody};
use crate::scenario::{
    Faults, Files, Override, Rejected, Study, Template, named_text, read_beside,
};
use crate::study::{
    Comparison, EnergyCode, Finding, Keep, check, compare_variants_while, default_threads,
    simulate_season_while,
};
use crate::time::Instant;

pub use error::{Halted, NoVariant};
pub use ledger::LedgerLine;
pub use results::{RunResults, ZoneResults};
pub use site::{AskedRequests, FitResults, ReplayQuestion, ReplayResults, Unanswered};

/// A scenario, read and checked: as its file has it, one of its variants, or either with other
/// values.
///
/// ```
/// use setband::Scenario;
///
/// let hall = Scenario::parse(
///     "period: {from: 2025-04-16}
/// weather: {design_day: {high: 18, range: 11}}
/// zones:
///   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW}, controls: {heat: 20, cool: 26}}
/// ",
/// )?;
/// let warmer = hall.with("zones.hall.controls.heat", "22")?;
/// let kwh = |scenario: &Scenario| scenario.run().map(|run| run.figure("total_kwh").unwrap_or(0.0));
/// assert!(kwh(&warmer)? > kwh(&hall)?);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct Scenario {
    source: Arc<Source>,
    changes: Vec<Override>,
    study: Arc<Study>,
    model: Model,
}

/// From what it was read.
#[derive(Debug)]
struct Source {
    text: String,
    name: String,
    files: Files,
}

impl Scenario {
    /// Reads the text of a scenario that names no other files.
    ///
    /// # Errors
    /// Everything wrong with it, each with line and column.
    pub fn parse(text: &str) -> Result<Self, Faults> {
        Self::parse_with(text, "scenario", Files::none())
    }

    /// The same for a scenario that names other files. `name` is the file's name for messages, and
    /// the title where the text gives none.
    ///
    /// # Errors
    /// Everything wrong with it or with a file that it names.
    pub fn parse_with(text: &str, name: &str, files: Files) -> Result<Self, Faults> {
        let study = read_beside(text, name, &|companion| files.bytes(companion))?;
        if let Some(faults) = study.structural_faults() {
            return Err(faults.clone());
        }
        let source = Source { text: text.to_owned(), name: name.to_owned(), files };
        let model = study.base.clone();
        Ok(Self { source: Arc::new(source), changes: Vec::new(), study: Arc::new(study), model })
    }

    /// Reads a scenario file; files that it names are looked up beside it.
    ///
    /// # Errors
    /// Everything wrong with it; also that it is not there, or no text.
    pub fn open(path: impl AsRef<Path>) -> Result<Self, Faults> {
        let path = path.as_ref();
        let (name, text) = named_text(path)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        Self::parse_with(&text, &name, Files::of_folder(folder))
    }

    /// The names of the file's variants, in its order.
    pub fn variants(&self) -> impl Iterator<Item = &str> {
        self.study.variants.iter().map(|(name, _)| name.as_str())
    }

    /// One of the file's variants, without changes made by [`Scenario::with`].
    ///
    /// # Errors
    /// The file has none of that name, or it has faults.
    pub fn variant(&self, name: &str) -> Result<Self, NoVariant> {
        let model = self.study.variant(name).map_err(|fault| NoVariant::of(self, name, &fault))?;
        Ok(Self { model: model.clone(), changes: Vec::new(), ..self.clone() })
    }

    /// The same with another value, as a variant would write it: `zones.*.controls.heat` and `21`,
    /// or `zones.*.band` and a width.
    ///
    /// # Errors
    /// The path leads nowhere, or the file with this value has faults.
    pub fn with(&self, path: &str, value: &str) -> Result<Self, Rejected> {
        let change = Override::new(path, value).map_err(|message| Rejected::Path {
            path: path.to_owned(),
            message,
            remedy: "write it as it would stand in the file".to_owned(),
        })?;
        let mut changes = self.changes.clone();
        changes.push(change);
        let template = self.template().map_err(Rejected::Faults)?;
        let model = Model { seed: self.model.seed, ..template.model(&changes)? };
        Ok(Self { changes, model, ..self.clone() })
    }

    /// The same with another seed of everything random.
    #[must_use]
    pub fn with_seed(mut self, seed: u64) -> Self {
        self.model.seed = seed;
        self
    }

    /// What is simulated.
    pub const fn model(&self) -> &Model {
        &self.model
    }

    /// The file that it came from, with its variants.
    pub fn study(&self) -> &Study {
        &self.study
    }

    /// The file, or the variant that was chosen of it, as a template for many other values, as a
    /// sweep takes it.
    ///
    /// # Errors
    /// Those of [`Template::read`], of which a scenario that was read has none.
    pub fn template(&self) -> Result<Template, Faults> {
        let Source { text, name, files } = &*self.source;
        let files = files.clone();
        let open = Box::new(move |companion: &str| files.bytes(companion));
        Template::read_beside(text, name, open, self.model.variant.as_deref())
    }

    /// What is worth knowing about the settings, without a simulation; places are those in the text.
    pub fn check(&self, code: Option<EnergyCode>) -> Vec<Finding> {
        check(&self.study, &self.model, code)
    }

    /// Simulates it. Of a run with more than half a million rows the hours are kept, of others every
    /// step.
    ///
    /// # Errors
    /// A room came to temperatures that no building has, or the ledger was full.
    pub fn run(&self) -> Result<RunResults, Halted> {
        self.simulated(&mut |_| true)
    }

    /// The same as long as `go_on` says so. It hears before each simulated hour how much is done, from 0
    /// to 1; a run that was broken off gives `None`.
    ///
    /// # Errors
    /// Those of [`Scenario::run`].
    pub fn run_while(
        &self,
        go_on: &mut dyn FnMut(f64) -> bool,
    ) -> Result<Option<RunResults>, Halted> {
        let end = self.model.period.end().get() as f64;
        let mut whole = true;
        let results = self.simulated(&mut |now| {
            whole = go_on(now.get() as f64 / end);
            whole
        });
        if whole { results.map(Some) } else { Ok(None) }
    }

    fn simulated(&self, go_on: &mut dyn FnMut(Instant) -> bool) -> Result<RunResults, Halted> {
        let keep = Keep::for_charts(&self.model);
        let (finished, mornings) = simulate_season_while(&self.model, keep, &mut Nobody, go_on);
        Halted::unless_possible(finished.halt, &self.model)?;
        Ok(RunResults::new(keep.shown(self.model.clone()), finished, mornings))
    }

    /// Simulates it beside all variants of its file, under the same random draws. Variants with
    /// faults are left out and named.
    ///
    /// # Errors
    /// Those of [`Scenario::run`], of any of them.
    pub fn compare(&self) -> Result<Comparison, Halted> {
        self.compared(&|_| true)
    }

    /// The same as long as `go_on` says so. It hears, from several threads, how much of all runs is
    /// done, from 0 to 1; a comparison that was broken off gives `None`.
    ///
    /// # Errors
    /// Those of [`Scenario::compare`].
    pub fn compare_while(
        &self,
        go_on: &(dyn Fn(f64) -> bool + Sync),
    ) -> Result<Option<Comparison>, Halted> {
        let whole = AtomicBool::new(true);
        let comparison = self.compared(&|part| {
            let goes_on = go_on(part);
            whole.fetch_and(goes_on, Ordering::Relaxed);
            goes_on
        });
        if whole.into_inner() { comparison.map(Some) } else { Ok(None) }
    }

    fn compared(&self, go_on: &(dyn Fn(f64) -> bool + Sync)) -> Result<Comparison, Halted> {
        let (model, variants) = (self.model.clone(), self.study.variants.clone());
        let comparison = compare_variants_while(model, variants, default_threads(), go_on);
        for contender in comparison.all() {
            Halted::unless_possible(contender.finished.halt, &contender.model)?;
        }
        Ok(comparison)
    }
}
