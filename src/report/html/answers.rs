//! The questions with which a page opens, each with a plain sentence.

use maud::{Markup, html};

use crate::measures::{Summary, ZoneFigures};
use crate::report::figures::{count, duration, hours_digits, listed, three_figures, times};
use crate::report::headline::{asked_and_denied, capitalised, happened};
use crate::report::render::html::{LINE, Words};
use crate::report::run::Run;

/// A question and its answers.
pub(super) type Answer = (&'static str, Vec<String>);

/// Questions with their answers.
pub(super) fn written(answers: &[Answer]) -> Markup {
    html! {
        dl.answers {
            @for (question, sentences) in answers {
                dt { (question) }
                @for sentence in sentences { dd { (Words(sentence)) } (LINE) }
            }
        }
    }
}

/// What a run shows, for whom, and what it costs.
pub(super) fn of_run(run: &Run) -> Vec<Answer> {
    vec![
        ("What happened?", vec![happened(run)]),
        ("For whom?", vec![for_whom(run)]),
        ("What did it cost?", vec![costs(run)]),
    ]
}

fn for_whom(run: &Run) -> String {
    let comfort = match run.summary.zones.as_slice() {
        [(_, only)] => comfort_of_one(run, only),
        _ => comfort_of_many(run),
    };
    let (asked, denied) = asked_and_denied(run.summary);
    let requests = match (asked, denied) {
        (0, _) => "nobody asked for anything".to_owned(),
        (1, 0) => "the one request was done as asked".to_owned(),
        (1, _) => "the one request was not done as asked".to_owned(),
        (_, 0) => format!("all {asked} requests were done as asked"),
        (_, _) => format!("{} of {asked} requests were done as asked", asked - denied),
    };
    let people = complaints(run.summary);
    let people = people.map_or_else(String::new, |words| format!("; {words}"));
    format!("{}; {requests}{people}.", capitalised(&comfort))
}

fn comfort_of_one(run: &Run, zone: &ZoneFigures) -> String {
    let name = run.model.zones.first().map_or("the zone", crate::report::run::label);
    let occupied = duration(zone.occupied_hours);
    match (zone.occupied_hours, zone.hours_outside_band) {
        (hours, _) if hours < 0.005 => format!("nobody was in {name}"),
        (_, outside) if outside < 0.005 => {
            format!("whoever was in {name} was comfortable for all of the {occupied}")
        }
        (hours, outside) => format!(
            "whoever was in {name} was comfortable for {} of {occupied}",
            duration((hours - outside).max(0.0))
        ),
    }
}

fn comfort_of_many(run: &Run) -> String {
    let zones = &run.summary.zones;
    let worst = zones
        .iter()
        .enumerate()
        // Of equals the first, which is also the headline's.
        .rev()
        .max_by(|(_, a), (_, b)| a.1.hours_outside_band.total_cmp(&b.1.hours_outside_band));
    let missed = zones.iter().filter(|(_, zone)| zone.hours_outside_band >= 0.005).count();
    let held = zones.len() - missed;
    match worst {
        Some((place, (_, zone))) if missed > 0 => {
            let name = run.model.zones.get(place).map_or("", crate::report::run::label);
            let held = match held {
                0 => "comfort was missed at some time in every zone".to_owned(),
                _ => format!(
                    "comfort held in {held} of {} zones whenever somebody was there",
                    zones.len()
                ),
            };
            format!(
                "{held}; {name} missed it longest, for {} of {} occupied hours",
                hours_digits(zone.hours_outside_band),
                hours_digits(zone.occupied_hours)
            )
        }
        _ => format!("comfort held in all {} zones whenever somebody was there", zones.len()),
    }
}

fn costs(run: &Run) -> String {
    let energy = &run.summary.energy;
    let mut parts = vec![format!("{} kWh of electricity", three_figures(energy.total_kwh))];
    if let (Some(cost), Some(bill)) = (energy.cost, &run.summary.bill) {
        parts.push(format!("{cost:.2} {} at the prices below", bill.currency));
    }
    if let Some(carbon) = energy.carbon_kg {
        parts.push(format!("{} kg of carbon dioxide", three_figures(carbon)));
    }
    let time = match run.model.period.days() {
        1 => duration(run.summary.period.hours),
        days => format!("{days} days"),
    };
    let prices = match energy.cost {
        Some(_) => "",
        None => " No prices are given, so there is no cost in money.",
    };
    format!("In {time} it took {}.{prices}", listed(&parts))
}

/// How many complained and gave up; nothing where nobody is simulated.
fn complaints(summary: &Summary) -> Option<String> {
    let people = &summary.people;
    let complained = people.iter().filter(|person| person.complaints > 0).count();
    let complaints: u64 = people.iter().map(|person| person.complaints).sum();
    let gave_up: u64 = people.iter().map(|person| person.gave_up).sum();
    let gave_up = match gave_up {
        0 => String::new(),
        many => format!(", and pressing was given up {}", times(many)),
    };
    match (people.as_slice(), complaints) {
        ([], _) => None,
        ([only], 0) => Some(format!("{} did not complain{gave_up}", only.name)),
        ([only], many) => Some(format!("{} complained {}{gave_up}", only.name, times(many))),
        (all, 0) => Some(format!("none of {} people complained{gave_up}", all.len())),
        (all, many) => Some(format!(
            "{} came from {complained} of {} people{gave_up}",
            count(many, "complaint"),
            all.len()
        )),
    }
}
