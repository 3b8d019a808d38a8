//! `setband register`: from filled sheets and tables alone, what was shown when, by whom and by which
//! line, what failed and was mended, what waits.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value as Json;
use setband::engine::Model;
use setband::report::{SheetPlan, Sheeted};
use setband::scenario::read;
use setband::study::register::{Paper, Register, State, register};
use setband::study::sheet::{Conditions, Shown, Variation, sheet, variations, witness};
use tempfile::TempDir;

use crate::filled::Table;

const FILE: &str = "title: A barn with two rooms
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 60 m2}
    unit: {heating: 6 kW, cooling: 5 kW}
    controls: {heat: 20, cool: 23, min_deadband: 2, limits: {heat: [19, 22], cool: [21, 25]}}
require:
  - {id: R1, setting: min_deadband, at_least: 2}
  - {id: R2, figure: changeovers, at_most: 9}
";

fn model() -> Model {
    read(FILE, "barn.yaml", &|_| Err("no files here".into())).expect("a scenario").base
}

const COLD: Conditions =
    Conditions { outdoor: Some(5.0), room: None, longest_wait: setband::time::Seconds::hours(3) };

/// The sheet of the barn, filled in by `device` on a day.
fn filled(conditions: Conditions, device: &Model, who: [&str; 2]) -> Table {
    let model = model();
    let sheet = sheet(&model, conditions).expect("a sheet");
    let mut table = Table::blank(&Sheeted::whole(&model, &sheet));
    table.read(&sheet, device);
    // Who and when stand in the first line alone.
    table.put(0, "tester", who[0]);
    table.put(0, "date", who[1]);
    table
}

fn paper(name: &str, text: &str) -> Paper {
    Paper::of_sheet(name, text).unwrap_or_else(|faults| panic!("{faults:?}\n{text}"))
}

fn changed(path: &str, to: &str) -> Model {
    let all = variations(&model());
    let found = all.into_iter().find(|it: &Variation| it.path == path && it.to == to);
    found.unwrap_or_else(|| panic!("{path} {to}")).model
}

const DEADBAND: &str = "zones.hall.controls.min_deadband";

fn state(register: &Register, subject: &str) -> State {
    let found = register.entries.iter().find(|it| it.subject == subject);
    found.unwrap_or_else(|| panic!("{subject}")).state
}

/// Every setting that a line notices is shown by it; the rest says why not.
#[test]
fn a_sheet_read_as_expected_shows_what_its_lines_would_have_noticed() {
    let table = filled(COLD, &model(), ["Mara", "2026-02-03"]);
    let all = register(vec![paper("winter.csv", &table.text())]);
    assert!(all.holds());
    for it in &all.entries {
        match it.state {
            State::Holds => {
                let shown = it.shown.as_ref().expect("a paper");
                assert_eq!((shown.tester.as_str(), shown.paper.as_str()), ("Mara", "winter.csv"));
                assert_eq!(shown.date.to_string(), "2026-02-03");
                // A changed value fails one of the lines that are named.
                assert!(!shown.lines.is_empty(), "{it:?}");
            }
            State::Owed | State::NotOnSite => assert!(!it.why.is_empty(), "{it:?}"),
            other => panic!("{other:?}: {it:?}"),
        }
    }
    assert_eq!(state(&all, DEADBAND), State::Holds);
    // It is too cold for cooling, and nobody can have seen the changeover.
    assert_eq!(state(&all, "zones.hall.controls.changeover_delay"), State::Owed);
    assert_eq!(state(&all, "zones.hall.controls.low_limit"), State::NotOnSite);
    let waits: Vec<&str> = all.waiting.iter().map(|it| it.part.part.as_str()).collect();
    assert_eq!(waits, ["cooling calls and timers", "changeover"]);
}

/// For each line that is said to show a setting: a device on which the setting is otherwise fails
/// that line, and the register says that the setting fails.
#[test]
fn a_setting_that_is_otherwise_fails_in_the_register() {
    for (path, to) in [
        (DEADBAND, "2.5"),
        ("zones.hall.controls.limits.heat.high", "21.5"),
        ("zones.hall.controls.on_conflict", "hold"),
        ("zones.hall.controls.call_start", "1"),
    ] {
        let table = filled(COLD, &changed(path, to), ["Mara", "2026-02-03"]);
        let all = register(vec![paper("winter.csv", &table.text())]);
        assert!(!all.holds(), "{path}");
        assert_eq!(state(&all, path), State::Fails, "{path}");
        assert!(!all.failures.is_empty() && all.failures.iter().all(|it| it.mended.is_none()));
    }
}

/// What failed in February is mended by the sheet of May; what waited for warmth was tested then.
#[test]
fn a_later_sheet_mends_and_tests_what_had_to_wait() {
    let device = changed(DEADBAND, "2.5");
    let winter = filled(COLD, &device, ["Mara", "2026-02-03"]);
    let spring = filled(Conditions::default(), &model(), ["Odile", "2026-05-04"]);
    let papers = || {
        // Whatever order the files come in.
        vec![paper("b_spring.csv", &spring.text()), paper("a_winter.csv", &winter.text())]
    };
    let all = register(papers());
    assert!(all.holds(), "{:?}", all.failures);
    assert_eq!(state(&all, DEADBAND), State::Mended);
    let entry = all.entries.iter().find(|it| it.subject == DEADBAND).expect("an entry");
    let [failed, shown] = [&entry.failed, &entry.shown].map(|it| it.as_ref().expect("a paper"));
    assert_eq!((failed.paper.as_str(), shown.paper.as_str()), ("a_winter.csv", "b_spring.csv"));
    assert_eq!((failed.tester.as_str(), shown.tester.as_str()), ("Mara", "Odile"));
    assert_eq!(all.waiting, []);
    assert!(all.failures.iter().all(|it| it.mended.is_some()), "{:?}", all.failures);
    // The other way round in time the failure is the last word.
    let late = filled(COLD, &device, ["Mara", "2026-11-03"]);
    let all = register(vec![papers().remove(0), paper("late.csv", &late.text())]);
    assert!(!all.holds());
    assert_eq!(state(&all, DEADBAND), State::Fails);
}

/// Lines that were not read, or not whole, show nothing; a value that was changed since is shown no
/// longer.
#[test]
fn what_was_read_in_part_or_changed_since_is_owed() {
    let mut table = filled(COLD, &model(), ["Mara", "2026-02-03"]);
    let mut own = Vec::new();
    for row in 0..table.rows.len() {
        if table.cell(row, "shows").contains(DEADBAND) {
            own.push(row);
        }
    }
    assert!(own.len() > 1, "several lines show it");
    table.put(own[0], "read_heat", "");
    let all = register(vec![paper("winter.csv", &table.text())]);
    assert_eq!(state(&all, DEADBAND), State::InPart);
    for row in own {
        for field in ["heat", "cool", "mode", "power", "running", "refused"] {
            table.put(row, &format!("read_{field}"), "");
        }
    }
    let all = register(vec![paper("winter.csv", &table.text())]);
    assert_eq!(state(&all, DEADBAND), State::Owed);
    // A specification that asks for another deadband than the one that was shown.
    let before = filled(COLD, &model(), ["Mara", "2026-02-03"]);
    let one_line = |value: &str| {
        format!(
            "line,action,expect_heat,read_heat,shows,date\n1,look,20,20,{DEADBAND} = \
             {value},2026-06-01\n2,look,20,,{DEADBAND} = {value},\n"
        )
    };
    let all =
        register(vec![paper("winter.csv", &before.text()), paper("summer.csv", &one_line("3"))]);
    assert_eq!(state(&all, DEADBAND), State::Changed);
    let entry = all.entries.iter().find(|it| it.subject == DEADBAND).expect("an entry");
    assert_eq!((entry.value.as_str(), entry.why.as_str()), ("3", "it was shown as 2"));
}

/// Requirements come from the sheet for a witness.
#[test]
fn a_witness_sheet_shows_requirements() {
    let study = read(FILE, "barn.yaml", &|_| Err("no files here".into())).expect("a scenario");
    let asked: Vec<_> = study.requirements.iter().collect();
    let found = witness(&study.base, Conditions::default(), &asked).expect("a sheet");
    assert!(matches!(&found.requirements[0].1, Shown::Lines(lines) if !lines.is_empty()));
    let plan = SheetPlan { witness: Some(found.requirements), ..SheetPlan::default() };
    let sheeted = Sheeted { model: &study.base, sheet: &found.sheet, plan: &plan };
    let mut table = Table::blank(&sheeted);
    table.read(&found.sheet, &study.base);
    table.put(0, "date", "2026-02-03");
    let all = register(vec![paper("witness.csv", &table.text())]);
    assert_eq!(state(&all, "require.R1"), State::Holds);
    assert_eq!(state(&all, "require.R2"), State::NotOnSite);
}

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    command.current_dir(folder).args(arguments).output().expect("it runs")
}

/// A folder with the papers of the barn: a table, a sheet of winter in a folder of its own, a picture.
fn papers() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let file = |name: &str| folder.path().join(name);
    fs::write(file("barn.yaml"), FILE).expect("written");
    fs::create_dir_all(file("papers/visits")).expect("made");
    fs::write(file("papers/photo.png"), "no table").expect("written");
    let table = filled(COLD, &model(), ["Mara", "2026-02-03"]);
    fs::write(file("papers/visits/winter.csv"), table.text()).expect("written");
    let done = run(folder.path(), &["settings", "barn.yaml", "--out", "papers/specified.csv"]);
    assert!(done.status.success(), "{done:?}");
    folder
}

/// The table as it was found, with some values otherwise, and who filled it in.
fn found(specified: &str, values: &[(&str, &str)], date: &str) -> String {
    let mut lines: Vec<Vec<String>> =
        specified.lines().map(|line| line.split(',').map(ToOwned::to_owned).collect()).collect();
    let keys = lines.iter().position(|line| line[0] == "zone").expect("keys");
    for (key, value) in values {
        let at = lines[keys].iter().position(|it| it == key).expect("a column");
        (*value).clone_into(&mut lines[keys + 1][at]);
    }
    for (row, line) in lines.iter_mut().enumerate() {
        line.push(if row == keys { "date".into() } else { date.into() });
    }
    lines.iter().map(|line| line.join(",") + "\n").collect()
}

#[test]
fn the_command_reads_sheets_and_tables_and_writes_page_and_table() {
    let folder = papers();
    let file = |name: &str| folder.path().join(name);
    let specified = fs::read_to_string(file("papers/specified.csv")).expect("a table");
    let wrong = [("controls.call_start", "0.9"), ("controls.call_stop", "0.8")];
    fs::write(file("papers/found.csv"), found(&specified, &wrong, "2026-03-01")).expect("written");
    let right = [("controls.call_start", "0.9")];
    fs::write(file("papers/left.csv"), found(&specified, &right, "2026-03-01")).expect("written");
    let done = run(folder.path(), &["register", "papers", "--json"]);
    assert_eq!(done.status.code(), Some(1), "{done:?}");
    let json: Json = serde_json::from_slice(&done.stdout).expect("JSON");
    let entry = |subject: &str| {
        let all = json["entries"].as_array().expect("entries");
        all.iter()
            .find(|it| it["subject"] == subject)
            .unwrap_or_else(|| panic!("{subject}: {json}"))
    };
    assert_eq!(entry("zones.hall.controls.call_start")["state"], "fails");
    let stop = entry("zones.hall.controls.call_stop");
    assert_eq!(stop["state"], "mended_holds", "{stop}");
    assert!(stop["shown"]["lines"][0].as_str().is_some_and(|it| it.starts_with("left ")), "{stop}");
    assert_eq!(entry(DEADBAND)["state"], "holds");
    // Page and table say the same, and are one file each, without a network.
    let page = fs::read_to_string(file("out/papers/register.html")).expect("a page");
    assert!(page.contains("A barn with two rooms") && page.contains("Start of a call"), "{page}");
    assert!(!page.contains("://") && !page.contains("<script"), "no network, no script");
    let table = fs::read_to_string(file("out/papers/register.csv")).expect("a table");
    let mut rows = csv::Reader::from_reader(table.as_bytes());
    let rows: Vec<csv::StringRecord> = rows.records().map(|row| row.expect("a row")).collect();
    assert_eq!(rows.len(), json["entries"].as_array().expect("entries").len() + 2);
    let fails: Vec<&str> =
        rows.iter().filter(|row| &row[4] == "fails").map(|row| &row[1]).collect();
    assert_eq!(fails, ["zones.hall.controls.call_start"]);
    assert_eq!(rows.iter().filter(|row| &row[4] == "waits").count(), 2);
    // A register among the papers is none of them.
    fs::copy(file("out/papers/register.csv"), file("papers/register.csv")).expect("copied");
    let again = run(folder.path(), &["register", "papers", "--json"]);
    assert_eq!(again.stdout, done.stdout);
}

/// A workbook says the same as three tables.
#[test]
fn a_workbook_is_read_with_its_sheets() {
    let folder = papers();
    let file = |name: &str| folder.path().join(name);
    fs::remove_file(file("papers/specified.csv")).expect("removed");
    let done = run(folder.path(), &["settings", "barn.yaml", "--out", "papers/rooms.xlsx"]);
    assert!(done.status.success(), "{done:?}");
    let done = run(folder.path(), &["register", "papers"]);
    assert_eq!(done.status.code(), Some(0), "{done:?}");
    let said = String::from_utf8(done.stdout).expect("text");
    assert!(said.contains("rooms.xlsx: nothing is filled in"), "{said}");
}

#[test]
fn weeks_of_a_typical_year_are_named_for_what_waits() {
    let folder = papers();
    let mut year = String::from("time,temperature\n");
    for day in 0..28 {
        for hour in 1..=24 {
            let (date, clock) = if hour == 24 { (day + 2, 0) } else { (day + 1, hour) };
            let air = if (7..21).contains(&day) { 22 } else { 5 };
            let _ = writeln!(year, "2025-07-{date:02} {clock:02}:00,{air}");
        }
    }
    fs::write(folder.path().join("town.csv"), year).expect("written");
    let done = run(folder.path(), &["register", "papers", "--weather", "town.csv"]);
    let said = String::from_utf8(done.stdout).expect("text").replace("\n  ", " ");
    assert!(said.contains("Weeks of town.csv that suit: 8 July to 21 July."), "{said}");
    let done = run(folder.path(), &["register", "papers", "--weather", "papers/photo.png"]);
    assert_eq!(done.status.code(), Some(2));
}

#[test]
fn everything_wrong_with_all_papers_is_told_at_once() {
    let folder = papers();
    let file = |name: &str| folder.path().join(name);
    fs::write(file("papers/fly.csv"), "action,read_heat\nfly,20\n").expect("written");
    fs::write(file("papers/undated.csv"), "action,expect_heat,read_heat\nlook,20,20\n")
        .expect("written");
    fs::write(
        file("papers/german.csv"),
        "action;expect_heat;read_heat;date\nlook;20;20;2.4.2026\n",
    )
    .expect("written");
    fs::write(file("papers/prices.csv"), "what,price\nfilter,12\n").expect("written");
    fs::write(file("papers/found.csv"), "zone,controls.heat,date\nloft,20,2026-03-01\n")
        .expect("written");
    fs::write(file("papers/old_left.csv"), "zone,controls.heat,date\nhall,20,2026-03-01\n")
        .expect("written");
    fs::write(file("papers/bytes.csv"), [0xff, 0xfe, 0x00]).expect("written");
    fs::write(file("papers/broken.xlsx"), "no workbook").expect("written");
    let done = run(folder.path(), &["register", "papers"]);
    assert_eq!(done.status.code(), Some(2), "{done:?}");
    assert!(!file("out/papers/register.html").exists(), "nothing is written");
    let said = String::from_utf8(done.stderr).expect("text");
    insta::assert_snapshot!("register_faults", said.replace('\\', "/"));
    let none = run(folder.path(), &["register", "nowhere"]);
    assert_eq!(none.status.code(), Some(2));
    fs::create_dir(file("empty")).expect("made");
    let none = run(folder.path(), &["register", "empty"]);
    let said = String::from_utf8(none.stderr).expect("text");
    assert!(said.contains("has no filled sheet and no filled table"), "{said}");
}

/// An override that ends at midnight waits for a day on which people come and go, and the register says
/// so.
#[test]
fn what_needs_people_says_that_it_needs_occupancy() {
    let file = FILE.replace(
        "{heat: 20, cool: 23, min_deadband: 2,",
        "{heat: 20, cool: 23, min_deadband: 2, occupancy: {from: \"08:00\", to: \"18:00\"}, setback: \
         {heat: 1, cool: 1, override_until: end_of_day},",
    );
    let file = file.replace("{heat: [19, 22], cool: [21, 25]}", "{heat: [17, 24], cool: [20, 28]}");
    let model =
        read(&file, "barn.yaml", &|_| Err("no files here".into())).expect("a scenario").base;
    let sheet = sheet(&model, Conditions::default()).expect("a sheet");
    let table = Table::blank(&Sheeted::whole(&model, &sheet));
    let folder = TempDir::new().expect("a folder");
    fs::write(folder.path().join("visit.csv"), table.text()).expect("written");
    let arguments = ["register", ".", "--json", "--out", "out"];
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    let done = command.current_dir(folder.path()).args(arguments).output().expect("it runs");
    let json: Json = serde_json::from_slice(&done.stdout).expect("JSON");
    let waits = json["waiting"].as_array().expect("a list");
    assert!(waits.iter().any(|it| it["needs"] == "occupancy"), "{json:#}");
    let page = fs::read_to_string(folder.path().join("out/register.html")).expect("a page");
    assert!(page.contains("Needs occupancy"), "{page}");
}
