//! Mutated requests to the local page.

use serde_json::json;

use super::draw::campaign;
use super::served::Served;

/// Whatever the request: an answer with a known status, and the server goes on.
#[test]
fn mutated_requests_are_answered_and_the_server_goes_on() {
    let served = Served::scenario("reading_room");
    let text = served.source()["text"].as_str().expect("a text").to_owned();
    let (host, token) = (served.host().to_owned(), served.token().to_owned());
    let edits = json!([{"path": "zones.reading_room.controls.heat", "value": 21}]);
    let presses = json!([{"at": 3600, "zone": "reading_room", "by": "me", "role": "occupant", "press": "warmer"}]);
    let body = json!({ "text": text, "name": "a", "edits": edits, "presses": presses, "day": 0, "at": 60 })
        .to_string();
    let paths = [
        "/api/day",
        "/api/explain",
        "/api/file",
        "/api/report",
        "/api/sheet",
        "/api/lesson",
        "/api/lesson/score",
        "/api/puzzle",
        "/api/puzzle/answer",
    ];
    let other =
        json!({"id": "the_ratchet", "step": 1, "chosen": 2, "beside": null, "width": 600, "seed": 5, "guess": "auto_off", "asked": ["lift"], "wrong": 0})
            .to_string();
    campaign("mutated requests", 500, |draw| {
        let path = *draw.one(&paths);
        let body = draw.mutated(body.as_bytes(), &[body.as_bytes(), other.as_bytes()]);
        let head = format!(
            "POST {token}{path} HTTP/1.1\r\nHost: {host}\r\nContent-Type: application/json\r\n\
             Content-Length: {}\r\nConnection: close\r\n\r\n",
            body.len()
        );
        let head = if draw.chance(20) {
            draw.mutated(head.as_bytes(), &[&body])
        } else {
            head.into_bytes()
        };
        // A head that never ends is cut off by the server.
        let answer = if draw.chance(10) {
            served.post_with(path, &String::from_utf8_lossy(&body), "Content-Type: text/plain\r\n")
        } else {
            served.send(&[head, body].concat())
        };
        let known = [0, 200, 400, 403, 404, 405, 408, 413, 414, 415, 422, 431, 501, 503, 504, 505];
        assert!(known.contains(&answer.status), "{path}: {} {}", answer.status, answer.body);
        assert!(!answer.body.contains("panicked"), "{}", answer.body);
        // What is no HTTP is answered before anybody can add to the head.
        let is_ours = answer.status == 200 || answer.status == 422;
        assert!(!is_ours || answer.head.contains("nosniff"), "{}", answer.head);
    });
    assert_eq!(served.get("/").status, 200);
    let day = served.post("/api/day", &json!({ "text": text }));
    assert_eq!(day.status, 200, "{}", day.body);
}
