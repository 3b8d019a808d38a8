//! Settings, presses, the pin, undo and the address.

use serde_json::json;

use super::{Opened, SHOWN};
use crate::report::assert_nothing_sticks_out;
use crate::served::Served;

const DEADBAND: &str = "zones.reading_room.controls.min_deadband";

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_deadband_is_edited_and_headline_and_chart_follow() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let (headline, line) = (opened.headline(), opened.line("cool-setpoint"));
    let energy = opened.figure("energy");
    opened.set(DEADBAND, "0");
    opened.wait_for_other(&headline);
    assert_ne!(opened.figure("energy"), energy);
    assert_ne!(opened.line("cool-setpoint"), line);
    // With no deadband both setpoints are one value.
    let ends = opened.page.evaluate(
        "[...document.querySelectorAll('#chart .line-labels text')].map(it => it.textContent.trim())",
    );
    let ends: Vec<&str> =
        ends.as_array().expect("labels").iter().filter_map(|it| it.as_str()).collect();
    let end = |name: &str| {
        let label = ends.iter().find_map(|label| label.strip_prefix(name));
        label.unwrap_or_else(|| panic!("{ends:?}")).trim().to_owned()
    };
    assert_eq!(end("heat setpoint"), end("cool setpoint"));
    assert_eq!(opened.page.complaints(), [""; 0]);
    let own = opened.served.address.clone();
    assert!(opened.page.requests().iter().all(|it| it.starts_with(&own)), "no network");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_stands_against_a_setting_is_told_beside_it_with_a_button_that_changes_both() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let headline = opened.headline();
    let heat = "[data-path=\"zones.reading_room.controls.heat\"]";
    // It pushes the other side, as the keys do, and says so.
    opened.set("zones.reading_room.controls.heat", "22");
    let told = format!("document.querySelector('{heat} .told')?.textContent");
    opened.page.wait_until(&format!("{told}?.includes('Cool moved from 23 to 24')"));
    opened.wait_for_other(&headline);
    let pushed = opened.headline();
    // Limits stand against it: nothing changes until somebody says so.
    opened.set("zones.reading_room.controls.heat", "30");
    opened.page.wait_until(&format!("{told}?.includes('The limits of heat stand against 30')"));
    let value = opened.page.evaluate(&format!("document.querySelector('{heat} input').value"));
    assert_eq!((opened.headline(), value), (pushed.clone(), json!("22")));
    opened.page.click(&format!("{heat} .told button"));
    opened.wait_for_other(&pushed);
    opened.page.wait_until(&format!(
        "document.querySelector('{heat} input[type=number]').value === '30' && \
         document.querySelector('[data-key=\"controls.limits.heat\"] [data-end=\"1\"]').value === '30'"
    ));
    assert_eq!(opened.page.text("#trouble"), "");
    assert_eq!(opened.page.complaints(), [""; 0]);
}

/// What stands in fields is what is in force, and half a word is no name.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn fields_agree_with_what_is_in_force_after_undo() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let headline = opened.headline();
    opened.set(DEADBAND, "3");
    opened.wait_for_other(&headline);
    let field = format!("[data-path=\"{DEADBAND}\"] input[type=number]");
    let value = format!("document.querySelector('{field}').value");
    // The focus is in the field still.
    opened.page.press_with_control("z");
    opened.page.wait_until(&format!(
        "document.querySelector('#headline').innerText === {}",
        json!(headline)
    ));
    assert_eq!(opened.page.evaluate(&value), "2");
    // What is half typed is not meant, and undo is the field's own then.
    opened.page.evaluate(&format!("document.querySelector('{field}').select()"));
    opened.page.write(&field, "7");
    opened.page.press_with_control("z");
    assert_eq!(opened.headline(), headline);
    opened.page.press("Escape");
    assert_eq!(opened.page.evaluate(&value), "2");
    // Undo stays in text fields, too.
    opened.set(DEADBAND, "3");
    opened.wait_for_other(&headline);
    opened.page.write("#moment input[maxlength=\"40\"]", "x");
    opened.page.press_with_control("z");
    opened.page.wait_until("new Promise(done => setTimeout(() => done(true), 300))");
    assert_ne!(opened.headline(), headline, "only the letter was taken back");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_press_on_the_chart_finds_its_ledger_row_and_the_row_its_press() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let page = &mut opened.page;
    let row = page.evaluate("document.querySelector('#chart .mark.limited').dataset.row");
    let row = row.as_str().expect("a mark that was limited").to_owned();
    page.click("#chart .mark.limited");
    let chosen = format!("#ledger tr[data-row=\"{row}\"][aria-current=true]");
    page.wait_until(&format!("document.querySelector('{chosen}')"));
    let words = page.text(&chosen);
    assert!(words.contains("17:30") && words.contains("limited"), "{words}");
    // The time goes with it, and the chain of causes.
    page.wait_until("document.querySelector('.why h3')?.textContent.startsWith('At 17:30')");
    page.click("#ledger tbody tr:first-child button");
    page.wait_until(
        "document.querySelector('#chart .mark.selected')?.ariaLabel.startsWith('08:40')",
    );
    assert_eq!(page.complaints(), [""; 0]);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_state_is_pinned_and_compared_with() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let pinned = opened.figure("energy");
    opened.page.click("#pin");
    opened.page.wait_until("document.querySelector('[data-figure=energy] .difference')");
    let headline = opened.headline();
    opened.set(DEADBAND, "0");
    opened.wait_for_other(&headline);
    let difference = opened.page.text("[data-figure=energy] .difference");
    assert!(
        difference.contains("more than pinned") && difference.contains(&pinned),
        "{difference}"
    );
    assert_eq!(opened.page.shown("#chart .pinned-air"), 1);
    opened.page.click("#unpin");
    opened.page.wait_until("!document.querySelector('.difference')");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn everything_can_be_undone_and_done_again() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let headline = opened.headline();
    opened.set(DEADBAND, "3");
    opened.wait_for_other(&headline);
    let wide = opened.headline();
    opened.choose("#variant", "single");
    opened.wait_for_other(&wide);
    opened.page.evaluate("document.activeElement.blur()");
    opened.page.press_with_control("z");
    opened
        .page
        .wait_until(&format!("document.querySelector('#headline').innerText === {}", json!(wide)));
    opened.page.press_with_control("z");
    opened.page.wait_until(&format!(
        "document.querySelector('#headline').innerText === {}",
        json!(headline)
    ));
    assert_eq!(opened.page.evaluate("document.querySelector('#undo').disabled"), true);
    opened.page.press_with_control("y");
    opened
        .page
        .wait_until(&format!("document.querySelector('#headline').innerText === {}", json!(wide)));
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn the_address_brings_everything_back() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    let headline = opened.headline();
    opened.choose("[data-key=owner] select", "office");
    opened.wait_for_other(&headline);
    opened.open_room("showroom");
    opened.page.click("[data-key=warmer]");
    opened.page.wait_until("document.querySelector('.pressed li')");
    opened
        .page
        .wait_until("document.querySelector('#chart-title').textContent.includes('Showroom')");
    opened.page.wait_until(
        "[...document.querySelectorAll('#ledger tr')].some(row => row.textContent.includes('visitor'))",
    );
    let (headline, address) = (opened.headline(), opened.page.evaluate("location.href"));
    let address = address.as_str().expect("an address").to_owned();
    // The same file at another server, as on another machine.
    let other = Served::scenario("weavers_yard_wrong_owner");
    opened.page.go("about:blank");
    opened.page.go(&address.replace(&opened.served.address, &other.address));
    opened.page.wait_until(SHOWN);
    assert_eq!(opened.headline(), headline);
    assert!(opened.page.text(".pressed").contains("visitor"));
    assert!(opened.page.text("#chart-title").contains("Showroom"));
    assert_eq!(opened.page.text("#trouble"), "");
    // A damaged address begins afresh, and says so.
    opened.page.go("about:blank");
    opened.page.go(&format!("{}#broken", opened.served.address));
    opened.page.wait_until(SHOWN);
    assert!(opened.page.text("#trouble").contains("damaged"));
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_click_on_the_chart_sets_the_time_and_keys_are_pressed_then() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let headline = opened.headline();
    let page = &mut opened.page;
    page.hover("#chart .ground", (0.5, 0.2));
    page.wait_until("!document.querySelector('#chart .readout').hidden");
    let noon = page.text("#chart .readout");
    assert!(noon.starts_with("12:0") || noon.starts_with("11:5"), "the middle is noon: {noon}");
    page.click("#chart .ground");
    page.wait_until("document.querySelector('.why h3')?.textContent.match(/^At 1[12]:[05]/)");
    assert!(page.shown(".chain dt") >= 8, "the chain of causes");
    page.click("[data-key=power]");
    page.wait_until("document.querySelector('.pressed li')");
    opened.wait_for_other(&headline);
    opened.page.click(".pressed button");
    opened.page.wait_until(&format!(
        "document.querySelector('#headline').innerText === {}",
        json!(headline)
    ));
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn the_edited_file_its_report_and_its_test_sheet_are_handed_over() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let headline = opened.headline();
    opened.set(DEADBAND, "3");
    opened.wait_for_other(&headline);
    let saved = opened.handed_over("file");
    assert!(saved.contains("min_deadband: 3\n"), "{saved}");
    assert!(saved.contains("# As far as the limits go: 30 is held at 24"), "{saved}");
    for (which, has) in [("report", "What happened?"), ("sheet", "cool stays where it was pushed")]
    {
        let saved = opened.handed_over(which);
        let begins = saved.to_lowercase().starts_with("<!doctype html>");
        assert!(begins && saved.contains(has), "{which}");
        // Both are of the edited settings.
        assert!(saved.contains("3 °C"), "{which}");
    }
}

/// What the file asks is reviewed on the page, with what fails and how.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_the_file_asks_is_reviewed() {
    let Some(mut opened) = Opened::scenario("specified_surgery") else { return };
    opened.settled_headline();
    opened.page.click("#requirements-ask");
    opened
        .page
        .wait_until("document.querySelectorAll('#requirements-shown tbody tr').length === 5");
    let rows = opened.page.evaluate(
        "[...document.querySelectorAll('#requirements-shown tbody tr')].map(it => \
         [...it.children].map(cell => cell.textContent.trim()))",
    );
    let rows = rows.as_array().expect("rows");
    let verdicts: Vec<&str> = rows.iter().filter_map(|row| row[2].as_str()).collect();
    assert_eq!(verdicts, ["holds", "holds", "holds", "fails", "fails"]);
    let counter = rows[4][4].as_str().expect("a text");
    assert!(counter.contains("Waiting room"), "{counter}");
    opened.page.picture("requirements");
    opened.page.resize(400, 900);
    assert_nothing_sticks_out(&mut opened.page, "requirements 400");
    opened.page.picture("requirements-400");
    assert_eq!(opened.page.complaints(), [""; 0]);
}
