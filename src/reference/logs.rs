//! What `audit` finds in logs, and the causes that `why` gives.

use super::{Class, Entry};
use crate::study::audit::Weight;

use Weight::{Contradiction, Note, Warning};

/// Code, what is so, severity, what helps.
const FINDINGS: &[(&str, &str, Weight, &str)] = &[
    (
        "band_too_narrow",
        "Heat and cool setpoint stood closer together than the deadband of the settings.",
        Contradiction,
        "read the deadband at the controller",
    ),
    (
        "outside_limits",
        "A setpoint stood outside the limits of the settings.",
        Contradiction,
        "read the limits at the controller",
    ),
    (
        "off_step",
        "A setpoint stood between the steps of the controller, so something else keeps or writes it.",
        Contradiction,
        "read unit and step at the controller",
    ),
    (
        "push_differs",
        "Where a request came too close to the other setpoint it went otherwise than `on_conflict` says.",
        Contradiction,
        "read at the controller what gives way",
    ),
    (
        "locked_key_moved",
        "Setpoints were changed by hand although the setpoint keys are locked in the settings.",
        Contradiction,
        "try the keys; put the lock in force",
    ),
    (
        "creep",
        "A setpoint moved by less than its step, again and again the same way: it is kept in one unit and \
         written back in another.",
        Warning,
        "let panel and controller use one unit",
    ),
    (
        "ratchet",
        "Requests push the other setpoint out of the way, and it stays there when they are taken back: so \
         the pair drifts from day to day.",
        Warning,
        "put the setpoints back by a schedule, or let the pushed side return",
    ),
    (
        "labels_swapped",
        "Heat and cool are exchanged, in the setpoints or in what ran.",
        Contradiction,
        "exchange the two in the `log` block",
    ),
    (
        "unit_mixed",
        "Celsius stands among Fahrenheit, or the other way round.",
        Contradiction,
        "turn the readings into one unit",
    ),
    (
        "clock_off",
        "The schedule of the settings, or the sun in the radiation, shows in the log so many minutes early or \
         late.",
        Contradiction,
        "compare the clocks; `ahead` in the `log` block puts the recorder's right",
    ),
    (
        "governing_sensor",
        "Which of several sensors governs: the one whose value scatters least when the unit starts and \
         stops. A note where it is the one that is mapped, or where they can't be told apart.",
        Contradiction,
        "map the sensor that governs as `temperature`",
    ),
    (
        "hysteresis_differs",
        "How far from its setpoints the unit starts and stops, beside `call_start` and `call_stop`. A note \
         where the two agree.",
        Contradiction,
        "read hysteresis and delays at the controller",
    ),
    (
        "min_on_broken",
        "The unit ran for less than `min_on`. Once is a warning, more often a contradiction.",
        Contradiction,
        "read the timer at the unit",
    ),
    (
        "min_off_broken",
        "The unit rested for less than `min_off`. Once is a warning, more often a contradiction.",
        Contradiction,
        "read the timer at the unit",
    ),
    (
        "runs_while_off",
        "The unit ran while its power was off.",
        Contradiction,
        "check the labels; look for another controller on the unit",
    ),
    (
        "locked_mode_ran",
        "A mode that is locked, or that the unit does not have, was selected or ran.",
        Contradiction,
        "read locked modes at the controller",
    ),
    (
        "against_group",
        "Zones on one outdoor unit that serves one direction at a time were heated and cooled at once.",
        Contradiction,
        "check which zones hang on which outdoor unit",
    ),
    (
        "scheduled_change",
        "Setpoints that move at the same time of day, or as people come and go: a schedule and its times.",
        Note,
        "compare with the schedule in the settings",
    ),
    (
        "changed_by_hand",
        "All other changes of setpoints: how often, how far, and how many were taken back.",
        Note,
        "changes that are taken back tell of settings that do not suit",
    ),
    (
        "occupancy_differs",
        "The log says otherwise than `occupancy` who is there.",
        Warning,
        "write the hours into the settings as they are",
    ),
    (
        "starved",
        "The zone waited for a quarter of an hour or longer for the direction that its outdoor unit did \
         not serve (control rule 10).",
        Warning,
        "`setband owners` ranks who should decide",
    ),
    (
        "no_answer",
        "The unit ran long and the room did not move, although the unit should have had much to spare.",
        Warning,
        "feel the supply air; look where the sensor sits",
    ),
    (
        "capacity_short",
        "At full output the room fell behind its setpoint; the finding has the outdoor temperature at \
         which that begins.",
        Warning,
        "begin earlier, close what is open, or ask for more capacity",
    ),
    (
        "short_cycling",
        "The unit started more than six times in an hour (common practice, no source).",
        Warning,
        "raise `min_on`, `min_off` or `call_start`",
    ),
    (
        "sensor_stuck",
        "A temperature stood still while the unit switched or the day outdoors went on.",
        Warning,
        "hold a thermometer beside the sensor",
    ),
    (
        "outside_band",
        "The air lay outside the comfort band with somebody there; a warning above 5 % of their time, \
         else a note.",
        Warning,
        "`setband why` says what the cause was",
    ),
];

/// Code, what is so.
const CAUSES: &[(&str, &str)] = &[
    ("power_off", "The zone was switched off."),
    ("mode", "The selected mode does not do what was wanted, and no group decides instead."),
    ("setpoint", "The setpoint itself asked for no more, and had stood there for long."),
    ("moved_by", "Somebody had moved the setpoint away; a run knows who, a log when."),
    ("limit", "The setpoint stood at its limit, on the side on which more was wanted."),
    ("deadband", "The setpoint stood at the deadband to the other one, which does not give way."),
    ("unoccupied", "The zone counted as unoccupied, and its setback let it go."),
    ("recovery", "People were there again, and the room had not yet recovered from the setback."),
    (
        "group_direction",
        "The outdoor unit was there for the opposite; the answer says whose call it was.",
    ),
    (
        "capacity",
        "The unit ran without a break and did not reach the setpoint, or gave nothing although it was \
         called for and no setting says why.",
    ),
    ("rest", "The unit rested or turned round for as long as its timers have it."),
    ("sensor", "The sensor that governs reads otherwise than the room is where people are."),
    ("outdoor_limit", "An outdoor limit did not allow what was wanted."),
    (
        "within_band",
        "Nothing was wrong with air and controls; radiant cold or sun, draught and clothing are to be \
         looked at on site.",
    ),
];

/// Entries by code, findings first.
pub(super) fn entries() -> Vec<Entry> {
    let mut findings: Vec<Entry> = FINDINGS
        .iter()
        .map(|(code, what, weight, helps)| {
            let entry = Entry::new(Class::LogFinding, code, what);
            entry.fact("severity", weight.name()).fact("what helps", *helps)
        })
        .collect();
    findings.sort_by(|one, other| one.word.cmp(&other.word));
    let mut causes: Vec<Entry> =
        CAUSES.iter().map(|(code, what)| Entry::new(Class::Cause, code, what)).collect();
    causes.sort_by(|one, other| one.word.cmp(&other.word));
    findings.extend(causes);
    findings
}
