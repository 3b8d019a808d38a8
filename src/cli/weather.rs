//! `setband weather`: what a weather file says, and what is wrong with it.

use std::path::PathBuf;

use clap::Args;

use super::failure::Failure;
use super::files::Folder;
use super::options::{Print, UnitArgument};
use super::{CommandOutput, source, terminal};
use crate::report::{self, Climate, chart};
use crate::scenario::load_weather;
use crate::units::{TemperatureUnit, parse_number};
use crate::weather::{
    COLDEST, DEGREE_DAY_BASE, Site, SkyModel, Stamp, Statistics, WARMEST, light_by_month,
};

/// Arguments of `weather`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband weather town.csv\n  setband weather town.csv \
                        --temperature F --base 65\n  setband weather logger.csv --site \
                        45.5,-122.6,-8 --stamp start\n  setband weather town.epw --json\n\nThe \
                        layouts TMY3, EPW and NSRDB CSV are known by their content, whatever the \
                        file's name; they are in C. A CSV of your own has the columns time and \
                        temperature, and may have humidity or dew_point, radiation, beam, diffuse \
                        and wind; its temperatures are in the unit of --temperature.\nA day is \
                        its 24 rows 01:00 to 24:00; degree-days come from daily means.\n\nFiles: \
                        weather.json, weather.svg, weather.png")]
pub(super) struct WeatherArguments {
    /// The weather file
    pub(super) file: PathBuf,
    /// The unit of what is printed, and of the temperatures of a CSV
    #[arg(long, value_name = "UNIT", default_value = "C", ignore_case = true)]
    pub(super) temperature: UnitArgument,
    /// Base of the degree-days and balance point of the mixed day, in that unit [default: 18.3 C]
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub(super) base: Option<f64>,
    /// Where a CSV of your own was measured: degrees north, degrees east, hours ahead of UTC
    #[arg(long, value_name = "LATITUDE,LONGITUDE,UTC", allow_hyphen_values = true, value_parser = site)]
    pub(super) site: Option<Site>,
    /// Where the times of a CSV of your own stand in what a row's radiation is the mean of
    #[arg(long, value_name = "WHERE", default_value = "end", value_parser = stamp)]
    pub(super) stamp: Stamp,
    /// Folder for the files [default: out/<file stem>/]
    #[arg(long, value_name = "DIR")]
    pub(super) out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) print: Print,
}

pub(super) fn weather(arguments: &WeatherArguments) -> Result<CommandOutput, Failure> {
    let unit = match arguments.temperature {
        UnitArgument::Celsius => TemperatureUnit::Celsius,
        UnitArgument::Fahrenheit => TemperatureUnit::Fahrenheit,
    };
    let base = base(arguments.base, unit)?;
    let file = load_weather(&arguments.file, unit)?;
    let Some(statistics) = Statistics::new(file.days(), base) else {
        return Err(Failure::Call {
            what: "the weather file has no whole day".into(),
            help: "a day needs rows from its first hour to its last".into(),
        });
    };
    let name = arguments.file.file_name().unwrap_or(arguments.file.as_os_str());
    let name = name.to_string_lossy().into_owned();
    let (site, stamp) = (arguments.site, arguments.stamp);
    if site.is_some() && file.site().is_some() {
        return Err(Failure::Call {
            what: format!("{name} says itself where it was measured"),
            help: "take --site out".into(),
        });
    }
    let light = file.light(stamp).zip(site.or(file.site()));
    let light = light.and_then(|((first, spells), site)| {
        light_by_month(first, &spells, site, SkyModel::Anisotropic)
    });
    let climate = Climate {
        name: &name,
        file: &file,
        statistics: &statistics,
        light: light.as_deref(),
        stamp,
        unit,
    };
    let out = arguments.out.as_deref();
    let folder = Folder::prepare(source::folder_for(&arguments.file, out, None), "weather")?;
    let json = report::weather_json(&climate)?;
    let files = write(folder, &climate, &json)?;
    Ok(CommandOutput::with(match (arguments.print.json, arguments.print.quiet) {
        (true, _) => json,
        (false, true) => String::new(),
        (false, false) => report::weather_text(&climate, terminal::style(), &files),
    }))
}

/// Three numbers with commas between them.
fn site(text: &str) -> Result<Site, String> {
    let numbers: Vec<f64> = text.split(',').filter_map(parse_number).collect();
    let right = "write three numbers, for example 45.5,-122.6,-8";
    let &[latitude, longitude, utc_offset] = &numbers[..] else { return Err(right.into()) };
    let within = latitude.abs() <= 90.0
        && longitude.abs() <= 180.0
        && (-12.0..=14.0).contains(&utc_offset)
        && text.split(',').count() == 3;
    within.then_some(Site { latitude, longitude, utc_offset }).ok_or_else(|| {
        format!("{right}: -90 to 90 north, -180 to 180 east, -12 to 14 hours ahead of UTC")
    })
}

fn stamp(text: &str) -> Result<Stamp, String> {
    let named = Stamp::ALL.into_iter().find(|stamp| stamp.name() == text);
    named.ok_or_else(|| "write start, middle or end".into())
}

/// The base in C.
fn base(given: Option<f64>, unit: TemperatureUnit) -> Result<f64, Failure> {
    let Some(given) = given else { return Ok(DEGREE_DAY_BASE) };
    let celsius = unit.to_celsius(given);
    if (COLDEST..=WARMEST).contains(&celsius) {
        return Ok(celsius);
    }
    Err(Failure::Call {
        what: format!("--base {given} is no outdoor temperature in {}", unit.letter()),
        help: "for example --base 18.3, or --temperature F --base 65".into(),
    })
}

fn write(mut folder: Folder, climate: &Climate, json: &str) -> Result<Vec<String>, Failure> {
    let formed = |error: chart::ChartFault| Failure::Form(error.to_string());
    folder.add("weather.json", json.as_bytes())?;
    let svg = chart::weather_svg(climate, chart::USUAL_WIDTH).map_err(formed)?;
    folder.add("weather.svg", svg.as_bytes())?;
    folder.add("weather.png", &chart::png(&svg).map_err(formed)?)?;
    folder.finish()
}
