//! The ledger as a table that can be filtered.

use std::collections::BTreeSet;

use maud::{Markup, html};

use crate::control::Outcome;
use crate::engine::{Entry, LedgerRow, ZoneIndex};
use crate::report::content::grouped::{self, Group, person, who};
use crate::report::events::{reason_words, request_in_full};
use crate::report::figures::{moment, setpoint};
use crate::report::headline::capitalised;
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
    let groups: Vec<Vec<Group>> = runs.iter().map(|(_, run)| Group::all(run.ledger)).collect();
    let kept: Vec<Vec<Kept>> = (runs.iter().zip(&groups))
        .map(|((_, run), groups)| kept(run.ledger, groups, runs.len()))
        .collect();
    let shown: usize = kept.iter().map(Vec::len).sum();
    let printed = kept.iter().flatten().filter(|row| row.on_paper).count();
    let rest = match runs {
        [_] => "the file ledger.csv has all",
        _ => "a run of each variant by itself writes all of them to its ledger.csv",
    };
    let inside = html! {
        (text(INTRODUCTION))
        @if let ([(_, run)], [groups], true) = (runs, groups.as_slice(), shown < all) {
            (grouped(run, groups))
        }
        @if shown < all {
            (text(&format!(
                "Of {all} rows {shown} stand here, some of every zone and cause, through the whole \
                 time; {rest}."
            )))
        }
        @if printed < shown {
            p.text.on-paper {
                "Of " (all) " rows " (printed) " are printed here, some of every zone and cause; \
                 " (rest) "."
            }
        }
        (filters(runs, &kept))
        (table(runs, &kept))
    };
    html::section("ledger", "Who asked for what, and how it ended", &inside)
}

/// What happened, by zone and cause.
fn grouped(run: &Run, groups: &[Group]) -> Markup {
    let left_out = match grouped::left_out(groups) {
        0 => String::new(),
        1 => " One more is in the rows below.".into(),
        many => format!(" {many} more are in the rows below."),
    };
    let words = "What happened, by zone and cause, the gravest first.".to_owned() + &left_out;
    html! {
        (text(&words))
        (html::table(&grouped::table(run, groups), "grouped cards"))
    }
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

/// Some rows of every group of one of `runs` runs, in the order of time. On paper only those that
/// tell something, where there are many.
fn kept<'a>(ledger: &'a [LedgerRow], groups: &[Group], runs: usize) -> Vec<Kept<'a>> {
    let (most, most_on_paper) = (MOST_ROWS / runs, MOST_ON_PAPER / runs);
    let telling: Vec<Group> = groups.iter().filter(|group| group.tells()).cloned().collect();
    let printed: BTreeSet<usize> = grouped::spread(&telling, most_on_paper).into_iter().collect();
    let all_on_paper = ledger.len() <= most_on_paper;
    let rows: BTreeSet<usize> = grouped::spread(groups, most).into_iter().collect();
    let kept = |place: &usize| Kept {
        row: &ledger[*place],
        on_paper: all_on_paper || printed.contains(place),
    };
    rows.union(&printed).map(kept).collect()
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
