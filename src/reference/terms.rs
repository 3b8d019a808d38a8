//! The terms of texts, charts and messages: those of the trade as they are meant here, and the few
//! that are setband's own.

use super::{Class, Entry};

/// Term, what it means, and where it comes from.
const TERMS: &[(&str, &str, &str)] = &[
    (
        "tick",
        "One step of a controller's setpoint: 0.1, 0.5 or 1 degree C, 0.5 or 1 degree F. \
         Setpoints, limits and deadbands are whole ticks.",
        "control rule 1",
    ),
    (
        "deadband",
        "The gap between the heat and the cool setpoint. The minimum deadband is the least that \
         the controls keep; a setpoint that comes closer pushes the other one away or is held.",
        "control rules 2 and 3",
    ),
    (
        "band",
        "In a sweep, `zones.*.band` sets heat and cool so far apart about their midpoint, and the \
         minimum deadband with them. The comfort band is something else: operative temperatures \
         that count as comfortable.",
        "setband's own word in sweeps",
    ),
    ("limits", "The lowest and the highest value that a setpoint may take.", "control rule 2"),
    (
        "owner",
        "The zone that decides between heating and cooling for all zones on its outdoor unit. The \
         other zones are its followers.",
        "control rule 10; setband's own word",
    ),
    (
        "follower",
        "A zone whose outdoor unit is directed by another one, the owner.",
        "control rule 10",
    ),
    (
        "requirement",
        "What a specification asks, under `require`: a setting, a claim about what keys can do, a figure \
         of a run, a finding that must be absent. `review` says whether it holds and by what.",
        "setband's own word",
    ),
    (
        "witness sheet",
        "The few lines of a test sheet that show the requirements of a file to somebody.",
        "setband's own word",
    ),
    (
        "register",
        "For each setting and requirement of a building when it was last shown to hold, by whom and by \
         which line; what failed and was mended; what waits and why. Made from filled tables alone.",
        "setband's own word",
    ),
    (
        "deferred",
        "Left for another day, with the reason: other weather outside (needs outdoor air below or above \
         a temperature), people who come and go (needs occupancy), or a longer wait than allowed.",
        "setband's own word",
    ),
    (
        "owed",
        "What was asked or set and has not been shown to hold: not tested, failed and not mended, or \
         deferred.",
        "setband's own word",
    ),
    (
        "handover",
        "Pages that stay in the building: one for the people in each room, one for the owner, one for \
         the next technician.",
        "common practice, no source",
    ),
    ("group", "The zones on one outdoor unit.", "control rule 10"),
    (
        "mode policy",
        "How a group finds its direction: by an owner, by the first call, by the most calls, or \
         by need.",
        "control rule 10",
    ),
    (
        "direction",
        "Heating or cooling: what a zone or a group is set to do at a time.",
        "control rules 9 and 10",
    ),
    (
        "call",
        "What a thermostat demands: heating, cooling or nothing. A call begins beyond the \
         setpoint and ends on the other side of it (hysteresis).",
        "control rule 9",
    ),
    (
        "served",
        "What the plant gives: a zone is served while it gets heating or cooling. A zone with a \
         call may wait.",
        "control rule 9",
    ),
    (
        "changeover",
        "A change of direction from heating to cooling or back, counted where it is served.",
        "control rules 9 and 10",
    ),
    (
        "changeover delay",
        "The least time between the end of one direction and the beginning of the other.",
        "control rules 9 and 10",
    ),
    (
        "starved",
        "A zone is starved while it needs the direction that its plant does not have. Spells of a \
         quarter of an hour and more stand in the ledger.",
        "control rules 10 and 13; setband's own word",
    ),
    (
        "mixed demand",
        "At the same time one zone of a group needs heating and another cooling.",
        "control rule 10",
    ),
    (
        "opposed heat",
        "Heat put into a zone and taken out again, or the reverse, within four hours.",
        "setband's own figure",
    ),
    (
        "push",
        "Under `on_conflict: push` the setpoint that nobody touched gives way to keep the minimum \
         deadband, and stays there.",
        "control rule 3",
    ),
    (
        "ratchet",
        "How pushes move a pair of setpoints step by step over the days, since what was pushed \
         does not come back.",
        "control rule 3",
    ),
    (
        "hold",
        "Under `on_conflict: hold` a request stops at the deadband before the other setpoint, \
         which stands.",
        "control rule 3",
    ),
    (
        "push and return",
        "Under `on_conflict: push_and_return` a setpoint that was pushed goes back to what was \
         last asked of it as far as the deadband lets it.",
        "control rule 3",
    ),
    (
        "key lock",
        "A lock of a controller's keys: warmer and cooler, mode, power. One that is saved and not \
         in force locks nothing.",
        "control rule 6",
    ),
    (
        "locked mode",
        "A mode that occupants cannot select. It takes a choice away, not what the zone does.",
        "control rule 5",
    ),
    (
        "setback",
        "Other setpoints while nobody is there: heat lower and cool higher by so much.",
        "control rule 11",
    ),
    (
        "optimum start",
        "Stored setpoints that begin to work before somebody comes, by a lead learned from day to \
         day.",
        "control rule 11",
    ),
    (
        "low limit",
        "A temperature below which a zone heats whatever was selected, as a guard against frost. \
         It is no freeze protection.",
        "control rule 9",
    ),
    (
        "sensed",
        "What the governing sensor reports, after its lag, offset and rounding; the thermostat \
         acts on that and not on the air.",
        "control rules 7 and 9",
    ),
    (
        "governing sensor",
        "Of several controllers in a zone, the one whose reading the thermostat goes by.",
        "control rule 7",
    ),
    (
        "operative temperature",
        "The mean of air and radiant temperature that people feel.",
        "ISO 7730:2005",
    ),
    ("PMV", "Predicted mean vote on thermal comfort, from -3 cold to +3 hot.", "ISO 7730:2005"),
    (
        "PPD",
        "Predicted percentage dissatisfied: follows from the predicted mean vote and is never \
         below 5 %.",
        "ISO 7730:2005",
    ),
    (
        "comfort band",
        "Operative temperatures between which a zone counts as comfortable, from the file.",
        "setband's own figure",
    ),
    (
        "unmet hours",
        "Occupied hours outside the comfort band, each put down to one cause: a lock or power \
         off, reversal, capacity, the wrong direction, a timer, the sensor, a limit.",
        "setband's own figure",
    ),
    (
        "ledger",
        "The list of all requests and events of a run, each with its outcome and its reason in \
         words.",
        "control rule 13; setband's own word",
    ),
    (
        "request",
        "Something that somebody asks of a controller: a key pressed, a setpoint, a mode, the \
         power.",
        "control rules 3 to 7",
    ),
    (
        "outcome",
        "How a request ended: accepted, pushed, limited, refused or no_effect.",
        "control rule 13",
    ),
    (
        "variant",
        "A set of changes to a scenario under a name, to be run beside it.",
        "the scenario file",
    ),
    (
        "knee",
        "The chart of changeovers and electricity against the deadband, with the smallest \
         deadband that ends heating what is then cooled.",
        "setband compare",
    ),
    (
        "setting",
        "In a sweep, one combination of the values that are tried; elsewhere anything that can be \
         set at a controller, a unit or an outdoor unit.",
        "setband sweep",
    ),
    (
        "draw",
        "In a sweep, a seed with a value for each path that varies by chance, the same for every \
         setting (common random numbers).",
        "setband sweep",
    ),
    ("case", "In a sweep, a setting with a draw: one run.", "setband sweep"),
    (
        "share",
        "A part of the cases of a sweep, run by itself and joined with the others later.",
        "setband sweep, setband merge",
    ),
    (
        "reach",
        "Everything that occupants can bring about by pressing keys, found by trying all of it.",
        "setband reach",
    ),
    (
        "claim",
        "Something about setpoints, mode or power that is proved for all states that occupants \
         can reach, or broken by the fewest presses.",
        "setband reach --prove",
    ),
    (
        "test sheet",
        "What to press on site, what must then be read, how long to wait, and what that proves.",
        "setband sheet",
    ),
    (
        "finding",
        "One thing worth knowing about the settings, with its place, what follows, what mends it \
         and its source.",
        "setband check",
    ),
    (
        "replay",
        "The days of a log run again: as logged, where setpoints, mode and power follow the log, and \
         with other settings or the setpoints of another log, where the rooms do what the model says.",
        "setband replay",
    ),
    (
        "as logged",
        "The run of a replay whose setpoints, mode and power are those of the log: how far it is from \
         what was measured says how far the model is to be trusted. Differences are taken to it.",
        "setband replay",
    ),
    (
        "free run",
        "A run of some hours that a filter begins and to which nothing is told on its way but what acts \
         on the room: how far it ends from the readings says how good the model is. Persistence, the \
         last reading held on, is what it has to beat.",
        "setband fit",
    ),
    (
        "innovation",
        "A reading less what the filter expected one step before, K. Where innovations have a pattern in \
         time, something acts on the room that the model does not have.",
        "setband fit; Kalman 1960",
    ),
    (
        "profile",
        "How much worse a log is explained with one number held off its best, all others at their best \
         for it. Its interval of 95 % ends where that is half of 3.84.",
        "setband fit; Venzon and Moolgavkar 1988",
    ),
    (
        "not identifiable",
        "A number of which a log says hardly more than was believed before: it stays as the file has it. \
         `fit` says why, and what would tell it. In draws it varies as widely as it was believed to.",
        "setband fit",
    ),
    (
        "draws",
        "Values that a log and what is believed beforehand leave possible together, a row each in \
         draws.csv beside fitted.yaml, whose columns are paths of the file. `replay` takes differences \
         draw by draw: 95 of 100 lie in the interval that it tells.",
        "setband fit, setband replay",
    ),
    (
        "disturbance",
        "Heat into a room's air that a log shows and the file does not explain, W, found by a smoother \
         as something that changes slowly. A replay holds it fixed in all variants.",
        "setband replay; the smoother is de Jong's of 1989",
    ),
    (
        "warm-up",
        "Days that are run before the first one, until the building repeats itself from day to \
         day.",
        "physics",
    ),
    (
        "minimum off time",
        "A unit or compressor that went off stays off for so long.",
        "control rule 9",
    ),
    (
        "defrost",
        "Ice on the outdoor coil is melted: heating stops, and heat may be taken out of the rooms.",
        "physics of the plant",
    ),
    ("COP", "Coefficient of performance: heat moved over electricity taken.", "common term"),
];

pub(super) fn entries() -> Vec<Entry> {
    let mut terms: Vec<Entry> = TERMS
        .iter()
        .map(|(term, what, source)| Entry::new(Class::Term, term, what).fact("source", *source))
        .collect();
    terms.sort_by_key(|entry| entry.word.to_lowercase());
    terms
}
