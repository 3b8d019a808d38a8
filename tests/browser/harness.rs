//! The browser is held to what the other tests rely on: it must see what goes wrong.

use std::fs;

use super::{Browser, Media, Paper};

const PAGE: &str = r#"<!doctype html><meta charset="utf-8"><title>Trial</title>
<style>
  body { margin: 0; background: white }
  @media (prefers-color-scheme: dark) { body { background: black } }
  @media print { #button { display: none } }
</style>
<button id="button" style="width: 200px; height: 60px">press</button>
<input id="field"><output id="out"></output>
<script>
  const out = document.getElementById("out");
  const button = document.getElementById("button");
  button.addEventListener("click", () => { out.value = "clicked"; });
  button.addEventListener("mousemove", event => { out.value = "at " + event.offsetX; });
  button.addEventListener("touchstart", () => { out.value = "touched"; });
  document.getElementById("field").addEventListener("keydown", event => { out.value = event.key; });
</script>"#;

fn address(folder: &tempfile::TempDir, contents: &str) -> String {
    let file = folder.path().join("page.html");
    fs::write(&file, contents).expect("written");
    format!("file://{}", file.display())
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn a_page_is_used_as_a_person_uses_it() {
    let Some(mut browser) = Browser::start() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let mut page = browser.page(&address(&folder, PAGE));
    page.hover("#button", (0.25, 0.5));
    assert_eq!(page.text("#out"), "at 48", "200 px wide with a border of 2 px");
    page.click("#button");
    assert_eq!(page.text("#out"), "clicked");
    page.tap("#button", (0.5, 0.5));
    page.wait_until("['touched', 'clicked'].includes(out.value)");
    page.write("#field", "loom");
    assert_eq!(page.evaluate("document.getElementById('field').value"), "loom");
    page.press("ArrowRight");
    assert_eq!(page.text("#out"), "ArrowRight");
    page.resize(400, 700);
    assert_eq!(page.evaluate("innerWidth"), 400);
    assert_eq!(page.complaints(), [""; 0]);
    assert_eq!(page.requests().len(), 1, "the page alone");
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn media_change_what_is_seen() {
    let Some(mut browser) = Browser::start() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let mut page = browser.page(&address(&folder, PAGE));
    let ground = "getComputedStyle(document.body).backgroundColor";
    page.show_as(Media::Dark);
    assert_eq!(page.evaluate(ground), "rgb(0, 0, 0)");
    page.show_as(Media::Light);
    assert_eq!(page.evaluate(ground), "rgb(255, 255, 255)");
    assert_eq!(page.shown("#button"), 1);
    page.show_as(Media::Print);
    assert_eq!(page.shown("#button"), 0);
    for (paper, name) in [(Paper::A4, "trial-a4"), (Paper::LETTER, "trial-letter")] {
        assert!(page.print(paper, name).starts_with(b"%PDF-"));
    }
    assert!(page.picture("trial").starts_with(b"\x89PNG"));
}

#[test]
#[cfg_attr(feature = "no-browser", ignore = "it opens a browser")]
fn what_goes_wrong_is_noticed() {
    let Some(mut browser) = Browser::start() else { return };
    let folder = tempfile::tempdir().expect("a folder");
    let wrong = r#"<!doctype html><img src="missing.png"><script>
        console.error("said so"); setTimeout(() => { throw new Error("thrown later"); }, 0);
    </script>"#;
    let mut page = browser.page(&address(&folder, wrong));
    page.wait_until("new Promise(done => setTimeout(() => done(true), 50))");
    let all = page.complaints().join("\n");
    for expected in ["said so", "thrown later", "ERR_FILE_NOT_FOUND"] {
        assert!(all.contains(expected), "{expected} is missing in {all}");
    }
    assert!(page.requests().iter().any(|address| address.ends_with("missing.png")));
}
