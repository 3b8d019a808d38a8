//! Sheets filled in with what controllers on a bench read, for `infer` and `register`.

use setband::control::Direction;
use setband::engine::Model;
use setband::report::{Sheeted, sheet_csv};
use setband::study::sheet::{Bench, Reading, Sheet};

/// A table with its comments before and behind it.
pub(crate) struct Table {
    before: Vec<String>,
    pub(crate) names: Vec<String>,
    pub(crate) rows: Vec<Vec<String>>,
    behind: Vec<String>,
}

impl Table {
    /// Of a text.
    pub(crate) fn of(text: &str) -> Self {
        let is_comment = |line: &&str| line.starts_with('#');
        let before: Vec<String> =
            text.lines().take_while(is_comment).map(ToOwned::to_owned).collect();
        let behind = text.lines().skip(before.len()).filter(is_comment).map(ToOwned::to_owned);
        let body: Vec<&str> = text.lines().filter(|line| !is_comment(line)).collect();
        let body = body.join("\n");
        let mut reader = csv::Reader::from_reader(body.as_bytes());
        let cells = |row: &csv::StringRecord| row.iter().map(ToOwned::to_owned).collect();
        let names = cells(reader.headers().expect("a head"));
        let rows = reader.records().map(|row| cells(&row.expect("a row"))).collect();
        Self { before, names, rows, behind: behind.collect() }
    }

    /// The sheet of a model, not filled in.
    pub(crate) fn blank(sheeted: &Sheeted<'_>) -> Self {
        Self::of(&String::from_utf8(sheet_csv(sheeted).expect("a table")).expect("text"))
    }

    /// Writes a cell.
    pub(crate) fn put(&mut self, row: usize, column: &str, text: &str) {
        let at = self.names.iter().position(|it| it == column).expect("a column");
        text.clone_into(&mut self.rows[row][at]);
    }

    /// Reads a cell.
    pub(crate) fn cell(&self, row: usize, column: &str) -> &str {
        let at = self.names.iter().position(|it| it == column).expect("a column");
        &self.rows[row][at]
    }

    /// Fills in every row with what a device reads.
    pub(crate) fn read(&mut self, sheet: &Sheet, device: &Model) {
        let bench = Bench::new(device, &sheet.rooms).expect("a bench");
        let mut rig = bench.rig();
        for (row, step) in sheet.steps.iter().enumerate() {
            let read = rig.perform(step.place, &step.deed);
            for (name, value) in columns(&read) {
                self.put(row, name, &value);
            }
        }
    }

    /// The text.
    pub(crate) fn text(&self) -> String {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(&self.names).expect("written");
        for row in &self.rows {
            writer.write_record(row).expect("written");
        }
        let body = String::from_utf8(writer.into_inner().expect("all")).expect("text");
        let lines =
            |all: &[String]| all.iter().flat_map(|line| [line.as_str(), "\n"]).collect::<String>();
        lines(&self.before) + &body + &lines(&self.behind)
    }
}

/// What is read, by its column.
pub(crate) fn columns(read: &Reading) -> [(&'static str, String); 6] {
    [
        ("read_heat", read.heat.to_string()),
        ("read_cool", read.cool.to_string()),
        ("read_mode", read.mode.name().into()),
        ("read_power", read.power.name().into()),
        ("read_running", read.running.map_or("none", Direction::name).into()),
        ("read_refused", read.refused.map_or("", |it| if it { "yes" } else { "no" }).into()),
    ]
}
