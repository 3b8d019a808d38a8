//! `report.html`: one page that a client keeps. It needs no network and no other file, prints,
//! and reads without any knowledge of controls.
//!
//! Style, script and frame are files of their own under `report/assets`.

mod answers;
mod changes;
mod comparison;
mod figure;
mod ledger;
mod markup;
mod people;
mod read_out;
mod record;
mod seasons;
mod tables;

pub use comparison::comparison_html;

use std::fmt;

use self::figure::{Drawing, Figure};
use self::markup::{Markup, escaped, filled};
use self::read_out::ReadOut;
use super::cautions::cautions;
use super::chart::{self, ChartFault, GroupView};
use super::figures::days_in_words;
use super::run::Run;
use super::settings::assumptions;

const FRAME: &str = include_str!("../assets/report.html");
const STYLE: &str = include_str!("../assets/report.css");
const SCRIPT: &str = include_str!("../assets/report.js");

/// Width of charts for wide windows and for paper, px.
const WIDE: u32 = 1000;
/// Width of charts for narrow windows, px.
const NARROW: u32 = chart::NARROWEST;
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
pub fn run_html(run: &Run) -> Result<String, PageFault> {
    let figures = figures(run)?;
    let values = read_out::json(&[ReadOut::of(run, "", 1)])?;
    let mut body = Markup::default();
    answers::write(&mut body, &answers::of_run(run));
    body.section("charts", through(run), |section| {
        for figure in &figures {
            figure.write(section);
        }
    });
    body.section("figures", "Zone by zone", |section| {
        tables::zones(section, run);
        tables::comfort(section, run);
        tables::damp(section, run);
        tables::energy(section, run);
    });
    people::of_run(&mut body, run);
    seasons::sections(&mut body, run);
    ledger::section(&mut body, &[(String::new(), *run)]);
    record::section(&mut body, &[run.model], &[]);
    closing(&mut body, &assumptions(run.model), &cautions(run));
    let subtitle = match &run.model.variant {
        Some(variant) => format!("{}, variant {variant}", days_in_words(&run.model.period)),
        None => days_in_words(&run.model.period),
    };
    Ok(page(&run.model.title, &subtitle, &body.into_html(), &values))
}

fn through(run: &Run) -> &'static str {
    if run.model.period.days() == 1 { "Through the day" } else { "Through the days" }
}

/// What the figures rest on, and what must be borne in mind.
fn closing(to: &mut Markup, assumptions: &[String], cautions: &[String]) {
    to.section("assumptions", "What the figures rest on", |section| section.list(assumptions));
    to.section("cautions", "Bear in mind", |section| section.list(cautions));
}

fn page(title: &str, subtitle: &str, body: &str, values: &str) -> String {
    let places = [
        ("title", escaped(title)),
        ("subtitle", escaped(subtitle)),
        ("body", body.to_owned()),
        ("values", values.to_owned()),
        ("style", STYLE.to_owned()),
        ("script", SCRIPT.to_owned()),
    ];
    let places: Vec<(&str, &str)> =
        places.iter().map(|(name, value)| (*name, value.as_str())).collect();
    filled(FRAME, &places)
}

/// The charts of a run.
fn figures(run: &Run) -> Result<Vec<Figure>, PageFault> {
    let day = |width| -> Result<Drawing, PageFault> {
        Ok(Drawing { svg: chart::day_svg(run, width)?, plots: chart::day_plots(run, width) })
    };
    let many = run.model.zones.len() > MOST_PANELS;
    let head = if many { HEAD_OF_STRIPS } else { HEAD_OF_DAY };
    let mut all = vec![Figure { head: head.into(), wide: day(WIDE)?, narrow: Some(day(NARROW)?) }];
    for unit in 0..if many { 0 } else { run.model.outdoor_units.len() } {
        let view = GroupView::of_unit(run.model, unit);
        let group = |width| -> Result<Drawing, PageFault> {
            let plots = chart::group_plots(run, width, &view);
            Ok(Drawing { svg: chart::group_svg(run, width, &view)?, plots })
        };
        let head = HEAD_OF_STRIPS.into();
        all.push(Figure { head, wide: group(WIDE)?, narrow: Some(group(NARROW)?) });
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
