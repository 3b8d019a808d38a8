//! What a log does not tell of a room, and what would tell it.

use super::fitting::Fitting;
use super::problem::Size;
use super::search::Structure;

/// Why a log does not tell a number, and what would.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Untold {
    /// Why.
    pub why: &'static str,
    /// What would identify it.
    pub would: &'static str,
}

/// Why a log does not tell a size.
pub(super) fn untold_size(fitting: &Fitting, size: Size) -> Untold {
    let inputs = fitting.found.problem.inputs;
    let as_one = match fitting.structure.0 {
        Structure::TwoCapacities => false,
        Structure::FileMass => size == Size::Mass,
        Structure::OneCapacity => size != Size::Loss,
    };
    if as_one {
        return Untold {
            why: "one capacity explains the log as well as two, so mass and air cannot be told apart",
            would: "some hours in which the plant rests after it ran, at readings of a tenth of a degree",
        };
    }
    if fitting.scaleless.contains(&size) {
        return without_scale(size, inputs.outdoor_is_logged);
    }
    match size {
        Size::Loss => Untold {
            why: "what the room loses cannot be told from gains that nobody logged",
            would: "a longer log with nights of different temperatures outdoors",
        },
        Size::Air | Size::Coupling => Untold {
            why: "the room hardly moves within the hour, or is read too coarsely",
            would: "readings each minute at a tenth of a degree while the plant starts and stops",
        },
        Size::Mass => Untold {
            why: "the room's temperature stays too even for the mass to take or give heat",
            would: "a setback of some degrees for a night, or a day without plant",
        },
    }
}

fn without_scale(size: Size, outdoor_is_logged: bool) -> Untold {
    if size != Size::Loss {
        return Untold {
            why: "the room's temperature stands still, so it neither takes nor gives heat",
            would: "a log in which it moves: a setback of some degrees for a night, or a day without plant",
        };
    }
    if outdoor_is_logged {
        Untold {
            why: "the log has no heat of the plant, so nothing sets the scale of heat: a room twice as \
                  heavy with twice the loss has the same temperatures",
            would: "a logged `running`, `output` or `electricity`, or a day in which the plant runs",
        }
    } else {
        Untold {
            why: "the log has no outdoor temperature",
            would: "a logged outdoor temperature, best with a cold night",
        }
    }
}
