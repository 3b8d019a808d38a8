//! Which zone fares worst, by what people choose to look at, and why: one sentence, and the order.
//!
//! ```
//! use setband::{Scenario, report};
//!
//! let scenario = Scenario::parse(
//!     "period: {from: 2025-04-16}
//! weather: {design_day: {high: 18, range: 11}}
//! zones:
//!   hall: {space: {floor: 60 m2}, unit: {heating: 4 kW, cooling: 4 kW}, controls: {heat: 20, cool: 24}}
//! ",
//! )?;
//! let run = scenario.run()?;
//! let run = run.as_run();
//! let by = report::Fares::telling(&run);
//! assert_eq!(by, report::Fares::Outside);
//! let answer = report::worst_answer(&run, by);
//! assert!(answer.starts_with("hall was out of band for 24 h, by 0.4 °C on average"), "{answer}");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

use super::events::request_in_short;
use super::figures::{duration, one_digit, three_figures, times, unit_sign};
use super::headline::{implausible, zone_asked_and_denied};
use super::run::Run;
use crate::control::{ModePolicy, Outcome, Sharing, policy_words};
use crate::direction::Direction;
use crate::engine::{Entry, Event, OutdoorGroup, ZoneIndex};
use crate::measures::{UnmetHours, ZoneFigures};

/// Less than half a minute of something is nothing, h.
const LEAST_HOURS: f64 = 1.0 / 120.0;

/// What is meant by worst.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fares {
    /// Hours starved.
    Starved,
    /// Occupied hours out of the comfort band.
    Outside,
    /// Degree-hours out of it.
    Degrees,
    /// Requests that were not done as asked.
    Denied,
    /// Changes between heating and cooling.
    Changeovers,
}

impl Fares {
    /// All of them.
    pub const ALL: [Self; 5] =
        [Self::Starved, Self::Outside, Self::Degrees, Self::Denied, Self::Changeovers];

    /// What programs call it.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Starved => "starved",
            Self::Outside => "outside",
            Self::Degrees => "degrees",
            Self::Denied => "denied",
            Self::Changeovers => "changeovers",
        }
    }

    /// What people call it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Starved => "hours starved",
            Self::Outside => "hours out of band",
            Self::Degrees => "degree-hours out of band",
            Self::Denied => "requests not done as asked",
            Self::Changeovers => "changeovers",
        }
    }

    /// The one of that name.
    pub fn named(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|by| by.id() == id)
    }

    /// The first of them that any zone of a run has; hours starved where none has any.
    pub fn telling(run: &Run) -> Self {
        let has = |by: &Self| run.summary.zones.iter().any(|(_, zone)| by.of(zone) > LEAST_HOURS);
        [Self::Starved, Self::Outside, Self::Denied, Self::Changeovers]
            .into_iter()
            .find(has)
            .unwrap_or(Self::Starved)
    }

    /// How a zone fares: the more the worse.
    pub fn of(self, zone: &ZoneFigures) -> f64 {
        match self {
            Self::Starved => zone.starved_hours,
            Self::Outside => zone.hours_outside_band,
            Self::Degrees => zone.degree_hours_outside_band,
            Self::Denied => zone_asked_and_denied(zone).1 as f64,
            Self::Changeovers => zone.changeovers as f64,
        }
    }

    /// Its value as people read it: `11.9 h`, `3`.
    pub fn shown(self, run: &Run, value: f64) -> String {
        match self {
            Self::Starved | Self::Outside => format!("{} h", one_digit(value)),
            Self::Degrees => format!("{} {} h", one_digit(value), unit_sign(run.model.unit)),
            Self::Denied | Self::Changeovers => format!("{value:.0}"),
        }
    }
}

/// The zones of a run, the one that fares worst first; where two fare alike the one that is out of
/// band longer, then in the order of the file.
pub fn worst_first(run: &Run, by: Fares) -> Vec<ZoneIndex> {
    let zones = &run.summary.zones;
    let mut order: Vec<usize> = (0..zones.len()).collect();
    order.sort_by(|one, two| {
        let (one, two) = (&zones[*one].1, &zones[*two].1);
        let then = two.hours_outside_band.total_cmp(&one.hours_outside_band);
        by.of(two).total_cmp(&by.of(one)).then(then)
    });
    order.into_iter().map(ZoneIndex::new).collect()
}

/// Which zone fares worst and why, and what the whole took.
pub fn worst_answer(run: &Run, by: Fares) -> String {
    let warning = implausible(run.model, run.summary).map_or(String::new(), |words| words + " ");
    let worst = worst_first(run, by).into_iter().next();
    let fares = worst.and_then(|zone| {
        let (_, figures) = run.summary.zones.get(zone.get())?;
        (by.of(figures) > LEAST_HOURS).then(|| Sentence { run, zone, figures }.of(by))
    });
    let fares = fares.unwrap_or_else(|| none_of(by).to_owned());
    let kwh = three_figures(run.summary.energy.total_kwh);
    let hours = duration(run.summary.period.hours);
    format!("{warning}{fares} It took {kwh} kWh of electricity in {hours}.")
}

const fn none_of(by: Fares) -> &'static str {
    match by {
        Fares::Starved => {
            "No zone was starved or out of band, and all requests were done as asked."
        }
        Fares::Outside | Fares::Degrees => "No zone was out of its comfort band.",
        Fares::Denied => "All requests were done as asked.",
        Fares::Changeovers => "Nothing changed over between heating and cooling.",
    }
}

struct Sentence<'a, 'r> {
    run: &'a Run<'r>,
    zone: ZoneIndex,
    figures: &'a ZoneFigures,
}

impl Sentence<'_, '_> {
    fn of(&self, by: Fares) -> String {
        let name = self.run.label(self.zone);
        let others = self.others(by);
        match by {
            Fares::Starved => {
                let hours = duration(self.figures.starved_hours);
                format!(
                    "{name} waited longest, starved for {hours}{others}: {}.",
                    self.starved_by()
                )
            }
            Fares::Outside | Fares::Degrees => {
                let hours = duration(self.figures.hours_outside_band);
                let mean = self.figures.degree_hours_outside_band / self.figures.hours_outside_band;
                let degrees = format!("{mean:.1} {}", unit_sign(self.run.model.unit));
                format!(
                    "{name} was out of band for {hours}, by {degrees} on average{others}: {}.",
                    unmet_by(&self.figures.unmet_hours)
                )
            }
            Fares::Denied => {
                let (asked, denied) = zone_asked_and_denied(self.figures);
                format!(
                    "{denied} of {asked} requests in {name} {} not done as asked{others}{}.",
                    if denied == 1 { "was" } else { "were" },
                    self.denied_by()
                )
            }
            Fares::Changeovers => {
                let often = times(self.figures.changeovers);
                format!("{name} changed between heating and cooling {often}{others}.")
            }
        }
    }

    /// How many others have something of it, too.
    fn others(&self, by: Fares) -> String {
        let having = |(_, zone): &&(String, ZoneFigures)| by.of(zone) > LEAST_HOURS;
        match self.run.summary.zones.iter().filter(having).count() {
            0 | 1 => String::new(),
            2 => ", and one other zone has some of it".to_owned(),
            many => format!(", and {} other zones have some of it", many - 1),
        }
    }

    /// Who had the plant do the opposite.
    fn starved_by(&self) -> String {
        let needs = self.run.ledger.iter().find_map(|row| match &row.entry {
            Entry::Event(Event::StarvedFrom { needs }) if row.zone == self.zone => Some(*needs),
            _ => None,
        });
        let (needed, did) = match needs {
            Some(Direction::Cooling) => ("cooling", "heated"),
            Some(Direction::Heating) => ("heating", "cooled"),
            None => ("the opposite", "did otherwise"),
        };
        let shares = |unit: &&OutdoorGroup| unit.zones.contains(&self.zone);
        let unit = self.run.model.outdoor_units.iter().find(shares);
        match unit.map(|unit| (unit, unit.settings.sharing)) {
            Some((unit, Sharing::SingleMode { policy: ModePolicy::Owner, owner, .. })) => {
                let owner = unit.zones.get(owner).map_or("another zone", |it| self.run.label(*it));
                format!("it needed {needed} while the plant {did}, as {owner} decides for all")
            }
            Some((_, Sharing::SingleMode { policy, .. })) => {
                format!("it needed {needed} while the plant {did} ({})", policy_words(policy))
            }
            _ => "it had to turn between heating and cooling first, and its changeover delay ran"
                .into(),
        }
    }

    /// What was asked in vain first.
    fn denied_by(&self) -> String {
        let first = self.run.ledger.iter().find_map(|row| match &row.entry {
            Entry::Request { what, outcome, .. } if row.zone == self.zone => {
                let denied = !matches!(outcome, Outcome::Accepted | Outcome::Pushed);
                denied.then(|| (request_in_short(what), super::reason_words(self.run.model, row)))
            }
            _ => None,
        });
        first.map_or_else(String::new, |(what, why)| format!(": {what}, since {why}"))
    }
}

/// The cause of most of the hours out of band.
fn unmet_by(hours: &UnmetHours) -> &'static str {
    let causes = [
        (hours.lock_or_power, "it was switched off, or its mode did not allow what it needed"),
        (hours.outdoor_limit, "limits on the outdoor temperature did not allow what it needed"),
        (hours.reversal, "the plant was reversing"),
        (hours.capacity, "the plant gave all it could, and that was too little"),
        (hours.wrong_direction, "the plant did the opposite for others"),
        (hours.timer, "a delay or a timer stood against it"),
        (hours.sensor, "its sensor reported another temperature than the room had"),
        (hours.limit, "its setpoints did not ask for more"),
    ];
    let most = causes.into_iter().reduce(|most, it| if it.0 > most.0 { it } else { most });
    most.filter(|(hours, _)| *hours > 0.0).map_or("nobody asked for more", |(_, words)| words)
}
