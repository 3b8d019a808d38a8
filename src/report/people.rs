//! What the people of a run went through: a table for the terminal.

use super::figures::hours_digits;
use super::fit::hang;
use super::run::Run;
use super::style::{Style, Tone};
use super::table::{Cell, Column, Fit, Table};
use crate::measures::PersonFigures;

/// So many people have a row of their own.
const MOST: usize = 12;

/// The section of the terminal summary; empty where the file has no people.
pub(super) fn people(run: &Run, style: Style) -> String {
    let all = &run.summary.people;
    if all.is_empty() {
        return String::new();
    }
    let mut table = Table::new(vec![
        Column::words("who", Fit::Cut),
        Column::words("zone", Fit::Cut),
        Column::numbers("there\nh"),
        Column::numbers("too cold\nh"),
        Column::numbers("too warm\nh"),
        Column::numbers("done as\npressed"),
        Column::numbers("gave\nup"),
        Column::numbers("com-\nplaints"),
    ]);
    let places: Vec<usize> = shown(all, MOST);
    for &place in &places {
        table.row(row(run, place));
    }
    let mut out = table.render(style);
    if places.len() < all.len() {
        out.push_str(&hang("  ", &rest(all, &places), style.width));
    }
    out
}

/// Everybody where that is `most` or fewer, else those who complained and were uncomfortable most.
pub(super) fn shown(all: &[PersonFigures], most: usize) -> Vec<usize> {
    let mut places: Vec<usize> = (0..all.len()).collect();
    if all.len() > most {
        let worst = |place: &usize| (all[*place].complaints, discomfort(&all[*place]));
        places.sort_by(|one, other| {
            let ((more, longer), (fewer, shorter)) = (worst(other), worst(one));
            more.cmp(&fewer).then(longer.total_cmp(&shorter)).then(one.cmp(other))
        });
        places.truncate(most);
        places.sort_unstable();
    }
    places
}

/// Hours in which somebody was too cold or too warm.
pub(super) fn discomfort(person: &PersonFigures) -> f64 {
    person.cold_hours + person.warm_hours
}

fn row(run: &Run, place: usize) -> [Cell; 8] {
    let person = &run.summary.people[place];
    let zone = run.model.people.get(place).map_or(&*person.zone, |known| run.label(known.zone));
    let count = |count: u64| warning_unless(count == 0, count.to_string());
    let hours = |hours: f64| warning_unless(hours < 0.05, hours_digits(hours));
    [
        Cell::from(&person.name),
        Cell::from(zone),
        hours_digits(person.present_hours).into(),
        hours(person.cold_hours),
        hours(person.warm_hours),
        warning_unless(
            person.presses_denied == 0,
            format!("{}/{}", person.presses - person.presses_denied, person.presses),
        ),
        count(person.gave_up),
        count(person.complaints),
    ]
}

fn warning_unless(fine: bool, text: String) -> Cell {
    Cell::toned(text, if fine { Tone::Plain } else { Tone::Warning })
}

/// Those who have no row.
pub(super) fn rest(all: &[PersonFigures], shown: &[usize]) -> String {
    let others = all.iter().enumerate().filter(|(place, _)| !shown.contains(place));
    let complaints: u64 = others.map(|(_, person)| person.complaints).sum();
    let people = all.len() - shown.len();
    let who = if people == 1 { "1 more is".into() } else { format!("{people} more are") };
    let what = match complaints {
        0 => "no complaint".into(),
        1 => "1 complaint".into(),
        many => format!("{many} complaints"),
    };
    format!("{who} in summary.json, with {what} among them.")
}
