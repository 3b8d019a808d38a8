//! The local server, called over plain sockets: what it answers, whom it refuses, what it bears.

use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::net::TcpStream;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::served::Served;

fn asked(source: &Value, edits: &Value) -> Value {
    json!({ "text": source["text"], "name": source["name"], "edits": edits })
}

#[test]
fn the_page_and_its_parts_come_with_a_strict_policy() {
    let served = Served::scenario("reading_room");
    for (path, kind) in [
        ("/", "text/html"),
        ("/page.css", "text/css"),
        ("/page.js", "text/javascript"),
        ("/overlay.js", "text/javascript"),
        ("/icon.svg", "image/svg+xml"),
    ] {
        let answer = served.get(path);
        assert_eq!(answer.status, 200, "{path}");
        assert!(answer.head.contains(&format!("content-type: {kind}")), "{path}: {}", answer.head);
        for header in [
            "content-security-policy: default-src 'none'; script-src 'self'",
            "frame-ancestors 'none'",
            "x-content-type-options: nosniff",
            "referrer-policy: no-referrer",
            "cross-origin-resource-policy: same-origin",
        ] {
            assert!(answer.head.contains(header), "{path}: {}", answer.head);
        }
        assert!(!answer.body.contains("https://"), "{path} must need no network");
    }
}

#[test]
fn a_day_has_the_numbers_that_a_run_writes() {
    let served = Served::scenario("reading_room");
    let source = served.source();
    let day = served.post("/api/day", &asked(&source, &json!([]))).json();
    let folder = tempfile::tempdir().expect("a folder");
    let run = Command::new(env!("CARGO_BIN_EXE_setband"))
        .args(["run", "scenarios/reading_room.yaml", "--json", "--steps", "none", "--out"])
        .arg(folder.path())
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("the program runs");
    let summary: Value = serde_json::from_slice(&run.stdout).expect("JSON");
    let figure = |id: &str| {
        let list = day["figures"].as_array().expect("figures");
        let of_all = |it: &&Value| it["id"] == id && it["zone"].is_null();
        list.iter().find(of_all).expect("the figure")["value"].as_f64()
    };
    assert_eq!(figure("energy"), summary["energy"]["total_kwh"].as_f64());
    assert_eq!(figure("changeovers"), summary["group"]["changeovers"].as_f64());
    let ledger = csv::Reader::from_path(folder.path().join("ledger.csv")).expect("a ledger");
    assert_eq!(day["ledger_rows"], ledger.into_records().count());
    assert_eq!(day["chart"]["values"]["zones"][0]["air"].as_array().map(Vec::len), Some(1440));
    // The chart is the one that the run writes, at the width that the page asks for.
    let mut wide = asked(&source, &json!([]));
    wide["width"] = json!(1000);
    let drawn = served.post("/api/day", &wide).json()["chart"]["svg"].clone();
    let chart = fs::read_to_string(folder.path().join("day.svg")).expect("a chart");
    let body = |svg: &str| svg.split_once("</desc>").map(|(_, body)| body.to_owned());
    assert_eq!(body(drawn.as_str().expect("a drawing")), body(&chart));
}

#[test]
fn a_changed_setting_changes_the_day_and_the_file_keeps_its_comments() {
    let served = Served::scenario("reading_room");
    let source = served.source();
    let edits = json!([{"path": "zones.reading_room.controls.min_deadband", "value": 0}]);
    let before = served.post("/api/day", &asked(&source, &json!([]))).json();
    let after = served.post("/api/day", &asked(&source, &edits)).json();
    assert_ne!(before["headline"], after["headline"]);
    let file = served.post("/api/file", &asked(&source, &edits)).body;
    let text = source["text"].as_str().expect("text");
    assert_eq!(file, text.replacen("min_deadband: 2\n", "min_deadband: 0\n", 1));
}

#[test]
fn faults_come_as_a_list_with_their_places() {
    let served = Served::scenario("reading_room");
    let source = served.source();
    let edits = json!([
        {"path": "zones.reading_room.controls.heat", "value": 99},
        {"path": "zones.reading_room.controls.mode", "value": "sideways"},
    ]);
    let answer = served.post("/api/day", &asked(&source, &edits));
    assert_eq!(answer.status, 422);
    let paths: Vec<Value> = answer.json()["faults"]
        .as_array()
        .expect("faults")
        .iter()
        .map(|fault| fault["path"].clone())
        .collect();
    assert!(paths.contains(&json!("zones.reading_room.controls.heat")), "{paths:?}");
    assert!(paths.contains(&json!("zones.reading_room.controls.mode")), "{paths:?}");
    let nowhere = json!([{"path": "zones.attic.controls.heat", "value": 20}]);
    assert_eq!(served.post("/api/day", &asked(&source, &nowhere)).status, 422);
}

#[test]
fn a_file_with_faults_is_served_and_its_faults_are_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("broken.yaml");
    fs::write(&file, "zones: {}\n").expect("written");
    let served = Served::start(Some(&file));
    let answer = served.post("/api/day", &asked(&served.source(), &json!([])));
    assert_eq!(answer.status, 422);
    assert!(answer.body.contains("period"), "{}", answer.body);
}

#[test]
fn strangers_are_refused() {
    let served = Served::scenario("reading_room");
    let body = asked(&served.source(), &json!([])).to_string();
    for more in [
        "Origin: http://elsewhere.example\r\n",
        "Origin: null\r\n",
        "Origin: https://127.0.0.1:1\r\n",
        "Host: rebound.example\r\n",
    ] {
        let answer = served.post_with("/api/day", &body, more);
        assert_eq!(answer.status, 403, "{more}");
        assert!(!answer.body.contains("headline"), "{more}");
    }
    let own = format!("Origin: http://{}\r\n", served.host());
    assert_eq!(served.post_with("/api/day", &body, &own).status, 200);
    for head in [
        "GET /api/source HTTP/1.1\r\nHost: rebound.example\r\nConnection: close\r\n\r\n",
        "GET /api/source HTTP/1.0\r\n\r\n",
    ] {
        let answer = served.send(head.as_bytes());
        assert_eq!(answer.status, 403, "{head}");
        assert!(!answer.body.contains("zones"), "{head}");
    }
}

#[test]
fn hostile_requests_get_a_message_and_the_server_goes_on() {
    let served = Served::scenario("reading_room");
    let deep = "[".repeat(100_000);
    let many: Vec<Value> = (0..2001).map(|_| json!({"path": "a", "value": 1})).collect();
    for (body, more, status) in [
        ("", "", 400),
        ("{", "", 400),
        ("[]", "", 400),
        ("{\"text\": 5}", "", 400),
        ("{\"text\": \"\", \"more\": 1}", "", 400),
        (deep.as_str(), "", 400),
        ("text=a", "Content-Type: application/x-www-form-urlencoded\r\n", 415),
        ("{\"text\": \"a: &x [*x]\"}", "", 422),
        ("{\"text\": \"\"}", "", 422),
        (&json!({"text": deep}).to_string(), "", 422),
        (&json!({"text": "a: 1", "edits": many}).to_string(), "", 400),
        (&json!({"text": "a: 1", "edits": [{"path": "a.b.c", "value": {"x": [1]}}]}).to_string(), "", 422),
        (&json!({"text": "a: 1", "presses": [{"at": -1, "zone": "", "by": "", "role": "x", "press": "y"}]}).to_string(), "", 400),
    ] {
        let answer = served.post_with("/api/day", body, more);
        let short: String = body.chars().take(60).collect();
        assert_eq!(answer.status, status, "{short}: {}", answer.body);
        let told = answer.json();
        assert!(told["message"].is_string() || told["faults"].is_array(), "{short}");
    }
    for head in ["GARBAGE\r\n\r\n", "GET / HTTP/9.9\r\n\r\n"] {
        assert_ne!(served.send(head.as_bytes()).status, 200, "{head:?}");
    }
    assert_eq!(served.get("/").status, 200);
}

#[test]
fn what_is_too_large_is_refused_with_a_sentence() {
    let served = Served::scenario("reading_room");
    let large = json!({ "text": "#".repeat(3 << 20) }).to_string();
    assert_eq!(served.post_with("/api/day", &large, "").status, 413);
    let long = "period: {from: 2025-01-01, days: 366, step: 1 s}\nweather: {design_day: {high: 19, range: 11}}\nzones:\n  a: {space: {floor: 20 m2}, unit: {heating: 2 kW, cooling: 2 kW}, controls: {heat: 20, cool: 24}}\n";
    let answer = served.post("/api/day", &json!({ "text": long }));
    assert_eq!(answer.status, 400);
    assert!(answer.body.contains("setband run"), "{}", answer.body);
}

#[test]
fn no_way_leads_out_of_the_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let inside = folder.path().join("inside");
    fs::create_dir(&inside).expect("made");
    let secret = "time,temperature\n2025-04-16T00:00,20\n2025-04-17T00:00,20\n";
    fs::write(folder.path().join("secret.csv"), secret).expect("written");
    fs::write(inside.join("open.csv"), secret).expect("written");
    let scenario = |csv: &str| {
        format!(
            "period: {{from: 2025-04-16}}\nweather: {{csv: {csv}, fill: straight}}\nzones:\n  a: {{space: {{floor: 20 m2}}, unit: {{heating: 2 kW, cooling: 2 kW}}, controls: {{heat: 20, cool: 24}}}}\n"
        )
    };
    let file = inside.join("site.yaml");
    fs::write(&file, scenario("open.csv")).expect("written");
    let served = Served::start(Some(&file));
    let day = |csv: &str| served.post("/api/day", &json!({ "text": scenario(csv) }));
    assert_eq!(day("open.csv").status, 200);
    let absolute = folder.path().join("secret.csv").display().to_string();
    let mut ways = vec!["../secret.csv".to_owned(), "./../secret.csv".into(), absolute];
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("../secret.csv", inside.join("link.csv")).expect("linked");
        ways.push("link.csv".into());
    }
    for way in ways {
        let answer = day(&way);
        assert_eq!(answer.status, 422, "{way}");
        assert!(answer.body.contains("outside the folder"), "{way}: {}", answer.body);
    }
    for path in ["/../secret.csv", "/..%2fsecret.csv", "/%2e%2e/secret.csv", "/etc/passwd", "//etc"]
    {
        let answer = served.get(path);
        assert_eq!(answer.status, 404, "{path}");
        assert!(!answer.body.contains("2025-04-16T00"), "{path}");
    }
    let without = Served::start(None);
    let answer = without.post("/api/day", &json!({ "text": scenario("open.csv") }));
    assert_eq!(answer.status, 422, "{}", answer.body);
}

#[test]
fn report_and_test_sheet_are_those_of_the_changed_settings() {
    let served = Served::scenario("reading_room");
    let source = served.source();
    let edits = json!([{"path": "title", "value": "A title of its own"}]);
    for (path, has) in [("/api/report", "What happened?"), ("/api/sheet", "Test sheet: ")] {
        let answer = served.post(path, &asked(&source, &edits));
        assert_eq!(answer.status, 200, "{path}: {}", answer.body);
        // As text: nothing of a document runs with the rights of this page.
        assert!(answer.head.contains("content-type: text/plain"), "{path}: {}", answer.head);
        let begins = answer.body[..15].eq_ignore_ascii_case("<!doctype html>");
        assert!(begins && answer.body.contains(has), "{path}");
        assert!(answer.body.contains("A title of its own"), "{path}");
        let faulty = json!([{"path": "zones.reading_room.controls.heat", "value": 99}]);
        assert_eq!(served.post(path, &asked(&source, &faulty)).status, 422, "{path}");
    }
    // A sheet that would take minutes is refused at once, with a way out.
    let many = Served::scenario("dyehouse_32_rooms");
    let answer = many.post("/api/sheet", &asked(&many.source(), &json!([])));
    assert_eq!(answer.status, 400);
    assert!(answer.body.contains("setband sheet"), "{}", answer.body);
}

/// Every step of every lesson with each of its choices, and every puzzle with a wrong guess and the
/// right one.
#[test]
fn all_lessons_and_puzzles_are_played_right_and_wrong() {
    let served = Served::start(None);
    let lessons = served.get("/api/lessons").json();
    let lessons = lessons.as_array().expect("lessons");
    assert!(lessons.len() >= 9);
    for lesson in lessons {
        let (id, steps) = (&lesson["id"], lesson["steps"].as_u64().expect("a number"));
        for step in 0..steps {
            let posed = served.post("/api/lesson", &json!({ "id": id, "step": step })).json();
            assert!(posed["text"].is_string() && posed["of"] == steps, "{id} {step}");
            let choices = posed["choices"].as_array().expect("choices").len();
            let right = (0..choices).filter(|chosen| {
                let asked = json!({ "id": id, "step": step, "chosen": chosen, "width": 480 });
                let answer = served.post("/api/lesson/score", &asked).json();
                let right = answer["right"] == true;
                assert_eq!(right, answer["beside"].is_null(), "{id} {step} {chosen}");
                right
            });
            assert_eq!(right.count(), 1, "{id} {step}");
        }
    }
    assert_eq!(served.post("/api/lesson", &json!({ "id": "none" })).status, 400);
    for seed in [3, 11] {
        let day = served.post("/api/puzzle", &json!({ "seed": seed })).json();
        let choices = day["choices"].as_array().expect("choices");
        let verdict = |choice: &serde_json::Value| {
            served
                .post("/api/puzzle/answer", &json!({ "seed": seed, "guess": choice["id"] }))
                .json()
        };
        let right = choices.iter().filter(|choice| verdict(choice)["right"] == true);
        assert_eq!(right.count(), 1, "puzzle {seed}");
    }
}

/// Seconds that many clients ask for: `SETBAND_LONG=1` makes it 20.
fn seconds() -> u64 {
    if std::env::var_os("SETBAND_LONG").is_some_and(|it| it == "1") { 20 } else { 4 }
}

/// Cheap enough for many clients, also where the program is built for tests.
const SMALL: &str = "\
period: {from: 2025-04-16, step: 10 min}
weather: {design_day: {high: 12, range: 11}}
zones:
  office:
    space: {floor: 20 m2, start: 20}
    unit: {heating: 2 kW, cooling: 2 kW}
    controls: {heat: 20.5, cool: 24}
";

/// Resident memory of a process, KiB.
#[cfg(target_os = "linux")]
fn memory(process: u32) -> u64 {
    let status = fs::read_to_string(format!("/proc/{process}/status")).expect("it runs");
    let line = status.lines().find(|line| line.starts_with("VmRSS:")).expect("its memory");
    line.split_whitespace().nth(1).and_then(|it| it.parse().ok()).expect("a number")
}

#[cfg(target_os = "linux")]
#[test]
fn fifty_clients_at_once_are_served_without_fault_and_memory_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("small.yaml");
    fs::write(&file, SMALL).expect("written");
    let served = Served::start(Some(&file));
    let source = served.source();
    let plain = served.post("/api/day", &asked(&source, &json!([]))).json();
    let end = Instant::now() + Duration::from_secs(seconds());
    let half = Instant::now() + Duration::from_secs(seconds()) / 2;
    let (counts, middle) = thread::scope(|scope| {
        let clients: Vec<_> = (0..50)
            .map(|client| {
                let (served, source, plain) = (&served, &source, &plain);
                scope.spawn(move || {
                    let mut done = 0;
                    while Instant::now() < end || done == 0 {
                        let heat = 18.0 + f64::from(client % 4) / 2.0;
                        let edits = json!([{"path": "zones.office.controls.heat", "value": heat}]);
                        let edits = if client % 5 == 0 { json!([]) } else { edits };
                        let answer = served.post("/api/day", &asked(source, &edits));
                        assert_eq!(answer.status, 200, "{}", answer.body);
                        if client % 5 == 0 {
                            assert_eq!(
                                answer.json()["headline"],
                                plain["headline"],
                                "another's day"
                            );
                        }
                        done += 1;
                    }
                    done
                })
            })
            .collect();
        thread::sleep(half.saturating_duration_since(Instant::now()));
        let middle = memory(served.process.id());
        let counts = clients.into_iter().map(|it| it.join().expect("no client fails"));
        (counts.collect::<Vec<u32>>(), middle)
    });
    assert!(counts.iter().all(|done| *done > 0));
    let last = memory(served.process.id());
    // What the allocator keeps back differs; what would leak with every answer would show.
    assert!(last < middle + middle / 2 + 20_000, "{middle} KiB, then {last} KiB");
}

#[cfg(unix)]
#[test]
fn ctrl_c_stops_at_once() {
    let mut served = Served::scenario("dyehouse_32_rooms");
    let pid = served.process.id().to_string();
    let started = Instant::now();
    let sent = Command::new("kill").args(["-INT", &pid]).status().expect("a signal is sent");
    assert!(sent.success());
    let status = served.process.wait().expect("it ends");
    assert!(status.success(), "{status}");
    assert!(started.elapsed() < Duration::from_secs(2), "{:?}", started.elapsed());
}

#[test]
fn a_port_that_is_taken_is_told() {
    let served = Served::scenario("reading_room");
    let port = served.host().rsplit(':').next().expect("a port").to_owned();
    let second = Command::new(env!("CARGO_BIN_EXE_setband"))
        .args(["serve", "--no-open", "--port", &port])
        .output()
        .expect("it runs");
    assert_eq!(second.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&second.stderr).contains("--port"));
}

/// A request by hand, on a connection that stays open.
fn begin(served: &Served, bytes: &[u8]) -> TcpStream {
    let mut stream = TcpStream::connect(served.host()).expect("the server listens");
    // A server that is not interested may have closed it.
    let _ = stream.write_all(bytes);
    stream
}

/// Days that take the program many seconds each.
fn costly() -> Value {
    let mut text = String::from(
        "period: {from: 2025-04-16, days: 60}\nweather: {design_day: {high: 18, range: 11}}\nzones:\n",
    );
    for number in 0..30 {
        let start = number % 9 + 1;
        let _ = writeln!(
            text,
            "  z{number}: {{space: {{floor: 20 m2, start: 20}}, unit: {{heating: 2 kW, cooling: 2 kW}}, \
             controls: {{heat: 20, cool: 24, call_start: 0.{start}}}}}"
        );
    }
    text.push_str("people:\n");
    for number in 0..30 {
        let _ = writeln!(text, "  - {{name: p{number}, zone: z{number}, prefers: 28}}");
    }
    json!({ "text": text })
}

#[test]
fn only_who_knows_the_token_is_answered() {
    let served = Served::scenario("reading_room");
    let token = served.token().to_owned();
    assert_eq!(token.len(), 33, "{token}");
    let other = Served::scenario("reading_room");
    assert_ne!(other.token(), token);
    let host = served.host().to_owned();
    let wrong = format!("/{}", "0".repeat(32));
    for path in
        ["/", "/page.js", "/api/source", &format!("{wrong}/"), &format!("{wrong}/api/source")]
    {
        let head = format!("GET {path} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n");
        let answer = served.send(head.as_bytes());
        assert_eq!(answer.status, 404, "{path}");
        assert!(!answer.body.contains("zones"), "{path}: {}", answer.body);
    }
    assert_eq!(served.get("/").status, 200);
}

/// A page could otherwise be used to read whatever lies beside the scenario.
#[test]
fn lines_of_files_that_are_no_scenarios_are_not_quoted() {
    let folder = tempfile::tempdir().expect("a folder");
    let secret = "time,temperature\nroot:hidden,17\n2025-04-16T00:00,swordfish\n";
    fs::write(folder.path().join("secret.csv"), secret).expect("written");
    let file = folder.path().join("small.yaml");
    fs::write(&file, SMALL).expect("written");
    let served = Served::start(Some(&file));
    for source in ["csv: secret.csv", "tmy3: {file: secret.csv}"] {
        let text = SMALL.replace("design_day: {high: 12, range: 11}", source);
        let answer = served.post("/api/day", &json!({ "text": text }));
        assert_eq!(answer.status, 422, "{}", answer.body);
        assert!(answer.body.contains("of the weather file"), "{}", answer.body);
        for word in ["hidden", "swordfish", "root"] {
            assert!(!answer.body.contains(word), "{}", answer.body);
        }
    }
}

/// A pipe as weather file, with nobody who writes into it.
#[cfg(unix)]
#[test]
fn a_pipe_beside_the_scenario_blocks_nobody() {
    let folder = tempfile::tempdir().expect("a folder");
    let made = Command::new("mkfifo").arg(folder.path().join("pipe.csv")).status();
    assert!(made.expect("mkfifo is there").success());
    let file = folder.path().join("small.yaml");
    fs::write(&file, SMALL).expect("written");
    let served = Served::start(Some(&file));
    let text = SMALL.replace("design_day: {high: 12, range: 11}", "csv: pipe.csv");
    for _ in 0..8 {
        let answer = served.post("/api/day", &json!({ "text": text }));
        assert_eq!(answer.status, 422, "{}", answer.body);
        assert!(answer.body.contains("it is not a file"), "{}", answer.body);
    }
}

#[test]
fn long_texts_are_faults_and_not_hours_of_work() {
    let served = Served::scenario("reading_room");
    let text = format!("title: {}\n{SMALL}", "W".repeat(1 << 20));
    let answer = served.post("/api/day", &json!({ "text": text }));
    assert_eq!(answer.status, 422);
    assert!(answer.body.contains("at most 200"), "{}", answer.body);
    let crowd = format!(
        "{}people:\n  - {{name: crowd, zone: office, count: 1000, prefers: 28}}\n",
        SMALL.replace("step: 10 min", "step: 1 min, days: 60")
    );
    let answer = served.post("/api/day", &json!({ "text": crowd }));
    assert_eq!(answer.status, 400, "{}", answer.body);
    assert!(answer.body.contains("people"), "{}", answer.body);
}

/// Memory of a process and all that it has started, KiB.
#[cfg(target_os = "linux")]
fn memory_of_all(process: u32) -> u64 {
    let children = fs::read_to_string(format!("/proc/{process}/task/{process}/children"));
    let mut all = children.unwrap_or_default();
    for task in fs::read_dir(format!("/proc/{process}/task")).expect("it runs").flatten() {
        all += &fs::read_to_string(task.path().join("children")).unwrap_or_default();
    }
    let mut workers: Vec<u32> = all.split_whitespace().filter_map(|it| it.parse().ok()).collect();
    workers.sort_unstable();
    workers.dedup();
    let of = |pid: u32| {
        let status = fs::read_to_string(format!("/proc/{pid}/status")).unwrap_or_default();
        let line = status.lines().find(|line| line.starts_with("VmRSS:")).unwrap_or_default();
        line.split_whitespace().nth(1).and_then(|it| it.parse::<u64>().ok()).unwrap_or(0)
    };
    of(process) + workers.into_iter().map(of).sum::<u64>()
}

/// Slow heads, large bodies, costly days, idle connections: whoever asks for little is served, and
/// nothing goes on for clients that have gone.
#[cfg(target_os = "linux")]
#[expect(clippy::print_stderr, reason = "what was measured is for whoever asks for it")]
#[test]
fn a_crowd_of_bad_clients_keeps_nobody_out() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("small.yaml");
    fs::write(&file, SMALL).expect("written");
    let served = Served::start(Some(&file));
    let (host, token) = (served.host().to_owned(), served.token().to_owned());
    let source = served.source();
    let costly = costly().to_string();
    let head = |path: &str, length: usize| {
        format!(
            "POST {token}{path} HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\n\
             Content-Length: {length}\r\n\r\n"
        )
    };
    let ask = |patience: Duration| {
        let begun = Instant::now();
        let answer = served.post("/api/day", &asked(&source, &json!([])));
        assert_eq!(answer.status, 200, "{}", answer.body);
        let took = begun.elapsed();
        assert!(took < patience, "an ordinary client waited {took:?}");
        took
    };
    let alone = ask(Duration::from_secs(20));
    let mut bad: Vec<TcpStream> = (0..2)
        .map(|_| {
            begin(
                &served,
                [head("/api/day", costly.len()).as_bytes(), costly.as_bytes()].concat().as_slice(),
            )
        })
        .collect();
    bad.extend((0..200).map(|_| begin(&served, format!("GET {token}/ HTTP/1.1\r\nHo").as_bytes())));
    let large = vec![b' '; 1_900_000];
    let mut most = 0;
    for number in 0..500 {
        let body = [head("/api/day", large.len()).as_bytes(), &large[..large.len() / 2]].concat();
        let mut stream = TcpStream::connect(&*host).expect("the server listens");
        stream.set_write_timeout(Some(Duration::from_millis(20))).expect("a limit");
        let _ = stream.write_all(&body);
        bad.push(stream);
        if number % 100 == 50 {
            // On a machine that is busy with other tests no second is a second.
            let took = ask(Duration::from_secs(10));
            most = most.max(memory_of_all(served.process.id()));
            eprintln!("an ordinary client: {took:?}, alone {alone:?}; memory {most} KiB");
        }
    }
    assert!(most < 300_000, "{most} KiB");
    drop(bad);
    // All turns are free again: costly days of clients that are gone do not go on.
    thread::sleep(Duration::from_secs(2));
    let others: Vec<Duration> = (0..4).map(|_| ask(Duration::from_secs(10))).collect();
    eprintln!("afterwards: {others:?}");
}

/// Whatever is asked that takes long: tasks are broken off in one place, whichever they are.
#[cfg(target_os = "linux")]
#[test]
fn what_nobody_waits_for_any_more_is_not_worked_on() {
    let served = Served::scenario("reading_room");
    let (host, token) = (served.host().to_owned(), served.token().to_owned());
    let costly = costly().to_string();
    let question = |address: &str| {
        format!(
            "POST {token}{address} HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\n\r\n{costly}",
            costly.len()
        )
    };
    let busy = |served: &Served| {
        let ticks = |pid: u32| {
            let stat = fs::read_to_string(format!("/proc/{pid}/stat")).unwrap_or_default();
            let after = stat.rsplit(") ").next().unwrap_or_default().to_owned();
            let fields: Vec<u64> =
                after.split(' ').skip(11).take(2).filter_map(|it| it.parse().ok()).collect();
            fields.iter().sum::<u64>()
        };
        let mut workers = Vec::new();
        for task in
            fs::read_dir(format!("/proc/{}/task", served.process.id())).expect("runs").flatten()
        {
            let children = fs::read_to_string(task.path().join("children")).unwrap_or_default();
            workers.extend(children.split_whitespace().filter_map(|it| it.parse::<u32>().ok()));
        }
        let before: Vec<u64> = workers.iter().map(|pid| ticks(*pid)).collect();
        thread::sleep(Duration::from_millis(500));
        workers.iter().zip(before).filter(|(pid, before)| ticks(**pid) > *before + 5).count()
    };
    for address in ["/api/day", "/api/report"] {
        let bytes = question(address);
        // More than are worked on at once, as one answer takes about a second.
        let clients: Vec<TcpStream> = (0..12).map(|_| begin(&served, bytes.as_bytes())).collect();
        thread::sleep(Duration::from_millis(300));
        assert!(busy(&served) > 0, "{address}: nothing is worked on");
        drop(clients);
        thread::sleep(Duration::from_secs(1));
        assert_eq!(busy(&served), 0, "{address}: somebody works for nobody");
    }
    // And every turn is free.
    assert_eq!(served.post("/api/day", &asked(&served.source(), &json!([]))).status, 200);
}
