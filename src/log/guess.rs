//! A mapping as a guess: what the columns of an unknown table seem to be, each with its reason.

use super::survey::{ColumnKind, ColumnSurvey, Survey};
use crate::units::TemperatureUnit;

/// What a column seems to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Part {
    /// A point of the whole log: `outdoor`, `radiation` or `electricity`.
    Whole(&'static str),
    /// A point of a zone: the zone, and the key.
    Zone(String, &'static str),
}

/// A column with what it seems to be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Guess {
    /// The column.
    pub column: String,
    /// What it seems to be; `None` where nothing tells.
    pub part: Option<Part>,
    /// What its words or codes seem to mean; `None` where that cannot be told.
    pub values: Vec<(String, Option<&'static str>)>,
    /// Whether it counts energy.
    pub counts: bool,
    /// Why, or why not.
    pub why: String,
}

/// What the columns of a table seem to be.
#[derive(Clone, Debug, PartialEq)]
pub struct Guesses {
    /// The unit of its temperatures, and why; `None` where nothing tells.
    pub unit: Option<(TemperatureUnit, String)>,
    /// Column by column, without those of the time.
    pub columns: Vec<Guess>,
}

/// Parts of names, and what they speak for (common practice, no source).
const OUTDOOR: &[&str] = &["oa", "oat", "outdoor", "outside", "out", "ambient", "amb", "ext"];
const SUPPLY: &[&str] = &["sa", "sat", "supply", "discharge", "coil", "pipe", "gas", "liquid"];
const RETURN: &[&str] = &["ra", "rat", "return"];
const HEAT: &[&str] = &["heat", "heating", "htg", "hspt", "hsp", "heatsp"];
const COOL: &[&str] = &["cool", "cooling", "clg", "cspt", "csp", "coolsp"];
const RUNNING: &[&str] =
    &["stg", "stage", "run", "running", "compressor", "comp", "call", "served"];
const MODE: &[&str] = &["mode", "md"];
const POWER: &[&str] = &["power", "pwr", "onoff", "enable", "enabled", "switch"];
const OCCUPIED: &[&str] = &["occ", "occupied", "occupancy", "stat", "presence"];
const PEOPLE: &[&str] = &["people", "persons", "occupants", "headcount"];
const RADIATION: &[&str] = &["ghi", "solar", "radiation", "irradiance", "pyranometer"];
const OUTPUT: &[&str] = &["output", "demand", "pct", "percent", "modulation", "load"];
/// Words that say nothing about which zone a column is of.
const FILLERS: &[&str] = &[
    "temp",
    "temperature",
    "t",
    "tmp",
    "sp",
    "spt",
    "set",
    "setpoint",
    "target",
    "zn",
    "zone",
    "room",
    "sim",
    "c",
    "f",
    "degc",
    "degf",
    "status",
    "state",
    "value",
    "air",
    "space",
    "w",
    "kw",
    "kwh",
    "watt",
    "elec",
    "electric",
    "fault",
    "alarm",
    "event",
    "text",
    "code",
    "act",
    "actual",
];

/// Looks at names, ranges and the run of values.
pub fn guess(survey: &Survey) -> Guesses {
    let times = survey.time.as_ref().map_or(&[][..], |time| &time.columns);
    let columns = survey.columns.iter().enumerate();
    let columns: Vec<Guess> =
        columns.filter(|(place, _)| !times.contains(place)).map(|(_, it)| column(it)).collect();
    let mut guesses = Guesses { unit: unit(survey), columns };
    settle(&mut guesses.columns);
    guesses
}

/// The words of a name, in small letters: cut at other signs, and where a capital begins.
fn words(name: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut was_small = false;
    for letter in name.chars() {
        if !letter.is_alphanumeric() || (letter.is_uppercase() && was_small) {
            words.push(String::new());
        }
        was_small = letter.is_lowercase();
        if let Some(last) = words.last_mut().filter(|_| letter.is_alphanumeric()) {
            last.extend(letter.to_lowercase());
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

/// The zone that a name speaks of: what is left without the words for kinds of points.
fn zone_of(words: &[String]) -> String {
    let known =
        [HEAT, COOL, RUNNING, MODE, POWER, OCCUPIED, PEOPLE, OUTPUT, FILLERS, RETURN, SUPPLY];
    let rest: Vec<&str> = words
        .iter()
        .map(String::as_str)
        .filter(|word| !known.iter().any(|list| list.contains(word)))
        .filter(|word| word.is_ascii())
        .collect();
    if rest.is_empty() { "zone".into() } else { rest.join("_") }
}

fn column(survey: &ColumnSurvey) -> Guess {
    let words = words(&survey.name);
    let says = |list: &[&str]| words.iter().find(|word| list.contains(&word.as_str()));
    let zone = |key| Part::Zone(zone_of(&words), key);
    let of = |part: Option<Part>, why: String| Guess {
        column: survey.name.clone(),
        part,
        values: Vec::new(),
        counts: false,
        why,
    };
    let named = |word: &str, kind: &str| format!("`{word}` in the name, and {kind}");
    match survey.kind {
        ColumnKind::Temperature | ColumnKind::Setpoint if says(OUTDOOR).is_some() => {
            of(Some(Part::Whole("outdoor")), "the name speaks of outdoors".into())
        }
        ColumnKind::Setpoint => match (says(HEAT), says(COOL)) {
            (Some(word), None) => of(Some(zone("heat")), named(word, "it moves in steps")),
            (None, Some(word)) => of(Some(zone("cool")), named(word, "it moves in steps")),
            _ => of(None, "a setpoint, of heating or of cooling".into()),
        },
        ColumnKind::Temperature => match (says(SUPPLY), says(RETURN), says(HEAT).or(says(COOL))) {
            (Some(word), ..) => of(Some(zone("coil")), named(word, "it is a temperature")),
            (None, Some(word), _) => of(Some(zone("others")), named(word, "it is a temperature")),
            (None, None, Some(word)) => {
                let key = if HEAT.contains(&word.as_str()) { "heat" } else { "cool" };
                of(Some(zone(key)), named(word, "it has values of a temperature"))
            }
            _ => of(Some(zone("temperature")), "a temperature that moves by itself".into()),
        },
        ColumnKind::Switch => switch(survey, &words, of),
        ColumnKind::Counter => Guess {
            counts: true,
            ..of(Some(Part::Whole("electricity")), "it only grows: taken for kWh".into())
        },
        ColumnKind::Number => {
            let wide = survey.range.is_some_and(|(low, high)| low >= 0.0 && high <= 100.0);
            if let Some(word) = says(RADIATION) {
                of(Some(Part::Whole("radiation")), named(word, "it is a number"))
            } else if let Some(word) = says(PEOPLE) {
                of(Some(zone("people")), named(word, "it is a number"))
            } else if let Some(word) = says(OUTPUT).filter(|_| wide) {
                of(Some(zone("output")), named(word, "it lies between 0 and 100"))
            } else if says(POWER).is_some() || words.iter().any(|it| it == "w" || it == "watt") {
                of(Some(Part::Whole("electricity")), "the name speaks of power: taken for W".into())
            } else {
                of(None, "a number that nothing explains".into())
            }
        }
        ColumnKind::Words => of(Some(zone("events")), "words".into()),
        ColumnKind::Time | ColumnKind::Empty => of(None, "nothing stands there".into()),
    }
}

fn switch(
    survey: &ColumnSurvey,
    words: &[String],
    of: impl Fn(Option<Part>, String) -> Guess,
) -> Guess {
    let says = |list: &[&str]| words.iter().find(|word| list.contains(&word.as_str()));
    let zone = |key| Part::Zone(zone_of(words), key);
    let two = survey.values.len() <= 2;
    let (key, word) = if let Some(word) = says(PEOPLE) {
        return of(Some(zone("people")), format!("`{word}` in the name, and it is a number"));
    } else if let Some(word) = says(RUNNING) {
        ("running", word)
    } else if let Some(word) = says(MODE) {
        ("mode", word)
    } else if let Some(word) = says(OCCUPIED).filter(|_| two) {
        ("occupied", word)
    } else if let Some(word) = says(POWER).filter(|_| two) {
        ("power", word)
    } else {
        return of(None, format!("few values ({}), of what cannot be told", listed(survey)));
    };
    let values: Vec<(String, Option<&'static str>)> =
        survey.values.iter().map(|value| (value.clone(), meaning(key, value))).collect();
    let unclear = values.iter().any(|(_, meaning)| meaning.is_none());
    let why = format!(
        "`{word}` in the name, and few values ({}){}",
        listed(survey),
        if unclear { "; say what each means" } else { "" }
    );
    Guess { values, ..of(Some(zone(key)), why) }
}

fn listed(survey: &ColumnSurvey) -> String {
    survey.values.join(", ")
}

/// What a word or code means, where that is plain.
fn meaning(key: &str, value: &str) -> Option<&'static str> {
    let small = value.to_lowercase();
    let number = small.parse::<f64>().ok();
    let no = ["off", "no", "false", "none", "idle", "standby", "unoccupied", "vacant"];
    let yes = ["on", "yes", "true", "running", "run", "occupied", "active"];
    let (is_no, is_yes) = (
        number == Some(0.0) || no.contains(&small.as_str()),
        number.is_some_and(|it| it > 0.0) || yes.contains(&small.as_str()),
    );
    match key {
        "running" if small.starts_with("heat") => Some("heating"),
        "running" if small.starts_with("cool") => Some("cooling"),
        "running" if is_no => Some("none"),
        "running" if is_yes => Some("running"),
        "power" if is_no => Some("off"),
        "power" if is_yes => Some("on"),
        "occupied" if is_no => Some("no"),
        "occupied" if is_yes => Some("yes"),
        // Codes of modes differ from maker to maker.
        "mode" => {
            ["heat", "cool", "auto", "dry", "fan"].into_iter().find(|it| small.starts_with(it))
        }
        _ => None,
    }
}

/// Each key of a zone once: a second temperature is another sensor, a second of any other is left
/// for people. A zone without a temperature takes that of the only zone which has one.
fn settle(columns: &mut [Guess]) {
    let with_temperature: Vec<String> = columns
        .iter()
        .filter_map(|guess| match &guess.part {
            Some(Part::Zone(zone, "temperature")) => Some(zone.clone()),
            _ => None,
        })
        .collect();
    for guess in columns.iter_mut() {
        if let (Some(Part::Zone(zone, key)), [only, ..]) = (&mut guess.part, &with_temperature[..])
            && *key != "temperature"
            && !with_temperature.contains(zone)
        {
            let many = with_temperature.iter().any(|it| it != only);
            let near = with_temperature.iter().find(|it| zone.contains(it.as_str()));
            if let Some(near) = near.or_else(|| (!many).then_some(only)) {
                zone.clone_from(near);
            }
        }
    }
    let mut taken: Vec<(String, &'static str)> = Vec::new();
    for guess in columns.iter_mut() {
        let Some(Part::Zone(zone, key)) = &mut guess.part else { continue };
        if *key == "others" {
            continue;
        }
        if taken.contains(&(zone.clone(), *key)) {
            if *key == "temperature" {
                *key = "others";
                guess.why = "a further temperature: `setband audit` tells which one governs".into();
            } else {
                guess.why = format!("a further column for `{key}` of `{zone}`: one of them is it");
                guess.part = None;
            }
        } else {
            taken.push((zone.clone(), *key));
        }
    }
}

/// Most indoor temperatures tell their unit: between 10 and 40 or between 50 and 104 degrees.
fn unit(survey: &Survey) -> Option<(TemperatureUnit, String)> {
    let indoors = survey.columns.iter().filter(|column| {
        matches!(column.kind, ColumnKind::Temperature | ColumnKind::Setpoint)
            && !words(&column.name).iter().any(|word| OUTDOOR.contains(&word.as_str()))
    });
    let ranges: Vec<(&str, f64, f64)> = indoors
        .filter_map(|column| column.range.map(|(low, high)| (column.name.as_str(), low, high)))
        .collect();
    let within = |low: f64, high: f64| {
        ranges.iter().find(|(_, from, to)| *from >= low && *to <= high).copied()
    };
    let words =
        |(name, low, high): (&str, f64, f64)| format!("`{name}` lies between {low} and {high}");
    match (within(8.0, 42.0), within(50.0, 108.0)) {
        (Some(found), None) => Some((TemperatureUnit::Celsius, words(found))),
        (None, Some(found)) => Some((TemperatureUnit::Fahrenheit, words(found))),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use std::fmt::Write as _;

    use super::super::survey::survey;
    use super::super::table::Table;
    use super::*;

    fn guesses(text: &str) -> Guesses {
        let table = Table::open(text.as_bytes(), None).expect("it is a table");
        guess(&survey(&table).expect("none is too wide"))
    }

    #[test]
    fn columns_are_told_by_name_range_and_run() {
        let mut text =
            String::from("time,loft_temp,loft_heat_sp,loft_cool_sp,oat,loft_mode,kwh,note\n");
        for minute in 0..600 {
            let note = format!("n{minute}");
            let _ = writeln!(
                text,
                "2025-04-16 {:02}:{:02},{:.1},20,{},{:.1},{},{}.5,{note}",
                minute / 60,
                minute % 60,
                20.0 + f64::from(minute % 37) / 10.0,
                if minute < 300 { 24 } else { 25 },
                5.0 + f64::from(minute % 91) / 10.0,
                minute % 3,
                minute / 10,
            );
        }
        let found = guesses(&text);
        assert_eq!(found.unit.map(|(unit, _)| unit), Some(TemperatureUnit::Celsius));
        let part = |column: &str| {
            found.columns.iter().find(|it| it.column == column).and_then(|it| it.part.clone())
        };
        let loft = |key| Some(Part::Zone("loft".into(), key));
        assert_eq!(part("loft_temp"), loft("temperature"));
        assert_eq!(part("loft_heat_sp"), loft("heat"));
        assert_eq!(part("loft_cool_sp"), loft("cool"));
        assert_eq!(part("oat"), Some(Part::Whole("outdoor")));
        assert_eq!(part("loft_mode"), loft("mode"));
        assert_eq!(part("kwh"), Some(Part::Whole("electricity")));
        assert_eq!(part("note"), loft("events"));
        let mode = found.columns.iter().find(|it| it.column == "loft_mode").expect("it is there");
        assert!(mode.values.iter().all(|(_, meaning)| meaning.is_none()), "codes tell nothing");
    }
}
