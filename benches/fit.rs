//! A fortnight of minutes of one zone, fitted on one thread. The aim is ten seconds.

use std::fmt::Write as _;

use criterion::{Criterion, criterion_group, criterion_main};
use setband::engine::{Model, ZoneIndex};
use setband::log::LogTime;
use setband::scenario::read_beside;
use setband::study::fit::{Options, fit_zone};
use setband::study::{Keep, simulate};

fn scenario(room: &str, log: &str) -> String {
    format!(
        "period: {{from: 2025-01-13, days: 14}}\nweather: {{design_day: {{high: 5, range: 9}}}}\n{log}zones:\n  \
         hall: {{space: {{floor: 60 m2{room}}}, gains: {{from: \"08:00\", to: \"17:00\", power: 900 W}}, unit: \
         {{heating: 6 kW, control: staged}}, controls: {{heat: 20.5, cool: 26, occupancy: {{from: \"07:00\", to: \
         \"18:00\"}}, setback: {{heat: 4, cool: 4}}}}}}\n"
    )
}

/// What a recorder leaves of a run: a row a minute, temperatures to a tenth.
fn recorded(model: &Model) -> String {
    let midnight = LogTime::midnight(model.period.first());
    let mut text = "time,out,air,h,c,run,watts\n".to_owned();
    for row in simulate(model, Keep::Steps).rows {
        let running = row.served.map_or("none", setband::control::Direction::name);
        let _ = writeln!(
            text,
            "{},{:.2},{:.1},{},{},{running},{:.0}",
            midnight + row.at.get(),
            row.outdoor,
            row.sensed,
            row.heat,
            row.cool,
            row.electric_w
        );
    }
    text
}

fn fortnight(criterion: &mut Criterion) {
    let none = |_: &str| Err(String::new());
    let room = ", opaque: 95 W/K, air_capacity: 800 kJ/K, mass_capacity: 7000 kJ/K";
    let made = read_beside(&scenario(room, ""), "hall.yaml", &none).expect("a scenario").base;
    let log = recorded(&made).into_bytes();
    let block = "log: {file: days.csv, outdoor: out, electricity: watts, zones: {hall: {temperature: air, heat: h, \
                 cool: c, running: run}}}\n";
    let open = |_: &str| Ok(log.clone());
    let model = read_beside(&scenario("", block), "hall.yaml", &open).expect("a scenario").base;
    let site = model.log.clone().expect("it has one");
    let mut group = criterion.benchmark_group("fit");
    group.sample_size(10);
    group.bench_function("a fortnight of minutes of one zone, one thread", |bencher| {
        bencher.iter(|| {
            let fit = fit_zone(&model, &site, ZoneIndex::new(0), &Options::default());
            fit.expect("it can be fitted").draws.rows.len()
        });
    });
    group.finish();
}

criterion_group!(benches, fortnight);
criterion_main!(benches);
