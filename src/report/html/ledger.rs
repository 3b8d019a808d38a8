//! The ledger as a table that can be filtered.

use maud::{Markup, html};

use crate::control::Outcome;
use crate::engine::{Entry, Event, LedgerRow, ZoneIndex};
use crate::report::events::{reason_words, request_in_full};
use crate::report::figures::{moment, setpoint};
use crate::report::headline::capitalised;
use crate::report::highlights::Kind;
use crate::report::render::html::{self, Breakable, LINE, Words, text};
use crate::report::run::Run;

/// So many rows stand in a page; the file has them all.
const MOST_ROWS: usize = 2000;
/// So many of them are printed, and where there are more, none that only tells the hours of the
/// schedule: a year's would fill a ream.
const MOST_ON_PAPER: usize = 200;

/// The section of one or more runs, each with its name.
pub(super) fn section(runs: &[(String, Run)]) -> Markup {
    let all: usize = runs.iter().map(|(_, run)| run.ledger.len()).sum();
    if all == 0 {
        return html! {};
    }
    let kept: Vec<Vec<Kept>> = runs.iter().map(|(_, run)| kept(run.ledger, runs.len())).collect();
    let shown: usize = kept.iter().map(Vec::len).sum();
    let printed = kept.iter().flatten().filter(|row| row.on_paper).count();
    let inside = html! {
        (text(INTRODUCTION))
        @if shown < all {
            (text(&format!(
                "The {shown} most telling of {all} rows stand here; all are in the file ledger.csv."
            )))
        }
        @if printed < shown {
            p.text.on-paper {
                "Of " (all) " rows the " (printed) " that tell most are printed here; the file \
                 ledger.csv has all."
            }
        }
        (filters(runs, &kept))
        (table(runs, &kept))
    };
    html::section("ledger", "Who asked for what, and how it ended", &inside)
}

const INTRODUCTION: &str = "Each row is a request or an event. Accepted: done as asked. Pushed: \
                            done, and the other setpoint had to move. Limited: stopped at a limit. \
                            Refused: a lock or the zone that decides stood against it. No effect: \
                            the key does nothing at that time.";

/// A row of the table.
#[derive(Clone, Copy)]
struct Kept<'a> {
    row: &'a LedgerRow,
    /// Whether it is printed.
    on_paper: bool,
}

/// The rows of one of `runs` runs, or the most telling of them, in the order of time.
fn kept(ledger: &[LedgerRow], runs: usize) -> Vec<Kept<'_>> {
    let mut places: Vec<usize> = (0..ledger.len()).collect();
    places.sort_by_key(|place| order(&ledger[*place]));
    places.truncate(MOST_ROWS / runs);
    let most = MOST_ON_PAPER / runs;
    let tells = |place: usize| ledger.len() <= most || order(&ledger[place]) < SCHEDULE;
    let mut places: Vec<(usize, bool)> = places
        .into_iter()
        .enumerate()
        .map(|(order, place)| (place, order < most && tells(place)))
        .collect();
    places.sort_unstable();
    places.into_iter().map(|(place, on_paper)| Kept { row: &ledger[place], on_paper }).collect()
}

/// The order of what only tells that the hours of the schedule came: their rank is 9.
const SCHEDULE: u8 = 2 * 9;

/// The smaller, the more telling. A request that was done as asked stands after what somebody
/// minds, and before what only the plant and the clock do.
fn order(row: &LedgerRow) -> u8 {
    const LAST_THAT_SOMEBODY_MINDS: u8 = 5;
    let done = 2 * LAST_THAT_SOMEBODY_MINDS + 1;
    Kind::of(row).rank().map_or(done, |rank| 2 * rank)
}

fn filters(runs: &[(String, Run)], kept: &[Vec<Kept>]) -> Markup {
    let mut zones: Vec<&str> = Vec::new();
    let mut outcomes: Vec<&str> = Vec::new();
    for ((_, run), rows) in runs.iter().zip(kept) {
        for kept in rows {
            add(&mut zones, run.label(kept.row.zone));
            add(&mut outcomes, outcome(kept.row));
        }
    }
    let names: Vec<&str> = runs.iter().map(|(name, _)| name.as_str()).collect();
    html! {
        form.filters aria-label="Filter the table" {
            @if runs.len() > 1 { (choice("run", "Settings", &names)) }
            (choice("zone", "Zone", &zones))
            (choice("outcome", "Outcome", &outcomes))
            label { "Text " input type="search" name="text" autocomplete="off"; }
            output.count aria-live="polite" {}
        }
        (LINE)
    }
}

fn add<'a>(list: &mut Vec<&'a str>, word: &'a str) {
    if !list.contains(&word) {
        list.push(word);
    }
}

fn choice(name: &str, head: &str, values: &[&str]) -> Markup {
    html! {
        label {
            (head) " "
            select name=(name) {
                option value="" { "all" }
                @for value in values { option value=(Words(value)) { (Words(value)) } }
            }
        }
    }
}

fn table(runs: &[(String, Run)], kept: &[Vec<Kept>]) -> Markup {
    let several = runs.len() > 1;
    let heads = ["Time", "Zone", "Who", "Asked for", "Outcome", "Heat", "Cool", "Why"];
    html! {
        table.ledger.cards {
            thead { tr {
                @if several { th scope="col" { "Settings" } }
                @for head in heads { th scope="col" { (head) } }
            } }
            tbody {
                @for ((name, run), rows) in runs.iter().zip(kept) {
                    @for kept in rows { (row(run, *kept, several.then_some(name))) }
                }
            }
        }
    }
}

fn row(run: &Run, kept: Kept, name: Option<&String>) -> Markup {
    let row = kept.row;
    let (zone, outcome) = (run.label(row.zone), outcome(row));
    let (who, asked) = match &row.entry {
        Entry::Request { asker, what, .. } => (who(&asker.by, asker.role), request_in_full(what)),
        Entry::Event(kind) => (person(run, *kind), capitalised(kind.name())),
    };
    let cell = |head: &str, class: Option<&str>, words: &str| {
        html! { td class=[class] data-head=(head) { (Breakable(words)) } }
    };
    html! {
        tr data-zone=(Words(zone)) data-outcome=(outcome) data-run=[name.map(|it| Words(it))]
            class=[(!kept.on_paper).then_some("on-screen")] {
            @if let Some(name) = name { (cell("Settings", Some("name"), name)) }
            (cell("Time", None, &moment(&run.model.period, row.at)))
            (cell("Zone", Some("name"), zone))
            (cell("Who", Some("name"), &who))
            (cell("Asked for", Some("name"), &asked))
            (cell("Outcome", None, outcome))
            (cell("Heat", None, &moved(run, row, |stored| stored.setpoints.heat())))
            (cell("Cool", None, &moved(run, row, |stored| stored.setpoints.cool())))
            (cell("Why", Some("why"), &capitalised(&reason_words(run.model, row))))
        }
        (LINE)
    }
}

fn who(by: &str, role: crate::control::Role) -> String {
    use crate::control::Role;
    match (by, role) {
        ("", role) => role.name().to_owned(),
        (by, Role::Occupant) => by.to_owned(),
        (by, role) => format!("{by} ({})", role.name()),
    }
}

/// Whom an event is about; nothing where it is nobody.
fn person(run: &Run, kind: Event) -> String {
    let person = kind.person().and_then(|person| run.model.people.get(person.get()));
    person.map_or_else(String::new, |person| person.shown.to_string())
}

fn outcome(row: &LedgerRow) -> &'static str {
    match &row.entry {
        Entry::Request { outcome: Outcome::NoEffect, .. } => "no effect",
        Entry::Request { outcome, .. } => outcome.name(),
        Entry::Event(_) => "event",
    }
}

/// A setpoint before and after, where it moved; else as it stands.
fn moved(
    run: &Run,
    row: &LedgerRow,
    side: impl Fn(&crate::control::Stored) -> crate::control::Ticks,
) -> String {
    let Some(zone) = run.zone(ZoneIndex::new(row.zone.get())) else { return String::new() };
    let grid = zone.controls.settings.grid;
    let value = |stored| setpoint(grid.value(side(stored)));
    let (before, after) = (value(&row.before), value(&row.after));
    if before == after { after } else { format!("{before} → {after}") }
}
