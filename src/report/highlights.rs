//! The rows of the ledger that teach something: what was pushed, limited, refused or without
//! effect, and the events. Where there are many, some of each kind and a count of the rest.

use super::content::Tone;
use super::content::grouped::{Group, ends, starved};
use super::events::{reason_words, request_words};
use super::figures::{moment, times};
use super::headline::capitalised;
use super::render::fit::{clean, hang};
use super::render::text::Style;
use super::run::Run;
use crate::control::Outcome;
use crate::engine::{Entry, Event, LedgerRow};

/// So many rows are shown at most.
const MOST: usize = 12;
/// Before a kind gets more than this, every kind has had its turn.
const OF_A_KIND: usize = 2;
/// Of events that teach the same, so many are enough.
const OF_AN_EVENT: usize = 4;

/// What a row is about, the most instructive first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Kind {
    Request(Outcome),
    Event(Event),
}

/// How many ranks there are.
const RANKS: usize = 10;

impl Kind {
    /// What it is called.
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Request(Outcome::NoEffect) => "no effect",
            Self::Request(outcome) => outcome.name(),
            Self::Event(kind) => kind.name(),
        }
    }

    /// 0 is shown first; `None` is never a headline.
    pub(super) const fn rank(self) -> Option<u8> {
        match self {
            Self::Request(Outcome::Accepted) => None,
            Self::Request(Outcome::Refused) => Some(0),
            Self::Request(Outcome::Limited) => Some(1),
            Self::Request(Outcome::Pushed) => Some(2),
            Self::Request(Outcome::NoEffect) => Some(3),
            Self::Event(
                Event::LowLimitFrom { .. }
                | Event::AutoOff { .. }
                | Event::PowerBack
                | Event::WindowFrom { .. },
            ) => Some(4),
            Self::Event(Event::Complaint { .. } | Event::GivesUp { .. }) => Some(5),
            Self::Event(Event::StarvedFrom { .. }) => Some(6),
            Self::Event(Event::Changeover { .. }) => Some(7),
            Self::Event(Event::LowLimitUntil { .. } | Event::StarvedUntil) => Some(8),
            Self::Event(
                Event::UnoccupiedFrom { .. }
                | Event::UnoccupiedUntil
                | Event::WindowUntil
                | Event::EarlyStart { .. },
            ) => Some(9),
        }
    }

    const fn tone(self) -> Tone {
        match self {
            Self::Request(Outcome::Refused | Outcome::Limited | Outcome::NoEffect)
            | Self::Event(
                Event::StarvedFrom { .. } | Event::LowLimitFrom { .. } | Event::Complaint { .. },
            ) => Tone::Warning,
            _ => Tone::Strong,
        }
    }

    /// What a row is about.
    pub(super) fn of(row: &LedgerRow) -> Self {
        match &row.entry {
            Entry::Request { outcome, .. } => Self::Request(*outcome),
            Entry::Event(kind) => Self::Event(*kind),
        }
    }
}

/// Rows that follow each other and say the same, such as three presses of a key.
#[derive(Clone, Copy, Debug)]
struct Highlight<'a> {
    last: &'a LedgerRow,
    kind: Kind,
    rows: u64,
}

/// The section of the terminal summary; empty where the ledger has nothing to teach.
pub(super) fn highlights(run: &Run, style: Style) -> String {
    let all = gathered(run.ledger);
    if all.len() > MOST && run.model.period.days() > 1 {
        return grouped(run, style);
    }
    let (shown, left) = chosen(&all);
    let mut out = String::new();
    let widest = shown.iter().map(|one| one.kind.word().len()).max().unwrap_or(0);
    let clock = shown.iter().map(|one| run.model.period.clock(one.last.at).len()).max();
    for one in &shown {
        let time = run.model.period.clock(one.last.at);
        let lead =
            format!("  {time:<clock$}  {:<widest$}  ", one.kind.word(), clock = clock.unwrap_or(0));
        let lines = hang(&lead, &clean(&words(run, one)), style.width);
        let (plain, painted) = (one.kind.word(), style.paint(one.kind.tone(), one.kind.word()));
        out.push_str(&lines.replacen(plain, &painted, 1));
    }
    if !left.is_empty() {
        out.push_str(&hang("  ", &rest(&left), style.width));
    }
    out
}

/// The same by zone and cause, the gravest first: for several days, of which nobody reads each row.
fn grouped(run: &Run, style: Style) -> String {
    let all = Group::all(run.ledger);
    let telling: Vec<&Group> = all.iter().filter(|group| group.tells()).collect();
    let (shown, left) = gravest(&telling);
    let words = shown.iter().map(|group| grouped_words(run, group));
    let words: Vec<(Kind, String)> = words.collect();
    let widest = words.iter().map(|(kind, _)| kind.word().len()).max().unwrap_or(0);
    let mut out = String::new();
    for (kind, words) in &words {
        let lines = hang(&format!("  {:<widest$}  ", kind.word()), &clean(words), style.width);
        out.push_str(&lines.replacen(kind.word(), &style.paint(kind.tone(), kind.word()), 1));
    }
    if !left.is_empty() {
        let left: Vec<Highlight> = (left.iter())
            .map(|group| {
                let [_, last] = ends(run, group);
                Highlight { last, kind: Kind::of(last), rows: group.rows.len() as u64 }
            })
            .collect();
        out.push_str(&hang("  ", &rest(&left), style.width));
    }
    out
}

/// Those that are shown, and the others. Of what is equally grave some come first, so that every
/// kind has its turn.
fn gravest<'g>(groups: &[&'g Group]) -> (Vec<&'g Group>, Vec<&'g Group>) {
    let mut order: Vec<(bool, usize)> = Vec::new();
    let mut alike = 0;
    for (place, group) in groups.iter().enumerate() {
        let goes_on = place > 0 && groups[place - 1].is_as_grave_as(group);
        alike = if goes_on { alike + 1 } else { 0 };
        order.push((alike >= OF_AN_EVENT, place));
    }
    order.sort_unstable();
    let mut left: Vec<usize> =
        order.split_off(order.len().min(MOST)).into_iter().map(|it| it.1).collect();
    let mut shown: Vec<usize> = order.into_iter().map(|it| it.1).collect();
    let in_order = |places: &mut Vec<usize>| {
        places.sort_unstable();
        places.iter().map(|place| groups[*place]).collect()
    };
    (in_order(&mut shown), in_order(&mut left))
}

fn grouped_words(run: &Run, group: &Group) -> (Kind, String) {
    let [first, last] = ends(run, group);
    let period = &run.model.period;
    let time = |row: &LedgerRow| moment(period, row.at);
    let when = match group.rows.len() {
        1 => time(first),
        many => format!("{} from {} to {}", times(many as u64), time(first), time(last)),
    };
    let mut words = String::new();
    if run.model.zones.len() > 1 {
        words = format!("{}: ", run.label(first.zone));
    }
    if let Entry::Request { asker, what, .. } = &first.entry {
        let by = if asker.by.is_empty() { asker.role.name() } else { &asker.by };
        words = format!("{words}{} ({by}), ", request_words(what));
    }
    let reason = capitalised(&reason_words(run.model, first));
    (Kind::of(first), format!("{words}{when}. {reason}{}", starved(run, first)))
}

fn gathered(ledger: &[LedgerRow]) -> Vec<Highlight<'_>> {
    let mut all: Vec<Highlight> = Vec::new();
    let mut before: Option<&LedgerRow> = None;
    for row in ledger {
        let repeats = before.is_some_and(|before| same_request(before, row));
        before = Some(row);
        let kind = Kind::of(row);
        if kind.rank().is_none() {
            continue;
        }
        match all.last_mut() {
            Some(one) if repeats => *one = Highlight { last: row, rows: one.rows + 1, ..*one },
            _ => all.push(Highlight { last: row, kind, rows: 1 }),
        }
    }
    all
}

/// Whether two rows have the same person ask for the same, with the same outcome.
pub(super) fn same_request(one: &LedgerRow, other: &LedgerRow) -> bool {
    match (&one.entry, &other.entry) {
        (
            Entry::Request { asker: by, what: asked, outcome: end, .. },
            Entry::Request { asker, what, outcome, .. },
        ) => one.zone == other.zone && by == asker && asked == what && end == outcome,
        _ => false,
    }
}

/// Those shown, in the order of time, and those left out.
fn chosen<'a>(all: &[Highlight<'a>]) -> (Vec<Highlight<'a>>, Vec<Highlight<'a>>) {
    let mut order: Vec<(usize, u8, usize)> = Vec::with_capacity(all.len());
    let mut left: Vec<usize> = Vec::new();
    let mut seen = [0_usize; RANKS];
    for (place, one) in all.iter().enumerate() {
        let rank = one.kind.rank().unwrap_or(0);
        let before = &mut seen[usize::from(rank)];
        if *before >= OF_AN_EVENT && matches!(one.kind, Kind::Event(_)) {
            left.push(place);
        } else {
            order.push((*before / OF_A_KIND, rank, place));
        }
        *before += 1;
    }
    order.sort_unstable();
    left.extend(order.split_off(order.len().min(MOST)).into_iter().map(|(.., place)| place));
    let in_time = |mut places: Vec<usize>| {
        places.sort_unstable();
        places.into_iter().map(|place| all[place]).collect()
    };
    (in_time(order.into_iter().map(|(.., place)| place).collect()), in_time(left))
}

fn words(run: &Run, one: &Highlight) -> String {
    let mut parts = Vec::new();
    if run.model.zones.len() > 1 {
        parts.push(format!("{}:", run.label(one.last.zone)));
    }
    if let Entry::Request { asker, what, .. } = &one.last.entry {
        let by = if asker.by.is_empty() { asker.role.name() } else { &asker.by };
        let repeated = if one.rows > 1 { format!(", {}", times(one.rows)) } else { String::new() };
        parts.push(format!("{} ({by}{repeated}).", request_words(what)));
    }
    let after_zone = parts.last().is_some_and(|part| part.ends_with(':'));
    let reason = reason_words(run.model, one.last);
    parts.push(if after_zone { reason } else { capitalised(&reason) });
    parts.join(" ")
}

/// How many of each kind were left out.
fn rest(left: &[Highlight]) -> String {
    let mut kinds: Vec<(u8, Kind, u64)> = Vec::new();
    for one in left {
        match kinds.iter_mut().find(|(_, kind, _)| kind.word() == one.kind.word()) {
            Some((.., rows)) => *rows += one.rows,
            None => kinds.push((one.kind.rank().unwrap_or(0), one.kind, one.rows)),
        }
    }
    kinds.sort_by_key(|(rank, ..)| *rank);
    let parts: Vec<String> =
        kinds.iter().map(|(_, kind, rows)| format!("{rows} × {}", kind.word())).collect();
    format!("The ledger has more: {}.", parts.join(", "))
}
