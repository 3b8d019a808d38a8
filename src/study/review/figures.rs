//! Requirements about figures: the period of the file is simulated, once for each variant.

use super::zones_of;
use super::{Bounds, Conformity, CounterExample, Evidence, Requirement, RunFigure, Shown, Worst};
use crate::control::Outcome;
use crate::engine::{Entry, Event, LedgerRow, Model, StepRow, ZoneIndex, start};
use crate::measures::{Figure, Summary, ZoneFigures};
use crate::settings::Value;
use crate::study::simulate::{EachRow, Finished, Keep, simulate};
use crate::time::Instant;

/// What a run left, for requirements about its figures.
#[derive(Clone, Copy, Debug)]
pub struct Ran<'r> {
    /// Its figures.
    pub summary: &'r Summary,
    /// Its ledger.
    pub ledger: &'r [LedgerRow],
}

/// Runs, each of a variant.
pub(super) struct Runs<'r> {
    /// What was run before.
    given: Option<Ran<'r>>,
    all: Vec<(Option<String>, Finished)>,
}

impl<'r> Runs<'r> {
    pub(super) const fn new(given: Option<Ran<'r>>) -> Self {
        Self { given, all: Vec::new() }
    }

    /// The run of a model; or why it ends early.
    pub(super) fn of(&mut self, model: &Model) -> Result<Ran<'_>, String> {
        if let Some(given) = self.given.filter(|given| given.summary.variant == model.variant) {
            return Ok(given);
        }
        let known = self.all.iter().position(|(variant, _)| *variant == model.variant);
        let at = known.unwrap_or_else(|| {
            self.all.push((model.variant.clone(), simulate(model, Keep::Nothing)));
            self.all.len() - 1
        });
        let finished = &self.all[at].1;
        match finished.halt {
            Some(halt) => Err(format!("the run ends early: {}", halt.in_words(model).0)),
            None => Ok(Ran { summary: &finished.summary, ledger: &finished.ledger }),
        }
    }

    pub(super) fn review(
        &mut self,
        model: &Model,
        requirement: &Requirement,
        (figure, of_all): (RunFigure, bool),
        bounds: &Bounds,
    ) -> Shown {
        let ran = match self.of(model) {
            Ok(ran) => ran,
            Err(why) => return Shown::nothing(why),
        };
        let summary = ran.summary;
        let mut values: Vec<(Option<ZoneIndex>, f64)> = Vec::new();
        if of_all {
            values.extend(whole(figure, summary).map(|value| (None, value)));
        } else {
            for zone in zones_of(model, requirement) {
                let figures = &summary.zones[zone.get()].1;
                let value = of_zone(figure, figures, summary, &model.zones[zone.get()].id);
                values.extend(value.map(|value| (Some(zone), value)));
            }
        }
        let worst = values
            .into_iter()
            .min_by(|one, other| bounds.margin(one.1).total_cmp(&bounds.margin(other.1)));
        let Some((zone, value)) = worst else {
            return Shown::nothing("this run has no such figure");
        };
        let verdict = Conformity::of(bounds.hold(value));
        let too_much = bounds.most().is_some_and(|most| value > most);
        let counter = (verdict == Conformity::Fails)
            .then(|| when(model, ran, (figure, zone), bounds, too_much))
            .flatten()
            .map(|at| CounterExample::At { zone, at });
        Shown {
            verdict,
            by: Evidence::Run,
            worst: Some(Worst {
                zone,
                value: Value::Number(value),
                margin: Some(bounds.margin(value)),
            }),
            counter,
        }
    }
}

/// A figure of one zone.
fn of_zone(figure: RunFigure, it: &ZoneFigures, summary: &Summary, id: &str) -> Option<f64> {
    Some(match figure {
        RunFigure::Changeovers => it.changeovers as f64,
        RunFigure::UnitStarts => it.unit_starts as f64,
        RunFigure::ServedHours => it.served_hours,
        RunFigure::StarvedHours => it.starved_hours,
        RunFigure::LongestWaitHours => it.longest_wait_hours,
        RunFigure::HoursOutsideBand => it.hours_outside_band,
        RunFigure::DegreeHoursOutsideBand => it.degree_hours_outside_band,
        RunFigure::LowestTemperature => it.temperature.min,
        RunFigure::HighestTemperature => it.temperature.max,
        RunFigure::PpdPercent => it.comfort.as_ref()?.ppd_percent,
        RunFigure::Refused => it.requests.refused as f64,
        RunFigure::Limited => it.requests.limited as f64,
        RunFigure::Complaints => {
            let people = summary.people.iter().filter(|person| person.zone == id);
            people.map(|person| person.complaints as f64).reduce(|sum, each| sum + each)?
        }
        RunFigure::MixedDemandHours
        | RunFigure::TotalKwh
        | RunFigure::PeakKw
        | RunFigure::Cost
        | RunFigure::CarbonKg => return None,
    })
}

/// A figure of all zones together.
fn whole(figure: RunFigure, summary: &Summary) -> Option<f64> {
    let zones = || summary.zones.iter().map(|(_, zone)| zone);
    match figure {
        RunFigure::ServedHours => Some(zones().map(|zone| zone.served_hours).sum()),
        RunFigure::LongestWaitHours => zones().map(|zone| zone.longest_wait_hours).reduce(f64::max),
        RunFigure::LowestTemperature => zones().map(|zone| zone.temperature.min).reduce(f64::min),
        RunFigure::HighestTemperature => zones().map(|zone| zone.temperature.max).reduce(f64::max),
        // The others are figures of the run under the same name.
        _ => Figure::named(figure.name())?.of(summary),
    }
}

/// When a figure passed its bound, or where its extreme was.
fn when(
    model: &Model,
    ran: Ran<'_>,
    (figure, zone): (RunFigure, Option<ZoneIndex>),
    bounds: &Bounds,
    too_much: bool,
) -> Option<Instant> {
    let most = bounds.most().filter(|_| too_much);
    let rows = ran.ledger.iter().filter(|row| zone.is_none_or(|zone| row.zone == zone));
    // The row with which a count passes its bound.
    let passing = |is: &dyn Fn(&LedgerRow) -> bool| {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a bound on a count of rows; what is negative is passed by the first"
        )]
        let before = most? as usize;
        rows.clone().filter(|row| is(row)).nth(before).map(|row| row.at)
    };
    let ended = |wanted: Outcome| move |row: &LedgerRow| matches!(row.entry, Entry::Request { outcome, .. } if outcome == wanted);
    match figure {
        RunFigure::Changeovers => {
            passing(&|row| matches!(row.entry, Entry::Event(Event::Changeover { .. })))
        }
        RunFigure::Refused => passing(&ended(Outcome::Refused)),
        RunFigure::Limited => passing(&ended(Outcome::Limited)),
        RunFigure::StarvedHours | RunFigure::LongestWaitHours => {
            let starved =
                |row: &&LedgerRow| matches!(row.entry, Entry::Event(Event::StarvedFrom { .. }));
            rows.clone().find(starved).map(|row| row.at)
        }
        RunFigure::HoursOutsideBand | RunFigure::DegreeHoursOutsideBand => {
            first_of(model, zone, |row| row.occupied && outside(model, row))
        }
        RunFigure::LowestTemperature => {
            let least = bounds.least()?;
            first_of(model, zone, |row| row.temperature < least)
        }
        RunFigure::HighestTemperature => {
            let most = bounds.most()?;
            first_of(model, zone, |row| row.temperature > most)
        }
        _ => None,
    }
}

fn outside(model: &Model, row: &StepRow) -> bool {
    let (low, high) = model.zones[row.zone.get()].comfort.counted();
    let felt = model.unit.to_celsius(row.operative);
    felt < low || felt > high
}

/// The first step of which something is true.
fn first_of(
    model: &Model,
    zone: Option<ZoneIndex>,
    is: impl Fn(&StepRow) -> bool,
) -> Option<Instant> {
    let mut first = None;
    let (mut simulation, _) = start(model);
    while simulation.state().now < model.period.end() && simulation.halt().is_none() {
        simulation.step(&mut EachRow(|row: &StepRow| {
            if zone.is_none_or(|zone| row.zone == zone) && is(row) {
                first = first.or(Some(row.at));
            }
        }));
        if first.is_some() {
            break;
        }
    }
    first
}
