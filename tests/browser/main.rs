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
