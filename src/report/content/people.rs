//! What people went through.

use super::wording::DONE_AS_ASKED;
use super::{Field, Medium, Quantity, Table, Units, Value};
use crate::measures::PersonFigures;
use crate::report::run::Run;

/// A person: with which settings, in which zone as people call it, and their figures.
struct Person<'a> {
    settings: &'a str,
    zone: String,
    it: &'a PersonFigures,
}

fn fields<'a>(compared: bool) -> Vec<Field<Person<'a>>> {
    use Quantity::{Count, Hours, Name};
    let mut fields: Vec<Field<Person>> = vec![
        Field::new("", "person", Name, |it: &Person| it.it.name.as_str().into()),
        Field::new("", "zone", Name, |it: &Person| it.zone.clone().into()),
    ];
    if compared {
        fields.push(Field::new("", "settings", Name, |it| it.settings.into()));
    }
    fields.extend([
        Field::new("present_hours", "there", Hours, |it: &Person| it.it.present_hours.into()),
        Field::new("cold_hours", "too cold", Hours, |it: &Person| it.it.cold_hours.into()).minded(),
        Field::new("warm_hours", "too warm", Hours, |it: &Person| it.it.warm_hours.into()).minded(),
        Field::new("presses", "keys pressed", Count, |it: &Person| it.it.presses.into())
            .only(&[Medium::Page, Medium::Workbook]),
        Field::new("presses_denied", "not done as asked", Count, |it: &Person| {
            it.it.presses_denied.into()
        })
        .only(&[Medium::Workbook]),
        Field::new("", DONE_AS_ASKED, Count, |it: &Person| {
            Value::Part(it.it.presses - it.it.presses_denied, it.it.presses)
        })
        .only(Medium::BRIEF)
        .minded(),
        Field::new("gave_up", "gave up", Count, |it: &Person| it.it.gave_up.into()).minded(),
        Field::new("complaints", "com\u{ad}plaints", Count, |it: &Person| it.it.complaints.into())
            .minded(),
    ]);
    fields
}

fn zone_of(run: &Run, place: usize) -> String {
    let known = run.model.people.get(place).map(|person| run.label(person.zone).to_owned());
    known.unwrap_or_else(|| run.summary.people[place].zone.clone())
}

/// Some people of a run, by their places.
pub(in crate::report) fn people(run: &Run, places: &[usize]) -> Table {
    let row = |place: &usize| {
        let person =
            Person { settings: "", zone: zone_of(run, *place), it: &run.summary.people[*place] };
        (format!("people/{place}"), person)
    };
    Table::of(Units::of(run.model), &fields(false), places.iter().map(row))
}

/// The same people of several runs: each with every run's settings, by name and by its place in
/// `compare.json`. A run that does not have somebody has no row for them.
pub(in crate::report) fn compared(runs: &[(&str, String, Run)], places: &[usize]) -> Table {
    let Some((.., base)) = runs.first() else { return Table::default() };
    let mut rows = Vec::new();
    for person in places.iter().map(|place| &base.summary.people[*place]) {
        for (name, at, run) in runs {
            let same = |it: &PersonFigures| it.name == person.name && it.zone == person.zone;
            let Some(place) = run.summary.people.iter().position(same) else { continue };
            let it = &run.summary.people[place];
            let person = Person { settings: name, zone: zone_of(run, place), it };
            rows.push((format!("{at}/people/{place}"), person));
        }
    }
    Table::of(Units::of(base.model), &fields(true), rows)
}

/// Everybody where that is `most` or fewer, else those who complained and were uncomfortable most.
pub(in crate::report) fn shown(all: &[PersonFigures], most: usize) -> Vec<usize> {
    let mut places: Vec<usize> = (0..all.len()).collect();
    if all.len() > most {
        let discomfort = |person: &PersonFigures| person.cold_hours + person.warm_hours;
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

/// Those who have no row; nothing where everybody has one.
pub(in crate::report) fn rest(
    all: &[PersonFigures],
    shown: &[usize],
    file: &str,
) -> Option<String> {
    let others = all.iter().enumerate().filter(|(place, _)| !shown.contains(place));
    let complaints: u64 = others.map(|(_, person)| person.complaints).sum();
    let who = match all.len() - shown.len() {
        0 => return None,
        1 => "1 more is".into(),
        people => format!("{people} more are"),
    };
    let what = match complaints {
        0 => "no complaint".into(),
        1 => "1 complaint".into(),
        many => format!("{many} complaints"),
    };
    Some(format!("{who} in {file}, with {what} among them."))
}
