//! What `check` may find: each code with what is so, how much it matters, and its source.

use super::shipped::SHIPPED;
use super::{Class, Entry};
use crate::scenario::read;
use crate::study::check;

const CODES: &str =
    "ANSI/ASHRAE/IES 90.1, IECC, California Title 24; which applies is yours to say";

/// Code, what is so and what follows, severity, source.
const FINDINGS: &[(&str, &str, &str, &str)] = &[
    (
        "call-start-zero",
        "A call starts at the setpoint itself, so that only timers keep the unit from \
         cycling.",
        "warning",
        "control rule 9",
    ),
    (
        "capacity-out-of-line",
        "A unit's capacity for each square metre is far from that of the other zones: often a \
         slip of the decimal point.",
        "warning",
        "common practice, no source",
    ),
    (
        "capacity-out-of-proportion",
        "A unit's capacity is far from what rooms of this size need: often a slip of the decimal \
         point.",
        "warning",
        "common practice, no source",
    ),
    (
        "changeover-delay-overruled",
        "The changeover delay is shorter than another delay that holds anyway, so the longer one \
         is the effective delay.",
        "note",
        "control rules 9 and 10",
    ),
    (
        "clear-days-only",
        "The weather says nothing of the sun, so all days have a clear sky: solar gains look \
         larger than under clouds.",
        "warning",
        "the clear-sky model that stands in",
    ),
    (
        "clothes-reversed",
        "People wear lighter clothes in winter than in summer.",
        "warning",
        "EN 16798-1:2019, Table B.2, from memory",
    ),
    (
        "coil-without-water",
        "A coil temperature or sensible heat ratio is given where the water in the air is not \
         followed: it changes nothing.",
        "note",
        "physics of water in the air",
    ),
    (
        "connected-capacity",
        "The indoor units add up to far more or far less than the outdoor unit can give.",
        "warning",
        "common practice, no source",
    ),
    (
        "controllers-disagree",
        "Two controllers of a zone read so far apart that one would call and the other not.",
        "warning",
        "control rules 7 and 9",
    ),
    (
        "critical-room-in-group",
        "A room with servers, medicines, samples or the like shares an outdoor unit and may have \
         to wait.",
        "warning",
        "common practice, no source",
    ),
    (
        "deadband-below-code",
        "The minimum deadband is less than an energy code asks for.",
        "note; warning with --code",
        CODES,
    ),
    (
        "deadband-between-editions",
        "The minimum deadband meets the 5 F of one edition of a standard and not the 3 C of the \
         other.",
        "note",
        "ANSI/ASHRAE/IES 90.1-2016, 6.4.3.1.2",
    ),
    (
        "deadband-shows-less",
        "Rounded to the display's unit the two setpoints look closer than they are stored.",
        "note",
        "arithmetic",
    ),
    (
        "freeze-risk",
        "The heating can be switched or locked off and no low limit stands guard.",
        "warning where it gets that cold, else note",
        "common practice, no source",
    ),
    (
        "frost-within-reach",
        "A setback or a limit lets heat work so low, without a low limit, that pipes in outer \
         walls may freeze.",
        "warning",
        "common practice, no source",
    ),
    (
        "hysteresis-exceeds-deadband",
        "A call swings the room by more than the deadband, so heating may start cooling and the \
         other way round.",
        "warning",
        "control rule 9",
    ),
    (
        "lock-not-in-force",
        "A key lock is saved and not in force: it looks set and locks nothing.",
        "warning",
        "control rule 6",
    ),
    (
        "lock-on-one-controller",
        "A key is locked at one controller of a zone and free at the other.",
        "warning",
        "control rules 6 and 7",
    ),
    ("lock-without-keys", "A key lock in force names no key.", "note", "control rule 6"),
    (
        "lock-without-mode",
        "A mode is locked that the unit does not have.",
        "note",
        "control rule 5",
    ),
    (
        "low-limit-above-setback",
        "The low limit lies above where heat works while nobody is there, so the setback \
         saves less than it says.",
        "warning",
        "control rules 9 and 11",
    ),
    (
        "low-limit-overrules",
        "The low limit lies above the lowest heat setpoint, so it heats where people set less.",
        "warning",
        "control rule 9",
    ),
    (
        "low-limit-without-heating",
        "The low limit asks a unit for heating that has none.",
        "warning",
        "control rule 9",
    ),
    (
        "mode-key-idle",
        "The mode key leads nowhere: every other mode is locked.",
        "note",
        "control rule 5",
    ),
    (
        "mode-locked-yet-done",
        "A mode is locked, and another mode still does its work: a lock takes away a selection, \
         not what the zone does.",
        "warning",
        "control rule 5",
    ),
    (
        "nothing-to-select",
        "No key of an occupant changes anything.",
        "warning",
        "control rules 2, 5 and 6",
    ),
    (
        "occupancy-never-in-period",
        "The occupancy names no time of the simulated period: nobody is ever there.",
        "warning",
        "control rule 11",
    ),
    (
        "occupancy-sensor-untouched",
        "Nothing in the file triggers the occupancy sensor, so the zone counts as empty.",
        "warning",
        "control rule 11",
    ),
    (
        "override-above-code",
        "An override outside hours lasts longer than an energy code allows.",
        "note; warning with --code",
        CODES,
    ),
    (
        "overshoot-exceeds-deadband",
        "A call at the unit's lowest output may carry the air past the setpoint by more than the \
         deadband.",
        "note",
        "estimate from the room's network (ISO 13790:2008) and control rule 9",
    ),
    (
        "owner-can-be-switched-off",
        "Somebody or a timer can switch the owner of a group off, and with it the whole group or \
         its choice of direction.",
        "warning or note, by what follows",
        "control rule 10",
    ),
    (
        "owner-in-one-mode",
        "The owner of a group starts in a mode for one direction, and nothing in the file \
         turns it.",
        "warning",
        "control rule 10",
    ),
    (
        "owner-in-the-sun",
        "The owner of a group has far more sun than the others, and on the file's own days \
         somebody waits for it.",
        "warning",
        "simulation of the file's own days; control rule 10",
    ),
    (
        "owner-lacks-direction",
        "The owner of a group can only heat or only cool, and other zones of the group can do \
         both.",
        "warning",
        "control rule 10",
    ),
    (
        "owner-locked",
        "Nobody can change the owner's mode, so the group stays in one mode or turns only when \
         the owner's own room asks.",
        "warning or note, by what follows",
        "control rules 5, 6 and 10",
    ),
    (
        "owner-odd-load",
        "The owner of a group is much hotter or cooler than the others: it decides against their \
         needs.",
        "warning",
        "control rule 10",
    ),
    (
        "owner-sensor-error",
        "The sensor of a group's owner reads wrong, and the whole group turns by it.",
        "warning or note, by how wrong",
        "control rules 9 and 10",
    ),
    (
        "range-narrowed",
        "Limits and the deadband together leave a setpoint less than its own limits say.",
        "note",
        "control rule 2",
    ),
    (
        "reach-below-code",
        "A setpoint cannot be moved as far as an energy code asks.",
        "note; warning with --code",
        CODES,
    ),
    (
        "schedule-altered",
        "A schedule writes a value that does not stand, because limits or deadband hold it.",
        "warning",
        "control rules 2 and 3",
    ),
    (
        "schedule-pushes",
        "A schedule writes one setpoint and so moves the other one from its start value.",
        "note",
        "control rule 3",
    ),
    (
        "set-refused",
        "A technician's change of settings contradicts what stands by then and is refused.",
        "warning",
        "control rules 2 and 8",
    ),
    (
        "setback-below-code",
        "The setback is smaller than an energy code asks for.",
        "note; warning with --code",
        CODES,
    ),
    (
        "setback-closes-band",
        "While nobody is there heat and cool work closer together than the deadband.",
        "warning",
        "control rule 11",
    ),
    (
        "setback-cut",
        "The bounds of the setback let it work only in part.",
        "note",
        "control rule 11",
    ),
    (
        "setback-idle",
        "There is a setback, and the zone counts as occupied always: it never works.",
        "note",
        "control rule 11",
    ),
    (
        "setback-missing",
        "There is an occupancy and no setback: it changes nothing.",
        "note",
        "control rule 11",
    ),
    (
        "setback-outside-limits",
        "While nobody is there a setpoint works outside the limits of occupants, which is legal.",
        "note",
        "control rule 11",
    ),
    (
        "setback-reversed",
        "The bounds of the setback turn it round: heat works higher or cool lower while nobody is \
         there.",
        "warning",
        "control rule 11",
    ),
    (
        "setpoint-fixed",
        "Only one value is left for a setpoint: its keys do nothing and look dead.",
        "warning",
        "control rule 2",
    ),
    (
        "setting-without-effect",
        "A setting changes nothing where it stands, such as the changeover delay of a zone \
         that follows an owner.",
        "note",
        "control rules 9 and 10",
    ),
    ("shade-without-effect", "A shade lets all sun in.", "note", "physics of the sun"),
    (
        "sky-without-sun",
        "The weather describes the sky, and no zone lets sun in.",
        "note",
        "physics of the sun",
    ),
    (
        "value-creeps",
        "A value that is set to what the display shows is stored as another one: setting it again \
         moves it.",
        "warning",
        "control rule 1",
    ),
    (
        "value-ignored",
        "A value stands for nothing, because with a minimum deadband of 0 one setpoint serves \
         both sides.",
        "note",
        "control rules 2 and 3",
    ),
    (
        "values-creep",
        "Some values between the limits do not come back from the display as they were stored.",
        "note",
        "control rule 1",
    ),
    (
        "zone-without-outdoor-unit",
        "A zone is on none of the file's outdoor units: it is simulated with a plant of its \
         own.",
        "note",
        "control rule 10",
    ),
    (
        "heating-stops-in-cold",
        "An outdoor limit takes heating away in cold weather, however cold rooms get.",
        "warning",
        "control rule 15; common practice, no source",
    ),
    (
        "outdoor-limits-gap",
        "Between the two outdoor limits the zone may neither heat nor cool.",
        "note",
        "control rule 15",
    ),
    (
        "window-contact-without-setback",
        "The window contact sets the zone back, and there is no setback.",
        "warning",
        "control rule 16",
    ),
    (
        "window-contact-untouched",
        "Nobody opens a window, so the window contact never acts.",
        "note",
        "control rule 16",
    ),
    (
        "integral-faster-than-sensor",
        "The integral time is shorter than the sensor's lag, so the output swings before the sensor has seen what it did.",
        "warning",
        "control rule 18; common practice, no source",
    ),
];

pub(super) fn entries() -> Vec<Entry> {
    let shown = shown();
    let mut found: Vec<Entry> = FINDINGS
        .iter()
        .map(|(code, what, severity, source)| {
            let mut entry = Entry::new(Class::Finding, code, what)
                .fact("severity", *severity)
                .fact("source", *source);
            let first = shown.iter().find(|(known, ..)| known == code);
            entry.shown_in = first.map(|(_, file, line)| (*file, Some(*line)));
            entry
        })
        .collect();
    found.sort_by(|one, other| one.word.cmp(&other.word));
    found
}

/// What `check` finds in the shipped scenarios as they are written: code, file, line.
fn shown() -> Vec<(&'static str, &'static str, u32)> {
    let mut all = Vec::new();
    for shipped in SHIPPED {
        let no_files = |_: &str| Err("shipped scenarios name no files".to_owned());
        if let Ok(study) = read(shipped.text, shipped.file, &no_files) {
            let found = check(&study, &study.base, None);
            all.extend(found.iter().map(|it| (it.code, shipped.file, it.line.max(1))));
        }
    }
    all
}
