//! The files of a sweep, and what is printed.

use super::{CommandOutput, Failure, Folder, call};
use crate::cli::options::Print;
use crate::cli::terminal;
use crate::report::{self, chart};
use crate::study::sweep::{Goal, Results, Share, SweepAnswer};

/// Width of the charts, px.
const CHART_WIDTH: u32 = 980;

/// Files and text of a whole sweep; of what is done of it, where it was broken off.
pub(super) fn whole(
    mut folder: Folder,
    results: &Results,
    goal: &Goal,
    print: Print,
    stopped: bool,
) -> Result<CommandOutput, Failure> {
    let answer = SweepAnswer::new(results, goal);
    let json = report::sweep_json(&answer)?;
    add_cases(&mut folder, results)?;
    folder.add("sweep.json", json.as_bytes())?;
    add_charts(&mut folder, &answer)?;
    let files = folder.finish()?;
    let text = match (print.json, print.quiet) {
        (true, _) => json,
        (false, true) => String::new(),
        (false, false) => report::sweep_text(&answer, terminal::style(), &files),
    };
    if stopped {
        terminal::print(&text)?;
        return Err(broken_off(results.done(), results.plan.cases()));
    }
    if answer.ranking.settings.is_empty() {
        terminal::print(&text)?;
        let why = answer.unfit().first().map_or(String::new(), |(_, why)| (*why).to_owned());
        return Err(call(format!("no setting can be run: {why}"), "mend the file or the values"));
    }
    Ok(CommandOutput { text, holds: goal.bounds.is_empty() || answer.ranking.keeping > 0 })
}

/// Files and text of a share: its cases, which say nothing before they are joined.
pub(super) fn share(
    mut folder: Folder,
    results: &Results,
    part: Share,
    print: Print,
    stopped: bool,
) -> Result<CommandOutput, Failure> {
    add_cases(&mut folder, results)?;
    let files = folder.finish()?;
    let all = part.cases(results.plan.cases()).len();
    if stopped {
        return Err(broken_off(results.done(), all));
    }
    let Share { number, of } = part;
    let text = format!(
        "Share {number} of {of} is done: {all} of {} cases. Join the shares with `setband merge`.\
         \n\nFiles\n  {}\n",
        results.plan.cases(),
        files.join("\n  ")
    );
    let json = serde_json::json!({
        "part": { "number": number, "of": of },
        "cases": { "all": results.plan.cases(), "done": results.done() },
    });
    Ok(CommandOutput::with(match (print.json, print.quiet) {
        (true, _) => serde_json::to_string_pretty(&json)?,
        (false, true) => String::new(),
        (false, false) => text,
    }))
}

fn add_cases(folder: &mut Folder, results: &Results) -> Result<(), Failure> {
    let formed = |fault: String| Failure::Form(fault);
    let csv = report::cases_csv(results).map_err(|fault| formed(fault.to_string()))?;
    folder.add("cases.csv", &csv)?;
    let parquet = report::cases_parquet(results).map_err(|fault| formed(fault.to_string()))?;
    folder.add("cases.parquet", &parquet)
}

fn add_charts(folder: &mut Folder, answer: &SweepAnswer) -> Result<(), Failure> {
    let formed = |fault: chart::ChartFault| Failure::Form(fault.to_string());
    let charts = [
        ("tradeoff", chart::tradeoff_svg(answer, CHART_WIDTH)),
        ("tornado", chart::tornado_svg(answer, CHART_WIDTH)),
    ];
    for (name, svg) in charts {
        if let Some(svg) = svg.map_err(formed)? {
            folder.add(&format!("{name}.svg"), svg.as_bytes())?;
            folder.add(&format!("{name}.png"), &chart::png(&svg).map_err(formed)?)?;
        }
    }
    Ok(())
}

fn broken_off(done: usize, all: usize) -> Failure {
    Failure::BrokenOff(format!(
        "broken off: {done} of {all} cases are done and kept\n = help: the same call with \
         --resume goes on from there"
    ))
}
