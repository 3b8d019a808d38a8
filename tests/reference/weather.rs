//! A public weather file against what others computed from it.

use std::io::Read;

use approx::{assert_abs_diff_eq, assert_relative_eq};
use flate2::read::GzDecoder;
use jiff::civil::date;
use serde::Deserialize;
use setband::moist_air::over_water;
use setband::time::{Period, Seconds};
use setband::units::TemperatureUnit;
use setband::weather::{
    DEGREE_DAY_BASE, Light, LitSpell, Outstanding, Pick, Plane, Record, Statistics, SunPath,
    WeatherFile,
};

use super::sheet::rows;

const FILE: &[u8] = include_bytes!("../data/greensboro_tmy3.csv.gz");
const STATISTICS: &str = include_str!("data/weather_statistics.csv");
/// The figures are printed with four to six decimals.
const FOUR_DECIMALS: f64 = 1e-4;
/// Yearly sums are printed with three decimals, kWh/m2.
const THREE_DECIMALS: f64 = 1e-3;
/// The file's own global radiation is a model's, whole W/m2 an hour; its beam and diffuse part, put
/// together with the sun of mid-hour, agree with it this closely over the year. A clock that is an
/// hour off would be 4 % off.
const CLOSURE: f64 = 0.01;
/// Humidity is printed in whole percent, dew point in tenths: over a year the roundings cancel.
const TWO_WAYS_TO_HUMIDITY: f64 = 0.005;

#[derive(Deserialize)]
struct Expected {
    #[serde(rename = "t_mean_C")]
    mean: f64,
    #[serde(rename = "t_min_C")]
    lowest: f64,
    #[serde(rename = "t_max_C")]
    highest: f64,
    hdd18_3_daily_mean: f64,
    cdd18_3_daily_mean: f64,
    coldest_day: String,
    #[serde(rename = "coldest_day_mean_C")]
    coldest_mean: f64,
    hottest_day: String,
    #[serde(rename = "hottest_day_mean_C")]
    hottest_mean: f64,
    ghi_kwh_m2: f64,
    dni_kwh_m2: f64,
    dhi_kwh_m2: f64,
}

fn text() -> String {
    let mut text = String::new();
    GzDecoder::new(FILE).read_to_string(&mut text).expect("a text");
    text
}

fn file() -> WeatherFile {
    WeatherFile::read(&text(), TemperatureUnit::Celsius).expect("a right file")
}

fn expected() -> Expected {
    rows::<Expected>(STATISTICS).into_iter().next().expect("the row of Greensboro")
}

#[test]
fn degree_days_and_extremes_of_the_year() {
    let (found, expected) =
        (Statistics::new(file().days(), DEGREE_DAY_BASE).expect("days"), expected());
    assert_abs_diff_eq!(found.mean(), expected.mean, epsilon = FOUR_DECIMALS);
    assert_eq!(found.extremes(), (expected.lowest, expected.highest));
    let near = |ours: f64, theirs: f64| assert_abs_diff_eq!(ours, theirs, epsilon = FOUR_DECIMALS);
    near(found.heating_degree_days(), expected.hdd18_3_daily_mean);
    near(found.cooling_degree_days(), expected.cdd18_3_daily_mean);
    for (which, day, mean) in [
        (Outstanding::Coldest, expected.coldest_day, expected.coldest_mean),
        (Outstanding::Hottest, expected.hottest_day, expected.hottest_mean),
    ] {
        let ours = found.outstanding(which);
        assert_eq!(format!("{:02}-{:02}", ours.date.month(), ours.date.day()), day);
        near(ours.mean, mean);
    }
}

fn year_of_sun() -> (Record, SunPath) {
    let WeatherFile::Typical(year) = file() else { panic!("a typical year") };
    let period = Period::new(date(2023, 1, 1), 365, Seconds::hours(1)).expect("a year");
    let weather = year.weather(Pick::Dates, &period, None);
    let site = weather.site().expect("the station's");
    let path = SunPath::new(site, date(2023, 1, 1), 365).expect("a site on the globe");
    (weather.record().expect("a record").clone(), path)
}

#[test]
fn the_years_radiation_is_kept_and_its_parts_make_up_the_whole() {
    let (record, path) = year_of_sun();
    let spells = record.light.expect("radiation");
    // The first spell ends as the year begins.
    let (mut beam, mut diffuse, mut ground) = (0.0, 0.0, 0.0);
    for spell in spells.iter().filter(|spell| spell.from >= 0.0) {
        let Light::Split { .. } = spell.light else { panic!("the file has both parts") };
        let lit = LitSpell::around(spell.from, &spells, &path);
        let hours = (spell.to - spell.from) / 3600.0;
        beam += lit.sunlight.beam * hours / 1000.0;
        diffuse += lit.sunlight.diffuse * hours / 1000.0;
        ground += lit.sunlight.on(&Plane::new(0.0, 0.0)).total() * hours / 1000.0;
    }
    let expected = expected();
    assert_abs_diff_eq!(beam, expected.dni_kwh_m2, epsilon = THREE_DECIMALS);
    assert_abs_diff_eq!(diffuse, expected.dhi_kwh_m2, epsilon = THREE_DECIMALS);
    assert_relative_eq!(ground, expected.ghi_kwh_m2, max_relative = CLOSURE);
}

/// What the split of Erbs, Klein and Duffie (1982) makes of global radiation alone, against the
/// file's own parts: the paper gives its hourly scatter; over a year ours stays within a tenth.
#[test]
fn global_radiation_alone_is_split_nearly_as_the_file_has_it() {
    let bare = text().lines().enumerate().fold(String::new(), |mut bare, (place, line)| {
        let mut fields: Vec<&str> = line.split(',').collect();
        if place > 1 {
            (fields[7], fields[10]) = ("-9900", "-9900");
        }
        bare += &fields.join(",");
        bare.push('\n');
        bare
    });
    let WeatherFile::Typical(year) =
        WeatherFile::read(&bare, TemperatureUnit::Celsius).expect("a right file")
    else {
        panic!("a typical year")
    };
    let period = Period::new(date(2023, 1, 1), 365, Seconds::hours(1)).expect("a year");
    let weather = year.weather(Pick::Dates, &period, None);
    let spells = weather.record().and_then(|it| it.light.clone()).expect("radiation");
    let path = year_of_sun().1;
    let (mut diffuse, mut ground) = (0.0, 0.0);
    for spell in spells.iter().filter(|spell| spell.from >= 0.0) {
        assert!(matches!(spell.light, Light::Global(_)));
        let light = LitSpell::around(spell.from, &spells, &path).sunlight;
        diffuse += light.diffuse / 1000.0;
        ground += light.on(&Plane::new(0.0, 0.0)).total() / 1000.0;
    }
    let expected = expected();
    assert_abs_diff_eq!(ground, expected.ghi_kwh_m2, epsilon = THREE_DECIMALS);
    assert_relative_eq!(diffuse, expected.dhi_kwh_m2, max_relative = 0.1);
}

#[test]
fn humidity_and_dew_point_tell_the_same_vapour() {
    let record = year_of_sun().0;
    let vapour = record.vapour.expect("humidity");
    // Rows from the third line on are hours 1, 2 ...; the record begins with hour 0.
    let dew_points = text()
        .lines()
        .skip(2)
        .map(|line| {
            line.split(',')
                .nth(34)
                .and_then(|field| field.parse::<f64>().ok())
                .expect("a dew point")
        })
        .collect::<Vec<_>>();
    assert_eq!(vapour.len(), dew_points.len() + 1);
    let from_dew_point: f64 = dew_points.iter().map(|dew_point| over_water(*dew_point)).sum();
    let from_humidity: f64 = vapour[1..].iter().sum();
    assert_relative_eq!(from_humidity, from_dew_point, max_relative = TWO_WAYS_TO_HUMIDITY);
}
