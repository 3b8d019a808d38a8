//! `setband settings`: the table of many zones written, read back and compared.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use setband::study::settings_table::columns;
use tempfile::TempDir;

const FILE: &str = "# An invented school wing.
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    label: Hall
    space: {floor: 60 m2}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls:
      heat: 20   # as agreed
      cool: 24
      min_deadband: 2
      limits: {heat: [17, 22], cool: [20, 26]}
      controllers:
        - {id: desk, primary: true}
        - {id: door, key_locks: {keys: [mode], in_force: true}}
  attic:
    space: {floor: 20 m2}
    unit: {heating: 2 kW, cooling: 2 kW}
    controls: {heat: 19.5, cool: 24}
";

struct Place {
    folder: TempDir,
}

impl Place {
    fn new() -> Self {
        let place = Self { folder: TempDir::new().expect("a folder") };
        place.write("wing.yaml", FILE);
        place
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.path(name), text).expect("written");
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).expect("a text")
    }

    fn run(&self, arguments: &[&str]) -> Output {
        let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
        command.current_dir(&self.folder).arg("settings").args(arguments).output().expect("runs")
    }

    fn done(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        let error = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(0), "{arguments:?}: {error}");
        String::from_utf8(output.stdout).expect("text")
    }

    fn refused(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty());
        String::from_utf8(output.stderr).expect("text")
    }

    /// The table as CSV with some cells changed, each by its row (from 0 below the heads) and key.
    fn changed(&self, name: &str, cells: &[(usize, &str, &str)]) {
        self.done(&["wing.yaml", "--out", "table.csv"]);
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_path(self.path("table.csv"))
            .expect("a table");
        let mut rows: Vec<Vec<String>> = reader
            .records()
            .map(|row| row.expect("a row").iter().map(ToOwned::to_owned).collect())
            .collect();
        for (row, key, value) in cells {
            let column = rows[1].iter().position(|it| it == key).expect("a column");
            (*value).clone_into(&mut rows[row + 2][column]);
        }
        let mut writer = csv::Writer::from_path(self.path(name)).expect("a file");
        for row in &rows {
            writer.write_record(row).expect("written");
        }
        writer.flush().expect("written");
    }
}

#[test]
fn a_table_that_nobody_changed_gives_the_same_file_back() {
    let place = Place::new();
    for (table, sheet) in [("t.xlsx", "specified"), ("t.xlsx", "found"), ("t.csv", "specified")] {
        place.done(&["wing.yaml", "--out", table]);
        let said =
            place.done(&["wing.yaml", "--apply", table, "--sheet", sheet, "--out", "again.yaml"]);
        assert!(said.starts_with("No value of the table differs"), "{said}");
        assert_eq!(place.read("again.yaml"), FILE, "{table} {sheet}");
    }
    assert!(place.done(&["wing.yaml"]).contains("settings.xlsx"));
}

#[test]
fn every_shipped_scenario_comes_back_as_it_was() {
    let place = Place::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let mut tried = 0;
    for entry in fs::read_dir(&folder).expect("scenarios").flatten() {
        let path = entry.path();
        if path.extension().is_none_or(|it| it != "yaml") {
            continue;
        }
        let file = path.to_str().expect("a name");
        place.done(&[file, "--out", "t.xlsx"]);
        // Beside the scenario's own companions nothing is written.
        let said = place.done(&[file, "--apply", "t.xlsx", "--out", "again.yaml"]);
        assert!(said.starts_with("No value of the table differs"), "{file}: {said}");
        assert_eq!(place.read("again.yaml"), fs::read_to_string(&path).expect("text"), "{file}");
        tried += 1;
    }
    assert!(tried >= 19, "{tried}");
}

#[test]
fn changed_cells_are_written_and_comments_stay() {
    let place = Place::new();
    place.changed(
        "found.csv",
        &[
            (0, "controls.heat", "20.5"),
            (0, "controls.limits.heat.high", "23"),
            (0, "controls.changeover_delay", "12"),
            (0, "controls.on_conflict", "hold"),
            (1, "controls.controllers[].key_locks.keys", "mode power"),
            (2, "controls.locked_modes", "fan"),
            (2, "controls.controllers[].key_locks.keys", "setpoint"),
            (2, "controls.controllers[].key_locks.in_force", "true"),
            (2, "unit.heating", "2500"),
        ],
    );
    let said = place.done(&["wing.yaml", "--apply", "found.csv", "--out", "found.yaml"]);
    assert!(said.starts_with("9 values changed"), "{said}");
    assert!(said.contains("Heat setpoint: 20 becomes 20.5 (hall)"), "{said}");
    let text = place.read("found.yaml");
    for line in [
        "# An invented school wing.",
        "      heat: 20.5   # as agreed",
        "limits: {heat: [17, 23], cool: [20, 26]}",
        "changeover_delay: 12 min",
        "on_conflict: hold",
        "{id: door, key_locks: {in_force: true, keys: [mode, power]}}",
        "heating: 2500 W",
        "locked_modes: [fan]",
        "key_locks: {in_force: true, keys: [setpoint]}",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
    // What was written is what a table of it says, and nothing else differs.
    let output = place.run(&["--diff", "wing.yaml", "found.yaml"]);
    assert_eq!(output.status.code(), Some(1));
    let told = String::from_utf8(output.stdout).expect("text");
    assert!(told.starts_with("9 differences"), "{told}");
    assert!(
        told.contains("Heat limits, highest (controls.limits.heat.high): 22 and 23: hall"),
        "{told}"
    );
    let same = place.run(&["--diff", "found.yaml", "found.csv"]);
    assert_eq!(same.status.code(), Some(0), "{}", String::from_utf8_lossy(&same.stdout));
}

#[test]
fn everything_wrong_is_named_at_once_with_its_cell() {
    let place = Place::new();
    place.write(
        "bad.csv",
        "Zone,Controller,a,b,c\nzone,controller,controls.heat,controls.mood,controls.power\n\
         hall,desk,warm,1,on\nhall,lift,20,1,on\ncellar,,20,1,on\n",
    );
    let said = place.refused(&["wing.yaml", "--apply", "bad.csv"]);
    for words in ["`controls.mood` is no setting", "cell D2", "cell C3", "cell A4", "cell A5"] {
        assert!(said.contains(words), "{words}: {said}");
    }
    place.write(
        "bad.csv",
        "zone,controller,controls.heat,controls.power\nhall,desk,warm,maybe\nhall,lift,20,on\n\
         cellar,,20,on\n",
    );
    let said = place.refused(&["wing.yaml", "--apply", "bad.csv"]);
    for words in [
        "cell C2",
        "cell D2",
        "cell A3",
        "no controller `lift`",
        "cell A4",
        "no zone `cellar`",
        "4 faults",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    // What several values say together is told at one of their cells.
    place.changed("bad.csv", &[(0, "controls.heat", "20.3"), (2, "controls.min_deadband", "9")]);
    let said = place.refused(&["wing.yaml", "--apply", "bad.csv"]);
    assert!(
        said.contains("no whole number of steps") && said.contains("min_deadband is 9"),
        "{said}"
    );
    assert!(!place.path("out").join("wing").join("wing.yaml").exists());
}

#[test]
fn hostile_tables_are_refused() {
    let place = Place::new();
    let mut far = rust_xlsxwriter::Workbook::new();
    far.add_worksheet()
        .set_name("specified")
        .expect("a name")
        .write_number(1_048_575, 16_383, 1.0)
        .expect("a cell");
    fs::write(place.path("far.xlsx"), far.save_to_buffer().expect("bytes")).expect("written");
    fs::write(place.path("noise.xlsx"), [0x50, 0x4b, 3, 4, 255, 0, 7]).expect("written");
    fs::write(place.path("noise.csv"), [255, 254, 0, 7]).expect("written");
    place.write("empty.csv", "");
    place.write("twice.csv", "zone,controls.heat,controls.heat\nhall,20,21\nhall,20,21\n");
    fs::write(place.path("bomb.xlsx"), bomb()).expect("written");
    let said = place.refused(&["wing.yaml", "--apply", "bomb.xlsx"]);
    assert!(said.contains("unpacks to"), "{said}");
    for name in
        ["far.xlsx", "noise.xlsx", "noise.csv", "empty.csv", "twice.csv", "none.xlsx", "wing.yaml"]
    {
        let said = place.refused(&["wing.yaml", "--apply", name]);
        assert!(said.starts_with("error: "), "{name}: {said}");
    }
    let said = place.refused(&["wing.yaml", "--apply", "twice.csv"]);
    assert!(said.contains("stands there twice") && said.contains("row 2 already"), "{said}");
}

/// A workbook of some kilobytes whose sheet says that it unpacks to a gigabyte.
fn bomb() -> Vec<u8> {
    let mut far = rust_xlsxwriter::Workbook::new();
    far.add_worksheet().set_name("specified").expect("a name");
    let mut bytes = far.save_to_buffer().expect("bytes");
    // The sizes before packing stand 24 bytes behind the signature of each entry of the directory.
    let entries: Vec<usize> =
        (0..bytes.len() - 46).filter(|at| bytes[*at..].starts_with(b"PK\x01\x02")).collect();
    for at in entries {
        bytes[at + 24..at + 28].copy_from_slice(&(1_u32 << 30).to_le_bytes());
    }
    bytes
}

#[test]
fn a_zone_like_another_is_on_its_outdoor_unit() {
    let place = Place::new();
    let unit = "heating: [{outdoor: 8, capacity: 6 kW, cop: 3.5}], cooling: [{outdoor: 35, \
                capacity: 6 kW, cop: 3.5}]";
    place.write(
        "wing.yaml",
        &format!("{FILE}outdoor_units:\n  roof: {{zones: [hall, attic], {unit}}}\n"),
    );
    place.write("more.csv", "zone,controls.heat\nloft,21\n");
    place.done(&["wing.yaml", "--apply", "more.csv", "--like", "attic", "--out", "more.yaml"]);
    let text = place.read("more.yaml");
    assert!(text.contains("zones: [hall, attic, loft]"), "{text}");
}

#[test]
fn semicolons_and_decimal_commas_are_read() {
    let place = Place::new();
    place.write("found.csv", "zone;controls.heat;controls.locked_modes\nhall;20,5;dry fan\n");
    place.done(&["wing.yaml", "--apply", "found.csv", "--out", "found.yaml"]);
    let text = place.read("found.yaml");
    assert!(text.contains("heat: 20.5") && text.contains("locked_modes: [dry, fan]"), "{text}");
}

#[test]
fn a_new_zone_is_made_like_another() {
    let place = Place::new();
    place.write("more.csv", "zone,controls.heat\nhall,20\nloft,21\n");
    let said = place.refused(&["wing.yaml", "--apply", "more.csv"]);
    assert!(said.contains("--like"), "{said}");
    let said =
        place.done(&["wing.yaml", "--apply", "more.csv", "--like", "attic", "--out", "more.yaml"]);
    assert!(said.contains("New zones: loft."), "{said}");
    let output = place.run(&["--diff", "wing.yaml", "more.yaml"]);
    let told = String::from_utf8(output.stdout).expect("text");
    assert!(told.contains("only in more.yaml: loft"), "{told}");
    assert!(place.read("more.yaml").contains("heat: 21"));
    place.refused(&["wing.yaml", "--apply", "more.csv", "--like", "nobody"]);
}

#[test]
fn the_workbook_has_its_sheets_heads_and_lists() {
    use calamine::{Data, Reader, Xlsx, open_workbook};
    let place = Place::new();
    place.done(&["wing.yaml", "--out", "t.xlsx"]);
    let mut book: Xlsx<_> = open_workbook(place.path("t.xlsx")).expect("a workbook");
    assert_eq!(book.sheet_names(), ["specified", "found", "left"]);
    let sheet = book.worksheet_range("specified").expect("a sheet");
    assert_eq!(sheet.height(), 5);
    let keys: Vec<String> =
        sheet.rows().nth(1).expect("keys").iter().map(ToString::to_string).collect();
    assert_eq!(keys.len(), columns().len() + 2);
    let at = |key: &str| keys.iter().position(|it| it == key).expect("a column");
    let hall = sheet.rows().nth(2).expect("a row");
    assert_eq!(hall[at("controls.heat")], Data::Float(20.0));
    assert_eq!(hall[at("controls.on_conflict")], Data::String("push".into()));
    assert_eq!(hall[at("controls.low_limit")], Data::Empty);
}

#[test]
fn outdoor_units_and_schedules_are_compared_where_both_are_scenarios() {
    let place = Place::new();
    let with = |owner: &str, from: &str| {
        format!(
            "{}outdoor_unit: {{owner: {owner}, heating: [{{outdoor: 8, capacity: 6 kW, cop: 3.5}}], \
             cooling: [{{outdoor: 35, capacity: 6 kW, cop: 3.5}}]}}\n",
            FILE.replace(
                "controls: {heat: 19.5, cool: 24}",
                &format!(
                    "controls: {{heat: 19.5, cool: 24, setback: {{heat: 2, cool: 2}}, occupancy: \
                     {{from: \"{from}\", to: \"18:00\"}}}}"
                )
            )
        )
    };
    place.write("one.yaml", &with("hall", "08:00"));
    place.write("other.yaml", &with("attic", "09:00"));
    let output = place.run(&["--diff", "one.yaml", "other.yaml"]);
    let told = String::from_utf8(output.stdout).expect("text");
    assert_eq!(output.status.code(), Some(1), "{told}");
    assert!(told.contains("(outdoor_unit.owner): hall and attic"), "{told}");
    assert!(
        told.contains("occupancy") && told.contains("08:00") && told.contains("09:00"),
        "{told}"
    );
    place.done(&["one.yaml", "--out", "one.csv"]);
    let told = place.done(&["--diff", "one.csv", "other.yaml"]);
    assert!(told.contains("were not compared"), "{told}");
}

#[test]
fn zones_that_differ_alike_one_after_the_other_are_told_on_one_line() {
    let place = Place::new();
    let file = |heat: &str| {
        let mut text = String::from(
            "period: {from: 2025-04-16}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n",
        );
        for at in 1..=6 {
            let heat = if (2..=5).contains(&at) { heat } else { "20" };
            let _ = writeln!(
                text,
                "  room_{at}: {{space: {{floor: 20 m2}}, unit: {{heating: 2 kW, cooling: 2 kW}}, \
                 controls: {{heat: {heat}, cool: 24}}}}"
            );
        }
        text
    };
    place.write("one.yaml", &file("20"));
    place.write("other.yaml", &file("21"));
    let output = place.run(&["--diff", "one.yaml", "other.yaml"]);
    let told = String::from_utf8(output.stdout).expect("text");
    assert!(told.contains("20 and 21: room_2 to room_5 (4 rows)"), "{told}");
    assert!(told.contains("  room_2 to room_5: 1 setting"), "{told}");
}

#[test]
fn programs_get_tables_changes_and_differences_as_json() {
    let place = Place::new();
    let json = |text: &str| serde_json::from_str::<serde_json::Value>(text).expect("JSON");
    let table = json(&place.done(&["wing.yaml", "--json"]));
    assert_eq!(table["rows"][0]["controls.heat"], 20.0);
    assert_eq!(table["rows"][1]["controller"], "door");
    place.changed("found.csv", &[(0, "controls.heat", "20.5")]);
    let arguments = ["wing.yaml", "--apply", "found.csv", "--out", "found.yaml", "--json"];
    let change = json(&place.done(&arguments))["changes"][0].clone();
    assert_eq!(change["path"], "zones.hall.controls.heat");
    assert_eq!((&change["from"], &change["to"]), (&"20".into(), &"20.5".into()));
    let output = place.run(&["--diff", "wing.yaml", "found.yaml", "--json"]);
    assert_eq!(output.status.code(), Some(1));
    let told = json(&String::from_utf8(output.stdout).expect("text"));
    assert_eq!(told["differences"][0]["values"], serde_json::json!([20.0, 20.5]));
}
