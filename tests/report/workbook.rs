//! `report.xlsx`: opened with a spreadsheet library, it holds the numbers of the JSON.

use std::path::Path;
use std::process::Output;

use calamine::{Data, Range, Reader, Xlsx, open_workbook};
use serde_json::Value;
use tempfile::TempDir;

use crate::program::setband;

const FILE: &str = "title: Two <rooms> & \"a hall\" =1+1
period: {from: 2025-04-16, step: 5 min}
weather: {design_day: {high: 19, range: 11}}
zones:
  parlour:
    label: Parlour
    space: {floor: 40 m2, mass: very_light}
    gains: {from: \"09:00\", to: \"17:00\", power: 900 W}
    unit: {heating: 4 kW, cooling: 4 kW, fan: 40 W, control: staged}
    controls: {heat: 20, cool: 23, sensor: {lag: 4 min}}
  den:
    space: {floor: 20 m2}
    unit: {heating: 2 kW, cooling: 2 kW}
    controls: {heat: 20, cool: 23}
actions:
  - {at: \"10:00\", zone: parlour, by: \"=HYPERLINK(1)\", heat: 22.5}
  - {at: \"11:00\", zone: den, heat: 30}
tariff: {price: 0.2, currency: crowns, carbon: 0.4 kg/kWh}
variants:
  same: {}
  wide: {zones.*.controls.min_deadband: 4, zones.*.controls.cool: 25}
";

fn folder() -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("rooms.yaml"), FILE).expect("written");
    folder
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// The workbook of a run, or of a comparison.
fn sheets(folder: &Path, name: &str) -> Xlsx<std::io::BufReader<std::fs::File>> {
    open_workbook(folder.join("out/rooms").join(name)).expect("a workbook")
}

const RUN: &str = "report.xlsx";
const COMPARED: &str = "compare.xlsx";

/// A sheet as rows of its cells, from the row whose first cell is `head` on.
fn table(folder: &Path, (book, sheet): (&str, &str), head: &str) -> Vec<Vec<Data>> {
    let range: Range<Data> = sheets(folder, book).worksheet_range(sheet).expect("the sheet");
    let rows = range.rows().map(<[Data]>::to_vec);
    let rows: Vec<Vec<Data>> = rows.skip_while(|row| row[0] != Data::String(head.into())).collect();
    assert!(!rows.is_empty(), "{head} is not in {sheet}");
    rows
}

fn column(heads: &[Data], name: &str) -> usize {
    let found = heads.iter().position(|head| *head == Data::String(name.into()));
    found.unwrap_or_else(|| panic!("no column {name} in {heads:?}"))
}

fn number(cell: &Data) -> Option<f64> {
    match cell {
        Data::Float(value) => Some(*value),
        Data::Int(value) => Some(f64::from(i32::try_from(*value).expect("a small number"))),
        _ => None,
    }
}

#[test]
fn the_summary_of_a_run_has_the_numbers_of_its_json() {
    let folder = folder();
    let run = json(&setband(folder.path(), &["run", "rooms.yaml", "--json"]));
    let names = sheets(folder.path(), RUN).sheet_names();
    assert_eq!(names, ["Summary", "Settings", "Settings by zone", "Ledger", "Hours"]);
    let rows = table(folder.path(), (RUN, "Summary"), "Figure");
    let value = |words: &str| {
        let row = rows.iter().find(|row| row[0] == Data::String(words.into()));
        number(&row.unwrap_or_else(|| panic!("no {words}"))[2])
    };
    let energy = &run["energy"];
    assert_eq!(value("Electricity"), energy["total_kwh"].as_f64());
    assert_eq!(value("Electricity for heating"), energy["heating_kwh"].as_f64());
    assert_eq!(value("Cost"), energy["cost"].as_f64());
    assert_eq!(value("Carbon dioxide"), energy["carbon_kg"].as_f64());
    assert_eq!(value("Highest quarter of an hour"), energy["peak_kw"].as_f64());
    assert_eq!(value("Changeovers"), run["group"]["changeovers"].as_f64());
    assert_eq!(value("Opposed heat"), run["group"]["opposed_kwh"].as_f64());
    let zones = table(folder.path(), (RUN, "Summary"), "Zone");
    let parlour = &run["zones"]["parlour"];
    for (head, path) in [
        ("Unit starts", &parlour["unit_starts"]),
        ("Out of band, h", &parlour["hours_outside_band"]),
        ("Air mean, °C", &parlour["temperature"]["mean"]),
        ("Operative mean, °C", &parlour["operative"]["mean"]),
        ("Out of band, °C h", &parlour["degree_hours_outside_band"]),
        ("Mean PMV", &parlour["comfort"]["mean_pmv"]),
        ("PPD, %", &parlour["comfort"]["ppd_percent"]),
        ("Requests that pushed", &parlour["requests"]["pushed"]),
    ] {
        assert_eq!(zones[1][0], Data::String("Parlour".into()));
        assert_eq!(number(&zones[1][column(&zones[0], head)]), path.as_f64(), "{head}");
    }
}

#[test]
fn a_comparison_has_a_column_for_each_variant_and_its_differences() {
    let folder = folder();
    let read = json(&setband(folder.path(), &["compare", "rooms.yaml", "--json"]));
    let names = sheets(folder.path(), COMPARED).sheet_names();
    assert_eq!(names, ["Summary", "Settings", "Settings by zone", "Deadbands", "Ledger", "Hours"]);
    let rows = table(folder.path(), (COMPARED, "Summary"), "Figure");
    let figures = read["differences"]["wide"].as_object().expect("figures");
    // Figures stand in the JSON's own names there and in words here; both in the same order only
    // in the CSV, so its rows say which is which.
    let csv = std::fs::read(folder.path().join("out/rooms/compare.csv")).expect("written");
    let mut csv = csv::Reader::from_reader(csv.as_slice());
    let records = csv.records().map(|row| row.expect("a row"));
    let keys: Vec<String> =
        records.filter(|row| &row[0] == "wide").map(|row| row[1].to_owned()).collect();
    assert_eq!(keys.len(), figures.len());
    let at = |name: &str| column(&rows[0], name);
    for (row, key) in rows[1..].iter().zip(&keys) {
        let figure = &figures[key];
        for (head, field) in [
            ("base", "base"),
            ("wide", "value"),
            ("wide less base", "difference"),
            ("wide less base, % of base", "percent"),
        ] {
            assert_eq!(number(&row[at(head)]), figure[field].as_f64(), "{key} {head}");
        }
        let none = number(&row[at("base")]).is_none();
        assert!(none || number(&row[at("same less base")]) == Some(0.0), "{key}");
    }
    // A difference is reckoned by the workbook: whoever changes a figure sees it change.
    let formulas = sheets(folder.path(), COMPARED).worksheet_formula("Summary").expect("the sheet");
    let formulas: Vec<&String> = formulas.used_cells().map(|(.., it)| it).collect();
    assert!(
        formulas.iter().filter(|it| it.contains('-')).count() >= 2 * figures.len(),
        "{formulas:?}"
    );
    let points = read["knee"]["points"].as_array().expect("points");
    let deadbands = table(folder.path(), (COMPARED, "Deadbands"), "Deadband, °C");
    assert_eq!(deadbands.len(), 1 + points.len());
    for (row, point) in deadbands[1..].iter().zip(points) {
        assert_eq!(number(&row[0]), point["deadband"].as_f64());
        assert_eq!(number(&row[2]), point["total_kwh"].as_f64());
    }
}

#[test]
fn the_settings_say_where_variants_differ() {
    let folder = folder();
    setband(folder.path(), &["compare", "rooms.yaml", "-q"]);
    let rows = table(folder.path(), (COMPARED, "Settings"), "Zone or outdoor unit");
    let (wide, differs) = (column(&rows[0], "wide"), column(&rows[0], "Differs"));
    let deadband = rows.iter().find(|row| row[1] == Data::String("Minimum deadband".into()));
    let deadband = deadband.expect("a row");
    assert_eq!(deadband[wide], Data::String("4 °C".into()));
    let marked: Vec<&Data> = rows[1..]
        .iter()
        .filter(|row| row[differs] == Data::String("yes".into()))
        .map(|row| &row[1])
        .collect();
    assert!(marked.contains(&&Data::String("Cool setpoint".into())), "{marked:?}");
    assert!(!marked.contains(&&Data::String("Heat setpoint".into())), "{marked:?}");
}

#[test]
fn settings_stand_by_zone_and_numbers_are_numbers() {
    let folder = folder();
    setband(folder.path(), &["run", "rooms.yaml", "-q"]);
    let rows = table(folder.path(), (RUN, "Settings by zone"), "Setting");
    let (unit, parlour, den) =
        (column(&rows[0], "Unit"), column(&rows[0], "Parlour"), column(&rows[0], "den"));
    let holds = |name: &str, units: &str, numbers: [f64; 2]| {
        let row = rows.iter().find(|row| row[0] == Data::String(name.into()));
        let row = row.unwrap_or_else(|| panic!("no {name} in {rows:?}"));
        assert_eq!(row[unit], Data::String(units.into()), "{name}");
        assert_eq!([&row[parlour], &row[den]].map(number), numbers.map(Some), "{name}");
    };
    holds("Heat setpoint", "°C", [20.0, 20.0]);
    holds("Cool setpoint", "°C", [23.0, 23.0]);
    holds("Heating capacity", "W", [4000.0, 2000.0]);
}

#[test]
fn ledger_and_hours_have_their_rows_and_text_stays_text() {
    let folder = folder();
    setband(folder.path(), &["run", "rooms.yaml", "-q"]);
    let ledger = table(folder.path(), (RUN, "Ledger"), "Time");
    let csv = std::fs::read_to_string(folder.path().join("out/rooms/ledger.csv")).expect("written");
    assert_eq!(ledger.len(), csv.lines().count());
    let by = column(&ledger[0], "By");
    // A cell that begins with `=` is text here and no formula.
    let asked = ledger.iter().find(|row| row[by] == Data::String("=HYPERLINK(1)".into()));
    let asked = asked.expect("the request");
    assert_eq!(number(&asked[column(&ledger[0], "Heat after, °C")]), Some(22.5));
    let formulas = sheets(folder.path(), RUN).worksheet_formula("Ledger").expect("the sheet");
    assert!(formulas.used_cells().all(|(.., formula)| formula.is_empty()));
    let Data::DateTime(time) = &asked[0] else { panic!("{:?} is no time", asked[0]) };
    // 2025-04-16 is day 45763 of spreadsheets; 10:00 is 10/24 of it.
    assert!((time.as_f64() - (45_763.0 + 10.0 / 24.0)).abs() < 1e-9);
    let hours = table(folder.path(), (RUN, "Hours"), "Hour from");
    assert_eq!(hours.len(), 1 + 24 * 2);
    // The hours' mean power adds up to the energy of the run.
    let power = column(&hours[0], "Electric power, W");
    let sum: f64 = hours[1..].iter().filter_map(|row| number(&row[power])).sum();
    let summary = std::fs::read(folder.path().join("out/rooms/summary.json")).expect("written");
    let summary: Value = serde_json::from_slice(&summary).expect("JSON");
    let total = summary["energy"]["total_kwh"].as_f64().expect("a number");
    assert!((sum / 1000.0 - total).abs() < 1e-6, "{sum} W h and {total} kWh");
}

/// Two months of one room with a setback, lawful temperatures, prices and somebody who feels.
const WEEKS: &str = "title: Weeks
period: {from: 2025-04-14, days: 30, step: 10 min}
weather: {design_day: {high: 14, range: 11}}
zones:
  back_room:
    label: Back room
    space: {floor: 40 m2, mass: light, opaque: 40 W/K}
    unit: {heating: 3 kW, cooling: 3 kW}
    controls:
      heat: 19
      cool: 24
      limits: {heat: [17, 21], cool: [22, 28]}
      occupancy: {from: \"08:00\", to: \"17:00\"}
      setback: {heat: 4, cool: 3}
    comfort: {band: [19, 26], lawful: {low: 16, high: 28}}
people:
  - {zone: back_room, name: clerk, prefers: 22.5, tolerance: 0.5, patience: 15 min, present: {from: \"08:00\", to: \"17:00\"}}
tariff: {price: 0.2, currency: crowns, carbon: 0.4 kg/kWh}
variants:
  warm: {zones.*.controls.limits.heat: [17, 24]}
";

#[test]
fn people_months_mornings_and_the_lock_calendar_have_sheets_with_the_numbers_of_the_json() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("rooms.yaml"), WEEKS).expect("written");
    let run = json(&setband(folder.path(), &["run", "rooms.yaml", "--json", "--steps", "none"]));
    let names = sheets(folder.path(), RUN).sheet_names();
    let further = ["People", "Months", "Months by zone", "Mornings", "Lock calendar"];
    let all: Vec<&str> =
        [&["Summary", "Settings", "Settings by zone"][..], &further, &["Ledger", "Hours"]].concat();
    assert_eq!(names, all);
    // Of a sheet the row that begins with those words; each head with the figure it stands over.
    let holds = |sheet: &str, head: &str, row: &str, figures: &[(&str, &Value)]| {
        let rows = table(folder.path(), (RUN, sheet), head);
        let found = rows[1..].iter().find(|it| it[0] == Data::String(row.into()));
        let found = found.unwrap_or_else(|| panic!("no {row} in {sheet}"));
        for (head, figure) in figures {
            assert!(figure.is_number(), "{sheet} {head}: {figure}");
            assert_eq!(number(&found[column(&rows[0], head)]), figure.as_f64(), "{sheet} {head}");
        }
    };
    let clerk = &run["people"][0];
    assert!(clerk["complaints"].as_u64() > Some(0), "19 to 21 is too cold for the clerk: {clerk}");
    let figures = [
        ("There, h", &clerk["present_hours"]),
        ("Too cold, h", &clerk["cold_hours"]),
        ("Keys pressed", &clerk["presses"]),
        ("Not done as asked", &clerk["presses_denied"]),
        ("Complaints", &clerk["complaints"]),
    ];
    holds("People", "Person", "clerk", &figures);
    let may = &run["months"][1];
    assert_eq!(may["month"], "2025-05");
    let figures = [
        ("Heating, kWh", &may["energy"]["heating_kwh"]),
        ("Electricity, kWh", &may["energy"]["total_kwh"]),
        ("Cost, crowns", &may["energy"]["cost"]),
        ("Carbon dioxide, kg", &may["energy"]["carbon_kg"]),
    ];
    holds("Months", "Month", "2025-05", &figures);
    let morning = &run["mornings"]["back_room"];
    let figures = [
        ("Mornings", &morning["mornings"]),
        ("Late", &morning["late"]),
        ("Missing at worst, °C", &morning["worst_missing"]),
    ];
    holds("Mornings", "Zone", "Back room", &figures);
    let cost = &run["lock_calendar"][0]["zones"]["back_room"];
    let figures = [
        ("Below the lawful minimum as is, h", &cost["as_is"]["hours_below"]),
        ("Below the lawful minimum without heating, h", &cost["without_heating"]["hours_below"]),
        ("Above the lawful maximum without cooling, h", &cost["without_cooling"]["hours_above"]),
    ];
    holds("Lock calendar", "Month", "2025-04", &figures);

    let read = json(&setband(folder.path(), &["compare", "rooms.yaml", "--json"]));
    let rows = table(folder.path(), (COMPARED, "People"), "Variant");
    let complaints = column(&rows[0], "Complaints");
    let of = |place: usize| number(&rows[place][complaints]);
    assert_eq!(rows.len(), 3);
    assert_eq!(of(1), read["base"]["people"][0]["complaints"].as_f64());
    assert_eq!(of(2), read["variants"]["warm"]["people"][0]["complaints"].as_f64());
    assert!(of(2) < of(1), "a limit that lets the clerk have their way");
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let folder = folder();
    let made = |out: &str| {
        setband(folder.path(), &["compare", "rooms.yaml", "-q", "--out", out, "--charts", "none"]);
        std::fs::read(folder.path().join(out).join("compare.xlsx")).expect("written")
    };
    let first = made("one");
    // A clock in the file would move on.
    std::thread::sleep(std::time::Duration::from_millis(2100));
    assert_eq!(first, made("two"));
}
