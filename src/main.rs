//! The command-line tool: see `setband --help`.

use std::process::ExitCode;

fn main() -> ExitCode {
    setband::cli::main()
}
