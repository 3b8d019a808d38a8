//! What `run` prints: the answer as a sentence, the table, what the ledger teaches, cautions,
//! and where the files are.

use super::cautions::cautions;
use super::damp::damp;
use super::figures::{
    days_in_words, duration, hours_digits, money, one_digit, three_figures, unit_sign,
};
use super::fit::{clean, hang};
use super::headline::{headline, zone_asked_and_denied};
use super::highlights::highlights;
use super::people::people;
use super::run::{Run, label};
use super::season_text;
use super::style::{Style, Tone, section};
use super::table::{Cell, Column, Fit, Table};
use crate::measures::EnergyUse;
use crate::time::Seconds;

/// The whole text of a run. `files` are the paths that were written, as they are to be shown.
pub fn run_text(run: &Run, style: Style, files: &[String]) -> String {
    let mut out = String::new();
    for line in hang("", &clean(&headline(run)), style.width).lines() {
        out.push_str(&style.paint(Tone::Strong, line));
        out.push('\n');
    }
    out.push_str(&hang("", &clean(&what_was_run(run)), style.width));
    out.push('\n');
    out.push_str(&zones(run).render(style));
    out.push('\n');
    out.push_str(&energy(run, style));
    let seasons = [
        ("Month by month", season_text::months(run, style)),
        ("When somebody came in", season_text::mornings(run, style)),
        ("What locking a mode out would cost", season_text::lock_calendar(run, style)),
    ];
    for (head, body) in seasons {
        section(&mut out, style, head, &body);
    }
    section(&mut out, style, "People", &people(run, style));
    section(&mut out, style, "Relative humidity and water", &damp(run, style));
    section(&mut out, style, "What the ledger shows", &highlights(run, style));
    section(&mut out, style, "Bear in mind", &caution_lines(run, style));
    let listed: Vec<String> = files.iter().map(|file| format!("  {}", clean(file))).collect();
    section(&mut out, style, "Files", &listed.join("\n"));
    out
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

/// One row a zone.
fn zones(run: &Run) -> Table {
    let degrees = unit_sign(run.model.unit);
    let mut table = Table::new(vec![
        Column::words("zone", Fit::Cut),
        Column::numbers(&format!("air {degrees}\nlow")),
        Column::numbers("\nmean"),
        Column::numbers("\nhigh"),
        Column::numbers("change-\novers"),
        Column::numbers("served\nh"),
        Column::numbers("starved\nh"),
        Column::numbers("out of\nband h"),
        Column::numbers("done as\nasked"),
    ]);
    for (zone, (_, figures)) in run.model.zones.iter().zip(&run.summary.zones) {
        let (asked, denied) = zone_asked_and_denied(figures);
        let temperature = &figures.temperature;
        table.row([
            label(zone).into(),
            one_digit(temperature.min).into(),
            one_digit(temperature.mean).into(),
            one_digit(temperature.max).into(),
            warning_unless(figures.changeovers == 0, figures.changeovers.to_string()),
            hours_digits(figures.served_hours).into(),
            warning_unless(figures.starved_hours < 0.05, hours_digits(figures.starved_hours)),
            warning_unless(
                figures.hours_outside_band < 0.05,
                hours_digits(figures.hours_outside_band),
            ),
            warning_unless(denied == 0, format!("{}/{asked}", asked - denied)),
        ]);
    }
    table
}

fn warning_unless(fine: bool, text: String) -> Cell {
    Cell::toned(text, if fine { Tone::Plain } else { Tone::Warning })
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

fn caution_lines(run: &Run, style: Style) -> String {
    cautions(run).iter().map(|caution| hang("  ", &clean(caution), style.width)).collect()
}
