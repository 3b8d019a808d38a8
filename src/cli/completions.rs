//! `setband completions`: what a shell needs to complete calls.

use clap::CommandFactory;
use clap_complete::Shell;

use super::Done;
use super::args::Arguments;

pub(super) fn completions(shell: Shell) -> Done {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "setband", &mut script);
    Done::with(String::from_utf8_lossy(&script).into_owned())
}
