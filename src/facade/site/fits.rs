//! A scenario whose zones are fitted to its log.

use std::sync::Arc;

use super::Unanswered;
use crate::engine::Model;
use crate::facade::{Scenario, Source};
use crate::report::Fitted;
use crate::scenario::EditFault;
use crate::study::fit::draws::Draws;
use crate::study::fit::{NoFit, Options, ZoneFit, draws_together, fit_zones, in_place};

impl Scenario {
    /// Fits a zone's own keys to the log that the file names: `zone`, or all that the log has.
    ///
    /// ```
    /// use setband::Scenario;
    /// use setband::scenario::Files;
    /// use setband::study::fit::Options;
    ///
    /// // A room that nobody heats follows the air outside, late and flattened.
    /// let mut log = "time,air,out,run\n".to_owned();
    /// let (mut air, mut mass) = (14.0_f64, 14.0_f64);
    /// for at in 0..288 {
    ///     let out = 6.0 + 5.0 * (f64::from(at) * std::f64::consts::TAU / 144.0).sin();
    ///     log += &format!("2025-04-{:02} {:02}:{:02},{air:.2},{out:.2},none\n", 16 + at / 144, at / 6 % 24, at % 6 * 10);
    ///     let (to_mass, to_out) = (0.2 * (mass - air), 0.02 * (out - air));
    ///     (air, mass) = (air + to_mass + to_out, mass - to_mass / 6.0);
    /// }
    /// let store = Scenario::parse_with(
    ///     "log: {file: store.csv, outdoor: out, zones: {store: {temperature: air, running: run}}}
    /// zones:
    ///   store: {space: {floor: 60 m2}, unit: {heating: 4 kW}, controls: {heat: 10, cool: 30}}
    /// ",
    ///     "store.yaml",
    ///     Files::from([("store.csv", log)]),
    /// )?;
    /// let fit = store.fit(Some("store"), &Options { draws: 20, ..Options::default() })?;
    /// for number in &fit.zone("store").expect("it was fitted").parameters {
    ///     println!("{}: {:.3} {} {:?}", number.key, number.value, number.unit, number.interval);
    /// }
    /// let as_it_is = fit.scenario()?;
    /// assert_eq!(as_it_is.model().zones.len(), 1);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// The file names no log or has no such zone, or no zone could be fitted.
    pub fn fit(&self, zone: Option<&str>, options: &Options) -> Result<FitResults, Unanswered> {
        let all = self.fit_while(zone, options, &mut |_, _| true)?;
        all.ok_or(Unanswered::NotFitted(Vec::new()))
    }

    /// The same as long as `go_on` says so. It hears before each zone how many are done, and of how
    /// many; a fit that was broken off gives `None`.
    ///
    /// # Errors
    /// Those of [`Scenario::fit`].
    pub fn fit_while(
        &self,
        zone: Option<&str>,
        options: &Options,
        go_on: &mut dyn FnMut(usize, usize) -> bool,
    ) -> Result<Option<FitResults>, Unanswered> {
        let site = self.site_log()?;
        let wanted = self.logged_zones(zone)?;
        let Some((zones, left_out)) = fit_zones(&self.model, site, &wanted, options, go_on) else {
            return Ok(None);
        };
        if zones.is_empty() {
            return Err(Unanswered::NotFitted(left_out));
        }
        let (source, model) = (Arc::clone(&self.source), self.model.clone());
        Ok(Some(FitResults { source, model, zones, left_out }))
    }
}

/// Zones that were fitted to their log.
#[derive(Clone, Debug)]
pub struct FitResults {
    source: Arc<Source>,
    model: Model,
    zones: Vec<ZoneFit>,
    left_out: Vec<NoFit>,
}

impl FitResults {
    /// The zones that were fitted, in file order.
    pub fn zones(&self) -> &[ZoneFit] {
        &self.zones
    }

    /// The zone of that name in the file.
    pub fn zone(&self, id: &str) -> Option<&ZoneFit> {
        self.zones.iter().find(|zone| zone.id == id)
    }

    /// The text of the file with what was fitted in its place. Changes made by [`Scenario::with`] are
    /// not in it.
    ///
    /// # Errors
    /// A place is written so that no value can be put there.
    pub fn text(&self) -> Result<String, EditFault> {
        in_place(&self.source.text, &self.zones)
    }

    /// The same, read.
    ///
    /// # Errors
    /// As [`FitResults::text`].
    pub fn scenario(&self) -> Result<Scenario, Unanswered> {
        let Source { name, files, .. } = &*self.source;
        Ok(Scenario::parse_with(&self.text()?, name, files.clone())?)
    }

    /// Draws of what was fitted, each a change of the file.
    pub fn draws(&self) -> Draws {
        draws_together(&self.source.text, &self.zones)
    }

    /// Everything together, as the functions of [`report`](crate::report) take it.
    pub fn as_fitted(&self) -> Fitted<'_> {
        Fitted { model: &self.model, zones: &self.zones, left_out: &self.left_out }
    }
}
