//! Logs of sites that a scenario names: what is read, what is left out and told, and what is
//! refused.

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::Command;

use setband::control::{Mode, Power};
use setband::direction::Direction;
use setband::engine::Model;
use setband::log::{BadKind, Running, Sample, SiteLog, Table, TableFault, samples};
use setband::scenario::{Faults, read_beside};
use setband::units::TemperatureUnit;
use setband::weather::Weather;

use super::log_block::{BLOCK, PLACE};
use crate::program::setband;

pub(super) const ZONES: &str = "zones:\n  hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, \
                     controls: {heat: 20, cool: 24}}\n";

/// Runs the program where it is to fail: its exit code and what it says.
fn called(folder: &Path, arguments: &[&str]) -> (Option<i32>, String) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    let output = command.current_dir(folder).args(arguments).output().expect("the program runs");
    (output.status.code(), String::from_utf8_lossy(&output.stderr).into_owned())
}

/// A scenario with this block and a log beside it.
fn study(block: &str, log: &[u8]) -> Result<Model, Faults> {
    let text = format!("{block}{ZONES}");
    let open = |name: &str| match name {
        "week.csv" => Ok(log.to_vec()),
        _ => Err("it is not there".to_owned()),
    };
    read_beside(&text, "hall.yaml", &open).map(|study| study.base)
}

fn right(block: &str, log: &[u8]) -> Model {
    study(block, log).unwrap_or_else(|faults| panic!("{faults}"))
}

fn codes(block: &str, log: &[u8]) -> Vec<(&'static str, String)> {
    let Err(faults) = study(block, log) else { panic!("it has no faults") };
    faults.as_slice().iter().map(|it| (it.code, it.message.clone())).collect()
}

fn site(model: &Model) -> &SiteLog {
    model.log.as_deref().expect("it names a log")
}

fn samples_of(model: &Model) -> Vec<Sample> {
    let site = site(model);
    samples(&site.log, &site.source.mapping, 0, model.unit)
}

const PLAIN: &str = "log: {file: week.csv, outdoor: out, zones: {hall: {temperature: air, heat: h, \
                     cool: c}}}\n";

/// So many minutes of a mild day.
fn plain(minutes: u32) -> String {
    let mut text = "time,out,air,h,c\n".to_owned();
    for minute in 0..minutes {
        let (hour, rest) = (minute / 60, minute % 60);
        let air = 20.0 + f64::from(minute % 7) / 10.0;
        let _ = writeln!(text, "2025-04-16 {hour:02}:{rest:02},{}.5,{air:.1},20,24", hour % 20);
    }
    text
}

#[test]
fn days_and_weather_come_from_the_log() {
    let model = right(PLAIN, plain(1440).as_bytes());
    assert_eq!((model.period.first().to_string(), model.period.days()), ("2025-04-16".into(), 1));
    assert!(matches!(model.weather, Weather::Record(_)));
    assert_eq!(model.weather.outdoor(model.period.first(), 2.0 * 3600.0), 2.5);
    let samples = samples_of(&model);
    assert_eq!(samples.len(), 1440);
    assert_eq!((samples[8].temperature, samples[8].line), (Some(20.1), 10));
    assert_eq!((samples[8].heat, samples[8].cool), (Some(20.0), Some(24.0)));
    // What the file gives itself counts.
    let own = format!("period: {{from: 2025-04-16}}\nweather: {{hours: {:?}}}\n{PLAIN}", [7; 24]);
    assert!(matches!(right(&own, plain(1440).as_bytes()).weather, Weather::Hours(_)));
}

#[test]
fn every_key_of_the_block_is_read() {
    let block = format!("{PLACE}{BLOCK}");
    let log = "day;clock;oa;ghi;w;kwh;air;back;h;c;md;run;stg;pct;pipe;note;head;occ\n\
               16.04.;08:03;50;300;100;10,0;68;70;66;75;1;-;0;0;68;;0;out\n\
               16.04.;08:33;50;310;200;10,1;69;71;66;75;3;up and on;1;100;100;lights on;2;in\n\
               16.04.;09:03;50;310;200;10,2;70;72;66;75;2;up and on;2;200;50;;2;in\n";
    let model = right(&block, log.as_bytes());
    let samples = samples_of(&model);
    let times: Vec<String> = samples.iter().map(|it| it.at.to_string()).collect();
    // An hour of daylight saving and three minutes of a fast clock.
    assert_eq!(times, ["2025-04-16 07:00", "2025-04-16 07:30", "2025-04-16 08:00"]);
    let second = samples[1];
    assert_eq!(second.temperature.map(|it| (it * 1e9).round() / 1e9), Some(20.555_555_556));
    assert_eq!((second.mode, second.power), (Some(Mode::Auto), Some(Power::On)));
    assert_eq!(second.running, Some(Running::In(Direction::Heating)));
    assert_eq!((second.output, second.occupied), (Some(0.5), Some(true)));
    // 200 W and 0.1 kWh in half an hour.
    let watt = second.electric_w.expect("both meters say something");
    assert!((watt - 400.0).abs() < 1e-6, "{watt}");
    assert_eq!(samples[0].power, Some(Power::Off));
    let zone = &site(&model).log.zones[0];
    assert_eq!(zone.events.len(), 1);
    assert_eq!(zone.others[0].0, "return");
    assert!(model.weather.record().is_some_and(|record| record.light.is_some()));
}

#[test]
fn a_long_layout_has_a_row_a_reading() {
    let block = "log: {file: week.csv, layout: long, zones: {hall: {temperature: air, heat: h}}}\n\
                 period: {from: 2025-04-16}\nweather: {design_day: {high: 18, range: 11}}\n";
    let mut log = "time,point,value\n2025-04-16 00:00,h,20\n".to_owned();
    for minute in (0..600).step_by(5) {
        let _ = writeln!(log, "2025-04-16 {:02}:{:02},air,21.5", minute / 60, minute % 60);
    }
    let samples = samples_of(&right(block, log.as_bytes()));
    assert_eq!(samples.len(), 120);
    // Recorded once, the setpoint holds as long as anything is recorded.
    assert!(samples.iter().all(|it| it.heat == Some(20.0) && it.temperature == Some(21.5)));
}

#[test]
fn packed_tables_and_workbooks_are_read_like_text() {
    let text = plain(200);
    let plainly = samples_of(&right(PLAIN, text.as_bytes()));
    let mut packer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    packer.write_all(text.as_bytes()).expect("memory takes it");
    let packed = packer.finish().expect("memory takes it");
    assert_eq!(samples_of(&right(PLAIN, &packed)), plainly);
    let mut book = rust_xlsxwriter::Workbook::new();
    book.add_worksheet().set_name("cover").expect("a name");
    let sheet = book.add_worksheet();
    sheet.set_name("log").expect("a name");
    for (row, line) in (0..).zip(text.lines()) {
        for (column, cell) in (0..).zip(line.split(',')) {
            match cell.parse::<f64>() {
                Ok(number) => sheet.write_number(row, column, number),
                Err(_) => sheet.write_string(row, column, cell),
            }
            .expect("it fits");
        }
    }
    let book = book.save_to_buffer().expect("memory takes it");
    let named = PLAIN.replace("file: week.csv,", "file: week.csv, sheet: log,");
    assert_eq!(samples_of(&right(&named, &book)), plainly);
    let other = PLAIN.replace("file: week.csv,", "file: week.csv, sheet: lgo,");
    let (code, message) = &codes(&other, &book)[0];
    assert_eq!(*code, "log-file");
    assert!(message.contains("no sheet of that name; it has cover, log"), "{message}");
}

#[test]
fn every_kind_of_bad_row_is_counted_with_its_line() {
    let mut log = plain(100);
    log.push_str(
        "2025-04-16 01:40,1,20\n\
         whenever,1,20,20,24\n\
         2025-04-16 01:30,1,20,20,24\n\
         2025-04-16 01:39,1,25,20,24\n\
         2025-04-16 01:41,1,=A1+1,20,24\n\
         2025-04-16 01:42,1,99,20,24\n\
         2025-04-16 01:43,1,20.5,20,24\n",
    );
    let model = right(PLAIN, log.as_bytes());
    let found: Vec<(BadKind, usize, u32)> = site(&model)
        .log
        .bad
        .kinds()
        .map(|(kind, count, first)| (kind, count, first[0].1))
        .collect();
    assert_eq!(
        found,
        [
            (BadKind::FewerColumns, 1, 102),
            (BadKind::NoTime, 1, 103),
            (BadKind::TimeRunsBack, 1, 104),
            (BadKind::SameTimeOtherValues, 1, 105),
            (BadKind::NoNumber, 1, 106),
            (BadKind::ImpossibleTemperature, 1, 107),
        ]
    );
    assert_eq!(samples_of(&model).len(), 101);
}

#[test]
fn a_word_that_the_mapping_does_not_name_makes_a_bad_row() {
    let block = PLAIN.replace("heat: h", "mode: {column: h, values: {20: heat}}");
    let log = plain(50).replace("00:07,0.5,20.0,20,", "00:07,0.5,20.0,eco,");
    assert_eq!(site(&right(&block, log.as_bytes())).log.bad.count(BadKind::UnknownWord), 1);
}

#[test]
fn what_is_wrong_with_the_block_is_told_at_its_place() {
    let log = plain(100);
    let wrong = PLAIN.replace("air,", "aire,").replace("cool: c", "cool: cc");
    let Err(faults) = study(&wrong, log.as_bytes()) else { panic!("two points are none") };
    let told: Vec<_> = faults.as_slice().iter().map(|it| (it.code, it.line, it.column)).collect();
    assert_eq!(told, [("log-point", 1, 65), ("log-point", 1, 86)]);
    assert!(faults.as_slice()[0].remedy.starts_with("the nearest is `air`"), "{faults}");
    for (from, to, code) in [
        ("zones: {hall:", "zones: {hal:", "unknown-zone"),
        ("file: week.csv", "file: weak.csv", "log-file"),
        ("outdoor: out", "time: {format: \"%d.%m. %H:%M\"}", "log-time"),
        ("outdoor: out", "time: {format: \"%Q\"}", "log-time"),
        ("outdoor: out", "time: {clock: utc}", "log-time"),
        ("outdoor: out", "outdor: out", "unknown-key"),
        ("heat: h", "mode: {column: h, values: {20: warm}}", "unknown-word"),
        ("outdoor: out", "layout: long", "log-point"),
    ] {
        let found = codes(&PLAIN.replace(from, to), log.as_bytes());
        assert!(found.iter().any(|it| it.0 == code), "{to}: {found:?}");
    }
    // Without a log days and weather are needed as ever.
    let none: Vec<&str> = codes("seed: 1\n", b"").into_iter().map(|it| it.0).collect();
    assert_eq!(none, ["missing-key", "missing-key"]);
}

#[test]
fn a_log_that_is_mostly_bad_is_refused() {
    let log = plain(100)
        .replace("2025-04-16 01", "the second hour")
        .replace("16 00:1", "ten past")
        .replace("16 00:2", "some");
    let (code, message) = &codes(PLAIN, log.as_bytes())[0];
    assert_eq!(*code, "log-file");
    let told = "60 of the 100 rows of `week.csv` are bad: most have no time that can be read, the first \
                on line 12";
    assert_eq!(message, told);
}

#[test]
fn hostile_tables_are_refused_within_limits() {
    let wide = format!("time,air\n{}\n", "1,".repeat(1_000_000));
    let long = format!("time,air\n2025-04-16 00:00,{}\n", "9".repeat(1 << 20));
    for (bytes, part) in [
        (wide.as_bytes(), "more than 2000 columns"),
        (long.as_bytes(), "more than 2000 columns or a cell of more than 20000 bytes"),
        (b"time,air\n\0\0,1\n", "neither text nor a workbook"),
        (b"PK\x03\x04nothing", "damaged"),
        (b"\x1f\x8bnothing", "damaged"),
        (b"", "no row below a header"),
        (b"\"time,air\n1,2\n3,4\n", "no row below a header"),
    ] {
        let (code, message) = &codes(PLAIN, bytes)[0];
        assert_eq!(*code, "log-file");
        assert!(message.contains(part), "{message}");
    }
    // One cell in the last corner of a sheet takes no memory.
    let mut book = rust_xlsxwriter::Workbook::new();
    let sheet = book.add_worksheet();
    sheet.write_string(0, 0, "time").expect("it fits");
    sheet.write_string(1_048_575, 16_383, "far").expect("it fits");
    let book = book.save_to_buffer().expect("memory takes it");
    let fault = Table::open(&book, None).expect_err("it is too wide");
    assert_eq!(fault, TableFault::TooWide { line: 1_048_576 });
}

/// 32 days of a real heat pump: `tests/data/chamber`, MIT licence, see its README.
#[test]
fn all_days_of_the_chamber_are_read() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/chamber");
    let block = "temperature: F\nlog: {file: week.csv, time: {column: date_time, format: \"%m/%d \
                 %H:%M:%S\", year: 2021}, outdoor: oa_temp_sim, electricity: [id_power, od_power], \
                 zones: {hall: {temperature: zn_temp_sim, others: {chamber: zn_temp}, heat: \
                 zn_temp_hspt, cool: zn_temp_cspt, running: {column: stg, values: {0: none, 1: \
                 cooling, 2: cooling}}, people: people, occupied: {column: stat, values: {0: no, 1: \
                 yes}}}}}\n";
    let mut days = 0;
    for entry in fs::read_dir(folder).expect("the folder is there") {
        let path = entry.expect("it can be listed").path();
        if path.extension().is_none_or(|it| it != "gz") {
            continue;
        }
        let bytes = fs::read(&path).expect("it can be read");
        let zones = "controls: {heat: 20, cool: 24}";
        let text = format!("{block}{}", ZONES.replace(zones, "controls: {heat: 68, cool: 76}"));
        let open = |_: &str| Ok(bytes.clone());
        let study = read_beside(&text, "hall.yaml", &open).unwrap_or_else(|it| panic!("{it}"));
        let model = study.base;
        assert_eq!(model.unit, TemperatureUnit::Fahrenheit);
        assert_eq!((site(&model).log.bad.total(), model.period.days()), (0, 1), "{path:?}");
        let samples = samples_of(&model);
        assert_eq!(samples.len(), 1440, "{path:?}");
        let whole = |it: &Sample| {
            it.temperature.is_some() && it.runs().is_some() && it.electric_w.is_some()
        };
        assert!(samples.iter().all(whole), "{path:?}");
        days += 1;
    }
    assert_eq!(days, 32);
}

#[test]
fn the_command_writes_the_log_as_steps_and_draws_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let write =
        |name: &str, text: &str| fs::write(folder.path().join(name), text).expect("it fits");
    write("week.csv", &plain(1440));
    write("hall.yaml", &format!("{PLAIN}{ZONES}"));
    let told =
        String::from_utf8(setband(folder.path(), &["log", "hall.yaml"]).stdout).expect("text");
    assert!(
        told.starts_with("week.csv: 1440 rows, 2025-04-16 00:00 to 2025-04-16 23:59"),
        "{told}"
    );
    let steps = fs::read_to_string(folder.path().join("out/hall/log.csv")).expect("it is written");
    let mut lines = steps.lines();
    let head = "time,zone,outdoor,temperature,mass_temperature,sensed,heat,cool,mode,power,direction,\
                call,served,starved,heat_w,electric_w";
    assert_eq!(lines.next(), Some(head));
    assert_eq!(lines.next(), Some("2025-04-16T00:00:00,hall,0.5,20,,,20,24,,,,,,,,"));
    assert_eq!(steps.lines().count(), 1441);
    for name in ["log.svg", "log.png"] {
        assert!(folder.path().join("out/hall").join(name).is_file(), "{name}");
    }
    // Of a table alone: the guess is a block that can be read.
    let json = setband(folder.path(), &["log", "week.csv", "--json"]).stdout;
    let json: serde_json::Value = serde_json::from_slice(&json).expect("JSON");
    let guess = json["logs"][0]["guess"].as_str().expect("a text");
    let zones = ZONES.replace("hall:", "zone:");
    let open = |_: &str| Ok(plain(1440).into_bytes());
    let study = read_beside(&format!("{guess}{zones}"), "guess.yaml", &open);
    let model = study.unwrap_or_else(|it| panic!("{guess}\n{it}")).base;
    assert_eq!(site(&model).source.mapping.zones[0].temperature, "air");
    write(
        "none.yaml",
        &format!(
            "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\n{ZONES}"
        ),
    );
    let (code, error) = called(folder.path(), &["log", "none.yaml"]);
    assert_eq!(code, Some(2));
    assert!(error.contains("the scenario names no log"), "{error}");
    let (code, error) = called(folder.path(), &["log", "nowhere.csv"]);
    assert_eq!(code, Some(2));
    assert!(error.contains("check the name of the log"), "{error}");
}
