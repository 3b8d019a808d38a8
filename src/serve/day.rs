//! The day that a page shows: chart data, ledger, figures, settings and findings.

use serde::Serialize;
use serde_json::{Value, json};

use super::figures::{Figure, figures};
use super::settings::{GroupForm, ZoneForm, forms};
use super::state::Asked;
use super::trouble::Trouble;
use crate::engine::Model;
use crate::report::chart::{LiveDay, LiveRow, live_day, live_ledger};
use crate::report::{Run, headline};
use crate::scenario::{Companions, Study};
use crate::study::{Finding, Finished, Keep, check, simulate};

/// The most ledger rows of a page.
const MOST_ROWS: usize = 2000;

/// What a page shows.
#[derive(Clone, Debug, Serialize)]
pub(super) struct Reply {
    title: String,
    unit: &'static str,
    days: i64,
    day: i64,
    date: String,
    step_s: i64,
    headline: String,
    figures: Vec<Figure>,
    zones: Vec<ZoneForm>,
    groups: Vec<GroupForm>,
    findings: Vec<Value>,
    chart: LiveDay,
    ledger: Vec<LiveRow>,
    ledger_rows: usize,
}

impl Reply {
    /// Takes away what a puzzle's player must find: settings, findings and reasons.
    pub(super) fn hold_back(&mut self) {
        self.findings.clear();
        self.zones.iter_mut().for_each(ZoneForm::hold_back);
        self.groups.clear();
        for row in &mut self.ledger {
            row.reason.clear();
        }
    }
}

/// Simulates what is asked for.
pub(super) fn day(asked: &Asked, companions: &Companions) -> Result<Reply, Trouble> {
    let (text, study) = asked.study(companions)?;
    Ok(of_study(&text, &study, asked.day))
}

/// The day of a scenario that was read from its text.
pub(super) fn of_study(text: &str, study: &Study, day: i64) -> Reply {
    let model = &study.base;
    let Finished { summary, rows, ledger } = simulate(model, Keep::Day(day));
    let run = Run { model, rows: &rows, ledger: &ledger, summary: &summary };
    let (zones, groups) = forms(text, model);
    Reply {
        title: model.title.clone(),
        unit: model.unit.letter(),
        days: model.period.days(),
        day,
        date: model.period.date(day).strftime("%A %-d %B %Y").to_string(),
        step_s: model.period.step().get(),
        headline: headline(&run),
        figures: figures(&run),
        zones,
        groups,
        findings: findings(study, model),
        chart: live_day(&run, day),
        ledger: live_ledger(&run, MOST_ROWS),
        ledger_rows: ledger.len(),
    }
}

/// Findings about the settings, and variants that cannot be run.
fn findings(study: &Study, model: &Model) -> Vec<Value> {
    let one = |finding: &Finding| {
        json!({
            "code": finding.code,
            "severity": finding.severity.name(),
            "path": finding.path,
            "message": finding.message,
            "remedy": finding.remedy,
            "source": finding.source,
        })
    };
    check(study, model, None).iter().map(one).collect()
}
