//! The day that a page shows: chart data, ledger, figures, settings and findings.

use serde::Serialize;
use serde_json::{Value, json};

use super::drawing::{Drawings, Wanted, drawings};
use super::figures::{PageFigure, figures};
use super::overview::{Overview, overview};
use super::rows::{self, Row};
use super::settings::{GroupForm, ZoneForm, forms};
use super::state::Asked;
use super::trouble::Trouble;
use crate::engine::Model;
use crate::report::{Run, headline};
use crate::scenario::{Companions, Study};
use crate::study::{Days, Finding, Finished, Keep, check, simulate, simulate_days};

/// A ledger of so many rows is shown whole; of a longer one what comes from the shown day on.
const FEW_ROWS: usize = 500;
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
    figures: Vec<PageFigure>,
    /// The figures of the pinned run, where there is one.
    pinned: Option<Vec<PageFigure>>,
    zones: Vec<ZoneForm>,
    groups: Vec<GroupForm>,
    findings: Vec<Value>,
    /// Whether the file names a log.
    has_log: bool,
    /// How many requirements the file has.
    requirements: usize,
    chart: Drawings,
    /// The first screen, where it is wanted.
    overview: Option<Overview>,
    ledger: Vec<Row>,
    ledger_rows: usize,
}

impl Reply {
    /// Takes away what a puzzle's player must find: settings, findings and reasons.
    pub(super) fn hold_back(&mut self) {
        self.findings.clear();
        self.overview = None;
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
    let Some(pinned) = asked.pinned() else {
        return of_study(&text, &study, asked.day, asked.wanted());
    };
    let (_, other) = pinned.study(companions)?;
    let Finished { summary, rows, ledger, halt } = simulate(&other.base, Keep::Day(asked.day));
    Trouble::of_halt(halt, &other.base)?;
    let run = Run { model: &other.base, rows: &rows, ledger: &ledger, summary: &summary };
    let wanted = Wanted { pinned: Some(&run), ..asked.wanted() };
    let reply = of_study(&text, &study, asked.day, wanted)?;
    Ok(Reply { pinned: Some(figures(&run)), ..reply })
}

/// The day of a scenario that was read from its text.
pub(super) fn of_study(
    text: &str,
    study: &Study,
    day: i64,
    wanted: Wanted<'_>,
) -> Result<Reply, Trouble> {
    let model = &study.base;
    let by_days = wanted.rows.is_some() && model.period.days() > 1;
    let (finished, days) = if by_days {
        let (finished, days) = simulate_days(model, Keep::Day(day));
        (finished, Some(days))
    } else {
        (simulate(model, Keep::Day(day)), None)
    };
    of_run(text, study, &finished, days.as_ref(), day, wanted)
}

/// The same of a run that holds the steps of that day.
pub(super) fn of_run(
    text: &str,
    study: &Study,
    finished: &Finished,
    days: Option<&Days>,
    day: i64,
    wanted: Wanted<'_>,
) -> Result<Reply, Trouble> {
    let model = &study.base;
    let Finished { summary, rows, ledger, halt } = finished;
    Trouble::of_halt(*halt, model)?;
    let run = Run { model, rows, ledger, summary };
    let overview = wanted.rows.map(|rows| overview(&run, day, days, rows)).transpose()?;
    let (zones, groups) = forms(text, model);
    let shown = rows::wanted(ledger, day, FEW_ROWS, MOST_ROWS);
    Ok(Reply {
        title: model.title.clone(),
        unit: model.unit.letter(),
        days: model.period.days(),
        day,
        date: model.period.date(day).strftime("%A %-d %B %Y").to_string(),
        step_s: model.period.step().get(),
        headline: headline(&run),
        figures: figures(&run),
        pinned: None,
        zones,
        groups,
        findings: findings(study, model),
        has_log: model.log.is_some(),
        requirements: study.requirements.len(),
        chart: drawings(&run, day, wanted)?,
        overview,
        ledger: rows::rows(&run, shown),
        ledger_rows: ledger.len(),
    })
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

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use super::*;
    use crate::scenario::read;

    /// Somebody presses a key every three minutes: more rows than a page shows whole.
    fn busy() -> String {
        let mut text = String::from(
            "period: {from: 2025-04-16, days: 3, step: 10 min}\nweather: {design_day: {high: 18, \
             range: 11}}\nzones:\n  hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 \
             kW}, controls: {heat: 20, cool: 24}}\nactions:\n",
        );
        for minute in (0..3 * 1440).step_by(3) {
            let (day, hour, rest) = (minute / 1440 + 1, minute / 60 % 24, minute % 60);
            let key = if minute % 2 == 0 { "warmer" } else { "cooler" };
            let _ = writeln!(
                text,
                "  - {{at: \"d{day} {hour:02}:{rest:02}\", zone: hall, press: {key}}}"
            );
        }
        text
    }

    #[test]
    fn each_mark_of_a_long_ledger_has_its_row() {
        let text = busy();
        let study = read(&text, "busy.yaml", &|_| Err(String::new())).expect("a scenario");
        for day in 0..3 {
            let reply = of_study(&text, &study, day, Wanted::default()).expect("a day");
            let reply = serde_json::to_value(reply).expect("JSON");
            let (svg, rows) = (reply["chart"]["svg"].as_str(), &reply["ledger"]);
            let marks: Vec<(&str, &str)> = svg
                .expect("a drawing")
                .split("<g class=\"request\" data-row=\"")
                .skip(1)
                .filter_map(|rest| {
                    let (row, rest) = rest.split_once("\" data-at=\"")?;
                    Some((row, rest.split_once('"')?.0))
                })
                .collect();
            // The last presses come after the last step.
            assert!(marks.len() >= 477, "day {day} has {} marks", marks.len());
            for (row, at) in marks {
                let all = rows.as_array().expect("rows").iter();
                let mut same =
                    all.filter(|it| it["place"] == row.parse::<u64>().expect("a number"));
                assert_eq!(same.next().expect("a row")["at"].to_string(), at, "day {day}");
            }
            assert_eq!(
                rows[0]["at"].as_i64().map(|at| at / 86400),
                Some(day),
                "day {day} is first"
            );
        }
    }
}
