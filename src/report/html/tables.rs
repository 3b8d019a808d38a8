//! The figures of a run as tables. Each number says in `data-figure` which figure of
//! `summary.json` it is.

use super::markup::Markup;
use crate::measures::ZoneFigures;
use crate::report::figures::{hours_digits, money, one_digit, three_figures, unit_sign};
use crate::report::headline::zone_asked_and_denied;
use crate::report::run::Run;

/// A row of a table of numbers.
pub(super) struct Row {
    /// What it is about.
    pub name: String,
    /// For each column which figure it is, empty where it is none of `summary.json`, and its text.
    pub cells: Vec<(String, String)>,
}

/// A table of numbers; the first head is that of the rows' names.
pub(super) fn numbers(to: &mut Markup, heads: &[String], rows: &[Row]) {
    to.within("table", &[("class", "numbers cards")], |table| {
        head(table, heads);
        table.within("tbody", &[], |body| {
            for Row { name, cells } in rows {
                body.within("tr", &[], |row| {
                    row.cell("th", &[("scope", "row")], name);
                    for ((figure, number), head) in cells.iter().zip(&heads[1..]) {
                        let mut attributes = vec![("data-head", head.as_str())];
                        if !figure.is_empty() {
                            attributes.push(("data-figure", figure));
                        }
                        row.cell("td", &attributes, number);
                    }
                });
            }
        });
    });
}

/// The zones, a row each.
pub(super) fn zones(to: &mut Markup, run: &Run) {
    let degrees = unit_sign(run.model.unit);
    let heads = [
        "Zone".to_owned(),
        format!("Lowest {degrees}"),
        format!("Mean {degrees}"),
        format!("Highest {degrees}"),
        "Changes between heating and cooling".into(),
        "Hours heated or cooled".into(),
        "Hours starved".into(),
        "Hours occupied".into(),
        "of these outside comfort".into(),
        "Requests done as asked".into(),
    ];
    to.within("table", &[("class", "numbers cards")], |table| {
        head(table, &heads);
        table.within("tbody", &[], |body| {
            for (zone, (id, figures)) in run.model.zones.iter().zip(&run.summary.zones) {
                body.within("tr", &[], |row| {
                    row.cell("th", &[("scope", "row")], crate::report::run::label(zone));
                    cells(row, id, figures, &heads);
                });
            }
        });
    });
}

fn head(to: &mut Markup, heads: &[String]) {
    to.within("thead", &[], |head| {
        head.within("tr", &[], |row| {
            for words in heads {
                row.cell("th", &[("scope", "col")], words);
            }
        });
    });
}

fn cells(to: &mut Markup, id: &str, zone: &ZoneFigures, heads: &[String]) {
    let (asked, denied) = zone_asked_and_denied(zone);
    let values = [
        ("temperature.min", one_digit(zone.temperature.min)),
        ("temperature.mean", one_digit(zone.temperature.mean)),
        ("temperature.max", one_digit(zone.temperature.max)),
        ("changeovers", zone.changeovers.to_string()),
        ("served_hours", hours_digits(zone.served_hours)),
        ("starved_hours", hours_digits(zone.starved_hours)),
        ("occupied_hours", hours_digits(zone.occupied_hours)),
        ("hours_outside_band", hours_digits(zone.hours_outside_band)),
    ];
    for ((key, number), head) in values.iter().zip(&heads[1..]) {
        let figure = format!("zones/{id}/{key}").replace('.', "/");
        to.cell("td", &[("data-head", head), ("data-figure", &figure)], number);
    }
    let last = heads.last().map_or("", String::as_str);
    let done = if asked == 0 { "none".into() } else { format!("{} of {asked}", asked - denied) };
    to.cell("td", &[("data-head", last)], &done);
}

/// What the zones are like while somebody is there, a row each; those where nobody is, are left out.
pub(super) fn comfort(to: &mut Markup, run: &Run) {
    let degrees = unit_sign(run.model.unit);
    let heads = [
        "While somebody is there".to_owned(),
        format!("Felt, lowest {degrees}"),
        format!("Felt, mean {degrees}"),
        format!("Felt, highest {degrees}"),
        format!("Outside comfort {degrees}\u{a0}h"),
        "Mean PMV".into(),
        "PPD %".into(),
    ];
    let zones = run.model.zones.iter().zip(&run.summary.zones);
    let rows: Vec<Row> = zones
        .filter_map(|(zone, (id, figures))| {
            let cells = comfort_cells(id, figures)?;
            Some(Row { name: crate::report::run::label(zone).to_owned(), cells })
        })
        .collect();
    if rows.is_empty() {
        return;
    }
    numbers(to, &heads, &rows);
    to.element("p", &[("class", "text")], COMFORT_WORDS);
}

const COMFORT_WORDS: &str = "Felt is the operative temperature, of air and surfaces together. \
                             Outside comfort adds up how many degrees, for how long. PMV is the \
                             predicted mean vote, from −3 for cold to +3 for hot, PPD the \
                             predicted percentage dissatisfied, both by ISO 7730. All of it \
                             counts only the time in which somebody is there.";

fn comfort_cells(id: &str, zone: &ZoneFigures) -> Option<Vec<(String, String)>> {
    let (felt, comfort) = (zone.operative.as_ref()?, zone.comfort.as_ref()?);
    let values = [
        ("operative/min", one_digit(felt.min)),
        ("operative/mean", one_digit(felt.mean)),
        ("operative/max", one_digit(felt.max)),
        ("degree_hours_outside_band", one_digit(zone.degree_hours_outside_band)),
        ("comfort/mean_pmv", format!("{:+.2}", comfort.mean_pmv)),
        ("comfort/ppd_percent", one_digit(comfort.ppd_percent)),
    ];
    Some(values.map(|(key, number)| (format!("zones/{id}/{key}"), number)).into())
}

/// Relative humidity and water, where they are followed.
pub(super) fn damp(to: &mut Markup, run: &Run) {
    let heads = [
        "Relative humidity",
        "Lowest %",
        "Mean %",
        "Highest %",
        "Hours above 60 %",
        "Water taken out kg",
        "Condensed kg",
    ]
    .map(String::from);
    let zones = run.model.zones.iter().zip(&run.summary.zones);
    let rows: Vec<Row> = zones
        .filter_map(|(zone, (id, figures))| {
            let damp = figures.humidity?;
            let values = [
                ("min_percent", format!("{:.0}", damp.min_percent)),
                ("mean_percent", format!("{:.0}", damp.mean_percent)),
                ("max_percent", format!("{:.0}", damp.max_percent)),
                ("hours_above_60", hours_digits(damp.hours_above_60)),
                ("water_removed_kg", three_figures(damp.water_removed_kg)),
                ("condensed_kg", three_figures(damp.condensed_kg)),
            ];
            let place =
                |(key, number): (&str, String)| (format!("zones/{id}/humidity/{key}"), number);
            let name = crate::report::run::label(zone).to_owned();
            Some(Row { name, cells: values.map(place).into() })
        })
        .collect();
    if !rows.is_empty() {
        numbers(to, &heads, &rows);
    }
}

/// Electricity by use, heat, cost and carbon.
pub(super) fn energy(to: &mut Markup, run: &Run) {
    let energy = &run.summary.energy;
    let currency = run.summary.bill.as_ref().map_or("", |bill| bill.currency.as_str());
    let uses = [
        ("Heating", "energy/heating_kwh", energy.heating_kwh),
        ("Cooling", "energy/cooling_kwh", energy.cooling_kwh),
        ("Fans", "energy/fan_kwh", energy.fan_kwh),
        ("Backup heat", "energy/backup_kwh", energy.backup_kwh),
        ("Standby", "energy/standby_kwh", energy.standby_kwh),
    ];
    to.within("table", &[("class", "numbers energy")], |table| {
        table.element("caption", &[], "Electricity by use");
        table.within("tbody", &[], |body| {
            let mut line = |words: &str, figure: &str, number: &str, unit: &str| {
                self::line(body, words, figure, number, unit);
            };
            for (words, figure, kwh) in uses.into_iter().filter(|(.., kwh)| *kwh > 0.0) {
                line(words, figure, &three_figures(kwh), "kWh");
            }
            line("In all", "energy/total_kwh", &three_figures(energy.total_kwh), "kWh");
            let peak = three_figures(energy.peak_kw);
            line("Highest quarter of an hour", "energy/peak_kw", &peak, "kW");
            if let Some(bill) = run.summary.bill.as_ref().filter(|bill| bill.demand > 0.0) {
                line("Cost of the energy", "bill/energy", &money(bill.energy, ""), currency);
                line(
                    "Cost of the highest demand",
                    "bill/demand",
                    &money(bill.demand, ""),
                    currency,
                );
            }
            if let Some(cost) = energy.cost {
                line("Cost", "energy/cost", &money(cost, ""), currency);
            }
            if let Some(carbon) = energy.carbon_kg {
                line("Carbon dioxide", "energy/carbon_kg", &three_figures(carbon), "kg");
            }
        });
    });
}

fn line(to: &mut Markup, words: &str, figure: &str, number: &str, unit: &str) {
    to.within("tr", &[], |row| {
        row.cell("th", &[("scope", "row")], words);
        row.cell("td", &[("data-figure", figure)], number);
        row.cell("td", &[("class", "unit")], unit);
    });
}
