//! What assistive technology is told of each part: roles, names, announcements, and where the focus is.

use std::fmt::Write as _;

use serde_json::{Value, json};

use super::Opened;
use crate::Page;

/// A node of the accessibility tree: its role and its name.
type Heard = (String, String);

/// What is used by pointer or keys.
const USED: [&str; 9] = [
    "button",
    "link",
    "textbox",
    "spinbutton",
    "slider",
    "combobox",
    "checkbox",
    "radio",
    "searchbox",
];

/// All that is told, in order.
fn heard(page: &mut Page) -> Vec<Heard> {
    let tree = page.accessibility();
    let nodes = tree["nodes"].as_array().expect("nodes").iter();
    let told = nodes.filter(|node| node["ignored"] != true);
    let word = |node: &Value, key: &str| node[key]["value"].as_str().unwrap_or("").to_owned();
    told.map(|node| (word(node, "role"), word(node, "name"))).collect()
}

/// Names of all that have a role.
fn names<'h>(heard: &'h [Heard], role: &str) -> Vec<&'h str> {
    heard.iter().filter(|it| it.0 == role).map(|it| it.1.as_str()).collect()
}

/// What is so in every part: a heading, its landmarks, and a name for whatever can be used or seen.
fn holds_everywhere(heard: &[Heard], part: &str) {
    for (role, name) in heard {
        let needs_one = USED.contains(&role.as_str()) || role == "image" || role == "table";
        assert!(!needs_one || !name.trim().is_empty(), "{part}: a {role} without a name");
    }
    for landmark in ["banner", "navigation", "main", "contentinfo"] {
        assert_eq!(names(heard, landmark).len(), 1, "{part}: {landmark}");
    }
    let headings = names(heard, "heading");
    assert!(!headings.is_empty() && headings.iter().all(|it| !it.is_empty()), "{part}");
}

/// Whether some node with this role has a name with this in it.
fn has(heard: &[Heard], role: &str, part: &str) -> bool {
    names(heard, role).iter().any(|name| name.contains(part))
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn every_part_tells_names_and_roles_and_says_what_changed() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    let all = heard(&mut opened.page);
    holds_everywhere(&all, "all rooms");
    assert!(has(&all, "heading", "Showroom waited longest"), "{all:?}");
    assert!(has(&all, "button", "Showroom") && has(&all, "button", "decides for all"), "{all:?}");
    let pictures = names(&all, "image");
    assert!(pictures.iter().any(|it| it.contains("Showroom")), "{pictures:?}");
    assert!(has(&all, "complementary", "Settings of all rooms"), "{all:?}");

    opened.open_room("showroom");
    let room = heard(&mut opened.page);
    holds_everywhere(&room, "a room");
    assert!(has(&room, "heading", "The day of Showroom"), "{room:?}");
    for handle in ["Heat setpoint", "Cool setpoint", "Minimum deadband"] {
        assert!(has(&room, "slider", handle), "{handle}: {:?}", names(&room, "slider"));
    }
    assert!(has(&room, "group", "to be dragged"), "{:?}", names(&room, "group"));
    // A change is said.
    opened.page.focus("#pin");
    opened.page.press("Enter");
    opened.page.wait_until("document.querySelector('#said').textContent === 'Pinned.'");
    let headline = opened.headline();
    opened.set("zones.showroom.controls.heat", "18");
    opened.wait_for_other(&headline);
    opened.page.wait_until("document.querySelector('#said').textContent === document.querySelector('#headline').textContent");
    let now = opened.headline();
    let told = heard(&mut opened.page);
    assert!(told.iter().any(|(role, name)| role == "StaticText" && *name == now), "{now}");
    let status = opened.page.evaluate("document.querySelector('#said').getAttribute('role')");
    assert_eq!(status, "status");

    opened.page.click("#see-compare");
    opened.page.wait_until("document.querySelectorAll('#compare-shown svg').length === 2");
    let compared = heard(&mut opened.page);
    holds_everywhere(&compared, "comparison");
    assert!(has(&compared, "table", "Figures side by side, all rooms together"), "{compared:?}");
    assert!(has(&compared, "columnheader", "pinned") && has(&compared, "rowheader", "Starved"));
    for chart in ["Both on one axis", "What differs"] {
        assert!(has(&compared, "group", chart), "{chart}");
    }

    let Some(mut year) = Opened::scenario("chandlery_year") else { return };
    year.page.wait_until("document.querySelectorAll('.calendar button').length === 365");
    let days = heard(&mut year.page);
    holds_everywhere(&days, "calendar");
    assert!(names(&days, "button").len() > 365, "each day is a button");
    assert!(
        has(&days, "button", "July") || has(&days, "button", "Jul"),
        "{:?}",
        names(&days, "button").first()
    );
}

/// Whatever is done by keys, the focus is somewhere that can be seen afterwards.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn the_focus_is_never_lost() {
    let Some(mut opened) = Opened::scenario("weavers_yard_wrong_owner") else { return };
    let page = &mut opened.page;
    page.wait_until("document.querySelectorAll('.remedies .try').length > 0");
    let limit = "[data-key=\"controls.outdoor_limits.heat_below\"]";
    let (add, remove) = (format!("{limit} button.add"), format!("{limit} button.remove"));
    let steps: [(&str, &str); 14] = [
        (".remedies .try", "document.querySelector('#undo-remedy')"),
        ("#undo-remedy", "!document.querySelector('#undo-remedy')"),
        ("[data-keep=zone-office]", "document.querySelector('#chart svg')?.checkVisibility()"),
        ("[data-key=warmer]", "document.querySelector('.pressed li')"),
        (".pressed button", "!document.querySelector('.pressed li')"),
        (
            &add,
            "!document.querySelector('[data-key=\"controls.outdoor_limits.heat_below\"] button.remove').hidden",
        ),
        (
            &remove,
            "!document.querySelector('[data-key=\"controls.outdoor_limits.heat_below\"] button.add').hidden",
        ),
        ("#undo", "!document.querySelector('#redo').disabled"),
        ("#pin", "document.querySelector('.difference')"),
        ("#see-compare", "document.querySelector('#compare-shown svg')"),
        ("#see-all", "document.querySelector('.zone-rows')?.checkVisibility()"),
        ("#unpin", "!document.querySelector('.difference')"),
        ("#undo", "!document.querySelector('#redo').disabled"),
        ("#redo", "document.querySelector('#redo').disabled"),
    ];
    for (button, done) in steps {
        page.wait_until(&format!("document.querySelector({})?.checkVisibility()", json!(button)));
        page.focus(button);
        page.press("Enter");
        page.wait_until(done);
        // What comes of it is drawn, and whoever moves the focus has moved it.
        page.wait_until("document.querySelector('#day-view').getAttribute('aria-busy') !== 'true'");
        page.wait_until("new Promise(done => setTimeout(() => done(true), 150))");
        let at = page.evaluate("{ const it = document.activeElement; [it.tagName, it !== document.body && it.checkVisibility() && !it.disabled]; }");
        assert_eq!(at[1], true, "after {button} the focus is at {at}");
    }
    assert_eq!(page.complaints(), [""; 0]);
}

/// With 32 rooms the first setting is two presses of the tabulator and one of Enter away.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn settings_are_a_few_keys_away_however_many_rooms_there_are() {
    let Some(mut opened) = Opened::scenario("dyehouse_32_rooms") else { return };
    let page = &mut opened.page;
    page.evaluate("document.activeElement.blur()");
    page.press("Tab");
    page.press("Tab");
    assert_eq!(page.evaluate("document.activeElement.id"), "skip-settings");
    page.press("Enter");
    let at = "document.activeElement.closest('[data-key]')?.dataset.key";
    assert_eq!(page.evaluate(at), "controls.heat");
    assert_eq!(page.evaluate("location.hash"), "", "skipping is no address");
}

/// WCAG 2.2, success criterion 1.4.12: lines 1.5 of the font's size, paragraphs 2 apart, letters 0.12
/// and words 0.16 of it.
const SPACED: &str = "document.head.append(Object.assign(document.createElement('style'), {id: 'spaced', textContent: \
    '* { line-height: 1.5 !important; letter-spacing: 0.12em !important; word-spacing: 0.16em !important } \
     p { margin-bottom: 2em !important }'}))";

/// Text that is cut off, and texts that lie on each other, of the same scrolled area.
const CROWDED: &str = "(() => { \
    const shown = it => it.checkVisibility({checkOpacity: true, checkVisibilityCSS: true}) && !it.closest('.hidden, svg, option, .skips, noscript'); \
    const texts = []; \
    const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT); \
    while (walk.nextNode()) { \
        const it = walk.currentNode.parentElement; \
        if (!walk.currentNode.data.trim() || !shown(it)) continue; \
        const range = document.createRange(); range.selectNodeContents(walk.currentNode); \
        for (const box of range.getClientRects()) texts.push({box, it, words: walk.currentNode.data.trim().slice(0, 40)}); \
    } \
    const scroller = it => { for (let up = it; up; up = up.parentElement) { const how = getComputedStyle(up); \
        if (how.position === 'sticky' || how.position === 'fixed' || /auto|scroll/.test(how.overflowY)) return up; } return null; }; \
    const wrong = []; \
    for (const {box, it, words} of texts) { \
        for (let up = it; up && up !== document.body; up = up.parentElement) { \
            if (!/hidden|clip/.test(getComputedStyle(up).overflowX + getComputedStyle(up).overflowY)) continue; \
            const around = up.getBoundingClientRect(); \
            if (box.right > around.right + 2 || box.bottom > around.bottom + 2) { wrong.push('cut off: ' + words); break; } \
        } \
    } \
    for (const text of texts) text.within = scroller(text.it); \
    texts.forEach((one, place) => { for (const other of texts.slice(place + 1)) { \
        if (one.it === other.it || one.within !== other.within) continue; \
        const wide = Math.min(one.box.right, other.box.right) - Math.max(one.box.left, other.box.left); \
        const tall = Math.min(one.box.bottom, other.box.bottom) - Math.max(one.box.top, other.box.top); \
        const low = Math.min(one.box.height, other.box.height); \
        if (wide > 2 && tall > low * 0.4) wrong.push(one.words + ' lies on ' + other.words); \
    } }); \
    return wrong; })()";

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn spaced_text_is_neither_cut_off_nor_lies_on_other_text() {
    for (scenario, views) in [
        (
            "weavers_yard_wrong_owner",
            ["#see-all", "[data-keep=zone-office]", "#see-compare"].as_slice(),
        ),
        ("dyehouse_32_rooms", ["#see-all"].as_slice()),
        ("chandlery_year", ["#see-all"].as_slice()),
    ] {
        let Some(mut opened) = Opened::scenario(scenario) else { return };
        let page = &mut opened.page;
        // Two states are there to be compared where that is looked at; two runs of a year take long.
        if views.contains(&"#see-compare") {
            page.click("#pin");
            page.wait_until("document.querySelector('.difference')");
        }
        page.wait_until("document.querySelector('#help-shown').textContent !== 'Changes are being tried\u{2026}'");
        page.evaluate(SPACED);
        for view in views {
            page.resize(1280, 800);
            page.wait_until(&format!("document.querySelector({})", json!(view)));
            page.evaluate(&format!("document.querySelector({}).click()", json!(view)));
            let drawn =
                if *view == "#see-compare" { "#compare-shown svg" } else { "#day-view svg" };
            page.wait_until(&format!("document.querySelector('{drawn}')?.checkVisibility()"));
            for width in [1280, 320] {
                page.resize(width, 800);
                page.wait_until(&format!("innerWidth === {width}"));
                page.wait_until("new Promise(done => setTimeout(() => done(true), 400))");
                assert_eq!(page.evaluate(CROWDED), json!([]), "{scenario} {view} at {width}");
                let wide = page.evaluate("document.documentElement.scrollWidth");
                assert_eq!(wide, width, "{scenario} {view} scrolls sideways");
                page.picture(&format!(
                    "serve-spaced-{scenario}-{}-{width}",
                    view.trim_start_matches(['#', '['])
                ));
            }
        }
    }
}

/// Eight rooms on one unit.
#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn eight_rooms_print_on_one_page() {
    let Some(mut browser) = crate::Browser::start() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let mut text = "title: Eight studios in a row\nperiod: {from: 2025-10-14, step: 5 min}\n\
        weather: {design_day: {high: 14, range: 8}}\noutdoor_unit:\n  mode_policy: majority\n  \
        heating: [{outdoor: 8, capacity: 12 kW, cop: 3.5}]\n  cooling: [{outdoor: 20, capacity: 12 kW, cop: 5}]\n\
        every_zone:\n  space: {floor: 24 m2}\n  unit: {heating: 2 kW, cooling: 2 kW}\n  controls: {heat: 20, cool: 23}\n\
        zones:\n"
        .to_owned();
    for room in 1..=8 {
        let _ = writeln!(
            text,
            "  studio_{room}: {{label: Studio {room}, gains: {{power: {} W}}}}",
            room * 120
        );
    }
    let file = folder.path().join("eight.yaml");
    std::fs::write(&file, text).expect("written");
    let served = crate::served::Served::start(Some(&file));
    let mut page = browser.page(&served.address);
    page.resize(1280, 800);
    page.wait_until("document.querySelectorAll('.zone-rows li').length === 8");
    page.wait_until(
        "document.querySelector('#help-shown').textContent !== 'Changes are being tried\u{2026}'",
    );
    page.show_as(crate::Media::Print);
    for (paper, name) in
        [(crate::Paper::A4, "serve-eight-a4"), (crate::Paper::LETTER, "serve-eight-letter")]
    {
        assert_eq!(super::pages(&page.print(paper, name)), 1, "{name}");
    }
}
