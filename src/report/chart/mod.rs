//! Charts of a run: one drawing path, from rows to SVG to PNG.
//!
//! A chart is drawn in layers, each a named group of the SVG. The parts
//! of the day chart are files of their own: the band of setpoints, the marks of requests, the
//! ribbon of what the plant gives, the power, the axes and the labels at line ends.
//!
//! ```
//! use setband::{Scenario, report::chart};
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
//! ",
//! )?;
//! let svg = chart::day_svg(&scenario.run()?.as_run(), 900)?;
//! assert!(svg.starts_with("<svg"));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
mod ahead;
mod axis;
mod band;
mod canvas;
mod compare;
mod day;
mod drawn;
mod facts;
mod fit;
mod group;
mod hatch;
mod heatmap;
mod held;
mod key;
mod knee;
mod labels;
mod lane;
mod log;
mod long;
mod marks;
mod night;
mod notes;
mod owners;
mod palette;
mod panel;
mod plot;
#[cfg(feature = "cli")]
mod png;
mod power;
mod ramp;
mod reach;
mod replay;
mod ribbon;
mod rows;
mod scale;
mod series;
mod shares;
mod sheet;
mod state;
mod text;
mod tornado;
mod tradeoff;
mod weather;
mod worst;
mod zone;

use std::fmt;

pub use compare::{differences_svg, multiples_svg, overlay_svg};
pub(super) use compare::{multiples_plots, overlay_plots};
pub(super) use day::day_plots;
pub use day::day_svg;
pub use drawn::{RunCharts, USUAL_WIDTH};
pub use fit::{FitView, ProfileView, fit_svg, profiles_svg};
pub(super) use group::group_plots;
pub use group::{StripsView, ZoneOrder, group_svg};
pub use heatmap::{ZONES_OF_A_SHEET, heatmap_sheets, heatmap_svg};
pub use knee::knee_svg;
pub use log::{LogPanel, LogView, log_svg};
pub use owners::owners_svg;
pub use panel::Beside;
pub(super) use plot::Plot;
#[cfg(feature = "cli")]
pub use png::png;
pub use reach::reach_svg;
pub use replay::{ReplayView, replay_svg};
pub use rows::{ZoneRows, rows_svg};
pub(super) use series::Series;
pub(super) use state::State;
pub use tornado::tornado_svg;
pub use tradeoff::tradeoff_svg;
pub use weather::weather_svg;
pub use worst::worst_svg;
pub use zone::{ribbon_svg, zone_svg};

/// The narrowest chart whose labels have room, px; narrower wishes get this.
pub const NARROWEST: u32 = 480;
/// The widest chart, px; wider wishes get this.
pub const WIDEST: u32 = 8000;

/// Why a chart could not be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ChartFault {
    /// The built-in font could not be read.
    Font,
    /// Drawing failed; the drawing library's words.
    Drawing(String),
    /// A text given as SVG is none; the parser's words.
    Svg(String),
    /// The picture could not be made or encoded; the encoder's words.
    Png(String),
}

impl fmt::Display for ChartFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Font => f.write_str("the built-in font could not be read"),
            Self::Drawing(why) => write!(f, "the chart could not be drawn: {why}"),
            Self::Svg(why) => write!(f, "this is no SVG: {why}"),
            Self::Png(why) => write!(f, "the picture could not be made: {why}"),
        }
    }
}

impl std::error::Error for ChartFault {}
