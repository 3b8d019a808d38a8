//! How long a change on the local page takes until what it draws is there, through the whole server:
//! what a moved setting moves besides, then the day with a row for each room. The aims for input to
//! paint are 50 ms for one zone, 100 for eight, 250 for 32 and 400 for a year of two.
//!
//! `cargo bench --profile dist --bench page`

#[path = "../tests/served/mod.rs"]
mod served;

use std::fmt::Write as _;
use std::io::{Read, Write};
use std::net::TcpStream;

use criterion::{Criterion, criterion_group, criterion_main};
use served::Served;

/// A day of so many zones on one outdoor unit, in steps of a minute.
fn scenario(zones: usize) -> String {
    let mut text = String::from(
        "period: {from: 2025-04-16}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n",
    );
    for at in 0..zones {
        let _ = write!(
            text,
            "  room_{at}:\n    space: {{floor: {} m2}}\n    unit: {{heating: 4 kW, cooling: 4 kW}}\n    \
             controls: {{heat: 20, cool: 23, min_deadband: 2}}\n",
            30 + 5 * at
        );
    }
    if zones > 1 {
        text.push_str(
            "outdoor_unit: {mode_policy: owner, owner: room_0, heating: [{outdoor: 8, capacity: 24 \
             kW, cop: 3.7}], cooling: [{outdoor: 20, capacity: 24 kW, cop: 5.2}]}\n",
        );
    }
    text
}

/// What the page asks once a deadband was moved; returns how long the answers are.
fn moved(address: &str, text: &str) -> usize {
    let asked = serde_json::json!({"text": text, "edits": []});
    let deadband = "controls.min_deadband";
    let moved = serde_json::json!({"asked": asked, "key": deadband, "of": ["room_0"], "value": 1});
    let first = ask(address, "amend", &moved.to_string());
    let edits = serde_json::json!([{"path": format!("zones.room_0.{deadband}"), "value": 1}]);
    let rows = serde_json::json!({"width": 600, "height": 540});
    let day = serde_json::json!({"text": text, "edits": edits, "rows": rows, "width": 900});
    first + ask(address, "day", &day.to_string())
}

fn ask(address: &str, task: &str, body: &str) -> usize {
    let own = address.trim_start_matches("http://").trim_end_matches('/');
    let (host, token) = own.split_once('/').expect("an address with a token");
    let mut stream = TcpStream::connect(host).expect("it listens");
    write!(
        stream,
        "POST /{token}/api/{task} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: \
         application/json\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    )
    .expect("asked");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("an answer");
    assert!(answer.starts_with("HTTP/1.1 200"), "{answer}");
    answer.len()
}

fn redraw(criterion: &mut Criterion) {
    let served = Served::scenario("reading_room");
    let mut group = criterion.benchmark_group("page");
    group.sample_size(20);
    for zones in [1, 8, 32] {
        let text = scenario(zones);
        group.bench_function(format!("redraw {zones} zones"), |bencher| {
            bencher.iter(|| moved(&served.address, &text));
        });
    }
    let year = scenario(2).replace(
        "period: {from: 2025-04-16}",
        "period: {from: 2025-01-01, days: 365, step: 10 min}",
    );
    group.bench_function("redraw a year", |bencher| {
        bencher.iter(|| moved(&served.address, &year));
    });
    group.finish();
}

criterion_group!(benches, redraw);
criterion_main!(benches);
