//! `check`: a finding for every planted fault, with place, remedy and source; clauses of the
//! energy codes; exit codes.

use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::process::{Command, Output};

use setband::report::{Run, Style, findings_text, run_text};
use setband::scenario::{Study, read};
use setband::study::{EnergyCode, Finding, Keep, Severity, check, simulate};

const CELSIUS: &str = include_str!("../planted/celsius.yaml");
const FAHRENHEIT: &str = include_str!("../planted/fahrenheit.yaml");
const VISIT: &str = include_str!("../planted/visit.yaml");

fn study(text: &str) -> Study {
    read(text, "planted.yaml", &|_| Err("no files here".into()))
        .unwrap_or_else(|faults| panic!("{faults}"))
}

fn findings(text: &str, code: Option<EnergyCode>) -> Vec<Finding> {
    let study = study(text);
    check(&study, &study.base, code)
}

/// One zone with these controls, in C.
fn zone(controls: &str) -> String {
    format!(
        "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\nzones:\n  \
         hall:\n    space: {{floor: 60 m2}}\n    unit: {{heating: 2 kW, cooling: 2 kW}}\n    \
         controls: {{{controls}}}\n"
    )
}

fn of<'f>(findings: &'f [Finding], code: &str) -> Vec<&'f Finding> {
    findings.iter().filter(|finding| finding.code == code).collect()
}

#[test]
fn every_planted_fault_is_found() {
    insta::assert_snapshot!(findings_text(
        "celsius.yaml",
        &findings(CELSIUS, None),
        true,
        Style::default()
    ));
    insta::assert_snapshot!(findings_text(
        "fahrenheit.yaml",
        &findings(FAHRENHEIT, None),
        true,
        Style::default()
    ));
}

#[test]
fn the_planted_files_bring_out_every_code_there_is() {
    let all = [CELSIUS, FAHRENHEIT, VISIT].map(|text| findings(text, None)).concat();
    let found: BTreeSet<&str> = all.iter().map(|finding| finding.code).collect();
    let known: BTreeSet<&str> = KNOWN.into_iter().collect();
    assert_eq!(found, known);
}

/// Codes are for ever: scripts filter by them.
const KNOWN: [&str; 62] = [
    "call-start-zero",
    "capacity-out-of-line",
    "capacity-out-of-proportion",
    "changeover-delay-overruled",
    "clear-days-only",
    "clothes-reversed",
    "coil-without-water",
    "connected-capacity",
    "controllers-disagree",
    "critical-room-in-group",
    "deadband-below-code",
    "deadband-between-editions",
    "deadband-shows-less",
    "freeze-risk",
    "frost-within-reach",
    "heating-stops-in-cold",
    "hysteresis-exceeds-deadband",
    "integral-faster-than-sensor",
    "lock-not-in-force",
    "lock-on-one-controller",
    "lock-without-keys",
    "lock-without-mode",
    "low-limit-above-setback",
    "low-limit-overrules",
    "low-limit-without-heating",
    "mode-key-idle",
    "mode-locked-yet-done",
    "nothing-to-select",
    "occupancy-never-in-period",
    "occupancy-sensor-untouched",
    "outdoor-limits-gap",
    "override-above-code",
    "overshoot-exceeds-deadband",
    "owner-can-be-switched-off",
    "owner-in-one-mode",
    "owner-in-the-sun",
    "owner-lacks-direction",
    "owner-locked",
    "owner-odd-load",
    "owner-sensor-error",
    "range-narrowed",
    "reach-below-code",
    "schedule-altered",
    "schedule-pushes",
    "set-refused",
    "setback-below-code",
    "setback-closes-band",
    "setback-cut",
    "setback-idle",
    "setback-missing",
    "setback-outside-limits",
    "setback-reversed",
    "setpoint-fixed",
    "setting-without-effect",
    "shade-without-effect",
    "sky-without-sun",
    "value-creeps",
    "value-ignored",
    "values-creep",
    "window-contact-untouched",
    "window-contact-without-setback",
    "zone-without-outdoor-unit",
];

/// What a machine cannot use is said by its key, and only where a file writes it.
#[test]
fn what_a_machine_cannot_use_is_said() {
    let idle = |unit: &str, rest: &str| {
        let text =
            zone("heat: 20, cool: 24").replace("cooling: 2 kW", &format!("cooling: 2 kW{unit}"));
        let found = findings(&format!("{text}{rest}"), None);
        let of_unit = of(&found, "setting-without-effect").into_iter();
        of_unit
            .map(|it| it.path.trim_start_matches("zones.hall.unit.").to_owned())
            .collect::<Vec<_>>()
    };
    let group = "outdoor_unit: {heating: [{outdoor: 7, capacity: 3 kW, cop: 3}], cooling: [{outdoor: 30, \
                 capacity: 3 kW, cop: 3}]}\n";
    assert_eq!(idle("", ""), [""; 0]);
    assert_eq!(idle(", cop: {cooling: 3}, reversal_time: 2 min, reach_lowest: 9 min", ""), [""; 0]);
    assert_eq!(idle(", cop: {cooling: 3}", group), ["cop.cooling"]);
    assert_eq!(idle(", reversal_time: 3 min", group), ["reversal_time"]);
    assert_eq!(idle(", reach_lowest: 9 min, control: staged", ""), ["reach_lowest"]);
    assert_eq!(
        idle(", cycling_time_constant: 30 s, control: ideal", ""),
        ["cycling_time_constant"]
    );
    assert_eq!(idle(", low_power: 0.3", ""), ["low_power"]);
    assert_eq!(idle(", fan_run: continuous", ""), ["fan_run"]);
    assert_eq!(idle(", fan: 60 W, fan_run: low", ""), [""; 0]);
    assert_eq!(idle(", fan: 60 W, fan_run: {sample: 10 min, for: 1 min}", ""), ["fan_run"]);
}

/// Glass under weather without radiation is a warning in `check` and in what `run` says; with
/// radiation, or without glass, it is none.
#[test]
fn glass_without_radiation_is_warned_of() {
    let glazed = |weather: &str, period: &str| {
        format!(
            "period: {{{period}}}\nweather: {{{weather}, site: {{latitude: 50, longitude: 8, \
             utc_offset: 1}}}}\nzones:\n  hall:\n    space: {{floor: 60 m2, windows: [{{area: 9 m2, \
             u: 1.3, g: 0.5, facing: south}}]}}\n    unit: {{heating: 2 kW, cooling: 2 kW}}\n    \
             controls: {{heat: 20, cool: 24}}\n"
        )
    };
    let days = "from: 2025-01-01, days: 2";
    let hourly: String = (0..=48).fold("time,temperature,radiation\n".to_owned(), |table, hour| {
        table + &format!("2025-01-{:02}T{:02}:00,5,50\n", 1 + hour / 24, hour % 24)
    });
    let open = |_: &str| Ok(hourly.clone());
    let measured = read(&glazed("csv: w.csv", days), "glazed.yaml", &open);
    let measured = measured.unwrap_or_else(|faults| panic!("{faults}"));
    let assumed = study(&glazed("design_day: {high: 8, range: 6}", days));
    for (study, warned) in [(&measured, false), (&assumed, true)] {
        let found = check(study, &study.base, None);
        let found = of(&found, "clear-days-only");
        assert_eq!(found.len(), usize::from(warned), "{found:?}");
        assert!(found.iter().all(|it| it.severity == Severity::Warning && it.line == 2));
        let finished = simulate(&study.base, Keep::Nothing);
        let run = Run {
            model: &study.base,
            rows: &[],
            ledger: &finished.ledger,
            summary: &finished.summary,
        };
        let text = run_text(&run, Style::default(), &[]);
        let said = text.replace('\n', " ");
        let warning =
            "Warning: the weather says nothing of the sun, so a clear sky is assumed on all 2 days";
        assert_eq!(said.contains(warning), warned, "{text}");
    }
}

/// Requirements name findings by code, and `check` sorts by what each can bring about.
#[test]
fn every_code_has_its_consequence() {
    let listed: BTreeSet<&str> = setband::scenario::KnownFinding::codes().collect();
    assert_eq!(listed, KNOWN.into_iter().collect());
    assert_eq!(setband::scenario::FINDINGS.len(), KNOWN.len(), "a code stands there twice");
}

#[test]
fn the_gravest_comes_first_and_paper_never_warns() {
    for text in [CELSIUS, FAHRENHEIT, VISIT] {
        let all = findings(text, None);
        let keys: Vec<_> = all.iter().map(|it| (it.severity, it.consequence())).collect();
        assert!(keys.is_sorted(), "{keys:?}");
        let paper = |it: &&Finding| it.consequence() == setband::study::Consequence::Paper;
        assert!(all.iter().filter(paper).all(|it| it.severity == Severity::Note));
    }
}

/// What the file of the visit plants, and the same file with each of it mended.
#[test]
fn findings_of_a_visit_go_when_they_are_mended() {
    for (code, planted, mended) in [
        ("frost-within-reach", "heat_low: 3", "heat_low: 8"),
        ("low-limit-above-setback", "low_limit: 12", "low_limit: 9"),
        ("owner-in-one-mode", "mode: heat,", "mode: auto,"),
        ("zone-without-outdoor-unit", "zones: [hall, shop],", "zones: [hall, shop, shed],"),
        ("owner-sensor-error", "offset: 1.5}", "offset: 0}"),
        ("controllers-disagree", "offset: 2}", "offset: 0.1}"),
        ("occupancy-never-in-period", "days: [sat]", "days: [wed]"),
        ("set-refused", "set: {min_deadband: 26}", "set: {min_deadband: 2}"),
        ("call-start-zero", "call_start: 0,", "call_start: 0.5,"),
        ("capacity-out-of-line", "heating: 0.4 kW", "heating: 4 kW"),
        ("capacity-out-of-proportion", "cooling: 70 kW", "cooling: 7 kW"),
        (
            "occupancy-sensor-untouched",
            "{sensor: {hold: 30 min}}",
            "{from: \"08:00\", to: \"18:00\"}",
        ),
        ("setting-without-effect", "changeover_delay: 25 min", "changeover_delay: 10 min"),
        ("setting-without-effect", "locked_modes: [cool]", "locked_modes: []"),
        ("owner-in-the-sun", "area: 18 m2", "area: 1 m2"),
    ] {
        let before = findings(VISIT, None);
        assert!(!of(&before, code).is_empty(), "{code}");
        assert!(VISIT.contains(planted), "{planted}");
        let after = findings(&VISIT.replace(planted, mended), None);
        assert!(of(&after, code).len() < of(&before, code).len(), "{code}: {:?}", of(&after, code));
    }
}

/// A lock on drying takes drying away, and nothing else dries.
#[test]
fn dry_is_locked_without_a_warning_about_cool() {
    let locked = |mode: &str| {
        let file = zone(&format!("heat: 20, cool: 25, min_deadband: 3, locked_modes: [{mode}]"));
        of(&findings(&file, None), "mode-locked-yet-done").len()
    };
    assert_eq!((locked("dry"), locked("cool")), (0, 1));
}

#[test]
fn alike_zones_are_told_once_and_notes_are_counted() {
    let rooms: String = (1..=12).fold(String::new(), |text, at| {
        text + &format!(
            "  room_{at}: {{space: {{floor: 20 m2}}, unit: {{heating: 2 kW, cooling: 2 kW}}, \
             controls: {{heat: 20, cool: 24, min_deadband: 2, call_start: 0}}}}\n"
        )
    });
    let file = format!(
        "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\nzones:\n\
         {rooms}"
    );
    let all = findings(&file, None);
    let brief = findings_text("rooms.yaml", &all, false, Style::default());
    assert_eq!(brief.matches("warning[call-start-zero]").count(), 1, "{brief}");
    assert!(brief.contains("and 3 more") && brief.contains("besides: `setband check --all`"));
    assert!(!brief.contains("note["), "{brief}");
    let full = findings_text("rooms.yaml", &all, true, Style::default());
    assert_eq!(full.matches("note[deadband-below-code]").count(), 1, "{full}");
}

/// No warning on what is shipped but those that its lesson is about, or that its texts name.
#[test]
fn shipped_scenarios_have_no_false_alarm() {
    let mut told = String::new();
    for stem in crate::shipped::stems() {
        let study = crate::shipped::study(&stem);
        let warnings = check(&study, &study.base, None).into_iter();
        let mut codes: Vec<String> = warnings
            .filter(|it| it.severity != Severity::Note)
            .map(|it| format!("{} {}", it.code, it.path))
            .collect();
        codes.dedup();
        let _ = writeln!(told, "{stem}\n  {}", codes.join("\n  "));
    }
    insta::assert_snapshot!(told);
}

#[test]
fn every_finding_has_a_place_a_remedy_and_a_source() {
    for text in [CELSIUS, FAHRENHEIT, VISIT] {
        for finding in findings(text, None) {
            let Finding { code, line, path, message, remedy, source, .. } = &finding;
            assert!(*line > 0, "{code} has no place: {path}");
            for words in [path, message, remedy, source] {
                assert!(!words.is_empty(), "{finding:?}");
            }
        }
    }
}

/// 5 F = 2.78 C: ASHRAE 90.1-2016 6.4.3.1.2, IECC C403.4.1.2, Title 24 120.2(b)3.
#[test]
fn the_deadband_is_held_against_the_code_that_applies() {
    let below = |gap: &str, code| {
        let file = zone(&format!("heat: 20, cool: 25, min_deadband: {gap}, setpoint_step: 0.1"));
        of(&findings(&file, code), "deadband-below-code").len()
    };
    for code in EnergyCode::ALL {
        assert_eq!(below("2.7", Some(code)), 1, "{code:?}: 4.86 F");
        assert_eq!(below("2.8", Some(code)), 0, "{code:?}: 5.04 F");
    }
    assert_eq!((below("2.7", None), below("2.8", None)), (1, 0));
}

#[test]
fn a_code_that_is_chosen_warns_and_one_that_may_not_apply_is_a_note() {
    let file = zone("heat: 20, cool: 24, min_deadband: 2");
    for (code, severity, clause) in [
        (Some(EnergyCode::Ashrae901), Severity::Warning, "6.4.3.1.2"),
        (Some(EnergyCode::Iecc), Severity::Warning, "C403.4.1.2"),
        (Some(EnergyCode::Title24), Severity::Warning, "120.2(b)3"),
        (None, Severity::Note, "C403.4.1.2"),
    ] {
        let all = findings(&file, code);
        let [finding] = of(&all, "deadband-below-code")[..] else { panic!("{all:?}") };
        assert_eq!(finding.severity, severity);
        assert!(finding.source.contains(clause), "{}", finding.source);
        assert!(finding.remedy.contains("set min_deadband to 3;"), "{}", finding.remedy);
    }
}

/// The standards except controls that change over by hand.
#[test]
fn a_unit_without_automatic_mode_owes_no_deadband() {
    let file = zone("heat: 20, cool: 24, min_deadband: 2")
        .replace("cooling: 2 kW", "cooling: 2 kW, modes: [heat, cool]");
    assert!(of(&findings(&file, Some(EnergyCode::Iecc)), "deadband-below-code").is_empty());
}

/// Derived arithmetic of the reference page: pairs typed 5 F apart on a 0.5 C grid are stored
/// closer than 2.78 K for 16 of 41 heat setpoints from 50 to 90 F.
#[test]
fn pairs_typed_five_degrees_fahrenheit_apart_are_counted_after_rounding() {
    let file = zone(
        "heat: 20, cool: 25, min_deadband: 2, shown_unit: F, limits: {heat: [10, 32], cool: [20, 36]}",
    );
    let all = findings(&file, None);
    let message = &of(&all, "deadband-below-code")[0].message;
    assert!(message.contains("16 of 41 heat setpoints are stored closer"), "{message}");
}

/// 10 F below occupied heat and 5 F above occupied cool: ASHRAE 90.1-2016 6.4.3.3.2.
#[test]
fn setbacks_are_held_against_ashrae() {
    let short = |heat: &str, cool: &str| {
        let file = zone(&format!(
            "heat: 20, cool: 25, occupancy: {{from: \"08:00\", to: \"18:00\"}}, setback: {{heat: \
             {heat}, cool: {cool}}}"
        ));
        let all = findings(&file, Some(EnergyCode::Ashrae901));
        of(&all, "setback-below-code").iter().map(|it| it.path.clone()).collect::<Vec<_>>()
    };
    assert_eq!(short("6", "3"), Vec::<String>::new());
    assert_eq!(short("5.5", "3"), ["zones.hall.controls.setback.heat"]);
    assert_eq!(short("6", "2.5"), ["zones.hall.controls.setback.cool"]);
}

/// 55 F = 12.8 C and 85 F = 29.4 C: IECC C403.2.4.2.1 for unoccupied operation, Title 24
/// 120.2(b)1-2 for what can be set.
#[test]
fn the_reach_of_unoccupied_operation_and_of_the_limits_is_held_against_codes() {
    let away = "occupancy: {from: \"08:00\", to: \"18:00\"}";
    let count = |controls: String, code| {
        of(&findings(&zone(&controls), Some(code)), "reach-below-code").len()
    };
    let bounds = |low: &str, high: &str| {
        format!(
            "heat: 20, cool: 25, {away}, setback: {{heat: 8, cool: 8, heat_low: {low}, cool_high: \
             {high}}}"
        )
    };
    assert_eq!(count(bounds("12.5", "29.5"), EnergyCode::Iecc), 0);
    assert_eq!(count(bounds("13", "29.5"), EnergyCode::Iecc), 1);
    assert_eq!(count(bounds("13", "29"), EnergyCode::Iecc), 2);
    let limits = |low: &str, high: &str| {
        format!("heat: 20, cool: 25, limits: {{heat: [{low}, 24], cool: [22, {high}]}}")
    };
    assert_eq!(count(limits("12.5", "29.5"), EnergyCode::Title24), 0);
    assert_eq!(count(limits("13", "29"), EnergyCode::Title24), 2);
    assert_eq!(count(limits("13", "29"), EnergyCode::Iecc), 0);
}

#[test]
fn narrowed_ranges_name_the_edit_that_keeps_the_deadband_and_the_one_that_keeps_the_limits() {
    let file =
        zone("heat: 20, cool: 25, min_deadband: 3, limits: {heat: [17, 26], cool: [22, 28]}");
    let all = findings(&file, None);
    let [finding] = of(&all, "range-narrowed")[..] else { panic!("{all:?}") };
    for edit in ["limits.heat: [17, 25]", "raise the highest cool to 29", "min_deadband to 2"] {
        assert!(finding.remedy.contains(edit), "{}", finding.remedy);
    }
    // Each of the two larger edits mends it indeed.
    for mended in [
        file.replace("cool: [22, 28]", "cool: [22, 29]"),
        file.replace("min_deadband: 3", "min_deadband: 2"),
    ] {
        assert!(of(&findings(&mended, None), "range-narrowed").is_empty());
    }
}

#[test]
fn the_effective_changeover_delay_is_computed() {
    let with = |controls: &str, unit: &str| {
        let file = zone(&format!("heat: 20, cool: 24, {controls}"))
            .replace("cooling: 2 kW", &format!("cooling: 2 kW, {unit}"));
        let all = findings(&file, None);
        of(&all, "changeover-delay-overruled")
            .iter()
            .map(|it| it.message.clone())
            .collect::<String>()
    };
    assert_eq!(with("changeover_delay: 10 min", "min_off: 3 min"), "");
    let longer = with("changeover_delay: 10 min", "min_off: 25 min");
    assert!(longer.contains("the effective delay is 25 min"), "{longer}");
    let stepped = with("changeover_delay: 90 s", "min_off: 0 min");
    assert!(stepped.contains("the effective delay is 2 min"), "{stepped}");
}

#[test]
fn a_sound_file_has_nothing_to_report() {
    let file = zone("heat: 20, cool: 25, min_deadband: 3");
    assert_eq!(findings(&file, None), Vec::<Finding>::new());
}

fn cli(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_setband")).args(arguments).output().expect("it starts")
}

#[test]
fn strict_exits_with_one_and_faults_with_two() {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, text: &str| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).expect("written");
        path.display().to_string()
    };
    let planted = write("planted.yaml", CELSIUS);
    let sound = write("sound.yaml", &zone("heat: 20, cool: 25, min_deadband: 3"));
    let broken = write("broken.yaml", &zone("heat: 20, cool: 25, min_deadband: 26"));
    for (arguments, exit) in [
        (vec!["check", &planted], 0),
        (vec!["check", &planted, "--strict"], 1),
        (vec!["check", &sound, "--strict", "--code", "ashrae90.1"], 0),
        (vec!["check", &broken], 2),
        (vec!["check", &planted, "--code", "none"], 2),
    ] {
        assert_eq!(cli(&arguments).status.code(), Some(exit), "{arguments:?}");
    }
    let out = cli(&["check", &broken, "--json"]);
    let value: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let fault = &value["findings"][0];
    assert_eq!((&fault["code"], &fault["severity"]), (&"infeasible".into(), &"error".into()));
    let help = fault["remedy"].as_str().expect("words");
    assert!(!help.is_empty() && String::from_utf8_lossy(&out.stderr).contains(help));
}

#[test]
fn json_has_the_shape_that_scripts_rely_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("planted.yaml");
    std::fs::write(&path, CELSIUS).expect("written");
    let out = cli(&["check", &path.display().to_string(), "--json"]);
    let value: serde_json::Value = serde_json::from_slice(&out.stdout).expect("JSON");
    let findings = value["findings"].as_array().expect("a list");
    assert!(findings.len() > 30, "{}", findings.len());
    for finding in findings {
        for key in ["code", "severity", "message", "remedy", "source"] {
            assert!(finding[key].as_str().is_some_and(|it| !it.is_empty()), "{key}: {finding}");
        }
        let at = &finding["at"];
        assert!(at["line"].as_u64().is_some_and(|line| line > 0), "{finding}");
        assert!(at["column"].as_u64().is_some_and(|column| column > 0) && at["path"].is_string());
    }
}
