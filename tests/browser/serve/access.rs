//! Keyboard alone, names and roles, small and large, light, dark and on paper.

use std::env;
use std::fs;
use std::path::Path;

use serde_json::Value;

use super::{Opened, SHOWN};
use crate::browser::skipped;
use crate::{Media, Page, Paper};

/// The accessibility checker: where `SETBAND_AXE` says, which must then be right, or where `.ci/run`
/// puts it. `None` where neither has it.
pub(super) fn axe() -> Option<String> {
    if let Some(named) = env::var_os("SETBAND_AXE") {
        return Some(fs::read_to_string(named).expect("SETBAND_AXE names no file to be read"));
    }
    let usual = "target/axe/node_modules/axe-core/axe.min.js";
    let text = fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(usual)).ok();
    if text.is_none() {
        skipped(
            "the accessibility checker is not there; run `npm install --prefix target/axe --no-save \
             axe-core`, or name its axe.min.js in SETBAND_AXE",
        );
    }
    text
}

/// Serious and critical findings of the checker about the page as it is.
fn serious(page: &mut Page, axe: &str) -> Vec<String> {
    page.evaluate(axe);
    let found = page.evaluate(
        "axe.run(document, {resultTypes: ['violations']}).then(it => it.violations.filter(one => \
         ['serious', 'critical'].includes(one.impact)).map(one => one.id + ': ' + \
         one.nodes.slice(0, 3).map(node => node.html.slice(0, 160) + ' ' + node.failureSummary).join(' | ')))",
    );
    let list = found.as_array().expect("findings").iter();
    list.filter_map(Value::as_str).map(str::to_owned).collect()
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn the_checker_of_accessibility_has_nothing_serious_to_say() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    let Some(axe) = axe() else { return };
    for (media, width) in [(Media::Light, 1280), (Media::Dark, 1280), (Media::Light, 320)] {
        opened.page.show_as(media);
        opened.page.resize(width, 800);
        assert_eq!(serious(&mut opened.page, &axe), [""; 0], "all rooms, {media:?} {width}");
    }
    opened.page.show_as(Media::Light);
    opened.page.resize(1400, 900);
    opened.open_room("showroom");
    let page = &mut opened.page;
    page.click("#chart .ground");
    page.wait_until("document.querySelector('.chain')");
    page.click("#pin");
    page.wait_until("document.querySelector('.difference')");
    for (media, width) in [(Media::Light, 1400), (Media::Dark, 1400), (Media::Light, 400)] {
        page.show_as(media);
        page.resize(width, 900);
        assert_eq!(serious(page, &axe), [""; 0], "{media:?} {width}");
    }
}

/// Everything that the checker has to say about the page as it is.
pub(super) fn found(page: &mut Page, axe: &str) -> Vec<String> {
    page.evaluate(axe);
    let found = page.evaluate(
        "axe.run(document, {resultTypes: ['violations']}).then(it => it.violations.map(one => one.id + ': ' + \
         one.nodes.slice(0, 3).map(node => node.html.slice(0, 160) + ' ' + node.failureSummary).join(' | ')))",
    );
    let list = found.as_array().expect("findings").iter();
    list.filter_map(Value::as_str).map(str::to_owned).collect()
}

/// All rooms, a room, the comparison and the calendar, in both themes, small and large, in forced
/// colours and with text of twice the size: nothing to complain of, and nothing sticks out.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn every_view_can_be_used_by_everybody() {
    let Some(axe) = axe() else { return };
    for (scenario, views) in [
        (
            "weavers_yard_wrong_owner",
            ["#see-all", "[data-keep=zone-office]", "#see-compare"].as_slice(),
        ),
        ("chandlery_year", ["#see-all"].as_slice()),
    ] {
        let Some(mut opened) = Opened::scenario(scenario) else { return };
        opened.page.click("#pin");
        opened.page.wait_until("document.querySelector('.difference')");
        for view in views {
            opened.page.resize(1280, 800);
            if view.starts_with("[data") {
                opened.page.click("#see-all");
                opened.page.wait_until(&format!("document.querySelector('{view}')"));
            }
            opened.page.click(view);
            let shown =
                if *view == "#see-compare" { "#compare-shown svg" } else { "#day-view svg" };
            opened
                .page
                .wait_until(&format!("document.querySelector('{shown}')?.checkVisibility()"));
            let page = &mut opened.page;
            for (media, width) in [(Media::Light, 320), (Media::Dark, 1280), (Media::Light, 2560)] {
                page.show_as(media);
                page.resize(width, 800);
                page.wait_until(&format!("innerWidth === {width}"));
                assert_eq!(found(page, &axe), [""; 0], "{scenario} {view} {media:?} {width}");
                let wide = page.evaluate("document.documentElement.scrollWidth");
                assert_eq!(wide, width, "{scenario} {view} scrolls sideways");
            }
            page.show_as(Media::Light);
            page.resize(1280, 800);
            page.force_colours(true);
            assert_eq!(found(page, &axe), [""; 0], "{scenario} {view} in forced colours");
            page.force_colours(false);
            page.evaluate("document.documentElement.style.fontSize = '34px'");
            assert_eq!(
                page.evaluate("document.documentElement.scrollWidth"),
                1280,
                "{view} twice as large"
            );
            page.evaluate("document.documentElement.style.fontSize = ''");
        }
    }
}

/// On paper up to eight rooms are one page, light whatever the screen is.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn rooms_print_on_one_page() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    let page = &mut opened.page;
    page.show_as(Media::Dark);
    page.wait_until("document.querySelectorAll('.remedies li').length > 1");
    page.show_as(Media::Print);
    let ground = page.evaluate("getComputedStyle(document.documentElement).backgroundColor");
    assert_eq!(ground, "rgb(255, 255, 255)");
    let printed = page.print(Paper::A4, "serve-rooms");
    assert_eq!(super::pages(&printed), 1);
}

/// Presses the tabulator until an element that fits has the focus.
fn tab_to(page: &mut Page, selector: &str) {
    for _ in 0..150 {
        page.press("Tab");
        if page.evaluate(&format!("document.activeElement.matches('{selector}')")) == true {
            let outline = page.evaluate(
                "{ const it = document.activeElement; const look = getComputedStyle(it.closest('.mark')?.querySelector('.halo') ?? it); \
                 look.outlineStyle !== 'none' || look.stroke !== 'none' }",
            );
            assert_eq!(outline, true, "the focus on {selector} can be seen");
            return;
        }
    }
    panic!("the tabulator never comes to {selector}");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn the_keyboard_alone_does_everything() {
    let Some(mut opened) = Opened::scenario("reading_room") else { return };
    let headline = opened.headline();
    let page = &mut opened.page;
    page.press("Tab");
    assert_eq!(page.evaluate("document.activeElement.textContent"), "Skip to the answer");
    tab_to(page, "#pin");
    page.press("Enter");
    page.wait_until("document.querySelector('.difference')");
    tab_to(page, ".mark.limited");
    page.press("Enter");
    page.wait_until("document.querySelector('#ledger tr[aria-current=true]')");
    assert_eq!(
        page.evaluate("document.activeElement.matches('.mark.limited')"),
        true,
        "the focus stays"
    );
    // What is said to a screen reader.
    page.wait_until("document.querySelector('#said').textContent.includes('limited')");
    tab_to(page, "[data-key=warmer]");
    page.press("Enter");
    page.wait_until("document.querySelector('.pressed li')");
    tab_to(page, "[data-path=\"zones.reading_room.controls.min_deadband\"] input[type=range]");
    page.press("ArrowLeft");
    page.press("ArrowLeft");
    page.wait_until("document.activeElement.value === '1'");
    opened.wait_for_other(&headline);
    let page = &mut opened.page;
    page.wait_until("document.querySelector('#said').textContent === document.querySelector('#headline').textContent");
    tab_to(page, "#undo, [data-path] .back");
    assert_eq!(page.complaints(), [""; 0]);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn targets_are_large_enough_for_fingers() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    opened.open_room("showroom");
    let page = &mut opened.page;
    page.resize(400, 800);
    let small = page.evaluate(
        "[...document.querySelectorAll('main button, main select, main input:not([type=checkbox]), main label.check, nav a')] \
         .filter(it => it.checkVisibility() && !it.matches('.hidden')).map(it => [it.outerHTML.slice(0, 90), it.getBoundingClientRect().height]) \
         .filter(([, height]) => height < 43.9)",
    );
    assert_eq!(small, serde_json::json!([]), "44 px or more");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn nothing_is_cut_off_on_any_screen_or_paper() {
    for (scenario, short) in [("reading_room", "one"), ("weavers_yard_wrong_owner", "group")] {
        let Some(mut opened) = Opened::scenario(scenario) else { return };
        if short == "group" {
            opened.open_room("showroom");
        }
        let page = &mut opened.page;
        for (width, media) in [
            (320, Media::Light),
            (400, Media::Light),
            (800, Media::Light),
            (1400, Media::Light),
            (1400, Media::Dark),
            (2560, Media::Light),
        ] {
            page.resize(width, 900);
            page.show_as(media);
            page.wait_until(&format!("innerWidth === {width} && {SHOWN}"));
            page.wait_until(
                "Math.abs(document.querySelector('#chart svg.drawing').getBoundingClientRect().width - \
                 document.querySelector('#chart').clientWidth) < 2",
            );
            let wide = page.evaluate("document.documentElement.scrollWidth");
            assert_eq!(wide, width, "{scenario} scrolls sideways");
            let cut = page.evaluate(
                "{ const box = document.querySelector('#chart svg.drawing').getBoundingClientRect(); \
                 [...document.querySelectorAll('#chart svg text')].filter(it => { const own = it.getBoundingClientRect(); \
                 return own.left < box.left - 1 || own.right > box.right + 1 || own.bottom > box.bottom + 1; }).map(it => it.textContent) }",
            );
            assert_eq!(cut, serde_json::json!([]), "{scenario} at {width}");
            page.picture(&format!("serve-{short}-{width}-{media:?}"));
        }
        page.show_as(Media::Light);
        page.resize(1400, 900);
        page.evaluate("document.documentElement.style.filter = 'grayscale(1)'");
        page.picture(&format!("serve-{short}-grey"));
        page.evaluate("document.documentElement.style.filter = ''");
        // Paper is narrower than a table's cards begin; it stays a table, and controls are left out.
        page.show_as(Media::Print);
        page.resize(700, 900);
        let cell = page.evaluate("getComputedStyle(document.querySelector('#ledger td')).display");
        assert_eq!(cell, "table-cell", "{scenario} on paper");
        let tools = page.evaluate("document.querySelector('#toolbar').checkVisibility()");
        assert_eq!(tools, false, "{scenario} on paper");
        assert!(page.print(Paper::A4, &format!("serve-{short}")).starts_with(b"%PDF-"));
    }
}
