//! The course of each setting and requirement through the papers.

use std::collections::HashMap;

use super::paper::Paper;
use super::seen::{Shows, Witnessed};
use crate::study::sheet_csv::REQUIREMENT;

/// How a setting or requirement stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum State {
    /// It was shown to hold.
    Holds,
    /// It failed, and was shown to hold later.
    Mended,
    /// It failed, and nothing has shown it since.
    Fails,
    /// Some of its lines were read, or some changes of it would not be noticed.
    InPart,
    /// It was shown for another value than it is to have now.
    Changed,
    /// Nothing has shown it yet.
    Owed,
    /// No visit shows it; the record says it.
    NotOnSite,
}

impl State {
    /// Every state, the gravest first.
    pub const ALL: [Self; 7] = [
        Self::Fails,
        Self::Changed,
        Self::InPart,
        Self::Owed,
        Self::NotOnSite,
        Self::Mended,
        Self::Holds,
    ];

    /// The words in outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Holds => "holds",
            Self::Mended => "mended, holds",
            Self::Fails => "fails",
            Self::InPart => "in part",
            Self::Changed => "changed since",
            Self::Owed => "owed",
            Self::NotOnSite => "not on site",
        }
    }

    /// Whether something is still to be done on site.
    pub const fn is_open(self) -> bool {
        matches!(self, Self::Fails | Self::InPart | Self::Changed | Self::Owed)
    }
}

/// A setting or requirement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Where a setting stands in the file, or `require.` and the id of a requirement.
    pub subject: String,
    /// What it is to be.
    pub value: String,
    /// How it stands.
    pub state: State,
    /// When it was last shown to hold.
    pub shown: Option<Witnessed>,
    /// When it last failed.
    pub failed: Option<Witnessed>,
    /// Why it is not shown; often empty.
    pub why: String,
}

impl Entry {
    /// The zone whose it is; `None` of outdoor units and requirements.
    pub fn zone(&self) -> Option<&str> {
        self.subject.strip_prefix("zones.")?.split('.').next()
    }

    /// What it is called within its zone or outdoor unit.
    pub fn key(&self) -> &str {
        let parts = match self.subject.split('.').next() {
            Some("zones" | "outdoor_units") => 2,
            Some("outdoor_unit") => 1,
            _ => 0,
        };
        self.subject.splitn(parts + 1, '.').last().unwrap_or_default()
    }

    fn new(subject: &str, value: &str) -> Self {
        Self {
            subject: subject.to_owned(),
            value: value.to_owned(),
            state: State::Owed,
            shown: None,
            failed: None,
            why: String::new(),
        }
    }

    /// Takes in what a paper shows of it.
    fn take(&mut self, value: &str, seen: Witnessed, outcome: &Shows) {
        if !value.is_empty() && value != self.value {
            if self.shown.is_some() {
                self.state = State::Changed;
                self.why = format!("it was shown as {}", self.value);
            }
            value.clone_into(&mut self.value);
            self.failed = None;
        }
        match outcome {
            Shows::Holds => {
                let failed = self.failed.is_some();
                self.state = if failed { State::Mended } else { State::Holds };
                self.shown = Some(seen);
                self.why.clear();
            }
            Shows::Fails => {
                self.state = State::Fails;
                self.failed = Some(seen);
                self.why.clear();
            }
            Shows::InPart(why) if matches!(self.state, State::Owed | State::InPart) => {
                self.state = State::InPart;
                self.why.clone_from(why);
            }
            Shows::InPart(_) => {}
        }
    }
}

/// Every setting and requirement that the papers, in the order of time, know of.
pub(super) fn entries(papers: &[Paper]) -> Vec<Entry> {
    let mut all: Vec<Entry> = Vec::new();
    let mut place = HashMap::new();
    let mut known = |all: &mut Vec<Entry>, subject: &str, value: &str| -> usize {
        *place.entry(subject.to_owned()).or_insert_with(|| {
            all.push(Entry::new(subject, value));
            all.len() - 1
        })
    };
    for paper in papers {
        for (subject, value) in &paper.subjects {
            known(&mut all, subject, value);
        }
        for event in &paper.events {
            let at = known(&mut all, &event.subject, &event.value);
            let seen = paper.witnessed(event.date, &event.tester, event.lines.clone());
            all[at].take(&event.value, seen, &event.outcome);
        }
        for it in &paper.not_shown {
            let at = known(&mut all, &it.claim.subject, &it.claim.value);
            if all[at].state == State::Owed {
                if it.never {
                    all[at].state = State::NotOnSite;
                }
                all[at].why.clone_from(&it.why);
            }
        }
    }
    sorted(all)
}

/// Zone by zone in the order in which the papers name them, then outdoor units, then requirements.
fn sorted(all: Vec<Entry>) -> Vec<Entry> {
    let mut zones: Vec<String> = Vec::new();
    for zone in all.iter().filter_map(Entry::zone) {
        if !zones.iter().any(|known| known == zone) {
            zones.push(zone.to_owned());
        }
    }
    let place = |it: &Entry| match it.zone() {
        Some(zone) => zones.iter().position(|known| known == zone).unwrap_or(0),
        None if it.subject.starts_with(REQUIREMENT) => zones.len() + 1,
        None => zones.len(),
    };
    let mut placed: Vec<(usize, Entry)> = all.into_iter().map(|it| (place(&it), it)).collect();
    placed.sort_by_key(|(place, _)| *place);
    placed.into_iter().map(|(_, it)| it).collect()
}
