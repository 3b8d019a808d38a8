//! Reads the table of a record; all that is wrong with it is found at once.

use super::record::{By, Done, Record, Row, Seen, TableFault, ZoneRecord};
use super::{
    ACTION, CLOCK, CONTROLLER, DATE, FIELDS, LEAVE, LINE, LOOK, NO, NOT_RUNNING, OK, OUTDOORS,
    PART, POWER_FAILURE, REMARKS, RESTORE, RETURN, TESTER, TIMES, TITLE, UNIT, WAITING,
    WINDOW_CLOSED, WINDOW_OPEN, YES, ZONE, claims, stated,
};
use crate::control::{Direction, Key, Mode, Power};
use crate::settings::controls::{MIN_DEADBAND, SHOWN_UNIT};
use crate::study::cells::{Separator, as_written};
use crate::units::{TemperatureUnit, parse_number};

/// A table larger than this is none that somebody filled in, rows.
const MOST_ROWS: usize = 10_000;
/// No key is pressed more often in one row: from 5 to 40 C in steps of 0.1 C it takes so many.
const MOST_TIMES: u32 = 350;
/// What a display may read, in C and F: limits of controllers, with room to spare. Common practice, no
/// source.
const DISPLAYED: [[f64; 2]; 2] = [[0.0, 50.0], [32.0, 122.0]];
/// Controllers of a zone (rule 7).
const MOST_CONTROLLERS: usize = 2;

/// Reads a table.
///
/// # Errors
/// Everything that is wrong with it.
pub fn read_record(text: &str) -> Result<Record, Vec<TableFault>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let mut reader = Reader {
        record: Record::empty(TemperatureUnit::Celsius),
        faults: Vec::new(),
        columns: Vec::new(),
        stated: Vec::new(),
        separator: Separator::default(),
    };
    reader.comments(text);
    reader.table(text);
    reader.finish()
}

/// A setting as it is meant to be.
struct Stated {
    line: u64,
    zone: String,
    key: String,
    value: String,
}

struct Reader {
    record: Record,
    faults: Vec<TableFault>,
    columns: Vec<String>,
    /// What is stated, line by line.
    stated: Vec<Stated>,
    /// What parts the cells.
    separator: Separator,
}

impl Reader {
    fn fault(&mut self, line: u64, column: usize, what: String, help: &str) {
        self.faults.push(TableFault { line, column, what, help: help.to_owned() });
    }

    /// Lines that begin with `#`: spreadsheets may have put them in quotes and commas behind.
    fn comments(&mut self, text: &str) {
        for (line, text) in (1..).zip(text.lines()) {
            let Some(rest) = comment(text) else { continue };
            if let Some(title) = rest.strip_prefix(TITLE) {
                title.trim().clone_into(&mut self.record.title);
                continue;
            }
            let Some((path, value)) = rest.split_once('=') else { continue };
            let (path, value) = (path.trim(), value.trim());
            if path == UNIT {
                match value {
                    "C" => self.record.unit = TemperatureUnit::Celsius,
                    "F" => self.record.unit = TemperatureUnit::Fahrenheit,
                    _ => self.fault(
                        line,
                        0,
                        format!("`{value}` is no temperature unit"),
                        "write C or F",
                    ),
                }
            } else if let Some((zone, key)) =
                path.strip_prefix("zones.").and_then(|rest| rest.split_once('.'))
            {
                let [zone, key, value] = [zone, key, value].map(str::to_owned);
                self.stated.push(Stated { line, zone, key, value });
            } else if !claims::take((path, value), line, &mut self.record, &mut self.faults) {
                self.fault(
                    line,
                    0,
                    format!("`{path}` is no setting"),
                    &format!("write `# {UNIT} = C` or `# zones.ID.{} = 2`", MIN_DEADBAND.path),
                );
            }
        }
    }

    fn table(&mut self, text: &str) {
        // Comments are blanked, so that lines keep their numbers.
        let blanked: Vec<&str> =
            text.lines().map(|line| if comment(line).is_some() { "" } else { line }).collect();
        let skipped = blanked.iter().take_while(|line| line.trim().is_empty()).count() as u64;
        let body = blanked[usize::try_from(skipped).unwrap_or(0)..].join("\n");
        self.separator = Separator::of(body.lines().next().unwrap_or_default());
        let mut table = csv::ReaderBuilder::new()
            .flexible(true)
            .delimiter(self.separator.byte())
            .from_reader(body.as_bytes());
        let head = match table.headers() {
            Ok(head) if !body.is_empty() => head.clone(),
            _ => {
                self.fault(
                    1,
                    0,
                    "there is no table".into(),
                    "begin with a head line that names the columns, as in sheet.csv",
                );
                return;
            }
        };
        self.head(&head, skipped + 1);
        self.columns = head.iter().map(|name| name.trim().to_lowercase()).collect();
        if !self.columns.iter().any(|name| name == ACTION) {
            let help = "name the columns as in sheet.csv: action, times, read_heat, read_cool, ...";
            self.fault(skipped + 1, 0, "the head line has no column `action`".into(), help);
            return;
        }
        for (number, row) in table.records().enumerate() {
            if number >= MOST_ROWS {
                self.fault(0, 0, format!("more than {MOST_ROWS} rows"), "split the table");
                return;
            }
            match row {
                Ok(row) => {
                    let line = row.position().map_or(0, csv::Position::line) + skipped;
                    self.row(&row, line, number + 1);
                }
                Err(error) => {
                    let line = error.position().map_or(0, csv::Position::line) + skipped;
                    self.fault(
                        line,
                        0,
                        "this row is no CSV in UTF-8".into(),
                        "save the table as CSV, UTF-8",
                    );
                }
            }
        }
    }

    /// Names of columns that stand there twice, or that look as if they were to be read.
    fn head(&mut self, head: &csv::StringRecord, line: u64) {
        let names: Vec<String> = head.iter().map(|name| name.trim().to_lowercase()).collect();
        for (at, name) in names.iter().enumerate() {
            if let Some(fields) = ["read_", "expect_"].iter().find_map(|it| name.strip_prefix(it))
                && !FIELDS.contains(&fields)
            {
                let what = format!("`{name}` is no column");
                let help = "write heat, cool, mode, power, running or refused behind the `_`";
                self.fault(line, at + 1, what, help);
            }
            if !name.is_empty() && names[..at].contains(name) {
                let what = format!("the column `{name}` stands there twice");
                self.fault(line, at + 1, what, "leave one of them");
            }
        }
    }

    /// A cell, empty where the table has no such column; and its place.
    fn cell<'r>(&self, row: &'r csv::StringRecord, name: &str) -> (&'r str, usize) {
        let place = self.columns.iter().position(|column| column == name);
        place.map_or(("", 0), |at| (as_written(row.get(at).unwrap_or("").trim()), at + 1))
    }

    fn row(&mut self, row: &csv::StringRecord, line: u64, number: usize) {
        if row.iter().all(|cell| cell.trim().is_empty()) {
            return;
        }
        let named = |(text, _): (&str, usize), other: &str| {
            if text.is_empty() { other.to_owned() } else { text.to_owned() }
        };
        let own = named(self.cell(row, LINE), &number.to_string());
        let zone = named(self.cell(row, ZONE), "zone");
        let controller = named(self.cell(row, CONTROLLER), "main");
        let done = self.done(row, line);
        let expected = self.seen(row, line, "expect");
        let read = self.seen(row, line, "read");
        let read = self.as_expected(row, line, &expected, read);
        let text = |name: &str| self.cell(row, name).0.to_owned();
        let (shows, part) = (text("proves"), text(PART));
        let (tester, date, remarks) = (text(TESTER), text(DATE), text(REMARKS));
        let by = By { line, tester, date, remarks };
        let (cell, at) = self.cell(row, claims::SHOWS);
        let claims = claims::of_cell(cell).unwrap_or_else(|| {
            let what = "what this line shows cannot be read".to_owned();
            self.fault(line, at, what, "leave the cell as the sheet has it, or clear it");
            Vec::new()
        });
        let Some(done) = done else { return };
        let zone = self.zone(&zone);
        let known = zone.controllers.iter().position(|id| *id == controller);
        let controller = known.unwrap_or_else(|| {
            zone.controllers.push(controller);
            zone.controllers.len() - 1
        });
        if controller >= MOST_CONTROLLERS {
            let what = format!("`{}` is a third controller", zone.controllers[controller]);
            zone.controllers.truncate(MOST_CONTROLLERS);
            let at = self.cell(row, CONTROLLER).1;
            self.fault(line, at, what, "a zone has one or two controllers: name them alike");
            return;
        }
        zone.rows.push(Row {
            line: own,
            controller,
            done,
            expected,
            read,
            shows,
            claims,
            part,
            by,
        });
    }

    fn zone(&mut self, id: &str) -> &mut ZoneRecord {
        let zones = &mut self.record.zones;
        let at = zones.iter().position(|zone| zone.id == id).unwrap_or_else(|| {
            zones.push(ZoneRecord {
                id: id.to_owned(),
                controllers: Vec::new(),
                rows: Vec::new(),
                stated: Vec::new(),
            });
            zones.len() - 1
        });
        &mut zones[at]
    }

    fn done(&mut self, row: &csv::StringRecord, line: u64) -> Option<Done> {
        let (action, at) = self.cell(row, ACTION);
        let (times, times_at) = self.cell(row, TIMES);
        let action = action.to_lowercase();
        let count = match times {
            "" => Some(1),
            text => text.parse::<u32>().ok().filter(|count| (1..=MOST_TIMES).contains(count)),
        };
        let key = Key::ALL.into_iter().find(|key| key.name() == action);
        match (key, action.as_str()) {
            (Some(key), _) => {
                let Some(count) = count else {
                    let what = format!("`{times}` is no number of presses");
                    self.fault(
                        line,
                        times_at,
                        what,
                        "write a whole number from 1 to 350: more steps than these no setpoint has",
                    );
                    return None;
                };
                Some(Done::Pressed(key, count))
            }
            (None, LOOK) => Some(Done::Looked),
            (
                None,
                WAITING | POWER_FAILURE | LEAVE | RETURN | WINDOW_OPEN | WINDOW_CLOSED | OUTDOORS,
            ) => Some(Done::Nothing),
            // The schedule asks, whom no key lock refuses, or a technician.
            (None, CLOCK | RESTORE) => Some(Done::Set),
            _ => {
                let what = format!("`{action}` is no action");
                let help = "write warmer, cooler, mode, power, look, wait, restore, power_failure, \
                            leave, return, window_open, window_closed, outdoor_sensor or clock";
                self.fault(line, at, what, help);
                None
            }
        }
    }

    fn seen(&mut self, row: &csv::StringRecord, line: u64, prefix: &str) -> Seen {
        Seen {
            heat: self.number(row, line, &format!("{prefix}_heat")),
            cool: self.number(row, line, &format!("{prefix}_cool")),
            mode: self.word(
                row,
                line,
                &format!("{prefix}_mode"),
                &Mode::ALL.map(|it| (it.name(), it)),
            ),
            power: self.word(
                row,
                line,
                &format!("{prefix}_power"),
                &[Power::On, Power::Off].map(|it| (it.name(), it)),
            ),
            running: self.word(
                row,
                line,
                &format!("{prefix}_running"),
                &[
                    ("heating", Some(Direction::Heating)),
                    ("cooling", Some(Direction::Cooling)),
                    (NOT_RUNNING, None),
                ],
            ),
            refused: self.word(
                row,
                line,
                &format!("{prefix}_refused"),
                &[(YES, true), (NO, false)],
            ),
        }
    }

    /// What was read where the line is said to be ok, and nothing else is written.
    fn as_expected(
        &mut self,
        row: &csv::StringRecord,
        line: u64,
        expected: &Seen,
        read: Seen,
    ) -> Seen {
        let (text, at) = self.cell(row, OK);
        let says = |words: &[&str]| words.iter().any(|word| word.eq_ignore_ascii_case(text));
        let empty = read.is_empty();
        if text.is_empty() {
            return read;
        }
        if says(&["ok", "x", "yes", "true", "1", "\u{2713}", "\u{2714}"]) {
            return if empty { *expected } else { read };
        }
        if !says(&["no", "false", "0", "-"]) {
            let what = format!("`{text}` is not to be had in {OK}");
            self.fault(line, at, what, "write ok or no, or nothing");
        } else if empty {
            let what = "this line is not ok, and nothing says what was read".to_owned();
            self.fault(line, at, what, "write what the display showed under read_");
        }
        read
    }

    fn number(&mut self, row: &csv::StringRecord, line: u64, name: &str) -> Option<f64> {
        let (text, at) = self.cell(row, name);
        if text.is_empty() {
            return None;
        }
        let Some(value) = parse_number(&self.separator.pointed(text)) else {
            let what = format!("`{text}` in {name} is no temperature");
            self.fault(line, at, what, "write the number on the display, with a point: 21.5");
            return None;
        };
        // A display may show the other unit.
        let own = DISPLAYED[self.record.unit as usize];
        let may_show_other = self.stated.iter().any(|it| it.key == SHOWN_UNIT.path);
        let [low, high] = if may_show_other { [DISPLAYED[0][0], DISPLAYED[1][1]] } else { own };
        if !(low..=high).contains(&value) {
            let what = format!("no display of a room reads {text}, as {name} has it");
            self.fault(line, at, what, &format!("from {low} to {high} is possible"));
            return None;
        }
        Some(value)
    }

    fn word<T: Copy>(
        &mut self,
        row: &csv::StringRecord,
        line: u64,
        name: &str,
        words: &[(&str, T)],
    ) -> Option<T> {
        let (text, at) = self.cell(row, name);
        if text.is_empty() {
            return None;
        }
        let found = words.iter().find(|(word, _)| word.eq_ignore_ascii_case(text));
        if found.is_none() {
            let all: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            let what = format!("`{text}` is not to be had in {name}");
            self.fault(line, at, what, &format!("write {}, or nothing", all.join(", ")));
        }
        found.map(|(_, value)| *value)
    }

    fn finish(mut self) -> Result<Record, Vec<TableFault>> {
        for Stated { line, zone, key, value } in std::mem::take(&mut self.stated) {
            if let Some((what, help)) = stated::fault(&key, &value, self.record.unit) {
                self.fault(line, 0, what, &help);
            } else if let Some(record) = self.record.zones.iter_mut().find(|it| it.id == zone) {
                record.stated.push((key, value));
            }
        }
        if self.faults.is_empty() && self.record.zones.is_empty() {
            self.fault(0, 0, "the table has no rows".into(), "fill in at least one row");
        }
        self.faults.sort_by_key(|fault| (fault.line, fault.column));
        if self.faults.is_empty() { Ok(self.record) } else { Err(self.faults) }
    }
}

/// What stands behind the `#` of a comment, without what a spreadsheet has put around it.
fn comment(line: &str) -> Option<&str> {
    let rest = line.trim_start_matches('"').strip_prefix('#')?;
    Some(rest.trim_end().trim_end_matches([',', ';']).trim_end_matches('"').trim())
}
