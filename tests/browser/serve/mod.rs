//! The local page of `setband serve`, used as trainers and property managers use it.

mod access;
mod day;
mod forms;
mod heard;
mod lessons;
mod lost;
mod night;
mod overview;

use std::thread::sleep;
use std::time::{Duration, Instant};

use serde_json::json;

use super::served::Served;
use super::{Browser, Page};

/// A page of a server of its own. The server ends with it.
pub(crate) struct Opened {
    pub(crate) page: Page,
    _browser: Browser,
    served: Served,
}

impl Opened {
    /// Opens a shipped scenario, and waits for its day.
    fn scenario(name: &str) -> Option<Self> {
        let mut browser = Browser::start()?;
        let served = Served::scenario(name);
        let mut page = browser.page(&served.address);
        page.resize(1400, 900);
        page.wait_until(SHOWN);
        Some(Self { page, _browser: browser, served })
    }

    /// Moves a setting as typing into its field does, and waits until the page has answered.
    fn set(&mut self, path: &str, value: &str) {
        let field = format!("[data-path=\"{path}\"] input[type=number]");
        self.page.evaluate(&format!(
            "{{ const it = document.querySelector({}); it.focus(); it.select(); }}",
            json!(field)
        ));
        self.page.write(&field, value);
        self.page.press("Enter");
    }

    /// Chooses a word of a list, as a person does.
    fn choose(&mut self, list: &str, value: &str) {
        self.page.evaluate(&format!(
            "{{ const it = document.querySelector({}); it.focus(); it.value = {}; \
             it.dispatchEvent(new Event('change', {{bubbles: true}})); }}",
            json!(list),
            json!(value)
        ));
    }

    /// What is handed to the browser, from the list of what can be: caught on its way to be saved.
    fn handed_over(&mut self, which: &str) -> String {
        self.page.evaluate(
            "{ const create = URL.createObjectURL; window.saved = undefined; URL.createObjectURL = blob => { \
             window.saved = blob.text(); return create(blob); }; }",
        );
        self.choose("#keep", which);
        self.page.wait_until("window.saved");
        self.page.evaluate("window.saved").as_str().expect("text").to_owned()
    }

    /// Shows a room by itself.
    fn open_room(&mut self, id: &str) {
        // By script: rows move while what would help arrives above and below them.
        self.page.evaluate(&format!("document.querySelector('[data-keep=zone-{id}]').click()"));
        self.page.wait_until("document.querySelector('#room-view').checkVisibility() && document.querySelector('#chart svg')");
    }

    /// The number of a headline figure, as it is shown.
    fn figure(&mut self, id: &str) -> String {
        self.page.text(&format!("[data-figure={id}] .value"))
    }

    fn headline(&mut self) -> String {
        self.page.text("#headline")
    }

    /// The headline once nothing has been worked on for a second and it has stayed the same.
    fn settled_headline(&mut self) -> String {
        let mut last = self.headline();
        let mut since = Instant::now();
        while since.elapsed() < Duration::from_secs(1) {
            sleep(Duration::from_millis(50));
            let busy = "document.querySelector('#day-view').getAttribute('aria-busy') === 'true'";
            let busy = self.page.evaluate(busy) == true;
            let now = self.headline();
            if busy || now != last {
                (last, since) = (now, Instant::now());
            }
        }
        last
    }

    /// Waits until the headline is another one.
    fn wait_for_other(&mut self, headline: &str) {
        let other =
            format!("document.querySelector('#headline').innerText !== {}", json!(headline));
        self.page.wait_until(&other);
    }

    /// The way of a line of the chart.
    fn line(&mut self, class: &str) -> String {
        let way = self.page.evaluate(&format!(
            "document.querySelector('#chart .{class} polyline').getAttribute('points')"
        ));
        way.as_str().expect("a way").to_owned()
    }
}

/// True once a day is shown.
const SHOWN: &str = "document.querySelector('#headline').textContent && document.querySelector('#chart svg, .zone-rows svg')";

/// How many pages a PDF has, as the root of its tree of pages says.
fn pages(printed: &[u8]) -> usize {
    let text = String::from_utf8_lossy(printed);
    let counts = text.match_indices("/Count ").filter_map(|(at, mark)| {
        let digits = text[at + mark.len()..].chars().take_while(char::is_ascii_digit);
        digits.collect::<String>().parse().ok()
    });
    counts.max().expect("a tree of pages")
}
