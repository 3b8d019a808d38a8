//! How long `infer` takes for 10,000 rows, the most that a table may have.
//!
//! `cargo bench --profile dist --bench infer`: a record of a device, one with slips of the pen, one of
//! limits that nobody came near, and one that no device can have written.

use std::fmt::Write as _;

use criterion::{Criterion, criterion_group, criterion_main};
use setband::control::{ControllerIndex, Direction, Key};
use setband::engine::{Model, ZoneIndex};
use setband::scenario::read;
use setband::study::infer::{Record, infer, read_record};
use setband::study::sheet::{Bench, Deed, Place, Reading};

const ROWS: usize = 10_000;
const HEAD: &str =
    "action,times,read_heat,read_cool,read_mode,read_power,read_running,read_refused\n";

fn model(controls: &str) -> Model {
    let text = format!(
        "period: {{from: 2025-04-16}}\nweather: {{design_day: {{high: 18, range: 11}}}}\nzones:\n  \
         hall:\n    space: {{floor: 60 m2}}\n    unit: {{heating: 6 kW, cooling: 5 kW}}\n    \
         controls: {{{controls}}}\n"
    );
    read(&text, "hall.yaml", &|_| Err(String::new())).expect("a sound file").base
}

fn cells(read: &Reading, slip: f64) -> String {
    let refused = read.refused.map_or("", |it| if it { "yes" } else { "no" });
    format!(
        "{},{},{},{},{},{refused}",
        read.heat + slip,
        read.cool,
        read.mode.name(),
        read.power.name(),
        read.running.map_or("none", Direction::name),
    )
}

/// What a device with these controls shows at presses of up to `most` at a time; every so many rows
/// a heat setpoint is written down wrong.
fn of_a_device(controls: &str, most: u64, slips: usize) -> Record {
    let model = model(controls);
    let bench = Bench::new(&model, &[20.0]).expect("a bench");
    let mut rig = bench.rig();
    let place = Place { zone: ZoneIndex::new(0), controller: ControllerIndex::new(0) };
    let mut table = HEAD.to_owned();
    let mut choice = 88_172_645_463_325_252_u64;
    for row in 0..ROWS {
        choice ^= choice << 13;
        choice ^= choice >> 7;
        choice ^= choice << 17;
        let key = match (choice >> 20) % 9 {
            0 => Key::Mode,
            pick if pick % 2 == 0 => Key::Warmer,
            _ => Key::Cooler,
        };
        let times = if key == Key::Mode { 1 } else { 1 + (choice >> 32) % most };
        let times = u32::try_from(times).expect("few");
        let read = rig.perform(place, &Deed::Press { key, times });
        let slip = if slips > 0 && row % slips == slips - 1 { 0.5 } else { 0.0 };
        let _ = writeln!(table, "{},{times},{}", key.name(), cells(&read, slip));
    }
    read_record(&table).expect("a record")
}

/// Readings that have nothing to do with each other.
fn of_no_device() -> Record {
    let mut table = HEAD.to_owned();
    for at in 0..ROWS {
        let (heat, cool) = (15.0 + (at % 97) as f64 / 10.0, 26.0 + (at % 89) as f64 / 10.0);
        let key = if at.is_multiple_of(2) { "warmer" } else { "cooler" };
        let _ = writeln!(table, "{key},{},{heat},{cool},auto,on,none,no", at * 3 % 40 + 1);
    }
    read_record(&table).expect("a record")
}

fn tables(criterion: &mut Criterion) {
    let device = "heat: 20, cool: 23, min_deadband: 1.5, on_conflict: push_and_return, limits: \
                  {heat: [17, 23], cool: [20, 27]}";
    let wide = "heat: 18, cool: 27, setpoint_step: 0.1, min_deadband: 1, limits: {heat: [10, 30], \
                cool: [11, 31]}";
    let all = [
        ("of a device", of_a_device(device, 6, 0)),
        ("with slips", of_a_device(device, 6, 200)),
        ("in fine steps", of_a_device(wide, 9, 0)),
        ("of no device", of_no_device()),
    ];
    let mut group = criterion.benchmark_group("infer");
    group.sample_size(10);
    for (name, record) in all {
        group.bench_function(name, |bencher| bencher.iter(|| infer(&record).map(|it| it.len())));
    }
    group.finish();
}

criterion_group!(benches, tables);
criterion_main!(benches);
