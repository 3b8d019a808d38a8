//! What `sweep` prints: the answer, the best settings, the trade-off, what it hangs on, and what
//! could not be run.

use std::collections::BTreeMap;

use super::words::{figure_mean, letter, silent_words, sweep_answer};
use crate::measures::{FIGURES, Figure};
use crate::report::content::wording::{CHANGEOVERS, ELECTRICITY, OUT_OF_BAND, STARVED};
use crate::report::content::{Cell, Column, Quantity, Table, Tone, Units};
use crate::report::figures::demand_share_words;
use crate::report::render::fit::{clean, hang};
use crate::report::render::text::{self, Style, section};
use crate::study::sweep::{FRONT, Level, Meets, SweepAnswer};

/// So many settings are listed; the files have all of them.
const LISTED: usize = 10;
/// So many reasons for which settings could not be run are listed.
const REASONS: usize = 5;
/// Figures that stand beside the one that ranks, with the heads of their columns.
const BESIDE: [(&str, &str); 5] = [
    ("total_kwh", ELECTRICITY),
    ("cost", "cost"),
    ("changeovers", CHANGEOVERS),
    ("starved_hours", STARVED),
    ("degree_hours_outside_band", OUT_OF_BAND),
];

/// The whole text. `files` are the paths that were written, as they are to be shown.
pub fn sweep_text(answer: &SweepAnswer, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &sweep_answer(answer));
    out.push_str(&hang("", &clean(&what_was_run(answer)), style.width));
    let settings = &answer.ranking.settings;
    if !settings.is_empty() {
        section(&mut out, style, best_head(answer), &text::table(&ranked(answer), style));
    }
    if answer.front.len() > 1 {
        let head = "Trade-off: nothing betters these without being worse in something";
        section(&mut out, style, head, &text::table(&trade_off(answer), style));
    }
    if !answer.sensitivities.is_empty() || !answer.silent.is_empty() {
        let head = format!("What {} hangs on, most first", answer.goal.figure().words);
        section(&mut out, style, &head, &hanging(answer, style));
    }
    section(&mut out, style, "Could not be run", &unfit(answer, style));
    section(&mut out, style, "Bear in mind", &text::list(&notes(answer), style));
    text::files(&mut out, style, files);
    out
}

fn what_was_run(answer: &SweepAnswer) -> String {
    let (plan, about) = (&answer.results.plan, &answer.results.about);
    let plural = |count: usize, one: &str| {
        if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") }
    };
    let variant = about.variant.as_ref().map_or_else(String::new, |it| format!(", variant {it}"));
    let days = usize::try_from(about.days).unwrap_or(0);
    let fit = answer.results.fit_settings().len();
    let settings = match answer.unfit().len() {
        0 => plural(plan.settings(), "setting"),
        _ => format!("{fit} of {} could be run,", plural(plan.settings(), "setting")),
    };
    format!(
        "{}{variant}: {settings} with {} each, {} long.",
        about.title,
        plural(plan.draws, "draw"),
        plural(days, "day")
    )
}

fn best_head(answer: &SweepAnswer) -> &'static str {
    match (answer.ranking.keeping, answer.goal.bounds.is_empty()) {
        (0, _) => "Best first; none keeps the bounds",
        (_, true) => "Best first",
        (_, false) => "Best first among those that keep the bounds",
    }
}

fn ranked(answer: &SweepAnswer) -> Table {
    let (goal, ranking) = (answer.goal, &answer.ranking);
    let has = |place: usize| ranking.settings.iter().any(|it| it.figures[place].is_some());
    let beside: Vec<(usize, &str)> = BESIDE
        .iter()
        .filter_map(|(key, head)| Some((place_of(key)?, *head)))
        .filter(|(place, _)| *place != goal.place() && has(*place))
        .collect();
    let own = goal.figure();
    let head = BESIDE.iter().find(|(key, _)| *key == own.key).map_or(own.words, |(_, head)| *head);
    let about = &answer.results.about;
    let units = Units::new(about.unit(), &about.currency);
    let column = |head: &'static str, figure: &Figure| {
        Column::in_unit(head, Quantity::from(figure.unit), units)
    };
    let mut columns =
        vec![Column::new("", Quantity::Count), Column::new("setting", Quantity::Words)];
    columns.push(column(head, own));
    columns.push(Column::new("±", Quantity::Number));
    columns.push(Column::new("behind best", Quantity::Number));
    columns.extend(beside.iter().map(|(place, head)| column(head, &FIGURES[*place])));
    let mut table = Table::new(columns);
    let shown = if ranking.keeping == 0 { ranking.settings.len() } else { ranking.keeping };
    for (place, it) in ranking.settings[..shown].iter().take(LISTED).enumerate() {
        let estimate = it.figures[goal.place()];
        let number = |figure: &Figure, value: Option<f64>| {
            value.map_or_else(|| "-".into(), |value| figure_mean(answer, figure, value))
        };
        let sure = if it.meets == Meets::Probably { " (bounds not certain)" } else { "" };
        let tone = if place == 0 { Tone::Strong } else { Tone::Plain };
        let mut cells = vec![
            Cell::from((place + 1).to_string()),
            Cell::toned(answer.results.setting_words(it.setting) + sure, tone),
            Cell::toned(number(own, estimate.map(|it| it.mean)), tone),
            number(own, estimate.filter(|it| it.draws > 1).map(|it| it.half_width())).into(),
            number(own, ranking.behind[place].map(|it| it.mean)).into(),
        ];
        for (figure, _) in &beside {
            cells.push(number(&FIGURES[*figure], it.mean(*figure)).into());
        }
        table.row(cells);
    }
    table
}

fn place_of(key: &str) -> Option<usize> {
    FIGURES.iter().position(|figure| figure.key == key)
}

fn trade_off(answer: &SweepAnswer) -> Table {
    let about = &answer.results.about;
    let units = Units::new(about.unit(), &about.currency);
    let mut columns =
        vec![Column::new("", Quantity::Count), Column::new("setting", Quantity::Words)];
    let figures: Vec<&Figure> = FRONT.iter().filter_map(|key| Figure::named(key)).collect();
    let heads = [ELECTRICITY, OUT_OF_BAND, CHANGEOVERS];
    for (figure, head) in figures.iter().zip(heads) {
        columns.push(Column::in_unit(head, figure.unit.into(), units));
    }
    let mut table = Table::new(columns);
    let shown = answer.front_shown();
    for (place, it) in shown.iter().map(|place| (*place, &answer.front[*place])) {
        let setting = answer.ranking.settings[it.place].setting;
        let alike = match it.alike {
            0 => String::new(),
            count => format!(" (and {count} more alike)"),
        };
        let mut cells = vec![
            Cell::toned(letter(place), Tone::Strong),
            (answer.results.setting_words(setting) + &alike).into(),
        ];
        let numbers =
            figures.iter().zip(it.means).map(|(figure, it)| figure_mean(answer, figure, it));
        cells.extend(numbers.map(Cell::from));
        table.row(cells);
    }
    if answer.front.len() > shown.len() {
        let more = format!("and {} more, in sweep.json", answer.front.len() - shown.len());
        table.row([Cell::default(), Cell::toned(more, Tone::Faint)]);
    }
    table
}

/// The table, what of it cannot be told from noise, and the paths that are not in it.
fn hanging(answer: &SweepAnswer, style: Style) -> String {
    let names = answer.results.names();
    let mut out = String::new();
    if !answer.sensitivities.is_empty() {
        out.push_str(&text::table(&hangs_on(answer), style));
    }
    let noise = answer.sensitivities.iter().filter(|it| !it.is_told);
    let noise: Vec<&str> = noise.map(|it| names[it.axis].as_str()).collect();
    if !noise.is_empty() {
        let line = format!(
            "Not to be told from noise by these draws: {}. What has no effect looks as if it had \
             one in at most one sweep of twenty.",
            noise.join(", ")
        );
        out.push_str(&hang("  ", &clean(&line), style.width));
    }
    for (axis, why) in &answer.silent {
        let line = format!("Not in the table: {}; {}.", names[*axis], silent_words(*why));
        out.push_str(&hang("  ", &clean(&line), style.width));
    }
    out
}

fn hangs_on(answer: &SweepAnswer) -> Table {
    let figure = answer.goal.figure();
    let names = answer.results.names();
    let mut table = Table::new(vec![
        Column::new("", Quantity::Name),
        Column::new("least at", Quantity::Name),
        Column::new("most at", Quantity::Name),
        Column::new("difference", Quantity::Number),
        Column::new("95 % interval", Quantity::Number),
    ]);
    for it in answer.sensitivities.iter().take(LISTED) {
        let interval = match it.interval {
            Some([low, high]) if low < high => {
                format!(
                    "{} to {}",
                    figure_mean(answer, figure, low),
                    figure_mean(answer, figure, high)
                )
            }
            _ => "-".into(),
        };
        let tone = if it.is_told { Tone::Strong } else { Tone::Faint };
        let interval = if it.is_told { interval } else { format!("{interval} (noise)") };
        let at =
            |level: &Level| format!("{}: {}", level.value, figure_mean(answer, figure, level.mean));
        table.row([
            Cell::toned(names[it.axis].as_str(), tone),
            at(&it.smallest).into(),
            at(&it.largest).into(),
            figure_mean(answer, figure, it.span()).into(),
            interval.into(),
        ]);
    }
    table
}

/// How many settings could not be run, by reason.
fn unfit(answer: &SweepAnswer, style: Style) -> String {
    let all = answer.unfit();
    if all.is_empty() {
        return String::new();
    }
    let mut reasons: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (setting, why) in &all {
        reasons.entry(why).or_default().push(*setting);
    }
    let mut sorted: Vec<(&str, Vec<usize>)> = reasons.into_iter().collect();
    sorted.sort_by_key(|(_, settings)| (std::cmp::Reverse(settings.len()), settings[0]));
    let count = format!("{} of {} settings:", all.len(), answer.results.settings.len());
    let mut out = hang("  ", &count, style.width);
    for (why, settings) in sorted.iter().take(REASONS) {
        let example = answer.results.setting_words(settings[0]);
        let line = format!("{}: {why} (for example {example})", settings.len());
        out.push_str(&hang("  ", &clean(&line), style.width));
    }
    if sorted.len() > REASONS {
        let more = format!("and {} more reasons, in cases.csv", sorted.len() - REASONS);
        out.push_str(&hang("  ", &more, style.width));
    }
    out
}

fn notes(answer: &SweepAnswer) -> Vec<String> {
    let plan = &answer.results.plan;
    let mut all = Vec::new();
    for axis in plan.axes.iter().chain(&plan.varied).filter(|axis| axis.moved > 0) {
        all.push(format!(
            "{}: {} of its values lie between those that the key can have and were put on the \
             nearest; {} remain.",
            axis.path,
            axis.moved,
            axis.values.count().unwrap_or(0)
        ));
    }
    let alike = plan.draws > 1 && !answer.has_chance && !answer.ranking.settings.is_empty();
    if alike && answer.results.may_differ() {
        all.push(
            "Every draw of a setting gave the same. That is no certainty: people decide by chance, \
             or something varies, and what comes seldom may not have come in so few draws."
                .to_owned(),
        );
    } else if alike {
        all.push(
            "Every draw of a setting gives the same: nothing in the file happens by chance, and \
             one draw tells as much. Let something vary with --vary, or have people in the file."
                .to_owned(),
        );
    }
    if answer.has_chance {
        all.push(
            "Intervals are to hold the true mean 95 times in 100 (Student's and Hall's over the \
             draws; where most draws are alike, also as wide as what has not come yet may make \
             it); differences are taken draw by draw, since every setting meets the same draws. \
             They allow for one look at a time, not for having picked the best of many."
                .to_owned(),
        );
    }
    all.extend(answer.results.about.shared_demand.map(demand_share_words));
    all.push(
        "A model of these days, not a promise of savings and not a test on site. The documents of \
         the equipment, the sequence of operation and the authority having jurisdiction come \
         first; a lower figure is no reason to go below lawful minimum temperatures."
            .to_owned(),
    );
    all
}
