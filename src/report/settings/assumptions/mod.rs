//! What the figures of a run rest on, in plain sentences.

mod equipment;
mod site;

use super::spans::span_words;
use crate::engine::{Clothing, DemandCharge, Humidity, Model, Rate, Tariff};
use crate::people::Taste;
use crate::report::figures::{count, day_and_month, days_in_words, setpoint, unit_sign};
use crate::report::headline::capitalised;
use crate::time::Period;
use crate::weather::{Record, SkyModel, Weather};

/// What the figures of a run rest on, a sentence each: days, weather, people, prices, and that it
/// is a model.
pub fn assumptions(model: &Model) -> Vec<String> {
    let mut all = vec![
        format!(
            "Simulated: {}, in steps of {}.",
            days_in_words(&model.period),
            model.period.step()
        ),
        format!("Weather: {}.", weather_words(model)),
        requests(model),
    ];
    all.extend(sun(model));
    all.extend(equipment::equipment(model));
    all.extend(water(model));
    all.extend(site::site(model));
    all.push(comfort(model));
    all.extend(calendar(&model.period));
    all.extend(people(model));
    all.extend(model.tariff.as_ref().map_or_else(
        || vec!["No prices are given, so no cost is worked out.".to_owned()],
        tariff_words,
    ));
    all.push(
        "Rooms, plant and sensors are models with the sizes of the scenario file. The figures are \
         those of the model for these days and this weather; they are no promise of savings."
            .into(),
    );
    all
}

/// What the sun's gains count, where there are any.
fn sun(model: &Model) -> Option<String> {
    let glass = model.zones.iter().any(|zone| zone.windows.iter().any(|it| it.aperture() > 0.0));
    let walls = model.zones.iter().any(|zone| !zone.walls.is_empty());
    if !glass && !walls {
        return None;
    }
    let measured = model.weather.record().is_some_and(|record| record.light.is_some());
    let source = if measured {
        "the radiation of the weather file"
    } else if model.sky.monthly.is_some() {
        "monthly means of radiation, every day like its month's mean (Collares-Pereira and Rabl 1979, \
         Erbs and others 1982)"
    } else {
        "a clear sky on every day, which is more sun than there is"
    };
    let sky = match model.sky.model {
        SkyModel::Anisotropic => {
            "brighter round the sun and near the horizon (Perez and others 1990)"
        }
        SkyModel::Isotropic => "equally bright everywhere",
    };
    let glass = if glass {
        "; glass lets less through at a slant (Souka and Safwat 1966), and frames let nothing through"
    } else {
        ""
    };
    let shades = if model.zones.iter().any(|zone| zone.windows.iter().any(|it| it.shade.is_some()))
    {
        "; shades are drawn and opened at once, by the light on the pane and the hours of occupancy"
    } else {
        ""
    };
    let walls =
        if walls { "; walls and roofs under sun_on are warmed (ISO 13790:2008)" } else { "" };
    Some(format!("Sun: {source}, the sky {sky}{glass}{shades}{walls}."))
}

/// What the balance of water counts, where it is followed.
fn water(model: &Model) -> Option<String> {
    let Humidity::Followed { dew_point } = model.humidity else { return None };
    let outdoors = dew_point.map_or_else(String::new, |celsius| {
        let (value, sign) = (setpoint(model.unit.from_celsius(celsius)), unit_sign(model.unit));
        format!(" The dew point outdoors is {value} {sign}.")
    });
    Some(format!(
        "Humidity: outdoor air, people and processes bring water into each room's air, and cooling \
         takes some out, along the straight line on the psychrometric chart to saturation at the coil \
         where no ratio is given; electric power goes with sensible and latent heat; walls and \
         furniture store none.{outdoors}"
    ))
}

/// By which formulas comfort is judged.
fn comfort(model: &Model) -> String {
    let by_season =
        model.zones.iter().any(|zone| matches!(zone.comfort.clothing, Clothing::BySeason { .. }));
    let clothing = if by_season {
        "; clothing between that of winter and that of summer goes by the running mean outdoors \
         (common practice, no source)"
    } else {
        ""
    };
    format!(
        "Comfort is judged while rooms are occupied, for the activity, clothing and air speed of the \
         file: votes after ISO 7730:2005, standard effective temperature after ANSI/ASHRAE 55-2020, \
         adaptive bands after EN 16798-1:2019 and ANSI/ASHRAE 55{clothing}."
    )
}

/// Holidays and clocks, where the file gives any.
fn calendar(period: &Period) -> Vec<String> {
    let mut all = Vec::new();
    let holidays = (0..period.days()).filter(|day| period.is_holiday(*day)).count() as u64;
    if holidays > 0 {
        all.push(format!(
            "{}: to schedules a Sunday each.",
            capitalised(&count(holidays, "holiday"))
        ));
    }
    if period.has_daylight_saving() {
        all.push(
            "Schedules and actions go by clocks that are an hour ahead in summer; weather and the \
             times in files are in standard time."
                .into(),
        );
    }
    all
}

fn weather_words(model: &Model) -> String {
    let (weather, unit) = (&model.weather, model.unit);
    let sign = unit_sign(unit);
    let at = |celsius: f64| setpoint(unit.from_celsius(celsius));
    match weather {
        Weather::DesignDay { high, range, .. } => format!(
            "the same day again and again, between {} and {} {sign}",
            at(high - range),
            at(*high)
        ),
        Weather::Hours(values) => {
            let low = values.iter().copied().fold(f64::INFINITY, f64::min);
            let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            format!("24 hourly values of the file, between {} and {} {sign}", at(low), at(high))
        }
        Weather::Monthly { .. } => "a smooth year through monthly mean highs and lows".into(),
        Weather::Readings(readings) => {
            format!("{} readings of a weather file, linear between them", readings.len())
        }
        Weather::Record(record) => record_words(record, model.humidity.is_followed()),
    }
}

fn record_words(record: &Record, followed: bool) -> String {
    let mut words = match record.sun_of {
        Some(date) => format!("{} of a weather file, again and again", day_and_month(date)),
        None => "hours of a weather file, linear between them".into(),
    };
    words.push_str(match record.light {
        Some(_) => ", with the radiation of the file",
        None => ", without radiation",
    });
    if record.vapour.is_some() && !followed {
        words.push_str(
            "; indoor air holds the water vapour of the outdoor air, no more and no less",
        );
    }
    words
}

fn requests(model: &Model) -> String {
    match model.actions.len() {
        0 if !model.people.is_empty() => "No request is written down beforehand.".into(),
        0 => "Nobody asks for anything during these days.".into(),
        1 => "One request or schedule entry is made, as the scenario file has it.".into(),
        many => {
            format!("{many} requests and schedule entries are made, as the scenario file has them.")
        }
    }
}

/// That people are a model with draws; none where there are no people.
fn people(model: &Model) -> Option<String> {
    let who = match model.people.len() {
        0 => return None,
        1 => "One person is simulated".to_owned(),
        many => format!("{many} people are simulated"),
    };
    let as_measured = model.people.iter().any(|it| it.taste.sensation == Taste::USUAL.sensation);
    let measured = if as_measured {
        " Those of usual taste prefer and vote as people of air-conditioned offices did \
         (ASHRAE Global Thermal Comfort Database II, Foldvary Licina and others 2018; fitted by us)."
    } else {
        ""
    };
    Some(format!(
        "{who}: they come and go, press keys when uncomfortable, and complain, by a model with \
         random draws under seed {}. One run is one of many possible courses, and another seed \
         gives another; the file has the parameters.{measured}",
        model.seed
    ))
}

fn tariff_words(tariff: &Tariff) -> Vec<String> {
    let currency = &tariff.currency;
    let mut all = vec![format!(
        "Electricity costs {}.",
        rate_words(&tariff.price, &format!("{currency}/kWh"))
    )];
    if let Some(DemandCharge { price, when }) = &tariff.demand {
        all.push(format!(
            "Demand costs {price} {currency} for each kW of the highest quarter of an hour of a \
             calendar month ({}). Of a part of a month as many days are charged as there are.",
            span_words(when)
        ));
    }
    if let Some(carbon) = &tariff.carbon {
        all.push(format!("Carbon dioxide: {}.", rate_words(carbon, "kg/kWh")));
    }
    all
}

fn rate_words(rate: &Rate, unit: &str) -> String {
    match rate {
        Rate::Flat(value) => format!("{value} {unit} at all times"),
        Rate::Hourly(values) => {
            let low = values.iter().copied().fold(f64::INFINITY, f64::min);
            let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            format!("between {low} and {high} {unit}, by the hour of the day")
        }
        Rate::Spans(spans) => {
            let parts: Vec<String> = spans
                .iter()
                .map(|(span, value)| format!("{value} {unit} {}", span_words(span)))
                .collect();
            format!("{} (the first that fits)", parts.join(", "))
        }
    }
}
