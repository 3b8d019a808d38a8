//! The command line: one thin file a command. The only writer of files.
#![expect(
    clippy::disallowed_methods,
    reason = "files, the terminal and the environment are the command line's work"
)]

mod args;
mod audit;
mod check;
mod compare;
mod completions;
mod disk;
mod explain;
mod failure;
mod files;
mod fit;
mod handover;
mod infer;
mod init;
mod interrupt;
mod log;
mod manual;
mod moment;
mod options;
mod owners;
mod reach;
mod register;
mod replay;
mod review;
mod run;
mod schema;
mod serve;
mod settings;
mod sheet;
mod source;
mod sweep;
mod terminal;
mod weather;
mod why;
mod worst;

use std::process::ExitCode;

use clap::Parser;

use args::{Arguments, Command};
pub use failure::Failure;

/// What a finished command leaves: text for standard output, and whether every check that was
/// asked for holds.
#[derive(Debug)]
pub struct CommandOutput {
    /// For standard output.
    pub text: String,
    /// Whether every check holds.
    pub holds: bool,
}

impl CommandOutput {
    /// A command that has nothing to check.
    pub const fn with(text: String) -> Self {
        Self { text, holds: true }
    }
}

/// Reads the arguments, runs the command, prints what it says. Exit 0 done; 1 a check that was
/// asked for does not hold; 2 the file or the call is wrong, or what comes of it cannot be written;
/// 130 broken off.
pub fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(said) => return say(&said),
    };
    let print = if arguments.command.is_for_programs() {
        terminal::print_as_it_is
    } else {
        terminal::print
    };
    let printed = |done: CommandOutput| print(&done.text).map(|()| done.holds);
    match dispatch(&arguments.command).and_then(printed) {
        Ok(true) => ExitCode::SUCCESS,
        Ok(false) => ExitCode::from(1),
        Err(failure) => failed(&failure),
    }
}

/// Prints what the reader of arguments has to say: help, the version, or what is wrong with a call.
fn say(said: &clap::Error) -> ExitCode {
    let printed = said.print();
    if said.use_stderr() {
        return ExitCode::from(u8::try_from(said.exit_code()).unwrap_or(2));
    }
    match terminal::arrived(printed) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => failed(&failure),
    }
}

fn failed(failure: &Failure) -> ExitCode {
    terminal::print_error(&failure.to_string());
    ExitCode::from(failure.code())
}

fn dispatch(command: &Command) -> Result<CommandOutput, Failure> {
    match command {
        Command::Run(arguments) => run::run(arguments),
        Command::Compare(arguments) => compare::compare(arguments),
        Command::Owners(arguments) => owners::owners(arguments),
        Command::Check(arguments) => check::check(arguments),
        Command::Explain(arguments) => explain::explain(arguments),
        Command::Reach(arguments) => reach::reach(arguments),
        Command::Review(arguments) => review::review(arguments),
        Command::Worst(arguments) => worst::worst(arguments),
        Command::Weather(arguments) => weather::weather(arguments),
        Command::Sweep(arguments) => sweep::sweep(arguments),
        Command::Merge(arguments) => sweep::merge(arguments),
        Command::Audit(arguments) => audit::audit(arguments),
        Command::Replay(arguments) => replay::replay(arguments),
        Command::Why(arguments) => why::why(arguments),
        Command::Fit(arguments) => fit::fit(arguments),
        Command::Log(arguments) => log::log(arguments),
        Command::Handover(arguments) => handover::handover(arguments),
        Command::Register(arguments) => register::register(arguments),
        Command::Infer(arguments) => infer::infer(arguments),
        Command::Settings(arguments) => settings::settings(arguments),
        Command::Sheet(arguments) => sheet::sheet(arguments),
        Command::Serve(arguments) => serve::serve(arguments),
        Command::Init(arguments) => init::init(arguments),
        Command::Schema => schema::schema(),
        Command::Manual(arguments) => manual::manual(arguments),
        Command::Completions { shell } => Ok(completions::completions(*shell)),
    }
}
