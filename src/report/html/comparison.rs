//! The page of a comparison.

use maud::html;

use super::figure::{ChartFigure, Drawing};
use super::read_out::{self, ReadOut};
use super::{
    ABOUT_PEOPLE, MOST_PEOPLE, NARROW, PEOPLE, PageFault, WIDE, answers, changes, closing, ledger,
    numbers, page, record,
};
use crate::engine::Model;
use crate::report::cautions::cautions;
use crate::report::chart::{self, ChartFault, Plot};
use crate::report::compare::knee_sentence;
use crate::report::content::{Table, Units, comparison as content, people};
use crate::report::figures::{days_in_words, demand_share};
use crate::report::render::html::{list, section, table, text};
use crate::report::run::Run;
use crate::report::settings::assumptions;
use crate::study::{Comparison, Contender};

/// The page of a comparison.
///
/// # Errors
/// See [`PageFault`].
pub fn comparison_html(comparison: &Comparison) -> Result<String, PageFault> {
    let names: Vec<String> = comparison.all().map(Contender::spoken).collect();
    let runs: Vec<(String, Run)> =
        names.iter().cloned().zip(comparison.all().map(Run::of)).collect();
    let models: Vec<&Model> = comparison.all().map(|contender| &contender.model).collect();
    let charts = charts(comparison)?;
    let values: Vec<ReadOut> =
        runs.iter().map(|(name, run)| ReadOut::of(run, name, runs.len())).collect();
    let sides = content::sides(comparison, |contender| contender.spoken().into());
    let figures = content::figures(&sides, Units::of(&comparison.base.model), false);
    let each = |list: fn(&Run) -> Vec<String>| {
        runs.iter().map(|(name, run)| (name.as_str(), list(run))).collect::<Vec<_>>()
    };
    let mut rest = vec![
        "The weather, the people and all chance are the same for all; only settings differ, unless \
         it says otherwise here."
            .to_owned(),
    ];
    rest.extend(comparison.notes.iter().cloned());
    rest.extend(demand_share(&comparison.base.model));
    rest.extend(together(&each(|run| assumptions(run.model))));
    let mut bear = left_out(comparison);
    bear.extend(together(&each(cautions)));
    let body = html! {
        (answers::written(&changes::answers(comparison, &names)))
        (section("charts", "Side by side", &html! {
            @if comparison.base.name == "base" {
                (text("“base” is the file as it is written; the others change what is said above."))
            }
            @for chart in &charts { (chart) }
        }))
        (section("figures", "Figure by figure", &html! {
            (table(&figures, "numbers cards compared"))
            (list(&explained(&figures)))
        }))
        (section("people", PEOPLE, &people(comparison, &names)))
        (ledger::section(&runs))
        (record::section(&models, &names))
        (closing(&rest, &bear))
    };
    let model = &comparison.base.model;
    let subtitle = format!("{}, compared: {}", days_in_words(&model.period), names.join(", "));
    Ok(page(&model.title, &subtitle, &body, &read_out::json(&values)?))
}

type Draw = fn(&Comparison, u32) -> Result<String, ChartFault>;
type Places = fn(&Comparison, u32) -> Vec<Plot>;

fn charts(comparison: &Comparison) -> Result<Vec<ChartFigure>, PageFault> {
    let kept = comparison.all().all(|contender| !contender.finished.rows.is_empty());
    let both = |head: &str, draw: Draw, places: Places| -> Result<ChartFigure, PageFault> {
        let at = |width| -> Result<Drawing, PageFault> {
            let plots = if kept { places(comparison, width) } else { Vec::new() };
            Ok(Drawing { svg: draw(comparison, width)?, plots })
        };
        Ok(ChartFigure { head: head.to_owned(), wide: at(WIDE)?, narrow: Some(at(NARROW)?) })
    };
    let nothing: Places = |_, _| Vec::new();
    let mut all = vec![
        both(HEAD_OF_MULTIPLES, chart::multiples_svg, chart::multiples_plots)?,
        both(HEAD_OF_OVERLAY, chart::overlay_svg, chart::overlay_plots)?,
        both(HEAD_OF_DIFFERENCES, chart::differences_svg, nothing)?,
    ];
    if let Some(knee) = &comparison.knee {
        let model = &comparison.base.model;
        let at = |width| -> Result<Drawing, PageFault> {
            Ok(Drawing { svg: chart::knee_svg(model, knee, width)?, plots: Vec::new() })
        };
        let head = knee_sentence(model, knee);
        all.push(ChartFigure { head, wide: at(WIDE)?, narrow: Some(at(NARROW)?) });
    }
    Ok(all)
}

const HEAD_OF_MULTIPLES: &str = "A row for each, all on the same scales. Between its edges a room \
                                 needs nothing; the strip below says what it gets.";
const HEAD_OF_OVERLAY: &str = "All on one sheet: where the lines part, the settings make a \
                               difference.";
const HEAD_OF_DIFFERENCES: &str = "What is more and what is less.";

/// The people of the base, and how they fared with each of the settings.
fn people(comparison: &Comparison, names: &[String]) -> maud::Markup {
    let all = &comparison.base.finished.summary.people;
    let shown = people::shown(all, MOST_PEOPLE);
    let places = comparison.variants.iter().map(|it| format!("variants/{}", it.name));
    let places = std::iter::once("base".to_owned()).chain(places);
    let runs: Vec<(&str, String, Run)> = (names.iter().zip(places).zip(comparison.all()))
        .map(|((name, place), contender)| (name.as_str(), place, Run::of(contender)))
        .collect();
    html! {
        @if !shown.is_empty() {
            (text(ABOUT_PEOPLE))
            (numbers(&people::compared(&runs, &shown)))
            @if let Some(rest) = people::rest(all, &shown, "compare.json") { (text(&rest)) }
        }
    }
}

/// What the words of the table mean, by the figure that has them.
const EXPLAINED: [(&str, &str); 6] = [
    (
        "opposed_kwh",
        "Opposed heat is put into a room and taken out again within four hours, or the reverse.",
    ),
    ("changeovers", "A changeover is a turn of the plant from heating to cooling or back."),
    (
        "starved_hours",
        "A zone is starved while it needs heating or cooling and its plant does the opposite.",
    ),
    ("mixed_demand_hours", "Demand is mixed while one zone needs heating and another cooling."),
    (
        "degree_hours_outside_band",
        "Out of band counts the time in which somebody is there and it is outside their comfort \
         band; degree-hours add up how many degrees, for how long.",
    ),
    (
        "ppd_percent",
        "PPD is the percentage of people that ISO 7730 predicts to be dissatisfied: too cold or too \
         warm.",
    ),
];

/// The explanations of the figures that the table has.
fn explained(figures: &Table) -> Vec<&'static str> {
    let stands = |key: &str| {
        let end = format!("/{key}/base");
        figures.rows.iter().flat_map(|row| &row.cells).any(|cell| cell.figure.ends_with(&end))
    };
    EXPLAINED.iter().filter(|(key, _)| stands(key)).map(|(_, words)| *words).collect()
}

/// What holds for all once, and what holds for some with their names.
fn together(lists: &[(&str, Vec<String>)]) -> Vec<String> {
    let mut all: Vec<(&str, Vec<&str>)> = Vec::new();
    for (name, sentences) in lists {
        for sentence in sentences {
            match all.iter_mut().find(|(known, _)| known == sentence) {
                Some((_, names)) => names.push(name),
                None => all.push((sentence, vec![name])),
            }
        }
    }
    let sentence = |(words, names): (&str, Vec<&str>)| {
        if names.len() == lists.len() {
            words.to_owned()
        } else {
            format!("With “{}”: {words}", names.join("”, “"))
        }
    };
    all.into_iter().map(sentence).collect()
}

fn left_out(comparison: &Comparison) -> Vec<String> {
    let sentence = |name: &str| {
        format!(
            "“{}” is left out: its settings contradict each other. What is wrong stands in the \
             file compare.json.",
            name.replace('_', " ")
        )
    };
    comparison.left_out.iter().map(|one| sentence(&one.name)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_holds_for_some_names_them() {
        let lists = [
            ("one", vec!["All.".to_owned(), "Frost.".to_owned()]),
            ("two", vec!["All.".to_owned()]),
        ];
        assert_eq!(together(&lists), ["All.", "With “one”: Frost."]);
    }
}
