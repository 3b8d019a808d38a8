//! One name for one thing, in every medium. A soft hyphen (U+00AD) says where a name may break
//! in a narrow head.

/// Turns of the plant from heating to cooling or back.
pub(in crate::report) const CHANGEOVERS: &str = "change\u{ad}overs";
/// Hours in which a zone got what it called for.
pub(in crate::report) const SERVED: &str = "served";
/// Hours in which a zone needed the direction that its plant did not have.
pub(in crate::report) const STARVED: &str = "starved";
/// Occupied hours, or degree-hours, with the operative temperature outside the comfort band.
pub(in crate::report) const OUT_OF_BAND: &str = "out of band";
/// Hours in which somebody was there.
pub(in crate::report) const OCCUPIED: &str = "occupied";
/// Requests, or presses, that were done as asked, of all of them.
pub(in crate::report) const DONE_AS_ASKED: &str = "done as asked";
/// Electricity of all uses.
pub(in crate::report) const ELECTRICITY: &str = "electri\u{ad}city";
