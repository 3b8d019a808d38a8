//! The site: what its log holds against the settings, measured beside computed, and complaints.

use serde::{Deserialize, Serialize};

use super::amend::merge;
use super::drawing::PAGE_WIDTH;
use super::settings::label;
use super::state::{Asked, PageEdit};
use super::trouble::Trouble;
use super::words::sentence;
use crate::engine::{Model, ZoneIndex};
use crate::log::LogTime;
use crate::report::Audited;
use crate::report::chart::{LogPanel, LogView, log_svg};
use crate::scenario::{Companions, content};
use crate::settings::entry;
use crate::study::audit::audit;
use crate::study::replay::Rerun;
use crate::study::why::{Felt, Remedy, Scene, remedies, why};
use crate::study::{Keep, simulate};
use crate::time::{Period, Seconds};

/// So many findings are told on the page; the audit has them all.
const MOST_FINDINGS: usize = 12;
/// The most steps of zones of a scenario of which changes are simulated for a complaint: a month of
/// minutes of three rooms.
const MOST_ZONE_STEPS: i64 = 130_000;

/// What a log says.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Logged {
    answer: String,
    findings: Vec<Found>,
    /// How many there are beside those.
    more: usize,
    /// The measured day of the zone, with the spans of its findings; none where the log has nothing
    /// of it.
    chart: Option<String>,
}

/// A finding of the audit.
#[derive(Clone, Debug, Serialize)]
struct Found {
    weight: &'static str,
    zone: String,
    message: String,
    when: String,
}

/// What the log of the file says beside the settings with their changes.
pub(super) fn logged(asked: &Asked, companions: &Companions) -> Result<Logged, Trouble> {
    let (_, study) = asked.study(companions)?;
    let model = &study.base;
    let site = model.log.as_deref().ok_or_else(|| Trouble::bad("the file names no log"))?;
    let found = audit(model, site);
    let audited = Audited { model, site, audit: &found };
    let zone = &model.zones[asked.zone_in(model).get()].id;
    let course = found.courses.iter().find(|course| course.id == *zone);
    let of_zone = found.findings.iter().filter(|it| it.zone.as_ref().is_none_or(|it| it == zone));
    let spans: Vec<(LogTime, LogTime)> =
        of_zone.flat_map(|finding| finding.spans.iter().copied()).collect();
    let date = model.period.date(asked.day);
    let day = Period::new(date, 1, Seconds::minutes(1)).map_err(|_| Trouble::bad("no such day"))?;
    let (midnight, next) = (LogTime::midnight(date), LogTime::midnight(date) + crate::time::DAY);
    let that_day: Vec<_> =
        spans.into_iter().filter(|(from, to)| *to > midnight && *from < next).collect();
    let chart = course.map(|course| {
        let panel = LogPanel {
            name: &course.label,
            samples: &course.samples,
            spans: &that_day,
            notes: &[],
        };
        let view = LogView {
            title: &format!("{}, measured", course.label),
            subtitle: &format!("{date}: shaded where the audit found something"),
            unit: course.unit,
            period: day,
            panels: &[panel],
        };
        log_svg(&view, asked.width.unwrap_or(PAGE_WIDTH)).map_err(Trouble::form)
    });
    let label = |id: &Option<String>| {
        let Some(id) = id else { return "whole log".to_owned() };
        let course = found.courses.iter().find(|course| course.id == *id);
        course.map_or_else(|| id.clone(), |course| course.label.clone())
    };
    let findings = found.findings.iter().take(MOST_FINDINGS).map(|finding| Found {
        weight: finding.weight.name(),
        zone: label(&finding.zone),
        message: sentence(&finding.message),
        when: format!("{} to {}, {} times", finding.from, finding.to, finding.count),
    });
    Ok(Logged {
        answer: sentence(&audited.answer()),
        findings: findings.collect(),
        more: found.findings.len().saturating_sub(MOST_FINDINGS),
        chart: chart.transpose()?,
    })
}

/// Somebody was cold or hot at a time.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Complaint {
    /// With its zone and its time.
    asked: Asked,
    /// `cold` or `hot`.
    felt: String,
}

/// Why.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Because {
    answer: String,
    causes: Vec<Cause>,
    /// What would have helped, the most helpful first.
    remedies: Vec<Remedied>,
    /// How many changes were tried.
    tried: usize,
    /// Whether that comes from the log, and not from the simulated run.
    is_logged: bool,
}

/// A change that would have helped, as a button.
#[derive(Clone, Debug, Serialize)]
struct Remedied {
    words: String,
    /// What it does, in a sentence.
    does: String,
    /// All changes of the page with it.
    edits: Vec<PageEdit>,
}

#[derive(Clone, Debug, Serialize)]
struct Cause {
    message: String,
    reading: String,
    since: String,
}

/// Why somebody was cold or hot: from the log where the file has one that covers the time, else from
/// the simulated run.
pub(super) fn because(complaint: &Complaint, companions: &Companions) -> Result<Because, Trouble> {
    let asked = &complaint.asked;
    let felt = [Felt::Cold, Felt::Hot].into_iter().find(|felt| felt.name() == complaint.felt);
    let felt = felt.ok_or_else(|| Trouble::bad("somebody is cold or hot"))?;
    let (text, study) = asked.study(companions)?;
    let model = &study.base;
    let (zone, at) = (asked.zone_in(model), asked.instant()?);
    let moment = LogTime::midnight(model.period.first()) + at.get();
    let of_log = model.log.as_deref().and_then(|site| Scene::of_log(model, site, zone, moment));
    let of_log = of_log.and_then(|scene| why(&scene, felt));
    let is_logged = of_log.is_some();
    let answer = match of_log {
        Some(answer) => Some(answer),
        None => of_run(model, zone, moment, at.day(), felt)?,
    };
    let answer = answer.ok_or_else(|| Trouble::bad("nothing is known of that time"))?;
    let (helped, tried) = if is_cheap(model) {
        let template = companions.template(&text, asked.source().0)?;
        let site = model.log.as_deref().filter(|_| is_logged);
        let days = site.and_then(|site| Rerun::of(model, site).ok());
        remedies(&template, model, (zone, at), felt, &answer.causes, days.as_ref())
    } else {
        (Vec::new(), 0)
    };
    let remedies = helped.iter().filter_map(|it| remedied(asked, companions, model, it)).collect();
    let causes = answer.causes.into_iter().map(|cause| Cause {
        message: sentence(&cause.message),
        reading: cause.reading.replace('_', " "),
        since: cause.since.to_string(),
    });
    Ok(Because {
        answer: answer.answer.replace('_', " "),
        causes: causes.collect(),
        remedies,
        tried,
        is_logged,
    })
}

fn of_run(
    model: &Model,
    zone: ZoneIndex,
    moment: LogTime,
    day: i64,
    felt: Felt,
) -> Result<Option<crate::study::why::Answer>, Trouble> {
    let run = simulate(model, Keep::Day(day));
    Trouble::of_halt(run.halt, model)?;
    let scene = Scene::of_run(model, (&run.rows, &run.ledger), zone, moment);
    Ok(scene.and_then(|scene| why(&scene, felt)))
}

/// Whether a page can wait until some changes have been simulated.
fn is_cheap(model: &Model) -> bool {
    let zones = i64::try_from(model.zones.len()).unwrap_or(i64::MAX);
    let steps = model.period.days().saturating_mul(model.period.steps_per_day());
    steps.saturating_mul(zones) <= MOST_ZONE_STEPS
}

/// A remedy as a button; `None` where the text has no place for it.
fn remedied(
    asked: &Asked,
    companions: &Companions,
    model: &Model,
    remedy: &Remedy,
) -> Option<Remedied> {
    let mut edits = asked.edits.clone();
    for (path, value) in &remedy.changes {
        let value = content(value)?;
        merge(&mut edits, &[PageEdit { path: path.clone(), value }]);
    }
    asked.with_edits(edits.clone()).study(companions).ok()?;
    let words: Vec<String> =
        remedy.changes.iter().map(|(path, value)| change_words(model, path, value)).collect();
    let (by, unit) = (&remedy.differences, model.unit.letter());
    let way = if by.temperature > 0.0 { "warmer" } else { "cooler" };
    let mut does = vec![format!("{:.1} °{unit} {way} then", by.temperature.abs())];
    for (value, what, digits) in [
        (by.degree_hours, "degree-hours out of band in all rooms", 1),
        (by.starved_hours, "hours starved in all rooms", 1),
        (by.electricity_kwh, "kWh", 1),
        (by.changeovers, "changeovers", 0),
    ] {
        if value.abs() >= 0.05 {
            let sign = if value > 0.0 { "+" } else { "\u{2212}" };
            does.push(format!("{sign}{:.digits$} {what}", value.abs()));
        }
    }
    let words = sentence(&words.join(" and ")).trim_end_matches('.').to_owned();
    Some(Remedied { words, does: does.join(", ") + ".", edits })
}

/// `Heat setpoint 21.5 (Hall)`: a change in people's words.
fn change_words(model: &Model, path: &str, value: &str) -> String {
    let mut steps = path.split('.');
    let first = steps.next().unwrap_or_default();
    let zone = (first == "zones").then(|| steps.next()).flatten();
    // The one outdoor unit stands at the root, several have names.
    let _unit = (first == "outdoor_units").then(|| steps.next());
    let key: Vec<&str> = steps.collect();
    let key = key.join(".");
    let name = entry(&key).map_or_else(
        || key.rsplit('.').next().unwrap_or_default().replace('_', " "),
        |it| it.setting.name.to_lowercase(),
    );
    let value = value.replace(['{', '}'], "").replace('_', " ");
    let whose = zone.and_then(|id| model.zones.iter().find(|zone| zone.id == id));
    match whose {
        Some(zone) => format!("{name} {value} in {}", label(zone)),
        None => format!("{name} {value}"),
    }
}
