//! How long a log takes to be read, and to be held against its settings.
//!
//! `cargo bench --profile dist --bench logs`: 500,000 rows of a wide table, which are to take less than
//! 2 s, and the audit of a fortnight of minutes of one zone, which is to take less than 1 s.

use std::fmt::Write as _;
use std::hint::black_box;
use std::sync::Arc;

use criterion::{Criterion, criterion_group, criterion_main};
use setband::engine::Model;
use setband::log::LogTime;
use setband::scenario::read_beside;
use setband::study::audit::audit;

const FORTNIGHT: i64 = 14 * 24 * 60;
const MANY: i64 = 500_000;

/// Minutes of a room that is heated to 20 from 19.5 on, with a setback at night.
fn log(minutes: i64) -> String {
    let mut out = "time,out,air,heat,cool,mode,power,run\n".to_owned();
    let start = LogTime::midnight(jiff::civil::date(2025, 1, 6));
    let (mut air, mut runs) = (19.8_f64, false);
    for minute in 0..minutes {
        let day = (minute % 1440) as f64 / 1440.0;
        let outdoor = 2.0 + 4.0 * libm::sin(day * std::f64::consts::TAU);
        let there = (480..1080).contains(&(minute % 1440));
        let (heat, cool) = if there { (20.0, 24.0) } else { (17.0, 27.0) };
        runs = if runs { air < heat } else { air <= heat - 0.5 };
        air += if runs { 0.06 } else { 0.0 } - (air - outdoor) * 0.000_8;
        let run = if runs { "heating" } else { "none" };
        let at = start + minute * 60;
        let _ = writeln!(out, "{at},{outdoor:.1},{air:.1},{heat},{cool},auto,on,{run}");
    }
    out
}

fn model(log: &Arc<[u8]>) -> Model {
    let text = "period: {from: 2025-01-06, days: 14}\nweather: {design_day: {high: 6, range: \
                8}}\nlog: {file: log.csv, outdoor: out, zones: {hall: {temperature: air, heat: heat, \
                cool: cool, mode: mode, power: power, running: run}}}\nzones:\n  hall:\n    space: \
                {floor: 60 m2}\n    unit: {heating: 6 kW, cooling: 5 kW}\n    controls: {heat: 20, \
                cool: 24, min_deadband: 2, call_start: 0.5, occupancy: {from: \"08:00\", to: \
                \"18:00\"}, setback: {heat: 3, cool: 3}}\n";
    let study = read_beside(text, "hall.yaml", &|_| Ok(log.to_vec()));
    study.expect("a sound file").base
}

fn logs(criterion: &mut Criterion) {
    let many: Arc<[u8]> = log(MANY).into_bytes().into();
    let mut group = criterion.benchmark_group("logs");
    group.sample_size(10);
    group.bench_function("read 500,000 rows", |bencher| bencher.iter(|| black_box(model(&many))));
    let fortnight: Arc<[u8]> = log(FORTNIGHT).into_bytes().into();
    let model = model(&fortnight);
    let site = model.log.clone().expect("there is one");
    group.bench_function("audit a fortnight of minutes", |bencher| {
        bencher.iter(|| black_box(audit(&model, &site)));
    });
    group.finish();
}

criterion_group!(benches, logs);
criterion_main!(benches);
