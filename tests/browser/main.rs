//! The local server over plain sockets, and pages, opened in a real browser without a window and
//! used as a person uses them.
//!
//! The browser is the one that `SETBAND_BROWSER` names, or the first known one on the path. Where
//! there is none these tests fail; with `SETBAND_NO_BROWSER=1` they are skipped, and say so.
//! With `SETBAND_PICTURES=FOLDER` every picture that a test takes is kept there, to be looked at.

mod browser;
#[path = "../served/client.rs"]
mod client;
mod connection;
mod harness;
mod page;
mod report;
mod serve;
#[path = "../served/mod.rs"]
mod served;
mod server;

use browser::Browser;
use page::{Media, Page, Paper};

/// Tests that are skipped show as passed: so each says on the terminal that it did nothing. One of
/// those run here opens no page and is never skipped.
#[test]
fn a_test_that_is_skipped_says_so() {
    let own = std::env::current_exe().expect("this program");
    let mut command = std::process::Command::new(own);
    command.args(["report::", "--skip", "names_no_other_place"]).env("SETBAND_NO_BROWSER", "1");
    let output = command.output().expect("it starts");
    let (said, ran) =
        (String::from_utf8_lossy(&output.stderr), String::from_utf8_lossy(&output.stdout));
    let count = |text: &str, what: &str| text.matches(what).count();
    assert!(output.status.success() && count(&said, "skipped report::") > 0, "{said}{ran}");
    assert!(count(&said, "skipped report::") >= count(&ran, "... ok"), "{said}{ran}");
}
