//! `report.html` of a run and `compare.html` of a comparison, as a client has them.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

use serde_json::Value;
use tempfile::TempDir;

use super::{Browser, Media, Page, Paper};

/// Least contrast of words with their ground: WCAG 2.2, success criterion 1.4.3 (AA).
const LEAST_CONTRAST: f64 = 4.5;

/// Two zones on one outdoor unit, with prices, a refused request, and names that would break a page
/// that trusted them.
const HOSTILE: &str = r#"
title: "</title><script>document.title = 'broken'</script> {{script}} & co"
period: {from: 2025-04-16, step: 5 min}
weather: {design_day: {high: 18, range: 11}}
outdoor_unit:
  heating: [{outdoor: 0, capacity: 6 kW, cop: 3}]
  cooling: [{outdoor: 30, capacity: 6 kW, cop: 3}]
zones:
  front:
    label: "<img src=x onerror=\"document.title='broken'\">"
    space: {floor: 60 m2}
    unit: {heating: 4 kW, cooling: 4 kW}
    controls: {heat: 20, cool: 24, min_deadband: 2}
  back:
    label: "A_name_without_any_space_that_is_far_longer_than_any_column_of_any_table_could_ever_be"
    space: {floor: 40 m2}
    unit: {heating: 3 kW, cooling: 3 kW}
    controls: {heat: 21, cool: 24, min_deadband: 2}
actions:
  - {at: "09:15", zone: back, by: "<b>bold</b>", mode: cool}
  - {at: "10:15", zone: front, by: "'\"&", heat: 22.5}
tariff: {price: 0.2, currency: "<u>"}
"#;

fn shipped(stem: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios").join(stem);
    path.with_extension("yaml").display().to_string()
}

/// What a command of the real binary wrote.
struct Written(TempDir);

impl Written {
    fn by(command: &str, file: &str, more: &[&str]) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let done = Command::new(env!("CARGO_BIN_EXE_setband"))
            .args([command, file, "--quiet", "--out"])
            .arg(folder.path())
            .args(more)
            .stdin(Stdio::null())
            .output()
            .expect("the binary starts");
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        Self(folder)
    }

    fn hostile() -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("hostile.yaml");
        fs::write(&file, HOSTILE).expect("written");
        Self::by("run", &file.display().to_string(), &[])
    }

    fn text(&self, name: &str) -> String {
        fs::read_to_string(self.0.path().join(name)).expect("it was written")
    }

    fn json(&self, name: &str) -> Value {
        serde_json::from_str(&self.text(name)).expect("JSON")
    }

    fn address(&self) -> String {
        let page = ["report.html", "compare.html"].map(|name| self.0.path().join(name));
        let page = page.iter().find(|it| it.is_file()).expect("a page was written");
        format!("file://{}", page.display())
    }
}

/// Nothing was complained of, and nothing but the page itself was asked for.
pub(super) fn assert_at_peace(page: &mut Page) {
    assert_eq!(page.complaints(), [""; 0]);
    let address = page.evaluate("location.href");
    let address = address.as_str().expect("an address");
    assert!(page.requests().iter().all(|it| it == address), "{:?}", page.requests());
}

/// Looks at the page as wide and narrow windows, light and dark, and paper show it.
fn look_at(page: &mut Page, name: &str) {
    for (media, scheme) in [(Media::Light, "light"), (Media::Dark, "dark")] {
        page.show_as(media);
        for width in [1200, 400] {
            page.resize(width, 900);
            assert_nothing_sticks_out(page, &format!("{name} {scheme} {width}"));
            assert_can_be_read(page, &format!("{name} {scheme} {width}"));
            page.picture(&format!("{name}-{scheme}-{width}"));
        }
    }
    page.resize(1200, 900);
    assert_prints_whole(page, name);
}

pub(super) fn assert_nothing_sticks_out(page: &mut Page, what: &str) {
    let wide = "[...document.querySelectorAll('body *')].filter(it => !it.closest('svg') && \
                it.checkVisibility() && it.getBoundingClientRect().right > innerWidth + 1)\
                .map(it => it.outerHTML.slice(0, 80))";
    assert_eq!(page.evaluate(wide), serde_json::json!([]), "{what}");
    assert_eq!(page.evaluate("document.documentElement.scrollWidth <= innerWidth"), true, "{what}");
}

/// Every word, also those in charts, stands out from its ground.
fn assert_can_be_read(page: &mut Page, what: &str) {
    let script = r"(() => {
        const numbers = color => color.match(/[\d.]+/g).map(Number);
        const light = color => numbers(color).slice(0, 3).map(it => it / 255)
            .map(it => it <= 0.04045 ? it / 12.92 : ((it + 0.055) / 1.055) ** 2.4)
            .reduce((sum, it, at) => sum + it * [0.2126, 0.7152, 0.0722][at], 0);
        const ground = it => {
            for (let at = it; at; at = at.parentElement) {
                const color = getComputedStyle(at).backgroundColor;
                if (numbers(color)[3] !== 0) return color;
            }
        };
        let worst = [99, ''];
        for (const it of document.querySelectorAll('body *')) {
            const words = [...it.childNodes].some(node => node.nodeType === 3 && node.data.trim());
            if (!words || it.matches('script, option, title, desc') || !it.checkVisibility()) continue;
            const style = getComputedStyle(it);
            const color = it.matches('text') ? style.fill : style.color;
            const [high, low] = [light(color), light(ground(it))].sort((a, b) => b - a);
            const contrast = (high + 0.05) / (low + 0.05);
            if (contrast < worst[0]) worst = [contrast, `${it.textContent.trim()} ${color}`];
        }
        return worst;
    })()";
    let worst = page.evaluate(script);
    let contrast = worst[0].as_f64().expect("a number");
    assert!(contrast >= LEAST_CONTRAST - 0.05, "{what}: {worst}");
    let unmapped = "matchMedia('(prefers-color-scheme: dark)').matches ? \
        [...new Set([...document.querySelectorAll('.chart [fill^=\"#\"]')].filter(it => { \
            const [r, g, b] = getComputedStyle(it).fill.match(/\\d+/g).map(Number); \
            return '#' + [r, g, b].map(n => n.toString(16).padStart(2, '0')).join('').toUpperCase() \
                === it.getAttribute('fill').toUpperCase(); }).map(it => it.getAttribute('fill')))] : []";
    assert_eq!(page.evaluate(unmapped), serde_json::json!([]), "{what}: no dark colour");
}

/// On both papers every chart fits on one sheet and is not broken.
pub(super) fn assert_prints_whole(page: &mut Page, name: &str) {
    page.show_as(Media::Print);
    for (paper, size) in [(Paper::A4, "a4"), (Paper::LETTER, "letter")] {
        // The sheet without its margins of 14 mm, at 96 px an inch.
        let inside = |inches: f64| (inches - 28.0 / 25.4) * 96.0;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some 700 px")]
        page.resize(inside(paper.width) as u32, 900);
        let tall = "Math.max(0, ...[...document.querySelectorAll('.drawing')]\
                    .map(it => it.getBoundingClientRect().height))";
        let tallest = page.evaluate(tall).as_f64().expect("a height");
        assert!(tallest <= inside(paper.height), "{name} {size}: {tallest} px of a chart");
        let broken = "[...document.querySelectorAll('.drawing, .cards tr, .record tr')]\
                      .filter(it => getComputedStyle(it).breakInside !== 'avoid').length";
        assert_eq!(page.evaluate(broken), 0);
        assert_eq!(page.shown(".filters, .read-out, .cursor"), 0, "of no use on paper");
        assert_nothing_sticks_out(page, &format!("{name} {size}"));
        let pdf = page.print(paper, &format!("{name}-{size}"));
        assert!(pdf.starts_with(b"%PDF-"));
    }
    page.show_as(Media::Light);
    page.resize(1200, 900);
}

/// Every number that says which figure it is, is that figure, rounded to the digits shown.
fn assert_figures_are_those_of(page: &mut Page, json: &Value) {
    let shown = "[...document.querySelectorAll('[data-figure]')]\
                 .map(it => [it.dataset.figure, it.textContent])";
    let shown = page.evaluate(shown);
    let shown = shown.as_array().expect("a list");
    assert!(shown.len() > 8, "{shown:?}");
    for pair in shown {
        let (path, text) = (pair[0].as_str().expect("a path"), pair[1].as_str().expect("a text"));
        let value = json.pointer(&format!("/{path}")).and_then(Value::as_f64);
        let value = value.unwrap_or_else(|| panic!("{path} is not in the file"));
        let digits = text.split_once('.').map_or(0, |(_, digits)| digits.len());
        let half = 0.5 * 10_f64.powi(-i32::try_from(digits).expect("few digits"));
        let number: f64 = text.parse().unwrap_or_else(|_| panic!("{path}: {text}"));
        assert!((number - value).abs() <= half * 1.000_001, "{path}: {text} for {value}");
    }
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_run_is_read_out_filtered_and_printed() {
    let Some(mut browser) = Browser::start() else { return };
    let written = Written::by("run", &shipped("weavers_yard_wrong_owner"), &[]);
    let mut page = browser.page(&written.address());
    page.resize(1200, 900);
    let questions = page.evaluate("[...document.querySelectorAll('dt')].map(it => it.textContent)");
    let asked = serde_json::json!(["What happened?", "For whom?", "What did it cost?"]);
    assert_eq!(questions, asked);
    assert_figures_are_those_of(&mut page, &written.json("summary.json"));
    pointing_reads_out(&mut page, &written);
    the_filter_filters(&mut page);
    look_at(&mut page, "run");
    assert_at_peace(&mut page);
}

/// Half way along the first panel of the chart it is noon.
fn pointing_reads_out(page: &mut Page, written: &Written) {
    let plots =
        page.evaluate("JSON.parse(document.querySelector('.drawing.wide').dataset.plots)[0]");
    let number = |at: usize| plots[at].as_f64().expect("a number");
    let (left, right, top) = (number(2), number(3), number(4));
    let across = (f64::midpoint(left, right) + 0.1) / 1000.0;
    let height =
        page.evaluate("Number(document.querySelector('.wide svg').getAttribute('height'))");
    let down = (top + 20.0) / height.as_f64().expect("a height");
    page.hover(".drawing.wide svg", (across, down));
    let noon = page.text(".read-out");
    let steps = written.text("steps.csv");
    let row = steps.lines().find(|row| row.contains("T12:00:00,")).expect("a row at noon");
    let air: f64 = row.split(',').nth(3).expect("a column").parse().expect("a number");
    for part in ["12:00", "Loom room", &format!("air {air:.1} °C"), "heat setpoint", "outdoors"] {
        assert!(noon.contains(part), "{part} is not in {noon}");
    }
    assert_eq!(page.shown(".cursor"), 1);
    page.picture("run-hover");
    page.hover("h1", (0.1, 0.5));
    assert_eq!(page.shown(".cursor"), 0);

    page.focus(".drawing.wide");
    page.press("End");
    assert!(page.text(".read-out").contains("23:59"), "{}", page.text(".read-out"));
    page.press("Home");
    page.press("ArrowDown");
    let first = page.text(".read-out");
    assert!(first.contains("00:00") && first.contains("Showroom"), "{first}");
    page.press("ArrowRight");
    assert_ne!(page.text(".read-out"), first);

    page.press("Escape");
    page.tap(".drawing.wide svg", (across, down));
    page.wait_until("document.querySelector('.read-out').innerText.includes('12:0')");
}

fn the_filter_filters(page: &mut Page) {
    let all = page.shown(".ledger tbody tr");
    let choose = |name: &str, value: &str| {
        format!(
            "(() => {{ const it = document.querySelector('.filters').elements.{name}; \
             it.value = '{value}'; it.dispatchEvent(new Event('input', {{bubbles: true}})); }})()"
        )
    };
    page.evaluate(&choose("outcome", "refused"));
    assert_eq!(page.shown(".ledger tbody tr"), 1);
    assert_eq!(page.text(".count"), format!("1 of {all} rows"));
    page.evaluate(&choose("outcome", ""));
    page.evaluate(&choose("zone", "Showroom"));
    let of_zone = page.shown(".ledger tbody tr");
    assert!(0 < of_zone && of_zone < all, "{of_zone} of {all}");
    page.evaluate(&choose("zone", ""));
    page.write(".filters input", "STARVED");
    let starved = page.shown(".ledger tbody tr");
    assert!(0 < starved && starved < all, "{starved} of {all}");
    let words = page.evaluate(
        "[...document.querySelectorAll('.ledger tbody tr')].filter(it => it.checkVisibility())\
         .every(it => it.textContent.toLowerCase().includes('starved'))",
    );
    assert_eq!(words, true);
    page.evaluate(&choose("text", ""));
    assert_eq!(page.shown(".ledger tbody tr"), all);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_comparison_is_read_out_filtered_and_printed() {
    let Some(mut browser) = Browser::start() else { return };
    let written = Written::by("compare", &shipped("reading_room"), &[]);
    let mut page = browser.page(&written.address());
    page.resize(1200, 900);
    let questions = page.evaluate("[...document.querySelectorAll('dt')].map(it => it.textContent)");
    let asked = serde_json::json!(["What changes?", "For whom?", "What does it cost?"]);
    assert_eq!(questions, asked);
    assert_figures_are_those_of(&mut page, &written.json("compare.json"));
    let variants = written.json("compare.json")["variants"].as_object().expect("a map").len();

    // The first chart has a row for each; the second has all in one.
    page.hover(".chart:nth-of-type(1) .drawing.wide svg", (0.4, 0.3));
    let one = page.text(".chart:nth-of-type(1) .read-out");
    assert!(one.contains("Reading room") && one.contains("base: air"), "{one}");
    page.hover(".chart:nth-of-type(2) .drawing.wide svg", (0.4, 0.5));
    let all = page.text(".chart:nth-of-type(2) .read-out");
    assert_eq!(all.matches(": air ").count(), variants + 1, "{all}");
    page.picture("compare-hover");

    let rows = page.shown(".ledger tbody tr");
    page.evaluate(
        "(() => { const it = document.querySelector('.filters').elements.run; \
         it.value = 'base'; it.dispatchEvent(new Event('input', {bubbles: true})); })()",
    );
    let of_base = page.shown(".ledger tbody tr");
    assert!(0 < of_base && of_base < rows, "{of_base} of {rows}");
    assert!(page.shown(".record .differs") > 0, "the record marks what differs");
    look_at(&mut page, "compare");
    assert_at_peace(&mut page);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_year_tells_months_mornings_and_locks_and_prints_what_is_telling() {
    let Some(mut browser) = Browser::start() else { return };
    let written = Written::by("run", &shipped("chandlery_year"), &["--steps", "none"]);
    let mut page = browser.page(&written.address());
    page.resize(1200, 900);
    for (section, rows) in [("months", 12 + 4), ("mornings", 2), ("lock-calendar", 12)] {
        assert_eq!(page.shown(&format!("#{section} tbody tr")), rows, "{section}");
    }
    assert_figures_are_those_of(&mut page, &written.json("summary.json"));
    let all = page.shown(".ledger tbody tr");
    page.show_as(Media::Print);
    let printed = page.shown(".ledger tbody tr");
    assert!(0 < printed && printed <= 200 && printed < all, "{printed} of {all}");
    assert_eq!(page.shown(".on-paper"), 1, "and it says so");
    page.show_as(Media::Light);
    look_at(&mut page, "year");
    assert_at_peace(&mut page);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_people_go_through_is_told_of_a_run_and_of_a_comparison() {
    let Some(mut browser) = Browser::start() else { return };
    let run = Written::by("run", &shipped("two_tastes"), &["--steps", "none"]);
    let mut page = browser.page(&run.address());
    page.resize(1200, 900);
    assert_eq!(page.shown("#people tbody tr"), 2);
    assert_figures_are_those_of(&mut page, &run.json("summary.json"));
    let whom = page.text("dd:nth-of-type(2)");
    assert!(whom.contains(" of 2 people"), "{whom}");
    look_at(&mut page, "people");
    assert_at_peace(&mut page);

    let compared = Written::by("compare", &shipped("two_tastes"), &["--charts", "none"]);
    let mut page = browser.page(&compared.address());
    page.resize(1200, 900);
    // Two people, each with the base and two variants.
    assert_eq!(page.shown("#people tbody tr"), 6);
    assert_eq!(page.shown("#people [data-figure$='complaints']"), 6);
    assert_figures_are_those_of(&mut page, &compared.json("compare.json"));
    look_at(&mut page, "people-compared");
    assert_at_peace(&mut page);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn many_zones_fit() {
    let Some(mut browser) = Browser::start() else { return };
    let written = Written::by("run", &shipped("dyehouse_32_rooms"), &["--steps", "none"]);
    let mut page = browser.page(&written.address());
    page.resize(1200, 900);
    page.hover(".drawing.wide svg", (0.3, 0.5));
    assert!(page.text(".read-out").contains("setpoint"));
    look_at(&mut page, "many");
    assert_at_peace(&mut page);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn hostile_names_stay_words() {
    let Some(mut browser) = Browser::start() else { return };
    let written = Written::hostile();
    let mut page = browser.page(&written.address());
    page.resize(1200, 900);
    let title = "</title><script>document.title = 'broken'</script> {{script}} & co";
    assert_eq!(page.text("h1"), title);
    assert_eq!(page.evaluate("document.title"), title);
    assert_eq!(page.shown("img, b:not(.read-out b), u"), 0);
    page.hover(".drawing.wide svg", (0.3, 0.2));
    assert!(page.text(".read-out").contains("<img src=x onerror="), "{}", page.text(".read-out"));
    look_at(&mut page, "hostile");
    assert_at_peace(&mut page);
}

#[test]
fn a_page_names_no_other_place() {
    let written = Written::by("run", &shipped("reading_room"), &["--steps", "none"]);
    let page = written.text("report.html");
    for reference in ["http:", "https:", "//", "@import", "url("] {
        let found = page
            .lines()
            .find(|line| line.contains(reference) && !line.trim_start().starts_with("//"));
        assert_eq!(found, None, "{reference}");
    }
}
