//! `setband manual`: the manual pages, made from the definitions of the command line.

use clap::{Command, CommandFactory};
use clap_mangen::Man;

use super::CommandOutput;
use super::args::{Arguments, ManualArguments};
use super::failure::Failure;
use super::files::Folder;

pub(super) fn manual(arguments: &ManualArguments) -> Result<CommandOutput, Failure> {
    let mut command = Arguments::command();
    command.build();
    let mut folder = Folder::prepare(arguments.out.clone(), "manual")?;
    let mut pages = vec![(String::from("setband"), command.clone())];
    for part in command.get_subcommands().filter(|it| !it.is_hide_set()) {
        let name = format!("setband-{}", part.get_name());
        pages.push((name.clone(), part.clone().name(named(&name)).display_name(named(&name))));
    }
    for (name, command) in pages {
        folder.add(&format!("{name}.1"), &page(command)?)?;
    }
    let files = folder.finish()?;
    Ok(CommandOutput::with(format!("Files\n  {}\n", files.join("\n  "))))
}

/// clap keeps names for the whole run of the program, which ends soon.
fn named(name: &str) -> &'static str {
    Box::leak(name.to_owned().into_boxed_str())
}

fn page(command: Command) -> Result<Vec<u8>, Failure> {
    let mut page = Vec::new();
    Man::new(command).render(&mut page).map_err(|error| Failure::Form(error.to_string()))?;
    Ok(page)
}
