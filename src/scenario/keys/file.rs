//! The keys of the file itself, of its period, weather and tariff.

use super::super::{every_zone, ranges};
use super::action::ACTION;
use super::calendar::CALENDAR;
use super::log::LOG;
use super::people::PERSON;
use super::require::REQUIREMENT;
use super::tariff::TARIFF;
use super::zone::ZONE;
use super::{Block, Key, Kind, derived, optional, or, required};
use crate::settings::controls::UNITS;
use crate::settings::group::OUTDOOR_UNIT;
use crate::units::Dimension;

/// The whole file.
pub(in super::super) const FILE: &Block = &Block {
    name: "scenario",
    doc: "One study: a building, its settings, a period, what people do, and variants to compare.",
    keys: &[
        derived("title", Kind::Text, "the name of the file", "What the study is called."),
        or(
            "temperature",
            Kind::Word(UNITS),
            "C",
            "The unit of every bare temperature in the file and of all output.",
        ),
        derived(
            "period",
            Kind::Block(PERIOD),
            "the days of the log; needed where there is none",
            "Which days are simulated, in which steps.",
        ),
        optional("calendar", Kind::Block(CALENDAR), "Holidays and daylight saving time."),
        or("seed", Kind::Whole(ranges::SEED), "1", "Seed of everything random."),
        derived(
            "weather",
            Kind::Block(WEATHER),
            "the outdoor air of the log; needed where there is none",
            "Outdoor air and sun.",
        ),
        optional("log", Kind::Block(LOG), "What the site recorded."),
        optional("outdoor_unit", Kind::Block(OUTDOOR_UNIT), "The outdoor unit that zones share."),
        optional(
            "outdoor_units",
            Kind::ByName(&Kind::Block(OUTDOOR_UNIT)),
            "Several outdoor units by name, each with its zones.",
        ),
        required("zones", Kind::ByName(&Kind::Block(ZONE)), "The zones, by name."),
        optional(
            every_zone::KEY,
            Kind::Block(ZONE),
            "What is written for all zones at once, with the keys of a zone: blocks are joined with \
             those of each zone, and a value or list that a zone has of its own stands for the one \
             here.",
        ),
        optional(
            "actions",
            Kind::ListOf(&Kind::Block(ACTION)),
            "What people, technicians and schedules do.",
        ),
        optional(
            "people",
            Kind::ListOf(&Kind::Block(PERSON)),
            "Occupants who feel and press keys.",
        ),
        optional("tariff", Kind::Block(TARIFF), "What electricity costs."),
        optional(
            "require",
            Kind::ListOf(&Kind::Block(REQUIREMENT)),
            "What a specification asks: `review` shows what holds.",
        ),
        optional(
            "variants",
            Kind::ByName(&Kind::Changes),
            "Variants by name, each a set of paths into the file with new values.",
        ),
    ],
};

/// Which days are simulated.
const PERIOD: &Block = &Block {
    name: "period",
    doc: "Which days are simulated, in which steps.",
    keys: &[
        required("from", Kind::Date, "The first day, as 2025-04-16."),
        or("days", Kind::Whole(ranges::DAYS), "1", "How many days."),
        or("step", Kind::Duration(ranges::STEP), "60 s", "Length of a step; it divides a day."),
    ],
};

const OUTDOOR: Kind = Kind::Temperature(ranges::OUTDOOR);

/// Outdoor air and sun.
const WEATHER: &Block = &Block {
    name: "weather",
    doc: "Outdoor air and sun: one of design_day, hours, monthly, file, csv and tmy3.",
    keys: &[
        optional(
            "design_day",
            Kind::Block(DESIGN_DAY),
            "The same day over and over, from its highest temperature and its daily range.",
        ),
        optional(
            "hours",
            Kind::Exactly(24, &OUTDOOR),
            "24 temperatures at 0:00, 1:00 ..., linear between them and round midnight.",
        ),
        optional(
            "monthly",
            Kind::Exactly(12, &Kind::Exactly(2, &OUTDOOR)),
            "Mean daily high and low of each month, January first.",
        ),
        optional(
            "file",
            Kind::Either(&[Kind::Block(WEATHER_FILE), Kind::Text]),
            "A weather file beside this one: TMY3, EPW, NSRDB CSV or a CSV of your own, known by its \
             content.",
        ),
        optional(
            "csv",
            Kind::Text,
            "A weather file beside this one, as under file; a CSV of your own has the columns time and \
             temperature, and optionally humidity (percent) or dew_point, radiation, beam, diffuse \
             (W/m2, means from row to row) and wind (m/s).",
        ),
        optional(
            "fill",
            Kind::Word(&["hold", "straight"]),
            "What is put where rows of a CSV of your own are missing for more than three hours: the last \
             row held, or a straight line. Such a file is refused without it.",
        ),
        or(
            "stamp",
            Kind::Word(STAMPS),
            "end",
            "Where the times written in a CSV of your own stand in the time that a row's mean \
             radiation is about.",
        ),
        optional("tmy3", Kind::Block(TMY3), "A typical year: TMY3, EPW or NSRDB CSV."),
        optional(
            "site",
            Kind::Block(SITE),
            "Where the building stands; the sun needs it. A weather file of a station brings its own.",
        ),
        or(
            "humidity",
            Kind::Either(&[
                Kind::SizeOrBare(Dimension::Percentage, ranges::HUMIDITY),
                Kind::Word(BALANCE),
            ]),
            "50",
            "Relative humidity indoors, percent, constant. Written, it holds even where a weather \
             file has humidity; left out, the file's counts. `balance` follows the water in each \
             zone's air: what outdoor air and people bring, and what cooling takes out.",
        ),
        optional(
            "dew_point",
            OUTDOOR,
            "Dew point outdoors, constant: for `humidity: balance` with weather that has no humidity \
             of its own.",
        ),
        or(
            "sky",
            Kind::OneOrMore(&Kind::Word(SKY)),
            "anisotropic",
            "How the sky's light is spread: anisotropic (brighter round the sun and near the horizon, \
             Perez and others 1990) or isotropic. `clear` says that a clear sky every day is meant \
             where the weather has no radiation. A list may have both.",
        ),
        optional("clear_sky", Kind::Block(CLEAR_SKY), "How clear the sky is."),
        optional(
            "radiation",
            Kind::Exactly(12, &Kind::Number(ranges::DAILY_RADIATION)),
            "Monthly means of daily radiation from sun and sky on the horizontal, kWh/m2, January \
             first: for weather without radiation of its own.",
        ),
    ],
};

/// The word that follows the water in the zones' air.
const BALANCE: &[&str] = &["balance"];

/// A day from its highest temperature and range.
const DESIGN_DAY: &Block = &Block {
    name: "design_day",
    doc: "A day from its highest temperature and its daily range.",
    keys: &[
        required("high", OUTDOOR, "Highest temperature of the day."),
        required("range", Kind::Difference(ranges::DAILY_RANGE), "Highest less lowest."),
    ],
};

/// How the sky is.
const SKY: &[&str] = &["anisotropic", "isotropic", "clear"];

/// Where a stamp stands.
const STAMPS: &[&str] = &["start", "middle", "end"];

/// A weather file.
const WEATHER_FILE: &Block = &Block {
    name: "weather_file",
    doc: "A weather file. Of a typical year the period's dates pick the rows; the year is ignored.",
    keys: &[required("name", Kind::Text, "The file, beside this one."), DAY, BALANCE_POINT],
};

const DAY: Key = optional(
    "day",
    Kind::Text,
    "Repeat one day of it: coldest, hottest, mixed (the largest swing across the balance \
     point: the smaller of its degree-hours above and below), or month and day as 04-16.",
);

const BALANCE_POINT: Key = optional(
    "balance",
    Kind::Temperature(ranges::OUTDOOR),
    "The balance point of the mixed day; 18.3 C where it is left out.",
);

/// A typical year.
const TMY3: &Block = &Block {
    name: "tmy3",
    doc: "A typical year: TMY3, EPW or NSRDB CSV. The period's dates pick its rows; the year is \
          ignored.",
    keys: &[required("file", Kind::Text, "The file, beside this one."), DAY, BALANCE_POINT],
};

/// Where the building stands.
const SITE: &Block = &Block {
    name: "site",
    doc: "Where the building stands.",
    keys: &[
        required("latitude", Kind::Number(ranges::LATITUDE), "Degrees, north positive."),
        required("longitude", Kind::Number(ranges::LONGITUDE), "Degrees, east positive."),
        required("utc_offset", Kind::Number(ranges::UTC_OFFSET), "Hours ahead of UTC."),
    ],
};

/// How clear the sky is. The defaults are typical middle values, from memory, no source.
const CLEAR_SKY: &Block = &Block {
    name: "clear_sky",
    doc: "Optical depths of the ASHRAE clear-sky model.",
    keys: &[
        or("taub", Kind::Number(ranges::OPTICAL_DEPTH), "0.40", "Beam optical depth."),
        or("taud", Kind::Number(ranges::OPTICAL_DEPTH), "2.15", "Diffuse optical depth."),
    ],
};
