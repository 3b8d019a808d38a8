//! `infer`: the truth is always among its candidates, its own sheet recovers the settings, and
//! what contradicts is named.

use std::fmt::Write as _;
use std::process::{Command, Output};

use setband::control::{ControllerIndex, Differential, Key, Power};
use setband::engine::{Model, ZoneIndex};
use setband::report::{Sheeted, infer_answer, infer_json, sheet_csv};
use setband::scenario::read;
use setband::study::infer::{Inferred, Value, ZoneInference, infer, read_record, verdict};
use setband::study::sheet::{Bench, Conditions, Deed, Place, Rig, Sheet, lines, variations};
use setband::time::Seconds;

use crate::filled::{Table, columns};

fn model(text: &str) -> Model {
    read(text, "infer.yaml", &|_| Err("no files here".into()))
        .unwrap_or_else(|faults| panic!("{faults}\n{text}"))
        .base
}

fn zone_in(unit: &str, controls: &str) -> Model {
    model(&format!(
        "temperature: {unit}\nperiod: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, \
         range: 11}}}}\nzones:\n  hall:\n    space: {{floor: 60 m2}}\n    unit: {{heating: 6 kW, \
         cooling: 5 kW}}\n    controls: {{{controls}}}\n"
    ))
}

fn zone(controls: &str) -> Model {
    zone_in("C", controls)
}

fn shipped(name: &str) -> Model {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(name);
    setband::scenario::load(&path).unwrap_or_else(|faults| panic!("{faults}")).base
}

fn sheet_of(model: &Model) -> Sheet {
    lines(model, Conditions::default()).expect("a sheet")
}

/// The table of a sheet, filled in with what controllers read: those of `device`.
fn filled(stated: &Model, sheet: &Sheet, device: &Model) -> String {
    let mut table = Table::blank(&Sheeted::whole(stated, sheet));
    table.read(sheet, device);
    table.text()
}

fn inferred(table: &str) -> Vec<ZoneInference> {
    let record = read_record(table).unwrap_or_else(|faults| panic!("{faults:?}\n{table}"));
    infer(&record).unwrap_or_else(|faults| panic!("{faults:?}\n{table}"))
}

fn setting<'a>(zone: &'a ZoneInference, key: &str) -> &'a Inferred {
    zone.settings.iter().find(|it| it.key == key).unwrap_or_else(|| panic!("{key} in {zone:?}"))
}

fn assert_truth_remains(zones: &[ZoneInference], about: &str) {
    for zone in zones {
        assert_eq!(zone.contradictions, Vec::<String>::new(), "{about}");
        assert_eq!(zone.as_stated, Some(true), "{about}: {zone:?}");
        for setting in &zone.settings {
            assert_eq!(setting.agrees(), Some(true), "{about}: {setting:?}");
        }
    }
}

const HEAD: &str =
    "action,times,read_heat,read_cool,read_mode,read_power,read_running,read_refused\n";

/// What no sheet can hold is told, and what no display can read.
#[test]
fn values_that_a_sheet_cannot_have_are_told() {
    for (row, what) in [
        ("warmer,1000,20,24,auto,on,none,no", "`1000` is no number of presses"),
        ("warmer,1,999,24,auto,on,none,no", "no display of a room reads 999"),
        ("look,,20,-40,auto,on,none,no", "no display of a room reads -40"),
        ("warmer,4294967297,20,24,auto,on,none,no", "is no number of presses"),
    ] {
        let faults = read_record(&format!("{HEAD}{row}\n")).expect_err(row);
        assert!(faults[0].what.contains(what), "{row}: {faults:?}");
    }
    let shown =
        format!("# zones.zone.controls.shown_unit = F\n{HEAD}look,,68,75,auto,on,none,no\n");
    read_record(&shown).expect("a display may show the other unit");
}

/// 10,000 presses, each different from the one before, that no device can have shown: they are
/// answered, in time and memory that do not grow with their square (`benches/infer.rs` measures).
#[test]
fn long_records_that_no_device_wrote_are_answered() {
    let rows = |count: usize| -> String {
        let row = |at: usize| {
            let (heat, cool) = (15.0 + (at % 97) as f64 / 10.0, 26.0 + (at % 89) as f64 / 10.0);
            let key = if at.is_multiple_of(2) { "warmer" } else { "cooler" };
            format!("{key},{},{heat},{cool},auto,on,none,no\n", at * 3 % 40 + 1)
        };
        (0..count).map(row).collect()
    };
    let zones = inferred(&format!("{HEAD}{}", rows(10_000)));
    assert_eq!(zones[0].presses, 9999);
    assert!(zones[0].contradictions.len() > 4000, "{}", zones[0].contradictions.len());
    let faults = read_record(&format!("{HEAD}{}", rows(10_001))).expect_err("too many rows");
    assert!(faults[0].what.contains("more than 10000 rows"), "{faults:?}");
}

/// A long record of a device is as good as a short one: it leaves the truth, and slips of the pen in
/// it are named and hide nothing.
#[test]
fn long_records_of_a_device_leave_the_truth_and_name_slips() {
    /// Where the heat setpoint stands in a line.
    const HEAT: usize = 4;
    let model = zone(
        "heat: 20, cool: 23, min_deadband: 1.5, on_conflict: push_and_return, mode: heat, limits: \
         {heat: [17, 23], cool: [20, 27]}",
    );
    let bench = Bench::new(&model, &[20.0]).expect("a bench");
    let mut rig = bench.rig();
    let mut choices = Choices(88_172_645_463_325_252);
    let mut lines = vec![line_of(&mut rig, None)];
    for _ in 0..3000 {
        let key = choices.from(&[Key::Warmer, Key::Cooler]);
        let times = u32::try_from(1 + choices.of(6)).expect("few");
        lines.push(line_of(&mut rig, Some((key, times))));
    }
    let head = head_of(&model);
    let zones = inferred(&table_of(&head, &lines));
    assert_truth_remains(&zones, "3000 presses");
    for key in ["controls.min_deadband", "controls.on_conflict", "controls.limits.heat.low"] {
        assert_eq!(setting(&zones[0], key).consistent.len(), 1, "{key}");
    }
    // Half a degree too much, where it stretches no limit and closes no gap.
    let read = |line: &[String], at: usize| line[at].parse::<f64>().expect("a number");
    let slips = [500, 1500, 2500].map(|from| {
        let has_room = |at: &usize| {
            let (heat, cool) = (read(&lines[*at], HEAT), read(&lines[*at], HEAT + 1));
            (18.5..21.5).contains(&heat) && cool - heat >= 3.0
        };
        (from..from + 500).find(has_room).expect("a line with room")
    });
    for at in slips {
        lines[at][HEAT] = (read(&lines[at], HEAT) + 0.5).to_string();
    }
    let zones = inferred(&table_of(&head, &lines));
    assert_eq!(zones[0].contradictions, slips.map(|at| (at + 1).to_string()));
    assert!(zones[0].settings.iter().all(|it| it.agrees() == Some(true)), "{zones:?}");
}

#[test]
fn the_settings_are_recovered_from_their_own_sheet() {
    let model = shipped("reading_room.yaml");
    let zones = inferred(&filled(&model, &sheet_of(&model), &model));
    assert_truth_remains(&zones, "reading room");
    let only = |key: &str| match setting(&zones[0], key).consistent.as_slice() {
        [value] => value.clone(),
        several => panic!("{key}: {several:?}"),
    };
    let number = Value::Number;
    assert_eq!(only("controls.min_deadband"), number(2.0));
    assert_eq!(only("controls.setpoint_step"), number(0.5));
    assert_eq!(only("controls.limits.heat.low"), number(17.0));
    assert_eq!(only("controls.limits.heat.high"), number(24.0));
    assert_eq!(only("controls.limits.cool.high"), number(28.0));
    assert_eq!(only("controls.on_conflict"), Value::Word("push".into()));
    assert_eq!(only("controls.locked_modes"), Value::Words(Vec::new()));
    assert_eq!(only("controls.controllers.main.locked_keys"), Value::Words(Vec::new()));
    assert_eq!(only("mode_owner"), Value::Word("reading_room".into()));
}

#[test]
fn every_shipped_sheet_filled_in_as_expected_agrees_with_its_settings() {
    for name in [
        "creeping_display",
        "five_degrees",
        "late_setback",
        "locked_heat",
        "one_setpoint",
        "ratchet",
        "return_air",
        "saved_lock",
        "weavers_yard_owner_off",
        "weavers_yard_simultaneous",
        "weavers_yard_wrong_owner",
    ] {
        let model = shipped(&format!("{name}.yaml"));
        assert_truth_remains(&inferred(&filled(&model, &sheet_of(&model), &model)), name);
    }
}

/// A source of choices, the same in every run.
struct Choices(u64);

impl Choices {
    fn of(&mut self, among: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 20) % among
    }

    fn from<T: Copy>(&mut self, list: &[T]) -> T {
        list[usize::try_from(self.of(list.len() as u64)).expect("small")]
    }

    fn degrees(&mut self, least: u64, most: u64) -> u64 {
        least + self.of(most - least + 1)
    }
}

/// Controls with random settings, in whole degrees so that every step holds them.
fn random_controls(choices: &mut Choices) -> Model {
    let fahrenheit = choices.of(4) == 0;
    let base = if fahrenheit { 60 } else { 15 };
    let heat_low = base + choices.of(4);
    let gap = choices.from(&[0, 1, 1, 2, 2, 3, 4]);
    let heat = heat_low + choices.of(4);
    let heat_high = heat + choices.of(5);
    let cool = if gap == 0 { heat } else { heat + gap + choices.of(4) };
    let cool_low = choices.degrees(heat_low.min(cool), cool);
    let cool_high = cool.max(heat_low + gap) + choices.of(5);
    let step = choices.from(if fahrenheit { &["0.5", "1"] } else { &["0.5", "0.5", "1", "0.1"] });
    let practice = choices.from(&["push", "hold", "push_and_return"]);
    let mode = choices.from(&["heat", "cool", "auto"]);
    let locked = choices.from(&["", "dry", "fan", "dry, fan"]);
    let keys = choices.from(&["", "setpoint", "mode", "power", "mode, power"]);
    let in_force = choices.of(3) > 0;
    let second = choices.from(&["", ", {id: door}"]);
    zone_in(
        if fahrenheit { "F" } else { "C" },
        &format!(
            "heat: {heat}, cool: {cool}, min_deadband: {gap}, setpoint_step: {step}, on_conflict: \
             {practice}, limits: {{heat: [{heat_low}, {heat_high}], cool: [{cool_low}, \
             {cool_high}]}}, mode: {mode}, locked_modes: [{locked}], controllers: [{{id: main, \
             primary: true, key_locks: {{keys: [{keys}], in_force: {in_force}}}}}{second}]"
        ),
    )
}

#[test]
fn the_truth_remains_for_200_random_settings_whatever_is_pressed() {
    let mut choices = Choices(0x9E37_79B9_7F4A_7C15);
    for case in 0..200 {
        let model = random_controls(&mut choices);
        let mut table = head_of(&model);
        let bench = Bench::new(&model, &[20.0]).expect("a bench");
        let mut rig = bench.rig();
        for _ in 0..60 {
            row(&model, &mut rig, &mut choices, &mut table);
        }
        assert_truth_remains(&inferred(&table), &format!("case {case}:\n{table}"));
    }
}

fn empty_sheet() -> Sheet {
    let model = shipped("reading_room.yaml");
    Sheet { steps: Vec::new(), deferred: Vec::new(), ..sheet_of(&model) }
}

/// Something random is done, and mostly written down.
fn row(model: &Model, rig: &mut Rig<'_>, choices: &mut Choices, table: &mut String) {
    let controllers = model.zones[0].controls.settings.controllers.as_slice();
    let at = usize::try_from(choices.of(controllers.len() as u64)).expect("small");
    let place = Place { zone: ZoneIndex::new(0), controller: ControllerIndex::new(at) };
    let on = rig.state().zones[0].stored.power == Power::On;
    let pick = choices.of(if on { 12 } else { 5 });
    let (deed, action, times) = match pick {
        0 => (Deed::Wait(Seconds::minutes(3)), "wait", String::new()),
        1..=3 if !on => press(Key::Power, 1),
        1 => press(Key::Power, 1),
        2 | 3 => press(Key::Mode, 1),
        pick => {
            let key = if pick % 2 == 0 { Key::Warmer } else { Key::Cooler };
            press(key, u32::try_from(1 + choices.of(6)).expect("small"))
        }
    };
    let read = rig.perform(place, &deed);
    let cells: Vec<String> = if choices.of(10) == 0 {
        vec![String::new(); 6]
    } else {
        columns(&read).into_iter().map(|(_, value)| value).collect()
    };
    let _ = writeln!(table, "hall,{},{action},{times},{}", controllers[at].id, cells.join(","));
}

fn press(key: Key, times: u32) -> (Deed, &'static str, String) {
    (Deed::Press { key, times }, key.name(), times.to_string())
}

#[test]
fn a_changed_setting_fails_lines_and_is_named_as_their_explanation() {
    let model = zone(
        "heat: 20, cool: 23, min_deadband: 2, limits: {heat: [17, 23], cool: [20, 27]}, \
         locked_modes: [dry]",
    );
    let sheet = sheet_of(&model);
    let wanted = [
        ("zones.hall.controls.min_deadband", "2.5", "controls.min_deadband"),
        ("zones.hall.controls.limits.heat.high", "23.5", "controls.limits.heat.high"),
        ("zones.hall.controls.limits.cool.low", "20.5", "controls.limits.cool.low"),
        ("zones.hall.controls.on_conflict", "hold", "controls.on_conflict"),
        ("zones.hall.controls.on_conflict", "push_and_return", "controls.on_conflict"),
        (
            "zones.hall.controls.controllers[0].key_locks.keys",
            "power",
            "controls.controllers.main.locked_keys",
        ),
    ];
    let all = variations(&model);
    for (path, to, key) in wanted {
        let device = all.iter().find(|it| it.path == path && it.to == to);
        let device = device.unwrap_or_else(|| panic!("{path} {to}"));
        let zones = inferred(&filled(&model, &sheet, &device.model));
        let zone = &zones[0];
        assert_eq!(zone.contradictions, Vec::<String>::new(), "{path}");
        assert_eq!(zone.as_stated, Some(false), "{path}");
        assert!(!zone.failed.is_empty(), "{path}");
        let value = |value: &Value| match value {
            Value::Number(number) => number.to_string(),
            Value::Word(word) => word.clone(),
            Value::Words(words) => words.join(" "),
        };
        assert!(
            zone.explanations.iter().any(|it| it.key == key && value(&it.value) == to),
            "{path} {to}: {:?}",
            zone.explanations
        );
    }
}

#[test]
fn a_failed_line_is_never_agreement_and_the_verdict_says_so_first() {
    let model =
        zone("heat: 20, cool: 23, min_deadband: 2, limits: {heat: [17, 23], cool: [20, 27]}");
    let sheet = sheet_of(&model);
    let as_stated = inferred(&filled(&model, &sheet, &model));
    let lines = sheet.steps.len();
    assert!(verdict(&as_stated).holds());
    assert_eq!(infer_answer(&as_stated), format!("All {lines} lines as expected."));
    // Every press agrees with what is stated, and calls do not: presses tell nothing of them.
    let mut wide = model.clone();
    wide.zones[0].controls.thermostat.call_start = Differential::same(1.0);
    let mut slow = model.clone();
    slow.zones[0].controls.thermostat.min_off = Seconds::minutes(6);
    for (device, suspect) in [(wide, "call_start"), (slow, "min_off")] {
        let zones = inferred(&filled(&model, &sheet, &device));
        assert_eq!(zones[0].as_stated, Some(true), "{suspect}");
        let (verdict, answer) = (verdict(&zones), infer_answer(&zones));
        assert!(!verdict.holds() && verdict.failed > 0, "{suspect}: {verdict:?}");
        let first = format!("{} of {lines} lines fail", verdict.failed);
        assert!(answer.starts_with(&first) && answer.contains(suspect), "{answer}");
        let json: serde_json::Value =
            serde_json::from_str(&infer_json(&zones).expect("JSON")).expect("JSON");
        assert_eq!(json["verdict"]["holds"], false);
    }
    // One setting that presses tell of.
    let deeper =
        zone("heat: 20, cool: 23, min_deadband: 2.5, limits: {heat: [17, 23], cool: [20, 27]}");
    let answer = infer_answer(&inferred(&filled(&model, &sheet, &deeper)));
    let named = "controls.min_deadband is probably 2.5 (stated: 2)";
    assert!(answer.contains(" lines fail: ") && answer.contains(named), "{answer}");
    // A line not read is no line as expected.
    let table = filled(&model, &sheet, &model);
    let shorter = table.trim_end().rsplit_once('\n').expect("rows").0;
    let blank = sheet_csv(&Sheeted::whole(&model, &sheet)).expect("a table");
    let blank = String::from_utf8(blank).expect("text");
    let last = blank.trim_end().rsplit_once('\n').expect("rows").1;
    let answer = infer_answer(&inferred(&format!("{shorter}\n{last}\n")));
    let wanted = format!("All {} lines as expected. 1 line was not read.", lines - 1);
    assert_eq!(answer, wanted);
}

/// The settings of a model as its sheet states them, and the head line of a short table.
fn head_of(model: &Model) -> String {
    let head = sheet_csv(&Sheeted::whole(model, &empty_sheet())).expect("a table");
    let stated = String::from_utf8(head).expect("text");
    let stated: Vec<&str> = stated.lines().filter(|line| line.starts_with('#')).collect();
    format!(
        "{}\nzone,controller,action,times,read_heat,read_cool,read_mode,read_power,read_running,\
         read_refused\n",
        stated.join("\n")
    )
}

/// What is done in the hall, and read after it, as a line of a table.
fn line_of(rig: &mut Rig<'_>, key: Option<(Key, u32)>) -> Vec<String> {
    let place = Place { zone: ZoneIndex::new(0), controller: ControllerIndex::new(0) };
    let (deed, action, times) = match key {
        Some((key, times)) => press(key, times),
        None => (Deed::Look, "look", String::new()),
    };
    let read = rig.perform(place, &deed);
    let start = ["hall", "main", action].map(ToOwned::to_owned).into_iter().chain([times]);
    start.chain(columns(&read).into_iter().map(|(_, value)| value)).collect()
}

fn table_of(head: &str, lines: &[Vec<String>]) -> String {
    let lines: Vec<String> = lines.iter().map(|line| line.join(",") + "\n").collect();
    head.to_owned() + &lines.concat()
}

#[test]
fn one_wrong_reading_is_named_alone_and_hides_no_settings() {
    /// Where the heat setpoint stands in a line.
    const HEAT: usize = 4;
    let model = zone(
        "heat: 20, cool: 23, min_deadband: 2, mode: heat, limits: {heat: [17, 23], cool: [20, 27]}",
    );
    let bench = Bench::new(&model, &[20.0]).expect("a bench");
    let mut rig = bench.rig();
    let (up, down) = (Key::Warmer, Key::Cooler);
    let presses = [(up, 3), (up, 2), (up, 4), (down, 5), (down, 8), (up, 1), (down, 1)];
    let mut lines = vec![line_of(&mut rig, None)];
    lines.extend(presses.map(|it| line_of(&mut rig, Some(it))));
    let head = head_of(&model);
    assert_truth_remains(&inferred(&table_of(&head, &lines)), "as read");
    // A slip of the pen between the steps, and beyond every limit and deadband.
    for wrong in [0.2, 5.0, -4.0] {
        for at in 1..lines.len() - 1 {
            let mut slipped = lines.clone();
            let heat: f64 = slipped[at][HEAT].parse().expect("a number");
            slipped[at][HEAT] = (heat + wrong).to_string();
            let zones = inferred(&table_of(&head, &slipped));
            let about = format!("line {} read {wrong} wrong: {zones:?}", at + 1);
            assert_eq!(zones[0].contradictions, [(at + 1).to_string()], "{about}");
            assert!(zones[0].settings.iter().all(|it| it.agrees() == Some(true)), "{about}");
        }
    }
}

#[test]
fn whoever_presses_what_is_advised_finds_the_settings() {
    for (practice, locked) in [("push", "dry"), ("hold", "fan"), ("push_and_return", "cool")] {
        let model = zone(&format!(
            "heat: 20, cool: 23, min_deadband: 1.5, mode: heat, limits: {{heat: [17, 23], cool: \
             [20, 27]}}, on_conflict: {practice}, locked_modes: [{locked}]"
        ));
        let bench = Bench::new(&model, &[20.0]).expect("a bench");
        let mut rig = bench.rig();
        let mut lines = vec![line_of(&mut rig, None)];
        lines.push(line_of(&mut rig, Some((Key::Warmer, 1))));
        let mut open = f64::INFINITY;
        for _ in 0..30 {
            let zones = inferred(&table_of(&head_of(&model), &lines));
            assert_truth_remains(&zones, practice);
            let Some(next) = &zones[0].next else {
                open = zones[0].settings.iter().map(|it| it.consistent.len() as f64).product();
                break;
            };
            lines.push(line_of(&mut rig, Some((next.key, next.times))));
        }
        let zones = inferred(&table_of(&head_of(&model), &lines));
        let only = |key: &str| setting(&zones[0], key).consistent.len();
        assert!(open.is_finite(), "{practice}: advice without end after {lines:?}");
        for key in ["controls.setpoint_step", "controls.limits.heat.low", "controls.locked_modes"] {
            assert_eq!(only(key), 1, "{practice}: {key} of {zones:?}");
        }
        assert!(lines.len() <= 20, "{practice}: {} lines", lines.len());
    }
}

#[test]
fn a_look_that_reads_something_else_is_named_though_nobody_pressed() {
    let zones = inferred(&format!("{SHORT}hall,look,,21.5,25,heat,on,none\n"));
    assert_eq!(zones[0].contradictions, ["5"]);
    assert_eq!(setting(&zones[0], "controls.min_deadband").consistent, [Value::Number(2.0)]);
}

const SHORT: &str = "# temperature = C
zone,action,times,read_heat,read_cool,read_mode,read_power,read_running
hall,look,,20,23,heat,on,none
hall,warmer,1,20.5,23,heat,on,none
hall,warmer,1,21,23,heat,on,none
hall,warmer,1,21.5,23.5,heat,on,none
";

#[test]
fn a_short_list_of_presses_leaves_a_choice_and_names_the_next_press() {
    let zones = inferred(SHORT);
    let deadband = setting(&zones[0], "controls.min_deadband");
    assert_eq!(deadband.consistent, [Value::Number(2.0)]);
    assert_eq!(deadband.stated, None);
    let practices = &setting(&zones[0], "controls.on_conflict").consistent;
    assert_eq!(practices, &[Value::Word("push".into()), Value::Word("push_and_return".into())]);
    let next = zones[0].next.as_ref().expect("something to press");
    assert!(next.bits > 1.0 && next.outcomes.len() > 2, "{next:?}");
    let json: serde_json::Value =
        serde_json::from_str(&infer_json(&zones).expect("JSON")).expect("JSON");
    assert_eq!(json["settings"]["zones.hall.controls.min_deadband"]["consistent"][0], 2.0);
    assert!(json["next_press"]["press"].is_string(), "{json}");
    assert_eq!(json["contradictions"], serde_json::json!([]));
}

#[test]
fn a_reading_that_contradicts_the_others_is_named_and_left_out() {
    // The cooler key cannot raise a setpoint; everything else is of one piece.
    let table =
        format!("{SHORT}hall,cooler,1,24,29,heat,on,none\nhall,look,,21,23.5,heat,on,none\n");
    let zones = inferred(&table);
    assert_eq!(zones[0].contradictions, ["5"]);
    let deadband = setting(&zones[0], "controls.min_deadband");
    assert_eq!(deadband.consistent, [Value::Number(2.0)]);
}

fn called(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_setband")).args(arguments).output().expect("it runs")
}

#[test]
fn faults_of_a_table_are_told_all_at_once() {
    let file = std::env::temp_dir().join(format!("setband-infer-{}.csv", std::process::id()));
    let name = file.display().to_string();
    let table = "# setband sheet: heat = cool?\n# temperature = K\n# zones.hall.controls.min_deadbnd \
                 = 2\n# zones.hall.controls.limits.heat = 24 to 17\n# zones.hall.mode_owner = \
                 hall\nzone,controller,action,times,read_heat,read_mode,read_heet,times\nhall,main,\
                 warmer,x,20,heat\nhall,door,fly,1,2o,auto\nhall,porch,look,,21,hot\nhall,main,\
                 warmer,1,21,heat\n";
    std::fs::write(&file, table).expect("written");
    let done = called(&["infer", &name]);
    assert_eq!(done.status.code(), Some(2));
    let said = String::from_utf8(done.stderr).expect("text").replace(&name, "TABLE");
    insta::assert_snapshot!("infer_faults", said);
    std::fs::write(&file, SHORT).expect("written");
    let done = called(&["infer", &name]);
    assert_eq!(done.status.code(), Some(0), "{done:?}");
    insta::assert_snapshot!("infer_short", String::from_utf8(done.stdout).expect("text"));
    std::fs::remove_file(&file).expect("removed");
    let done = called(&["infer", &name]);
    assert_eq!(done.status.code(), Some(2));
    let said = String::from_utf8(done.stderr).expect("text");
    assert!(said.contains("cannot be read"), "{said}");
}

/// A tick says that everything is as expected; semicolons and decimal commas are read as well.
#[test]
fn ok_alone_means_as_expected_and_semicolons_part_cells() {
    let model =
        zone("heat: 20.5, cool: 23, min_deadband: 2, limits: {heat: [17, 23], cool: [20, 27]}");
    let sheet = sheet_of(&model);
    let blank = sheet_csv(&Sheeted::whole(&model, &sheet)).expect("a table");
    let blank = String::from_utf8(blank).expect("text");
    let (head, body): (Vec<&str>, Vec<&str>) =
        blank.lines().partition(|line| line.starts_with('#'));
    let mut rows = csv::Reader::from_reader(body.join("\n").into_bytes().leak() as &[u8]);
    let names = rows.headers().expect("a head").clone();
    let place = |name: &str| names.iter().position(|it| it == name).expect("a column");
    let records: Vec<csv::StringRecord> = rows.records().map(|row| row.expect("a row")).collect();
    let written = |ok: &dyn Fn(usize) -> &'static str| {
        let mut writer = csv::WriterBuilder::new().delimiter(b';').from_writer(Vec::new());
        writer.write_record(&names).expect("written");
        for (at, row) in records.iter().enumerate() {
            let mut cells: Vec<String> = row.iter().map(|cell| cell.replace('.', ",")).collect();
            ok(at).clone_into(&mut cells[place("ok")]);
            writer.write_record(&cells).expect("written");
        }
        let table = String::from_utf8(writer.into_inner().expect("written")).expect("text");
        format!(
            "{}\n{table}",
            head.iter().map(|it| format!("{it};;;")).collect::<Vec<_>>().join("\n")
        )
    };
    let answer = infer_answer(&inferred(&written(&|_| "ok")));
    assert_eq!(answer, format!("All {} lines as expected.", records.len()));
    let some = infer_answer(&inferred(&written(&|at| if at == 3 { "" } else { "x" })));
    assert!(some.ends_with("1 line was not read."), "{some}");
    let faults =
        read_record(&written(&|at| if at == 3 { "no" } else { "ok" })).expect_err("a fault");
    assert!(faults[0].what.contains("nothing says what was read"), "{faults:?}");
}
