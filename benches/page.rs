//! How long a change on the local page takes until its day is there, through the whole server: the
//! aim is 50 ms for one zone and 150 ms for eight.
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

/// The page's request for a day with a changed setting; returns how long the answer is.
fn day(address: &str, text: &str) -> usize {
    let edits = serde_json::json!([{"path": "zones.room_0.controls.min_deadband", "value": 1}]);
    let body = serde_json::json!({"text": text, "edits": edits}).to_string();
    let own = address.trim_start_matches("http://").trim_end_matches('/');
    let (host, token) = own.split_once('/').expect("an address with a token");
    let mut stream = TcpStream::connect(host).expect("it listens");
    write!(
        stream,
        "POST /{token}/api/day HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Type: \
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
    for zones in [1, 8] {
        let text = scenario(zones);
        group.bench_function(format!("redraw {zones} zones"), |bencher| {
            bencher.iter(|| day(&served.address, &text));
        });
    }
    group.finish();
}

criterion_group!(benches, redraw);
criterion_main!(benches);
