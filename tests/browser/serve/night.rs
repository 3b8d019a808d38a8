//! The worst night: asked on the page, answered by what is proved and by a picture.

use super::Opened;

const ANSWERED: &str = "document.querySelector('#night-shown .chart svg')";

/// By script: the form moves while what would help arrives above it.
fn ask(opened: &mut Opened) {
    opened.page.evaluate("document.querySelector('#night-ask').click()");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn the_worst_night_is_proved_on_the_page_and_a_lock_is_seen_to_help() {
    let Some(mut opened) = Opened::scenario("joinery_pipes") else { return };
    opened.page.write("#night-coldest", "-12");
    opened.page.write("#night-least", "8");
    opened.choose("#night-hours", "12");
    ask(&mut opened);
    opened.page.wait_until(ANSWERED);
    let told = opened.page.text("#night-shown");
    assert!(told.starts_with("Not proved."), "{told}");
    assert!(told.contains("power off, at -12.0 °C outside"), "{told}");
    assert!(told.contains("ocking power and mode gives"), "{told}");
    assert!(told.contains("Not covered: broken equipment"), "{told}");
    opened.page.picture("serve-night");
    // The answer goes with the state that it is about.
    opened.choose("#variant", "locked");
    opened.page.wait_until(&format!("!{ANSWERED}"));
    ask(&mut opened);
    opened.page.wait_until(ANSWERED);
    assert!(opened.page.text("#night-shown").starts_with("Proved."));
    // Narrow windows show all of it without scrolling sideways.
    opened.page.resize(400, 900);
    opened.page.wait_until("document.documentElement.scrollWidth <= 400");
    opened.page.picture("serve-night-narrow");
    assert_eq!(opened.page.complaints(), [""; 0]);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_takes_too_long_for_a_page_is_said() {
    let Some(mut opened) = Opened::scenario("dyehouse_32_rooms") else { return };
    opened.open_room("floor0_canal_1");
    opened.choose("#night-hours", "72");
    ask(&mut opened);
    opened
        .page
        .wait_until("document.querySelector('#trouble').innerText.includes('ask for fewer hours')");
    assert_eq!(opened.page.text("#night-shown"), "");
    // What is refused beside the day leaves the day as it is.
    let stale = "document.querySelector('#day-view').classList.contains('stale') || \
                 document.querySelector('#trouble').innerText.includes('could be simulated')";
    assert_eq!(opened.page.evaluate(stale), false);
    opened.choose("#keep", "sheet");
    opened.page.wait_until("document.querySelector('#trouble').innerText.includes('test sheet')");
    assert_eq!(opened.page.evaluate(stale), false);
    assert_eq!(
        opened.page.evaluate("getComputedStyle(document.querySelector('#chart')).opacity"),
        "1"
    );
}
