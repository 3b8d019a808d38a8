//! The days of a scenario's log with other settings.

use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use super::Unanswered;
use crate::engine::Model;
use crate::facade::{Scenario, Source};
use crate::report::Replayed;
use crate::scenario::Template;
use crate::study::default_threads;
use crate::study::fit::draws::Draws;
use crate::study::replay::{Asked, Replay, Requests, Templates, USUAL_DRAWS, replay};

/// What a replay is asked.
#[derive(Clone, Debug)]
pub struct ReplayQuestion<'a> {
    /// Rooms, units and thresholds of calls come from this one, as fitted.
    pub fitted: Option<&'a Scenario>,
    /// Draws of what was fitted, for intervals.
    pub draws: Option<Draws>,
    /// At most so many of them.
    pub most_draws: usize,
    /// Whose requests the variants get.
    pub requests: AskedRequests<'a>,
    /// Only these variants of the file; all of them without one.
    pub variants: Vec<&'a str>,
    /// Whether the heat that nothing explains is left out.
    pub no_disturbance: bool,
    /// How many threads are used.
    pub threads: NonZeroUsize,
}

impl Default for ReplayQuestion<'_> {
    fn default() -> Self {
        Self {
            fitted: None,
            draws: None,
            most_draws: USUAL_DRAWS,
            requests: AskedRequests::default(),
            variants: Vec::new(),
            no_disturbance: false,
            threads: default_threads(),
        }
    }
}

/// Whose requests the variants of a replay get.
#[derive(Clone, Copy, Debug, Default)]
pub enum AskedRequests<'a> {
    /// What the log's people moved, judged by each variant's rules.
    #[default]
    Logged,
    /// The file's own alone.
    Own,
    /// Setpoints, mode and power follow the log of this one.
    Other(&'a Scenario),
}

impl Scenario {
    /// Runs the days of the log again: as logged, which shows how far the model is to be trusted, as the
    /// file has its settings (`base`), and with each of its variants.
    ///
    /// ```
    /// use setband::scenario::Files;
    /// use setband::{ReplayQuestion, Scenario};
    ///
    /// let mut log = "time,air,out,watts,h,c,run\n".to_owned();
    /// for at in 0..24 {
    ///     log += &format!("2025-01-14 {at:02}:00,20.0,4.0,600,20,26,heating\n");
    /// }
    /// let parlour = Scenario::parse_with(
    ///     "log: {file: day.csv, outdoor: out, electricity: watts, zones: {parlour: {temperature: air, \
    ///        heat: h, cool: c, running: run}}}
    /// zones:
    ///   parlour: {space: {floor: 50 m2}, unit: {heating: 3 kW}, controls: {heat: 20, cool: 26}}
    /// variants:
    ///   warmer: {zones.parlour.controls.heat: 22}
    /// ",
    ///     "parlour.yaml",
    ///     Files::from([("day.csv", log)]),
    /// )?;
    /// let replayed = parlour.replay(&ReplayQuestion::default())?;
    /// let [base, warmer] = &replayed.found().variants[..] else { panic!("two of them") };
    /// assert!(warmer.figures.electricity_kwh > base.figures.electricity_kwh);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// The file names no log, the log has not what it takes, or a draw or the other file is of another
    /// building.
    pub fn replay(&self, question: &ReplayQuestion) -> Result<ReplayResults, Unanswered> {
        let done = self.replay_while(question, &|_, _| true)?;
        done.ok_or(Unanswered::NotReplayed(crate::study::replay::NoReplay::NoVariant))
    }

    /// The same as long as `go_on` says so. It hears before each draw how many have been begun, and of
    /// how many; a replay that was broken off gives `None`.
    ///
    /// # Errors
    /// Those of [`Scenario::replay`].
    pub fn replay_while(
        &self,
        question: &ReplayQuestion,
        go_on: &(dyn Fn(usize, usize) -> bool + Sync),
    ) -> Result<Option<ReplayResults>, Unanswered> {
        self.site_log()?;
        let templates = self.templates(question)?;
        let days = templates.days(&self.changes)?;
        let none = Draws::default();
        let draws = question.draws.as_ref().unwrap_or(&none);
        let count = draws.rows.len().min(question.most_draws);
        let asked =
            Asked { requests: self.requests(question)?, no_disturbance: question.no_disturbance };
        let (begun, stopped) = (AtomicUsize::new(0), AtomicBool::new(false));
        let draw = |number: usize| {
            if stopped.load(Ordering::Relaxed)
                || !go_on(begun.fetch_add(1, Ordering::Relaxed), count)
            {
                stopped.store(true, Ordering::Relaxed);
                return Err("broken off".to_owned());
            }
            templates.drawn(draws, number, &self.changes)
        };
        let found = replay(&days, (count, &draw), &asked, question.threads);
        if stopped.into_inner() {
            return Ok(None);
        }
        Ok(Some(ReplayResults { model: days.logged, found: found? }))
    }

    fn templates(&self, question: &ReplayQuestion) -> Result<Templates, Unanswered> {
        let rooms = match question.fitted {
            Some(fitted) if fitted.model.unit != self.model.unit => {
                return Err(Unanswered::Apart("temperature unit"));
            }
            Some(fitted) => Some(fitted.template()?),
            None => None,
        };
        for name in &question.variants {
            self.variant(name)?;
        }
        let Source { text, name, files } = &*self.source;
        let template = |variant: Option<&str>| {
            let files = files.clone();
            let open = Box::new(move |companion: &str| files.bytes(companion));
            let almanac = &self.model.almanac;
            Template::read_in_rooms(text, name, open, variant, almanac, rooms.as_ref())
        };
        let logged = template(self.model.variant.as_deref())?;
        let of_other = matches!(question.requests, AskedRequests::Other(_));
        let read = |name: &str| Ok(template(Some(name))?);
        Templates::new(logged, self.variants(), &question.variants, of_other, read)
    }

    fn requests(&self, question: &ReplayQuestion) -> Result<Requests, Unanswered> {
        Ok(match question.requests {
            AskedRequests::Logged => Requests::Logged,
            AskedRequests::Own => Requests::Own,
            AskedRequests::Other(other) => {
                other.site_log()?;
                if other.model.period.step() != self.model.period.step() {
                    return Err(Unanswered::Apart("`step` under `period`"));
                }
                Requests::Other(Box::new(other.model.clone()))
            }
        })
    }
}

/// Days that were replayed.
#[derive(Clone, Debug)]
pub struct ReplayResults {
    model: Model,
    found: Replay,
}

impl ReplayResults {
    /// The days, as the file has them.
    pub const fn model(&self) -> &Model {
        &self.model
    }

    /// What was measured, the run as logged and the variants.
    pub const fn found(&self) -> &Replay {
        &self.found
    }

    /// Everything together, as the functions of [`report`](crate::report) take it.
    pub const fn as_replayed(&self) -> Replayed<'_> {
        Replayed { model: &self.model, found: &self.found }
    }
}
