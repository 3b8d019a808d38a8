//! The log's clock against the sun: radiation of a made sky, recorded by a clock that is right or off,
//! and the published radiation of a year.
#![expect(clippy::print_stderr, reason = "how many of a hundred were found is worth reading")]
#![expect(clippy::cast_possible_truncation, reason = "a few rounds")]

use std::fmt::Write as _;
use std::io::Read;

use flate2::read::GzDecoder;
use jiff::civil::{Date, date};
use serde_json::Value;
use setband::log::LogTime;
use setband::study::audit::{Audit, LogFinding, Weight, audit};
use setband::weather::{Site, sun_position};

use super::audits::rounds;
use super::maker::{Dice, read};

const TEXT: &str =
    "log: {file: sun.csv, outdoor: out, radiation: sun, zones: {shed: {temperature: air}}}
zones:
  shed: {space: {floor: 30 m2}, unit: {heating: 2 kW}, controls: {heat: 18, cool: 26}}
";

struct Sky {
    site: Site,
    first: Date,
    days: i64,
    /// Between rows, min.
    every: i64,
    seed: u64,
}

impl Sky {
    fn random(seed: u64) -> Self {
        let mut dice = Dice(seed);
        let longitude = dice.between(-120.0, 120.0);
        let offset = (longitude / 15.0).round() + dice.pick(&[-0.5, 0.0, 0.0, 1.0]);
        Self {
            site: Site { latitude: dice.between(-50.0, 55.0), longitude, utc_offset: offset },
            first: date(2025, dice.pick(&[1, 3, 4, 6, 9, 12]), 10),
            days: dice.pick(&[3, 7, 7, 14]),
            every: dice.pick(&[1, 5, 5, 15]),
            seed,
        }
    }

    /// A log whose clock is so many minutes ahead: light through clouds that come and go, with what a
    /// sensor shows at night.
    fn log(&self, ahead: i64) -> String {
        let mut dice = Dice(self.seed ^ 0xC10D);
        let mut out = "time,out,sun,air\n".to_owned();
        let midnight = LogTime::midnight(self.first);
        let mut clear: f64 = 0.7;
        for minute in (0..self.days * 1440).step_by(usize::try_from(self.every).expect("positive"))
        {
            let second = (minute * 60) as f64;
            let sun = sun_position(self.site, self.first, second).expect("on the globe");
            let part = (self.every as f64 / 60.0).min(1.0);
            clear += part * (0.6 - clear) + part.sqrt() * 0.35 * dice.normal();
            clear = clear.clamp(0.08, 1.0);
            let up = sun.altitude.to_radians().sin().max(0.0);
            // Light by the simplest of skies; at dusk some is left.
            let dusk = 3.0 * ((sun.altitude + 4.0) / 4.0).clamp(0.0, 1.0);
            let light = 1100.0 * up.powf(1.15) * clear + dusk + 0.8 * dice.normal();
            let at = midnight + (minute + ahead) * 60;
            let _ = writeln!(out, "{at},10.0,{light:.0},19.0");
        }
        out
    }

    fn text(&self) -> String {
        placed(self.site)
    }
}

/// The scenario at a place.
fn placed(site: Site) -> String {
    let Site { latitude, longitude, utc_offset } = site;
    format!(
        "weather: {{design_day: {{high: 20, range: 10}}, site: {{latitude: {latitude}, longitude: \
         {longitude}, utc_offset: {utc_offset}}}}}\n{TEXT}"
    )
}

fn of(text: &str, log: &str) -> Audit {
    let model = read(text, log.as_bytes());
    let site = model.log.clone().expect("there is one");
    audit(&model, &site)
}

fn off(audit: &Audit) -> Option<&LogFinding> {
    audit.findings.iter().find(|it| it.code == "clock_off")
}

fn minutes(found: &LogFinding) -> f64 {
    found.values["minutes"].as_f64().expect("a number")
}

/// An hour, half an hour, and universal time taken for local: found in 95 of 100, and called off in at
/// most 5 of 100 where the clock is right.
#[test]
fn a_clock_that_is_off_the_sun_is_found() {
    for ahead in [60, -60, 30, -30, 480, 0] {
        let mut wrong = Vec::new();
        let mut misses: f64 = 0.0;
        for seed in 0..rounds() {
            let sky = Sky::random(seed * 7919 + 5);
            let audit = of(&sky.text(), &sky.log(ahead));
            let found = off(&audit);
            if found.is_some() != (ahead != 0) {
                wrong.push(format!("{seed}: {:?}", found.map(|it| &it.message)));
            }
            if let Some(found) = found {
                assert_eq!(
                    (found.weight, &found.values["against"]),
                    (Weight::Contradiction, &Value::from("sun"))
                );
                misses = misses.max((minutes(found) - ahead as f64).abs());
            }
        }
        let most = (rounds() as usize / 20).max(1);
        eprintln!(
            "sun, {ahead} min: {} of {} wrong, furthest {misses:.1} min",
            wrong.len(),
            rounds()
        );
        assert!(wrong.len() <= most, "{ahead}: {wrong:#?}");
        assert!(misses < 25.0, "{ahead}: {misses}");
    }
}

#[test]
fn what_puts_the_clock_right_counts_what_the_file_has_already() {
    let sky = Sky { every: 5, days: 7, ..Sky::random(11) };
    let log = sky.log(60);
    let audit = of(&sky.text(), &log);
    let found = off(&audit).expect("an hour");
    assert!(found.message.contains("later than the sun's over 7 days"), "{}", found.message);
    assert!(
        found.message.contains("certain") && found.message.contains("probability"),
        "{}",
        found.message
    );
    let about: f64 = minutes(found).round();
    assert!(found.remedy.contains(&format!("`ahead: {about} min`")), "{}", found.remedy);
    let partly = sky.text().replace("radiation: sun", "radiation: sun, ahead: 20 min");
    let audit = of(&partly, &log);
    let found = off(&audit).expect("forty minutes are left");
    assert!((minutes(found) - about + 20.0).abs() < 1.0, "{}", found.message);
    assert!(found.remedy.contains(&format!("`ahead: {about} min`")), "{}", found.remedy);
    let righted =
        sky.text().replace("radiation: sun", &format!("radiation: sun, ahead: {about} min"));
    assert!(off(&of(&righted, &log)).is_none());
}

#[test]
fn without_a_place_or_a_whole_day_the_log_cannot_say() {
    let sky = Sky { every: 15, days: 1, ..Sky::random(11) };
    let log = sky.log(60);
    let why = |text: &str, log: &str| {
        let audit = of(text, log);
        assert!(off(&audit).is_none());
        let silent = audit.cannot_say.iter().find(|it| it.setting == "log.ahead");
        silent.expect("it is said").why.clone()
    };
    assert!(why(TEXT, &log).contains("where the building stands"));
    let night: String = log.split_inclusive('\n').take(10).collect();
    assert!(why(&sky.text(), &night).contains("on no day"));
}

/// Hourly radiation on the horizontal of a typical year of Greensboro, North Carolina (TMY3, station
/// 723170, `tests/data`): month, day, the hour that it ends, W/m2.
fn typical_year() -> Vec<(i8, i8, i64, String)> {
    let mut text = String::new();
    let file = include_bytes!("../../data/greensboro_tmy3.csv.gz");
    GzDecoder::new(&file[..]).read_to_string(&mut text).expect("a text");
    let number = |text: &str| text.parse().expect("a number");
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let hour = cells[1][..2].parse().expect("an hour");
        (number(&cells[0][..2]), number(&cells[0][3..5]), hour, cells[4].to_owned())
    };
    text.lines().skip(2).map(row).collect()
}

/// Published radiation, whose own clock is right: a week of each month goes with the sun within half
/// a row in the middle of its hours, is called right at their ends, and an hour more is told.
#[test]
fn published_radiation_goes_with_the_sun_and_an_hour_more_is_told() {
    let year = typical_year();
    let place = placed(Site { latitude: 36.1, longitude: -79.95, utc_offset: -5.0 });
    for month in 1..=12 {
        let log = |ahead: i64| {
            let week = year.iter().filter(|row| row.0 == month && row.1 <= 7);
            let mut out = "time,out,sun,air\n".to_owned();
            for (month, day, hour, light) in week {
                let at = LogTime::midnight(date(2025, *month, *day)) + hour * 3600 + ahead * 60;
                let _ = writeln!(out, "{at},10.0,{light},19.0");
            }
            out
        };
        assert!(off(&of(&place, &log(0))).is_none(), "month {month}");
        let audit = of(&place, &log(60));
        let found = off(&audit).unwrap_or_else(|| panic!("month {month}"));
        let middle = minutes(found) - 60.0 - 30.0;
        eprintln!("month {month}: {middle:.1} min in the middle of its hours");
        assert!(middle.abs() < 30.0, "month {month}: {}", found.message);
    }
}
