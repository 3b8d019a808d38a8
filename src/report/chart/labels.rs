//! Labels at the ends of lines, pushed apart so that none overlaps.

use plotters::style::RGBColor;

use super::ChartFault;
use super::canvas::{Area, Canvas, Stroke};
use super::palette::OUTDOOR;
use super::text::Type;

/// What a line is called, at its end.
#[derive(Clone, Debug)]
pub(super) struct EndLabel {
    /// The words.
    pub text: String,
    /// Where the line ends, px.
    pub y: f64,
    /// The line's colour.
    pub color: RGBColor,
}

impl EndLabel {
    /// The same in the fewest words, for narrow sheets.
    pub(super) fn shortened(self) -> Self {
        const SHORT: [(&str, &str); 7] = [
            (" setpoint", ""),
            ("room air, mean", "air"),
            ("room air", "air"),
            ("outdoor, mean", "out"),
            ("outdoor", "out"),
            ("sensor reads", "sensor"),
            ("range of each day", "range"),
        ];
        let text = SHORT.iter().fold(self.text, |text, (long, short)| text.replace(long, short));
        Self { text, ..self }
    }
}

/// Writes the labels from `x` on, each as near to its line's end as the others allow, with a
/// thin leader from the end of the line at `area.right`.
pub(super) fn draw(
    canvas: &mut Canvas,
    labels: &[EndLabel],
    area: Area,
    x: f64,
    em: f64,
) -> Result<(), ChartFault> {
    let places = places(labels, area, em);
    canvas.layer("leaders", Stroke::Solid, |layer| {
        for (label, y) in labels.iter().zip(&places) {
            let bend = area.right + 2.0;
            layer.line(&[(bend, label.y), (x - em * 0.3, *y)], OUTDOOR, 0.7);
        }
    })?;
    canvas.layer("line-labels", Stroke::Solid, |layer| {
        for (label, y) in labels.iter().zip(&places) {
            layer.words(&label.text, (x, *y), Type::new(em, label.color));
        }
    })
}

/// The heights at which the labels stand.
pub(super) fn places(labels: &[EndLabel], area: Area, em: f64) -> Vec<f64> {
    let wanted: Vec<f64> = labels.iter().map(|label| label.y).collect();
    let half = em * 0.6;
    apart(&wanted, em * 1.25, (area.top + half, area.bottom - half))
}

/// Heights at least `gap` apart within bounds, each as near to its wanted one as may be (least
/// squares: neighbours that collide move as a block about their mean).
pub(super) fn apart(wanted: &[f64], gap: f64, (low, high): (f64, f64)) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]).then(a.cmp(b)));
    let between = wanted.len().saturating_sub(1) as f64;
    let gap = if between > 0.0 { gap.min((high - low) / between) } else { gap };
    // Less the gaps before it, each height must not be lower than the one before: blocks of
    // equal height grow until that holds.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (place, index) in order.iter().enumerate() {
        let mut block = (wanted[*index] - place as f64 * gap, 1);
        while let Some(before) = blocks.last().copied()
            && before.0 / before.1 as f64 > block.0 / block.1 as f64
        {
            block = (block.0 + before.0, block.1 + before.1);
            blocks.pop();
        }
        blocks.push(block);
    }
    let mut places = vec![0.0; wanted.len()];
    let bases = blocks.iter().flat_map(|(sum, count)| {
        let base = (sum / *count as f64).min(high - between * gap).max(low);
        std::iter::repeat_n(base, *count)
    });
    for ((place, index), base) in order.iter().enumerate().zip(bases) {
        places[*index] = base + place as f64 * gap;
    }
    places
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_that_have_room_stay_and_others_move_apart_evenly() {
        assert_eq!(apart(&[10.0, 90.0, 50.0], 12.0, (0.0, 100.0)), [10.0, 90.0, 50.0]);
        assert_eq!(apart(&[50.0, 50.0], 12.0, (0.0, 100.0)), [44.0, 56.0]);
        assert_eq!(apart(&[95.0, 96.0], 12.0, (0.0, 100.0)), [88.0, 100.0]);
        assert_eq!(apart(&[], 12.0, (0.0, 100.0)), [0.0; 0]);
    }

    #[test]
    fn too_many_labels_share_what_room_there_is() {
        let places = apart(&[5.0; 11], 12.0, (0.0, 50.0));
        assert!(places[0].abs() < 1e-9);
        assert!((places[10] - 50.0).abs() < 1e-9);
    }
}
