//! The logs beside the shipped scenarios: runs of ours under settings that partly differ from those of
//! the file, recorded as sites record. What they lead to stands in the files' comments.
//!
//! `SETBAND_RENEW=1 cargo test --test study site::shipped_logs` writes them anew.

use std::fmt::Write as _;
use std::fs;
use std::path::{Path, PathBuf};

use setband::engine::{Model, StepRow, ZoneIndex};
use setband::log::LogTime;
use setband::report::{Audited, audit_json};
use setband::scenario::load_template;
use setband::study::audit::{Audit, Weight, audit};
use setband::study::replay::Rerun;
use setband::study::why::{Answer, Felt, Remedy, Scene, remedies, why};
use setband::study::{Keep, simulate};
use setband::time::Instant;

use super::maker::{Dice, read};
use crate::shipped;

/// A log: the scenario, what its run has besides and otherwise, its columns by zone, its seed.
struct Made {
    stem: &'static str,
    days: &'static str,
    otherwise: &'static [(&'static str, &'static str)],
    outdoor: &'static str,
    zones: &'static [&'static str],
    watts: Option<&'static str>,
    seed: u64,
}

const LOFT: Made = Made {
    stem: "net_loft",
    days: "period: {from: 2025-11-10, days: 4}\nweather: {design_day: {high: 7, range: 8}}\nactions:\n  - \
           {at: \"d3 12:50\", zone: loft, by: mender, cool: 22.5}\n  - {at: \"d3 15:40\", zone: loft, by: \
           mender, cool: 24.5}\n",
    otherwise: &[("call_start: 0.5", "call_start: 1.2"), ("min_deadband: 3", "min_deadband: 2")],
    outdoor: "quay_air",
    zones: &["loft"],
    watts: Some("unit_w"),
    seed: 1921,
};

const WALK: Made = Made {
    stem: "ropewalk",
    days: "period: {from: 2025-04-08, days: 2}\nweather: {design_day: {high: 13, range: 8}}\n",
    otherwise: &[],
    outdoor: "yard_air",
    zones: &["walk", "house"],
    watts: None,
    seed: 2718,
};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios")
}

impl Made {
    /// The file without its log, with the days, weather and settings of the site.
    fn truth(&self) -> Model {
        let path = folder().join(self.stem).with_extension("yaml");
        let text = fs::read_to_string(path).expect("it is shipped");
        let (before, rest) = text.split_once("\nlog:\n").expect("it names a log");
        let (_, after) = rest.split_once("\n\n").expect("a blank line ends the block");
        let mut text = format!("{before}\n{}{after}", self.days);
        for (from, to) in self.otherwise {
            assert!(text.contains(from), "{from}");
            text = text.replace(from, to);
        }
        read(&text, b"")
    }

    /// Every five minutes, in tenths of a degree, with a little noise.
    fn recorded(&self) -> String {
        let model = self.truth();
        let rows = simulate(&model, Keep::Steps).rows;
        let mut out = format!("stamp,{}", self.outdoor);
        for zone in self.zones {
            let points = ["air", "heat", "cool", "mode", "power", "run"];
            let named = points.iter().filter(|it| **it != "power" || self.watts.is_some());
            for point in named {
                let _ = write!(out, ",{zone}_{point}");
            }
        }
        out += &self.watts.map(|name| format!(",{name}")).unwrap_or_default();
        out.push('\n');
        let mut dice = Dice(self.seed);
        let midnight = LogTime::midnight(model.period.first());
        for step in rows.chunks(self.zones.len()).filter(|step| step[0].at.get() % 300 == 0) {
            let _ = write!(out, "{},{:.1}", midnight + step[0].at.get(), step[0].outdoor);
            for row in step {
                self.write(&mut out, row, dice.between(-0.04, 0.04));
            }
            if self.watts.is_some() {
                let _ = write!(out, ",{:.0}", step.iter().map(|row| row.electric_w).sum::<f64>());
            }
            out.push('\n');
        }
        out
    }

    fn write(&self, out: &mut String, row: &StepRow, noise: f64) {
        let runs = row.served.map_or("none", setband::control::Direction::name);
        let (air, mode) = (row.sensed + noise, row.mode.name());
        let power = self.watts.map(|_| format!(",{}", row.power.name())).unwrap_or_default();
        let _ = write!(out, ",{air:.1},{},{},{mode}{power},{runs}", row.heat, row.cool);
    }

    fn audit(&self) -> Audit {
        let model = shipped::study(self.stem).base;
        let site = model.log.clone().expect("it names a log");
        let found = audit(&model, &site);
        let audited = Audited { model: &model, site: &site, audit: &found };
        assert!(audit_json(&audited).is_ok_and(|json| json.contains("cannot_say")));
        found
    }

    /// The answer to a complaint at a time after the first midnight, with what would have helped.
    fn complaint(&self, zone: &str, at: i64) -> (Answer, Vec<Remedy>) {
        let model = shipped::study(self.stem).base;
        let site = model.log.clone().expect("it names a log");
        let place = model.zones.iter().position(|it| it.id == zone).expect("a zone");
        let zone = ZoneIndex::new(place);
        let moment = LogTime::midnight(model.period.first()) + at;
        let scene = Scene::of_log(&model, &site, zone, moment).expect("it is recorded");
        let answer = why(&scene, Felt::Cold).expect("it is recorded");
        let path = folder().join(self.stem).with_extension("yaml");
        let template = load_template(&path, None, &model.almanac).expect("it is read");
        let at = (zone, Instant::new(at));
        let days = Rerun::of(&model, &site).expect("its days are logged");
        let causes = &answer.causes;
        let (helped, _) = remedies(&template, &model, at, Felt::Cold, causes, Some(&days));
        (answer, helped)
    }
}

#[test]
fn the_logs_are_what_the_runs_leave() {
    let renew = std::env::var_os("SETBAND_RENEW").is_some_and(|value| value == "1");
    for made in [LOFT, WALK] {
        let path = folder().join("logs").join(made.stem).with_extension("csv");
        let log = made.recorded();
        if renew {
            fs::create_dir_all(folder().join("logs")).expect("a folder");
            fs::write(&path, &log).expect("written");
        }
        let kept = fs::read_to_string(&path).unwrap_or_default();
        assert!(kept == log, "{}: see the head of this file", made.stem);
    }
}

#[test]
fn the_loft_is_cold_in_the_morning_for_a_recovery_that_begins_too_late() {
    let (answer, helped) = LOFT.complaint("loft", (24 + 7) * 3600 + 2700);
    assert_eq!(answer.causes[0].code, "recovery", "{answer:#?}");
    assert!(answer.answer.starts_with("Net loft was cold at "), "{}", answer.answer);
    let paths: Vec<&str> =
        helped.iter().flat_map(|it| &it.changes).map(|(path, _)| path.as_str()).collect();
    for path in ["setback.heat", "occupancy.optimum_start"] {
        let path = format!("zones.loft.controls.{path}");
        assert!(paths.contains(&path.as_str()), "{helped:?}");
    }
    let found = LOFT.audit();
    let wrong: Vec<&str> = found
        .findings
        .iter()
        .filter(|it| it.weight == Weight::Contradiction)
        .map(|it| it.code)
        .collect();
    assert!(
        wrong.contains(&"hysteresis_differs") && wrong.contains(&"band_too_narrow"),
        "{wrong:?}"
    );
    assert_eq!(wrong.len(), 2, "{wrong:?}");
}

#[test]
fn the_counting_house_is_cold_because_the_walk_decides() {
    let (answer, helped) = WALK.complaint("counting_house", (24 + 11) * 3600 + 1800);
    assert_eq!(answer.causes[0].code, "group_direction", "{answer:#?}");
    assert!(answer.answer.contains("Ropewalk"), "{}", answer.answer);
    assert_eq!(helped[0].changes[0], ("outdoor_unit.owner".into(), "counting_house".into()));
    let found = WALK.audit();
    let starved = found.findings.iter().find(|it| it.code == "starved").expect("it waits");
    assert_eq!(starved.zone.as_deref(), Some("counting_house"));
    assert!(starved.minutes > 120.0, "{}", starved.message);
    assert!(!found.contradicts(), "{:#?}", found.findings);
}
