//! How the line of a contender looks: a colour and a stroke, so that each can be told from the
//! others in grey, and its name at its end.

use plotters::style::RGBColor;

use crate::report::chart::ChartFault;
use crate::report::chart::canvas::{Area, Canvas, Stroke};
use crate::report::chart::labels::apart;
use crate::report::chart::palette::{INK, OUTDOOR, PINNED, PURPLE, SKY, WARNING};
use crate::report::chart::text::Type;

/// The look of one contender's line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Strand {
    /// Colour.
    pub color: RGBColor,
    /// Stroke.
    pub stroke: Stroke,
}

impl Strand {
    /// The look of the contender at a place, the base's at 0.
    pub(super) fn of(place: usize) -> Self {
        const COLORS: [RGBColor; 4] = [PINNED, PURPLE, WARNING, SKY];
        const STROKES: [Stroke; 4] =
            [Stroke::LongDashed, Stroke::DashDotted, Stroke::Dashed, Stroke::Dotted];
        let Some(place) = place.checked_sub(1) else {
            return Self { color: INK, stroke: Stroke::Solid };
        };
        // From round to round the strokes move on by one, so that 16 of them are distinct.
        Self { color: COLORS[place % 4], stroke: STROKES[(place + place / 4) % 4] }
    }
}

/// A contender's name at the end of its line.
#[derive(Clone, Debug)]
pub(super) struct Name {
    /// The name.
    pub text: String,
    /// The value that its line ends at.
    pub value: String,
    /// Where the line ends, px.
    pub y: f64,
    /// How it looks.
    pub strand: Strand,
}

/// Writes names to the right of an area, each behind a piece of its line and with a leader from
/// where its line ends.
pub(super) fn write_names(
    canvas: &mut Canvas,
    names: &[Name],
    area: Area,
    em: f64,
    room: f64,
) -> Result<(), ChartFault> {
    let wanted: Vec<f64> = names.iter().map(|name| name.y).collect();
    let places = apart(&wanted, em * 1.3, (area.top + em * 0.6, area.bottom - em * 0.6));
    let (from, to) = (area.right + em * 1.6, area.right + em * 4.4);
    canvas.layer("leaders", Stroke::Solid, |layer| {
        for (name, y) in names.iter().zip(&places) {
            layer.line(&[(area.right + 2.0, name.y), (from - 2.0, *y)], OUTDOOR, 0.7);
        }
    })?;
    for (name, y) in names.iter().zip(&places) {
        canvas.layer("sample", name.strand.stroke, |layer| {
            layer.line(&[(from, *y), (to, *y)], name.strand.color, 2.2);
        })?;
    }
    canvas.layer("line-labels", Stroke::Solid, |layer| {
        for (name, y) in names.iter().zip(&places) {
            let how = Type::new(em, INK);
            let text = how.cut(&name.text, room - em * 5.0 - how.width(&name.value));
            layer.words(&(text + &name.value), (to + em * 0.5, *y), how);
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixteen_variants_and_the_base_look_different() {
        let all: Vec<Strand> = (0..17).map(Strand::of).collect();
        for (place, strand) in all.iter().enumerate() {
            assert!(!all[..place].contains(strand), "{place}");
        }
    }
}
