//! A picture in layers. Each layer is drawn by the drawing library and becomes a named group of
//! the SVG, so that a page can find it and a test can count in it.

use std::fmt::Write as _;

use plotters::backend::{DrawingBackend, SVGBackend};
use plotters::style::{Color, RGBColor, ShapeStyle};

use super::ChartFault;
use super::palette::PAPER;
use super::text::{self, Type};

/// The drawing library counts in whole units: this many to a px keep lines smooth.
const UNITS: f64 = 10.0;

/// A point, px from the upper left corner.
pub(super) type Point = (f64, f64);

/// A rectangle, px.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Area {
    pub left: f64,
    pub top: f64,
    pub right: f64,
    pub bottom: f64,
}

impl Area {
    pub(super) fn width(self) -> f64 {
        self.right - self.left
    }

    pub(super) fn height(self) -> f64 {
        self.bottom - self.top
    }

    pub(super) fn middle(self) -> f64 {
        f64::midpoint(self.top, self.bottom)
    }
}

/// How the strokes of a layer run, beside colour and width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stroke {
    /// Without gaps.
    Solid,
    /// Short lines.
    Dashed,
    /// Dots.
    Dotted,
    /// Long lines.
    LongDashed,
    /// Lines and dots by turns.
    DashDotted,
}

impl Stroke {
    const fn attributes(self) -> &'static str {
        match self {
            Self::Solid => "stroke-linejoin=\"round\"",
            Self::Dashed => "stroke-linejoin=\"round\" stroke-dasharray=\"60 40\"",
            Self::LongDashed => "stroke-linejoin=\"round\" stroke-dasharray=\"140 50\"",
            Self::DashDotted => "stroke-linejoin=\"round\" stroke-dasharray=\"90 40 20 40\"",
            Self::Dotted => {
                "stroke-linejoin=\"round\" stroke-linecap=\"round\" stroke-dasharray=\"1 32\""
            }
        }
    }
}

/// A picture that grows layer by layer.
#[derive(Debug)]
pub(super) struct Canvas {
    width: f64,
    height: f64,
    body: String,
}

impl Canvas {
    /// An empty sheet, px.
    pub(super) fn new(width: f64, height: f64) -> Result<Self, ChartFault> {
        text::register()?;
        let mut canvas = Self { width, height, body: String::new() };
        let sheet = Area { left: 0.0, top: 0.0, right: width, bottom: height };
        canvas.layer("paper", Stroke::Solid, |layer| layer.fill(sheet, PAPER))?;
        Ok(canvas)
    }

    /// Adds a layer over those before.
    pub(super) fn layer(
        &mut self,
        class: &str,
        stroke: Stroke,
        draw: impl FnOnce(&mut Layer),
    ) -> Result<(), ChartFault> {
        let mut drawn = String::new();
        let size = (whole_size(self.width), whole_size(self.height));
        let mut layer = Layer { backend: SVGBackend::with_string(&mut drawn, size), fault: None };
        draw(&mut layer);
        layer.close()?;
        // The library writes a whole document; only what is inside becomes the group.
        let inside = drawn.split_once('\n').map_or("", |(_, rest)| rest);
        let inside = inside.trim_end().strip_suffix("</svg>").unwrap_or(inside);
        if inside.is_empty() {
            return Ok(());
        }
        write!(self.body, "<g class=\"{class}\" {}>\n{inside}</g>\n", stroke.attributes())
            .map_err(|fault| ChartFault::Drawing(fault.to_string()))
    }

    /// Adds a layer of filled rectangles that meet without overlapping. Those of a colour are one
    /// shape, so that thousands of them stay small and quick to draw, and their edges are not
    /// smoothed, so that no seams show between them.
    pub(super) fn mosaic(&mut self, class: &str, tiles: &[(Area, RGBColor)]) {
        let mut shapes: Vec<(RGBColor, String)> = Vec::new();
        for (area, color) in tiles {
            let place = shapes.iter().position(|(of, _)| of == color).unwrap_or_else(|| {
                shapes.push((*color, String::new()));
                shapes.len() - 1
            });
            let ((x, y), (right, bottom)) =
                (unit((area.left, area.top)), unit((area.right, area.bottom)));
            let (wide, tall) = (right - x, bottom - y);
            let _ = write!(shapes[place].1, "M{x} {y}h{wide}v{tall}h-{wide}z");
        }
        if shapes.is_empty() {
            return;
        }
        let _ = writeln!(self.body, "<g class=\"{class}\" shape-rendering=\"crispEdges\">");
        for (RGBColor(red, green, blue), shape) in shapes {
            let fill = format!("#{red:02X}{green:02X}{blue:02X}");
            let _ = writeln!(self.body, "<path d=\"{shape}\" fill=\"{fill}\"/>");
        }
        self.body.push_str("</g>\n");
    }

    /// Adds an empty group that tells scripts what is drawn where, as data attributes.
    pub(super) fn note(&mut self, class: &str, data: &[(&str, String)]) {
        let _ = write!(self.body, "<g class=\"{class}\"");
        for (name, value) in data {
            let value = escaped(value).replace('"', "&quot;");
            let _ = write!(self.body, " data-{name}=\"{value}\"");
        }
        self.body.push_str("/>\n");
    }

    /// The SVG, with a title and a description for those who cannot see it.
    pub(super) fn finish(self, title: &str, description: &str) -> String {
        let (width, height) = (whole_size(self.width), whole_size(self.height));
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{}\" height=\"{}\" \
             viewBox=\"0 0 {width} {height}\" role=\"img\">\n<title>{}</title>\n\
             <desc>{}</desc>\n{}</svg>\n",
            self.width,
            self.height,
            escaped(title),
            escaped(description),
            self.body
        )
    }
}

fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' => out.push_str("&amp;"),
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// One layer while it is drawn. The first fault is kept and reported when the layer ends.
pub(super) struct Layer<'a> {
    backend: SVGBackend<'a>,
    fault: Option<String>,
}

impl Layer<'_> {
    /// A line through the points, `width` px wide.
    pub(super) fn line(&mut self, points: &[Point], color: RGBColor, width: f64) {
        if points.len() > 1 {
            let drawn = self.backend.draw_path(units(points), &stroke(color, width));
            self.note(drawn);
        }
    }

    /// A filled polygon.
    pub(super) fn polygon(&mut self, points: &[Point], color: RGBColor) {
        if points.len() > 2 {
            let drawn = self.backend.fill_polygon(units(points), &color.filled());
            self.note(drawn);
        }
    }

    /// A filled polygon through which what lies behind still shows.
    pub(super) fn veil(&mut self, points: &[Point], color: RGBColor, opacity: f64) {
        if points.len() > 2 {
            let drawn = self.backend.fill_polygon(units(points), &color.mix(opacity).filled());
            self.note(drawn);
        }
    }

    /// A filled rectangle.
    pub(super) fn fill(&mut self, area: Area, color: RGBColor) {
        let (from, to) = (unit((area.left, area.top)), unit((area.right, area.bottom)));
        let drawn = self.backend.draw_rect(from, to, &color.filled(), true);
        self.note(drawn);
    }

    /// The outline of a rectangle.
    pub(super) fn outline(&mut self, area: Area, color: RGBColor, width: f64) {
        let Area { left, top, right, bottom } = area;
        let around = [(left, top), (right, top), (right, bottom), (left, bottom), (left, top)];
        self.line(&around, color, width);
    }

    /// A filled disc.
    pub(super) fn disc(&mut self, center: Point, radius: f64, color: RGBColor) {
        let drawn =
            self.backend.draw_circle(unit(center), whole_size(radius), &color.filled(), true);
        self.note(drawn);
    }

    /// Words whose digits are centred on the point's height.
    pub(super) fn words(&mut self, text: &str, (x, y): Point, how: Type) {
        // The library lowers the baseline by 0.76 em; half a digit's height is 0.365 em.
        let top = y - (0.76 - 0.365) * how.em;
        let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
        let drawn = self.backend.draw_text(&clean, &how.style(UNITS), unit((x, top)));
        self.note(drawn);
    }

    fn note<E: std::fmt::Display>(&mut self, drawn: Result<(), E>) {
        if let Err(fault) = drawn {
            self.fault.get_or_insert_with(|| fault.to_string());
        }
    }

    fn close(mut self) -> Result<(), ChartFault> {
        let closed = self.backend.present();
        self.note(closed);
        self.fault.take().map_or(Ok(()), |fault| Err(ChartFault::Drawing(fault)))
    }
}

fn stroke(color: RGBColor, width: f64) -> ShapeStyle {
    color.stroke_width(whole_size(width))
}

fn units(points: &[Point]) -> impl Iterator<Item = (i32, i32)> {
    points.iter().map(|point| unit(*point))
}

fn unit((x, y): Point) -> (i32, i32) {
    (whole(x), whole(y))
}

// A float's cast saturates, so a coordinate far off the sheet stays far off the sheet.
#[expect(clippy::cast_possible_truncation, reason = "rounded and saturating on purpose")]
fn whole(px: f64) -> i32 {
    libm::round(px * UNITS) as i32
}

fn whole_size(px: f64) -> u32 {
    u32::try_from(whole(px)).unwrap_or(0)
}
