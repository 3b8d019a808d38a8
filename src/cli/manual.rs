//! `setband manual`: the manual pages, made from the definitions of the command line.

use clap::{Command, CommandFactory};
use clap_mangen::Man;
use clap_mangen::roff::{Roff, roman};

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

/// What a page says besides what clap knows of a command, in the order of manual pages: the headings, and
/// how such a paragraph of our help texts begins.
const SECTIONS: [(&str, &[&str]); 4] = [
    ("EXIT STATUS", &["Exit codes: ", "Exit code "]),
    ("FILES", &["Files: "]),
    ("NOTES", &[]),
    ("EXAMPLES", &["Examples:\n", "Example:\n"]),
];
const NOTES: usize = 2;

fn page(command: Command) -> Result<Vec<u8>, Failure> {
    let help = command.get_after_long_help().or(command.get_after_help()).map(ToString::to_string);
    let has_parts = command.get_subcommands().next().is_some();
    let has_version = command.get_version().is_some();
    let (mut page, man) = (Vec::new(), Man::new(command));
    man.render_title(&mut page)
        .and_then(|()| man.render_name_section(&mut page))
        .and_then(|()| man.render_synopsis_section(&mut page))
        .and_then(|()| man.render_description_section(&mut page))
        .and_then(|()| man.render_options_section(&mut page))
        .and_then(|()| if has_parts { man.render_subcommands_section(&mut page) } else { Ok(()) })
        .and_then(|()| besides(&help.unwrap_or_default()).to_writer(&mut page))
        .and_then(|()| if has_version { man.render_version_section(&mut page) } else { Ok(()) })
        .map_err(|error| Failure::Form(error.to_string()))?;
    Ok(page)
}

/// The text after a command's options, paragraph by paragraph under its heading.
fn besides(help: &str) -> Roff {
    let mut told: [Vec<&str>; SECTIONS.len()] = Default::default();
    for paragraph in help.split("\n\n") {
        let begins = |it: &(&str, &[&str])| it.1.iter().any(|begin| paragraph.starts_with(begin));
        let place = SECTIONS.iter().position(begins).unwrap_or(NOTES);
        told[place].push(paragraph);
    }
    let mut roff = Roff::default();
    for ((heading, begins), paragraphs) in SECTIONS.iter().zip(told) {
        let mut paragraphs = paragraphs.into_iter().filter(|it| !it.trim().is_empty()).peekable();
        if paragraphs.peek().is_none() {
            continue;
        }
        roff.control("SH", [*heading]);
        for (place, paragraph) in paragraphs.enumerate() {
            if place > 0 {
                roff.control("PP", []);
            }
            // A single exit code is told as a sentence, which keeps its beginning.
            let named = begins.iter().filter(|it| it.contains(':'));
            let text = named.fold(paragraph, |text, it| text.strip_prefix(it).unwrap_or(text));
            lines(&mut roff, text);
        }
    }
    roff
}

/// Lines that are set in stand as they are; the others fill the width.
fn lines(roff: &mut Roff, text: &str) {
    let mut stands = false;
    for line in text.lines() {
        if line.starts_with("  ") != stands {
            stands = !stands;
            roff.control(if stands { "nf" } else { "fi" }, []);
        }
        roff.text([roman(if stands { &line[2..] } else { line })]);
    }
    if stands {
        roff.control("fi", []);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn help_texts_stand_under_the_headings_of_manual_pages() {
        let help = "Examples:\n  setband run a.yaml\n  setband run b.yaml --at 14:20\n\nIt says why. Exit \
                    codes are others.\n\nFiles: summary.json, day.svg\n\nExit code 1 where it fails.";
        let command = Command::new("setband-run").about("simulates").after_help(help);
        let page = String::from_utf8(page(command).expect("a page")).expect("text");
        let headings: Vec<&str> =
            page.lines().filter_map(|line| line.strip_prefix(".SH ")).collect();
        let ours = ["\"EXIT STATUS\"", "FILES", "NOTES", "EXAMPLES"];
        assert_eq!(headings[headings.len() - 4..], ours, "{page}");
        assert!(!page.contains("EXTRA") && !page.contains("Examples:"), "{page}");
        let examples = page.split(".SH EXAMPLES\n").nth(1).expect("it has some");
        assert_eq!(examples, ".nf\nsetband run a.yaml\nsetband run b.yaml \\-\\-at 14:20\n.fi\n");
        assert!(page.contains("\nExit code 1 where it fails.\n"), "{page}");
        assert!(page.contains("\nsummary.json, day.svg\n"), "{page}");
    }

    #[test]
    fn every_command_has_its_page() {
        let mut command = Arguments::command();
        command.build();
        for part in command.get_subcommands() {
            let text = page(part.clone()).expect("a page");
            let text = String::from_utf8(text).expect("text");
            assert!(text.contains(".SH SYNOPSIS") && !text.contains(".SH EXTRA"), "{text}");
        }
    }
}
