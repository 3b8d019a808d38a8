//! Rows go to their file while they come; what is kept does not grow with the steps of a year.

use std::path::Path;
use std::process::Command;

use parquet::file::reader::{FileReader, SerializedFileReader};
use parquet::record::RowAccessor;
use setband::engine::Model;
use setband::report::{StepsParquet, StepsWriter, steps_csv};
use setband::study::{EachRow, Keep, simulate, simulate_season};
use setband::time::Seconds;

use crate::rig::{Given, model, period};

fn days(days: i64, step: Seconds) -> Model {
    let zone = Given::default().zone("hall");
    Model { period: period(days, step), ..model(3.0, vec![zone]) }
}

#[test]
fn streamed_rows_are_the_bytes_of_kept_rows() {
    let model = days(2, Seconds::minutes(10));
    let kept = simulate(&model, Keep::Steps);
    let mut writer = StepsWriter::new(&model, Vec::new()).expect("memory takes it");
    let mut rows = EachRow(|row: &_| writer.row(row).expect("memory takes it"));
    let (streamed, _) = simulate_season(&model, Keep::Nothing, &mut rows);
    assert!(streamed.rows.is_empty());
    assert_eq!(streamed.summary, kept.summary);
    assert_eq!(streamed.ledger, kept.ledger);
    let streamed = writer.finish().expect("memory takes it");
    assert_eq!(streamed, steps_csv(&model, &kept.rows).expect("memory takes it"));
}

#[test]
fn a_year_keeps_hours_and_not_steps() {
    let year = days(366, Seconds::minutes(1));
    assert_eq!(Keep::for_charts(&year), Keep::Hours);
    let finished = simulate(&year, Keep::for_charts(&year));
    assert_eq!(finished.rows.len(), 366 * 24);
    assert_eq!(finished.summary.period.hours, 366.0 * 24.0);
    let shown = Keep::Hours.shown(year);
    assert_eq!((shown.period.step(), shown.period.days()), (Seconds::hours(1), 366));
}

#[test]
fn parquet_has_the_columns_and_the_values_of_the_csv() {
    // More rows than one group of the file holds.
    let model = days(25, Seconds::minutes(1));
    let kept = simulate(&model, Keep::Steps);
    let mut file = tempfile::tempfile().expect("a file");
    let mut writer = StepsParquet::new(&model, &mut file).expect("a file takes it");
    for row in &kept.rows {
        writer.row(row).expect("a file takes it");
    }
    writer.finish().expect("a file takes it");

    let reader = SerializedFileReader::new(file).expect("it is Parquet");
    assert!(reader.num_row_groups() > 1);
    let csv = steps_csv(&model, &kept.rows).expect("memory takes it");
    let mut csv = csv::Reader::from_reader(csv.as_slice());
    let heads: Vec<String> =
        csv.headers().expect("a head line").iter().map(str::to_owned).collect();
    let schema = reader.metadata().file_metadata().schema_descr();
    let columns: Vec<&str> = schema.columns().iter().map(|column| column.name()).collect();
    assert_eq!(columns, heads);

    let mut rows = 0;
    for (row, record) in reader.get_row_iter(None).expect("rows").zip(csv.records()) {
        let (row, record) = (row.expect("a row"), record.expect("a record"));
        // 2025-04-16 is day 20194 after 1970-01-01: 55 years of 365 days, 14 leap days, and 105.
        let minutes = row.get_timestamp_millis(0).expect("a time") / 60_000 - 20_194 * 1440;
        assert_eq!(minutes, rows);
        for column in [2, 3, 4, 5, 6, 7, 14, 15] {
            let value: f64 = record[column].parse().expect("a number");
            assert_eq!(row.get_double(column).expect("a number"), value, "{}", heads[column]);
        }
        for column in [1, 8, 9, 10, 11, 12] {
            assert_eq!(row.get_string(column).expect("a word"), &record[column]);
        }
        assert_eq!(row.get_bool(13).expect("a flag").to_string(), record[13]);
        rows += 1;
    }
    assert_eq!(rows, 25 * 1440);
}

const MONTHS: &str = "\
period: {from: 2025-04-01, days: 40, step: 15 min}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 60 m2}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls: {heat: 20, cool: 24, min_deadband: 2}
";

fn files_with(steps: &str) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("hall.yaml");
    std::fs::write(&file, MONTHS).expect("written");
    let out = folder.path().join("out");
    let done = Command::new(env!("CARGO_BIN_EXE_setband"))
        .args(["run".as_ref(), file.as_os_str(), "--out".as_ref(), out.as_os_str()])
        .args(["--quiet", "--steps", steps])
        .output()
        .expect("the binary starts");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    names(&out)
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).expect("a folder");
    entries.map(|it| it.expect("an entry").file_name().to_string_lossy().into_owned()).collect()
}

#[test]
fn steps_are_written_in_the_form_that_was_asked_for() {
    for (form, wanted) in
        [("csv", Some("steps.csv")), ("parquet", Some("steps.parquet")), ("none", None)]
    {
        let found = files_with(form);
        let steps: Vec<&str> =
            found.iter().map(String::as_str).filter(|name| name.starts_with("steps")).collect();
        assert_eq!(steps, Vec::from_iter(wanted), "{form}: {found:?}");
        assert!(!found.iter().any(|name| name.starts_with(".tmp")), "{found:?}");
    }
}
