//! Outdoor air, site and sky.

use std::sync::Arc;

use super::Open;
use super::readings;
use crate::engine::Humidity;
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Fields, number_of};
use crate::scenario::keys::Kind;
use crate::scenario::ranges;
use crate::scenario::scalar::Scalar;
use crate::scenario::tree::Value;
use crate::time::Period;
use crate::units::TemperatureUnit;
use crate::weather::{ClearSky, Site, Weather};

/// Everything under `weather`.
pub(super) struct WeatherKeys {
    pub(super) weather: Weather,
    pub(super) site: Option<Site>,
    pub(super) clear_sky: Option<ClearSky>,
    pub(super) humidity: Humidity,
}

/// Reads the block; without a period a weather file cannot be placed in time.
pub(super) fn read(fields: &Fields, period: Option<&Period>, open: Open) -> Option<WeatherKeys> {
    let site = fields.block("site").map(|site| read_site(&site));
    let clear_sky = fields.block("clear_sky").map(|sky| read_sky(&sky));
    // A site with a fault must not be replaced by the file's: the fault is what has to be told.
    let mut weather = read_source(fields, period, site.flatten(), open)?;
    if let Weather::Record(record) = &mut weather
        && matches!(fields.read("humidity"), Some(Scalar::Number(_)) if fields.has("humidity"))
    {
        Arc::make_mut(record).vapour = None;
    }
    let site = if site.is_some() { site.flatten() } else { weather.site() };
    let humidity = read_humidity(fields, &weather)?;
    Some(WeatherKeys { weather, site, clear_sky: clear_sky.flatten(), humidity })
}

/// How damp the air is; water that is followed needs to know what comes in with outdoor air.
fn read_humidity(fields: &Fields, weather: &Weather) -> Option<Humidity> {
    let dew_point = fields.optional("dew_point", Fields::number)?;
    let own = weather.record().is_some_and(|record| record.vapour.is_some());
    let asked = if fields.has("humidity") {
        fields.read("humidity")?
    } else {
        Scalar::Number(fields.number("humidity")?)
    };
    let complaint = match asked {
        Scalar::Number(percent) if dew_point.is_none() => {
            return Some(Humidity::Constant(percent));
        }
        Scalar::Number(_) => Complaint::new("idle-dew-point", "the dew point counts for nothing")
            .help("write `humidity: balance` beside it, or take it out"),
        _ if own && dew_point.is_some() => {
            Complaint::new("idle-dew-point", "the weather file has a humidity of its own")
                .help("take the dew point out")
        }
        _ if own || dew_point.is_some() => return Some(Humidity::Followed { dew_point }),
        _ => Complaint::new("no-dew-point", "this weather does not say how damp outdoor air is")
            .help("add its dew point, such as `dew_point: 12`"),
    };
    let key = if dew_point.is_some() { "dew_point" } else { "humidity" };
    fields.fault(key, complaint);
    None
}

fn read_site(fields: &Fields) -> Option<Site> {
    Some(Site {
        latitude: fields.number("latitude")?,
        longitude: fields.number("longitude")?,
        utc_offset: fields.number("utc_offset")?,
    })
}

fn read_sky(fields: &Fields) -> Option<ClearSky> {
    Some(ClearSky { taub: fields.number("taub")?, taud: fields.number("taud")? })
}

const SOURCES: [&str; 5] = ["design_day", "hours", "monthly", "csv", "tmy3"];

fn read_source(
    fields: &Fields,
    period: Option<&Period>,
    site: Option<Site>,
    open: Open,
) -> Option<Weather> {
    let written: Vec<&str> = SOURCES.into_iter().filter(|key| fields.has(key)).collect();
    let unit = fields.checker.unit;
    if fields.has("fill") && written != ["csv"] {
        let idle = Complaint::new("idle-fill", "`fill` says what is put into gaps of `csv`");
        fields.fault("fill", idle.help("take it out"));
    }
    match written[..] {
        ["design_day"] => read_design_day(&fields.block("design_day")?, unit, site),
        ["hours"] => {
            let hours = fields.numbers("hours")?.into_iter().map(|value| unit.to_celsius(value));
            Some(Weather::Hours(Box::new(hours.collect::<Vec<_>>().try_into().ok()?)))
        }
        ["monthly"] => read_monthly(fields, unit, site),
        ["csv"] => readings::read_csv(fields, period?, site, open),
        ["tmy3"] => readings::read_tmy3(&fields.block("tmy3")?, period?, site, open),
        [] => {
            let none = Complaint::new("weather-source", "the weather has no temperatures");
            fields.fault_here(none.help(
                "give one of design_day, hours, monthly, csv, tmy3: `design_day: {high: 30, range: 12}`",
            ));
            None
        }
        _ => {
            let message = format!("the weather comes from {} at once", written.join(" and "));
            fields.fault(written[1], Complaint::new("weather-source", message).help("keep one"));
            None
        }
    }
}

fn read_design_day(fields: &Fields, unit: TemperatureUnit, site: Option<Site>) -> Option<Weather> {
    Some(Weather::DesignDay {
        high: unit.to_celsius(fields.number("high")?),
        range: unit.difference_to_kelvin(fields.number("range")?),
        site,
    })
}

fn read_monthly(fields: &Fields, unit: TemperatureUnit, site: Option<Site>) -> Option<Weather> {
    let Value::List(months) = &fields.node("monthly")?.value else { return None };
    let mut pairs = Vec::new();
    for (place, month) in months.iter().enumerate() {
        let Value::List(pair) = &month.value else { return None };
        let value = |at: usize| number_of(pair.get(at)?, &Kind::Temperature(ranges::OUTDOOR), unit);
        let (high, low) = (value(0)?, value(1)?);
        if high < low {
            let message = format!("the high {high} lies below the low {low}");
            let monthly = fields.path.key("monthly");
            let crossed = Complaint::new("crossed", message).help("write [high, low]");
            fields.checker.fault(month.place, &monthly.item(place), || crossed);
            return None;
        }
        pairs.push((unit.to_celsius(high), unit.to_celsius(low)));
    }
    Some(Weather::Monthly { pairs: Box::new(pairs.try_into().ok()?), site })
}
