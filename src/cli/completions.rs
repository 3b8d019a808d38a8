//! `setband completions`: what a shell needs to complete calls.

use clap::CommandFactory;
use clap_complete::Shell;

use super::CommandOutput;
use super::args::Arguments;

pub(super) fn completions(shell: Shell) -> CommandOutput {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "setband", &mut script);
    CommandOutput::with(String::from_utf8_lossy(&script).into_owned())
}
