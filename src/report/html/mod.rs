//! `report.html`: one page that a client keeps. It needs no network and no other file, prints,
//! and reads without any knowledge of controls.
//!
//! Style and script are files of their own under `report/assets`.

mod answers;
mod changes;
mod comparison;
mod extremes;
mod figure;
mod ledger;
mod read_out;
mod record;

pub use comparison::comparison_html;

use std::fmt;

use maud::{Markup, PreEscaped, html};

use self::figure::{ChartFigure, Drawing};
pub use self::read_out::ReadOut;
use super::cautions::cautions;
use super::chart::{self, ChartFault, RunCharts, StripsView};
use super::content::{Table, energy, people, seasons, zones};
use super::figures::days_in_words;
use super::render::html::{Words, document, list, section, table, text};
use super::review::{requirements, review_answer};
use super::run::Run;
use super::settings::assumptions;
use crate::study::review::Review;

const STYLE: &str = include_str!("../assets/report.css");
const SCRIPT: &str = include_str!("../assets/report.js");

/// Width of charts for wide windows and for paper, px.
const WIDE: u32 = chart::USUAL_WIDTH;
/// Width of charts for narrow windows, px.
const NARROW: u32 = chart::NARROWEST;
/// So many people have a row of their own in a page.
const MOST_PEOPLE: usize = 40;
/// To more zones than this the chart is one of strips anyway.
const MOST_PANELS: usize = 3;

/// Why a page could not be made.
#[derive(Debug)]
pub enum PageFault {
    /// A chart could not be drawn.
    Chart(ChartFault),
    /// The values to be read out could not be written.
    Values(serde_json::Error),
}

impl fmt::Display for PageFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Chart(fault) => fault.fmt(f),
            Self::Values(fault) => write!(f, "the page's values could not be written: {fault}"),
        }
    }
}

impl std::error::Error for PageFault {}

impl From<ChartFault> for PageFault {
    fn from(fault: ChartFault) -> Self {
        Self::Chart(fault)
    }
}

impl From<serde_json::Error> for PageFault {
    fn from(fault: serde_json::Error) -> Self {
        Self::Values(fault)
    }
}

/// The page of a run.
///
/// # Errors
/// See [`PageFault`].
pub fn run_html(run: &Run, review: Option<&Review<'_>>) -> Result<String, PageFault> {
    run_html_with(run, None, review)
}

/// The same with the charts of [`RunCharts::of`], where they are drawn already.
///
/// # Errors
/// See [`PageFault`].
pub fn run_html_with(
    run: &Run,
    drawn: Option<&RunCharts>,
    review: Option<&Review<'_>>,
) -> Result<String, PageFault> {
    let figures = figures(run, drawn)?;
    let values = read_out::json(&[ReadOut::of(run, "", 1)])?;
    let shown = people::shown(&run.summary.people, MOST_PEOPLE);
    let worst = review.map(extremes::worst_section).transpose()?.unwrap_or_default();
    let body = html! {
        (answers::written(&answers::of_run(run)))
        @if let Some(review) = review.filter(|it| !it.rows.is_empty()) {
            (section("requirements", "What was asked", &html! {
                (text(&review_answer(review)))
                (table(&requirements(review), "cards"))
            }))
        }
        (worst)
        (section("charts", through(run), &html! { @for figure in &figures { (figure) } }))
        (section("figures", "Zone by zone", &html! {
            (numbers(&zones::zones(run)))
            (with_note(&zones::comfort(run), Some(zones::COMFORT_WORDS)))
            (numbers(&zones::humidity(run)))
            (table(&energy::energy(run), "numbers energy"))
        }))
        (section("people", PEOPLE, &html! {
            @if !shown.is_empty() {
                (text(ABOUT_PEOPLE))
                (numbers(&people::people(run, &shown)))
                @if let Some(rest) = people::rest(&run.summary.people, &shown, "summary.json") { (text(&rest)) }
            }
        }))
        (long_run(run))
        (ledger::section(&[(String::new(), *run)]))
        (record::section(&[run.model], &[]))
        (closing(&assumptions(run.model), &cautions(run)))
    };
    let subtitle = match &run.model.variant {
        Some(variant) => format!("{}, variant {variant}", days_in_words(&run.model.period)),
        None => days_in_words(&run.model.period),
    };
    Ok(page(&run.model.title, &subtitle, &body, &values))
}

const PEOPLE: &str = "What people went through";
const ABOUT_PEOPLE: &str = "The people here are simulated: one possible course of these days. \
                            Somebody is uncomfortable when the room is too cold or too warm for \
                            them, presses keys, gives up when that does not help, and complains.";

/// What weeks and years tell besides, each section where the run has anything of it.
fn long_run(run: &Run) -> Markup {
    let locks = seasons::lock_calendar_words(run);
    let head_of_locks = "What locking heating or cooling out would cost";
    html! {
        (section("months", "Month by month", &with_note(
            &seasons::months_and_seasons(run), seasons::months_note(run))))
        (section("mornings", "When somebody came in", &with_note(
            &seasons::mornings(run), seasons::hopeless_mornings(run).as_deref())))
        (section("lock-calendar", head_of_locks, &with_note(
            &seasons::lock_calendar(run), Some(&locks))))
    }
}

/// A table of numbers, where it has any; narrow windows show a card for each row.
fn numbers(it: &Table) -> Markup {
    html! { @if !it.is_empty() { (table(it, "numbers cards")) } }
}

/// The same with what its reader must know.
fn with_note(it: &Table, note: Option<&str>) -> Markup {
    html! {
        (numbers(it))
        @if let Some(note) = note.filter(|_| !it.is_empty()) { (text(note)) }
    }
}

fn through(run: &Run) -> &'static str {
    if run.model.period.days() == 1 { "Through the day" } else { "Through the days" }
}

/// What the figures rest on, and what must be borne in mind.
fn closing(assumptions: &[String], cautions: &[String]) -> Markup {
    html! {
        (section("assumptions", "What the figures rest on", &list(assumptions)))
        (section("cautions", "Bear in mind", &list(cautions)))
    }
}

/// A page with values that its script reads out.
fn page(title: &str, subtitle: &str, body: &Markup, values: &str) -> String {
    let script = html! {
        script type="application/json" id="values" { (PreEscaped(values)) }
        script { (PreEscaped(SCRIPT)) }
    };
    framed(title, subtitle, body, &script)
}

/// A page without values that are read out, and so without a script.
pub(in crate::report) fn plain_page(title: &str, subtitle: &str, body: &Markup) -> String {
    framed(title, subtitle, body, &html! {})
}

/// A chart of which no values are read out, for wide and for narrow windows.
pub(in crate::report) fn still_chart(head: &str, wide: String, narrow: String) -> Markup {
    let still = |svg| Drawing { svg, plots: Vec::new() };
    let chart = ChartFigure { head: head.into(), wide: still(wide), narrow: Some(still(narrow)) };
    html! { (chart) }
}

fn framed(title: &str, subtitle: &str, body: &Markup, script: &Markup) -> String {
    let head = html! {
        meta name="color-scheme" content="light dark";
        style { (PreEscaped(STYLE)) }
    };
    let body = html! {
        main {
            header { h1 { (Words(title)) } p.subtitle { (Words(subtitle)) } }
            (body)
        }
        (script)
    };
    document(title, &head, &body)
}

/// The charts of a run.
fn figures(run: &Run, drawn: Option<&RunCharts>) -> Result<Vec<ChartFigure>, PageFault> {
    let drawn_at = |width| drawn.filter(|_| width == WIDE);
    let day = |width| -> Result<Drawing, PageFault> {
        let svg = match drawn_at(width) {
            Some(drawn) => drawn.day.clone(),
            None => chart::day_svg(run, width)?,
        };
        Ok(Drawing { svg, plots: chart::day_plots(run, width) })
    };
    let many = run.model.zones.len() > MOST_PANELS;
    let head = if many { HEAD_OF_STRIPS } else { HEAD_OF_DAY };
    let mut all =
        vec![ChartFigure { head: head.into(), wide: day(WIDE)?, narrow: Some(day(NARROW)?) }];
    for unit in 0..if many { 0 } else { run.model.outdoor_units.len() } {
        let view = StripsView::of_unit(run.model, unit);
        let group = |width| -> Result<Drawing, PageFault> {
            let svg = match drawn_at(width).and_then(|drawn| drawn.units.get(unit)) {
                Some(drawn) => drawn.clone(),
                None => chart::group_svg(run, width, &view)?,
            };
            Ok(Drawing { svg, plots: chart::group_plots(run, width, &view) })
        };
        let head = HEAD_OF_STRIPS.into();
        all.push(ChartFigure { head, wide: group(WIDE)?, narrow: Some(group(NARROW)?) });
    }
    if run.rows.is_empty() {
        for figure in &mut all {
            figure.wide.plots.clear();
            figure.narrow.iter_mut().for_each(|drawing| drawing.plots.clear());
        }
    }
    Ok(all)
}

const HEAD_OF_DAY: &str = "The green band lies between the heat and the cool setpoint: a room \
                           inside it needs nothing. The strip below says what it gets.";
const HEAD_OF_STRIPS: &str = "A strip for each zone says what it gets through the time.";
