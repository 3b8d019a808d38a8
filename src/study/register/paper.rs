//! One paper: a filled sheet, with what it shows and by which lines.

use std::collections::HashMap;

use jiff::civil::Date;

use super::seen::{Event, Shows, Witnessed};
use crate::study::infer::{Failed, ZoneInference, failed_row, infer};
use crate::study::sheet_csv::{NotShown, PutOff, Record, Row, TableFault, ZoneRecord, read_record};
use crate::units::TemperatureUnit;

/// What kind of paper it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PaperKind {
    /// A sheet of presses and readings.
    Sheet,
    /// A table of settings as they were found and left.
    Table,
}

/// A line that reads otherwise than expected.
#[derive(Clone, Debug, PartialEq)]
pub struct FailedLine {
    /// In which zone.
    pub zone: String,
    /// What was expected and what was read.
    pub failed: Failed,
    /// The settings and requirements that it shows.
    pub subjects: Vec<String>,
    /// When.
    pub(super) date: Date,
    /// By whom.
    pub(super) tester: String,
}

/// A line that was read whole and as expected.
#[derive(Clone, Debug, PartialEq)]
struct Good {
    zone: String,
    part: String,
    shows: String,
    line: String,
    date: Date,
    tester: String,
}

/// A filled sheet or table.
#[derive(Clone, Debug)]
pub struct Paper {
    /// The name of its file.
    pub name: String,
    /// What it is.
    pub kind: PaperKind,
    /// Its title; often empty.
    pub title: String,
    /// The unit of its temperatures.
    pub unit: TemperatureUnit,
    /// How many lines or cells are as they are to be.
    pub good: usize,
    /// How many were not read, or not whole.
    pub unread: usize,
    /// Lines of a sheet that are otherwise.
    pub failed: Vec<FailedLine>,
    /// How many cells of a table are otherwise.
    pub otherwise: usize,
    /// Who worked on it.
    pub testers: Vec<String>,
    /// The first and the last day of it.
    pub days: Option<(Date, Date)>,
    /// What its readings say of settings, where lines failed.
    pub inferred: Vec<ZoneInference>,
    pub(super) subjects: Vec<(String, String)>,
    pub(super) events: Vec<Event>,
    pub(super) not_shown: Vec<NotShown>,
    pub(super) put_off: Vec<PutOff>,
    good_lines: Vec<Good>,
}

/// A line with what was read, and when.
struct Line<'r> {
    zone: &'r ZoneRecord,
    row: &'r Row,
    date: Date,
    tester: &'r str,
}

impl Line<'_> {
    fn is_good(&self) -> bool {
        let Row { read, expected, .. } = self.row;
        read.covers(expected) && failed_row(self.row).is_none()
    }
}

impl Paper {
    /// Nothing of a kind yet.
    pub(super) fn empty(name: &str, kind: PaperKind) -> Self {
        Self {
            name: name.to_owned(),
            kind,
            title: String::new(),
            unit: TemperatureUnit::Celsius,
            good: 0,
            unread: 0,
            failed: Vec::new(),
            otherwise: 0,
            testers: Vec::new(),
            days: None,
            inferred: Vec::new(),
            subjects: Vec::new(),
            events: Vec::new(),
            not_shown: Vec::new(),
            put_off: Vec::new(),
            good_lines: Vec::new(),
        }
    }

    /// Reads a filled sheet. Who and when may stand in the first line of a day alone.
    ///
    /// # Errors
    /// Everything that is wrong with it; a line that was read has to have a day.
    pub fn of_sheet(name: &str, text: &str) -> Result<Self, Vec<TableFault>> {
        let record = read_record(text)?;
        let lines = dated(&record)?;
        let mut paper = Self::empty(name, PaperKind::Sheet);
        paper.title.clone_from(&record.title);
        paper.unit = record.unit;
        for line in &lines {
            paper.day(line.date, line.tester);
            paper.line(line);
        }
        let of = record.zones.iter().flat_map(|zone| &zone.rows);
        let asked = of.filter(|row| !row.expected.is_empty()).count();
        paper.unread = asked.saturating_sub(paper.good + paper.failed.len());
        paper.shown(&record, &lines);
        if !paper.failed.is_empty() {
            paper.inferred = infer(&record)?;
        }
        paper.not_shown.clone_from(&record.not_shown);
        paper.put_off.clone_from(&record.put_off);
        Ok(paper)
    }

    /// Notes a day and who worked then.
    pub(super) fn day(&mut self, date: Date, tester: &str) {
        let (first, last) = self.days.unwrap_or((date, date));
        self.days = Some((first.min(date), last.max(date)));
        if !tester.is_empty() && !self.testers.iter().any(|known| known == tester) {
            self.testers.push(tester.to_owned());
        }
    }

    fn line(&mut self, line: &Line<'_>) {
        let row = line.row;
        let (zone, date, tester) = (line.zone.id.clone(), line.date, line.tester.to_owned());
        if let Some(failed) = failed_row(row) {
            let subjects = row.claims.iter().map(|claim| claim.subject.clone()).collect();
            self.failed.push(FailedLine { zone, failed, subjects, date, tester });
        } else if line.is_good() && !row.expected.is_empty() {
            self.good += 1;
            let (part, shows) = (row.part.clone(), row.shows.clone());
            let line = row.line.clone();
            self.good_lines.push(Good { zone, part, shows, line, date, tester });
        }
    }

    /// What the lines show together: a subject holds where all its lines were read whole and as
    /// expected.
    fn shown(&mut self, record: &Record, lines: &[Line<'_>]) {
        let mut rows: Vec<(&Row, Option<&Line<'_>>)> = Vec::new();
        for row in record.zones.iter().flat_map(|zone| &zone.rows) {
            rows.push((row, lines.iter().find(|line| std::ptr::eq(line.row, row))));
        }
        rows.sort_by_key(|(row, _)| row.by.line);
        let mut places: HashMap<&str, usize> = HashMap::new();
        let mut own: Vec<Vec<(&Row, Option<&Line<'_>>)>> = Vec::new();
        for (row, line) in rows {
            for claim in &row.claims {
                let at = *places.entry(claim.subject.as_str()).or_insert_with(|| {
                    self.subjects.push((claim.subject.clone(), claim.value.clone()));
                    own.push(Vec::new());
                    own.len() - 1
                });
                own[at].push((row, line));
            }
        }
        for (at, of) in own.iter().enumerate() {
            let (subject, value) = self.subjects[at].clone();
            let read: Vec<&Line<'_>> = of.iter().filter_map(|(_, line)| *line).collect();
            let Some(latest) = read.iter().max_by_key(|line| line.date) else { continue };
            let failed: Vec<&&Line<'_>> =
                read.iter().filter(|line| failed_row(line.row).is_some()).collect();
            let good: Vec<&&Line<'_>> = read.iter().filter(|line| line.is_good()).collect();
            let numbers =
                |all: &[&&Line<'_>]| all.iter().map(|line| line.row.line.clone()).collect();
            let hidden = record.not_shown.iter().find(|it| it.claim.subject == subject);
            let (outcome, lines) = match (failed.as_slice(), good.len() == of.len(), hidden) {
                ([], true, Some(it)) if !it.never => {
                    (Shows::InPart(it.why.clone()), numbers(&good))
                }
                ([], true, _) => (Shows::Holds, numbers(&good)),
                ([], false, _) if good.is_empty() => continue,
                ([], false, _) => {
                    let why = format!("{} of its {} lines were read", good.len(), of.len());
                    (Shows::InPart(why), numbers(&good))
                }
                (failed, ..) => (Shows::Fails, numbers(failed)),
            };
            let (date, tester) = (latest.date, latest.tester.to_owned());
            self.events.push(Event { subject, value, date, tester, lines, outcome });
        }
    }

    /// Something of this paper, as the register tells it.
    pub(super) fn witnessed(&self, date: Date, tester: &str, lines: Vec<String>) -> Witnessed {
        Witnessed { date, tester: tester.to_owned(), paper: self.name.clone(), lines }
    }

    /// Where the same line as one of another paper was read as expected, on no earlier day.
    pub(super) fn good_again(&self, line: &FailedLine, paper: &str) -> Option<Witnessed> {
        let again = |it: &&Good| {
            it.zone == line.zone && it.shows == line.failed.shows && it.date >= line.date
        };
        let found = self.good_lines.iter().find(again).filter(|_| self.name != paper)?;
        Some(self.witnessed(found.date, &found.tester, vec![found.line.clone()]))
    }

    /// Whether a part of a zone's test was read here as expected.
    pub(super) fn has_tested(&self, zone: &str, part: &str) -> bool {
        self.good_lines.iter().any(|it| it.zone == zone && it.part == part)
    }
}

/// The lines that were read, in the order of the file, each with its day.
fn dated(record: &Record) -> Result<Vec<Line<'_>>, Vec<TableFault>> {
    let mut rows: Vec<(&ZoneRecord, &Row)> =
        record.zones.iter().flat_map(|zone| zone.rows.iter().map(move |row| (zone, row))).collect();
    rows.sort_by_key(|(_, row)| row.by.line);
    let (mut lines, mut faults) = (Vec::new(), Vec::new());
    let (mut day, mut who) = (None, "");
    for (zone, row) in rows {
        let mut fault = |what: String| {
            let help = "write the day as in 2026-04-02, at least in the first line of each day";
            faults.push(TableFault { line: row.by.line, column: 0, what, help: help.into() });
        };
        if !row.by.tester.is_empty() {
            who = &row.by.tester;
        }
        if !row.by.date.is_empty() {
            match row.by.date.parse::<Date>() {
                Ok(date) => day = Some(date),
                Err(_) => fault(format!("`{}` is no day", row.by.date)),
            }
        }
        if row.read.is_empty() {
            continue;
        }
        match day {
            Some(date) => lines.push(Line { zone, row, date, tester: who }),
            None if row.by.date.is_empty() => {
                fault("nothing says on which day this line was read".into());
                // Once is enough.
                break;
            }
            None => {}
        }
    }
    if faults.is_empty() { Ok(lines) } else { Err(faults) }
}
