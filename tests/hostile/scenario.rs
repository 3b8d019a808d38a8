//! Mutated scenarios and random valid ones.

use std::fmt::Write as _;
use std::fs;
use std::path::Path;

use setband::scenario::read;
use setband::study::{check, explain};
use setband::time::Instant;

use super::draw::{Draw, campaign};
use super::invariants::hold;

fn shipped() -> Vec<String> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut texts = Vec::new();
    for folder in ["scenarios", "tests/good", "tests/planted"] {
        for entry in fs::read_dir(root.join(folder)).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.extension().is_some_and(|it| it == "yaml") {
                texts.push(fs::read_to_string(path).expect("a text"));
            }
        }
    }
    texts
}

/// Whatever the text: faults with a place and a remedy, or a model whose run keeps what must hold.
#[test]
fn mutated_scenarios_are_faults_or_run_right() {
    let texts = shipped();
    let bytes: Vec<&[u8]> = texts.iter().map(String::as_bytes).collect();
    campaign("mutated scenarios", 6000, |draw| {
        let text = *draw.one(&bytes);
        let mutated = draw.mutated(text, &bytes);
        let Ok(text) = String::from_utf8(mutated) else { return };
        let none = |_: &str| Err("there is no such file".to_owned());
        match read(&text, "mutated.yaml", &none) {
            Err(faults) => {
                assert!(faults.count() > 0);
                for fault in faults.as_slice() {
                    assert!(!fault.message.is_empty() && !fault.remedy.is_empty(), "{fault:?}");
                }
                assert!(faults.to_string().len() < 200_000, "a message is no flood");
            }
            Ok(study) => {
                check(&study, &study.base, None);
                hold(&study.base);
            }
        }
    });
}

/// Scenarios that are right by their making, with settings from all over their ranges.
#[test]
fn random_scenarios_run_right() {
    campaign("random scenarios", 600, |draw| {
        let text = random(draw);
        let none = |_: &str| Err("it names no files".to_owned());
        let study = read(&text, "random.yaml", &none).unwrap_or_else(|it| panic!("{it}\n{text}"));
        hold(&study.base);
        let at = Instant::new(60 * i64::try_from(draw.below(1440)).expect("a minute"));
        assert_eq!(explain(&study.base, at).zones.len(), study.base.zones.len());
    });
}

/// A day of one to four zones, some of them on an outdoor unit.
fn random(draw: &mut Draw) -> String {
    let step = draw.one(&["5 min", "10 min", "15 min", "1 h"]);
    let (high, range) = (draw.between(-15.0, 38.0), draw.between(1.0, 18.0));
    let mut text = format!(
        "period: {{from: 2025-0{}-15, step: {step}}}\nweather: {{design_day: {{high: {high:.1}, range: \
         {range:.1}}}}}\nzones:\n",
        draw.below(9) + 1
    );
    let count = draw.below(4) + 1;
    let shared = count > 1 && draw.chance(50);
    let deadband = *draw.one(&[0.0, 1.0, 2.0, 3.5]);
    for zone in 0..count {
        text.push_str(&random_zone(draw, zone, deadband, shared));
    }
    if shared {
        let zones: Vec<String> = (0..count).map(|zone| format!("z{zone}")).collect();
        let policy = match draw.below(3) {
            0 => "simultaneous: true".to_owned(),
            1 => format!("mode_policy: owner\n  owner: z{}", draw.below(count)),
            _ => format!("mode_policy: {}", draw.one(&["first_call", "majority", "largest_error"])),
        };
        let _ = write!(
            text,
            "outdoor_unit:\n  zones: [{}]\n  {policy}\n  heating: [{{outdoor: -10, capacity: 4 kW, cop: \
             2.2}}, {{outdoor: 10, capacity: 7 kW, cop: 4}}]\n  cooling: [{{outdoor: 20, capacity: 6 kW, \
             cop: 5}}, {{outdoor: 40, capacity: 4 kW, cop: 2.5}}]\n",
            zones.join(", ")
        );
    }
    text.push_str("actions:\n");
    for _ in 0..draw.below(12) {
        let (hour, minute) = (draw.below(24), draw.below(60));
        let press = draw.one(&["warmer", "cooler", "mode", "power"]);
        let zone = draw.below(count);
        let at = format!("{hour:02}:{minute:02}");
        let _ = writeln!(text, "  - {{at: \"{at}\", zone: z{zone}, press: {press}}}");
    }
    if text.ends_with("actions:\n") {
        text.truncate(text.len() - "actions:\n".len());
    }
    text
}

fn random_zone(draw: &mut Draw, zone: usize, deadband: f64, shared: bool) -> String {
    let heat = 16.0 + 0.5 * draw.below(14) as f64;
    let cool = heat + deadband.max(0.5 * draw.below(12) as f64);
    let cool = if deadband == 0.0 { heat } else { cool };
    let control = draw.one(&["modulating", "staged"]);
    let conflict = draw.one(&["push", "hold", "push_and_return"]);
    let capacity = draw.between(1.0, 8.0);
    let occupancy = draw.one(&[
        "",
        ", occupancy: {from: \"08:00\", to: \"18:00\"}, setback: {heat: 3, cool: 3}",
        ", auto_off: \"3 h\"",
        ", low_limit: 12",
    ]);
    let pair = if deadband == 0.0 {
        format!("heat: {heat}, cool: {heat}")
    } else {
        format!("heat: {heat}, cool: {cool}")
    };
    let cop = if shared { "" } else { ", cop: {heating: 3, cooling: 3.2}" };
    format!(
        "  z{zone}:\n    space: {{floor: {:.0} m2}}\n    unit: {{heating: {capacity:.1} kW, cooling: \
         {capacity:.1} kW, control: {control}{cop}}}\n    controls: {{{pair}, min_deadband: {deadband}, \
         on_conflict: {conflict}{occupancy}}}\n    gains: {{from: \"09:00\", to: \"17:00\", power: {:.0} \
         W}}\n",
        draw.between(12.0, 200.0),
        draw.between(0.0, 3000.0),
    )
}
