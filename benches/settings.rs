//! The settings of 300 zones as a table: written as a workbook, and put back into the file. The aim
//! is a second for each.

use std::fmt::Write as _;

use criterion::{Criterion, criterion_group, criterion_main};
use setband::report::settings_workbook;
use setband::scenario::{edit, is_written, read};
use setband::study::settings_table::{Cell, Filled, Table, changes};

const ZONES: usize = 300;

fn scenario() -> String {
    let mut text = String::from(
        "period: {from: 2025-04-16}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n",
    );
    for at in 0..ZONES {
        let _ = write!(
            text,
            "  room_{at}:\n    space: {{floor: 30 m2}}\n    unit: {{heating: 4 kW, cooling: 4 kW}}\n    \
             controls: {{heat: 20, cool: 23, min_deadband: 2}}\n"
        );
    }
    text
}

fn table(criterion: &mut Criterion) {
    let text = scenario();
    let open = |_: &str| Err("no files here".to_owned());
    let read = |text: &str| read(text, "rooms.yaml", &open).expect("a scenario").base;
    let mut group = criterion.benchmark_group("settings of 300 zones");
    group.sample_size(10);
    group.bench_function("file to workbook", |bencher| {
        bencher.iter(|| settings_workbook(&Table::of(&read(&text)), "rooms").expect("bytes").len());
    });
    let model = read(&text);
    for changed in [0, ZONES] {
        let mut table = Table::of(&model);
        let heat = table.columns.iter().position(|it| it.key() == "controls.heat");
        let heat = heat.expect("a column");
        for row in table.rows.iter_mut().take(changed) {
            row.cells[heat] = Cell::Number(19.0);
        }
        let filled = Filled::from(table);
        group.bench_function(format!("table to file, {changed} values changed"), |bencher| {
            bencher.iter(|| {
                let all = changes(&model, &filled, |path| is_written(&text, path)).expect("right");
                edit(&text, &all.edits).expect("written").len()
            });
        });
    }
    group.finish();
}

criterion_group!(benches, table);
criterion_main!(benches);
