//! How many zone-steps a second and core: one case alone, cases of a sweep side by side, and the
//! loop written by hand. And how much two cores add to a whole sweep.
//!
//! `cargo bench --profile dist --bench sweep`; the number that counts is the median. With
//! `RUSTFLAGS="-C target-cpu=native"` the loop by hand may use all that the processor has, as the
//! engine does without being told.

#[allow(dead_code, reason = "the bench of years compares all figures")]
#[path = "year/by_hand.rs"]
mod by_hand;
#[allow(dead_code, reason = "shared with the tests, which use more of it")]
#[path = "../tests/rig/mod.rs"]
mod rig;
#[allow(dead_code, reason = "shared with the bench of years, which uses more of it")]
#[path = "year/workload.rs"]
mod workload;

use std::hint::black_box;
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed};
use std::time::Duration;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use setband::engine::{Case, Model, run_together, share};
use setband::measures::{Meter, Summary};
use setband::scenario::Template;
use setband::study::sweep::{Axis, CaseOutcome, Sampling, SweepPlan, SweepRun, run};

/// As many cases as a sweep runs side by side on a core.
const CASES: usize = 32;
const STEPS: u64 = 365 * 1440;

/// The year of one office under settings that differ.
fn cases() -> Vec<Model> {
    let case = |number: usize| {
        workload::year_with(|given| {
            given.heat -= 0.5 * (number % 8) as f64;
            given.cool += 0.5 * (number / 8) as f64;
        })
    };
    (0..CASES).map(case).collect()
}

fn side_by_side(models: &[Model]) -> Vec<Summary> {
    let mut cases: Vec<_> =
        models.iter().map(|model| Case::new(model, Meter::new(model))).collect();
    share(&mut cases);
    run_together(&mut cases);
    cases.into_iter().map(Case::finish).map(|(meter, days)| meter.summary(days)).collect()
}

fn zone_steps(criterion: &mut Criterion) {
    let models = cases();
    let mut group = criterion.benchmark_group("zone-steps");
    group.sample_size(10).measurement_time(Duration::from_secs(8));
    group.throughput(Throughput::Elements(CASES as u64 * STEPS));
    group.bench_function("by hand", |bench| {
        bench.iter(|| {
            models.iter().map(|model| by_hand::year(black_box(model))).collect::<Vec<_>>()
        });
    });
    group.bench_function("one case after the other", |bench| {
        bench.iter(|| -> Vec<Summary> {
            black_box(&models).chunks(1).flat_map(side_by_side).collect()
        });
    });
    group.bench_function("side by side", |bench| {
        bench.iter(|| side_by_side(black_box(&models)));
    });
    group.finish();
}

/// An office for three months; its envelope varies.
const OFFICE: &str = "
period: {from: 2025-03-01, days: 92}
weather: {design_day: {high: 14, range: 9}}
zones:
  office:
    space: {floor: 80 m2, ventilation: {rate: 90 m3/h, from: \"07:30\", to: \"18:00\"}}
    gains: {from: \"08:30\", to: \"17:30\", power: 700 W}
    unit: {heating: 4 kW, cooling: 4 kW, fan: 60 W}
    controls:
      heat: 20
      cool: 24
      sensor: {lag: 4 min, resolution: 0.1}
      occupancy: {from: \"08:00\", to: \"18:00\"}
      setback: {heat: 3, cool: 3}
tariff: {price: 0.25, currency: shells}
";
/// So many of them: four batches for each of two cores.
const SWEPT: usize = 128;

/// A whole sweep but for its files, from the texts of the settings on.
fn sweep_on(threads: usize, template: &Template, plan: &SweepPlan) -> usize {
    let settings = plan.all_settings();
    let study = SweepRun::new(plan, template, &settings);
    let (threads, finished) = (NonZeroUsize::new(threads).expect("some"), AtomicUsize::new(0));
    run(&study, &|_| true, threads, &AtomicBool::new(false), &|_, outcome| {
        finished.fetch_add(usize::from(matches!(outcome, CaseOutcome::Ran { .. })), Relaxed);
    });
    finished.into_inner()
}

fn cores(criterion: &mut Criterion) {
    let no_files = Box::new(|_: &str| Err("no files".to_owned()));
    let template = Template::read(OFFICE, "office.yaml", no_files, None).expect("right");
    let axis = Axis::parse("zones.office.space.opaque=41..168:1 W/K").expect("values");
    let plan = SweepPlan {
        axes: vec![axis],
        sampling: Sampling::Grid,
        varied: Vec::new(),
        draws: 1,
        seed: 1,
    };
    let mut group = criterion.benchmark_group("a sweep on so many cores");
    group.sample_size(10).measurement_time(Duration::from_secs(8));
    group.throughput(Throughput::Elements(SWEPT as u64 * 92 * 1440));
    for threads in [1, 2] {
        assert_eq!(sweep_on(threads, &template, &plan), SWEPT);
        group.bench_function(threads.to_string(), |bench| {
            bench.iter(|| sweep_on(threads, &template, black_box(&plan)));
        });
    }
    group.finish();
}

criterion_group!(benches, zone_steps, cores);
criterion_main!(benches);
