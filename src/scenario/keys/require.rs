//! The keys of a requirement: what a specification asks of settings, occupants and runs.

use super::super::ranges;
use super::super::requirement::{FIGURE_NAMES, LOG, OF, WORST};
use super::{Block, Kind, derived, optional, or};

const OUTDOOR_AIR: Kind = Kind::Temperature(ranges::OUTDOOR);

/// One requirement.
pub(in super::super) const REQUIREMENT: &Block = &Block {
    name: "requirement",
    doc: "What a specification asks. Each has one of setting, claim, figure, finding, log and worst.",
    keys: &[
        derived("id", Kind::Label, "R and its place, from 1", "What it goes by."),
        optional("why", Kind::Text, "Where it comes from."),
        optional("zones", Kind::OneOrMore(&Kind::Name), "Of which zones; of all without it."),
        optional("variant", Kind::Name, "Of which variant; of the file as written without it."),
        optional(
            "setting",
            Kind::Text,
            "A setting by its key: min_deadband, controls.limits.heat.low, owner.",
        ),
        optional(
            "claim",
            Kind::Text,
            "What nothing that occupants press may break: cool >= 23, cool - heat >= 2.",
        ),
        optional("figure", Kind::Word(FIGURE_NAMES), "A figure of the run."),
        or(
            "of",
            Kind::Word(OF),
            "each",
            "Whether a figure is meant of each zone or of all together.",
        ),
        optional("finding", Kind::Text, "A finding of `check` by its code: lock_not_in_force."),
        optional("absent", Kind::YesNo, "With a finding: true, it must not be there."),
        optional("log", Kind::Word(LOG), "What the log may show: contradictions to the settings."),
        optional(
            "worst",
            Kind::Word(WORST),
            "The worst temperature that presses, weather and plant can bring about.",
        ),
        optional("coldest", OUTDOOR_AIR, "With worst: outdoor air is not colder than this."),
        optional("hottest", OUTDOOR_AIR, "With worst: outdoor air is not hotter than this."),
        optional("for", Kind::Duration(ranges::WITHIN), "With worst: within this time."),
        optional(
            "at_least",
            Kind::Text,
            "The least that it may be, with its unit where the setting has one.",
        ),
        optional("at_most", Kind::Text, "The most that it may be."),
        optional("equals", Kind::OneOrMore(&Kind::Text), "What a setting must be."),
    ],
};
