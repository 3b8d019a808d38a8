//! `sheet.csv`: the test sheet as a table to fill in, and the filled table read again.
//!
//! Lines that begin with `#` carry settings as they are meant to be: `# temperature = C`,
//! `# zones.hall.controls.min_deadband = 2`. The table has a head line; its columns may stand in
//! any order, and all but `action` may be left out:
//!
//! | column | holds |
//! | --- | --- |
//! | `line` | a number of its own, for messages; the row's place without it |
//! | `part`, `proves` | what the line is about, in words |
//! | `zone`, `controller` | where; the zone `zone` and the controller `main` where empty |
//! | `action` | `warmer`, `cooler`, `mode`, `power`, `look`, `wait`, `restore`, `power_failure`, `leave`, `return` |
//! | `times` | how often the key was pressed; once where empty |
//! | `wait_s` | how long to wait, s; counted from the line before of the same zone or of the zones that share its outdoor unit |
//! | `expect_heat`, `expect_cool` | setpoints as they must be displayed |
//! | `expect_mode`, `expect_power` | `heat`, `cool`, `auto`, `dry`, `fan`; `on`, `off` |
//! | `expect_running` | `heating`, `cooling`, `none` |
//! | `expect_refused` | `yes` where the display says that the key is locked |
//! | `read_...` | the same, as they were read |
//! | `ok` | `ok`, `x` or `yes` where everything read is as expected: then nothing else need be written |
//! | `shows` | settings and requirements that the line shows, as `PATH = VALUE`, with bars between |
//! | `tester`, `date`, `remarks` | who, when, what else |
//!
//! Behind the table further lines that begin with `#` say which settings no line shows
//! (`# not_shown.PATH = VALUE | WHY`, `# never_shown...` where no visit does) and what has to wait for other weather
//! (`# deferred.ZONE = PART | NEED | WHY`).
//!
//! Cells may be parted by semicolons; numbers may then have decimal commas. What is empty was not read. Other columns are passed over.
//!
//! ```
//! use setband::study::sheet_csv::read_record;
//!
//! let faults = read_record("action,times\nwarmer,often\n").unwrap_err();
//! assert_eq!(faults[0].line, 2);
//! ```

mod claims;
mod read;
mod record;
mod stated;
mod write;

pub use claims::REQUIREMENT;
pub use read::read_record;
pub use record::{
    By, Claim, Done, Need, NotShown, PutOff, Record, Row, Seen, TableFault, ZoneRecord,
};
pub(in crate::study) use stated::{MODE_OWNER, lock_key};
pub use write::{Behind, Words, write};

/// The columns, in the order in which they are written.
pub const COLUMNS: [&str; 25] = [
    LINE,
    PART,
    ZONE,
    CONTROLLER,
    ACTION,
    TIMES,
    WAIT,
    "expect_heat",
    "expect_cool",
    "expect_mode",
    "expect_power",
    "expect_running",
    "expect_refused",
    "read_heat",
    "read_cool",
    "read_mode",
    "read_power",
    "read_running",
    "read_refused",
    OK,
    "proves",
    claims::SHOWS,
    TESTER,
    DATE,
    REMARKS,
];
const TESTER: &str = "tester";
const DATE: &str = "date";
const REMARKS: &str = "remarks";
const LINE: &str = "line";
const OK: &str = "ok";
const PART: &str = "part";
const ZONE: &str = "zone";
const CONTROLLER: &str = "controller";
const ACTION: &str = "action";
const TIMES: &str = "times";
const WAIT: &str = "wait_s";
/// What is expected, and what was read, behind `expect_` and `read_`.
const FIELDS: [&str; 6] = ["heat", "cool", "mode", "power", "running", "refused"];
/// Actions that are no keys.
const LOOK: &str = "look";
const WAITING: &str = "wait";
const RESTORE: &str = "restore";
const POWER_FAILURE: &str = "power_failure";
const LEAVE: &str = "leave";
const RETURN: &str = "return";
const WINDOW_OPEN: &str = "window_open";
const WINDOW_CLOSED: &str = "window_closed";
const OUTDOORS: &str = "outdoor_sensor";
const CLOCK: &str = "clock";
/// Neither heating nor cooling.
const NOT_RUNNING: &str = "none";
const YES: &str = "yes";
const NO: &str = "no";
/// How the line with the sheet's title begins, which may hold anything.
const TITLE: &str = "setband sheet:";
/// Where the unit of the settings is stated.
const UNIT: &str = "temperature";

#[cfg(test)]
mod tests {
    use super::{COLUMNS, FIELDS};

    #[test]
    fn what_is_expected_and_what_is_read_have_the_same_columns() {
        for (start, column) in [("expect_", 7), ("read_", 13)] {
            let names: Vec<String> = FIELDS.iter().map(|it| format!("{start}{it}")).collect();
            assert_eq!(COLUMNS[column..column + FIELDS.len()], names);
        }
    }
}
