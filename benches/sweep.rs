//! How many zone-steps a second and core: one case alone, cases of a sweep side by side, and the
//! loop written by hand.
//!
//! `cargo bench --bench sweep`; the number that counts is the median.

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
use std::time::Duration;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use setband::engine::{Case, Model, run_together, share};
use setband::measures::{Meter, Summary};

/// As many cases as a sweep runs side by side on a core.
const CASES: usize = 16;
const STEPS: u64 = 365 * 1440;

/// The year of one office under settings that differ.
fn cases() -> Vec<Model> {
    let case = |number: usize| workload::year_with(|given| given.heat -= 0.5 * number as f64);
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

criterion_group!(benches, zone_steps);
criterion_main!(benches);
