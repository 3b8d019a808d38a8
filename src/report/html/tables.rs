//! The figures of a run as tables. Each number says in `data-figure` which figure of
//! `summary.json` it is.

use super::markup::Markup;
use crate::measures::ZoneFigures;
use crate::report::Run;
use crate::report::figures::{hours_digits, one_digit, three_figures, unit_sign};
use crate::report::headline::zone_asked_and_denied;

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
                    row.cell("th", &[("scope", "row")], crate::report::label(zone));
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

/// Electricity by use, heat, cost and carbon.
pub(super) fn energy(to: &mut Markup, run: &Run) {
    let energy = &run.summary.energy;
    let currency = run.summary.bill.as_ref().map_or("", |bill| bill.currency.as_str());
    let uses = [
        ("Heating", "heating_kwh", energy.heating_kwh),
        ("Cooling", "cooling_kwh", energy.cooling_kwh),
        ("Fans", "fan_kwh", energy.fan_kwh),
        ("Backup heat", "backup_kwh", energy.backup_kwh),
        ("Standby", "standby_kwh", energy.standby_kwh),
    ];
    to.within("table", &[("class", "numbers energy")], |table| {
        table.element("caption", &[], "Electricity by use");
        table.within("tbody", &[], |body| {
            for (words, key, kwh) in uses.into_iter().filter(|(.., kwh)| *kwh > 0.0) {
                line(body, words, key, &three_figures(kwh), "kWh");
            }
            line(body, "In all", "total_kwh", &three_figures(energy.total_kwh), "kWh");
            let peak = three_figures(energy.peak_kw);
            line(body, "Highest quarter of an hour", "peak_kw", &peak, "kW");
            if let Some(cost) = energy.cost {
                line(body, "Cost", "cost", &format!("{cost:.2}"), currency);
            }
            if let Some(carbon) = energy.carbon_kg {
                line(body, "Carbon dioxide", "carbon_kg", &three_figures(carbon), "kg");
            }
        });
    });
}

fn line(to: &mut Markup, words: &str, key: &str, number: &str, unit: &str) {
    to.within("tr", &[], |row| {
        row.cell("th", &[("scope", "row")], words);
        row.cell("td", &[("data-figure", &format!("energy/{key}"))], number);
        row.cell("td", &[("class", "unit")], unit);
    });
}
