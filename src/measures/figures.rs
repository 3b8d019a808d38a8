//! The figures by which runs are compared: each once, with its name, its unit and how a summary
//! has it. Tables, files and pages take them from here.

use super::people_tally::PersonFigures;
use super::summary::Summary;
use super::zone_figures::{HumidityFigures, ZoneFigures};

/// In what a figure is counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FigureUnit {
    /// kWh.
    Energy,
    /// kW.
    Power,
    /// The tariff's currency.
    Money,
    /// kg.
    Mass,
    /// Hours.
    Hours,
    /// Degrees of the file's unit times hours.
    DegreeHours,
    /// How often, how many.
    Count,
    /// Percent.
    Percent,
}

/// A figure of a run.
#[derive(Clone, Copy, Debug)]
pub struct Figure {
    /// Its name in JSON and CSV.
    pub key: &'static str,
    /// What people call it.
    pub words: &'static str,
    /// In what it is counted.
    pub unit: FigureUnit,
    value: fn(&Summary) -> Option<f64>,
}

impl Figure {
    /// Its value; `None` where the run has none, such as a cost without a tariff.
    pub fn of(&self, summary: &Summary) -> Option<f64> {
        (self.value)(summary)
    }

    /// The figure of that name.
    pub fn named(key: &str) -> Option<&'static Self> {
        FIGURES.iter().find(|figure| figure.key == key)
    }
}

const fn figure(
    key: &'static str,
    words: &'static str,
    unit: FigureUnit,
    value: fn(&Summary) -> Option<f64>,
) -> Figure {
    Figure { key, words, unit, value }
}

/// Every figure, in the order in which tables have them.
pub const FIGURES: &[Figure] = &[
    figure("heating_kwh", "electricity for heating", FigureUnit::Energy, |it| {
        Some(it.energy.heating_kwh)
    }),
    figure("cooling_kwh", "electricity for cooling", FigureUnit::Energy, |it| {
        Some(it.energy.cooling_kwh)
    }),
    figure("fan_kwh", "electricity for fans", FigureUnit::Energy, |it| Some(it.energy.fan_kwh)),
    figure("backup_kwh", "electricity for backup heat", FigureUnit::Energy, |it| {
        Some(it.energy.backup_kwh)
    }),
    figure("standby_kwh", "electricity on standby", FigureUnit::Energy, |it| {
        Some(it.energy.standby_kwh)
    }),
    figure("total_kwh", "electricity", FigureUnit::Energy, |it| Some(it.energy.total_kwh)),
    figure("peak_kw", "highest quarter of an hour", FigureUnit::Power, |it| {
        Some(it.energy.peak_kw)
    }),
    figure("cost", "cost", FigureUnit::Money, |it| it.energy.cost),
    figure("carbon_kg", "carbon dioxide", FigureUnit::Mass, |it| it.energy.carbon_kg),
    figure("opposed_kwh", "opposed heat", FigureUnit::Energy, |it| Some(it.group.opposed_kwh)),
    figure("changeovers", "changeovers", FigureUnit::Count, |it| Some(it.group.changeovers as f64)),
    figure("unit_starts", "unit starts", FigureUnit::Count, |it| {
        Some(sum(it, |zone| zone.unit_starts as f64))
    }),
    figure("starved_hours", "starved hours", FigureUnit::Hours, |it| {
        Some(sum(it, |zone| zone.starved_hours))
    }),
    figure("mixed_demand_hours", "hours of mixed demand", FigureUnit::Hours, |it| {
        Some(it.group.mixed_demand_hours)
    }),
    figure("hours_inside_band", "hours in band", FigureUnit::Hours, |it| {
        Some(sum(it, |zone| zone.occupied_hours - zone.hours_outside_band))
    }),
    figure("hours_outside_band", "hours out of band", FigureUnit::Hours, |it| {
        Some(sum(it, |zone| zone.hours_outside_band))
    }),
    figure(
        "degree_hours_outside_band",
        "degree-hours out of band",
        FigureUnit::DegreeHours,
        |it| Some(sum(it, |zone| zone.degree_hours_outside_band)),
    ),
    figure("ppd_percent", "PPD while occupied", FigureUnit::Percent, ppd),
    figure("humid_hours", "hours above 60 % humidity", FigureUnit::Hours, |it| {
        damp(it, |humidity| humidity.hours_above_60)
    }),
    figure("water_removed_kg", "water taken out by cooling", FigureUnit::Mass, |it| {
        damp(it, |humidity| humidity.water_removed_kg)
    }),
    figure("discomfort_hours", "hours people were uncomfortable", FigureUnit::Hours, |it| {
        people(it, |person| person.cold_hours + person.warm_hours)
    }),
    figure("complaints", "complaints", FigureUnit::Count, |it| {
        people(it, |person| person.complaints as f64)
    }),
    figure("gave_up", "people who gave up pressing", FigureUnit::Count, |it| {
        people(it, |person| person.gave_up as f64)
    }),
    figure("accepted", "requests accepted", FigureUnit::Count, |it| {
        Some(sum(it, |zone| zone.requests.accepted as f64))
    }),
    figure("pushed", "requests that pushed", FigureUnit::Count, |it| {
        Some(sum(it, |zone| zone.requests.pushed as f64))
    }),
    figure("limited", "requests limited", FigureUnit::Count, |it| {
        Some(sum(it, |zone| zone.requests.limited as f64))
    }),
    figure("refused", "requests refused", FigureUnit::Count, |it| {
        Some(sum(it, |zone| zone.requests.refused as f64))
    }),
    figure("no_effect", "requests without effect", FigureUnit::Count, |it| {
        Some(sum(it, |zone| zone.requests.no_effect as f64))
    }),
];

fn sum(summary: &Summary, value: impl Fn(&ZoneFigures) -> f64) -> f64 {
    // An empty sum of floats is -0.
    summary.zones.iter().fold(0.0, |sum, (_, zone)| sum + value(zone))
}

/// The sum over the zones whose water is followed; `None` where it is not.
fn damp(summary: &Summary, value: impl Fn(&HumidityFigures) -> f64) -> Option<f64> {
    let all = summary.zones.iter().filter_map(|(_, zone)| zone.humidity.as_ref());
    all.map(value).reduce(|sum, value| sum + value)
}

/// The sum over all people; `None` where the file has none.
fn people(summary: &Summary, value: impl Fn(&PersonFigures) -> f64) -> Option<f64> {
    let people = &summary.people;
    (!people.is_empty()).then(|| people.iter().fold(0.0, |sum, person| sum + value(person)))
}

/// Mean PPD, percent, each zone weighted by its occupied hours.
fn ppd(summary: &Summary) -> Option<f64> {
    let mut sums = (0.0, 0.0);
    for (_, zone) in &summary.zones {
        if let Some(comfort) = &zone.comfort {
            sums.0 += comfort.ppd_percent * zone.occupied_hours;
            sums.1 += zone.occupied_hours;
        }
    }
    (sums.1 > 0.0).then(|| sums.0 / sums.1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_has_a_name_of_its_own() {
        for (place, figure) in FIGURES.iter().enumerate() {
            let same = |other: &Figure| other.key == figure.key || other.words == figure.words;
            assert!(!FIGURES[..place].iter().any(same), "{}", figure.key);
            assert_eq!(Figure::named(figure.key).map(|found| found.words), Some(figure.words));
        }
    }
}
