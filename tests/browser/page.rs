//! A page, as a person has it: looked at, pointed at, typed into, printed.

use std::env;
use std::fs;
use std::path::Path;
use std::thread::sleep;
use std::time::{Duration, Instant};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use serde_json::{Value, json};

use super::connection::Connection;

/// How long [`Page::wait_until`] waits.
const PATIENCE: Duration = Duration::from_secs(45);

/// What a page is shown on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Media {
    /// A screen in light colours.
    Light,
    /// A screen in dark colours.
    Dark,
    /// Paper.
    Print,
}

/// A size of paper, inches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Paper {
    /// Across.
    pub(crate) width: f64,
    /// Down.
    pub(crate) height: f64,
}

impl Paper {
    /// ISO 216: 210 mm by 297 mm.
    pub(crate) const A4: Self = Self { width: 8.268, height: 11.693 };
    /// ANSI/ASME Y14.1, size A.
    pub(crate) const LETTER: Self = Self { width: 8.5, height: 11.0 };
}

/// One page of the browser.
pub(crate) struct Page {
    connection: Connection,
    complaints: Vec<String>,
    requests: Vec<String>,
}

impl Page {
    pub(crate) fn new(mut connection: Connection) -> Self {
        for domain in ["Page", "Runtime", "Log", "Network", "DOM"] {
            connection.call(&format!("{domain}.enable"), &json!({}));
        }
        Self { connection, complaints: Vec::new(), requests: Vec::new() }
    }

    /// Opens an address and waits until the page is loaded.
    pub(crate) fn go(&mut self, address: &str) {
        let gone = self.connection.call("Page.navigate", &json!({"url": address}));
        assert!(gone["errorText"].is_null(), "{address}: {}", gone["errorText"]);
        self.wait_for_load();
    }

    /// Waits until a page that was left for another one is loaded.
    pub(crate) fn wait_for_load(&mut self) {
        self.connection.wait_for_event("Page.loadEventFired");
    }

    /// What an expression gives; a promise is waited for.
    ///
    /// # Panics
    /// Where the expression throws.
    pub(crate) fn evaluate(&mut self, expression: &str) -> Value {
        let call = json!({"expression": expression, "returnByValue": true, "awaitPromise": true});
        let mut answer = self.connection.call("Runtime.evaluate", &call);
        let thrown = &answer["exceptionDetails"];
        assert!(thrown.is_null(), "{expression}: {}", thrown["exception"]["description"]);
        answer["result"]["value"].take()
    }

    /// The whole tree that assistive technology gets of the page.
    pub(crate) fn accessibility(&mut self) -> Value {
        self.connection.call("Accessibility.enable", &json!({}));
        self.connection.call("Accessibility.getFullAXTree", &json!({}))
    }

    /// The text of the first element that fits, as it is shown.
    pub(crate) fn text(&mut self, selector: &str) -> String {
        let text =
            self.evaluate(&format!("document.querySelector({})?.innerText", json!(selector)));
        text.as_str().unwrap_or_else(|| panic!("nothing fits {selector}")).to_owned()
    }

    /// How many elements fit and are shown.
    pub(crate) fn shown(&mut self, selector: &str) -> u64 {
        let script = format!(
            "[...document.querySelectorAll({})].filter(it => it.checkVisibility()).length",
            json!(selector)
        );
        self.evaluate(&script).as_u64().expect("a number")
    }

    /// Waits until an expression is true.
    ///
    /// # Panics
    /// Where it does not become true in time.
    pub(crate) fn wait_until(&mut self, expression: &str) {
        let started = Instant::now();
        while self.evaluate(&format!("Boolean({expression})")) != true {
            assert!(started.elapsed() < PATIENCE, "never came true: {expression}");
            sleep(Duration::from_millis(25));
        }
    }

    /// Presses and lets go the main button over the middle of an element.
    pub(crate) fn click(&mut self, selector: &str) {
        let (x, y) = self.place(selector, (0.5, 0.5));
        self.mouse("mouseMoved", (x, y));
        self.mouse("mousePressed", (x, y));
        self.mouse("mouseReleased", (x, y));
    }

    /// Points at an element, at parts of its width and height.
    pub(crate) fn hover(&mut self, selector: &str, part: (f64, f64)) {
        let at = self.place(selector, part);
        self.mouse("mouseMoved", at);
    }

    /// Presses the main button over the middle of an element, moves by so many px, and lets it go.
    pub(crate) fn drag(&mut self, selector: &str, by: (i32, i32)) {
        let from = self.place(selector, (0.5, 0.5));
        let at = |part: f64| (from.0 + f64::from(by.0) * part, from.1 + f64::from(by.1) * part);
        self.mouse("mouseMoved", from);
        self.mouse("mousePressed", from);
        for step in 1..=4 {
            self.mouse("mouseMoved", at(f64::from(step) / 4.0));
        }
        self.mouse("mouseReleased", at(1.0));
    }

    /// Touches an element shortly, at parts of its width and height.
    pub(crate) fn tap(&mut self, selector: &str, part: (f64, f64)) {
        let (x, y) = self.place(selector, part);
        let start = json!({"type": "touchStart", "touchPoints": [{"x": x, "y": y}]});
        self.connection.call("Input.dispatchTouchEvent", &start);
        let end = json!({"type": "touchEnd", "touchPoints": []});
        self.connection.call("Input.dispatchTouchEvent", &end);
    }

    /// Gives an element the focus.
    pub(crate) fn focus(&mut self, selector: &str) {
        self.evaluate(&format!("document.querySelector({}).focus()", json!(selector)));
    }

    /// Types a text into an element.
    pub(crate) fn write(&mut self, selector: &str, text: &str) {
        self.focus(selector);
        self.connection.call("Input.insertText", &json!({"text": text}));
    }

    /// Presses a key by its name in the standard for keyboard events, such as `ArrowRight`.
    pub(crate) fn press(&mut self, key: &str) {
        let text = match key {
            "Enter" => "\r",
            key if key.chars().count() == 1 => key,
            _ => "",
        };
        let code = match key {
            "Tab" => 9,
            "Enter" => 13,
            "Escape" => 27,
            " " => 32,
            "End" => 35,
            "Home" => 36,
            "ArrowLeft" => 37,
            "ArrowUp" => 38,
            "ArrowRight" => 39,
            "ArrowDown" => 40,
            _ => 0,
        };
        let mut event = json!({"type": "keyDown", "key": key, "code": key});
        event["text"] = json!(text);
        event["windowsVirtualKeyCode"] = json!(code);
        self.connection.call("Input.dispatchKeyEvent", &event);
        event["type"] = json!("keyUp");
        self.connection.call("Input.dispatchKeyEvent", &event);
    }

    /// Presses a letter while the control key is held.
    pub(crate) fn press_with_control(&mut self, letter: &str) {
        const CONTROL: u32 = 2;
        let code = letter.bytes().next().map_or(0, |byte| byte.to_ascii_uppercase());
        for kind in ["rawKeyDown", "keyUp"] {
            let event = json!({
                "type": kind, "key": letter, "modifiers": CONTROL, "windowsVirtualKeyCode": code,
            });
            self.connection.call("Input.dispatchKeyEvent", &event);
        }
    }

    /// The size of the window, px.
    pub(crate) fn resize(&mut self, width: u32, height: u32) {
        let size =
            json!({"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false});
        self.connection.call("Emulation.setDeviceMetricsOverride", &size);
    }

    /// Shows the page as it would be on something.
    pub(crate) fn show_as(&mut self, media: Media) {
        let scheme = if media == Media::Dark { "dark" } else { "light" };
        let medium = if media == Media::Print { "print" } else { "screen" };
        let features = json!([{"name": "prefers-color-scheme", "value": scheme}]);
        let call = json!({"media": medium, "features": features});
        self.connection.call("Emulation.setEmulatedMedia", &call);
    }

    /// Shows the page in the few colours that somebody has chosen for everything, or no longer.
    pub(crate) fn force_colours(&mut self, on: bool) {
        let value = if on { "active" } else { "none" };
        let features = json!([{"name": "forced-colors", "value": value}]);
        let call = json!({"media": "screen", "features": features});
        self.connection.call("Emulation.setEmulatedMedia", &call);
    }

    /// A picture of the page, PNG, as much of it as a picture can hold. It is kept under that name
    /// where pictures are wanted.
    pub(crate) fn picture(&mut self, name: &str) -> Vec<u8> {
        self.evaluate("scrollTo({top: 0, behavior: 'instant'})");
        let size = "(it => [it.clientWidth, Math.min(it.scrollHeight, 16000)])\
                    (document.documentElement)";
        let size = self.evaluate(size);
        let clip = json!({"x": 0, "y": 0, "width": size[0], "height": size[1], "scale": 1});
        let call = json!({"format": "png", "captureBeyondViewport": true, "clip": clip});
        let answer = self.connection.call("Page.captureScreenshot", &call);
        let picture = bytes(&answer);
        keep(&format!("{name}.png"), &picture);
        picture
    }

    /// The page printed, PDF, with 12 mm of margin.
    pub(crate) fn print(&mut self, paper: Paper, name: &str) -> Vec<u8> {
        let margin = 12.0 / 25.4;
        let call = json!({
            "printBackground": true, "preferCSSPageSize": false,
            "paperWidth": paper.width, "paperHeight": paper.height,
            "marginTop": margin, "marginBottom": margin, "marginLeft": margin, "marginRight": margin,
        });
        let answer = self.connection.call("Page.printToPDF", &call);
        let printed = bytes(&answer);
        keep(&format!("{name}.pdf"), &printed);
        printed
    }

    /// Errors and warnings on the console, exceptions that nobody caught, and loads that failed, so
    /// far.
    pub(crate) fn complaints(&mut self) -> &[String] {
        self.take_note();
        &self.complaints
    }

    /// Every address that was asked for so far, the page's own first.
    pub(crate) fn requests(&mut self) -> &[String] {
        self.take_note();
        &self.requests
    }

    fn take_note(&mut self) {
        // A call and its answer: whatever was on its way has come by then.
        self.evaluate("0");
        for event in self.connection.take_events() {
            let about = &event["params"];
            match event["method"].as_str() {
                Some("Runtime.exceptionThrown") => {
                    self.complaints.push(about["exceptionDetails"].to_string());
                }
                Some("Runtime.consoleAPICalled")
                    if about["type"] == "error" || about["type"] == "warning" =>
                {
                    self.complaints.push(about["args"].to_string());
                }
                Some("Log.entryAdded") if about["entry"]["level"] == "error" => {
                    self.complaints.push(about["entry"].to_string());
                }
                Some("Network.requestWillBeSent") => {
                    let address = about["request"]["url"].as_str().unwrap_or_default();
                    self.requests.push(address.to_owned());
                }
                _ => {}
            }
        }
    }

    /// A place on an element in the window, after it was scrolled into sight.
    fn place(&mut self, selector: &str, (across, down): (f64, f64)) -> (f64, f64) {
        let script = format!(
            "(() => {{ const it = document.querySelector({}); if (!it) return null; \
             it.scrollIntoView({{block: 'center', behavior: 'instant'}}); \
             let box = it.getBoundingClientRect(); \
             scrollBy({{top: box.y + box.height * {down} - innerHeight / 2, behavior: 'instant'}}); \
             box = it.getBoundingClientRect(); \
             return [box.x + box.width * {across}, box.y + box.height * {down}]; }})()",
            json!(selector)
        );
        let place = self.evaluate(&script);
        let number = |at: usize| place[at].as_f64().unwrap_or_else(|| panic!("no {selector}"));
        (number(0), number(1))
    }

    fn mouse(&mut self, kind: &str, (x, y): (f64, f64)) {
        let mut event = json!({"type": kind, "x": x, "y": y});
        if kind != "mouseMoved" {
            event["button"] = json!("left");
            event["clickCount"] = json!(1);
        }
        self.connection.call("Input.dispatchMouseEvent", &event);
    }
}

fn bytes(answer: &Value) -> Vec<u8> {
    let text = answer["data"].as_str().expect("data");
    STANDARD.decode(text).expect("base64")
}

fn keep(name: &str, contents: &[u8]) {
    if let Some(folder) = env::var_os("SETBAND_PICTURES") {
        fs::create_dir_all(&folder).expect("a folder for pictures");
        fs::write(Path::new(&folder).join(name), contents).expect("written");
    }
}
