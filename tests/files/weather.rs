//! Weather files as a user meets them: `setband weather`, and runs through typical years. The
//! file is that of Greensboro (see `tests/reference/data/README.md`).

use std::fs;
use std::io::Read;
use std::path::Path;
use std::process::{Command, Output};

use flate2::read::GzDecoder;
use serde_json::Value;
use setband::measures::{Surroundings, predicted_mean_vote};
use setband::moist_air::saturation_pressure;
use setband::scenario::load;
use setband::study::{Finished, Keep, simulate};
use tempfile::TempDir;

/// Of sums over a day.
const ROUNDING: f64 = 1e-9;

fn greensboro() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/greensboro_tmy3.csv.gz");
    let mut text = String::new();
    let file = fs::File::open(path).expect("the compressed file");
    GzDecoder::new(file).read_to_string(&mut text).expect("a text");
    text
}

fn buffalo() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/buffalo_epw.gz");
    let mut text = String::new();
    let file = fs::File::open(path).expect("the compressed file");
    GzDecoder::new(file).read_to_string(&mut text).expect("a text");
    text
}

fn folder_with(name: &str, text: &str) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join(name), text).expect("written");
    folder
}

fn setband(folder: &TempDir, arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_setband"))
        .args(arguments)
        .current_dir(folder.path())
        .output()
        .expect("the binary starts")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn json(output: &Output) -> Value {
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

/// A room with a window, in summer clothes, that is only watched unless `unit` says more.
fn scenario(period: &str, weather: &str, room: &str) -> String {
    format!(
        "period: {period}\nweather: {weather}\nzones:\n  hall:\n    space: {{floor: 50 m2{room}}}\n    \
         unit: {{heating: 20 kW, cooling: 20 kW, control: ideal}}\n    controls: {{heat: 20, cool: 26}}\n"
    )
}

fn run(folder: &TempDir, text: &str) -> Finished {
    let path = folder.path().join("study.yaml");
    fs::write(&path, text).expect("written");
    let study = load(&path).unwrap_or_else(|faults| panic!("{faults}"));
    simulate(&study.base, Keep::Steps)
}

fn outdoor_at(finished: &Finished, step: usize) -> f64 {
    finished.rows[step].outdoor
}

#[test]
fn the_summary_has_the_figures_of_an_independent_computation() {
    // pandas 3.1.1 over the same rows; see weather_statistics.csv in tests/reference/data.
    let folder = folder_with("year.txt", &greensboro());
    let found = json(&setband(&folder, &["weather", "year.txt", "--json"]));
    let near = |key: &str, expected: f64| {
        let value = found[key].as_f64().expect("a number");
        assert!((value - expected).abs() < 1e-4, "{key}: {value}");
    };
    near("mean", 14.421_849);
    near("heating_degree_days", 2_145.933_3);
    near("cooling_degree_days", 730.408_3);
    near("base", 18.3);
    assert_eq!((&found["coldest_day"], &found["hottest_day"]), (&"02-05".into(), &"07-10".into()));
    for name in ["weather.json", "weather.svg", "weather.png"] {
        assert!(folder.path().join("out/year").join(name).is_file(), "{name}");
    }
    let fahrenheit =
        json(&setband(&folder, &["weather", "year.txt", "--json", "--temperature", "f"]));
    let ratio = fahrenheit["heating_degree_days"].as_f64().expect("a number") / 2_145.933_3;
    assert!((ratio - 1.8).abs() < 1e-6, "{ratio}");
    let base = json(&setband(&folder, &["weather", "year.txt", "--json", "--base", "10"]));
    assert_eq!(base["base"], 10.0);
}

#[test]
fn files_of_68_columns_and_gaps_read_the_same() {
    let whole = greensboro();
    let narrow: String = whole
        .lines()
        .enumerate()
        .map(|(place, line)| {
            let fields: Vec<&str> = line.split(',').collect();
            let kept = if place == 0 { fields.len() } else { 68 };
            fields[..kept].join(",") + "\n"
        })
        .collect();
    let folder = folder_with("narrow.csv", &narrow);
    let found = json(&setband(&folder, &["weather", "narrow.csv", "--json"]));
    assert!((found["mean"].as_f64().expect("a number") - 14.421_849).abs() < 1e-6);
    assert_eq!(found["notices"], serde_json::json!([]));

    let gap = whole.replacen(",10.0,A,7,6.1,A,7,77,", ",-9900,A,7,6.1,A,7,,", 1);
    assert_ne!(whole, gap);
    fs::write(folder.path().join("gap.csv"), gap).expect("written");
    let found = json(&setband(&folder, &["weather", "gap.csv", "--json"]));
    assert_eq!(found["filled"][0]["hours"], 1);
    assert_eq!(found["filled"][0]["first_line"], 3);
    assert_eq!(found["filled"].as_array().map(Vec::len), Some(2));
    let printed = text(&setband(&folder, &["weather", "gap.csv"]).stdout);
    assert!(printed.contains("1 hour of dry-bulb temperature missing"), "{printed}");
}

#[test]
fn what_cannot_be_read_is_told_with_its_lines_and_exit_2() {
    let text_of = greensboro();
    let folder = folder_with("cut.csv", &text_of[..text_of.len() / 2]);
    let broken = text_of.replacen(",10.0,A,7,", ",warm,A,7,", 3);
    fs::write(folder.path().join("broken.csv"), broken).expect("written");
    fs::write(folder.path().join("notes.txt"), "bread\nmilk\n").expect("written");
    for (name, words) in [
        ("cut.csv", "rows are missing"),
        ("broken.csv", "`warm` is no dry-bulb temperature"),
        ("notes.txt", "no weather file in a layout that is read: it begins `bread`, `milk`"),
        ("nowhere.csv", "cannot be read"),
    ] {
        let output = setband(&folder, &["weather", name]);
        assert_eq!(output.status.code(), Some(2), "{name}");
        let errors = text(&output.stderr);
        assert!(errors.contains(words) && errors.contains(name), "{errors}");
        assert!(output.stdout.is_empty() && !folder.path().join("out").exists(), "{name}");
    }
    let errors = text(&setband(&folder, &["weather", "broken.csv"]).stderr);
    assert_eq!(errors.matches("error[weather-file]").count(), 3, "{errors}");
    assert!(errors.contains("broken.csv:3:"), "{errors}");
    let wrong_base = setband(&folder, &["weather", "broken.csv", "--base", "400"]);
    assert_eq!(wrong_base.status.code(), Some(2));
}

#[test]
fn a_csv_is_summarised_too() {
    let mut rows = "time,temperature\n".to_owned();
    for day in 1..=3 {
        rows.extend((0..24).map(|hour| format!("2025-03-0{day} {hour:02}:00,{}\n", 10 * day)));
    }
    let folder = folder_with("logger.csv", &rows);
    let found = json(&setband(&folder, &["weather", "logger.csv", "--json"]));
    assert_eq!(found["days"], 3);
    assert_eq!(found["hottest_day"], "03-03");
    assert!(!text(&setband(&folder, &["weather", "logger.csv"]).stdout).contains("Station"));
}

#[test]
fn a_day_a_span_and_a_year_run() {
    let folder = folder_with("town.csv", &greensboro());
    // 10 July: row 15:00 of the file has 35.0 C; rows by hand from the file.
    let rows = greensboro();
    let dry_bulb = |stamp: &str| -> f64 {
        let row = rows.lines().find(|line| {
            let mut fields = line.split(',');
            let date = fields.next().unwrap_or_default();
            let time = fields.next().unwrap_or_default();
            format!("{} {time}", date.get(..5).unwrap_or_default()) == stamp
        });
        row.and_then(|row| row.split(',').nth(31)).expect("a dry bulb").parse().expect("a number")
    };
    let hottest = run(
        &folder,
        &scenario(
            "{from: 2025-01-10, days: 2, step: 1 h}",
            "{tmy3: {file: town.csv, day: hottest}}",
            "",
        ),
    );
    for day in 0..2 {
        assert_eq!(outdoor_at(&hottest, day * 24 + 15), dry_bulb("07/10 15:00"));
        assert_eq!(outdoor_at(&hottest, day * 24), dry_bulb("07/10 24:00"));
    }
    let span = run(
        &folder,
        &scenario("{from: 2031-04-30, days: 2, step: 1 h}", "{tmy3: {file: town.csv}}", ""),
    );
    assert_eq!(outdoor_at(&span, 0), dry_bulb("04/29 24:00"));
    assert_eq!(outdoor_at(&span, 24 + 9), dry_bulb("05/01 09:00"));
    let year = run(
        &folder,
        &scenario(
            "{from: 2024-01-01, days: 366, step: 1 h}",
            "{tmy3: {file: town.csv}}",
            ", windows: [{area: 8 m2, u: 1.4, g: 0.5, facing: south}]",
        ),
    );
    assert_eq!(year.rows.len(), 366 * 24);
    // 29 February has the rows of the 28th.
    assert_eq!(outdoor_at(&year, 59 * 24 + 12), dry_bulb("02/28 12:00"));
    assert_eq!(outdoor_at(&year, 60 * 24 + 12), dry_bulb("03/01 12:00"));
    assert!(year.summary.energy.heat_delivered_kwh > 0.0);
    assert!(year.summary.energy.heat_removed_kwh > 0.0);
}

#[test]
fn the_mixed_day_needs_both_and_the_coldest_only_heat() {
    let folder = folder_with("town.csv", &greensboro());
    let with = |day: &str| {
        let weather = format!("{{tmy3: {{file: town.csv, day: {day}}}}}");
        let room = ", mass: very_light, infiltration: 2 /h, windows: [{area: 12 m2, u: 1.4, g: 0.6, \
                    facing: west}]";
        run(&folder, &scenario("{from: 2025-01-01}", &weather, room)).summary.energy
    };
    let (coldest, hottest, mixed) = (with("coldest"), with("hottest"), with("mixed"));
    assert!(coldest.heat_delivered_kwh > 50.0, "{coldest:?}");
    assert!(hottest.heat_removed_kwh > 0.0 && hottest.heat_delivered_kwh == 0.0, "{hottest:?}");
    assert!(mixed.heat_removed_kwh > 0.0 && mixed.heat_delivered_kwh > 0.0, "{mixed:?}");
    let same = with("05-11");
    assert_eq!(mixed.heat_removed_kwh.to_bits(), same.heat_removed_kwh.to_bits());
}

/// 24 hours of readings at 24 C with a column more.
fn readings(column: &str, value: impl Fn(u32) -> String) -> String {
    let mut rows = format!("time,temperature,{column}\n");
    rows.extend((0..24).map(|hour| format!("2025-06-21T{hour:02}:00,24,{}\n", value(hour))));
    rows
}

#[test]
fn measured_radiation_comes_in_through_the_windows() {
    let site = "site: {latitude: 45, longitude: 15, utc_offset: 1}";
    let with = |radiation: &str, solar_factor: f64, facing: &str| {
        let folder = folder_with(
            "sky.csv",
            &readings("radiation", |hour| {
                if (9..=18).contains(&hour) { radiation.into() } else { "0".into() }
            }),
        );
        let weather = format!("{{csv: sky.csv, {site}}}");
        let room = format!(
            ", start: 24, windows: [{{area: 10 m2, u: 1.4, g: {solar_factor}, facing: {facing}}}]"
        );
        run(&folder, &scenario("{from: 2025-06-21}", &weather, &room)).summary.energy
    };
    let dark = with("0", 0.5, "south");
    assert_eq!(dark.heat_removed_kwh, 0.0);
    let opaque = with("600", 0.0, "south");
    assert_eq!(opaque.heat_removed_kwh, 0.0);
    let (south, north) = (with("600", 0.5, "south"), with("600", 0.5, "north"));
    assert!(south.heat_removed_kwh > 1.3 * north.heat_removed_kwh, "{south:?} {north:?}");
    assert!(north.heat_removed_kwh > 0.3, "{north:?}");
}

#[test]
fn outdoor_humidity_reaches_the_pmv() {
    let pmv = |weather: &str, humidity: u32| {
        let folder = folder_with("air.csv", &readings("humidity", |_| humidity.to_string()));
        let finished = run(&folder, &scenario("{from: 2025-06-21}", weather, ", start: 24"));
        finished.summary.zones[0].1.comfort.as_ref().expect("a PMV").mean_pmv
    };
    // The room stays at the 24 C of the outdoor air, and holds its vapour.
    let iso = 10.0 * 100.0 * (16.6536_f64 - 4030.183 / (24.0 + 235.0)).exp();
    let around = |percent: f64| Surroundings {
        air: 24.0,
        mean_radiant: 24.0,
        air_speed: 0.1,
        humidity: 100.0 * percent / 100.0 * saturation_pressure(24.0) / iso,
        met: 1.2,
        clo: 0.7,
    };
    for percent in [20, 60, 90] {
        let expected = predicted_mean_vote(&around(f64::from(percent)));
        let found = pmv("{csv: air.csv}", percent);
        assert!((found - expected).abs() < ROUNDING, "{percent}: {found} {expected}");
    }
    // Written in the scenario, the humidity holds whatever the file says.
    let written = pmv("{csv: air.csv, humidity: 50}", 20);
    assert_eq!(written.to_bits(), pmv("{csv: air.csv, humidity: 50}", 90).to_bits());
}

/// Places have letters that many files write in one byte each (ISO 8859-1).
#[test]
fn a_weather_file_in_latin_letters_is_read_and_one_that_is_no_text_is_refused() {
    let named = |name: &str| {
        let old = buffalo();
        let (first, rest) = old.split_once('\n').expect("eight header lines");
        let fields: Vec<&str> = first.split(',').collect();
        format!("LOCATION,{name},{}\n{rest}", fields[2..].join(","))
    };
    let folder = folder_with("town.epw", &named("Löwenmünster"));
    let latin: Vec<u8> =
        named("Löwenmünster").chars().map(|it| u8::try_from(it).expect("Latin")).collect();
    fs::write(folder.path().join("latin.epw"), &latin).expect("written");
    let shown = |name: &str| json(&setband(&folder, &["weather", name, "--json"]));
    let (one, other) = (shown("town.epw"), shown("latin.epw"));
    assert!(one.to_string().contains("Löwenmünster"), "{one}");
    let place = |shown: &Value| shown["station"].clone();
    assert_eq!(place(&one), place(&other));
    fs::write(folder.path().join("odd.epw"), [&latin[..], &[0, 7]].concat()).expect("written");
    let refused = setband(&folder, &["weather", "odd.epw"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(text(&refused.stderr).contains("save it as UTF-8"));
}

#[test]
fn an_epw_file_is_known_by_its_content_and_shown_with_its_radiation() {
    let folder = folder_with("town.csv", &buffalo());
    let found = json(&setband(&folder, &["weather", "town.csv", "--json"]));
    assert_eq!(found["layout"], "EPW");
    assert_eq!(found["station"]["name"], "Buffalo Niagara Intl AP");
    assert_eq!(
        (&found["station"]["latitude"], &found["station"]["utc_offset"]),
        (&42.93.into(), &(-5.0).into())
    );
    // By hand from the file's rows: sum(GHI) is 1359 kWh/m2 to the whole one; see also
    // reference/data/buffalo_facades.csv.
    let flat = found["radiation_kwh_m2"]["all"]["horizontal"].as_f64().expect("a number");
    assert!((flat / 1358.8 - 1.0).abs() < 0.01, "{flat}");
    assert_eq!(found["radiation_kwh_m2"]["months"].as_array().map(Vec::len), Some(12));
    assert!(found["means"]["wind_speed"].as_f64().is_some_and(|it| (3.0..7.0).contains(&it)));
    let printed = text(&setband(&folder, &["weather", "town.csv"]).stdout);
    let printed = printed.split_whitespace().collect::<Vec<_>>().join(" ");
    for words in
        ["Layout: EPW", "42.93° north", "end of their hour", "Means of what is written", "July"]
    {
        assert!(printed.contains(words), "{words}: {printed}");
    }
    let svg = fs::read_to_string(folder.path().join("out/town/weather.svg")).expect("a chart");
    assert!(svg.contains("radiation-south") && svg.contains("horizontal"));
    let twice = setband(&folder, &["weather", "town.csv", "--site", "1,2,0"]);
    assert_eq!(twice.status.code(), Some(2));
}

#[test]
fn a_file_of_any_layout_serves_a_scenario_under_any_key() {
    let folder = folder_with("town.epw", &buffalo());
    let room = ", windows: [{area: 8 m2, u: 1.4, g: 0.5, facing: south}]";
    let hours = |weather: &str| {
        let found = run(&folder, &scenario("{from: 2025-03-10, step: 1 h}", weather, room));
        let outdoors: Vec<f64> = found.rows.iter().map(|row| row.outdoor).collect();
        (outdoors, found.summary.energy.total_kwh.to_bits())
    };
    let by_block = hours("{file: {name: town.epw}}");
    assert_eq!(by_block, hours("{file: town.epw}"));
    assert_eq!(by_block, hours("{tmy3: {file: town.epw}}"));
    assert_eq!(by_block, hours("{csv: town.epw}"));
    assert_ne!(by_block, hours("{file: {name: town.epw, day: hottest}}"));
    let fault = |weather: &str| {
        let path = folder.path().join("wrong.yaml");
        fs::write(&path, scenario("{from: 2025-03-10}", weather, room)).expect("written");
        load(&path).expect_err("something is wrong").to_string()
    };
    assert!(fault("{file: town.epw, stamp: start}").contains("idle-stamp"));
    assert!(fault("{file: town.epw, sky: clear}").contains("radiation of its own"));
    fs::write(folder.path().join("notes.txt"), "bread\nmilk\n").expect("written");
    let unknown = fault("{file: notes.txt}");
    for words in ["`bread`, `milk`", "TMY3", "EPW", "NSRDB CSV", "time,temperature"] {
        assert!(unknown.contains(words), "{words}: {unknown}");
    }
}

/// The same morning's radiation, stamped at the end or at the start of its hour, lights an east
/// window the more the earlier it is taken to be.
#[test]
fn the_stamp_moves_the_light_of_a_csv() {
    let site = "site: {latitude: 45, longitude: 15, utc_offset: 1}";
    let removed = |stamp: &str| {
        let mut rows = "time,temperature,beam,diffuse\n".to_owned();
        rows.extend((0..24).map(|hour| {
            let beam = if (7..=10).contains(&hour) { 700 } else { 0 };
            format!("2025-06-21T{hour:02}:00,24,{beam},{}\n", beam / 7)
        }));
        let folder = folder_with("sky.csv", &rows);
        let weather = format!("{{file: sky.csv, {site}{stamp}}}");
        let room = ", start: 26, windows: [{area: 10 m2, u: 1.4, g: 0.5, facing: east}]";
        run(&folder, &scenario("{from: 2025-06-21}", &weather, room))
            .summary
            .energy
            .heat_removed_kwh
    };
    let (start, end) = (removed(", stamp: start"), removed(", stamp: end"));
    assert!(end > start + 0.5, "{start} {end}");
    assert_eq!(end.to_bits(), removed("").to_bits());
}

#[test]
fn a_csv_shows_its_radiation_where_its_place_is_given() {
    let folder =
        folder_with(
            "logger.csv",
            &readings("radiation", |hour| {
                if (9..=18).contains(&hour) { "500".into() } else { "0".into() }
            }),
        );
    let bare = text(&setband(&folder, &["weather", "logger.csv"]).stdout);
    assert!(bare.contains("with --site"), "{bare}");
    let placed = setband(&folder, &["weather", "logger.csv", "--site", "45,15,1", "--json"]);
    let found = json(&placed);
    let flat = found["radiation_kwh_m2"]["all"]["horizontal"].as_f64().expect("a number");
    // Ten hours of 500 W/m2.
    assert!((flat - 5.0).abs() < 0.05, "{flat}");
    for wrong in ["45", "45,15", "95,15,1", "a,b,c"] {
        let output = setband(&folder, &["weather", "logger.csv", "--site", wrong]);
        assert_eq!(output.status.code(), Some(2), "{wrong}");
    }
    let stamp = setband(&folder, &["weather", "logger.csv", "--stamp", "noon"]);
    assert_eq!(stamp.status.code(), Some(2));
}

#[test]
fn changed_defaults_are_told_with_what_they_were_and_whether_they_count() {
    let folder = folder_with("town.epw", &buffalo());
    let room = ", windows: [{area: 8 m2, u: 1.4, g: 0.5, facing: south}]";
    let study = scenario("{from: 2025-03-10}", "{file: town.epw}", room);
    fs::write(folder.path().join("study.yaml"), study).expect("written");
    let found = json(&setband(&folder, &["run", "study.yaml", "--explain-defaults", "--json"]));
    let rows = found["changed_defaults"].as_array().expect("rows");
    let of = |key: &str| rows.iter().find(|row| row["setting"] == key).expect("that key");
    let frame = of("zones.*.space.windows.frame");
    assert_eq!((&frame["now"], &frame["first_edition"]), (&"0.2".into(), &"0".into()));
    assert_eq!(frame["counts_here"], true);
    assert_eq!(of("unit.sensible_heat_ratio")["counts_here"], false);
    let printed = text(&setband(&folder, &["run", "study.yaml", "--explain-defaults"]).stdout);
    assert!(printed.contains("weather.sky") && printed.contains("isotropic"), "{printed}");
    assert!(!folder.path().join("out").exists());
}

/// Written out, the first edition's defaults bring its results back: half of the light that a frame
/// and a slant keep out comes in again.
#[test]
fn frame_angle_and_shade_keep_sun_out() {
    let folder = folder_with("town.epw", &buffalo());
    let gain = |window: &str| {
        let room = format!(
            ", start: 26, windows: [{{area: 10 m2, u: 0.5, g: 0.5, facing: south{window}}}]"
        );
        let study = scenario("{from: 2025-07-10}", "{file: town.epw, humidity: 50}", &room);
        run(&folder, &study).summary.energy.heat_removed_kwh
    };
    let first_edition = gain(", frame: 0, incidence_angle_modifier: false");
    let bare = gain(", frame: 0");
    let framed = gain("");
    let shaded = gain(", shade: {above: 150 W/m2}");
    let occupied = gain(", shade: {when: occupied}");
    assert!(first_edition > bare && bare > framed && framed > shaded && shaded > occupied);
}

/// Twelve means of daily radiation, kWh/m2, of a made-up town.
const MEANS: &str = "[1.1, 1.9, 3.0, 4.2, 5.2, 5.8, 5.6, 4.9, 3.6, 2.3, 1.3, 0.9]";
const PLACE: &str = "site: {latitude: 47, longitude: 8, utc_offset: 1}";

fn faults_of(text: &str) -> String {
    let folder = folder_with("study.yaml", text);
    load(&folder.path().join("study.yaml")).expect_err("something is wrong").to_string()
}

#[test]
fn monthly_means_bring_less_sun_than_a_clear_sky() {
    let removed = |more: &str, month: u32| {
        let weather = format!("{{design_day: {{high: 30, range: 6}}, {PLACE}{more}}}");
        let room = ", start: 26, windows: [{area: 10 m2, u: 0.5, g: 0.5, facing: south}]";
        let folder = tempfile::tempdir().expect("a folder");
        let period = format!("{{from: 2025-{month:02}-15}}");
        run(&folder, &scenario(&period, &weather, room)).summary.energy.heat_removed_kwh
    };
    let (clear, monthly) =
        (removed(", sky: clear", 3), removed(&format!(", radiation: {MEANS}"), 3));
    assert!(monthly > 0.3 * clear && monthly < 0.9 * clear, "{monthly} {clear}");
    let dark = removed(", radiation: [0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0]", 3);
    assert!(dark < 0.7 * monthly, "{dark} {monthly}");
}

#[test]
fn what_contradicts_itself_about_sky_and_sun_is_told() {
    let weather = |more: &str| format!("{{design_day: {{high: 30, range: 6}}{more}}}");
    let glass = ", windows: [{area: 2 m2, u: 1, g: 0.5, facing: south}]";
    let sky = |more: &str| faults_of(&scenario("{from: 2025-06-15}", &weather(more), glass));
    for (more, words) in [
        (format!(", {PLACE}, sky: clear, radiation: {MEANS}"), "has monthly means of radiation"),
        (format!(", radiation: {MEANS}"), "needs a place on earth"),
        (format!(", {PLACE}, sky: [isotropic, anisotropic]"), "isotropic and anisotropic"),
        (
            format!(", {PLACE}, radiation: [9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9, 9]"),
            "without an atmosphere",
        ),
    ] {
        let found = sky(&more);
        assert!(found.contains(words), "{words}: {found}");
    }
    let room = |room: &str| {
        let weather = weather(&format!(", {PLACE}"));
        faults_of(&scenario("{from: 2025-06-15}", &weather, room))
    };
    for (more, code) in [
        (", windows: [{area: 2 m2, u: 1, g: 0.5, facing: south, shade: {}}]", "missing-key"),
        (", windows: [{area: 2 m2, u: 1, shade: {above: 200 W/m2}}]", "idle-shade"),
        (", sun_on: [{area: 200 m2, facing: south, u: 3}]", "walls-too-large"),
    ] {
        let found = room(more);
        assert!(found.contains(code), "{code}: {found}");
    }
}

/// By hand: 0.6 of the light on a wall is absorbed, and 0.04 m2K/W times 0.8 W/(m2 K) of that comes
/// in: at 20 m2, 0.384 W for each W/m2, next to 4 W through 10 m2 of a window with g 0.5 less its
/// frame. So the wall adds about a tenth of what the window alone brings.
#[test]
fn a_sunny_wall_brings_heat_in() {
    let removed = |room: &str| {
        let weather = format!("{{design_day: {{high: 30, range: 6}}, {PLACE}, sky: clear}}");
        let folder = tempfile::tempdir().expect("a folder");
        let room = format!(", start: 26, opaque: 16 W/K{room}");
        run(&folder, &scenario("{from: 2025-06-15}", &weather, &room))
            .summary
            .energy
            .heat_removed_kwh
    };
    let bare = removed("");
    let wall = removed(", sun_on: [{area: 20 m2, facing: south}]") - bare;
    let glass = removed(
        ", windows: [{area: 10 m2, u: 0.05, g: 0.5, facing: south, incidence_angle_modifier: false}]",
    ) - bare;
    assert!((wall / glass - 0.096).abs() < 0.03, "{wall} {glass}");
}
