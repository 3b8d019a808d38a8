//! What `fit` says: a zone's own keys from its log, for people, for programs and as a page.

#[cfg(feature = "pages")]
mod page;

#[cfg(feature = "pages")]
pub use page::fit_html;

use serde_json::{Map, Value, json};

use super::content::Tone;
use super::render::fit::{clean, hang};
use super::render::text::{self, Style};
use crate::engine::Model;
use crate::study::fit::{LEADS, NoFit, NoInputs, Parameter, Structure, ZoneFit};
use crate::units::TemperatureUnit;

/// Zones that were fitted.
#[derive(Clone, Copy, Debug)]
pub struct Fitted<'a> {
    /// The scenario.
    pub model: &'a Model,
    /// Its zones that were fitted, and those that could not be.
    pub zones: &'a [ZoneFit],
    /// Why the others were not.
    pub left_out: &'a [NoFit],
}

/// Words that go with every fit.
const CAUTION: &str = "A fit explains the days that were logged and no others. Before equipment is chosen or \
                       changed by it, look at the site; design loads come from the applicable standards and \
                       local codes, and work on refrigerant and electrical parts is for licensed persons.";

/// Hourly limits of ASHRAE Guideline 14-2014, 4.1.3.2 (from memory): 30 % and 10 %.
const HOURLY: (f64, f64) = (0.30, 0.10);

fn kelvin(model: &Model, value: f64) -> f64 {
    figure(model.unit.difference_from_kelvin(value))
}

/// To four digits that count.
fn figure(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let scale = 10.0_f64.powi(3 - magnitude(value));
    libm::round(value * scale) / scale
}

#[expect(clippy::cast_possible_truncation, reason = "a power of ten")]
fn magnitude(value: f64) -> i32 {
    libm::floor(libm::log10(value.abs())) as i32
}

impl Fitted<'_> {
    /// The most important of a zone, as a sentence.
    pub fn headline(&self, zone: &ZoneFit) -> String {
        let unit = self.model.unit.letter();
        let Some(error) = zone.error(zone.horizon) else {
            return format!(
                "{}: the log is too short for free runs of {} h, so nothing says how far the model can be \
                 trusted.",
                zone.label, zone.horizon
            );
        };
        let (model, persistence) =
            (kelvin(self.model, error.model), kelvin(self.model, error.persistence));
        let hours = zone.horizon;
        if error.model < error.persistence {
            format!(
                "{}: over {hours} h the fitted model is off by {model} {unit}; that the last reading holds \
                 is off by {persistence} {unit}.",
                zone.label
            )
        } else {
            format!(
                "{}: the model does not explain this room. Over {hours} h it is off by {model} {unit}, and \
                 that the last reading holds by {persistence} {unit}.",
                zone.label
            )
        }
    }
}

/// `{"zones": {...}}`, temperatures in the file's unit.
///
/// # Errors
/// None that a caller could cause: the value is plain.
pub fn fit_json(fitted: &Fitted) -> Result<String, serde_json::Error> {
    let zones: Map<String, Value> =
        fitted.zones.iter().map(|zone| (zone.id.clone(), of_zone(fitted, zone))).collect();
    let left_out: Vec<String> = fitted.left_out.iter().map(why_not).collect();
    let value = json!({ "zones": zones, "left_out": left_out });
    serde_json::to_string_pretty(&value).map(|text| text + "\n")
}

fn of_zone(fitted: &Fitted, zone: &ZoneFit) -> Value {
    let parameters: Map<String, Value> =
        zone.parameters.iter().map(|it| (it.key.clone(), of_parameter(it))).collect();
    let model = fitted.model;
    let lead = |hours: u32, of: fn(&crate::study::fit::RunError) -> f64| {
        zone.error(hours).map(|it| kelvin(model, of(it)))
    };
    let by_lead = |of: fn(&crate::study::fit::RunError) -> f64| -> Map<String, Value> {
        LEADS.iter().map(|hours| (format!("{hours}h"), json!(lead(*hours, of)))).collect()
    };
    let step = &zone.one_step;
    let energy = zone.electricity.as_ref().filter(|it| it.cv_rmse.is_finite());
    json!({
        "headline": fitted.headline(zone),
        "explains": zone.explains(),
        "structure": match zone.structure.0 {
            Structure::TwoCapacities => "two capacities",
            Structure::FileMass => "two capacities, the mass from the file",
            Structure::OneCapacity => "one capacity",
        },
        "likelihood_ratio": zone.structure.1.map(figure),
        "parameters": parameters,
        "free_run_rmse": by_lead(|it| it.model),
        "persistence_rmse": by_lead(|it| it.persistence),
        "free_runs": if zone.errors_are_held_out { "held out" } else { "whole log" },
        "held_out_hours": figure(zone.held_out.get() as f64 / 3600.0),
        "one_step": {
            "log_likelihood": figure(step.log_likelihood),
            "innovation_sd": kelvin(model, step.innovation),
            "white": step.whiteness.map(|it| it.is_white()),
            "periodogram_distance": step.whiteness.map(|it| figure(it.distance)),
            "periodogram_limit": step.whiteness.map(|it| figure(it.limit)),
            "readings": step.readings,
        },
        "unexplained": {
            "sd_w": figure(zone.noise.slow),
            "hours": figure(zone.noise.slow_time.get() as f64 / 3600.0),
            "by_hour_w": zone.by_hour,
        },
        "energy": energy.map(|it| json!({
            "cv_rmse": figure(it.cv_rmse),
            "nmbe": figure(it.nmbe),
            "within_guideline_14": it.cv_rmse <= HOURLY.0 && it.nmbe.abs() <= HOURLY.1,
        })),
        "rows_are_coarse": zone.rows_are_coarse,
        "draws": zone.draws.rows.len(),
    })
}

fn of_parameter(parameter: &Parameter) -> Value {
    json!({
        "value": figure(parameter.value),
        "low": parameter.interval.map(|it| figure(it.0)),
        "high": parameter.interval.map(|it| figure(it.1)),
        "unit": parameter.unit,
        "identifiable": parameter.is_identifiable(),
        "path": parameter.path,
        "before": figure(parameter.before),
        "what": parameter.words,
        "why": parameter.untold.map(|it| it.why),
        "would_identify": parameter.untold.map(|it| it.would),
    })
}

/// Why a zone was not fitted, as a sentence.
pub fn why_not(fault: &NoFit) -> String {
    match fault {
        NoFit::Inputs(NoInputs::NoTemperature(zone)) => {
            format!("{zone}: the log has no temperature of it; map one under `log.zones`")
        }
        NoFit::Inputs(NoInputs::Outside) => {
            "the log has no reading in the period; change `period`, or leave it out".into()
        }
        NoFit::TooShort(zone) => {
            format!("{zone}: the log has too few readings of it; half a day is the least")
        }
        NoFit::NoRoom(zone) => {
            format!(
                "{zone}: no room that can be explains its log; check floor, capacity and mapping"
            )
        }
    }
}

/// For people.
pub fn fit_text(fitted: &Fitted, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    for zone in fitted.zones {
        if !out.is_empty() {
            out.push('\n');
        }
        text::strong(&mut out, style, &clean(&fitted.headline(zone)));
        let told: Vec<String> =
            zone.parameters.iter().filter(|it| it.is_identifiable()).map(told).collect();
        text::section(&mut out, style, "Fitted", &text::list(&told, style));
        let silent: Vec<String> = zone.parameters.iter().filter_map(silent).collect();
        text::section(
            &mut out,
            style,
            "Not identifiable from this log",
            &text::list(&silent, style),
        );
        text::section(&mut out, style, "How well", &text::list(&measures(fitted, zone), style));
    }
    let left: Vec<String> = fitted.left_out.iter().map(|it| clean(&why_not(it))).collect();
    if !left.is_empty() {
        text::section(&mut out, style, "Left out", &text::list(&left, style));
    }
    out.push('\n');
    out.push_str(&style.paint(Tone::Plain, &hang("", CAUTION, style.width)));
    text::files(&mut out, style, files);
    out
}

fn with_unit(value: f64, unit: &str) -> String {
    let unit = if unit.is_empty() { String::new() } else { format!(" {unit}") };
    format!("{}{unit}", figure(value))
}

fn told(parameter: &Parameter) -> String {
    let interval = parameter.interval.map_or(String::new(), |(low, high)| {
        format!(" (95 %: {} to {})", figure(low), figure(high))
    });
    format!(
        "{}: {}{interval}; the file had {}.",
        sentence(&parameter.words),
        with_unit(parameter.value, &parameter.unit),
        with_unit(parameter.before, &parameter.unit)
    )
}

fn silent(parameter: &Parameter) -> Option<String> {
    let untold = parameter.untold?;
    Some(format!(
        "{} stays at {}: {}. It would be told by {}.",
        sentence(&parameter.words),
        with_unit(parameter.value, &parameter.unit),
        untold.why,
        untold.would
    ))
}

fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or(String::new(), |first| first.to_uppercase().chain(letters).collect())
}

/// What is said of the quality of a fit, in sentences.
fn measures(fitted: &Fitted, zone: &ZoneFit) -> Vec<String> {
    let unit: TemperatureUnit = fitted.model.unit;
    let letter = unit.letter();
    let mut all = Vec::new();
    let runs: Vec<String> = zone
        .errors
        .iter()
        .map(|it| {
            let of = |value: f64| kelvin(fitted.model, value);
            format!("{} h {} ({})", it.hours, of(it.model), of(it.persistence))
        })
        .collect();
    if !runs.is_empty() {
        let hours = figure(zone.held_out.get() as f64 / 3600.0);
        let place = if zone.errors_are_held_out {
            format!("in the last {hours} h, which were held out")
        } else {
            "over the whole log, since what was held out is too short for them".to_owned()
        };
        all.push(format!(
            "Free runs that begin each hour are off by ({letter}; in brackets if the last reading held): \
             {}, {place}.",
            runs.join(", ")
        ));
    }
    let step = &zone.one_step;
    let pattern = match step.whiteness.map(|it| it.is_white()) {
        Some(true) => "without a pattern in time",
        Some(false) => {
            "with a pattern in time: something acts on the room that the model does not have"
        }
        None => "too few to look for a pattern",
    };
    all.push(format!(
        "One step ahead the filter is off by {} {letter}, {pattern}.",
        kelvin(fitted.model, step.innovation)
    ));
    all.push(match zone.structure {
        (Structure::TwoCapacities, Some(ratio)) => format!(
            "Two capacities explain the log better than one (twice the log-likelihood ratio {}; 5.99 \
             would be chance in one log of twenty).",
            figure(ratio)
        ),
        (Structure::TwoCapacities, None) => "It has two capacities, as the file says.".into(),
        (Structure::FileMass, _) => "One capacity explains the log as well as two; the room keeps the \
                                     mass that the file has."
            .into(),
        (Structure::OneCapacity, _) => "One capacity explains the log as well as two, and better than the \
                                        file's mass."
            .into(),
    });
    if zone.rows_are_coarse {
        all.push(
            "The plant runs or rests for two rows or less at a time. Rows this coarse blur that, and the \
             heat capacity of the air may come out twice what it is: log each minute, or what share of \
             each row it ran."
                .into(),
        );
    }
    if let Some(it) = zone.electricity.as_ref().filter(|it| it.cv_rmse.is_finite()) {
        all.push(format!(
            "Electricity by the hour, for what ran by the log: CV(RMSE) {} %, NMBE {} % (ASHRAE Guideline \
             14: at most 30 % and 10 %).",
            figure(100.0 * it.cv_rmse),
            figure(100.0 * it.nmbe)
        ));
    }
    all
}
