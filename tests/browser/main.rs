//! The local server over plain sockets, and pages, opened in a real browser without a window and
//! used as a person uses them.
//!
//! The browser is the one that `SETBAND_BROWSER` names, or the first known one on the path. Where
//! there is none these tests fail; with `--features no-browser` they show as ignored.
//! With `SETBAND_PICTURES=FOLDER` every picture that a test takes is kept there, to be looked at.

mod browser;
#[path = "../served/client.rs"]
mod client;
mod connection;
mod harness;
mod page;
mod papers;
mod report;
mod serve;
#[path = "../served/mod.rs"]
mod served;
mod server;

use browser::Browser;
use page::{Media, Page, Paper};

/// The harness decides before it runs whether a test is ignored, so each test that opens a browser has to
/// be marked. Whoever forgets it learns it here, and not on a machine without one.
#[test]
fn tests_that_open_a_browser_are_marked_for_who_has_none() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser");
    let mut marked = 0;
    for file in ["harness.rs", "papers.rs", "report.rs", "serve"] {
        let path = folder.join(file);
        let files = match std::fs::read_dir(&path) {
            Ok(inside) => inside.map(|it| it.expect("a file").path()).collect(),
            Err(_) => vec![path],
        };
        for file in files {
            let text = std::fs::read_to_string(&file).expect("a source");
            for test in text.split("#[test]\n").skip(1) {
                let body = test.split("\n}\n").next().unwrap_or(test);
                let opens = ["Browser::start", "Opened::"].iter().any(|it| body.contains(it));
                let is_marked = body.starts_with("#[cfg_attr(feature = \"no-browser\", ignore");
                assert_eq!(
                    opens,
                    is_marked,
                    "{}: {}",
                    file.display(),
                    &body[..120.min(body.len())]
                );
                marked += usize::from(is_marked);
            }
        }
    }
    assert!(marked > 30, "{marked}");
}
