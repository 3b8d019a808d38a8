//! The days of a log once more, for whoever asks what one setting would have changed on them.

use super::NoReplay;
use super::days::prepared;
use super::drive::{Drive, Follow};
use super::record::Record;
use super::requests::{LoggedRequest, logged_requests};
use super::unexplained::Followable;
use crate::engine::Model;
use crate::log::SiteLog;
use crate::measures::Meter;
use crate::study::Finished;
use crate::study::simulate::{Keep, Recorder, finished};
use crate::time::Instant;

/// What the days of a log have whatever the settings: outdoor air and presence as logged, the rooms as
/// they began, the heat that the file does not explain, and what people asked for.
#[derive(Clone, Debug)]
pub struct Rerun {
    record: Record,
    start: Vec<[f64; 2]>,
    heat: Vec<Vec<f64>>,
    requests: Vec<LoggedRequest>,
}

impl Rerun {
    /// Reads them from the log of a model.
    ///
    /// # Errors
    /// See [`NoReplay`]: the log lacks a zone's temperature, or the model's days.
    pub fn of(model: &Model, site: &SiteLog) -> Result<Self, NoReplay> {
        let record = Record::of(model, site)?;
        let requests = logged_requests(model, &record);
        let days = prepared(model, Follow::Series(&[]));
        let followed = Followable::new(model, site, &record).follow(&days, &[])?;
        let (start, heat) = followed.into_iter().map(|it| (it.start, it.heat)).unzip();
        Ok(Self { record, start, heat, requests })
    }

    /// How many requests of people the log has up to the end of the day of a moment.
    pub fn requests(&self, moment: Instant) -> usize {
        self.requests.iter().filter(|it| it.at.day() <= moment.day()).count()
    }

    /// The days under a model's settings up to the end of the day of a moment; people ask for what they
    /// asked for at site, and the model's rules judge it.
    pub fn run(&self, model: &Model, moment: Instant, keep: Keep) -> Finished {
        let follow = Follow::Requests(&self.requests);
        let days = prepared(model, follow);
        let (record, start, heat) = (&self.record, &self.start[..], &self.heat[..]);
        let count = record.grid.count;
        let steps = (0..count).take_while(|step| record.at(*step).day() <= moment.day()).count();
        let mut meter = Meter::new(&days);
        let mut recorder = Recorder::new(&days, keep);
        let drive = Drive { model: &days, record, start, heat, follow };
        let halt = drive.observed(steps, &mut (&mut meter, &mut recorder));
        finished(&meter, recorder, 0, halt)
    }
}
