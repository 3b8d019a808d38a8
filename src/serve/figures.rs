//! The headline numbers of a day, for all zones together and for each.

use serde::Serialize;

use crate::measures::ZoneFigures;
use crate::report::Run;

/// One number of a run.
#[derive(Clone, Debug, Serialize)]
pub(super) struct PageFigure {
    /// What it is called by programs.
    id: &'static str,
    label: &'static str,
    /// Which zone it is about; all of them without one.
    zone: Option<usize>,
    value: f64,
    /// How it is written: a whole number, hours, energy or money.
    kind: &'static str,
    unit: String,
}

impl PageFigure {
    /// One of all zones together.
    pub(super) fn of_all(
        id: &'static str,
        label: &'static str,
        value: f64,
        kind: &'static str,
        unit: &str,
    ) -> Self {
        Self { id, label, zone: None, value, kind, unit: unit.to_owned() }
    }

    /// What people call it.
    pub(super) const fn label(&self) -> &'static str {
        self.label
    }

    /// Whether it is of all zones together.
    pub(super) const fn is_of_all(&self) -> bool {
        self.zone.is_none()
    }

    /// Its value with its unit, as the page writes it.
    pub(super) fn shown(&self) -> String {
        let number = match self.kind {
            "count" => format!("{:.0}", self.value),
            "hours" => format!("{:.1}", self.value),
            "money" => format!("{:.2}", self.value),
            _ => format!("{:.3}", self.value),
        };
        format!("{number} {}", self.unit).trim_end().to_owned()
    }
}

/// The numbers of a run: first of all zones together, then of each.
pub(super) fn figures(run: &Run<'_>) -> Vec<PageFigure> {
    let summary = run.summary;
    let all: Vec<&ZoneFigures> = summary.zones.iter().map(|(_, zone)| zone).collect();
    let sum = |value: fn(&ZoneFigures) -> f64| all.iter().map(|zone| value(zone)).sum();
    let figure = PageFigure::of_all;
    let mut list = vec![
        figure("energy", "Electricity", summary.energy.total_kwh, "energy", "kWh"),
        figure("changeovers", "Changeovers", summary.group.changeovers as f64, "count", ""),
        figure("starved", "Starved", sum(starved), "hours", "h"),
        figure("outside", "Out of band", sum(outside), "hours", "h"),
        figure("denied", "Not done as asked", sum(denied), "count", ""),
    ];
    if let Some(cost) = summary.energy.cost {
        let currency = run.model.tariff.as_ref().map_or("", |tariff| tariff.currency.as_str());
        list.insert(1, figure("cost", "Cost", cost, "money", currency));
    }
    for (place, zone) in all.iter().enumerate() {
        let of_zone = |id, label, value, kind, unit: &str| PageFigure {
            zone: Some(place),
            ..figure(id, label, value, kind, unit)
        };
        list.extend([
            of_zone("changeovers", "Changeovers", zone.changeovers as f64, "count", ""),
            of_zone("served", "Served", zone.served_hours, "hours", "h"),
            of_zone("starved", "Starved", starved(zone), "hours", "h"),
            of_zone("outside", "Out of band", outside(zone), "hours", "h"),
            of_zone("denied", "Requests not done as asked", denied(zone), "count", ""),
        ]);
    }
    list
}

fn starved(zone: &ZoneFigures) -> f64 {
    zone.starved_hours
}

fn outside(zone: &ZoneFigures) -> f64 {
    zone.hours_outside_band
}

fn denied(zone: &ZoneFigures) -> f64 {
    let requests = &zone.requests;
    (requests.limited + requests.refused + requests.no_effect) as f64
}
