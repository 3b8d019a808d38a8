//! A week of four zones, replayed with a hundred draws on one thread. The aim is ten seconds.

use std::fmt::Write as _;
use std::num::NonZeroUsize;

use criterion::{Criterion, criterion_group, criterion_main};
use setband::engine::Model;
use setband::log::LogTime;
use setband::scenario::{Override, Template, read_beside};
use setband::study::replay::{Asked, Days, replay};
use setband::study::{Keep, simulate};

const ZONES: usize = 4;
const DRAWS: usize = 100;

fn scenario(log: &str) -> String {
    let mut text = format!(
        "period: {{from: 2025-01-13, days: 7}}\nweather: {{design_day: {{high: 5, range: 7}}}}\n{log}zones:\n"
    );
    for zone in 0..ZONES {
        let _ = writeln!(
            text,
            "  room_{zone}: {{space: {{floor: 40 m2, opaque: 50 W/K}}, gains: {{power: 200 W}}, unit: \
             {{heating: 3 kW, control: staged}}, controls: {{heat: 20, cool: 25}}}}"
        );
    }
    text
}

/// What a recorder leaves of a run: a row a minute, a column of each kind for each zone.
fn recorded(model: &Model) -> String {
    let midnight = LogTime::midnight(model.period.first());
    let mut text = "time,out,watts".to_owned();
    for zone in 0..ZONES {
        let _ = write!(text, ",a{zone},h{zone},c{zone},r{zone}");
    }
    for rows in simulate(model, Keep::Steps).rows.chunks(ZONES) {
        let watts: f64 = rows.iter().map(|row| row.electric_w).sum();
        let _ = write!(text, "\n{},{:.2},{watts:.0}", midnight + rows[0].at.get(), rows[0].outdoor);
        for row in rows {
            let running = row.served.map_or("none", setband::control::Direction::name);
            let _ = write!(text, ",{:.2},{},{},{running}", row.sensed, row.heat, row.cool);
        }
    }
    text + "\n"
}

fn week(criterion: &mut Criterion) {
    let none = |_: &str| Err(String::new());
    let made = read_beside(&scenario(""), "week.yaml", &none).expect("a scenario").base;
    let log = recorded(&made);
    let mut block = "log: {file: week.csv, outdoor: out, electricity: watts, zones: {".to_owned();
    for zone in 0..ZONES {
        let _ = write!(
            block,
            "room_{zone}: {{temperature: a{zone}, heat: h{zone}, cool: c{zone}, running: r{zone}}}, "
        );
    }
    let text = scenario(&(block + "}}\n"));
    let open = move |_: &str| Ok(log.clone().into_bytes());
    let template = Template::read_beside(&text, "week.yaml", Box::new(open), None).expect("a file");
    let days = |number: usize| {
        let value = format!("{} W/K", 48.0 + 0.04 * number as f64);
        let change = Override::new("zones.*.space.opaque", &value)?;
        let logged = template.model(&[change]).map_err(|it| it.to_string())?;
        Ok(Days { logged, variants: Vec::new() })
    };
    let own = days(50).expect("it fits");
    let mut group = criterion.benchmark_group("replay");
    group.sample_size(10);
    group.bench_function("a week of 4 zones, 100 draws, one thread", |bencher| {
        bencher.iter(|| {
            let found = replay(&own, (DRAWS, &days), &Asked::default(), NonZeroUsize::MIN);
            found.expect("it can be").variants.len()
        });
    });
    group.finish();
}

criterion_group!(benches, week);
criterion_main!(benches);
