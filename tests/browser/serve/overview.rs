//! The first screen: what it says, what fits on it, and how few actions lead on.

use std::fmt::Write as _;

use serde_json::json;

use super::Opened;
use crate::Page;
use crate::served::Served;

/// How many elements a page may have, whatever the file.
const MOST_NODES: u64 = 3000;

fn nodes(opened: &mut Opened) -> u64 {
    opened.page.evaluate("document.querySelectorAll('*').length").as_u64().expect("a number")
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn the_first_sentence_names_the_worst_room_and_its_cause() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    let first = opened.headline();
    assert!(first.starts_with("Showroom waited longest, starved for 11.9 h"), "{first}");
    assert!(
        first.contains("needed heating while the plant cooled, as Loom room decides"),
        "{first}"
    );
    let order = "[...document.querySelectorAll('.zone-rows li')].map(it => it.dataset.zone)";
    assert_eq!(opened.page.evaluate(order), json!(["showroom", "office", "loom_room"]));
    // Sums over rooms say so.
    let sums = opened.page.text("[data-figure=starved] dt");
    assert_eq!(sums, "Starved, all rooms");
    // What is meant by worst can be chosen.
    opened.choose("#worst", "denied");
    opened.page.wait_until("document.querySelector('.zone-rows li').dataset.zone === 'office'");
    assert!(opened.headline().starts_with("1 of 4 requests in Office"), "{}", opened.headline());
    // Text alternatives carry the temperatures.
    let told = opened.page.evaluate("document.querySelector('.zone-rows li svg desc').textContent");
    let told = told.as_str().expect("a text");
    assert!(told.contains("air ") && told.contains("heat setpoint 20"), "{told}");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn thirty_two_rooms_stand_on_one_screen_and_a_limit_goes_to_all_of_them_in_one_action() {
    let Some(mut opened) = Opened::scenario("dyehouse_32_rooms") else { return };
    opened.page.resize(1280, 800);
    opened.page.wait_until(
        "document.querySelectorAll('.zone-rows li').length === 32 && scrollY === 0 && \
         document.querySelector('.zone-rows').getBoundingClientRect().bottom <= 800",
    );
    assert!(nodes(&mut opened) <= MOST_NODES, "{} nodes", nodes(&mut opened));
    opened.page.picture("serve-rooms-32");
    let headline = opened.headline();
    // The one action: 24 for the lowest cool setpoint of all rooms.
    let field = "[data-key=\"controls.limits.cool\"] [data-end=\"0\"]";
    opened.page.evaluate(&format!("document.querySelector({}).select()", json!(field)));
    opened.page.write(field, "24");
    opened.page.press("Enter");
    opened.wait_for_other(&headline);
    opened.page.wait_until(&format!("document.querySelector({}).value === '24'", json!(field)));
    let told = opened.page.text("[data-key=\"controls.limits.cool\"] .told");
    assert!(told.contains("Cool moved from 23 to 24"), "{told}");
    assert_eq!(opened.page.text("[data-key=\"controls.limits.cool\"] .mixed"), "");
    assert_eq!(opened.page.text("#trouble"), "");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn why_a_room_is_cold_is_two_actions_away() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    opened.open_room("showroom");
    let page = &mut opened.page;
    page.hover("#chart .ground", (0.57, 0.5));
    page.wait_until("!document.querySelector('#chart .readout').hidden");
    page.click("#chart .ground");
    page.wait_until("document.querySelector('.why h3')?.textContent.startsWith('At 1')");
    let why = page.text(".why");
    assert!(why.contains("Loom room") || why.contains("loom_room"), "{why}");
    // And back, with the focus where it was.
    page.click("#see-all");
    page.wait_until("document.activeElement.dataset.keep === 'zone-showroom'");
    assert_eq!(page.complaints(), [""; 0]);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_would_help_is_tried_with_one_click_and_undone_with_one() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    let headline = opened.headline();
    opened.page.wait_until("document.querySelectorAll('.remedies li').length >= 2");
    let offered = opened.page.shown(".remedies li");
    assert!((2..=5).contains(&offered), "{offered}");
    let words = opened.page.text("#help");
    for plain in ["owner:", "mode_policy", "setband ", "controls."] {
        assert!(!words.contains(plain), "{plain} in {words}");
    }
    assert!(words.contains("Starved23.9 \u{2192} ") || words.contains("23.9"), "{words}");
    let starved = opened.figure("starved");
    opened.page.click(".remedies .try");
    opened.wait_for_other(&headline);
    assert_ne!(opened.figure("starved"), starved);
    opened.page.wait_until("document.activeElement.id === 'undo-remedy'");
    opened.page.click("#undo-remedy");
    opened.page.wait_until(&format!(
        "document.querySelector('#headline').innerText === {}",
        json!(headline)
    ));
    assert_eq!(opened.page.complaints(), [""; 0]);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_year_is_a_calendar_whose_days_open() {
    let Some(mut opened) = Opened::scenario("chandlery_year") else { return };
    let page = &mut opened.page;
    page.wait_until("document.querySelectorAll('.calendar button').length === 365");
    // It begins with the worst day.
    let worst = page.text("[data-figure=outside]");
    assert!(worst.contains("in 365 days") && worst.contains("this day"), "{worst}");
    let present = page.evaluate("document.querySelector('.calendar [aria-current]').dataset.day");
    page.focus(".calendar [aria-current]");
    page.press("ArrowRight");
    let next = page.evaluate("document.activeElement.dataset.day");
    assert_ne!(present, next);
    page.press("Enter");
    page.wait_until(&format!(
        "document.querySelector('.calendar [aria-current]').dataset.day === {next}"
    ));
    let day: i64 = next.as_str().and_then(|it| it.parse().ok()).expect("a day");
    let date = page.text("#date");
    assert!(date.contains(&format!("day {} of 365", day + 1)), "{date}");
    page.picture("serve-calendar");
    assert!(nodes(&mut opened) <= MOST_NODES, "{} nodes", nodes(&mut opened));
    assert_eq!(opened.page.complaints(), [""; 0]);
}

/// Two settings are dragged on the chart, one by the pointer and one by arrow keys.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_setting_is_dragged_on_the_chart_and_the_other_side_moves() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let headline = opened.headline();
    let page = &mut opened.page;
    let heat = "[data-handle=\"controls.heat\"]";
    page.focus(heat);
    for _ in 0..4 {
        page.press("ArrowUp");
    }
    page.wait_until(&format!(
        "document.querySelector('{heat}').getAttribute('aria-valuetext').startsWith('22')"
    ));
    let told = page.text("#handle-told");
    assert!(told.contains("Cool moved from 23 to 24"), "{told}");
    assert_eq!(page.evaluate(&format!("document.activeElement.matches('{heat}')")), true);
    opened.wait_for_other(&headline);
    let before = opened.settled_headline();
    opened.page.drag("[data-handle=\"controls.min_deadband\"]", (0, -60));
    opened.wait_for_other(&before);
    let wide = "Number(document.querySelector('[data-handle=\"controls.min_deadband\"]').getAttribute('aria-valuenow')) > 2";
    opened.page.wait_until(wide);
    // A drag is one change.
    opened.page.click("#undo");
    opened.page.wait_until(&format!(
        "document.querySelector('#headline').innerText === {}",
        json!(before)
    ));
    assert_eq!(opened.page.complaints(), [""; 0]);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn pinned_and_present_stand_on_one_axis_with_their_differences() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    opened.page.click("#pin");
    let headline = opened.headline();
    opened.set("zones.reading_room.controls.min_deadband", "0");
    opened.wait_for_other(&headline);
    opened.page.click("#see-compare");
    opened.page.wait_until("document.querySelectorAll('#compare-shown svg').length === 2");
    let words = opened.page.text(".sides");
    assert!(words.contains("pinned") && words.contains("more"), "{words}");
    opened.page.picture("serve-compare");
    // A variant of the file as well.
    opened.choose("#against", "wide");
    opened.page.wait_until("document.querySelector('.sides thead')?.innerText.includes('wide')");
    assert_eq!(opened.page.complaints(), [""; 0]);
}

/// The page as one file: read without a server, and gone on with by another.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn one_file_keeps_the_page_and_is_opened_again() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    opened.page.click("#pin");
    let headline = opened.headline();
    opened.set("zones.reading_room.controls.min_deadband", "4");
    opened.wait_for_other(&headline);
    let now = opened.headline();
    let saved = opened.handed_over("bundle");
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("kept.html");
    std::fs::write(&file, saved).expect("written");
    opened.page.go(&format!("file://{}", file.display()));
    let words = opened.page.text("body");
    for part in
        ["Changed on the page", "minimum deadband 4", "Beside the pinned state", "What happened?"]
    {
        assert!(words.contains(part), "{part}");
    }
    opened.page.picture("serve-kept");
    assert_eq!(opened.page.complaints(), [""; 0]);
    let again = Served::start(Some(&file));
    opened.page.go(&again.address);
    opened.page.wait_until(super::SHOWN);
    assert_eq!(opened.headline(), now);
    assert_eq!(opened.page.text("#trouble"), "");
    assert_eq!(opened.page.shown("#unpin"), 1, "the pin is there, too");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn an_address_made_with_another_file_says_so() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let headline = opened.headline();
    opened.set("zones.reading_room.controls.min_deadband", "4");
    opened.wait_for_other(&headline);
    let address = opened.page.evaluate("location.href");
    let (_, state) = address.as_str().and_then(|it| it.split_once('#')).expect("a state");
    let other = Served::scenario("one_setpoint");
    opened.page.go("about:blank");
    opened.page.go(&format!("{}#{state}", other.address));
    opened
        .page
        .wait_until("document.querySelector('#trouble').textContent.includes('another scenario')");
}

/// A hall with this log and this deadband, served from a folder.
fn site_of(folder: &std::path::Path, name: &str, log: &str, deadband: u32) -> Served {
    std::fs::write(folder.join(name), log).expect("written");
    let file = folder.join("hall.yaml");
    let text = format!(
        "log: {{file: {name}, outdoor: out, zones: {{hall: {{temperature: air, heat: h, cool: c}}}}}}\n\
         zones:\n  hall:\n    space: {{floor: 60 m2}}\n    unit: {{heating: 4 kW, cooling: 4 kW}}\n    \
         controls: {{heat: 20, cool: 24, min_deadband: {deadband}}}\n"
    );
    std::fs::write(&file, text).expect("written");
    Served::start(Some(&file))
}

/// A site whose log covers a day: its heat and cool setpoints stand closer than the settings allow.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_was_measured_stands_beside_and_a_complaint_is_answered_from_it() {
    let Some(mut browser) = crate::Browser::start() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let mut log = "time,out,air,h,c\n".to_owned();
    for step in 0..144 {
        let (hour, minute) = (step / 6, step % 6 * 10);
        let _ = writeln!(log, "2025-04-16 {hour:02}:{minute:02},9,18,17,18");
    }
    let served = site_of(folder.path(), "week.csv", &log, 3);
    let mut page = browser.page(&served.address);
    page.resize(1400, 900);
    page.wait_until(
        "document.querySelector('#log-shown svg') && document.querySelector('.findings li')",
    );
    let found = page.text("#log-shown");
    assert!(found.contains("contradict"), "{found}");
    page.click("[data-felt=cold]");
    page.wait_until("document.querySelector('#complaint [role=status]').textContent !== ''");
    let why = page.text("#complaint");
    assert!(why.contains("was cold at 18") && why.contains("From the log"), "{why}");
    assert_eq!(page.complaints(), [""; 0]);
}

/// A day of a log: measured, as logged, and as it would have been with what the page has changed, with an
/// interval where a fit left draws of the room beside the file.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn the_days_of_a_log_are_replayed_with_the_present_settings() {
    let Some(mut browser) = crate::Browser::start() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let mut log = "time,out,air,h,c\n".to_owned();
    for step in 0..144 {
        let (hour, minute) = (step / 6, step % 6 * 10);
        let air = if step % 2 == 0 { 20.3 } else { 19.8 };
        let _ = writeln!(log, "2025-04-16 {hour:02}:{minute:02},6,{air},20,24");
    }
    let draws = "draw,zones.hall.space.opaque\n1,60 W/K\n2,80 W/K\n3,110 W/K\n";
    std::fs::write(folder.path().join("draws.csv"), draws).expect("written");
    let served = site_of(folder.path(), "day.csv", &log, 2);
    let mut page = browser.page(&served.address);
    page.resize(1400, 900);
    page.wait_until("document.querySelector('#log-shown svg')");
    let field = "[data-key=\"controls.heat\"] input[type=number]";
    page.evaluate(&format!("document.querySelector({}).select()", json!(field)));
    page.write(field, "21.5");
    page.press("Enter");
    page.wait_until("!document.querySelector('#undo').disabled");
    page.click("#replay-ask");
    page.wait_until(
        "document.querySelector('#replay .sides') && document.querySelector('#replay svg')",
    );
    let heads = "[...document.querySelectorAll('#replay thead th')].map(it => it.innerText)";
    assert_eq!(
        page.evaluate(heads),
        json!([
            "measured",
            "as logged",
            "as written",
            "present settings",
            "present settings less as logged"
        ])
    );
    let mean = |page: &mut Page, column: usize| {
        page.text(&format!("#replay tbody tr:nth-child(4) td:nth-of-type({column})"))
    };
    let number = |text: &str| text.parse::<f64>().unwrap_or_else(|_| panic!("{text}"));
    let [logged, present] = [2, 4].map(|column| number(&mean(&mut page, column)));
    assert!(present - logged > 0.8, "{logged} {present}");
    let difference = mean(&mut page, 5);
    assert!(difference.starts_with('+') && difference.contains("95 of 100 draws"), "{difference}");
    let told = page.text("#replay [role=status]");
    assert!(told.contains("With the present settings") && told.contains("3 draws"), "{told}");
    page.picture("serve-replay");
    // An answer about another state goes.
    page.click("#undo");
    page.wait_until("!document.querySelector('#replay .sides')");
    assert_eq!(page.complaints(), [""; 0]);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_would_have_helped_against_a_complaint_is_tried_with_a_button() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    opened.open_room("showroom");
    let page = &mut opened.page;
    page.click("[data-felt=cold]");
    page.wait_until("document.querySelector('.relief .try')");
    let why = page.text("#complaint");
    assert!(why.contains("was cold at") && why.contains("warmer then"), "{why}");
    for plain in ["controls.", "zones.", "_"] {
        assert!(!why.contains(plain), "{plain} in {why}");
    }
    let heat = "document.querySelector('[data-key=\"controls.heat\"] input[type=number]').value";
    assert_eq!(page.evaluate(heat), "20");
    page.click(".relief .try");
    page.wait_until(&format!("Number({heat}) > 20"));
    page.wait_until("document.activeElement.id === 'undo-remedy'");
    page.click("#undo-remedy");
    page.wait_until(&format!("{heat} === '20'"));
    assert_eq!(page.complaints(), [""; 0]);
}
