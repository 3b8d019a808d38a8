//! What `run` prints: the answer as a sentence, the table, what the ledger teaches, cautions,
//! and where the files are.

use super::cautions::{cautions, warnings};
use super::content::{Tone, people, seasons, zones};
use super::figures::{days_in_words, duration, money, three_figures};
use super::headline::headline;
use super::highlights::highlights;
use super::render::fit::{clean, hang};
use super::render::text::{self, Style, section};
use super::run::Run;
use crate::measures::EnergyUse;
use crate::time::Seconds;

/// So many people have a row of their own.
const MOST_PEOPLE: usize = 12;

/// The whole text of a run. `files` are the paths that were written, as they are to be shown.
pub fn run_text(run: &Run, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    text::strong(&mut out, style, &headline(run));
    out.push_str(&hang("", &clean(&what_was_run(run)), style.width));
    let warned = warnings(run);
    for warning in &warned {
        out.push_str(&style.paint(Tone::Warning, &hang("", &clean(warning), style.width)));
    }
    out.push('\n');
    out.push_str(&text::table(&zones::zones(run), style));
    out.push('\n');
    out.push_str(&energy(run, style));
    further(run, style, &mut out);
    section(&mut out, style, "What the ledger shows", &highlights(run, style));
    section(&mut out, style, "Bear in mind", &text::list(&cautions(run)[warned.len()..], style));
    text::files(&mut out, style, files);
    out
}

/// Months, mornings, lockouts, people and humidity, each where the run has anything of it.
fn further(run: &Run, style: Style, out: &mut String) {
    let everybody = &run.summary.people;
    let shown = people::shown(everybody, MOST_PEOPLE);
    let sections = [
        (
            "Month by month",
            seasons::months_and_seasons(run),
            seasons::months_note(run).map(str::to_owned),
        ),
        ("When somebody came in", seasons::mornings(run), seasons::hopeless_mornings(run)),
        (
            "What locking a mode out would cost",
            seasons::lock_calendar(run),
            Some(seasons::lock_calendar_words(run)),
        ),
        ("People", people::people(run, &shown), people::rest(everybody, &shown, "summary.json")),
        ("Relative humidity and water", zones::humidity(run), None),
    ];
    for (head, table, note) in sections.into_iter().filter(|(_, table, _)| !table.is_empty()) {
        let note = note.map_or_else(String::new, |it| hang("", &clean(&it), style.width));
        section(out, style, head, &(text::table(&table, style) + &note));
    }
}

fn what_was_run(run: &Run) -> String {
    let period = &run.model.period;
    let variant = run.model.variant.as_deref().map(|name| format!(", variant {name}"));
    format!(
        "{}{}: {}, in steps of {}.",
        run.model.title,
        variant.unwrap_or_default(),
        days_in_words(period),
        // Rows that are kept by the hour make the model's steps hours; the run's were shorter.
        Seconds::new(run.summary.period.step_s)
    )
}

/// Electricity by use, heat moved, and what it costs.
fn energy(run: &Run, style: Style) -> String {
    let energy = &run.summary.energy;
    let mut out = hang("", &electricity(energy), style.width);
    let group = &run.summary.group;
    let mut rest = vec![format!(
        "Heat: {} kWh into the zones, {} kWh out of them.",
        three_figures(energy.heat_delivered_kwh),
        three_figures(energy.heat_removed_kwh)
    )];
    if let (Some(cost), Some(tariff)) = (energy.cost, &run.model.tariff) {
        rest.push(format!("Cost: {}.", money(cost, &clean(&tariff.currency))));
    }
    if let Some(carbon) = energy.carbon_kg {
        rest.push(format!("Carbon dioxide: {} kg.", three_figures(carbon)));
    }
    if group.mixed_demand_hours > 0.0 {
        rest.push(format!(
            "Some zones needed heating and others cooling for {}.",
            duration(group.mixed_demand_hours)
        ));
    }
    out.push_str(&hang("", &rest.join(" "), style.width));
    out
}

fn electricity(energy: &EnergyUse) -> String {
    let uses = [
        ("heating", energy.heating_kwh),
        ("cooling", energy.cooling_kwh),
        ("fans", energy.fan_kwh),
        ("backup heat", energy.backup_kwh),
        ("standby", energy.standby_kwh),
    ];
    let parts: Vec<String> = uses
        .iter()
        .filter(|(_, kwh)| *kwh > 0.0)
        .map(|(name, kwh)| format!("{name} {}", three_figures(*kwh)))
        .collect();
    let total = three_figures(energy.total_kwh);
    if parts.is_empty() {
        format!("Electricity: {total} kWh.")
    } else {
        format!("Electricity: {total} kWh ({}).", parts.join(", "))
    }
}
