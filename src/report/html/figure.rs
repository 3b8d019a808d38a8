//! Charts in a page: the same drawing as in the files, once for wide windows and paper and once
//! for narrow ones, with the places at which values can be read out.

use maud::{Markup, PreEscaped, Render, html};

use crate::report::chart::Plot;
use crate::report::render::html::{LINE, Words};

/// A chart as a page has it.
#[derive(Debug)]
pub(super) struct ChartFigure {
    /// What it shows, in a few words.
    pub head: String,
    /// For wide windows and paper.
    pub wide: Drawing,
    /// For narrow windows.
    pub narrow: Option<Drawing>,
}

/// One drawing of it.
#[derive(Debug)]
pub(super) struct Drawing {
    /// The SVG as the chart's file has it.
    pub svg: String,
    /// Where zones are drawn; empty where there is nothing to read out.
    pub plots: Vec<Plot>,
}

/// What stands over a chart until somebody points at it.
const HINT: &str = "Point at the chart, touch it, or press the arrow keys on it: its values are \
                    read out here.";

impl Render for ChartFigure {
    fn render(&self) -> Markup {
        let class = if self.narrow.is_some() { "wide" } else { "wide only" };
        html! {
            figure.chart {
                figcaption { (Words(&self.head)) }
                @if !self.wide.plots.is_empty() { p.read-out aria-live="polite" { (HINT) } }
                (self.wide.written(class))
                @if let Some(drawing) = &self.narrow { (drawing.written("narrow")) }
            }
            (LINE)
        }
    }
}

impl Drawing {
    fn written(&self, class: &str) -> Markup {
        let class = format!("drawing {class}");
        let label = "Chart. The arrow keys move through it and read out its values.";
        let svg = compact(&self.svg);
        html! {
            @if self.plots.is_empty() {
                div class=(class) { (PreEscaped(svg)) }
            } @else {
                div class=(class) tabindex="0" role="group" aria-label=(label)
                    data-plots=(plots(&self.plots)) {
                    (PreEscaped(svg))
                    div.cursor hidden {}
                }
            }
        }
    }
}

/// The places as the page's script reads them.
fn plots(all: &[Plot]) -> String {
    let places: Vec<String> = all
        .iter()
        .map(|Plot { model, zone, left, right, top, bottom }| {
            let model = model.map_or("null".to_owned(), |model| model.to_string());
            let zone = zone.get();
            format!("[{model},{zone},{left:.1},{right:.1},{top:.1},{bottom:.1}]")
        })
        .collect();
    format!("[{}]", places.join(","))
}

/// The SVG without what a page says once for all charts, or does not need.
fn compact(svg: &str) -> String {
    svg.replace(" xmlns=\"http://www.w3.org/2000/svg\"", "")
        .replace(" font-family=\"DejaVu Sans, Verdana, sans-serif\"", "")
        .replace(" opacity=\"1\"", "")
        .replace(" \"/>\n", "\"/>")
}
