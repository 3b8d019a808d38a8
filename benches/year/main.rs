//! How long runs take: a zone for a year beside a loop written by hand, many zones, coupled zones,
//! and a day with all its files.
//!
//! `cargo bench --profile dist --bench year`; the number that counts is the median. With
//! `RUSTFLAGS="-C target-cpu=native"` the loop by hand may use all that the processor has, as the
//! engine does without being told.

mod by_hand;
#[allow(dead_code, reason = "shared with the tests, which use more of it")]
#[path = "../../tests/rig/mod.rs"]
mod rig;
#[allow(dead_code, reason = "shared with the bench of sweeps, which uses more of it")]
mod workload;

use std::hint::black_box;
use std::time::Duration;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use setband::engine::Model;
use setband::report::{ledger_csv, steps_csv, summary_json};
use setband::study::{Keep, simulate};

use by_hand::Figures;

/// The loop by hand must come to the figures of the engine, or it is no measure of it.
fn assert_same_work(model: &Model) {
    let summary = simulate(model, Keep::Nothing).summary;
    let (zone, energy) = (&summary.zones[0].1, &summary.energy);
    let engine = Figures {
        heat: energy.heat_delivered_kwh,
        cold: energy.heat_removed_kwh,
        electric: energy.total_kwh,
        outside_hours: zone.hours_outside_band,
        starts: zone.unit_starts,
        changeovers: zone.changeovers,
        mean: zone.temperature.mean,
    };
    let hand = by_hand::year(model);
    let close = |one: f64, other: f64| (one - other).abs() <= 1e-9 * one.abs().max(1.0);
    let same = close(engine.heat, hand.heat)
        && close(engine.cold, hand.cold)
        && close(engine.electric, hand.electric)
        && close(engine.outside_hours, hand.outside_hours)
        && close(engine.mean, hand.mean)
        && (engine.starts, engine.changeovers) == (hand.starts, hand.changeovers);
    assert!(same && engine.changeovers > 10, "{engine:?} {hand:?}");
}

fn zone_year(criterion: &mut Criterion) {
    let model = workload::year(1);
    assert_same_work(&model);
    let mut group = criterion.benchmark_group("zone-year");
    group.throughput(Throughput::Elements(365 * 1440));
    group.bench_function("engine", |bench| {
        bench.iter(|| simulate(black_box(&model), Keep::Nothing));
    });
    group.bench_function("by hand", |bench| bench.iter(|| by_hand::year(black_box(&model))));
    group.finish();
}

fn many_zones(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("many");
    group.sample_size(10).measurement_time(Duration::from_secs(20));
    let lone = workload::year(64);
    group.throughput(Throughput::Elements(64 * 365 * 1440));
    group.bench_function("64 lone zones", |bench| {
        bench.iter(|| simulate(black_box(&lone), Keep::Nothing));
    });
    let coupled = workload::coupled_group(16);
    group.throughput(Throughput::Elements(16 * 365 * 1440));
    group.bench_function("16 coupled zones in a group", |bench| {
        bench.iter(|| simulate(black_box(&coupled), Keep::Nothing));
    });
    group.finish();
}

fn day_with_files(criterion: &mut Criterion) {
    let model = workload::day(4);
    criterion.bench_function("day of four zones with its files", |bench| {
        bench.iter(|| {
            let finished = simulate(black_box(&model), Keep::Steps);
            let steps = steps_csv(&model, &finished.rows).expect("a vector takes everything");
            let ledger = ledger_csv(&model, &finished.ledger).expect("a vector takes everything");
            (steps, ledger, summary_json(&finished.summary))
        });
    });
}

criterion_group!(benches, zone_year, many_zones, day_with_files);
criterion_main!(benches);
