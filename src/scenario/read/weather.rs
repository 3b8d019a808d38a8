//! Outdoor air, site and sky.

use std::sync::Arc;

use jiff::civil::Date;

use super::{log, readings};
use crate::engine::Humidity;
use crate::log::SiteLog;
use crate::scenario::fault::Complaint;
use crate::scenario::fields::{Fields, number_of};
use crate::scenario::keys::Kind;
use crate::scenario::ranges;
use crate::scenario::scalar::Scalar;
use crate::scenario::shelf::Beside;
use crate::scenario::tree::Value;
use crate::time::Period;
use crate::units::TemperatureUnit;
use crate::weather::{
    Almanac, ClearSky, MonthlyMeans, Site, Sky, SkyModel, Weather, outside_on_horizontal,
};

/// Everything under `weather`.
pub(super) struct WeatherKeys {
    pub(super) weather: Weather,
    pub(super) site: Option<Site>,
    pub(super) sky: Sky,
    pub(super) humidity: Humidity,
}

/// Reads the block; without a period a weather file cannot be placed in time.
pub(super) fn read(
    fields: &Fields,
    period: Option<&Period>,
    beside: &dyn Beside,
    logged: Option<&Arc<SiteLog>>,
) -> Option<WeatherKeys> {
    let site = fields.block("site").map(|site| read_site(&site));
    let clear_sky = fields.optional("clear_sky", |fields, key| read_clear(&fields.block(key)?));
    // A site with a fault must not be replaced by the file's: the fault is what has to be told.
    let weather = read_source(fields, period, site.flatten(), (beside, logged))?;
    let site = if site.is_some() { site.flatten() } else { weather.site() };
    let humidity = read_humidity(fields, &weather)?;
    let sky = read_sky(fields, &weather, (site, period), clear_sky?, beside.almanac())?;
    Some(WeatherKeys { weather, site, sky, humidity })
}

/// The sky, and the light that the file gives for weather that has none.
fn read_sky(
    fields: &Fields,
    weather: &Weather,
    (site, period): (Option<Site>, Option<&Period>),
    clear: Option<ClearSky>,
    almanac: &Almanac,
) -> Option<Sky> {
    let words: Vec<String> = match fields.items("sky") {
        Some(items) => items.iter().filter_map(|it| it.text().map(str::to_owned)).collect(),
        None => vec![fields.text("sky")?],
    };
    let has = |word: &str| words.iter().any(|it| it == word);
    let is_meant_clear = has("clear") || clear.is_some();
    let means = fields.optional("radiation", Fields::numbers)?;
    let measured = weather.record().is_some_and(|record| record.light.is_some());
    let complaint = if has("isotropic") && has("anisotropic") {
        Some(("sky", "the sky is said to be isotropic and anisotropic", "keep one of the two"))
    } else if measured && (means.is_some() || has("clear")) {
        let key = if means.is_some() { "radiation" } else { "sky" };
        Some((key, "the weather file has radiation of its own, and that counts", "take it out"))
    } else if means.is_some() && is_meant_clear {
        Some(("radiation", "the sky is clear, and has monthly means of radiation", "keep one"))
    } else if means.is_some() && site.is_none() && fields.has("site") {
        return None;
    } else if means.is_some() && site.is_none() {
        let help = "add `site: {latitude: ..., longitude: ..., utc_offset: ...}`";
        Some(("radiation", "radiation by the hour needs a place on earth", help))
    } else {
        None
    };
    if let Some((key, message, help)) = complaint {
        fields.fault(key, Complaint::new("idle-sky", message).help(help));
        return None;
    }
    let monthly = match (means, site, period) {
        (Some(means), Some(site), Some(period)) => {
            let means: [f64; 12] = means.try_into().ok()?;
            // Where one day of a file is repeated, its sun is.
            let repeated = weather.record().and_then(|record| record.sun_of);
            let of = MonthlyMeans { means, site, period: *period, repeated };
            let known = almanac.known_light(&of);
            if known.is_none() {
                check_means(fields, &means, site, period)?;
            }
            Some(known.or_else(|| almanac.monthly_light(of))?)
        }
        _ => None,
    };
    let model = if has("isotropic") { SkyModel::Isotropic } else { SkyModel::Anisotropic };
    Some(Sky { model, clear, is_meant_clear, monthly })
}

/// No month brings more than comes without an atmosphere in its middle, with some room for months
/// whose days grow fast.
fn check_means(fields: &Fields, means: &[f64; 12], site: Site, period: &Period) -> Option<()> {
    for (mean, month) in means.iter().zip(1_i8..) {
        let middle = Date::new(period.first().year(), month, 15).ok()?;
        let most = outside_on_horizontal(site, middle)?;
        if *mean > most.max(0.5) {
            let message = format!(
                "month {month} has {mean} kWh/m2 a day; without an atmosphere {most:.1} would come \
                 at this latitude"
            );
            let help = "give means of daily radiation on the horizontal, in kWh/m2";
            fields.fault("radiation", Complaint::new("too-bright", message).help(help));
            return None;
        }
    }
    Some(())
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

fn read_clear(fields: &Fields) -> Option<ClearSky> {
    Some(ClearSky { taub: fields.number("taub")?, taud: fields.number("taud")? })
}

const SOURCES: [&str; 6] = ["design_day", "hours", "monthly", "file", "csv", "tmy3"];

fn read_source(
    fields: &Fields,
    period: Option<&Period>,
    site: Option<Site>,
    (beside, logged): (&dyn Beside, Option<&Arc<SiteLog>>),
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
        [key @ ("file" | "csv" | "tmy3")] => readings::read(fields, key, period?, site, beside),
        [] if logged.is_some_and(|it| it.log.outdoor.is_some()) => {
            log::weather(fields, &logged?.log, period?, site)
        }
        [] => {
            let none = Complaint::new("weather-source", "the weather has no temperatures");
            fields.fault_here(none.help(
                "give one of design_day, hours, monthly, file, csv, tmy3: `design_day: {high: 30, range: 12}`",
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
