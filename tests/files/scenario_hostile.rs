//! Scenario files made to break the reader: each is read or refused within seconds, and nothing
//! panics.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use proptest::prelude::*;
use setband::scenario::{Faults, Study, read, starter};
use setband::units::TemperatureUnit;

/// No single file may take longer. Far more than any needs: it tells slow from endless, also on
/// a busy machine without optimisation.
const LONGEST: Duration = Duration::from_secs(60);

const HEAD: &str =
    "period: {from: 2025-04-16, days: 2}\nweather: {design_day: {high: 18, range: 11}}\n";
const ZONE: &str = "space: {floor: 40 m2}, unit: {heating: 3 kW}, controls: {heat: 20, cool: 24}";

fn timed(text: &str) -> Result<Study, Faults> {
    let start = Instant::now();
    let study = read(text, "hostile.yaml", &|_| Err("no files here".into()));
    if let Err(faults) = &study {
        assert!(faults.to_string().len() < 100_000, "the text for people must stay short");
    }
    assert!(start.elapsed() < LONGEST, "took {:?}", start.elapsed());
    study
}

fn refused(text: &str) -> Vec<&'static str> {
    let faults = timed(text).expect_err("must be refused");
    faults.as_slice().iter().map(|fault| fault.code).collect()
}

fn repeated(count: usize, line: impl Fn(usize) -> String) -> String {
    (0..count).map(line).collect()
}

#[test]
fn aliases_cannot_multiply_without_end() {
    let mut bomb = String::from("a0: &a0 [x, x, x, x, x, x, x, x, x]\n");
    for level in 1..30 {
        let before = format!("*a{}", level - 1);
        writeln!(bomb, "a{level}: &a{level} [{}]", vec![before; 9].join(", ")).expect("written");
    }
    assert_eq!(refused(&bomb), ["too-large"]);
}

#[test]
fn aliases_cannot_pile_up_depth() {
    let nest = |inner: &str| format!("{}{inner}{}", "[".repeat(60), "]".repeat(60));
    let mut text = format!("a0: &a0 {}\n", nest("x"));
    for level in 1..500 {
        writeln!(text, "a{level}: &a{level} {}", nest(&format!("*a{}", level - 1)))
            .expect("written");
    }
    assert_eq!(refused(&text), ["too-large"]);
}

#[test]
fn an_alias_cannot_hold_itself() {
    assert_eq!(refused("a: &a [*a]\n"), ["yaml-syntax"]);
}

#[test]
fn depth_is_bounded() {
    for (open, close) in [("[", "]"), ("{a: ", "}")] {
        let codes = refused(&format!("zones: {}{}", open.repeat(100_000), close.repeat(100_000)));
        assert_eq!(codes, ["too-large"], "{open}");
    }
    let steps = repeated(1000, |depth| format!("{}a:\n", " ".repeat(depth)));
    assert_eq!(refused(&steps), ["too-large"]);
}

#[test]
fn many_zones_are_read_or_refused() {
    let zones = |count| {
        format!("{HEAD}zones:\n{}", repeated(count, |zone| format!("  z{zone}: {{{ZONE}}}\n")))
    };
    assert_eq!(timed(&zones(1000)).map(|study| study.base.zones.len()).ok(), Some(1000));
    assert_eq!(refused(&zones(10_000)), ["too-large"]);
}

#[test]
fn zones_that_hang_together_are_bounded() {
    let chain = |count: usize| {
        let zone = |zone: usize| {
            let next =
                if zone + 1 < count { format!("{{z{}: 5 W/K}}", zone + 1) } else { "{}".into() };
            let zone_text = ZONE.replace("40 m2", &format!("40 m2, neighbours: {next}"));
            format!("  z{zone}: {{{zone_text}}}\n")
        };
        format!("{HEAD}zones:\n{}", repeated(count, zone))
    };
    assert_eq!(timed(&chain(64)).map(|study| study.base.neighbours.len()).ok(), Some(63));
    assert_eq!(refused(&chain(65)), ["too-large"]);
}

#[test]
fn outdoor_units_without_end_are_refused() {
    let zones = repeated(1000, |zone| format!("  z{zone}: {{{ZONE}}}\n"));
    let table = "heating: [{outdoor: 8, capacity: 9 kW, cop: 3}]";
    let some = repeated(63, |zone| format!("z{}, ", 999 - zone));
    let units = repeated(20_000, |unit| match unit {
        0 => format!("  u0: {{zones: &some [{some}z936, z1000], {table}}}\n"),
        _ => format!("  u{unit}: {{zones: *some, {table}}}\n"),
    });
    let all = repeated(999, |zone| format!("z{zone}, "));
    let one = format!("  all: {{zones: [{all}z999], {table}}}\n");
    let text = |units: &str| format!("{HEAD}outdoor_units:\n{units}zones:\n{zones}");
    assert_eq!(refused(&text(&one)), ["outdoor-units"]);
    assert_eq!(refused(&text(&units)).first(), Some(&"outdoor-units"));
    let fewer = units.replace(", z1000]", ", z935]").replace("z936, z935", "z1000");
    assert_eq!(refused(&text(&fewer)).first(), Some(&"unknown-zone"));
}

#[test]
fn many_actions_are_read() {
    let line = |_| "  - {at: \"08:00\", zone: a, press: warmer, times: 1000}\n".to_owned();
    let text = format!("{HEAD}zones:\n  a: {{{ZONE}}}\nactions:\n{}", repeated(1000, line));
    assert_eq!(timed(&text).map(|study| study.base.actions.len()).ok(), Some(1_000_000));
    let wrong = |_| "  - {at: \"08:00\", zone: b, heat: 21}\n".to_owned();
    let text = format!("{HEAD}zones:\n  a: {{{ZONE}}}\nactions:\n{}", repeated(100_000, wrong));
    let faults = timed(&text).expect_err("no zone b");
    assert_eq!((faults.count(), faults.as_slice().len()), (100_000, 1000));
}

#[test]
fn many_variants_of_a_long_file_are_bounded() {
    let zones = repeated(300, |zone| format!("  z{zone}: {{{ZONE}}}\n"));
    let variants = repeated(5000, |name| format!("  v{name}: {{zones.*.controls.heat: 19}}\n"));
    let codes = refused(&format!("{HEAD}zones:\n{zones}variants:\n{variants}"));
    assert_eq!(codes, ["too-large"]);
}

#[test]
fn variants_with_many_actions_are_bounded_together() {
    let line =
        |_| "  - {every: day, at: \"08:00\", zone: a, press: warmer, times: 1000}\n".to_owned();
    let actions = repeated(900, line);
    let variants = "variants:\n  b: {seed: 2}\n  c: {seed: 3}\n  d: {seed: 4}\n";
    let text = format!("{HEAD}zones:\n  a: {{{ZONE}}}\nactions:\n{actions}{variants}");
    let study = timed(&text).unwrap_or_else(|faults| panic!("{faults}"));
    let read: Vec<bool> = study.variants.iter().map(|(_, model)| model.is_ok()).collect();
    assert_eq!(read, [true, true, false]);
}

#[test]
fn keys_that_stand_twice_are_found_without_end() {
    let names = repeated(50_000, |name| format!("k{name}: 1\n"));
    let faults = timed(&format!("{names}{names}")).expect_err("twice");
    assert!(faults.count() >= 100_000, "{} faults", faults.count());
}

#[test]
fn odd_texts_are_refused() {
    let long = "x".repeat(1 << 20);
    let texts = [
        String::new(),
        "\u{feff}".into(),
        "\0".into(),
        "~".into(),
        "?".into(),
        "- - - -".into(),
        "%YAML 9.9\n---\n".into(),
        "%TAG ! tag:a,b:\n--- !x {}\n".into(),
        "<<: {period: {from: 2025-04-16}}\n".into(),
        format!("{long}: {long}\n"),
        format!("period: {{from: {long}}}\n"),
        format!("title: \"{long}\n"),
        "zones: {a: {controls: {heat: 1e308, cool: -1e308}}}\n".into(),
        "zones: {a: {space: {floor: 1e400 m2, height: -0 m}}}\n".into(),
        "period: {from: 9999-99-99, days: 99999999999999999999}\n".into(),
        "period: {from: 2025-04-16, step: 9999999999999999999999 h}\n".into(),
        "seed: -1\n".into(),
        "seed: 18446744073709551616\n".into(),
    ];
    for text in texts {
        assert!(timed(&text).is_err(), "{:?}", text.chars().take(60).collect::<String>());
    }
}

fn sources() -> Vec<&'static str> {
    let units = [TemperatureUnit::Celsius, TemperatureUnit::Fahrenheit];
    let mut sources: Vec<&str> = units.into_iter().map(starter).collect();
    sources.push(include_str!("../good/everything.yaml"));
    sources.push(include_str!("../good/group.yaml"));
    sources
}

/// A place in a text, as a part of its length, and what to put there.
fn edits() -> impl Strategy<Value = Vec<(prop::sample::Index, Option<u8>, u8)>> {
    let bytes = prop::sample::select(b"{}[]:,-#&*!|>'\"%@` \n\t0\xff\xc30129.eE+dCF".to_vec());
    prop::collection::vec((any::<prop::sample::Index>(), prop::option::of(bytes), 0_u8..40), 1..6)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, ..ProptestConfig::default() })]

    /// Right files with bytes changed, put in or cut out: read or refused, and a refusal can be
    /// written out.
    #[test]
    fn changed_files_never_panic(source in 0_usize..4, edits in edits()) {
        let mut bytes = sources()[source].as_bytes().to_vec();
        for (at, byte, cut) in edits {
            let at = at.index(bytes.len().max(1)).min(bytes.len());
            match byte {
                Some(byte) => bytes.insert(at, byte),
                None => drop(bytes.drain(at..(at + usize::from(cut)).min(bytes.len()))),
            }
        }
        let text = String::from_utf8_lossy(&bytes);
        let open = |_: &str| Ok("time,temperature\n".to_owned());
        match read(&text, "changed.yaml", &open) {
            Ok(study) => prop_assert!(!study.base.zones.is_empty()),
            Err(faults) => {
                prop_assert!(faults.count() > 0 && !faults.to_string().is_empty());
                let json = serde_json::to_string(&faults);
                prop_assert!(json.is_ok());
            }
        }
    }

    /// Any text at all.
    #[test]
    fn any_text_never_panics(text in "\\PC{0,200}") {
        let _ = read(&text, "any.yaml", &|name| Err(name.to_owned())).map_err(|it| it.to_string());
    }

    /// A weather file of any text.
    #[test]
    fn any_weather_file_never_panics(rows in "[-0-9T:, \\n\"a]{0,200}") {
        let text = format!("{}zones: {{a: {{{ZONE}}}}}\n", HEAD.replace("{design_day: {high: 18, range: 11}}", "{csv: w.csv}"));
        let open = |_: &str| Ok(format!("time,temperature\n{rows}"));
        let faults = read(&text, "any.yaml", &open).err();
        prop_assert!(faults.is_none_or(|faults| faults.count() > 0));
    }
}
