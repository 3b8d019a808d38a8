//! `setband merge`: the shares of a sweep as if it had been run in one go.

use std::path::Path;

use super::args::MergeArguments;
use super::{CommandOutput, Failure, Folder, call, goal_of, journal, outputs};
use crate::study::sweep::{Journal, Results, Share};

pub(in crate::cli) fn merge(arguments: &MergeArguments) -> Result<CommandOutput, Failure> {
    let shares: Vec<(&Path, Journal)> = arguments
        .shares
        .iter()
        .map(|folder| Ok((folder.as_path(), journal::of_folder(folder)?)))
        .collect::<Result<_, Failure>>()?;
    let Some((first, _)) = shares.split_first() else {
        return Err(call("no share is given", "name the folders of the shares"));
    };
    belong_together(first, &shares)?;
    let header = &first.1.header;
    let goal = goal_of(&arguments.goal, &header.goal)?;
    let mut results = Results::new(header.plan.clone(), header.about.clone());
    for (folder, share) in &shares {
        for (case, outcome) in &share.cases {
            if !results.put(*case, outcome.clone()) {
                let what =
                    format!("case {case} in {} is not what another share found", folder.display());
                return Err(call(what, "run both shares again with the same program"));
            }
        }
    }
    if !results.is_complete() {
        return Err(incomplete(&results, &shares));
    }
    let folder = Folder::prepare(arguments.out.clone(), "merge")?;
    outputs::whole(folder, &results, &goal, arguments.print, false)
}

/// Shares of different studies must never be joined.
fn belong_together(first: &(&Path, Journal), shares: &[(&Path, Journal)]) -> Result<(), Failure> {
    let strange: Vec<String> = shares
        .iter()
        .filter(|(_, share)| share.header.fingerprint != first.1.header.fingerprint)
        .map(|(folder, _)| folder.display().to_string())
        .collect();
    if strange.is_empty() {
        return Ok(());
    }
    let what = format!(
        "{} {} not of the same sweep as {}",
        strange.join(", "),
        if strange.len() == 1 { "is" } else { "are" },
        first.0.display()
    );
    Err(call(what, "join shares of one file with the same paths, draws and seed"))
}

/// Says which shares are missing or unfinished.
fn incomplete(results: &Results, shares: &[(&Path, Journal)]) -> Failure {
    let all = results.plan.cases();
    let mut missing = Vec::new();
    for (folder, share) in shares {
        let part = share.header.part;
        let own = part.cases(all);
        let left = own.clone().filter(|case| results.outcome(*case).is_none()).count();
        if left > 0 {
            missing.push(format!(
                "share {} of {} in {} lacks {left} of its {} cases",
                part.number,
                part.of,
                folder.display(),
                own.len()
            ));
        }
    }
    missing.extend(absent(results, shares));
    let left = all - results.done();
    call(
        format!("{left} of {all} cases are missing:\n   {}", missing.join("\n   ")),
        "run what is missing, with --resume where a share was begun",
    )
}

/// The shares that no folder holds.
fn absent(results: &Results, shares: &[(&Path, Journal)]) -> Vec<String> {
    let Some((_, first)) = shares.first() else { return Vec::new() };
    let of = first.header.part.of;
    let is_there = |part: &Share| shares.iter().any(|(_, share)| share.header.part == *part);
    let lacks =
        |part: &Share| part.cases(results.plan.cases()).any(|case| results.outcome(case).is_none());
    (1..=of)
        .map(|number| Share { number, of })
        .filter(|part| !is_there(part) && lacks(part))
        .map(|part| format!("share {} of {of} is not among the folders", part.number))
        .collect()
}
