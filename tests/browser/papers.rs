//! Papers of a visit in a browser: the sheet filled in with thumbs and saved, what `infer` and the
//! register make of it, the pages of a handover.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use super::report::{assert_at_peace, assert_nothing_sticks_out, assert_prints_whole};
use super::{Browser, Page};

/// Something that has to be waited for on the sheet: what its button says.
const TIMER: &str = "document.querySelector('.timer').textContent";

fn run(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_setband"));
    command.current_dir(folder).args(arguments).output().expect("it runs")
}

/// What was printed, without its breaks of lines.
fn said(output: &Output) -> String {
    let text = String::from_utf8_lossy(&output.stdout);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn shipped(name: &str) -> String {
    format!("{}/scenarios/{name}.yaml", env!("CARGO_MANIFEST_DIR"))
}

fn open(browser: &mut Browser, file: &Path) -> Page {
    browser.page(&format!("file://{}", file.display()))
}

/// On a telephone, on a desk and on paper.
fn look_at(page: &mut Page, name: &str) {
    for width in [1200, 400] {
        page.resize(width, 900);
        assert_nothing_sticks_out(page, &format!("{name} {width}"));
        page.picture(&format!("{name}-{width}"));
    }
    assert_prints_whole(page, name);
    assert_at_peace(page);
}

/// A sheet on a telephone on which nothing of it is kept yet.
fn on_a_telephone(browser: &mut Browser, folder: &Path, arguments: &[&str]) -> Page {
    let made = run(folder, &[&["sheet", "--quiet", "--out", "sheet"], arguments].concat());
    assert!(made.status.success(), "{made:?}");
    let mut page = open(browser, &folder.join("sheet/sheet.html"));
    page.resize(400, 900);
    page.evaluate("localStorage.clear()");
    opened_anew(&mut page);
    page
}

fn opened_anew(page: &mut Page) {
    let address = page.evaluate("location.href");
    page.go(address.as_str().expect("an address"));
    page.wait_until("document.querySelectorAll('.tap.good').length > 10");
}

/// The text that the browser would save.
fn saved(page: &mut Page) -> String {
    page.evaluate(
        "{ const create = URL.createObjectURL; URL.createObjectURL = blob => { window.saved = blob.text(); \
         return create(blob); }; }",
    );
    page.click(".bar button:last-child");
    page.wait_until("window.saved");
    page.evaluate("window.saved").as_str().expect("text").to_owned()
}

/// All as expected but the third line, where another heat setpoint is read, and the last, which is
/// not read.
fn fill_in(page: &mut Page) {
    page.write("input[placeholder=Tester]", "Mara");
    page.press("Tab");
    let lines = page.shown("tr[data-line]");
    for line in 1..lines {
        let button = if line == 3 { "other" } else { "good" };
        page.tap(&format!("tr[data-line=\"{line}\"] .tap.{button}"), (0.5, 0.5));
    }
    page.wait_until(&format!("document.querySelectorAll('tr.done').length === {}", lines - 1));
    let heat = "tr[data-line=\"3\"] .form input";
    page.evaluate(&format!("document.querySelector('{heat}').select()"));
    page.write(heat, "25");
    page.press("Tab");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_sheet_is_filled_in_on_a_telephone_and_kept_there() {
    let Some(mut browser) = Browser::start() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let mut page = on_a_telephone(&mut browser, folder.path(), &[&shipped("reading_room")]);
    assert_nothing_sticks_out(&mut page, "sheet 400");
    let small = "[...document.querySelectorAll('.tap, .bar button')].filter(it => {
        const box = it.getBoundingClientRect(); return box.width && (box.width < 44 || box.height < 44);
    }).length";
    assert_eq!(page.evaluate(small), 0, "thumbs need 44 px");
    // A timer runs by the clock, is seen from wherever the page stands, and outlives the page.
    page.evaluate("document.querySelector('.timer').scrollIntoView({block: 'center'})");
    let begin = page.evaluate(TIMER).as_str().expect("words").to_owned();
    assert!(begin.starts_with("Start "), "{begin}");
    page.tap(".timer", (0.5, 0.5));
    page.wait_until(&format!("{TIMER}.endsWith('left')"));
    assert!(page.text(".bar .timers").contains("left"));
    fill_in(&mut page);
    page.picture("sheet-400");
    opened_anew(&mut page);
    let told = page.text(".bar [role=status]");
    assert!(told.starts_with("1 of "), "{told}");
    let read = "document.querySelector('tr[data-line=\"3\"] .form input').value";
    assert_eq!(page.evaluate(read), "25");
    page.wait_until(&format!("{TIMER}.endsWith('left')"));
    // The next line is the one that is left, and once it is done nothing is to do any more.
    page.click(".bar button");
    page.press("o");
    assert!(page.text(".bar [role=status]").starts_with("All lines are done"));
    page.resize(1200, 900);
    page.print(super::Paper::A4, "sheet");
    assert_at_peace(&mut page);
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_a_telephone_saved_is_inferred_from_registered_and_handed_over() {
    let Some(mut browser) = Browser::start() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    let surgery = shipped("specified_surgery");
    let mut page = on_a_telephone(&mut browser, folder.path(), &[&surgery, "--for", "witness"]);
    fill_in(&mut page);
    fs::create_dir(at("papers")).expect("made");
    fs::write(at("papers/visit.csv"), saved(&mut page)).expect("written");
    let inferred = said(&run(folder.path(), &["infer", "papers/visit.csv"]));
    assert!(inferred.starts_with("1 of "), "{inferred}");
    assert!(inferred.contains("1 line was not read"), "{inferred}");
    let made = run(folder.path(), &["register", "papers", "--out", "register"]);
    assert_eq!(made.status.code(), Some(1), "a line failed: {made:?}");
    let told = said(&made);
    assert!(told.contains("by Mara") && told.contains("Fails"), "{told}");
    // The register, and the handover with it.
    let mut page = open(&mut browser, &at("register/register.html"));
    look_at(&mut page, "register");
    let made = run(
        folder.path(),
        &["handover", &surgery, "--register", "papers", "--out", "handover", "--quiet"],
    );
    assert!(made.status.success(), "{made:?}");
    let mut page = open(&mut browser, &at("handover/handover.html"));
    look_at(&mut page, "handover");
}
