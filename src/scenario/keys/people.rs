//! The keys of people who feel and press. Defaults without a source are common practice.

use super::super::ranges;
use super::{Block, Kind, derived, optional, or, or_by_unit, required};
use crate::settings::controls::{DAYS, SETPOINT};
use crate::units::Dimension;

/// The keys of a controller that people use.
const USED: &[&str] = &["setpoint", "mode", "power"];
const PROBABILITY: Kind = Kind::SizeOrBare(Dimension::Percentage, ranges::PROBABILITY);

/// Somebody, or several alike.
pub(super) const PERSON: &Block = &Block {
    name: "person",
    doc: "Somebody who feels a zone and presses keys, or several alike.",
    keys: &[
        required("zone", Kind::Name, "In which zone."),
        required("name", Kind::Label, "What the ledger calls them."),
        or("count", Kind::Whole(ranges::PEOPLE), "1", "How many; each decides and draws alone."),
        required(
            "prefers",
            Kind::Either(&[SETPOINT, Kind::Word(&["usual"])]),
            "The operative temperature they like best; or usual, as was measured in offices.",
        ),
        or(
            "prefers_spread",
            Kind::Difference(ranges::SPREAD),
            "0",
            "Standard deviation of that from one person to the next.",
        ),
        or(
            "prefers_varies",
            Kind::Difference(ranges::SPREAD),
            "0",
            "Standard deviation of it from one hour to the next in the same person.",
        ),
        or_by_unit(
            "tolerance",
            Kind::Difference(ranges::TOLERANCE),
            "1",
            "2",
            "So far from it they are comfortable.",
        ),
        or(
            "patience",
            Kind::Duration(ranges::PATIENCE),
            "20 min",
            "How long they bear discomfort before they press.",
        ),
        or(
            "patience_spread",
            PROBABILITY,
            "50 %",
            "Each wait is drawn evenly from so much less than the patience to so much more.",
        ),
        optional(
            "presses_per_hour",
            Kind::Number(ranges::COMPLAINTS),
            "Instead of a patience: so often an hour somebody who wants a change does something.",
        ),
        derived(
            "present",
            Kind::OneOrMore(&Kind::Block(PRESENT)),
            "always",
            "When they are there.",
        ),
        or(
            "arrival_spread",
            Kind::Duration(ranges::SHIFT),
            "0 min",
            "Standard deviation of when they come.",
        ),
        or(
            "departure_spread",
            Kind::Duration(ranges::SHIFT),
            "0 min",
            "Standard deviation of when they go.",
        ),
        or("absent", PROBABILITY, "0 %", "Probability of staying away for a day."),
        optional("away", Kind::Block(AWAY), "Breaks in between; none without it."),
        optional("controller", Kind::Name, "The controller they use; the primary one without it."),
        derived(
            "keys",
            Kind::Words(USED, 0),
            "[setpoint]",
            "The keys they use when uncomfortable; with none they only complain.",
        ),
        or(
            "presses",
            Kind::Whole(ranges::PRESSES),
            "1",
            "How often they press warmer or cooler in a row.",
        ),
        or(
            "gives_up_after",
            Kind::Either(&[Kind::Whole(ranges::TIMES), Kind::Word(&["never"])]),
            "5",
            "After so many presses without effect in a row they give up; or never.",
        ),
        or(
            "gives_up_per_hour",
            Kind::Number(ranges::COMPLAINTS),
            "0",
            "After the first press without effect they give up so often an hour; 0 for never.",
        ),
        or(
            "switches_power",
            Kind::YesNo,
            "false",
            "Whether they switch on when coming, and off when going home last.",
        ),
        or("forgets", PROBABILITY, "0 %", "Probability of forgetting to switch off."),
        optional("complains", Kind::Block(COMPLAINS), "How they complain."),
        or("gains", Kind::Size(Dimension::Power, ranges::GAIN), "0 W", "Heat that each gives off."),
        or(
            "latent",
            Kind::Size(Dimension::Power, ranges::GAIN),
            "0 W",
            "Heat that leaves each as water vapour besides; it counts where `humidity: balance` \
             stands.",
        ),
    ],
};

/// When somebody is there.
const PRESENT: &Block = &Block {
    name: "present",
    doc: "When somebody is there.",
    keys: &[
        or("from", Kind::Clock, "00:00", "When they come."),
        or("to", Kind::Clock, "24:00", "When they go; before `from`, it runs over midnight."),
        optional("days", DAYS, "On which days; every day without it."),
    ],
};

/// Breaks.
const AWAY: &Block = &Block {
    name: "away",
    doc: "Breaks: presence and absence take turns, both exponentially distributed.",
    keys: &[
        required("every", Kind::Duration(ranges::BREAK), "Mean stretch of presence."),
        required("for", Kind::Duration(ranges::BREAK), "Mean length of a break."),
    ],
};

/// How people complain.
const COMPLAINS: &Block = &Block {
    name: "complains",
    doc: "Complaints come at the rate `per_hour * (PPD - 5) / 95`, PPD by ISO 7730:2005, eq. (5); \
          at most one a day.",
    keys: &[
        or(
            "after",
            Kind::Duration(ranges::TIMER),
            "30 min",
            "Discomfort must have lasted for so long.",
        ),
        or(
            "per_hour",
            Kind::Number(ranges::COMPLAINTS),
            "1",
            "Complaints an hour of somebody certainly dissatisfied; 0 for never.",
        ),
        or_by_unit(
            "degrees_per_vote",
            Kind::Difference(ranges::PER_VOTE),
            "3",
            "5.4",
            "So far from what they prefer is one vote of the seven-point scale of ISO 7730.",
        ),
    ],
};
