//! What `worst` prints, for people and for programs.

use serde_json::{Map, Value, json};

use super::figures::{listed, unit_sign};
use super::render::fit::{clean, hang};
use super::render::text::{self, Style, strong};
use super::run::label;
use crate::control::{Power, Request};
use crate::engine::{Doing, Model, Zone};
use crate::study::worst::{End, Found, Press, Question, Reached, Remedied, Remedy};
use crate::time::Seconds;

/// Everything that `worst` found.
#[derive(Clone, Copy, Debug)]
pub struct Worst<'a> {
    /// The model.
    pub model: &'a Model,
    /// What was asked.
    pub question: &'a Question,
    /// The zones to be told.
    pub zones: &'a [ZoneWorst],
    /// What was to be proved, degrees C.
    pub at_least: Option<f64>,
    /// Likewise.
    pub at_most: Option<f64>,
    /// Over how many draws of a fit it was bounded; `None` where the file's own rooms were.
    pub draws: Option<usize>,
}

/// One zone.
#[derive(Clone, Debug)]
pub struct ZoneWorst {
    /// Bounds of its air.
    pub reached: Reached,
    /// The worst runs found, lowest first, with the names of their files.
    pub found: [Option<(Found, String)>; 2],
    /// What changes come to, for its lowest and its highest: degrees C.
    pub remedies: [Vec<(Remedy, f64)>; 2],
}

/// A remedy has to change a bound by so much to be told, K.
const TELLS: f64 = 0.1;

impl ZoneWorst {
    /// A zone of what was bounded, with what each remedy does for it where it helps.
    pub fn new(
        reached: Reached,
        found: [Option<(Found, String)>; 2],
        remedied: [&[Remedied]; 2],
    ) -> Self {
        let place = reached.zone.get();
        let [low, high] = remedied;
        let lowest = reached.lowest().0;
        let highest = reached.highest().0;
        let lower = low.iter().map(|it| (it.remedy, it.reached[place].lowest().0));
        let higher = high.iter().map(|it| (it.remedy, it.reached[place].highest().0));
        let mut remedies = [
            lower.filter(|(_, bound)| *bound > lowest + TELLS).collect::<Vec<_>>(),
            higher.filter(|(_, bound)| *bound < highest - TELLS).collect::<Vec<_>>(),
        ];
        remedies[0].sort_by(|one, other| other.1.total_cmp(&one.1));
        remedies[1].sort_by(|one, other| one.1.total_cmp(&other.1));
        Self { reached, found, remedies }
    }

    /// The bound of an end, degrees C, and the first step after which it can come about.
    pub(super) fn bound(&self, end: End) -> (f64, usize) {
        match end {
            End::Lowest => self.reached.lowest(),
            End::Highest => self.reached.highest(),
        }
    }
}

impl ZoneWorst {
    /// The worst run found for an end.
    pub(super) fn found(&self, end: End) -> Option<&Found> {
        self.found[end as usize].as_ref().map(|(found, _)| found)
    }
}

impl Worst<'_> {
    /// Whether everything that was to be proved is.
    pub fn holds(&self) -> bool {
        self.zones.iter().all(|zone| {
            self.at_least.is_none_or(|least| zone.bound(End::Lowest).0 >= least)
                && self.at_most.is_none_or(|most| zone.bound(End::Highest).0 <= most)
        })
    }

    /// What people call a zone.
    pub(super) fn name(&self, zone: &ZoneWorst) -> &str {
        label(self.zone(zone))
    }

    fn zone(&self, zone: &ZoneWorst) -> &Zone {
        &self.model.zones[zone.reached.zone.get()]
    }

    /// A temperature in the file's unit, a tenth.
    pub(super) fn degrees(&self, celsius: f64) -> String {
        format!("{:.1} {}", self.value(celsius), unit_sign(self.model.unit))
    }

    fn value(&self, celsius: f64) -> f64 {
        // No minus before a zero.
        (self.model.unit.from_celsius(celsius) * 10.0).round() / 10.0 + 0.0
    }

    fn hours(&self, steps: usize) -> String {
        let hours = steps as f64 * self.model.period.step().get() as f64 / 3600.0;
        super::figures::duration(hours)
    }

    /// Between which temperatures it is outside.
    pub(super) fn limits(&self) -> String {
        let limits = self.question.limits;
        format!("between {} and {}", self.degrees(limits.coldest), self.degrees(limits.hottest))
    }
}

/// The whole text. `files` are the paths that were written.
pub fn worst_text(worst: &Worst<'_>, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    for zone in worst.zones {
        strong(&mut out, style, label(worst.zone(zone)));
        for end in End::BOTH {
            for sentence in worst_sentences(worst, zone, end) {
                out.push_str(&hang("", &clean(&sentence), style.width));
            }
        }
        out.push('\n');
    }
    for (asked, what, end) in
        [(worst.at_least, "at least", End::Lowest), (worst.at_most, "at most", End::Highest)]
    {
        let Some(asked) = asked else { continue };
        let fails: Vec<&str> = worst
            .zones
            .iter()
            .filter(|zone| match end {
                End::Lowest => zone.bound(end).0 < asked,
                End::Highest => zone.bound(end).0 > asked,
            })
            .map(|zone| label(worst.zone(zone)))
            .collect();
        let claim = format!("{what} {}", worst.degrees(asked));
        let sentence = if fails.is_empty() {
            format!("Proved: every room stays {claim}.")
        } else {
            format!("Not proved: {claim}, for {}.", listed(&fails))
        };
        strong(&mut out, style, &sentence);
        out.push('\n');
    }
    for caution in worst_cautions(worst) {
        out.push_str(&hang("- ", &caution, style.width));
    }
    text::files(&mut out, style, files);
    out
}

/// The first that is said of a zone.
pub(super) fn first_sentence(worst: &Worst<'_>, zone: &ZoneWorst) -> String {
    worst_sentences(worst, zone, End::Lowest).swap_remove(0)
}

/// What is said of one end of a zone's range.
pub fn worst_sentences(worst: &Worst<'_>, zone: &ZoneWorst, end: End) -> Vec<String> {
    let name = label(worst.zone(zone));
    let (bound, after) = zone.bound(end);
    let found = zone.found(end);
    let (falls, below, fall) = match end {
        End::Lowest => ("falls below", "fall below", "fall"),
        End::Highest => ("rises above", "rise above", "rise"),
    };
    let mut all = Vec::new();
    match found {
        Some(found) if !found.presses.is_empty() => {
            all.push(format!(
                "{name} can {fall} to {} in {}: {}, {}.",
                worst.degrees(found.air),
                hours_of(found.after),
                presses_words(worst.model, &found.presses),
                weather_words(worst, end),
            ));
            all.push(format!(
                "Nothing {falls} {} within {} while it is {} outside; the gap to what was found is {}.",
                worst.degrees(bound),
                hours_of(worst.question.lasts),
                worst.limits(),
                gap(worst, bound, found.air),
            ));
        }
        _ => {
            let found = found.map_or_else(
                || "no run was found that could be written".to_owned(),
                |found| {
                    let air = found.air;
                    format!(
                        "the worst found is {}, a gap of {}",
                        worst.degrees(air),
                        gap(worst, bound, air)
                    )
                },
            );
            all.push(format!(
                "Nothing that occupants can press lets {name} {below} {} while it is {} outside ({}); {found}.",
                worst.degrees(bound),
                worst.limits(),
                match after {
                    0 => "it may start so".to_owned(),
                    steps => format!("after {} at the soonest", worst.hours(steps)),
                },
            ));
        }
    }
    let remedies: Vec<String> = zone.remedies[end as usize]
        .iter()
        .map(|(remedy, bound)| {
            format!("{} gives {}", remedy_words(worst, *remedy), worst.degrees(*bound))
        })
        .collect();
    if !remedies.is_empty() {
        let mut sentence = listed(&remedies);
        if let Some(first) = sentence.get_mut(0..1) {
            first.make_ascii_uppercase();
        }
        all.push(format!("{sentence}: bounds, too."));
    }
    all
}

fn hours_of(time: Seconds) -> String {
    super::figures::duration(time.in_hours())
}

/// A difference of two temperatures in the file's unit.
fn gap(worst: &Worst<'_>, one: f64, other: f64) -> String {
    let difference = worst.model.unit.difference_from_kelvin((one - other).abs());
    let sign = if unit_sign(worst.model.unit).contains('F') { "F" } else { "K" };
    format!("{difference:.1} {sign}")
}

fn weather_words(worst: &Worst<'_>, end: End) -> String {
    match end {
        End::Lowest => format!("at {} outside", worst.degrees(worst.question.limits.coldest)),
        End::Highest => format!("at {} outside", worst.degrees(worst.question.limits.hottest)),
    }
}

/// Presses in words: `power off at Hall; after 3 h mode cool and cool 16 at Hall`. What is done at
/// one time in one zone is told together, and what is done alike in all zones once.
pub(super) fn presses_words(model: &Model, presses: &[Press]) -> String {
    let mut told: Vec<String> = Vec::new();
    for together in presses.chunk_by(|one, other| one.at == other.at) {
        let at = Seconds::new(together.first().map_or(0, |it| it.at.get()));
        let when = match at {
            Seconds::ZERO => String::new(),
            at => format!("after {} ", hours_of(at)),
        };
        let words = at_once(model, together);
        told.push(format!("{when}{}", listed(&words)));
    }
    told.join("; ")
}

/// What is done at one time.
fn at_once(model: &Model, presses: &[Press]) -> Vec<String> {
    let mut zones: Vec<(Vec<String>, Vec<&str>)> = Vec::new();
    for of_zone in presses.chunk_by(|one, other| one.zone == other.zone) {
        let doings: Vec<String> = of_zone.iter().map(|it| doing_words(model, it)).collect();
        let name = of_zone.first().map_or("", |it| label(&model.zones[it.zone.get()]));
        match zones.iter_mut().find(|(known, _)| *known == doings) {
            Some((_, names)) => names.push(name),
            None => zones.push((doings, vec![name])),
        }
    }
    let all = |names: &[&str]| match names.len() {
        count if count == model.zones.len() && count > 2 => "every zone".to_owned(),
        _ => listed(names),
    };
    let told = |(doings, names): &(Vec<String>, Vec<&str>)| match model.zones.len() {
        1 => listed(doings),
        _ => format!("{} at {}", listed(doings), all(names)),
    };
    zones.iter().map(told).collect()
}

/// What is done, with its controller where a zone has several.
fn doing_words(model: &Model, press: &Press) -> String {
    let controllers = model.zones[press.zone.get()].controls.settings.key_locks.len();
    match &press.what {
        Doing::Request(request) if controllers > 1 => {
            format!("{} (by {})", asked(request), press.controller)
        }
        Doing::Request(request) => asked(request),
        Doing::PowerFailure(lasts) => format!("the supply fails for {}", hours_of(*lasts)),
        Doing::Window(opening) => format!("window {}", opening.name()),
        Doing::Set(change) => change.words.clone(),
    }
}

fn asked(request: &Request) -> String {
    match request {
        Request::Power(Power::Off) => "power off".into(),
        Request::Power(Power::On) => "power on".into(),
        Request::Mode(mode) => format!("mode {}", mode.name()),
        Request::Setpoint(side, value) => format!("{} {value}", side.name()),
        Request::Press(key) => format!("press {}", key.name()),
    }
}

/// A remedy in words, as the beginning of a sentence's part.
fn remedy_words(worst: &Worst<'_>, remedy: Remedy) -> String {
    let sign = unit_sign(worst.model.unit);
    match remedy {
        Remedy::LockPower => "locking the power key".into(),
        Remedy::LockMode => "locking the mode key".into(),
        Remedy::LockPowerAndMode => "locking power and mode".into(),
        Remedy::LockAll => "locking power, mode and setpoint".into(),
        Remedy::LowLimit(below) => format!("a low limit of {below} {sign}"),
        Remedy::LockPowerWithLowLimit(below) => {
            format!("locking the power key with a low limit of {below} {sign}")
        }
    }
}

/// What is not covered, and the usual caution.
pub fn worst_cautions(worst: &Worst<'_>) -> Vec<String> {
    let mut all = vec![
        "Covered: any presses at any time, any weather within the range given, sun from none to that \
         of a clear sky, gains from none to all at once. Not covered: broken equipment, refrigerant, \
         open doors, and the model itself: its rooms are two capacities, and a real one may lie beyond."
            .to_owned(),
    ];
    if let Some(draws) = worst.draws {
        all.push(format!(
            "Rooms as a fit holds them possible: each bound is kept by all but one in twenty of {draws} \
             draws, and the worst runs are in the rooms that have it."
        ));
    }
    let freezing = worst.zones.iter().any(|zone| zone.bound(End::Lowest).0 < 5.0);
    if freezing {
        all.push(
            "Pipes at outer walls freeze before the air of a room is at 0 C. Drain them or heat them; \
             settings alone protect nothing that must not freeze."
                .to_owned(),
        );
    }
    all.push(
        "Where people live, are treated or cannot leave, lawful temperatures and licensed practice \
         count, not this figure."
            .to_owned(),
    );
    all
}

/// All of it for programs. Temperatures are in the file's unit.
///
/// # Errors
/// None that a well-formed model can bring about.
pub fn worst_json(worst: &Worst<'_>) -> Result<String, serde_json::Error> {
    let zones: Map<String, Value> = worst
        .zones
        .iter()
        .map(|zone| (worst.zone(zone).id.clone(), zone_json(worst, zone)))
        .collect();
    let limits = worst.question.limits;
    let value = json!({
        "coldest": worst.model.unit.from_celsius(limits.coldest),
        "hottest": worst.model.unit.from_celsius(limits.hottest),
        "for_hours": worst.question.lasts.in_hours(),
        "draws": worst.draws,
        "zones": zones,
        "holds": worst.holds(),
    });
    let mut text = serde_json::to_string_pretty(&value)?;
    text.push('\n');
    Ok(text)
}

fn zone_json(worst: &Worst<'_>, zone: &ZoneWorst) -> Value {
    let degrees = |celsius: f64| worst.model.unit.from_celsius(celsius);
    let end = |end: End| {
        let (bound, after) = zone.bound(end);
        let found = zone.found[end as usize].as_ref();
        let step = worst.model.period.step().get() as f64;
        let presses = found.map(|(found, _)| {
            let press = |it: &Press| {
                json!({
                    "at": worst.model.period.clock(it.at),
                    "zone": worst.model.zones[it.zone.get()].id,
                    "controller": it.controller,
                    "what": press_key(&it.what),
                })
            };
            found.presses.iter().map(press).collect::<Vec<_>>()
        });
        let after = found.map_or(after as f64 * step / 3600.0, |(it, _)| it.after.in_hours());
        json!({
            "bound": degrees(bound),
            "found": found.map(|(found, _)| degrees(found.air)),
            "after_hours": after,
            "presses": presses.unwrap_or_default(),
            "scenario": found.map(|(_, name)| name.clone()),
        })
    };
    let remedies: Vec<Value> = End::BOTH
        .into_iter()
        .flat_map(|end| zone.remedies[end as usize].iter().map(move |it| (end, it)))
        .map(|(end, (remedy, bound))| {
            json!({
                "change": remedy_words(worst, *remedy),
                "of": end.name(),
                "bound": degrees(*bound),
            })
        })
        .collect();
    json!({ "lowest": end(End::Lowest), "highest": end(End::Highest), "remedies": remedies })
}

fn press_key(what: &Doing) -> String {
    match what {
        Doing::Request(request) => asked(request),
        Doing::PowerFailure(lasts) => format!("power failure of {} s", lasts.get()),
        Doing::Window(opening) => format!("window {}", opening.name()),
        Doing::Set(change) => change.words.clone(),
    }
}
