//! Predict, then reveal; and find the fault.

use serde_json::{Value, json};

use super::access::{axe, found};
use super::{Opened, SHOWN};
use crate::{Media, Page, Paper};

/// Goes to a place of the page and waits until something is there.
pub(super) fn go(page: &mut Page, address: &str, place: &str, ready: &str) {
    page.go("about:blank");
    page.go(&format!("{address}{place}"));
    page.wait_until(&format!("document.querySelector('{ready}')"));
}

/// Answers a step by the place of a choice, and waits for the verdict.
pub(super) fn choose(page: &mut Page, place: usize) {
    page.evaluate(&format!(
        "document.querySelector('input[name=choice][value=\"{place}\"]').click()"
    ));
    page.evaluate("document.querySelector('#answer').click()");
    page.wait_until("document.querySelector('#verdict')");
}

pub(super) fn next(page: &mut Page) {
    page.evaluate("document.querySelector('#next').click()");
    page.wait_until("document.querySelector('#answer')");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_lesson_is_played_right_and_wrong_to_the_room_that_stays_open() {
    let Some(mut opened) = Opened::scenario("one_setpoint") else { return };
    let address = opened.served.address.clone();
    let page = &mut opened.page;
    page.click("nav [data-view=lessons]");
    page.wait_until("document.querySelectorAll('.lessons a').length >= 9");
    page.picture("serve-lessons");
    go(page, &address, "#lesson=who_gives_way", "#answer");
    // What is known is drawn, and nothing that is still to come.
    assert_eq!(page.shown("#lessons-view .premises svg .ahead"), 1);
    assert_eq!(page.shown("#lessons-view .premises svg .request"), 0);
    assert!(page.text(".known").contains("at least 2 degrees"), "{}", page.text(".known"));
    page.picture("serve-lesson-question");
    page.click("#answer");
    assert_eq!(page.text("#lessons-view [role=status]"), "Choose what you expect first.");
    // Nobody is thrown out by the skip link.
    page.evaluate("document.querySelector('#skip-answer').click()");
    assert_eq!(page.evaluate("document.activeElement.id"), "question");
    // Wrong: the other room is drawn beside the one that is.
    choose(page, 0);
    assert!(
        page.text("#verdict").starts_with("Not so. What happens: heat 22, cool 24"),
        "{}",
        page.text("#verdict")
    );
    assert_eq!(page.evaluate("document.activeElement.id"), "verdict");
    assert!(page.text("#beside").contains("It would come so if"), "{}", page.text("#beside"));
    assert_eq!(page.shown(".beside figure svg"), 2);
    page.wait_until("document.querySelector('#said').textContent.startsWith('Not so')");
    page.picture("serve-lesson-wrong");
    let before = page.text("#beside");
    page.evaluate("document.querySelector('.conditions button').click()");
    page.wait_until(&format!("document.querySelector('#beside').innerText !== {}", json!(before)));
    assert!(page.text("#beside").starts_with("Another answer"));
    next(page);
    // Right.
    choose(page, 1);
    assert!(
        page.text("#verdict").starts_with("Right: heat 20, cool 22"),
        "{}",
        page.text("#verdict")
    );
    assert_eq!(page.shown("#beside"), 0);
    // Not known.
    for last in [false, true] {
        next(page);
        page.evaluate("document.querySelector('#unknown').click()");
        page.wait_until("document.querySelector('#verdict')");
        assert_eq!(page.shown("#try-it") == 1, last);
    }
    assert_eq!(page.text("#score"), "1 of 4 as expected");
    page.picture("serve-lesson-end");
    // The room of the lesson stays open, whatever file is served.
    page.evaluate("document.querySelector('#try-it').click()");
    page.wait_for_load();
    page.wait_until(&format!("document.querySelector('#trying').textContent && {SHOWN}"));
    assert!(page.text("#title").contains("reading room"), "{}", page.text("#title"));
    let headline = opened.headline();
    opened.set("zones.reading_room.controls.min_deadband", "4");
    opened.wait_for_other(&headline);
    let tried = opened.headline();
    let page = &mut opened.page;
    page.picture("serve-lesson-tried");
    let there = page.evaluate("location.href");
    page.go("about:blank");
    page.go(there.as_str().expect("an address"));
    page.wait_until(&format!("document.querySelector('#trying').textContent && {SHOWN}"));
    page.wait_until(&format!("document.querySelector('#headline').innerText === {}", json!(tried)));
    page.evaluate("document.querySelector('#own-file').click()");
    page.wait_for_load();
    page.wait_until("document.querySelector('#title').textContent.includes('One setpoint')");
    assert_eq!(page.text("#trying"), "");
    assert_eq!(page.complaints(), [""; 0]);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_fault_is_looked_for_with_keys_and_questions_and_found() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let address = opened.served.address.clone();
    let page = &mut opened.page;
    go(page, &address, "#fault=11", "#fault-view .chart svg");
    page.wait_until("document.querySelector('#fault-view input[name=fault]')");
    let rows = page.shown("#fault-view .ledger tbody tr");
    page.click("#fault-view [data-key=warmer]");
    page.wait_until(&format!(
        "document.querySelectorAll('#fault-view .ledger tbody tr').length > {rows}"
    ));
    assert_eq!(page.shown("#fault-view td[data-name=Why]"), 0, "reasons are held back");
    assert_eq!(page.text("#worth"), "A right answer is worth 10 now.");
    page.evaluate("document.querySelector('[data-ask]').click()");
    page.wait_until("document.querySelector('#worth').textContent.includes('worth 9')");
    assert_eq!(page.shown(".asking li strong"), 1);
    page.wait_until("document.querySelector('#said').textContent.includes('worth 9')");
    let choices = page.shown("#fault-view input[name=fault]");
    let mut wrong = 0;
    for place in 0..choices {
        page.evaluate(&format!(
            "document.querySelectorAll('#fault-view input[name=fault]')[{place}].click()"
        ));
        page.evaluate("document.querySelector('#guess').click()");
        page.wait_until(&format!(
            "document.querySelector('#fault-score') || document.querySelector('#not-that')?.textContent.includes('so far: {}.')",
            wrong + 1
        ));
        if page.shown("#fault-score") == 1 {
            break;
        }
        wrong += 1;
        if wrong == 1 {
            assert_eq!(page.shown("#verdict-shown figure svg"), 1, "the day that it had been");
            assert!(page.text("#verdict-shown").contains("then you would see this"));
            page.picture("serve-fault-wrong");
        }
    }
    let worth = 9_u64.saturating_sub(3 * wrong);
    assert_eq!(page.text("#fault-score"), format!("Right: {worth} of 10"));
    assert!(!page.text("#verdict-shown").contains("zones."), "in words");
    page.picture("serve-fault");
    assert_eq!(page.complaints(), [""; 0]);
}

/// Who tried a lesson's room finds their own file as they left it, and can still undo.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn the_own_file_is_as_it_was_left_after_a_lesson_was_tried() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let first = opened.headline();
    opened.set("zones.reading_room.controls.min_deadband", "4");
    opened.wait_for_other(&first);
    let changed = opened.headline();
    let page = &mut opened.page;
    page.evaluate("location.hash = '#lesson=no_deadband'");
    for last in [false, false, true] {
        page.wait_until("document.querySelector('#unknown')");
        page.evaluate("document.querySelector('#unknown').click()");
        page.wait_until("document.querySelector('#verdict')");
        page.evaluate(&format!(
            "document.querySelector('{}').click()",
            if last { "#try-it" } else { "#next" }
        ));
    }
    page.wait_for_load();
    page.wait_until(&format!("document.querySelector('#trying').textContent && {SHOWN}"));
    assert_eq!(page.evaluate("document.querySelector('#undo').disabled"), true);
    page.evaluate("document.querySelector('#own-file').click()");
    page.wait_for_load();
    page.wait_until(&format!("!document.querySelector('#trying').textContent && {SHOWN}"));
    page.wait_until(&format!(
        "document.querySelector('#headline').innerText === {}",
        json!(changed)
    ));
    page.evaluate("document.querySelector('#undo').click()");
    page.wait_until(&format!(
        "document.querySelector('#redo').disabled === false && document.querySelector('#headline').innerText === {}",
        json!(first)
    ));
    page.evaluate("document.querySelector('#redo').click()");
    page.wait_until(&format!(
        "document.querySelector('#headline').innerText === {}",
        json!(changed)
    ));
    assert_eq!(page.complaints(), [""; 0]);
}

/// The nodes of the accessibility tree of a role, by their names.
fn named(tree: &Value, role: &str) -> Vec<String> {
    let nodes = tree["nodes"].as_array().expect("nodes").iter();
    let of_role = nodes.filter(|node| node["role"]["value"] == role && node["ignored"] != true);
    of_role.map(|node| node["name"]["value"].as_str().unwrap_or_default().to_owned()).collect()
}

/// Everything a lesson and a puzzle show: nothing for the checker of accessibility to say, in both
/// themes, in 320 px, in forced colours and on paper; and what is read out has its role and name.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn lessons_and_puzzles_can_be_used_by_everybody() {
    let Some(axe) = axe() else { return };
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let address = opened.served.address.clone();
    let page = &mut opened.page;
    let looked_at = |page: &mut Page, name: &str| {
        let both = [Media::Light, Media::Dark];
        for (width, media) in [320, 1280].into_iter().flat_map(|width| both.map(|it| (width, it))) {
            page.show_as(media);
            page.resize(width, 800);
            page.wait_until(&format!("innerWidth === {width}"));
            assert_eq!(found(page, &axe), [""; 0], "{name} {media:?} {width}");
            assert_eq!(page.evaluate("document.documentElement.scrollWidth"), width, "{name}");
            page.picture(&format!("learn-{name}-{width}-{media:?}"));
        }
        page.show_as(Media::Light);
        page.force_colours(true);
        assert_eq!(found(page, &axe), [""; 0], "{name} in forced colours");
        page.picture(&format!("learn-{name}-forced"));
        page.force_colours(false);
        page.show_as(Media::Print);
        assert!(page.print(Paper::A4, &format!("learn-{name}")).starts_with(b"%PDF-"));
        page.show_as(Media::Light);
    };
    go(page, &address, "#lessons", ".lessons a");
    looked_at(page, "lessons");
    go(page, &address, "#lesson=who_decides", "#answer");
    looked_at(page, "question");
    let tree = page.accessibility();
    let question = page.text("#question");
    assert!(named(&tree, "group").contains(&question), "{:?}", named(&tree, "group"));
    assert_eq!(named(&tree, "radio").len() as u64, page.shown("input[name=choice]"));
    assert!(
        named(&tree, "radio").iter().all(|name| name.contains(" h")),
        "{:?}",
        named(&tree, "radio")
    );
    for button in ["That is my answer", "I do not know: show it"] {
        assert!(named(&tree, "button").iter().any(|name| name == button), "{button}");
    }
    assert!(
        named(&tree, "image").iter().any(|name| name.contains("Showroom")),
        "{:?}",
        named(&tree, "image")
    );
    choose(page, 0);
    looked_at(page, "answer");
    let tree = page.accessibility();
    let verdict = page.text("#verdict");
    assert!(named(&tree, "heading").contains(&verdict), "{:?}", named(&tree, "heading"));
    page.wait_until(&format!(
        "document.querySelector('#said').textContent.startsWith({})",
        json!(verdict)
    ));
    for _ in 0..2 {
        next(page);
        page.evaluate("document.querySelector('#unknown').click()");
        page.wait_until("document.querySelector('#verdict')");
    }
    looked_at(page, "end");
    go(page, &address, "#fault=3", "#fault-view input[name=fault]");
    page.wait_until("document.querySelector('#fault-view .chart svg')");
    page.evaluate("document.querySelector('[data-ask]').click()");
    page.wait_until("document.querySelector('.asking li strong')");
    looked_at(page, "fault");
    let tree = page.accessibility();
    assert!(named(&tree, "radio").len() >= 4 && named(&tree, "button").len() >= 6);
    page.evaluate("document.querySelector('#give-up').click()");
    page.wait_until("document.querySelector('#fault-score')");
    assert_eq!(page.evaluate("document.activeElement.id"), "fault-score");
    page.wait_until("document.querySelector('#said').textContent.startsWith('Given up')");
    looked_at(page, "fault-end");
    assert_eq!(page.complaints(), [""; 0]);
}
