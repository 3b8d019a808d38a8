//! A log against the settings: what in it cannot be, what is worth a look, and what it cannot say.
//!
//! Each finding has a code that stays the same for ever. A *contradiction* says that the settings of
//! the scenario and the log cannot both be right. What is told by counting (which way the labels
//! stand, the clock, the sensor that governs, thresholds) is a test, whose error rate stands beside
//! it ([`ERROR_RATE`]); a finding says how many cases it rests on.
//!
//! ```
//! use setband::scenario::read_beside;
//! use setband::study::audit::audit;
//!
//! let text = "log: {file: week.csv, outdoor: out, zones: {hall: {temperature: air, heat: h, cool: c}}}
//! zones:
//!   hall:
//!     space: {floor: 60 m2}
//!     unit: {heating: 4 kW, cooling: 4 kW}
//!     controls: {heat: 20, cool: 24, min_deadband: 3}
//! ";
//! let log = "time,out,air,h,c
//! 2025-04-16 08:00,9,18,17,18
//! 2025-04-16 08:05,9,18,17,18
//! 2025-04-16 08:10,9,18,17,18
//! ";
//! let study = read_beside(text, "hall.yaml", &|_| Ok(log.into()))?;
//! let site = study.base.log.clone().expect("the file names a log");
//! let found = audit(&study.base, &site).findings;
//! assert!(found.iter().any(|it| it.code == "band_too_narrow"));
//! # Ok::<(), setband::scenario::Faults>(())
//! ```

mod changes;
mod course;
mod labels;
mod modes;
mod ratchet;
mod sensing;
mod service;
mod setpoints;
mod starts;
mod statistics;
mod sun;
mod switching;
mod timetable;
mod unsaid;

pub use course::{Course, Spell};
pub(in crate::study) use switching::switchings;

use std::collections::BTreeMap;

use serde_json::Value;

use crate::engine::Model;
use crate::log::{LogTime, SiteLog};

/// So often at most a test calls a contradiction where there is none.
pub const ERROR_RATE: f64 = 0.01;

/// Every code that a finding may have.
pub const CODES: [&str; 26] = [
    "band_too_narrow",
    "outside_limits",
    "off_step",
    "push_differs",
    "locked_key_moved",
    "creep",
    "ratchet",
    "labels_swapped",
    "unit_mixed",
    "clock_off",
    "governing_sensor",
    "hysteresis_differs",
    "min_on_broken",
    "min_off_broken",
    "runs_while_off",
    "locked_mode_ran",
    "against_group",
    "scheduled_change",
    "changed_by_hand",
    "occupancy_differs",
    "starved",
    "no_answer",
    "capacity_short",
    "short_cycling",
    "sensor_stuck",
    "outside_band",
];

/// How much a finding about a log matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// The settings and the log cannot both be right.
    Contradiction,
    /// Something does not do what it is for.
    Warning,
    /// Worth knowing.
    Note,
}

impl Weight {
    /// The word in outputs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Contradiction => "contradiction",
            Self::Warning => "warning",
            Self::Note => "note",
        }
    }
}

/// One finding about a log.
#[derive(Clone, Debug, PartialEq)]
pub struct LogFinding {
    /// What kind of finding, the same for ever: `min_off_broken`.
    pub code: &'static str,
    /// How much it matters.
    pub weight: Weight,
    /// The zone by its name; none where it is about the whole log.
    pub zone: Option<String>,
    /// The first time it was seen.
    pub from: LogTime,
    /// The last time.
    pub to: LogTime,
    /// How often.
    pub count: usize,
    /// For how long in all, min.
    pub minutes: f64,
    /// What was seen, what the rules say, and what comes of it.
    pub message: String,
    /// What would help.
    pub remedy: String,
    /// The lines that decide it, a few.
    pub rows: Vec<u32>,
    /// Figures for programs.
    pub values: BTreeMap<&'static str, Value>,
    /// Spans to look at; those of the first rows in the order of the rows.
    pub spans: Vec<(LogTime, LogTime)>,
}

/// A setting for which no row of the log is evidence.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unsaid {
    /// The way to it in the file.
    pub setting: String,
    /// Why the log cannot say.
    pub why: String,
}

/// What a log says about a scenario.
#[derive(Clone, Debug, PartialEq)]
pub struct Audit {
    /// The findings, the weightiest first; of the same weight the longest first.
    pub findings: Vec<LogFinding>,
    /// What the log cannot say.
    pub cannot_say: Vec<Unsaid>,
    /// The samples of each zone of the log, with the zone's place in the model.
    pub courses: Vec<Course>,
}

impl Audit {
    /// Whether a finding contradicts the settings.
    pub fn contradicts(&self) -> bool {
        self.findings.iter().any(|finding| finding.weight == Weight::Contradiction)
    }
}

/// Holds a log against the settings of a model.
pub fn audit(model: &Model, site: &SiteLog) -> Audit {
    let courses: Vec<Course> = Course::of_log(model, site);
    let mut findings = Vec::new();
    let mut cannot_say = Vec::new();
    for course in &courses {
        let mixed = labels::units(course, site, &mut findings);
        let swapped = labels::swapped(course, &mut findings);
        let events = changes::events(course);
        timetable::look(course, &events, &mut findings);
        if !mixed && !swapped {
            setpoints::look(course, &events, &mut findings);
            findings.extend(ratchet::ratchet(course, &events));
            switching::look(course, &mut findings);
            service::look(course, &mut findings);
            sensing::governing(course, site, &mut findings);
        }
        sensing::stuck(course, &mut findings);
        modes::look(course, &mut findings);
        unsaid::look(course, &events, &mut cannot_say);
    }
    let sun = sun::offset(model, site);
    sun::look(sun.as_ref(), site, &mut findings);
    timetable::clock_of(&courses, site, sun.as_ref(), &mut findings, &mut cannot_say);
    cannot_say.extend(sun::silent(model, site, sun.as_ref()));
    modes::groups(model, &courses, &mut findings);
    findings.sort_by(|one, other| {
        one.weight.cmp(&other.weight).then(other.minutes.total_cmp(&one.minutes))
    });
    Audit { findings, cannot_say, courses }
}

/// A finding on its way: where it was seen, piece by piece.
#[derive(Clone, Debug, Default)]
struct Seen {
    spans: Vec<(LogTime, LogTime)>,
    rows: Vec<u32>,
    seconds: i64,
}

/// So many rows are kept,
const KEPT: usize = 12;
/// and so many spans, which charts shade.
const KEPT_SPANS: usize = 1000;

impl Seen {
    /// From a sample to another of a course, the second not included.
    fn add(&mut self, course: &Course, from: usize, to: usize) {
        let end = course.end_of(to.max(from + 1) - 1);
        let (start, line) = (course.samples[from].at, course.samples[from].line);
        self.spans.push((start, end));
        self.rows.push(line);
        self.seconds += end - start;
    }

    fn count(&self) -> usize {
        self.spans.len()
    }

    fn minutes(&self) -> f64 {
        self.seconds as f64 / 60.0
    }

    /// The finding; nothing where nothing was seen.
    fn finding(
        mut self,
        course: &Course,
        code: &'static str,
        weight: Weight,
        message: String,
        remedy: impl Into<String>,
    ) -> Option<LogFinding> {
        let from = self.spans.iter().map(|span| span.0).min()?;
        let to = self.spans.iter().map(|span| span.1).max()?;
        let (count, minutes) = (self.count(), self.minutes());
        self.rows.truncate(KEPT);
        self.spans.truncate(KEPT_SPANS);
        Some(LogFinding {
            code,
            weight,
            zone: Some(course.id.clone()),
            from,
            to,
            count,
            minutes,
            message,
            remedy: remedy.into(),
            rows: self.rows,
            values: BTreeMap::new(),
            spans: self.spans,
        })
    }
}

impl LogFinding {
    fn with(mut self, key: &'static str, value: impl Into<Value>) -> Self {
        self.values.insert(key, value.into());
        self
    }
}

/// A temperature or difference with up to two digits after the point.
fn shown(value: f64) -> String {
    let rounded = libm::round(value * 100.0) / 100.0;
    format!("{}", if rounded == 0.0 { 0.0 } else { rounded })
}

/// The same for programs.
fn figure(value: f64) -> f64 {
    libm::round(value * 1000.0) / 1000.0
}

fn times(count: usize) -> String {
    match count {
        1 => "once".into(),
        2 => "twice".into(),
        _ => format!("{count} times"),
    }
}
