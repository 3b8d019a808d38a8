//! How many states a second `reach` explores on one core: a million or more is the aim.
//!
//! `cargo bench --profile dist --bench reach`

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use setband::engine::{Model, ZoneIndex};
use setband::scenario::read;
use setband::study::reach::{Claim, MOST_STATES, Presser, explore_states};

/// The finest steps with the widest limits: the most states that a file is likely to have.
const FINE: &str = "
period: {from: 2025-04-16}
weather: {design_day: {high: 18, range: 11}}
zones:
  hall:
    space: {floor: 60 m2}
    unit: {heating: 6 kW, cooling: 5 kW}
    controls: {heat: 20, cool: 24, setpoint_step: 0.1, min_deadband: 1, on_conflict: push_and_return}
";

fn model() -> Model {
    read(FINE, "fine.yaml", &|_| Err(String::new())).expect("a sound file").base
}

fn states(criterion: &mut Criterion) {
    let model = model();
    let presser = Presser::new(&model, ZoneIndex::new(0));
    let claims = [Claim::parse("cool - heat >= 1").expect("a claim")];
    let explored = || explore_states(&presser, &claims, MOST_STATES, &mut |_| {});
    let mut group = criterion.benchmark_group("reach");
    group.throughput(Throughput::Elements(explored() as u64));
    group.sample_size(10);
    group.bench_function("states", |bencher| bencher.iter(explored));
    group.finish();
}

criterion_group!(benches, states);
criterion_main!(benches);
