//! What the people of a run, or of several runs side by side, went through.

use super::markup::Markup;
use super::tables::{Row, numbers};
use crate::measures::{PersonFigures, Summary};
use crate::report::figures::{count, hours_digits, times};
use crate::report::people::{discomfort, rest, shown};
use crate::report::run::Run;
use crate::study::{Comparison, Contender};

/// So many people have a row of their own in a page.
const MOST: usize = 40;

const INTRODUCTION: &str = "The people here are simulated: one possible course of these days. \
                            Somebody is uncomfortable when the room is too cold or too warm for \
                            them, presses keys, gives up when that does not help, and complains.";

/// The people of a run, a row each.
pub(super) fn of_run(to: &mut Markup, run: &Run) {
    let all = &run.summary.people;
    if all.is_empty() {
        return;
    }
    let heads = [
        "Person",
        "Hours there",
        "of these too cold",
        "of these too warm",
        "Keys pressed",
        "Presses done as asked",
        "Times given up",
        "Complaints",
    ]
    .map(String::from);
    let places = shown(all, MOST);
    let rows: Vec<Row> = places.iter().map(|place| row(run, *place)).collect();
    to.section("people", "What people went through", |section| {
        section.element("p", &[("class", "text")], INTRODUCTION);
        numbers(section, &heads, &rows);
        if places.len() < all.len() {
            section.element("p", &[("class", "text")], &rest(all, &places));
        }
    });
}

fn row(run: &Run, place: usize) -> Row {
    let person = &run.summary.people[place];
    let figure = |key: &str| format!("people/{place}/{key}");
    let hours = [
        ("present_hours", person.present_hours),
        ("cold_hours", person.cold_hours),
        ("warm_hours", person.warm_hours),
    ];
    let mut cells: Vec<(String, String)> =
        hours.into_iter().map(|(key, value)| (figure(key), hours_digits(value))).collect();
    cells.push((figure("presses"), person.presses.to_string()));
    cells.push((String::new(), (person.presses - person.presses_denied).to_string()));
    cells.push((figure("gave_up"), person.gave_up.to_string()));
    cells.push((figure("complaints"), person.complaints.to_string()));
    Row { name: named(run, person), cells }
}

/// A person with their zone, where there are several zones.
fn named(run: &Run, person: &PersonFigures) -> String {
    let zone = run.model.zones.iter().find(|zone| zone.id == person.zone);
    match zone.map(crate::report::run::label) {
        Some(zone) if run.model.zones.len() > 1 => format!("{}, {zone}", person.name),
        _ => person.name.clone(),
    }
}

/// The people of the base, a row each, and how they fared with each of the settings.
pub(super) fn of_comparison(to: &mut Markup, comparison: &Comparison, names: &[String]) {
    let base = Run::of(&comparison.base);
    let all = &base.summary.people;
    if all.is_empty() {
        return;
    }
    let places = shown(all, MOST);
    to.section("people", "What people go through", |section| {
        section.element("p", &[("class", "text")], INTRODUCTION);
        section.within("table", &[("class", "numbers cards compared")], |table| {
            head(table, names);
            table.within("tbody", &[], |body| {
                for place in &places {
                    body.within("tr", &[], |row| {
                        row.cell("th", &[("scope", "row")], &named(&base, &all[*place]));
                        for (contender, name) in comparison.all().zip(names) {
                            fared(row, comparison, contender, &all[*place], name);
                        }
                    });
                }
            });
        });
        if places.len() < all.len() {
            section.element("p", &[("class", "text")], &rest(all, &places));
        }
    });
}

fn head(to: &mut Markup, names: &[String]) {
    to.within("thead", &[], |head| {
        head.within("tr", &[], |row| {
            row.cell("th", &[("scope", "col")], "Person");
            for name in names {
                row.cell("th", &[("scope", "col")], name);
            }
        });
    });
}

/// Hours uncomfortable and complaints of one person with one of the settings.
fn fared(
    to: &mut Markup,
    comparison: &Comparison,
    contender: &Contender,
    person: &PersonFigures,
    name: &str,
) {
    let people = &contender.finished.summary.people;
    let same = |other: &PersonFigures| other.name == person.name && other.zone == person.zone;
    let place = people.iter().position(same);
    let whose = if std::ptr::eq(contender, &raw const comparison.base) {
        "base".to_owned()
    } else {
        format!("variants/{}", contender.name)
    };
    to.within("td", &[("data-head", name)], |cell| match place {
        None => cell.words("is not there"),
        Some(place) => {
            let other = &people[place];
            cell.words(&format!("{} h uncomfortable ", hours_digits(discomfort(other))));
            cell.within("span", &[("class", "difference")], |more| {
                let figure = format!("{whose}/people/{place}/complaints");
                more.element("span", &[("data-figure", &figure)], &other.complaints.to_string());
                more.words(if other.complaints == 1 { " complaint" } else { " complaints" });
                if other.gave_up > 0 {
                    more.words(&format!(", gave up {}", times(other.gave_up)));
                }
            });
        }
    });
}

/// How many complained and gave up; nothing where nobody is simulated.
pub(super) fn complaints(summary: &Summary) -> Option<String> {
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
