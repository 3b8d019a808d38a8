//! The page of a comparison.

use super::figure::{Drawing, Figure as Chart};
use super::markup::Markup;
use super::read_out::{self, ReadOut};
use super::{NARROW, PageFault, WIDE, answers, changes, closing, ledger, page, people, record};
use crate::engine::Model;
use crate::measures::{FIGURES, Figure};
use crate::report::cautions::cautions;
use crate::report::chart::{self, ChartFault, Plot};
use crate::report::compare::{
    figure_number, knee_sentence, signed_number, signed_percent, tells, unit_words,
};
use crate::report::figures::days_in_words;
use crate::report::run::Run;
use crate::report::settings::assumptions;
use crate::study::{Comparison, Contender, Difference};

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
    let mut body = Markup::default();
    answers::write(&mut body, &changes::answers(comparison, &names));
    body.section("charts", "Side by side", |section| {
        if comparison.base.name == "base" {
            let words =
                "“base” is the file as it is written; the others change what is said above.";
            section.element("p", &[("class", "text")], words);
        }
        for chart in &charts {
            chart.write(section);
        }
    });
    body.section("figures", "Figure by figure", |section| {
        figures(section, comparison, &names);
        section.list(&explained(comparison));
    });
    people::of_comparison(&mut body, comparison, &names);
    ledger::section(&mut body, &runs);
    record::section(&mut body, &models, &names);
    let each = |list: fn(&Run) -> Vec<String>| {
        runs.iter().map(|(name, run)| (name.as_str(), list(run))).collect::<Vec<_>>()
    };
    let mut rest = vec![
        "The weather, the people and all chance are the same for all; only settings differ, unless \
         it says otherwise here."
            .to_owned(),
    ];
    rest.extend(comparison.notes.iter().cloned());
    rest.extend(together(&each(|run| assumptions(run.model))));
    let mut bear = left_out(comparison);
    bear.extend(together(&each(cautions)));
    closing(&mut body, &rest, &bear);
    let model = &comparison.base.model;
    let subtitle = format!("{}, compared: {}", days_in_words(&model.period), names.join(", "));
    Ok(page(&model.title, &subtitle, &body.into_html(), &read_out::json(&values)?))
}

type Draw = fn(&Comparison, u32) -> Result<String, ChartFault>;
type Places = fn(&Comparison, u32) -> Vec<Plot>;

fn charts(comparison: &Comparison) -> Result<Vec<Chart>, PageFault> {
    let kept = comparison.all().all(|contender| !contender.finished.rows.is_empty());
    let both = |head: &str, draw: Draw, places: Places| -> Result<Chart, PageFault> {
        let at = |width| -> Result<Drawing, PageFault> {
            let plots = if kept { places(comparison, width) } else { Vec::new() };
            Ok(Drawing { svg: draw(comparison, width)?, plots })
        };
        Ok(Chart { head: head.to_owned(), wide: at(WIDE)?, narrow: Some(at(NARROW)?) })
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
        all.push(Chart { head, wide: at(WIDE)?, narrow: Some(at(NARROW)?) });
    }
    Ok(all)
}

const HEAD_OF_MULTIPLES: &str = "A row for each, all on the same scales. Between its edges a room \
                                 needs nothing; the strip below says what it gets.";
const HEAD_OF_OVERLAY: &str = "All on one sheet: where the lines part, the settings make a \
                               difference.";
const HEAD_OF_DIFFERENCES: &str = "What is more and what is less.";

/// Every figure that says anything, a row each.
fn figures(to: &mut Markup, comparison: &Comparison, names: &[String]) {
    let base = &comparison.base;
    let currency = base.model.tariff.as_ref().map_or("", |tariff| &tariff.currency);
    to.within("table", &[("class", "numbers cards compared")], |table| {
        table.within("thead", &[], |head| {
            head.within("tr", &[], |row| {
                row.cell("th", &[("scope", "col")], "Figure");
                for name in names {
                    row.cell("th", &[("scope", "col")], name);
                }
            });
        });
        table.within("tbody", &[], |body| {
            for figure in FIGURES.iter().filter(|figure| says_anything(comparison, figure)) {
                body.within("tr", &[], |row| {
                    let unit = unit_words(figure.unit, base.model.unit, currency);
                    row.within("th", &[("scope", "row")], |head| {
                        head.words(&crate::report::headline::capitalised(figure.words));
                        head.html(" ");
                        head.element("span", &[("class", "unit")], &unit);
                    });
                    for (contender, name) in comparison.all().zip(names) {
                        figure_cell(row, comparison, contender, figure, name);
                    }
                });
            }
        });
    });
}

fn beside(comparison: &Comparison, contender: &Contender, figure: &Figure) -> Difference {
    let of = |contender: &Contender| figure.of(&contender.finished.summary);
    Difference { base: of(&comparison.base), value: of(contender) }
}

fn says_anything(comparison: &Comparison, figure: &Figure) -> bool {
    comparison.all().any(|contender| tells(figure, &beside(comparison, contender, figure)))
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
        "Degree-hours add up how many degrees outside comfort, for how long.",
    ),
    (
        "ppd_percent",
        "Dissatisfied is the share of people that ISO 7730 predicts to be too cold or too warm.",
    ),
];

/// The explanations of the figures that the table has.
fn explained(comparison: &Comparison) -> Vec<&'static str> {
    let stands =
        |key: &str| Figure::named(key).is_some_and(|figure| says_anything(comparison, figure));
    EXPLAINED.iter().filter(|(key, _)| stands(key)).map(|(_, words)| *words).collect()
}

/// A figure of a contender, with its difference to the base where it is not the base itself.
fn figure_cell(
    to: &mut Markup,
    comparison: &Comparison,
    contender: &Contender,
    figure: &Figure,
    name: &str,
) {
    let difference = beside(comparison, contender, figure);
    let is_base = std::ptr::eq(contender, &raw const comparison.base);
    let of = if is_base { comparison.variants.first() } else { Some(contender) };
    let place = of.map_or(String::new(), |it| {
        let which = if is_base { "base" } else { "value" };
        format!("differences/{}/{}/{which}", it.name, figure.key)
    });
    to.within("td", &[("data-head", name)], |cell| match difference.value {
        None => cell.words("none"),
        Some(value) => {
            let number = figure_number(figure.unit, value);
            cell.element("span", &[("data-figure", &place)], &number);
            if !is_base {
                cell.html(" ");
                cell.element("span", &[("class", "difference")], &against(figure, difference));
            }
        }
    });
}

/// `+1.2 (+5 %)`, `same`.
fn against(figure: &Figure, difference: Difference) -> String {
    let Some(absolute) = difference.absolute() else { return String::new() };
    let signed = signed_number(figure.unit, absolute);
    match difference.percent().map(signed_percent) {
        _ if signed == "0" => "same".into(),
        Some(percent) => format!("{signed} ({percent})"),
        None => signed,
    }
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
