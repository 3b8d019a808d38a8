//! Diagonal hatching of a rectangle, as one line.

use super::canvas::{Area, Point};

/// A line that fills a rectangle with diagonals `spacing` px apart, running between them along
/// the rectangle's edges. Neighbouring rectangles of one height join without a seam.
pub(super) fn diagonals(area: Area, spacing: f64) -> Vec<Point> {
    let height = area.height();
    let mut points = Vec::new();
    // Each diagonal rises from its foot on the lower edge; feet lie on multiples of the spacing.
    let mut foot = libm::floor((area.left - height) / spacing) * spacing;
    let mut upward = true;
    while foot < area.right {
        let start = foot.max(area.left);
        let end = (foot + height).min(area.right);
        if end > start {
            let low = (start, area.bottom - (start - foot));
            let high = (end, area.bottom - (end - foot));
            let (begin, end) = if upward { (low, high) } else { (high, low) };
            let corner = if upward { (area.left, area.bottom) } else { (area.right, area.top) };
            points.extend(around(points.last().copied(), corner, begin));
            points.extend([begin, end]);
            upward = !upward;
        }
        foot += spacing;
    }
    points
}

/// The corner to go round where two neighbouring diagonals end on different edges.
fn around(last: Option<Point>, corner: Point, next: Point) -> Option<Point> {
    let last = last?;
    let apart = |a: f64, b: f64| (a - b).abs() > 1e-6;
    (apart(last.0, next.0) && apart(last.1, next.1)).then_some(corner)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_line_stays_inside_and_runs_diagonally_or_along_an_edge() {
        let area = Area { left: 13.0, top: 5.0, right: 61.0, bottom: 15.0 };
        let points = diagonals(area, 4.0);
        for (x, y) in &points {
            assert!((13.0..=61.0).contains(x) && (5.0..=15.0).contains(y), "{x} {y}");
        }
        let diagonal = points.windows(2).filter(|pair| {
            let (run, rise) = (pair[1].0 - pair[0].0, pair[0].1 - pair[1].1);
            let along = run.abs() < 1e-9 || rise.abs() < 1e-9;
            assert!(along || (run - rise).abs() < 1e-9, "{pair:?}");
            !along
        });
        // Feet at 4, 8 ... 60: all diagonals that touch the rectangle.
        assert_eq!(diagonal.count(), 15);
    }
}
