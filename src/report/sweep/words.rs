//! The answer of a sweep as sentences.

use crate::measures::{Figure, FigureUnit};
use crate::report::content::{Quantity, Units};
use crate::report::figures::one_digit;
use crate::report::headline::{implausible_words, warned_first};
use crate::study::sweep::{Estimate, Meets, Scored, Sense, Silent, SweepAnswer};

/// The mean of a figure with sensible digits: where there is chance, that of a count need not be
/// whole, and little is not nothing.
pub(in crate::report) fn figure_mean(answer: &SweepAnswer, figure: &Figure, value: f64) -> String {
    match figure.unit {
        FigureUnit::Count if answer.has_chance => one_digit(value),
        FigureUnit::Hours | FigureUnit::DegreeHours if value == 0.0 => "0".into(),
        FigureUnit::Hours | FigureUnit::DegreeHours if (0.0..0.005).contains(&value) => {
            "<0.01".into()
        }
        FigureUnit::Hours | FigureUnit::DegreeHours if value.abs() < 0.95 => format!("{value:.2}"),
        unit => Quantity::from(unit).shown(value),
    }
}

/// `A`, `B`, ... for the places of the trade-off front.
pub(in crate::report) fn letter(place: usize) -> String {
    let letters = ('A'..='Z').cycle().nth(place).map(String::from).unwrap_or_default();
    let round = place / 26;
    if round == 0 { letters } else { format!("{letters}{}", round + 1) }
}

/// The answer as sentences, uncertainty included, after a warning of air that is hardly that of a
/// building.
pub fn sweep_answer(answer: &SweepAnswer) -> String {
    warnings(answer) + &said(answer)
}

fn warnings(answer: &SweepAnswer) -> String {
    let results = answer.results;
    let mut all = results.implausible();
    let first = all.next().map(|(setting, it)| {
        let words = implausible_words(&it.zone, it.air, results.about.unit());
        (results.setting_words(setting), words)
    });
    warned_first(first, all.count(), &format!("{} cases", results.done()))
}

fn said(answer: &SweepAnswer) -> String {
    let results = answer.results;
    let so_far = if results.is_complete() {
        String::new()
    } else {
        format!("So far ({} of {} cases): ", results.done(), results.plan.cases())
    };
    let asked = asked(answer);
    let Some(best) = answer.ranking.best() else {
        return format!("{so_far}{}", nothing(answer, &asked));
    };
    let who = results.setting_words(best.setting);
    let mut text = format!("{so_far}{asked}: {who}, at {}.", amount(answer, best));
    text.push_str(&spread(answer, best));
    if best.meets == Meets::Probably {
        text.push_str(" That it keeps the bounds is not certain: part of an interval lies beyond.");
    }
    text.push_str(&others(answer));
    text
}

/// What was asked, to begin the sentence with.
fn asked(answer: &SweepAnswer) -> String {
    let goal = answer.goal;
    let ran = answer.results.fit_settings().len();
    let most = match (ran, goal.sense) {
        (1, _) => "Mean",
        (_, Sense::Minimise) => "Least",
        (_, Sense::Maximise) => "Most",
    };
    let bounds: Vec<String> = goal
        .bounds
        .iter()
        .map(|bound| {
            let figure = &crate::measures::FIGURES[bound.place()];
            let word = if bound.at_most { "at most" } else { "at least" };
            format!("{} {word} {}", figure.words, bound.limit)
        })
        .collect();
    let under = match bounds.as_slice() {
        [] => String::new(),
        all => format!(" with {}", all.join(" and ")),
    };
    let place = match (ran, answer.unfit().len()) {
        (1, 0) => String::new(),
        (count, 0) => format!(" among {count} settings"),
        (1, _) => " with the one setting that could be run".into(),
        (count, _) => format!(" among {count} settings that could be run"),
    };
    format!("{most} {}{under}{place}", goal.figure().words)
}

fn amount(answer: &SweepAnswer, scored: &Scored) -> String {
    let figure = answer.goal.figure();
    let Some(it) = scored.figures[answer.goal.place()] else { return "an unknown amount".into() };
    let unit = figure_unit(answer, figure);
    let value = figure_mean(answer, figure, it.mean);
    format!("{value}{unit} ({})", certainty(answer, figure, &it))
}

/// The unit of a figure with a blank before it; empty for counts.
pub(in crate::report) fn figure_unit(answer: &SweepAnswer, figure: &Figure) -> String {
    let about = &answer.results.about;
    let unit = Units::new(about.unit(), &about.currency).unit(figure.unit.into());
    if unit.is_empty() { unit } else { format!(" {unit}") }
}

/// How far draws lie apart, where there are enough of them to say so.
fn spread(answer: &SweepAnswer, scored: &Scored) -> String {
    const ENOUGH: usize = 10;
    let figure = answer.goal.figure();
    let estimate = scored.figures[answer.goal.place()].filter(|it| it.draws >= ENOUGH);
    let deviates = |it: &Estimate| it.deviation.is_some_and(|deviation| deviation > 0.0);
    estimate.filter(deviates).map_or_else(String::new, |it| {
        let [low, _, high] = it.quantiles.map(|value| figure_mean(answer, figure, value));
        format!(" One draw in ten is below {low}, one in ten above {high}.")
    })
}

/// How sure a mean is.
fn certainty(answer: &SweepAnswer, figure: &Figure, it: &Estimate) -> String {
    match it.interval {
        None => "one draw, so nothing is known about chance".into(),
        Some([low, high]) if low == high => format!("the same in all {} draws", it.draws),
        Some([low, high]) if it.deviation == Some(0.0) => format!(
            "the same in all {} draws; 95 % interval {} to {}, since what comes in one of {} may \
             not have come yet",
            it.draws,
            figure_mean(answer, figure, low),
            figure_mean(answer, figure, high),
            once_in(it.draws)
        ),
        Some([low, high]) => format!(
            "mean of {} draws, 95 % interval {} to {}",
            it.draws,
            figure_mean(answer, figure, low),
            figure_mean(answer, figure, high)
        ),
    }
}

/// What may come in one of so many draws and, with 95 % confidence, not have come in these: after
/// Clopper and Pearson 1934.
fn once_in(draws: usize) -> String {
    let part = 1.0 - libm::pow(0.025, 1.0 / draws as f64);
    format!("{:.0}", (1.0 / part).ceil())
}

/// Why a path is not among those that a figure hangs on.
pub(in crate::report) const fn silent_words(why: Silent) -> &'static str {
    match why {
        Silent::Same => "the figure is the same at all of its values",
        Silent::OneValue => "it has one value only among the settings and draws that could be run",
        Silent::Unclear => {
            "too few settings or draws tell it apart from the other paths that change with it"
        }
    }
}

/// How the others that keep the bounds stand beside the best.
fn others(answer: &SweepAnswer) -> String {
    let ranking = &answer.ranking;
    let figure = answer.goal.figure();
    let (Some(next), Some(Some(behind))) =
        (ranking.settings[..ranking.keeping].get(1), ranking.behind.get(1))
    else {
        return String::new();
    };
    let alike = ranking.as_good();
    if alike > 0 {
        let others =
            if alike == 1 { "1 other setting".into() } else { format!("{alike} other settings") };
        let how = if behind.mean == 0.0 && behind.half_width() == 0.0 {
            "does as well in every draw"
        } else {
            "cannot be told from it by these draws"
        };
        let how = if alike == 1 { how.to_owned() } else { how.replace("does", "do") };
        return format!(" {others} {how}.");
    }
    let more = if answer.goal.sense == Sense::Minimise { "more" } else { "less" };
    let interval = match behind.interval {
        Some([low, high]) if low < high => {
            format!(
                " ({} to {})",
                figure_mean(answer, figure, low),
                figure_mean(answer, figure, high)
            )
        }
        _ => String::new(),
    };
    format!(
        " The next, {}, takes {}{} {more}{interval}.",
        answer.results.setting_words(next.setting),
        figure_mean(answer, figure, behind.mean),
        figure_unit(answer, figure)
    )
}

fn nothing(answer: &SweepAnswer, asked: &str) -> String {
    let unfit = answer.unfit().len();
    match answer.ranking.settings.first() {
        None if unfit > 0 => "No setting can be run: every one has faults.".into(),
        None => "Nothing has been run yet.".into(),
        Some(_) => format!("{asked}: none keeps the bounds.{}", nearest(answer)),
    }
}

/// Which setting comes nearest to the first bound.
fn nearest(answer: &SweepAnswer) -> String {
    let Some(bound) = answer.goal.bounds.first() else { return String::new() };
    let figure = &crate::measures::FIGURES[bound.place()];
    let beyond = |it: &&Scored| {
        let mean = it.mean(bound.place()).unwrap_or(f64::INFINITY);
        if bound.at_most { mean } else { -mean }
    };
    let best =
        answer.ranking.settings.iter().min_by(|one, two| beyond(one).total_cmp(&beyond(two)));
    best.map_or_else(String::new, |it| {
        let mean =
            it.mean(bound.place()).map_or("none".into(), |mean| figure_mean(answer, figure, mean));
        let who = answer.results.setting_words(it.setting);
        let unit = figure_unit(answer, figure);
        format!(" The nearest in {} is {who}, at {mean}{unit}.", figure.words)
    })
}
