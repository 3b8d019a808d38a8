//! The keys of a file's calendar.

use super::{Block, Kind, optional, required};

/// Holidays and daylight saving time.
pub(super) const CALENDAR: &Block = &Block {
    name: "calendar",
    doc: "Holidays and daylight saving time.",
    keys: &[
        optional(
            "holidays",
            Kind::ListOf(&Kind::Either(&[Kind::Date, Kind::Block(HOLIDAYS)])),
            "Dates, or spans of dates, that schedules take for Sundays.",
        ),
        optional(
            "daylight_saving",
            Kind::Block(DAYLIGHT_SAVING),
            "When clocks are an hour ahead of standard time, in which weather and files are.",
        ),
    ],
};

/// Holidays in a row.
pub(in super::super) const HOLIDAYS: &Block = &Block {
    name: "holidays",
    doc: "Holidays in a row.",
    keys: &[
        required("from", Kind::Date, "The first of them, as 2025-12-24."),
        required("to", Kind::Date, "The last of them."),
    ],
};

/// When clocks are ahead.
const DAYLIGHT_SAVING: &Block = &Block {
    name: "daylight_saving",
    doc: "When clocks are an hour ahead; they are changed at 2:00 standard time.",
    keys: &[
        required("from", Kind::Date, "When they are put forward, as 2025-03-30."),
        required("to", Kind::Date, "When they are put back; before `from` south of the equator."),
    ],
};
