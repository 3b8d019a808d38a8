//! Settings that a file may lack are added on the page, seen in the day, and taken back.

use serde_json::json;

use super::Opened;

/// The answer, the figures and the ledger of the day that is shown: whatever its size.
const SEEN: &str = "['#headline', '#figures', '#ledger'].map(it => document.querySelector(it).innerText).join('|')";

/// What is done with a setting.
enum Step<'a> {
    /// Its button is pressed.
    Button(&'a str),
    /// A number is typed into it.
    Number(&'a str),
    /// A word of it is chosen.
    Word(&'a str),
    /// Words are typed into it, one behind the other.
    List(&'a str),
}

fn field(key: &str) -> String {
    format!("[data-key=\"{key}\"]")
}

/// Waits until an element is there to be used.
fn wait_for(opened: &mut Opened, selector: &str) {
    let seen = format!("document.querySelector({})?.checkVisibility()", json!(selector));
    opened.page.wait_until(&seen);
}

/// Types into a field instead of what is there.
fn type_into(opened: &mut Opened, input: &str, value: &str) {
    wait_for(opened, input);
    opened.page.evaluate(&format!("document.querySelector({}).select()", json!(input)));
    opened.page.write(input, value);
    opened.page.press("Enter");
}

fn take(opened: &mut Opened, key: &str, step: &Step<'_>) {
    let place = field(key);
    match step {
        Step::Button(name) => {
            let button = format!("{place} button.{name}");
            wait_for(opened, &button);
            opened.page.focus(&button);
            opened.page.press("Enter");
        }
        Step::Number(value) => type_into(opened, &format!("{place} input[type=number]"), value),
        Step::List(value) => type_into(opened, &format!("{place} input[type=text]"), value),
        Step::Word(value) => opened.choose(&format!("{place} select"), value),
    }
}

/// Rules 15 to 18, each with a setting: the day is another one with it, and the same again once it is
/// undone.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_a_file_lacks_is_added_seen_and_undone() {
    let Some(mut opened) = Opened::scenario("open_window") else { return };
    let first = opened.page.evaluate(SEEN);
    let cases: [(&str, &[Step<'_>]); 6] = [
        // Rule 15.
        ("controls.outdoor_limits.heat_below", &[Step::Button("add"), Step::Number("-1")]),
        // Rule 16: added where the file has one, so it is changed and taken away.
        ("controls.window_contact.does", &[Step::Word("nothing")]),
        ("controls.window_contact.acts_after", &[Step::Number("20")]),
        // Rule 17.
        ("controls.return_at", &[Step::Button("add"), Step::List("10:00, 18:00")]),
        // Rule 18.
        ("controls.call_start.heating", &[Step::Button("add"), Step::Number("1.5")]),
        ("unit.integral_time", &[Step::Button("add")]),
    ];
    for (key, steps) in cases {
        let mut undos = 0;
        for step in steps {
            let past = opened.page.evaluate("document.querySelector('#undo').disabled");
            take(&mut opened, key, step);
            undos += 1;
            assert!(undos > 1 || past == json!(true), "{key}: nothing is left from before");
            opened.page.wait_until("!document.querySelector('#undo').disabled");
        }
        opened.page.wait_until(&format!("{SEEN} !== {first}"));
        assert_eq!(opened.page.text("#trouble"), "", "{key}");
        for _ in 0..undos {
            opened.page.click("#undo");
        }
        opened.page.wait_until(&format!("{SEEN} === {first}"));
        opened.page.wait_until("document.querySelector('#undo').disabled");
    }
    // What was added is taken away again by its own button, and the focus stays in its field.
    let limit = "controls.outdoor_limits.cool_above";
    take(&mut opened, limit, &Step::Button("add"));
    take(&mut opened, limit, &Step::Button("remove"));
    let add = format!("{} button.add", field(limit));
    wait_for(&mut opened, &add);
    opened.page.wait_until(&format!("document.activeElement.matches({})", json!(add)));
    assert_eq!(opened.page.complaints(), [""; 0]);
    opened.page.picture("serve-forms");
}
