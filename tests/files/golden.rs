//! Golden digests: the same file gives the same bytes, on every machine, in every build.
//!
//! A mismatch means that some output of a shipped scenario changed. That is a fault unless you
//! meant it: a change of a rule, of the physics, of a format or of a chart. Look at what changed
//! (run the scenario before and after, and compare the files), then renew the digests with
//!
//! ```text
//! SETBAND_RENEW=1 cargo test --test files golden
//! ```
//!
//! and say in the commit why the outputs are different. Where only one machine disagrees, a
//! result hangs on that machine: look for a function of the standard library's `f64` that rounds
//! as the system's mathematics does (use `libm`), for hash order, or for threads.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use setband::engine::{Model, run};
use setband::measures::{MONTHS_FROM_DAYS, MonthMeter};
use setband::report::chart::{StripsView, day_svg, group_svg, heatmap_svg};
use setband::report::{self, Run};
use setband::study::{Finished, Keep, simulate};
use sha2::{Digest, Sha256};

use crate::shipped;

/// Width of the charts, px: what the command line takes.
const CHART_WIDTH: u32 = 1000;

/// The bytes of the files of a run whose digests are kept. The PNG is drawn from the SVG.
fn outputs(model: &Model) -> Vec<(String, Vec<u8>)> {
    if model.period.days() >= MONTHS_FROM_DAYS {
        return outputs_of_months(model);
    }
    let finished = simulate(model, Keep::Steps);
    let run =
        Run { model, rows: &finished.rows, ledger: &finished.ledger, summary: &finished.summary };
    let summary = report::summary_json(run.summary).expect("a summary is JSON").into_bytes();
    let mut steps = report::StepsWriter::new(model, Vec::new()).expect("memory takes it");
    for row in run.rows {
        steps.row(row).expect("memory takes it");
    }
    let steps = steps.finish().expect("memory takes it");
    let ledger = report::ledger_csv(model, run.ledger).expect("memory takes it");
    let chart = day_svg(&run, CHART_WIDTH).expect("it can be drawn").into_bytes();
    let mut files = vec![
        ("summary.json".to_owned(), summary),
        ("steps.csv".to_owned(), steps),
        ("ledger.csv".to_owned(), ledger),
        ("day.svg".to_owned(), chart),
    ];
    for unit in 0..model.outdoor_units.len() {
        let view = StripsView::of_unit(model, unit);
        let chart = group_svg(&run, CHART_WIDTH, &view).expect("it can be drawn").into_bytes();
        files.push((format!("group-{}.svg", unit + 1), chart));
    }
    files
}

/// The same for a long run: its months, and hours in place of its steps, which would take longer to
/// write than to simulate.
fn outputs_of_months(model: &Model) -> Vec<(String, Vec<u8>)> {
    let mut meter = MonthMeter::new(model);
    run(model, &mut meter);
    let months = report::months_csv(&meter.months()).expect("memory takes it");
    let finished = simulate(model, Keep::Hours);
    let shown = Keep::Hours.shown(model.clone());
    let Finished { summary, rows, ledger, .. } = &finished;
    let run = Run { model: &shown, rows, ledger, summary };
    let map = heatmap_svg(&run, CHART_WIDTH, 0).expect("it can be drawn").into_bytes();
    let named = [
        ("summary.json", report::summary_json(summary).expect("a summary is JSON").into_bytes()),
        ("ledger.csv", report::ledger_csv(model, ledger).expect("memory takes it")),
        ("months.csv", months),
        ("heatmap.svg", map),
        ("day.svg", day_svg(&run, CHART_WIDTH).expect("it can be drawn").into_bytes()),
    ];
    named.map(|(name, bytes)| (name.to_owned(), bytes)).into()
}

fn hexadecimal(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::new(), |mut text, byte| {
        write!(text, "{byte:02x}").expect("text takes it");
        text
    })
}

/// One line a file: digest, scenario, variant, file.
fn digests() -> String {
    let mut text = String::new();
    for stem in shipped::stems() {
        let study = shipped::study(&stem);
        let names = study.variants.iter().map(|(name, _)| Some(name.as_str()));
        for variant in std::iter::once(None).chain(names) {
            for (file, bytes) in outputs(&shipped::model(&study, variant)) {
                let variant = variant.unwrap_or("-");
                writeln!(text, "{} {stem} {variant} {file}", hexadecimal(&bytes))
                    .expect("text takes it");
            }
        }
    }
    text
}

fn kept() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/digests.txt")
}

#[test]
fn every_output_has_the_bytes_that_it_had() {
    let found = digests();
    if std::env::var_os("SETBAND_RENEW").is_some_and(|value| value == "1") {
        std::fs::write(kept(), &found).expect("the digests can be written");
        return;
    }
    let kept = std::fs::read_to_string(kept()).expect("the digests are there");
    let (found, kept): (Vec<&str>, Vec<&str>) = (found.lines().collect(), kept.lines().collect());
    let changed: Vec<&str> = found
        .iter()
        .filter(|it| !kept.contains(it))
        .map(|it| it.split_once(' ').map_or("", |it| it.1))
        .collect();
    assert!(
        changed.is_empty() && found.len() == kept.len(),
        "{} outputs kept, {} found; changed, as the head of tests/golden.rs explains: {changed:#?}",
        kept.len(),
        found.len()
    );
}

#[test]
fn a_second_run_gives_the_same_bytes() {
    for stem in shipped::stems() {
        let model = shipped::study(&stem).base;
        for ((file, once), (_, twice)) in outputs(&model).iter().zip(outputs(&model)) {
            assert!(*once == twice, "{file} of {stem} differs from run to run");
        }
    }
}
