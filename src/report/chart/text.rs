//! The font of charts, and how wide words come out in it.

use std::sync::OnceLock;

use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{Color, FontDesc, FontFamily, FontStyle, RGBColor, TextStyle, register_font};

use super::ChartFault;
use crate::report::render::fit::{shortened, width};

/// The families in the order of preference. Widths are those of the first, which is wider than
/// what stands in for it elsewhere, so words that fit here fit there.
pub(super) const FAMILIES: &str = "DejaVu Sans, Verdana, sans-serif";
/// The drawing library divides a font's size by this to get the size of its em.
const SIZE_OVER_EM: f64 = 1.24;
/// Ascent less descent of the font, in ems (2384/2048 in its `hhea` table): the library
/// measures widths at a size whose em is that much smaller.
const HEIGHT_OVER_EM: f64 = 2384.0 / 2048.0;
/// Widths are measured at this em and scaled, since the library rounds them to whole units.
const MEASURED_EM: f64 = 200.0;

/// Where words stand relative to their point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Anchor {
    /// They begin there.
    Start,
    /// Their middle is there.
    Middle,
    /// They end there.
    End,
}

/// How words look.
#[derive(Clone, Copy, Debug)]
pub(super) struct Type {
    /// The em, px.
    pub em: f64,
    /// Whether they are bold.
    pub bold: bool,
    /// Their colour.
    pub color: RGBColor,
    /// Where they stand.
    pub anchor: Anchor,
}

/// No chart has room for more letters in a line.
const MOST_LETTERS: usize = 500;

impl Type {
    /// Regular words that begin at their point.
    pub(super) const fn new(em: f64, color: RGBColor) -> Self {
        Self { em, bold: false, color, anchor: Anchor::Start }
    }

    /// The same in bold.
    pub(super) const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    /// The same with another anchor.
    pub(super) const fn at(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    /// How wide a text comes out, px.
    pub(super) fn width(self, text: &str) -> f64 {
        // Layouts measure before anything is drawn; a font that is missing is told when it is.
        let _ = register();
        let size = MEASURED_EM * HEIGHT_OVER_EM;
        let box_size = font(size, self.bold).box_size(text);
        // Without a font nothing can be measured; half an em a letter keeps the layout sane.
        let width = box_size.map_or_else(
            |_| MEASURED_EM * 0.6 * text.chars().count() as f64,
            |(width, _)| f64::from(width),
        );
        width / MEASURED_EM * self.em
    }

    /// The text, cut with `…` where it is wider than `room` px.
    pub(super) fn cut(self, text: &str, room: f64) -> String {
        if self.width(text) <= room {
            return text.to_owned();
        }
        let ends: Vec<usize> = text.char_indices().map(|(at, _)| at).take(MOST_LETTERS).collect();
        let shorter = |end: usize| format!("{}…", text[..end].trim_end());
        // Halving finds the last that fits; a longer text is not narrower.
        let fitting = ends.partition_point(|end| self.width(&shorter(*end)) <= room);
        fitting.checked_sub(1).map_or_else(String::new, |last| shorter(ends[last]))
    }

    /// Names that are no wider than `room` px and stay unlike each other, as far as they can.
    pub(super) fn cut_apart(self, names: &[String], room: f64) -> Vec<String> {
        let longest = names.iter().map(|name| width(name)).max().unwrap_or(0);
        let all: Vec<&str> = names.iter().map(String::as_str).collect();
        let fits = |cut: &Vec<String>| cut.iter().all(|name| self.width(name) <= room);
        let mut cuts = (1..=longest).rev().filter_map(|cells| shortened(&all, cells));
        let apart = cuts.find(fits);
        apart.unwrap_or_else(|| names.iter().map(|name| self.cut(name, room)).collect())
    }

    /// The style for the drawing library, at `scale` units a px.
    pub(super) fn style(self, scale: f64) -> TextStyle<'static> {
        let horizontal = match self.anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        TextStyle {
            font: font(self.em * scale * SIZE_OVER_EM, self.bold),
            color: self.color.to_backend_color(),
            pos: Pos::new(horizontal, VPos::Top),
        }
    }
}

fn font(size: f64, bold: bool) -> FontDesc<'static> {
    let style = if bold { FontStyle::Bold } else { FontStyle::Normal };
    FontDesc::new(FontFamily::Name(FAMILIES), size, style)
}

/// Makes the font known to the drawing library, once in the life of the program.
pub(super) fn register() -> Result<(), ChartFault> {
    static DONE: OnceLock<bool> = OnceLock::new();
    let done = DONE.get_or_init(|| {
        let faces =
            [(FontStyle::Normal, dejavu::sans::regular()), (FontStyle::Bold, dejavu::sans::bold())];
        faces.into_iter().all(|(style, bytes)| register_font(FAMILIES, style, bytes).is_ok())
    });
    if *done { Ok(()) } else { Err(ChartFault::Font) }
}
