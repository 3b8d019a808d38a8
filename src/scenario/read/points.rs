//! Tables against outdoor temperature and other sizes.

use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Checked, Fields};

/// A temperature of the file in degrees C.
pub(super) fn celsius(fields: &Fields, key: &str) -> Option<f64> {
    fields.number(key).map(|value| fields.checker.unit.to_celsius(value))
}

/// A table from its points; the only thing that can still be wrong with it is their order.
pub(super) fn read_points<P>(
    fields: &Fields,
    key: &str,
    read: impl Fn(&Fields) -> Option<P>,
    at: impl Fn(&P) -> f64,
) -> Checked<Option<Vec<P>>> {
    fields.optional(key, |fields, key| {
        let written = fields.items(key)?.len();
        let mut points = Vec::new();
        fields.each(key, |point| points.extend(read(&point)));
        if written == 0 {
            let none = Complaint::new("table-order", "this table has no point");
            fields.fault(key, none.help("add at least one, or take the table away"));
            return None;
        }
        let falls = points.windows(2).position(|pair| at(&pair[0]) >= at(&pair[1]));
        if let Some(place) = falls.filter(|_| points.len() == written) {
            let (one, other) = (place + 1, place + 2);
            let message = format!("point {other} of this table does not lie above point {one}");
            let complaint = Complaint::new("table-order", message);
            fields.fault(key, complaint.help("sort the points, lowest first, none of them twice"));
            return None;
        }
        (points.len() == written).then_some(points)
    })
}
