//! `setband audit`: a site's log against the settings.

use std::path::PathBuf;

use clap::Args;

use super::failure::Failure;
use super::files::Folder;
use super::options::{Chosen, Print};
use super::{CommandOutput, source, terminal};
use crate::report::{self, Audited};
use crate::study::audit::audit as hold;

/// Arguments of `audit`.
#[derive(Args, Debug)]
#[command(after_help = "Examples:\n  setband audit site.yaml\n  setband audit \
                        site.yaml --json\n\nEach finding says what was seen and where, \
                        what the settings say, and what helps. A contradiction says that the log and \
                        the settings cannot both be right; then the exit code is 1. What rests on \
                        counting is a test whose error rate stands beside it.\n\nFiles: audit.json, \
                        audit.html")]
pub(super) struct AuditArguments {
    /// The scenario file, with a `log` block
    pub(super) file: PathBuf,
    #[command(flatten)]
    pub(super) chosen: Chosen,
    #[command(flatten)]
    pub(super) print: Print,
}

pub(super) fn audit(arguments: &AuditArguments) -> Result<CommandOutput, Failure> {
    let study = source::study(&arguments.file)?;
    let model = source::variant(&study, arguments.chosen.variant.as_deref())?;
    let site = source::site_log(model)?;
    let found = hold(model, site);
    let audited = Audited { model, site, audit: &found };
    let mut folder = Folder::prepare(source::folder(&arguments.file, &arguments.chosen), "audit")?;
    let json = report::audit_json(&audited)?;
    folder.add("audit.json", json.as_bytes())?;
    let page = report::audit_html(&audited).map_err(|error| Failure::Form(error.to_string()))?;
    folder.add("audit.html", page.as_bytes())?;
    let files = folder.finish()?;
    let text = match (arguments.print.json, arguments.print.quiet) {
        (true, _) => json,
        (false, true) => String::new(),
        (false, false) => report::audit_text(&audited, terminal::style(), &files),
    };
    Ok(CommandOutput { text, holds: !found.contradicts() })
}
