//! What happened, grouped: rows of the ledger in the same zone and from the same cause stand
//! together, the gravest first, so that a year can be read.

use std::cmp::Reverse;

use super::{Cell, Column, Quantity, Table, Tone};
use crate::control::{Outcome, Role};
use crate::engine::{Entry, Event, LedgerRow};
use crate::report::events::{reason_words, request_in_full};
use crate::report::figures::{duration, moment};
use crate::report::headline::capitalised;
use crate::report::run::Run;

/// Rows of the same zone and from the same cause.
#[derive(Clone, Debug)]
pub(in crate::report) struct Group {
    /// Their places in the ledger, in the order of time.
    pub(in crate::report) rows: Vec<usize>,
    gravity: Gravity,
}

/// How grave something is, the gravest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::report) enum Gravity {
    /// A low limit had to heat.
    Limit,
    /// Somebody complained, or gave up.
    Complaint,
    /// A zone was starved.
    Starved,
    /// Something was asked for and not done, or not as asked.
    Denied,
    /// The power went off or came back by itself.
    Power,
    /// Something was done and moved something else.
    Pushed,
    /// The plant changed over.
    Changeover,
    /// What was asked for was done.
    Done,
    /// What only the clock does, and ends of what is counted above.
    Clock,
}

fn gravity(row: &LedgerRow) -> Gravity {
    match &row.entry {
        Entry::Request { outcome, .. } => match outcome {
            Outcome::Refused | Outcome::Limited | Outcome::NoEffect => Gravity::Denied,
            Outcome::Pushed => Gravity::Pushed,
            Outcome::Accepted => Gravity::Done,
        },
        Entry::Event(event) => match event {
            Event::LowLimitFrom { .. } => Gravity::Limit,
            Event::Complaint { .. } | Event::GivesUp { .. } => Gravity::Complaint,
            Event::StarvedFrom { .. } => Gravity::Starved,
            Event::AutoOff { .. } | Event::PowerBack | Event::WindowFrom { .. } => Gravity::Power,
            Event::Changeover { .. } => Gravity::Changeover,
            Event::LowLimitUntil { .. }
            | Event::StarvedUntil
            | Event::UnoccupiedFrom { .. }
            | Event::UnoccupiedUntil
            | Event::WindowUntil
            | Event::EarlyStart { .. } => Gravity::Clock,
        },
    }
}

/// Whether two rows are of the same zone and have the same cause.
fn same_cause(one: &LedgerRow, other: &LedgerRow) -> bool {
    let cause = match (&one.entry, &other.entry) {
        (Entry::Event(one), Entry::Event(other)) => {
            one.name() == other.name() && one.person() == other.person()
        }
        (
            Entry::Request { asker: by, what: asked, outcome: end, .. },
            Entry::Request { asker, what, outcome, .. },
        ) => by == asker && asked == what && end == outcome,
        _ => false,
    };
    cause && one.zone == other.zone
}

impl Group {
    /// All rows of a ledger in groups, the gravest first, of equals those with the most rows.
    pub(in crate::report) fn all(ledger: &[LedgerRow]) -> Vec<Self> {
        let mut groups: Vec<Self> = Vec::new();
        for (place, row) in ledger.iter().enumerate() {
            let known = groups.iter_mut().find(|group| same_cause(&ledger[group.rows[0]], row));
            match known {
                Some(group) => group.rows.push(place),
                None => groups.push(Self { rows: vec![place], gravity: gravity(row) }),
            }
        }
        groups.sort_by_key(|group| (group.gravity, Reverse(group.rows.len()), group.rows[0]));
        groups
    }

    /// Whether another is as grave as it.
    pub(in crate::report) fn is_as_grave_as(&self, other: &Self) -> bool {
        self.gravity == other.gravity
    }

    /// Whether somebody minds, or the plant did something: not what only the clock does, nor what
    /// was done as asked.
    pub(in crate::report) fn tells(&self) -> bool {
        self.gravity < Gravity::Done
    }
}

/// At most so many rows of the groups, by their places, in the order of time: some of each group,
/// evenly through its time, and all of the groups that are small.
pub(in crate::report) fn spread(groups: &[Group], most: usize) -> Vec<usize> {
    let mut by_size: Vec<&Group> = groups.iter().take(most).collect();
    by_size.sort_by_key(|group| group.rows.len());
    let (mut left, mut chosen) = (most, Vec::new());
    for (at, group) in by_size.iter().enumerate() {
        let all = group.rows.len();
        let some = all.min(left / (by_size.len() - at));
        chosen.extend((0..some).map(|place| group.rows[place * all / some]));
        left -= some;
    }
    chosen.sort_unstable();
    chosen
}

/// So many groups have a row of their own.
const MOST: usize = 60;

/// The groups that tell something, the gravest first.
pub(in crate::report) fn table(run: &Run, groups: &[Group]) -> Table {
    let mut table = Table::new(vec![
        Column::new("what", Quantity::Name),
        Column::new("zone", Quantity::Name),
        Column::new("who", Quantity::Name),
        Column::new("asked for", Quantity::Name),
        Column::new("times", Quantity::Count),
        Column::new("first", Quantity::Time),
        Column::new("last", Quantity::Time),
        Column::new("why, the first time", Quantity::Words),
    ]);
    for group in groups.iter().filter(|group| group.tells()).take(MOST) {
        let [first, last] = ends(run, group);
        let (who, asked) = match &first.entry {
            Entry::Request { asker, what, .. } => {
                (who(&asker.by, asker.role), request_in_full(what))
            }
            Entry::Event(event) => (person(run, *event), String::new()),
        };
        let time = |row: &LedgerRow| moment(&run.model.period, row.at);
        table.row([
            Cell::toned(capitalised(word(first)), Tone::Strong),
            run.label(first.zone).into(),
            who.into(),
            asked.into(),
            (group.rows.len() as u64).into(),
            time(first).into(),
            time(last).into(),
            (capitalised(&reason_words(run.model, first)) + &starved(run, first)).into(),
        ]);
    }
    table
}

/// How many groups that tell something have no row in [`table`].
pub(in crate::report) fn left_out(groups: &[Group]) -> usize {
    groups.iter().filter(|group| group.tells()).count().saturating_sub(MOST)
}

/// The first and the last row of a group.
pub(in crate::report) fn ends<'a>(run: &Run<'a>, group: &Group) -> [&'a LedgerRow; 2] {
    let last = group.rows.last().copied().unwrap_or(group.rows[0]);
    [&run.ledger[group.rows[0]], &run.ledger[last]]
}

/// How long a zone was starved in all, and at most; nothing for other rows.
pub(in crate::report) fn starved(run: &Run, row: &LedgerRow) -> String {
    let figures = run.summary.zones.get(row.zone.get());
    match (&row.entry, figures) {
        (Entry::Event(Event::StarvedFrom { .. }), Some((_, zone))) => format!(
            "; {} in all, at most {} at a time",
            duration(zone.starved_hours),
            duration(zone.longest_wait_hours)
        ),
        _ => String::new(),
    }
}

/// What a row is about, in a word or two.
fn word(row: &LedgerRow) -> &'static str {
    match &row.entry {
        Entry::Request { outcome: Outcome::NoEffect, .. } => "no effect",
        Entry::Request { outcome, .. } => outcome.name(),
        Entry::Event(Event::StarvedFrom { .. }) => "starved",
        Entry::Event(Event::LowLimitFrom { .. }) => "low limit",
        Entry::Event(event) => event.name(),
    }
}

/// Who asked.
pub(in crate::report) fn who(by: &str, role: Role) -> String {
    match (by, role) {
        ("", role) => role.name().to_owned(),
        (by, Role::Occupant) => by.to_owned(),
        (by, role) => format!("{by} ({})", role.name()),
    }
}

/// Whom an event is about; nothing where it is nobody.
pub(in crate::report) fn person(run: &Run, event: Event) -> String {
    let person = event.person().and_then(|person| run.model.people.get(person.get()));
    person.map_or_else(String::new, |person| person.shown.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn some_rows_of_every_group_are_chosen_evenly() {
        let group =
            |rows: std::ops::Range<usize>| Group { rows: rows.collect(), gravity: Gravity::Denied };
        let groups = [group(0..1000), group(1000..1003), group(1003..1103)];
        let chosen = spread(&groups, 23);
        assert_eq!(chosen.len(), 23);
        let of = |range: std::ops::Range<usize>| {
            chosen.iter().filter(|it| range.contains(it)).copied().collect::<Vec<_>>()
        };
        assert_eq!(of(0..1000), [0, 100, 200, 300, 400, 500, 600, 700, 800, 900]);
        assert_eq!(of(1000..1003).len(), 3);
        assert_eq!(of(1003..1103).len(), 10);
        assert_eq!(spread(&groups, 5000).len(), 1103);
        assert_eq!(spread(&groups, 2), [0, 1000], "of the gravest groups one each");
        assert!(spread(&[], 5).is_empty());
    }
}
