//! The keys of a log from a site.

use super::super::ranges;
use super::{Block, Key, Kind, derived, optional, or, required};
use crate::settings::controls::{MODES, UNITS};
use crate::units::Dimension;

/// What a site recorded.
pub(super) const LOG: &Block = &Block {
    name: "log",
    doc: "What the site recorded: a table of readings, and which of its columns is what.",
    keys: &[
        required(
            "file",
            Kind::OneOrMore(&Kind::Text),
            "The file beside this one, or several in the order of time: CSV (also packed as .gz) or \
             a workbook; separator, decimal mark and encoding are told by the content.",
        ),
        optional("sheet", Kind::Text, "The sheet of a workbook; its first one without it."),
        or(
            "layout",
            Kind::Word(&["wide", "long"]),
            "wide",
            "wide: a column for each point; long: columns time, point and value, and names of points \
             instead of columns below.",
        ),
        derived(
            "time",
            Kind::Block(TIME),
            "the column `time`, in ISO 8601, in standard time",
            "Where and how the times stand.",
        ),
        or(
            "ahead",
            Kind::Size(Dimension::Duration, ranges::CLOCK_AHEAD),
            "0 min",
            "How far the log's clock runs ahead of the true one; negative where it is behind.",
        ),
        optional(
            "gap",
            Kind::Duration(ranges::LOG_GAP),
            "Longer than this without a row nothing is assumed; five usual intervals and at least \
             15 min without it.",
        ),
        derived("unit", Kind::Word(UNITS), "that of the file", "The unit of its temperatures."),
        optional("outdoor", Kind::Text, "The column of outdoor air; the weather's without it."),
        optional("radiation", Kind::Text, "The column of radiation on the horizontal, W/m2."),
        optional(
            "electricity",
            Kind::OneOrMore(&Kind::Either(&[Kind::Block(METER), Kind::Text])),
            "The columns of electric power, W, or of meters that count; they are added up.",
        ),
        required("zones", Kind::ByName(&Kind::Block(LOG_ZONE)), "The points of each zone."),
    ],
};

/// Where and how the times stand.
const TIME: &Block = &Block {
    name: "log_time",
    doc: "Where and how the times of a log stand.",
    keys: &[
        or(
            "column",
            Kind::OneOrMore(&Kind::Text),
            "time",
            "The column of the times, or several, as of date and time, put together with a space.",
        ),
        or(
            "format",
            Kind::Text,
            "iso",
            "How they are written: iso for 2025-04-16 08:40, or letters as %d.%m.%Y %H:%M.",
        ),
        optional("year", Kind::Whole(ranges::LOG_YEAR), "The year, where the times have none."),
        or(
            "clock",
            Kind::Word(&["standard", "local", "utc"]),
            "standard",
            "standard time; local: what clocks show, with the calendar's daylight saving; or utc.",
        ),
    ],
};

/// Electric power or energy.
const METER: &Block = &Block {
    name: "log_meter",
    doc: "A column of electricity.",
    keys: &[COLUMN, or("counts", Kind::YesNo, "false", "Whether it counts kWh; else it reads W.")],
};

const COLUMN: Key = required("column", Kind::Text, "The column, or the point of a long log.");

/// The points of a zone.
const LOG_ZONE: &Block = &Block {
    name: "log_zone",
    doc: "The columns of a zone; in a long log, the names of its points.",
    keys: &[
        required("temperature", Kind::Text, "Its temperature."),
        optional(
            "others",
            Kind::ByName(&Kind::Text),
            "Further sensors by name: which one governs is asked of the log.",
        ),
        optional("heat", Kind::Text, "Its heat setpoint."),
        optional("cool", Kind::Text, "Its cool setpoint."),
        optional(
            "mode",
            Kind::Either(&[Kind::Block(MODE_COLUMN), Kind::Text]),
            "Its mode: a column with these words, or with others that `values` explains.",
        ),
        optional(
            "power",
            Kind::Either(&[Kind::Block(POWER_COLUMN), Kind::Text]),
            "Its power: a column of on and off, or of others that `values` explains.",
        ),
        optional(
            "running",
            Kind::Either(&[Kind::Block(RUNNING_COLUMN), Kind::Text]),
            "Whether its unit runs: none, running, heating or cooling.",
        ),
        optional(
            "output",
            Kind::Either(&[Kind::Block(OUTPUT_COLUMN), Kind::Text]),
            "Its output, percent, or up to what `full` says.",
        ),
        optional(
            "coil",
            Kind::Text,
            "The temperature of a pipe or of the supply air: tells whether and how the unit runs, \
             where that is not recorded.",
        ),
        optional("events", Kind::Text, "Words that are kept and shown at their time."),
        optional("people", Kind::Text, "How many people are there."),
        optional(
            "occupied",
            Kind::Either(&[Kind::Block(OCCUPIED_COLUMN), Kind::Text]),
            "Whether anybody is: yes or no.",
        ),
    ],
};

/// What stands in a column, and what it means.
const fn values(kind: &'static Kind) -> Key {
    required("values", Kind::ByWord(kind), "What stands there, and what each of it means.")
}

const MODE_COLUMN: &Block = &Block {
    name: "log_mode",
    doc: "A column of modes.",
    keys: &[COLUMN, values(&Kind::Word(MODES))],
};

const POWER_COLUMN: &Block = &Block {
    name: "log_power",
    doc: "A column of the power.",
    keys: &[COLUMN, values(&Kind::OnOff)],
};

const RUNNING_COLUMN: &Block = &Block {
    name: "log_running",
    doc: "A column that tells whether the unit runs.",
    keys: &[COLUMN, values(&Kind::Word(&["none", "running", "heating", "cooling"]))],
};

const OCCUPIED_COLUMN: &Block = &Block {
    name: "log_occupied",
    doc: "A column that tells whether anybody is there.",
    keys: &[COLUMN, values(&Kind::Word(&["yes", "no"]))],
};

const OUTPUT_COLUMN: &Block = &Block {
    name: "log_output",
    doc: "A column of the output.",
    keys: &[
        COLUMN,
        or("full", Kind::Number(ranges::FULL_OUTPUT), "100", "What stands there at full output."),
    ],
};
