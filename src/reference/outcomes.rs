//! How requests end, and what else stands in the ledger.

use super::{Class, Entry};
use crate::control::Outcome;

/// How a request ends: what it means, and the shipped scenario that shows it.
const fn outcome(outcome: Outcome) -> (&'static str, &'static str, Option<&'static str>) {
    match outcome {
        Outcome::Accepted => (
            "Done as asked; also where what was asked for stood already.",
            "control rule 3",
            Some("scenarios/reading_room.yaml"),
        ),
        Outcome::Pushed => (
            "Done as asked, and the other setpoint moved to keep the minimum deadband.",
            "control rule 3",
            Some("scenarios/reading_room.yaml"),
        ),
        Outcome::Limited => (
            "Done in part: the value was held at a limit or at the deadband.",
            "control rules 2 and 3",
            Some("scenarios/reading_room.yaml"),
        ),
        Outcome::Refused => (
            "Not done: a key lock, a locked mode or the owner of the group stands against it. Nothing \
             changed.",
            "control rules 5, 6 and 10",
            Some("scenarios/locked_heat.yaml"),
        ),
        Outcome::NoEffect => (
            "The key does nothing in this state, such as warmer while the power is off or in fan mode.",
            "control rule 4",
            None,
        ),
    }
}

/// What stands in the ledger besides requests: name, what it means, rule, shipped scenario.
const EVENTS: &[(&str, &str, &str, Option<&str>)] = &[
    (
        "changeover",
        "The plant serves the zone in the direction opposite to the one served before.",
        "control rules 9 and 10",
        Some("scenarios/one_setpoint.yaml"),
    ),
    (
        "starved from",
        "For a quarter of an hour the zone has needed the direction that its plant does not have. The \
         row is dated back to when that began.",
        "control rules 10 and 13",
        Some("scenarios/weavers_yard_wrong_owner.yaml"),
    ),
    (
        "starved until",
        "The zone no longer needs what its plant does not give.",
        "control rules 10 and 13",
        Some("scenarios/weavers_yard_better_owner.yaml"),
    ),
    (
        "unoccupied from",
        "Nobody is there any more; a setback works from here on, where there is one.",
        "control rule 11",
        Some("scenarios/late_setback.yaml"),
    ),
    (
        "unoccupied until",
        "Somebody is there again, and the stored setpoints work.",
        "control rule 11",
        Some("scenarios/late_setback.yaml"),
    ),
    (
        "early start",
        "The stored setpoints begin to work before somebody comes, as early as the recoveries of days \
         before say.",
        "control rule 11",
        None,
    ),
    (
        "low limit from",
        "The sensor fell below the low limit, which heats whatever was selected, also with the power \
         off.",
        "control rule 9",
        Some("scenarios/frost_guard.yaml"),
    ),
    (
        "low limit until",
        "The low limit has done its work; what was selected works again.",
        "control rule 9",
        Some("scenarios/frost_guard.yaml"),
    ),
    ("auto off", "The power went off by itself, so long after it came on.", "control rule 9", None),
    (
        "window from",
        "A window has been open long enough for its contact to act: the zone counts as switched off or \
         as unoccupied, as the contact is set.",
        "control rule 16",
        None,
    ),
    (
        "window until",
        "The window is closed, and its contact acts no longer.",
        "control rule 16",
        None,
    ),
    (
        "power back",
        "The power is back after a failure: what was stored works again, and timers start anew.",
        "control rule 14",
        None,
    ),
    (
        "complaint",
        "Somebody who was left uncomfortable for long complains: a figure of the model of occupants.",
        "model of occupants, module people",
        Some("scenarios/two_tastes.yaml"),
    ),
    (
        "gives up",
        "Somebody presses no more, since presses had no effect: a figure of the model of occupants.",
        "model of occupants, module people",
        Some("scenarios/two_tastes.yaml"),
    ),
];

pub(super) fn entries() -> Vec<Entry> {
    let outcomes = Outcome::ALL.into_iter().map(|it| {
        let (what, rule, shown) = outcome(it);
        entry(Class::Outcome, it.name(), what, rule, shown)
    });
    let events = EVENTS
        .iter()
        .map(|(name, what, rule, shown)| entry(Class::Event, name, what, rule, *shown));
    outcomes.chain(events).collect()
}

fn entry(class: Class, name: &str, what: &str, rule: &str, shown: Option<&'static str>) -> Entry {
    let mut entry = Entry::new(class, name, what).fact("rule", rule);
    entry.shown_in = shown.map(|file| (file, None));
    entry
}
