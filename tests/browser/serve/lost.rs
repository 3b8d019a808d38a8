//! A server that ends and comes back, in each part of the page: it is said, what was entered is kept, and
//! the page goes on by itself.

use serde_json::json;

use super::lessons::{choose, go, next};
use super::{Opened, SHOWN};
use crate::Page;
use crate::served::Served;

const LOST: &str = "document.querySelector('#lost').checkVisibility()";

impl Opened {
    /// Ends the server, does something, and starts it again where it was once the page has said so.
    fn meanwhile(&mut self, scenario: &str, act: impl FnOnce(&mut Self)) {
        let host = self.served.host().to_owned();
        let port = host.rsplit(':').next().expect("a port").to_owned();
        let token = self.served.token()[1..].to_owned();
        let _ = self.served.process.kill();
        let _ = self.served.process.wait();
        act(self);
        self.page.wait_until(LOST);
        assert!(self.page.text("#lost").contains("What you entered is kept"));
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios");
        let file = folder.join(format!("{scenario}.yaml"));
        self.served = Served::with(Some(&file), &["--port", &port, "--token", &token]);
        self.page.wait_until(&format!("!{LOST}"));
    }
}

fn click(page: &mut Page, place: &str) {
    page.evaluate(&format!("document.querySelector({}).click()", json!(place)));
}

/// All rooms, one of them, its log, a complaint, days replayed, two states compared.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn rooms_go_on_when_the_server_is_back() {
    const FILE: &str = "ropewalk";
    let Some(mut opened) = Opened::scenario(FILE) else { return };
    let headline = opened.headline();
    let field = "[data-key=\"controls.min_deadband\"] input[type=number]";
    opened.meanwhile(FILE, |it| {
        it.page.evaluate(&format!("document.querySelector({}).select()", json!(field)));
        it.page.write(field, "4");
        it.page.press("Enter");
    });
    opened.page.wait_until(&format!("{SHOWN} && !document.querySelector('#undo').disabled"));
    opened.meanwhile(FILE, |it| click(&mut it.page, "[data-keep=zone-counting_house]"));
    opened.page.wait_until("document.querySelector('#chart svg')?.checkVisibility()");
    opened.page.wait_until("document.querySelector('#log-shown svg')");
    opened.meanwhile(FILE, |it| click(&mut it.page, "[data-felt=cold]"));
    opened.page.wait_until("document.querySelector('#complaint ol li')");
    opened.meanwhile(FILE, |it| click(&mut it.page, "#replay-ask"));
    opened.page.wait_until("document.querySelector('#replay table')");
    click(&mut opened.page, "#pin");
    opened.page.wait_until("document.querySelector('#see-compare')?.checkVisibility()");
    opened.meanwhile(FILE, |it| click(&mut it.page, "#see-compare"));
    opened.page.wait_until("document.querySelector('#compare-shown svg')");
    // What was changed while it was gone the first time stands, and is undone as ever.
    click(&mut opened.page, "#see-all");
    while opened.page.evaluate("document.querySelector('#undo').disabled") == false {
        click(&mut opened.page, "#undo");
    }
    opened.page.wait_until(&format!(
        "document.querySelector('#headline').innerText === {}",
        json!(headline)
    ));
}

/// A day of the calendar, and the worst night.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_calendar_and_a_night_go_on_when_the_server_is_back() {
    const YEAR: &str = "chandlery_year";
    const NIGHT: &str = "joinery_pipes";
    const CURRENT: &str = "document.querySelector('.calendar [aria-current]').dataset.day";
    let Some(mut opened) = Opened::scenario(YEAR) else { return };
    opened.page.wait_until("document.querySelectorAll('.calendar button').length === 365");
    opened.meanwhile(YEAR, |it| click(&mut it.page, ".calendar [data-day=\"40\"]"));
    opened.page.wait_until(&format!("{SHOWN} && {CURRENT} === '40'"));
    let Some(mut opened) = Opened::scenario(NIGHT) else { return };
    opened.page.write("#night-coldest", "-12");
    opened.choose("#night-hours", "12");
    opened.meanwhile(NIGHT, |it| click(&mut it.page, "#night-ask"));
    opened.page.wait_until("document.querySelector('#night-shown .chart svg')");
    assert_eq!(opened.page.evaluate("document.querySelector('#night-coldest').value"), "-12");
}

/// Lessons: their list, a question, an answer that was chosen.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_lesson_goes_on_when_the_server_is_back() {
    const FILE: &str = "reading_room";
    let Some(mut opened) = Opened::scenario(FILE) else { return };
    let address = opened.served.address.clone();
    opened.meanwhile(FILE, |it| {
        it.page.evaluate("location.hash = '#lessons'");
    });
    opened.page.wait_until("document.querySelector('.lessons a')");
    go(&mut opened.page, &address, "#lesson=no_deadband", "#answer");
    opened.meanwhile(FILE, |it| {
        click(&mut it.page, "input[name=choice][value=\"1\"]");
        click(&mut it.page, "#answer");
        it.page.wait_until(LOST);
        assert_eq!(it.page.shown("input[name=choice]:checked"), 1);
    });
    opened.page.wait_until("document.querySelector('#verdict')");
    next(&mut opened.page);
    assert_eq!(opened.page.text("#lesson-place"), "Question 2 of 3");
    choose(&mut opened.page, 0);
}

/// A puzzle: at its beginning, in the middle of a press, a question, a guess and giving up; none of them
/// counts twice.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_puzzle_goes_on_when_the_server_is_back() {
    const FILE: &str = "reading_room";
    let Some(mut opened) = Opened::scenario(FILE) else { return };
    opened.meanwhile(FILE, |it| {
        it.page.evaluate("location.hash = '#fault=11'");
    });
    opened.page.wait_until("document.querySelector('#fault-view input[name=fault]')");
    opened.page.wait_until("document.querySelector('#fault-view .chart svg')");
    let rows = opened.page.shown("#fault-view .ledger tbody tr");
    opened.meanwhile(FILE, |it| click(&mut it.page, "#fault-view [data-key=warmer]"));
    opened.page.wait_until(&format!(
        "document.querySelectorAll('#fault-view .ledger tbody tr').length > {rows}"
    ));
    opened.meanwhile(FILE, |it| click(&mut it.page, "[data-ask]"));
    opened.page.wait_until("document.querySelector('.asking li strong')");
    assert_eq!(opened.page.text("#worth"), "A right answer is worth 9 now.");
    opened.meanwhile(FILE, |it| {
        click(&mut it.page, "#fault-view input[name=fault]");
        click(&mut it.page, "#guess");
        it.page.wait_until(LOST);
        assert_eq!(it.page.shown("#fault-view input[name=fault]:checked"), 1);
    });
    opened.page.wait_until("document.querySelector('#fault-score, #not-that')");
    if opened.page.shown("#not-that") == 1 {
        assert_eq!(opened.page.text("#worth"), "A right answer is worth 6 now.");
        opened.meanwhile(FILE, |it| click(&mut it.page, "#give-up"));
        opened.page.wait_until("document.querySelector('#fault-score')");
    }
}
