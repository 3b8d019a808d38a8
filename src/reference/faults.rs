//! Why a scenario file may not run: each code with what is wrong and what mends it.

use super::{Class, Entry};

/// Code, what is wrong, what mends it.
const FAULTS: &[(&str, &str, &str)] = &[
    (
        "action-time",
        "An action that repeats begins at a moment and not at a time of day.",
        "write a clock time below 24:00",
    ),
    (
        "bad-day",
        "The day that is to be taken from a weather file is not in it, or is no day.",
        "name a date that the file has, or coldest, hottest or mixed",
    ),
    (
        "bad-name",
        "A name has letters that names cannot have, or is too long.",
        "use letters without accents, digits, `_` and `-`, at most 64",
    ),
    (
        "bad-stages",
        "The stages of a staged unit, or the shares of power that belong to them, do not fit.",
        "let the shares rise to 1 and give each stage one share of power",
    ),
    (
        "contradiction",
        "A requirement says two things that exclude each other, or something that its kind does not \
         have.",
        "keep what belongs to its kind; the message names it",
    ),
    (
        "controllers",
        "A zone has no or too many controllers, or two of the same id.",
        "keep one or two, each with an id of its own",
    ),
    ("crossed", "The low end of a range lies above its high end.", "exchange the two"),
    (
        "csv-gap",
        "The weather file has gaps of more than three hours within the period.",
        "add the rows, choose other days, or say what is put there with `fill`",
    ),
    (
        "log-file",
        "A file of the log cannot be read, is no table, or is mostly bad.",
        "the message says which and why; `setband log` shows what is in a file",
    ),
    (
        "log-point",
        "The log has no column or point of that name.",
        "take one of the names that it has",
    ),
    (
        "log-span",
        "The log and the days that are simulated do not fit each other.",
        "change the period, or give the weather",
    ),
    (
        "log-time",
        "The times of the log cannot be read as the block says.",
        "give the format, the year or the place that is missing",
    ),
    ("log-zones", "The log block names no zone.", "name a zone with its temperature"),
    ("duplicate-key", "A key stands twice in one block.", "keep one of the two"),
    ("duplicate-word", "A word stands twice in one list.", "take one away"),
    (
        "empty-span",
        "A span of time or days holds nothing.",
        "write its ends apart, for a whole day from 00:00 to 24:00",
    ),
    (
        "gap",
        "The prices of a tariff do not cover the whole week.",
        "add a price without hours, or one for the hours that lack it",
    ),
    (
        "ideal-in-group",
        "A unit that gives whatever is asked cannot stand on a shared outdoor unit.",
        "give it another control, or a plant of its own",
    ),
    (
        "idle-dew-point",
        "A dew point is given that counts for nothing.",
        "take it out, or write `humidity: balance`",
    ),
    ("idle-fill", "`fill` is given where no file has gaps to be filled.", "take it out"),
    (
        "idle-key",
        "A key is given beside another one that makes it count for nothing.",
        "take one of the two out",
    ),
    (
        "idle-shade",
        "A window without a solar factor has a shade.",
        "add `g`, or take the shade out",
    ),
    (
        "idle-sky",
        "Something is said of the sky that does not count under this weather.",
        "take it out",
    ),
    (
        "idle-stamp",
        "`stamp` is given for a weather file whose layout fixes its stamps.",
        "take it out",
    ),
    (
        "infeasible",
        "Limits and deadband leave a setpoint no value at all.",
        "widen the limits or lessen the deadband, as the message says",
    ),
    ("missing-key", "A key that must be given is not there.", "add it; the message has an example"),
    ("missing-value", "A key has no value.", "give one, or take the key away"),
    (
        "mode-lacking",
        "A mode is named that the unit does not have.",
        "choose one of its modes, or add it to them",
    ),
    (
        "mode-locked",
        "A zone starts in a mode that is locked.",
        "start in another one, or unlock it",
    ),
    (
        "neighbour",
        "A wall between zones is given twice, or leads to the zone itself.",
        "give it once, at either end",
    ),
    (
        "no-action",
        "An action or a change of settings does nothing.",
        "say what it does, or take it away",
    ),
    (
        "no-dew-point",
        "The water in the air is to be followed, and the weather does not say how damp outdoor \
         air is.",
        "add `dew_point`",
    ),
    (
        "no-group",
        "A key of a group is set for a zone that has none, or has no such choice.",
        "take it out",
    ),
    (
        "no-table",
        "A unit has a capacity for heating or cooling, and its outdoor unit has no table for it.",
        "add the table, or take the capacity away",
    ),
    (
        "occupancy",
        "What is said of somebody's being there contradicts itself or says nothing.",
        "keep one kind: spans, or a sensor",
    ),
    (
        "off-step",
        "A setting lies between two steps of the controller.",
        "take one of the two values that the message names",
    ),
    (
        "opaque-too-large",
        "The conductance of opaque parts is larger than the room lets heat through.",
        "check sizes and conductances",
    ),
    (
        "out-of-range",
        "A value lies outside what is accepted.",
        "check its unit and its decimal point; the message has the range and its source",
    ),
    (
        "outdoor-units",
        "What is said of outdoor units and their zones contradicts itself.",
        "put each zone on one outdoor unit",
    ),
    (
        "outside-period",
        "An action lies before or after the days that are simulated.",
        "change its day, or the period",
    ),
    (
        "primary-controller",
        "No controller of a zone is the primary one, or both are.",
        "write `primary: true` at one of them",
    ),
    (
        "same-name",
        "Two people in a zone have the same name.",
        "give each a name, or write a `count`",
    ),
    (
        "setpoint-step",
        "Controllers do not come with this step.",
        "take 0.1, 0.5 or 1 in C, 0.5 or 1 in F",
    ),
    (
        "shade-by-sensor",
        "A shade is to be drawn while somebody is there, and only a sensor knows that.",
        "give a schedule, or let the sun draw the shade",
    ),
    (
        "site-needed",
        "Sun is asked for, and nothing says where the building stands.",
        "add `site` under `weather`",
    ),
    ("size", "The sizes of a room do not go together.", "check them"),
    ("start-outside", "A setpoint starts outside its limits.", "start inside, or widen them"),
    (
        "start-too-close",
        "Heat and cool start closer than the minimum deadband.",
        "move them apart, or lessen the deadband",
    ),
    (
        "step",
        "The step of the simulation does not divide a day.",
        "take one that does, such as 60 s",
    ),
    (
        "table-order",
        "The points of a table are not in order, stand twice, or there are none.",
        "sort them, lowest first",
    ),
    (
        "technician-only",
        "An action changes settings, which occupants cannot.",
        "add `role: technician`",
    ),
    (
        "too-bright",
        "More sun is asked for than reaches the earth on that day.",
        "check the unit: kWh/m2 a day",
    ),
    (
        "too-large",
        "The file, or what comes of it, is too large to be read.",
        "split it, or shorten it as the message says",
    ),
    ("too-long", "A text is too long to be shown.", "shorten it"),
    ("two-defrosts", "Keys of both kinds of defrosting stand together.", "keep those of one kind"),
    (
        "unknown-controller",
        "A controller is named that the zone does not have.",
        "name one of its controllers",
    ),
    (
        "unknown-key",
        "A key is not known where it stands.",
        "take the nearest known one, which the message names",
    ),
    (
        "unknown-path",
        "A path of a variant or a sweep leads nowhere.",
        "follow the structure of the file",
    ),
    ("unknown-variant", "The file has no variant of this name.", "choose one that it has"),
    (
        "unknown-word",
        "A word is not one of those that may stand here.",
        "take one of those that the message lists",
    ),
    ("unknown-zone", "A zone is named that is not there.", "name one of the file's zones"),
    (
        "unreadable-file",
        "A file is not there, is not to be read, or is no text.",
        "check its name, its permissions and its encoding (UTF-8)",
    ),
    (
        "walls-too-large",
        "The walls that the sun warms let more heat through than all opaque parts together.",
        "check areas and conductances",
    ),
    (
        "weather-file",
        "Something is wrong in a weather file, or it does not cover the period.",
        "mend the row that the message names, or change the period",
    ),
    (
        "weather-source",
        "The weather has no temperatures, or several.",
        "give one of design_day, hours, monthly, file, csv, tmy3",
    ),
    (
        "windows-too-large",
        "The windows let more heat through than the room can take up.",
        "check areas and conductances",
    ),
    ("wrong-kind", "Another kind of value is wanted here.", "write it as the message shows"),
    (
        "wrong-unit",
        "A size has no unit, or one of another kind.",
        "write it with its unit, as the message shows",
    ),
    (
        "yaml-syntax",
        "The text is no YAML.",
        "look at indentation, colons, brackets and quotes there and just above",
    ),
    ("yaml-tag", "A YAML tag, which has no meaning here.", "take it away"),
];

pub(super) fn entries() -> Vec<Entry> {
    let mut faults: Vec<Entry> = FAULTS
        .iter()
        .map(|(code, what, mend)| Entry::new(Class::Fault, code, what).fact("mend", *mend))
        .collect();
    faults.sort_by(|one, other| one.word.cmp(&other.word));
    faults
}
