//! What cannot be bounded, and is said rather than bounded wrongly.

use std::fmt;

use super::Question;
use crate::engine::{Doing, Model};

/// Why there is no bound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// The outdoor air would be coldest above where it is hottest.
    Crossed,
    /// More days than a period can have.
    TooLong,
    /// An outdoor unit, by its id, defrosts in spells.
    DefrostSpells(String),
    /// An outdoor unit, by its id, shares its capacity between heat and water.
    SharedWater(String),
    /// The file has power failures of its own.
    OwnFailures,
    /// The file changes who decides in a group while it runs.
    ChangingOwner,
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Crossed => write!(
                f,
                "the coldest outdoor air is warmer than the hottest; give --coldest below --hottest"
            ),
            Self::TooLong => {
                write!(f, "no more than 366 days can be followed; give a shorter --for")
            }
            Self::DefrostSpells(unit) => write!(
                f,
                "{unit} defrosts in spells, which take heat out of the rooms at times that depend on \
                 how long it has run, and those are not bounded; give its defrosting as a factor"
            ),
            Self::SharedWater(unit) => write!(
                f,
                "what the zones on {unit} get depends on the water in the air of all of them, which \
                 is not bounded; take `humidity: follow` out"
            ),
            Self::OwnFailures => write!(
                f,
                "the file's own power failures are not bounded; take them out and give --outage, \
                 which lets one come at the worst time"
            ),
            Self::ChangingOwner => write!(
                f,
                "the file changes who decides in a group while it runs, which is not bounded; write \
                 it as a variant"
            ),
        }
    }
}

impl std::error::Error for Refusal {}

/// Whether a model can be bounded.
pub(super) fn check(model: &Model, question: &Question) -> Result<(), Refusal> {
    let limits = question.limits;
    // Neither may be no number.
    if limits.coldest.partial_cmp(&limits.hottest).is_none_or(std::cmp::Ordering::is_gt) {
        return Err(Refusal::Crossed);
    }
    for group in &model.outdoor_units {
        if group.unit.defrost_cycle.is_some() {
            return Err(Refusal::DefrostSpells(group.label.clone()));
        }
        if model.humidity.is_followed() {
            return Err(Refusal::SharedWater(group.label.clone()));
        }
    }
    for action in &model.actions {
        match &action.what {
            Doing::PowerFailure(_) => return Err(Refusal::OwnFailures),
            Doing::Set(change) if !change.group.is_empty() => return Err(Refusal::ChangingOwner),
            Doing::Set(_) | Doing::Request(_) | Doing::Window(_) => {}
        }
    }
    Ok(())
}
