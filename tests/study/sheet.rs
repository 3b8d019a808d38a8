//! `sheet`: its lines hold in whole runs of the simulator, they catch changed settings, and what
//! they do not catch no presses and waits bring out.

#![expect(clippy::float_cmp, reason = "values on a grid are exact")]

mod limits;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::sync::Arc;

use setband::building::{Space, SpaceInput};
use setband::control::{
    ControllerIndex, Direction, Display, Grid, Key, LockableKey, Occupancy, Request, Role, Side,
    Ticks,
};
use setband::engine::{Action, Doing, LedgerRow, Model, StepRow, ZoneIndex};
use setband::plant::UnitControl;
use setband::report::{Sheeted, sheet_json};
use setband::scenario::{load, read};
use setband::study::sheet::{
    Bench, Conditions, Deed, Pace, Part, Place, Proven, Reading, Scope, Section, Sheet, Shown,
    Step, Variation, choose, classes, first_failure, lines, lines_of, sheet, since, variations,
    weight, witness,
};
use setband::study::{Keep, simulate};
use setband::time::{Instant, Period, Seconds};
use setband::weather::{Reading as Air, Weather};

/// The step in which the sheet's lines are replayed: that of the bench.
const STEP: i64 = 10;

fn scenarios() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
    let mut all: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("scenarios")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|it| it == "yaml"))
        .collect();
    all.sort();
    all
}

fn shipped(name: &str) -> Model {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name);
    load(&path).unwrap_or_else(|faults| panic!("{faults}")).base
}

fn model(text: &str) -> Model {
    read(text, "sheet.yaml", &|_| Err("no files here".into()))
        .unwrap_or_else(|faults| panic!("{faults}\n{text}"))
        .base
}

/// One zone with these controls.
fn zone(controls: &str) -> Model {
    model(&format!(
        "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\nzones:\n  \
         hall:\n    space: {{floor: 60 m2}}\n    unit: {{heating: 6 kW, cooling: 5 kW}}\n    \
         controls: {{{controls}}}\n"
    ))
}

fn written(model: &Model) -> Sheet {
    lines(model, Conditions::default()).expect("rooms with temperatures")
}

#[test]
fn only_the_tester_presses() {
    let text = |people: &str| {
        format!(
            "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\nzones:\n  \
             hall:\n    space: {{floor: 60 m2}}\n    unit: {{heating: 6 kW, cooling: 5 kW}}\n    \
             controls: {{heat: 20, cool: 24, limits: {{heat: [17, 23]}}}}\n{people}"
        )
    };
    let people =
        "people:\n  - {zone: hall, name: cold-blooded, prefers: 27, patience: 1 min, count: 3}\n";
    let (alone, crowded) = (model(&text("")), model(&text(people)));
    assert_eq!(crowded.people.len(), 3);
    assert_eq!(written(&crowded).steps, written(&alone).steps);
}

/// The sheet's lines as the actions of a scenario, with the time at which each is read; the rooms
/// stand still. This goes the way of every run, not the bench's.
fn as_scenario(model: &Model, sheet: &Sheet) -> (Model, Vec<Instant>) {
    let mut now = Instant::START;
    let mut reads: Vec<Instant> = Vec::new();
    let mut actions = Vec::new();
    for (at, step) in sheet.steps.iter().enumerate() {
        let mut add = |role: Role, what: Doing| {
            let Place { zone, controller } = step.place;
            let by = Arc::from("tester");
            actions.push(Action {
                at: now,
                place: Some(actions.len()),
                zone,
                controller,
                by,
                role,
                what,
            });
        };
        let mut lasts = STEP;
        match &step.deed {
            Deed::Press { key, times } => {
                let press = Doing::Request(Request::Press(*key));
                (0..*times).for_each(|_| add(Role::Occupant, press.clone()));
            }
            Deed::Restore { requests } => {
                for request in requests {
                    add(Role::Technician, Doing::Request(*request));
                }
            }
            Deed::PowerFailure(time) => {
                add(Role::Technician, Doing::PowerFailure(*time));
                lasts = time.get() + 2 * STEP;
            }
            Deed::Wait(time) => {
                let begin = since(model, &sheet.steps, at)
                    .map_or(now, |line| reads[line] + Seconds::new(STEP));
                lasts = time.get() - now.since(begin).get();
            }
            Deed::Look => {}
            Deed::Window(to) => add(Role::Occupant, Doing::Window(*to)),
            Deed::Leave | Deed::Return | Deed::Outdoors(_) | Deed::Clock(_) => {
                panic!("no schedule and no sensor is replayed here")
            }
        }
        now = now + Seconds::new(lasts);
        reads.push(Instant::new(now.get() - STEP));
    }
    let mut still = model.clone();
    let days = now.get() / 86_400 + 1;
    still.period = Period::new(model.period.first(), days, Seconds::new(STEP)).expect("a period");
    still.actions = actions;
    still.neighbours.clear();
    let outdoor = Air { second: 0.0, temperature: model.unit.to_celsius(sheet.rooms[0]) };
    still.weather = Weather::Readings([outdoor].into());
    for (zone, room) in still.zones.iter_mut().zip(&sheet.rooms) {
        zone.space = still_room(model.unit.to_celsius(*room));
        zone.windows.clear();
        zone.gains.clear();
        zone.unit.fan = 0.0;
        zone.unit.control = UnitControl::proportional(1.0, 1.0);
    }
    for group in &mut still.outdoor_units {
        group.unit.lowest_output = 0.0;
        group.unit.heating_lockout = None;
        group.unit.cooling_lockout = None;
    }
    (still, reads)
}

/// A room so heavy that kilowatts do not move it.
fn still_room(start: f64) -> Space {
    Space::new(SpaceInput {
        floor: 1.0,
        height: 1.0,
        mass_area: 1.0,
        mass_capacity: 1e18,
        air_capacity: 1e18,
        opaque: 0.0,
        windows: 0.0,
        infiltration: 1e-9,
        open_window: 0.0,
        ventilation: None,
        start: Some(start),
    })
    .expect("a room")
}

fn shown(model: &Model, zone: ZoneIndex, value: f64) -> f64 {
    let settings = &model.zones[zone.get()].controls.settings;
    settings.display.map_or(value, |display: Display| {
        let grid: Grid = settings.grid;
        display.grid().value(display.reads(value, grid.unit()))
    })
}

/// What a run shows of a zone at a time.
fn reading(
    model: &Model,
    rows: &[StepRow],
    ledger: &[LedgerRow],
    step: &Step,
    at: Instant,
) -> Reading {
    let zones = model.zones.len();
    let place = usize::try_from(at.get() / STEP).expect("small") * zones + step.place.zone.get();
    let row = &rows[place];
    assert_eq!((row.at, row.zone), (at, step.place.zone), "rows are in order");
    let refused = match &step.deed {
        Deed::Press { .. } | Deed::Restore { .. } => {
            let here = ledger.iter().filter(|it| it.at == at && it.zone == step.place.zone);
            here.rev().find_map(|it| match &it.entry {
                setband::engine::Entry::Request { outcome, .. } => {
                    Some(*outcome == setband::control::Outcome::Refused)
                }
                setband::engine::Entry::Event(_) => None,
            })
        }
        _ => None,
    };
    Reading {
        heat: shown(model, step.place.zone, row.heat),
        cool: shown(model, step.place.zone, row.cool),
        mode: row.mode,
        power: row.power,
        running: row.call,
        refused,
    }
}

#[test]
fn every_line_of_every_shipped_scenario_holds_in_a_whole_run() {
    for path in scenarios() {
        let model = load(&path).unwrap_or_else(|faults| panic!("{faults}")).base;
        if model.zones.iter().any(|zone| zone.controls.occupancy != Occupancy::Always) {
            continue; // Working setpoints of a run are not what is displayed: see the next test.
        }
        if model.outdoor_units.iter().any(|group| !group.outdoor_limits.is_none()) {
            continue; // Nobody holds the outdoor sensor of a run: see the next test.
        }
        let sheet = written(&model);
        let (run, reads) = as_scenario(&model, &sheet);
        let finished = simulate(&run, Keep::Steps);
        for (number, (step, at)) in sheet.steps.iter().zip(&reads).enumerate() {
            let read = reading(&run, &finished.rows, &finished.ledger, step, *at);
            assert!(
                step.agrees(&read),
                "{} line {}: {:?} reads {read:?}, not {:?}",
                path.display(),
                number + 1,
                step.deed,
                step.expected
            );
        }
    }
}

#[test]
fn every_shipped_sheet_passes_on_its_own_bench() {
    for path in scenarios() {
        let model = load(&path).unwrap_or_else(|faults| panic!("{faults}")).base;
        let sheet = written(&model);
        assert_eq!(first_failure(&model, &sheet.rooms, &sheet.steps), None, "{}", path.display());
        assert!(sheet.reachable > 10 && !sheet.steps.is_empty(), "{}", path.display());
    }
}

#[test]
fn every_outcome_of_presses_is_shown_where_the_direction_can_be_had() {
    for path in scenarios() {
        let model = load(&path).unwrap_or_else(|faults| panic!("{faults}")).base;
        let sheet = written(&model);
        let sided = |item: &Proven| matches!(item, Proven::Effect { .. } | Proven::Active(..));
        let other = sheet.missing.iter().find(|(_, item)| !sided(item));
        assert_eq!(other, None, "{}", path.display());
    }
    // With every mode to be had nothing is missing at all.
    assert_eq!(written(&shipped("reading_room.yaml")).missing, []);
    assert_eq!(written(&shipped("weavers_yard_wrong_owner.yaml")).missing, []);
}

/// Whatever is changed is caught, or stands on the sheet with a reason of its own.
#[test]
fn every_change_that_is_not_caught_has_its_reason() {
    for name in ["saved_lock.yaml", "late_setback.yaml", "return_air.yaml", "frost_guard.yaml"] {
        let model = shipped(name);
        let sheet = sheet(&model, Conditions::default()).expect("a sheet");
        let caught =
            |it: &Variation| first_failure(&it.model, &sheet.rooms, &sheet.steps).is_some();
        let all = variations(&model);
        let hidden = all.iter().filter(|it| !caught(it)).map(|it| (&it.path, &it.to));
        let told = sheet.unseen.iter().map(|it| (&it.path, &it.to));
        assert_eq!(hidden.collect::<Vec<_>>(), told.collect::<Vec<_>>(), "{name}");
        let json = sheet_json(&Sheeted::whole(&model, &sheet)).expect("JSON");
        let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
        for (number, unseen) in sheet.unseen.iter().enumerate() {
            let reason =
                json["settings_changed"]["not_caught"][number]["reason"].as_str().unwrap_or("");
            assert!(reason.len() > 20, "{name}: {} has no reason: {json}", unseen.path);
            assert!(!reason.starts_with("no keys in force and no wait"), "{name}: {unseen:?}");
        }
    }
}

/// The settings of which some change is not caught.
fn uncaught(sheet: &Sheet) -> Vec<&str> {
    let mut all: Vec<&str> = sheet
        .unseen
        .iter()
        .map(|it| it.path.rsplit_once("controls.").map_or(it.path.as_str(), |(_, key)| key))
        .collect();
    all.dedup();
    all
}

#[test]
fn a_change_of_any_setting_that_a_site_can_show_fails_a_line() {
    let plain = "heat: 20, cool: 23, min_deadband: 2, limits: {heat: [17, 24], cool: [20, 28]}";
    let timers = "call_start: 0.5, call_stop: 0.5, changeover_delay: 20 min, auto_off: 2 h";
    let away = "occupancy: {from: \"08:00\", to: \"18:00\"}, setback: {heat: 1, \
                cool: 1, override_time: 30 min}";
    let second = "controllers: [{id: desk, primary: true, key_locks: {keys: [mode], in_force: \
                  true}}, {id: door}]";
    let model = zone(&format!("{plain}, {timers}, {away}, {second}"));
    let sheet = sheet(&model, Conditions::default()).expect("a sheet");
    assert!(sheet.varied > 50, "{}", sheet.varied);
    // Fan keys are for the record, a steady room hides frost and the lag, nobody waits for the
    // clock, and the bounds of the setback lie outside the limits.
    let hidden = [
        "low_limit",
        "sensor.lag",
        "controllers[0].primary",
        "controllers[0].key_locks.keys",
        "controllers[1].key_locks.keys",
        "occupancy",
        "occupancy.optimum_start.most",
        "setback.heat_low",
        "setback.cool_high",
    ];
    assert_eq!(uncaught(&sheet), hidden);
}

/// Presses and waits at random, the same for both; true where the readings differ.
fn differs_under_random_presses(one: &Model, other: &Model, rooms: &[f64], seed: u64) -> bool {
    let (Some(first), Some(second)) = (Bench::new(one, rooms), Bench::new(other, rooms)) else {
        return false;
    };
    let (mut first, mut second) = (first.rig(), second.rig());
    let mut random = seed | 1;
    let mut choose = |among: u64| {
        random ^= random << 13;
        random ^= random >> 7;
        random ^= random << 17;
        (random >> 20) % among
    };
    (0..300).any(|_| {
        let zone = ZoneIndex::new(usize::try_from(choose(one.zones.len() as u64)).expect("small"));
        let controllers = one.zones[zone.get()].controls.settings.key_locks.len() as u64;
        let at = usize::try_from(choose(controllers)).expect("small");
        let place = Place { zone, controller: ControllerIndex::new(at) };
        let times = u32::try_from(1 + choose(3)).expect("small");
        let deed = match choose(12) {
            0 => Deed::Wait(Seconds::minutes(4)),
            pick => {
                let key = Key::ALL[usize::try_from(pick % 4).expect("small")];
                Deed::Press { key, times }
            }
        };
        let (one, other) = (first.perform(place, &deed), second.perform(place, &deed));
        // Whether it runs depends on how fast somebody presses: the sheet reads that elsewhere.
        Reading { running: None, ..one } != Reading { running: None, ..other }
    })
}

#[test]
fn what_a_sheet_does_not_catch_random_presses_do_not_either() {
    for name in ["reading_room.yaml", "saved_lock.yaml", "weavers_yard_wrong_owner.yaml"] {
        let model = shipped(name);
        let sheet = sheet(&model, Conditions::default()).expect("a sheet");
        let all: Vec<Variation> = variations(&model);
        assert_eq!(all.len(), sheet.varied);
        let hidden = |it: &&Variation| {
            sheet.unseen.iter().any(|unseen| unseen.path == it.path && unseen.to == it.to)
        };
        for variation in all.iter().filter(hidden) {
            for seed in 1..6 {
                let differs =
                    differs_under_random_presses(&model, &variation.model, &sheet.rooms, seed * 77);
                assert!(!differs, "{name}: {} to {}", variation.path, variation.to);
            }
        }
    }
}

#[test]
fn the_season_and_the_room_defer_what_they_forbid() {
    let model = shipped("reading_room.yaml");
    let cold = Conditions { outdoor: Some(5.0), ..Conditions::default() };
    let sheet = lines(&model, cold).expect("a sheet");
    let calls = |sheet: &Sheet, direction| {
        sheet.steps.iter().any(|step| step.part == Part::Calls(direction))
    };
    assert!(calls(&sheet, Direction::Heating) && !calls(&sheet, Direction::Cooling));
    assert!(sheet.deferred.iter().any(|it| it.part == Part::Calls(Direction::Cooling)));
    let hot = Conditions { room: Some(35.0), ..Conditions::default() };
    let sheet = lines(&model, hot).expect("a sheet");
    assert!(!calls(&sheet, Direction::Heating));
    assert!(sheet.deferred.iter().any(|it| it.part == Part::Calls(Direction::Heating)));
}

#[test]
fn a_locked_key_and_both_limits_stand_on_the_sheet() {
    let model = zone(
        "heat: 20, cool: 24, limits: {heat: [19, 21], cool: [22, 25]}, on_conflict: hold, \
         controllers: [{id: main, primary: true, key_locks: {keys: [power], in_force: true}}]",
    );
    let sheet = written(&model);
    let proved = |wanted: Proven| sheet.steps.iter().any(|step| step.proves.contains(&wanted));
    assert!(proved(Proven::Locked(LockableKey::Power, 0)));
    let grid = model.zones[0].controls.settings.grid;
    let reads = |side: Side, value: Ticks| {
        sheet.steps.iter().any(|step| match side {
            Side::Heat => step.expected.heat == grid.value(value),
            Side::Cool => step.expected.cool == grid.value(value),
        })
    };
    for (side, value) in [(Side::Heat, 38), (Side::Heat, 42), (Side::Cool, 44), (Side::Cool, 50)] {
        assert!(reads(side, Ticks::new(value)), "{side:?} {value}");
    }
}

fn called(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_setband")).args(arguments).output().expect("it runs")
}

#[test]
fn the_command_writes_page_and_table_and_says_what_is_left_out() {
    let out = std::env::temp_dir().join(format!("setband-sheet-{}", std::process::id()));
    let file = format!("{}/scenarios/locked_heat.yaml", env!("CARGO_MANIFEST_DIR"));
    let folder = out.display().to_string();
    let done = called(&["sheet", &file, "--out", &folder]);
    assert!(done.status.success(), "{done:?}");
    let text = String::from_utf8(done.stdout).expect("text").replace(&folder, "OUT");
    insta::assert_snapshot!("sheet_locked_heat", text);
    let table = std::fs::read_to_string(out.join("sheet.csv")).expect("a table");
    assert!(table.contains("# zones.store_room.controls.min_deadband = 2"), "{table}");
    let page = std::fs::read_to_string(out.join("sheet.html")).expect("a page");
    assert!(page.contains("Settings as left") && !page.contains("://"), "one file, no network");
    std::fs::remove_dir_all(out).expect("removed");
}

#[test]
fn wrong_calls_are_told_what_would_be_right() {
    let file = format!("{}/scenarios/reading_room.yaml", env!("CARGO_MANIFEST_DIR"));
    for (arguments, told) in [
        (&["--longest-wait", "3"][..], "with its unit"),
        (&["--longest-wait", "90 h"][..], "up to"),
        (&["--room", "NaN"][..], "no temperature"),
        (&["--outdoor", "900"][..], "no temperature"),
    ] {
        let failed = called(&[&["sheet", &file][..], arguments].concat());
        assert_eq!(failed.status.code(), Some(2), "{arguments:?}");
        let said = String::from_utf8(failed.stderr).expect("text");
        assert!(said.contains(told), "{arguments:?}: {said}");
    }
}

/// Ten rooms, of which eight are set alike.
fn ten_rooms() -> Model {
    let mut text = String::from(
        "period: {from: 2025-04-16}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n",
    );
    for at in 1..=10 {
        let more = match at {
            1 => ", on_conflict: hold",
            2 => ", call_stop: 0.5",
            _ => "",
        };
        let line = format!(
            "  room_{at}: {{space: {{floor: 20 m2}}, unit: {{heating: 2 kW, cooling: 2 kW}}, \
             controls: {{heat: 20, cool: 23, min_deadband: 2, limits: {{heat: [17, 23], cool: [20, \
             27]}}{more}}}}}\n"
        );
        text.push_str(&line);
    }
    model(&text)
}

#[test]
fn alike_zones_are_one_class_and_tested_whole_once() {
    let model = ten_rooms();
    let sizes: Vec<usize> = classes(&model).iter().map(Vec::len).collect();
    assert_eq!(sizes, [1, 1, 8]);
    let scope = Scope::whole(&model).alike_once(&model);
    let short = lines_of(&model, Conditions::default(), &scope).expect("a sheet");
    let whole = lines(&model, Conditions::default()).expect("a sheet");
    let time = |sheet: &Sheet| Pace::USUAL.whole(&model, &sheet.steps).get();
    assert!(time(&short) * 2 < time(&whole), "{} of {}", time(&short), time(&whole));
    // Every zone is visited, and each line holds on the controls as they are.
    for at in 0..10 {
        assert!(short.steps.iter().any(|step| step.place.zone == ZoneIndex::new(at)));
    }
    assert_eq!(first_failure(&model, &short.rooms, &short.steps), None);
}

#[test]
fn a_choice_fits_into_its_time_and_says_what_it_shows() {
    let model = ten_rooms();
    let scope = Scope::whole(&model).alike_once(&model);
    let mut last = 0.0;
    for minutes in [15, 45, 240] {
        let within = Seconds::minutes(minutes);
        let choice = choose(&model, Conditions::default(), &scope, within);
        let sheet = lines_of(&model, Conditions::default(), &choice.scope).expect("a sheet");
        let time = Pace::USUAL.whole(&model, &sheet.steps);
        assert!(time <= within, "{time} of {within}");
        assert!(choice.shown >= last && choice.shown <= choice.bound + 1e-9);
        assert!(minutes < 45 || choice.shown > 0.86, "{minutes} min: {}", choice.shown);
        last = choice.shown;
    }
    assert!(last > 0.99, "{last}");
}

/// While the timer of one room runs others are tested: that is told in the times, whole and by zone, and
/// waits say from which line they count.
#[test]
fn ten_rooms_keep_each_other_busy() {
    let model = ten_rooms();
    let scope = Scope::whole(&model).alike_once(&model);
    let sheet = lines_of(&model, Conditions::default(), &scope).expect("a sheet");
    let time = Pace::USUAL.whole(&model, &sheet.steps);
    assert!(time.get() + 15 * 60 < sheet.in_turn.get(), "{time} of {}", sheet.in_turn);
    let zones = Pace::USUAL.by_zone(&model, &sheet.steps);
    assert_eq!(zones.iter().map(|zone| zone.get()).sum::<i64>(), time.get());
    let json = sheet_json(&Sheeted::whole(&model, &sheet)).expect("JSON");
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["time_in_turn_s"], sheet.in_turn.get());
    let lines = json["lines"].as_array().expect("lines");
    let filled = lines.iter().filter(|line| line["wait_since"].is_number());
    assert!(filled.clone().count() > 2);
    for line in filled {
        let since = line["wait_since"].as_u64().expect("a line");
        let said = line["action"].as_str().expect("words");
        assert!(said.ends_with(&format!("after line {since}")), "{said}");
        let from = &lines[usize::try_from(since).expect("small") - 1];
        assert_eq!(from["zone"], line["zone"]);
    }
}

#[test]
fn thirty_two_zones_take_half_a_day() {
    let model = shipped("dyehouse_32_rooms.yaml");
    let scope = Scope::whole(&model).alike_once(&model);
    let sheet = lines_of(&model, Conditions::default(), &scope).expect("a sheet");
    let time = Pace::USUAL.whole(&model, &sheet.steps);
    assert!(time <= Seconds::hours(4), "{time}");
    assert!((0..32).all(|at| sheet.steps.iter().any(|step| step.place.zone.get() == at)));
}

/// A choice claims a share of what the whole would show, section by section. Its own lines, one after
/// the other, notice at least so much.
#[test]
fn a_short_sheet_notices_what_it_claims() {
    let model = ten_rooms();
    let scope = Scope::whole(&model).alike_once(&model);
    let whole = lines_of(&model, Conditions::default(), &scope).expect("a sheet");
    let all = variations(&model);
    let notices = |sheet: &Sheet| -> Vec<bool> {
        all.iter()
            .map(|it| first_failure(&it.model, &sheet.rooms, &sheet.steps).is_some())
            .collect()
    };
    let changes = |path: &str| all.iter().filter(|it| it.path == path).count() as f64;
    let worth = |noticed: &[bool]| -> f64 {
        let noticed = all.iter().zip(noticed).filter(|(_, noticed)| **noticed);
        noticed.map(|(it, _)| weight(it.entry.setting.governs) / changes(&it.path)).sum()
    };
    let most = worth(&notices(&whole));
    let choice = choose(&model, Conditions::default(), &scope, Seconds::minutes(15));
    let short = lines_of(&model, Conditions::default(), &choice.scope).expect("a sheet");
    let share = worth(&notices(&short)) / most;
    assert!(share >= choice.shown - 0.02, "{share} of {}", choice.shown);
}

/// Each section by itself shows what it is for: calls need no keys before them.
#[test]
fn calls_alone_show_the_settings_of_calls() {
    let model =
        zone("heat: 20, cool: 23, min_deadband: 2, limits: {heat: [17, 23], cool: [20, 27]}");
    let mut scope = Scope::nothing(&model);
    scope.add(ZoneIndex::new(0), Section::Calls);
    let calls = lines_of(&model, Conditions::default(), &scope).expect("a sheet");
    for key in ["controls.call_start", "controls.call_stop", "unit.min_off", "unit.min_on"] {
        let all = variations(&model);
        let mut own = all.iter().filter(|it| it.entry.key.path == key);
        let noticed =
            |it: &Variation| first_failure(&it.model, &calls.rooms, &calls.steps).is_some();
        assert!(own.any(noticed), "{key}");
    }
}

/// Every setting that a sheet's table says a line shows fails that line first when it is changed;
/// the short sheet says so of nothing else.
#[test]
fn each_line_that_is_said_to_show_a_setting_fails_by_a_change_of_it() {
    let model = ten_rooms();
    let scope = Scope::whole(&model).alike_once(&model);
    let choice = choose(&model, Conditions::default(), &scope, Seconds::minutes(15));
    let short = setband::study::sheet::sheet_of(&model, Conditions::default(), &choice.scope);
    let short = short.expect("a sheet");
    assert!(short.seen.len() > 20, "{}", short.seen.len());
    let all = variations(&model);
    for seen in &short.seen {
        let mut own = all.iter().filter(|it| it.path == seen.path);
        let fails = |it: &Variation| {
            first_failure(&it.model, &short.rooms, &short.steps) == Some(seen.line)
        };
        assert!(own.any(fails), "{seen:?}");
    }
    let noticed = |it: &&Variation| first_failure(&it.model, &short.rooms, &short.steps).is_some();
    for it in all.iter().filter(noticed) {
        assert!(short.seen.iter().any(|seen| seen.path == it.path), "{}", it.path);
    }
}

/// No line passes whatever happens: each that proves something fails for some changed setting, or
/// proves what no setting changes (what keys do with the power off, identity, what is set back).
#[test]
fn each_line_that_proves_something_can_fail() {
    let plain = "heat: 20, cool: 23, min_deadband: 2, limits: {heat: [19, 22], cool: [21, 24]}";
    let timers = "call_start: 0.5, call_stop: 0.5, changeover_delay: 20 min, auto_off: 2 h";
    let model = zone(&format!("{plain}, {timers}"));
    let sheet = written(&model);
    let mut failed = vec![false; sheet.steps.len()];
    for changed in variations(&model) {
        let bench = Bench::new(&changed.model, &sheet.rooms).expect("a bench");
        let mut rig = bench.rig();
        for (at, step) in sheet.steps.iter().enumerate() {
            failed[at] |= !step.agrees(&rig.perform(step.place, &step.deed));
        }
    }
    let rules = |item: &Proven| {
        matches!(
            item,
            Proven::IdleWhenOff(_)
                | Proven::IdleInFan(_)
                | Proven::Restored
                | Proven::Here
                | Proven::PowerReturn
        )
    };
    for (at, step) in sheet.steps.iter().enumerate() {
        let proves = !step.proves.is_empty() && !step.proves.iter().all(rules);
        assert!(failed[at] || !proves, "line {}: {:?} {:?}", at + 1, step.deed, step.proves);
    }
}

/// What a witness sheet claims: each line that it names notices a change that would break the
/// requirement, and it takes less than twenty minutes.
#[test]
fn the_witness_sheet_of_the_surgery_takes_less_than_twenty_minutes() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/specified_surgery.yaml");
    let study = load(&path).unwrap_or_else(|faults| panic!("{faults}"));
    let asked: Vec<_> = study.requirements.iter().collect();
    let shown = witness(&study.base, Conditions::default(), &asked).expect("a sheet");
    let time = Pace::USUAL.whole(&study.base, &shown.sheet.steps);
    assert!(time < Seconds::minutes(20), "{time}");
    let lines = |id: &str| {
        let found =
            shown.requirements.iter().find(|(known, _)| known == id).expect("a requirement");
        matches!(&found.1, Shown::Lines(lines) if !lines.is_empty())
    };
    assert!(lines("R1") && lines("R2") && lines("R5"));
    assert!(!lines("R3") && !lines("R4"), "figures are simulated, not pressed");
    assert_eq!(first_failure(&study.base, &shown.sheet.rooms, &shown.sheet.steps), None);
}
