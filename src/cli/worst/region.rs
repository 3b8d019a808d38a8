//! `worst` over the rooms that a fit holds possible: its draws.

use std::path::Path;

use serde_json::{Value, json};

use super::super::failure::Failure;
use super::super::source;
use super::{Bounded, WorstArguments, helps, question, refused};
use crate::engine::{Model, ZoneIndex};
use crate::report::ZoneWorst;
use crate::scenario::{Companions, Edit, STANDARD_INPUT, edit, load_text};
use crate::study::fit::draws::Draws;
use crate::study::worst::{End, Found, Reached, Remedied, Source, bound, find_in, region};

/// The file with a draw's values in it.
struct Drawn {
    text: String,
    model: Model,
    reached: Vec<Reached>,
    /// What changes would come to in it, at each end.
    remedied: [Vec<Remedied>; 2],
}

/// Bounds that 95 of 100 draws keep, and the worst runs found in the rooms that have them.
pub(super) fn over_draws(arguments: &WorstArguments, fitted: &Path) -> Result<Bounded, Failure> {
    let file: &Path = &arguments.file;
    if file == Path::new(STANDARD_INPUT) {
        return Err(Failure::Call {
            what: "worst reads its file once a draw".into(),
            help: "give it a name instead of `-`".into(),
        });
    }
    let draws = source::draws(fitted)?.ok_or_else(|| source::no_draws(fitted))?;
    let text = load_text(file)?;
    let beside = Companions::beside(file).unwrap_or_default();
    let most = usize::try_from(arguments.draws).unwrap_or(usize::MAX);
    let count = draws.rows.len().min(most);
    let drawn = |draw| drawn(arguments, (&text, &beside), &draws, draw);
    let all = (0..count).map(drawn).collect::<Result<Vec<Drawn>, Failure>>()?;
    let bounds: Vec<Vec<Reached>> = all.iter().map(|it| it.reached.clone()).collect();
    let open = |name: &str| beside.open(name);
    let name = file.display().to_string();
    let found = |draw: usize, zone: ZoneIndex, end: End| -> Option<Found> {
        let Drawn { text, model, reached, .. } = &all[draw];
        let variant = arguments.chosen.variant.as_deref();
        let source = Source { text, name: &name, variant, open: &open };
        find_in(zone, &source, model, &question(model, arguments), reached, end)
    };
    let [low, high] = End::BOTH.map(|end| remedied(&all, end));
    let zones = region(&bounds).into_iter().map(|it| {
        let zone = it.reached.zone;
        let id = &all[it.draws[0]].model.zones[zone.get()].id;
        let named = End::BOTH.map(|end| {
            let found = found(it.draws[end as usize], zone, end)?;
            Some((found, super::file_of(id, end)))
        });
        ZoneWorst::new(it.reached, named, [&low, &high])
    });
    Ok(Bounded { zones: zones.collect(), draws: Some(count) })
}

/// What each change would come to over the draws. Locks are alike in all of them, and so is what there
/// is to change.
fn remedied(all: &[Drawn], end: End) -> Vec<Remedied> {
    let changes = all.first().map_or(0, |drawn| drawn.remedied[end as usize].len());
    let over_all = |change: usize| {
        let of_draws = all.iter().filter_map(|drawn| drawn.remedied[end as usize].get(change));
        let bounds: Vec<Vec<Reached>> = of_draws.clone().map(|it| it.reached.clone()).collect();
        let remedy = of_draws.map(|it| it.remedy).next()?;
        let reached = region(&bounds).into_iter().map(|it| it.reached).collect();
        Some(Remedied { remedy, reached })
    };
    (0..changes).filter_map(over_all).collect()
}

fn drawn(
    arguments: &WorstArguments,
    (text, beside): (&str, &Companions),
    draws: &Draws,
    draw: usize,
) -> Result<Drawn, Failure> {
    let values = draws.paths.iter().zip(&draws.rows[draw]);
    let edits: Vec<Edit> =
        values.map(|(path, cell)| Edit { path: path.clone(), value: value(cell) }).collect();
    let text = edit(text, &edits).map_err(|fault| Failure::Call {
        what: format!("draw {}: {}: {}", draw + 1, fault.path, fault.message),
        help: "name the fitted.yaml of this file by --with".into(),
    })?;
    let study = beside.read(&text, &arguments.file.display().to_string())?;
    let model = source::variant(&study, arguments.chosen.variant.as_deref())?.clone();
    let question = question(&model, arguments);
    let reached = bound(&model, &question).map_err(|it| refused(&it))?;
    let remedied = helps(arguments, &model, &question)?;
    Ok(Drawn { text, model, reached, remedied })
}

/// A cell as the file would have it: a number, or words such as `112.4 W/K`.
fn value(cell: &str) -> Value {
    serde_json::from_str(cell).unwrap_or_else(|_| json!(cell))
}
