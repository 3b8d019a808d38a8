//! `sheet.csv`: the sheet as a table to fill in, with the settings that `infer` compares with.

use std::fmt::Write as _;

use super::Sheeted;
use super::words::{deed_words, part_words};
use crate::control::{LockableKey, Mode, ModePolicy, Sharing, Side};
use crate::engine::{Model, ZoneIndex};
use crate::study::cells::harmless;
use crate::study::sheet::{Deed, Step};

/// The columns, in order. The `read_` ones are to be filled in.
pub const COLUMNS: [&str; 23] = [
    "line",
    "part",
    "zone",
    "controller",
    "action",
    "times",
    "wait_s",
    "expect_heat",
    "expect_cool",
    "expect_mode",
    "expect_power",
    "expect_running",
    "expect_refused",
    "read_heat",
    "read_cool",
    "read_mode",
    "read_power",
    "read_running",
    "read_refused",
    "proves",
    "tester",
    "date",
    "remarks",
];

/// The whole file. Settings stand in lines that begin with `#`, the table follows.
///
/// # Errors
/// Those of the CSV writer, which an unbounded buffer gives no reason for.
pub fn sheet_csv(sheeted: &Sheeted<'_>) -> Result<Vec<u8>, csv::Error> {
    let mut head = String::new();
    settings(sheeted.model, &mut head);
    let mut writer = csv::Writer::from_writer(head.into_bytes());
    writer.write_record(COLUMNS)?;
    for (at, step) in sheeted.sheet.steps.iter().enumerate() {
        let row = row(sheeted, at + 1, step);
        writer.write_record(row.iter().map(|cell| harmless(cell).into_owned()))?;
    }
    writer.into_inner().map_err(|error| error.into_error().into())
}

fn row(sheeted: &Sheeted<'_>, line: usize, step: &Step) -> Vec<String> {
    let zone = sheeted.zone(step.place.zone);
    let (action, times, wait) = match &step.deed {
        Deed::Look => ("look", String::new(), 0),
        Deed::Wait(time) => ("wait", String::new(), time.get()),
        Deed::Press { key, times } => (key.name(), times.to_string(), 0),
        Deed::Restore { .. } => ("restore", String::new(), 0),
        Deed::PowerFailure(time) => ("power_failure", String::new(), time.get()),
        Deed::Leave => ("leave", String::new(), 0),
        Deed::Return => ("return", String::new(), 0),
    };
    let expected = &step.expected;
    let refused = expected.refused.map_or("", |refused| if refused { "yes" } else { "no" });
    let running = match expected.running {
        _ if !step.part.reads_running() => "",
        Some(direction) => direction.name(),
        None => "none",
    };
    let mut row = vec![
        line.to_string(),
        part_words(step.part),
        zone.id.clone(),
        sheeted.controller(step.place.zone, step.place.controller.get()),
        action.to_owned(),
        times,
        if wait > 0 { wait.to_string() } else { String::new() },
        expected.heat.to_string(),
        expected.cool.to_string(),
        expected.mode.name().into(),
        expected.power.name().into(),
        running.into(),
        refused.into(),
    ];
    row.extend(std::iter::repeat_n(String::new(), 6));
    let what = match &step.deed {
        Deed::Restore { .. } | Deed::Leave | Deed::Return => deed_words(step),
        _ => sheeted.proof(step),
    };
    row.push(what);
    row.extend(std::iter::repeat_n(String::new(), 3));
    row
}

/// The settings that presses can tell, a line each: path and value, without commas.
fn settings(model: &Model, out: &mut String) {
    let _ = writeln!(out, "# setband sheet: {}", one_line(&model.title));
    let _ = writeln!(out, "# temperature = {}", model.unit.letter());
    for (at, zone) in model.zones.iter().enumerate() {
        let settings = &zone.controls.settings;
        let (rules, grid) = (&settings.rules, settings.grid);
        let mut line = |key: &str, value: String| {
            let _ = writeln!(out, "# zones.{}.{key} = {value}", zone.id);
        };
        let range = |side: Side| {
            let range = rules.written(side);
            format!("{} to {}", grid.value(range.low), grid.value(range.high))
        };
        line("unit.modes", modes(settings.modes.as_slice().iter().copied()));
        line("controls.setpoint_step", grid.step().to_string());
        line("controls.min_deadband", grid.value(rules.deadband()).to_string());
        line("controls.limits.heat", range(Side::Heat));
        line("controls.limits.cool", range(Side::Cool));
        line("controls.on_conflict", rules.on_conflict().name().into());
        let locked = |mode: &Mode| settings.locked_modes.has(*mode);
        line("controls.locked_modes", modes(Mode::ALL.into_iter().filter(locked)));
        let shown = settings.display.map_or(model.unit, |display| display.grid().unit());
        line("controls.shown_unit", shown.letter().into());
        for (controller, locks) in settings.controllers.as_slice().iter().zip(&settings.key_locks) {
            let keys: Vec<&str> = LockableKey::ALL
                .into_iter()
                .filter(|key| locks.refuses(*key))
                .map(LockableKey::name)
                .collect();
            let keys = if keys.is_empty() { "none".into() } else { keys.join(" ") };
            line(&format!("controls.controllers.{}.locked_keys", controller.id), keys);
        }
        line("mode_owner", owner(model, ZoneIndex::new(at)));
    }
}

/// The zone that decides the mode of a zone: itself unless it follows an owner.
fn owner(model: &Model, zone: ZoneIndex) -> String {
    let group = model.outdoor_units.iter().find(|group| group.zones.contains(&zone));
    let owner = group.and_then(|group| match group.settings.sharing {
        Sharing::SingleMode { policy: ModePolicy::Owner, owner, .. } => group.zones.get(owner),
        Sharing::SingleMode { .. } | Sharing::Simultaneous => None,
    });
    let owner = owner.copied().unwrap_or(zone);
    model.zones[owner.get()].id.clone()
}

fn modes(modes: impl Iterator<Item = Mode>) -> String {
    let words: Vec<&str> = modes.map(Mode::name).collect();
    if words.is_empty() { "none".into() } else { words.join(" ") }
}

fn one_line(text: &str) -> String {
    text.chars().map(|c| if c.is_control() || c == ',' { ' ' } else { c }).collect()
}
