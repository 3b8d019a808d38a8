//! Where on a chart something is drawn, for pages that read values out where somebody points.

use super::canvas::Area;
use super::scale::TimeAxis;
use crate::engine::ZoneIndex;

/// The part of a chart that shows a zone, px of the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::report) struct Plot {
    /// Which of the models that a chart compares, counted from 0; `None` where all are in it.
    pub model: Option<usize>,
    /// Which zone.
    pub zone: ZoneIndex,
    /// Where midnight of the first day stands.
    pub left: f64,
    /// Where the period ends.
    pub right: f64,
    /// Its upper edge.
    pub top: f64,
    /// Its lower edge.
    pub bottom: f64,
}

impl Plot {
    /// The part between two heights, along a time axis, of a chart of one model.
    pub(super) fn new(zone: ZoneIndex, time: TimeAxis, top: f64, bottom: f64) -> Self {
        Self { model: Some(0), zone, left: time.left, right: time.right, top, bottom }
    }

    /// An area of it.
    pub(super) fn of_area(zone: ZoneIndex, area: Area) -> Self {
        let Area { left, top, right, bottom } = area;
        Self { model: Some(0), zone, left, right, top, bottom }
    }
}
