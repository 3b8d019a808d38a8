//! The days of a log as models: what is as logged in all of them, and what each way of asking leaves
//! of a file's own requests.

use std::sync::Arc;

use super::drive::Follow;
use super::record::{Record, ZoneRecord};
use super::requests::{LoggedRequest, logged_requests};
use super::unexplained::Followable;
use super::{Asked, NoReplay};
use crate::control::Role;
use crate::engine::{Doing, Model};
use crate::log::SiteLog;
use crate::scenario::recorded_weather;
use crate::weather::Weather;

/// One set of parameters: the file as written, and its variants.
#[derive(Clone, Debug)]
pub struct Days {
    /// The file as written.
    pub logged: Model,
    /// What is held against the run as logged, by name.
    pub variants: Vec<(String, Model)>,
}

impl Days {
    /// What is held against the run as logged: the file as written, then its variants.
    pub(super) fn compared(&self) -> impl Iterator<Item = &Model> {
        std::iter::once(&self.logged).chain(self.variants.iter().map(|(_, model)| model))
    }
}

/// Whose requests variants get.
#[derive(Clone, Debug, Default)]
pub enum Requests {
    /// What the log's people moved, judged by each variant's rules.
    #[default]
    Logged,
    /// The file's own.
    Own,
    /// Setpoints, mode and power follow the log of another file.
    Other(Box<Model>),
}

/// Under this name the run stands that follows another log,
const OF_OTHER: &str = "requests";
/// and under this one the file as written.
const AS_WRITTEN: &str = "base";

/// How the variants of a replay are run.
pub(super) struct Way<'a> {
    /// What the log has.
    pub record: &'a Record,
    /// Whether the heat that nothing explains is left out.
    pub no_disturbance: bool,
    /// The log as it is followed.
    pub followable: Followable<'a>,
    how: How,
}

enum How {
    Requests(Vec<LoggedRequest>),
    Own,
    Series(Vec<ZoneRecord>),
}

impl<'a> Way<'a> {
    pub(super) fn new(
        days: &Days,
        site: &'a SiteLog,
        record: &'a Record,
        asked: &Asked,
    ) -> Result<Self, NoReplay> {
        let followable = Followable::new(&days.logged, site, record);
        let how = match &asked.requests {
            Requests::Logged => How::Requests(logged_requests(&days.logged, record)),
            Requests::Own => How::Own,
            Requests::Other(other) => {
                let site = other.log.as_deref().ok_or(NoReplay::NoLog)?;
                How::Series(record.of_other(&days.logged, other, site)?)
            }
        };
        Ok(Self { record, no_disturbance: asked.no_disturbance, followable, how })
    }

    /// What variants follow.
    pub(super) fn follow(&self) -> Follow<'_> {
        match &self.how {
            How::Requests(requests) => Follow::Requests(requests),
            How::Own => Follow::Own,
            How::Series(series) => Follow::Series(series),
        }
    }

    /// How many requests the log has.
    pub(super) fn requests(&self) -> Option<usize> {
        match &self.how {
            How::Requests(requests) => Some(requests.len()),
            How::Own | How::Series(_) => None,
        }
    }

    /// Their names.
    pub(super) fn names(&self, days: &Days) -> Vec<String> {
        let first = if matches!(self.how, How::Series(_)) { OF_OTHER } else { AS_WRITTEN };
        std::iter::once(first.to_owned())
            .chain(days.variants.iter().map(|(name, _)| name.clone()))
            .collect()
    }
}

/// A model over the logged days: outdoor air as logged, and of requests and people what the way it
/// follows leaves to it.
pub(super) fn prepared(model: &Model, follow: Follow) -> Model {
    let mut own = model.clone();
    if let Some(site) = &model.log
        && let Some(weather) = logged_weather(model, site)
    {
        own.weather = weather;
    }
    if !matches!(follow, Follow::Own) {
        own.people.clear();
        let stays = |role: Role| matches!(follow, Follow::Requests(_)) && role == Role::Schedule;
        own.actions
            .retain(|action| !matches!(action.what, Doing::Request(_)) || stays(action.role));
    }
    own
}

/// The weather with the outdoor air of the log. What the file's weather has besides, the sun and the
/// water in the air, stays where the log has none.
fn logged_weather(model: &Model, site: &SiteLog) -> Option<Weather> {
    let own = model.weather.record();
    if own.is_some_and(|record| record.vapour.is_some()) {
        // Its humidity stands at its own times.
        return None;
    }
    let mut record = recorded_weather(&site.log, &model.period, model.site)?;
    if record.light.is_none()
        && let Some(own) = own
    {
        record.light.clone_from(&own.light);
        record.sun_of = own.sun_of;
    }
    record.site = model.site;
    Some(Weather::Record(Arc::new(record)))
}
