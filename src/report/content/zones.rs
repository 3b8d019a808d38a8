//! What each zone did, and what it was like to be there.

use super::wording::{CHANGEOVERS, DONE_AS_ASKED, OCCUPIED, OUT_OF_BAND, SERVED, STARVED};
use super::{Field, Medium, Quantity, Table, Units, Value};
use crate::measures::{ComfortFigures, HumidityFigures, TemperatureFigures, ZoneFigures};
use crate::report::headline::zone_asked_and_denied;
use crate::report::run::{Run, label};

/// A zone: what people call it, and its figures.
type Zone<'a> = (&'a str, &'a ZoneFigures);

const WORKBOOK: &[Medium] = &[Medium::Workbook];
const PAGE_AND_WORKBOOK: &[Medium] = &[Medium::Page, Medium::Workbook];

/// Each zone with its place in `summary.json`.
fn all<'a>(run: &Run<'a>) -> impl Iterator<Item = (String, Zone<'a>)> {
    let zones = run.model.zones.iter().zip(&run.summary.zones);
    zones.map(|(zone, (id, figures))| (format!("zones/{id}"), (label(zone), figures)))
}

fn done(zone: &ZoneFigures) -> Value {
    let (asked, denied) = zone_asked_and_denied(zone);
    Value::Part(asked - denied, asked)
}

fn felt(zone: &ZoneFigures, which: fn(&TemperatureFigures) -> f64) -> Value {
    zone.operative.as_ref().map(which).into()
}

fn vote(zone: &ZoneFigures, which: fn(&ComfortFigures) -> f64) -> Value {
    zone.comfort.as_ref().map(which).into()
}

fn count<'a>(
    path: &'static str,
    head: &'static str,
    value: fn(&Zone<'a>) -> Value,
) -> Field<Zone<'a>> {
    Field::new(path, head, Quantity::Count, value).only(WORKBOOK)
}

fn what_it_did<'a>() -> Vec<Field<Zone<'a>>> {
    use Quantity::{Count, DegreeHours, Hours, Name, Temperature};
    let mut fields: Vec<Field<Zone>> = vec![
        Field::new("", "zone", Name, |it: &Zone| it.0.into()),
        Field::new("temperature/min", "low", Temperature, |it: &Zone| it.1.temperature.min.into())
            .under("air"),
        Field::new("temperature/mean", "mean", Temperature, |it: &Zone| {
            it.1.temperature.mean.into()
        })
        .under("air"),
        Field::new("temperature/max", "high", Temperature, |it: &Zone| it.1.temperature.max.into())
            .under("air"),
        Field::new("changeovers", CHANGEOVERS, Count, |it: &Zone| it.1.changeovers.into()).minded(),
        count("unit_starts", "unit starts", |it: &Zone| it.1.unit_starts.into()),
        Field::new("served_hours", SERVED, Hours, |it: &Zone| it.1.served_hours.into()),
        Field::new("starved_hours", STARVED, Hours, |it: &Zone| it.1.starved_hours.into()).minded(),
        Field::new("occupied_hours", OCCUPIED, Hours, |it: &Zone| it.1.occupied_hours.into())
            .only(PAGE_AND_WORKBOOK),
        Field::new("hours_outside_band", OUT_OF_BAND, Hours, |it: &Zone| {
            it.1.hours_outside_band.into()
        })
        .minded(),
        Field::new("degree_hours_outside_band", OUT_OF_BAND, DegreeHours, |it: &Zone| {
            it.1.degree_hours_outside_band.into()
        })
        .only(WORKBOOK),
        Field::new("", DONE_AS_ASKED, Count, |it: &Zone| done(it.1)).only(Medium::BRIEF).minded(),
    ];
    fields.extend(what_was_felt().into_iter().map(|field| field.only(WORKBOOK)));
    fields.extend([
        count("requests/accepted", "requests accepted", |it| it.1.requests.accepted.into()),
        count("requests/pushed", "requests that pushed", |it| it.1.requests.pushed.into()),
        count("requests/limited", "requests limited", |it| it.1.requests.limited.into()),
        count("requests/refused", "requests refused", |it| it.1.requests.refused.into()),
        count("requests/no_effect", "requests without effect", |it| it.1.requests.no_effect.into()),
    ]);
    fields
}

fn what_was_felt<'a>() -> [Field<Zone<'a>>; 8] {
    use Quantity::{Hours, Percent, Temperature, Vote};
    let (operative, adaptive) = ("operative", "outside adaptive band");
    [
        Field::new("operative/min", "low", Temperature, |it: &Zone| felt(it.1, |it| it.min))
            .under(operative),
        Field::new("operative/mean", "mean", Temperature, |it: &Zone| felt(it.1, |it| it.mean))
            .under(operative),
        Field::new("operative/max", "high", Temperature, |it: &Zone| felt(it.1, |it| it.max))
            .under(operative),
        Field::new("comfort/mean_pmv", "mean PMV", Vote, |it| vote(it.1, |it| it.mean_pmv)),
        Field::new("comfort/ppd_percent", "PPD", Percent, |it| vote(it.1, |it| it.ppd_percent)),
        Field::new(
            "comfort/standard_effective_temperature/mean",
            "SET",
            Temperature,
            |it: &Zone| vote(it.1, |it| it.effective.mean),
        ),
        Field::new("comfort/adaptive/en_16798_outside_ii", "EN 16798-1 II", Hours, |it: &Zone| {
            vote(it.1, |it| it.adaptive.en_16798_outside_ii)
        })
        .under(adaptive),
        Field::new(
            "comfort/adaptive/ashrae_55_outside_80",
            "ASHRAE 55 80 %",
            Hours,
            |it: &Zone| vote(it.1, |it| it.adaptive.ashrae_55_outside_80),
        )
        .under(adaptive),
    ]
}

/// What each zone did, a row each.
pub(in crate::report) fn zones(run: &Run) -> Table {
    Table::of(Units::of(run.model), &what_it_did(), all(run))
}

/// What the zones are like while somebody is there, a row each; those where nobody is, are left out.
pub(in crate::report) fn comfort(run: &Run) -> Table {
    let mut fields = vec![Field::new("", "zone", Quantity::Name, |it: &Zone| it.0.into())];
    fields.extend(what_was_felt());
    fields.push(Field::new(
        "degree_hours_outside_band",
        OUT_OF_BAND,
        Quantity::DegreeHours,
        |it: &Zone| it.1.degree_hours_outside_band.into(),
    ));
    let there = |(_, (_, it)): &(String, Zone)| it.operative.is_some() && it.comfort.is_some();
    Table::of(Units::of(run.model), &fields, all(run).filter(there))
}

/// What the columns of [`comfort`] mean.
pub(in crate::report) const COMFORT_WORDS: &str = "Operative is the temperature of air and surfaces together, which people feel. Degree-hours add \
     up how many degrees out of band, for how long. The predicted mean vote (PMV), from −3 for cold \
     to +3 for hot, and the predicted percentage of dissatisfied (PPD) are those of ISO 7730, the \
     standard effective temperature (SET) that of ASHRAE 55 at the means of what was felt. Adaptive bands go \
     with the running mean outdoors and are meant for rooms whose people open windows and dress as they \
     like: EN 16798-1 category II and ASHRAE 55 for 80 %, on days for which they are meant. All of it counts only the time in which somebody is there.";

/// Relative humidity and water, where they are followed.
pub(in crate::report) fn humidity<'a>(run: &Run<'a>) -> Table {
    use Quantity::{Hours, Mass, Name, WholePercent};
    type Damp<'a> = (&'a str, HumidityFigures);
    let relative = "relative humidity";
    let fields: [Field<Damp>; 7] = [
        Field::new("", "zone", Name, |it: &Damp| it.0.into()),
        Field::new("min_percent", "low", WholePercent, |it: &Damp| it.1.min_percent.into())
            .under(relative),
        Field::new("mean_percent", "mean", WholePercent, |it: &Damp| it.1.mean_percent.into())
            .under(relative),
        Field::new("max_percent", "high", WholePercent, |it: &Damp| it.1.max_percent.into())
            .under(relative),
        Field::new("hours_above_60", "above 60 %", Hours, |it| it.1.hours_above_60.into()),
        Field::new("water_removed_kg", "water taken out", Mass, |it| it.1.water_removed_kg.into()),
        Field::new("condensed_kg", "con\u{ad}densed", Mass, |it| it.1.condensed_kg.into()),
    ];
    let damp = |(place, (name, it)): (String, Zone<'a>)| {
        it.humidity.map(|damp| (format!("{place}/humidity"), (name, damp)))
    };
    Table::of(Units::of(run.model), &fields, all(run).filter_map(damp))
}
