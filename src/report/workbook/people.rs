//! What people went through: a row for each of each subject.

use rust_xlsxwriter::XlsxError;

use super::Subject;
use super::page::{Cell, Page, Shown};

const HEADS: [&str; 9] = [
    "Person",
    "Zone",
    "There, h",
    "Too cold, h",
    "Too warm, h",
    "Keys pressed",
    "Not done as asked",
    "Gave up",
    "Complaints",
];

pub(super) fn write(page: &mut Page, subjects: &[Subject]) -> Result<(), XlsxError> {
    let compared = subjects.len() > 1;
    let mut heads: Vec<String> = HEADS.iter().map(|head| (*head).to_owned()).collect();
    let mut widths = vec![24.0, 20.0, 12.0];
    if compared {
        heads.insert(0, "Variant".into());
        widths.insert(0, 16.0);
    }
    page.widths(&widths, heads.len() - widths.len())?;
    page.heads(&heads, if compared { 3 } else { 2 })?;
    for subject in subjects {
        for place in 0..subject.run.summary.people.len() {
            let name = compared.then(|| Cell::from(subject.name.unwrap_or_default()));
            let cells: Vec<Cell> = name.into_iter().chain(cells(subject, place)).collect();
            page.row(&cells)?;
        }
    }
    page.filter(0, heads.len())
}

fn cells(subject: &Subject, place: usize) -> Vec<Cell> {
    let run = &subject.run;
    let person = &run.summary.people[place];
    let zone = run.model.people.get(place).map_or(&*person.zone, |known| run.label(known.zone));
    let mut cells: Vec<Cell> = vec![person.name.clone().into(), zone.into()];
    let hours = [person.present_hours, person.cold_hours, person.warm_hours];
    cells.extend(hours.map(|value| Cell::Number(Some(value), Shown::One)));
    let counts = [person.presses, person.presses_denied, person.gave_up, person.complaints];
    cells.extend(counts.map(|count| Cell::Number(Some(count as f64), Shown::Whole)));
    cells
}
