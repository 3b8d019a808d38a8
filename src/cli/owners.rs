//! `setband owners`: who should decide for a group.

use super::args::{By, OwnersArguments};
use super::failure::{Failure, possible};
use super::files::Folder;
use super::{CommandOutput, source, terminal};
use crate::engine::Model;
use crate::report::{self, chart};
use crate::study::{OwnerRanking, RankBy, default_threads, rank_owners};

/// Width of the chart, px.
const CHART_WIDTH: u32 = 900;

pub(super) fn owners(arguments: &OwnersArguments) -> Result<CommandOutput, Failure> {
    let common = &arguments.common;
    let study = source::study(&arguments.file)?;
    let model = source::model(&study, common)?;
    let by = match arguments.by {
        By::Worst => RankBy::Worst,
        By::Mean => RankBy::Mean,
    };
    let folder = Folder::prepare(source::folder(&arguments.file, &common.chosen), "owners")?;
    let threads = arguments.threads.unwrap_or_else(default_threads);
    let rankings = rank_owners(&model, by, &arguments.goal.wanted()?, threads);
    if rankings.is_empty() {
        return Err(Failure::Call {
            what: "the file has no group in which one zone decides for others".into(),
            help: "owners needs an `outdoor_unit` with `simultaneous: false`".into(),
        });
    }
    for candidate in rankings.iter().flat_map(|ranking| &ranking.candidates) {
        possible(candidate.halt, &model)?;
    }
    let json = report::owners_json(&model, &rankings)?;
    let files = write(folder, &model, &rankings, &json)?;
    Ok(CommandOutput::with(match (common.print.json, common.print.quiet) {
        (true, _) => json,
        (false, true) => String::new(),
        (false, false) => report::owners_text(&model, &rankings, terminal::style(), &files),
    }))
}

fn write(
    mut folder: Folder,
    model: &Model,
    rankings: &[OwnerRanking],
    json: &str,
) -> Result<Vec<String>, Failure> {
    folder.add("owners.json", json.as_bytes())?;
    for (place, ranking) in rankings.iter().enumerate() {
        let number = if rankings.len() > 1 { format!("-{}", place + 1) } else { String::new() };
        let formed = |error: chart::ChartFault| Failure::Form(error.to_string());
        let svg = chart::owners_svg(model, ranking, CHART_WIDTH).map_err(formed)?;
        folder.add(&format!("owners{number}.svg"), svg.as_bytes())?;
        folder.add(&format!("owners{number}.png"), &chart::png(&svg).map_err(formed)?)?;
    }
    folder.finish()
}
