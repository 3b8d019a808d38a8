//! What weeks and years tell besides: months, mornings, and what locking a mode out would cost.

use super::wording::{CHANGEOVERS, ELECTRICITY, OCCUPIED, OUT_OF_BAND, STARVED};
use super::{Field, Medium, Quantity, Table, Units, Value};
use crate::measures::{
    LockCost, LockMonth, MonthFigures, MonthZoneFigures, Months, MorningFigures, Unlawful,
};
use crate::report::figures::{count, duration, listed, month_name};
use crate::report::headline::capitalised;
use crate::report::run::Run;
use crate::study::LONGEST_LEAD;
use crate::time::Month;

/// Less than this is nothing, h.
const LEAST_HOURS: f64 = 0.05;

/// Which three months each season has, by the number of the first; the names serve both sides of
/// the equator.
const SEASONS: [(&str, [u8; 3]); 4] = [
    ("Dec to Feb", [12, 1, 2]),
    ("Mar to May", [3, 4, 5]),
    ("Jun to Aug", [6, 7, 8]),
    ("Sep to Nov", [9, 10, 11]),
];

fn over_zones(month: &MonthFigures, value: fn(&MonthZoneFigures) -> f64) -> Value {
    // An empty sum of floats is -0.
    month.zones.iter().fold(0.0, |sum, (_, zone)| sum + value(zone)).into()
}

const MONTHS: &[Field<MonthFigures>] = &{
    use Quantity::{Count, Energy, Hours, Mass, Money, Name, Power};
    type It = MonthFigures;
    [
        Field::new("", "month", Name, |it: &It| in_words(it.month).into()).only(Medium::BRIEF),
        Field::new("month", "month", Name, |it: &It| it.month.to_string().into())
            .only(Medium::FULL),
        Field::new("hours", "hours", Hours, |it: &It| it.hours.into()).only(Medium::FULL),
        Field::new("energy/heating_kwh", "heating", Energy, |it| it.energy.heating_kwh.into()),
        Field::new("energy/cooling_kwh", "cooling", Energy, |it| it.energy.cooling_kwh.into()),
        Field::new("energy/fan_kwh", "fans", Energy, |it: &It| it.energy.fan_kwh.into())
            .only(Medium::FULL),
        Field::new("energy/backup_kwh", "backup heat", Energy, |it: &It| {
            it.energy.backup_kwh.into()
        })
        .only(Medium::FULL),
        Field::new("energy/standby_kwh", "standby", Energy, |it: &It| it.energy.standby_kwh.into())
            .only(Medium::FULL),
        Field::new("energy/total_kwh", ELECTRICITY, Energy, |it| it.energy.total_kwh.into()),
        Field::new("energy/heat_delivered_kwh", "heat into the zones", Energy, |it: &It| {
            it.energy.heat_delivered_kwh.into()
        })
        .only(Medium::FULL),
        Field::new("energy/heat_removed_kwh", "heat out of the zones", Energy, |it: &It| {
            it.energy.heat_removed_kwh.into()
        })
        .only(Medium::FULL),
        Field::new("energy/heat_recovered_kwh", "heat recovered", Energy, |it: &It| {
            it.energy.heat_recovered_kwh.into()
        })
        .only(Medium::FULL),
        Field::new("energy/peak_kw", "highest quarter of an hour", Power, |it: &It| {
            it.energy.peak_kw.into()
        })
        .only(Medium::FULL),
        Field::new("energy/cost", "cost", Money, |it| it.energy.cost.into()),
        Field::new("energy/carbon_kg", "carbon dioxide", Mass, |it: &It| {
            it.energy.carbon_kg.into()
        })
        .only(Medium::FULL),
        Field::new("", "heated", Hours, |it: &It| over_zones(it, |zone| zone.heating_hours))
            .only(Medium::BRIEF),
        Field::new("", "cooled", Hours, |it: &It| over_zones(it, |zone| zone.cooling_hours))
            .only(Medium::BRIEF),
        Field::new("", STARVED, Hours, |it: &It| over_zones(it, |zone| zone.starved_hours))
            .only(Medium::BRIEF)
            .minded(),
        Field::new("changeovers", CHANGEOVERS, Count, |it| it.changeovers.into()),
        Field::new("mixed_demand_hours", "mixed demand", Hours, |it: &It| {
            it.mixed_demand_hours.into()
        })
        .only(Medium::FULL),
        Field::new("", OUT_OF_BAND, Hours, |it: &It| {
            over_zones(it, |zone| zone.hours_outside_band)
        })
        .only(Medium::BRIEF)
        .minded(),
    ]
};

/// Month by month, all zones together.
pub(in crate::report) fn months(months: &[MonthFigures], units: Units) -> Table {
    let placed = months.iter().enumerate().map(|(at, it)| (format!("months/{at}"), it.clone()));
    Table::of(units, MONTHS, placed)
}

/// The months of a run, with the seasons below where there are several.
pub(in crate::report) fn months_and_seasons(run: &Run) -> Table {
    let all = &run.summary.seasonal.months;
    let units = Units::of(run.model);
    let mut table = months(all, units);
    let seasons = by_season(all);
    if !seasons.is_empty() {
        table.row([]);
        let placeless = seasons.into_iter().map(|it| (String::new(), it));
        table.rows.extend(Table::of(units, MONTHS, placeless).rows);
    }
    table
}

/// What a reader of the months must know.
pub(in crate::report) fn months_note(run: &Run) -> Option<&'static str> {
    (run.model.zones.len() > 1)
        .then_some("Hours are summed over the zones; each zone's are in month_zones.csv.")
}

/// The seasons, where the months are of more than one.
fn by_season(months: &[MonthFigures]) -> Vec<MonthFigures> {
    let of = |(name, numbers): &(&'static str, [u8; 3])| {
        let of_season = months.iter().filter(|it| match it.month {
            Months::One(month) => numbers.contains(&month.number()),
            Months::Season(_) => false,
        });
        let months: Vec<&MonthFigures> = of_season.collect();
        MonthFigures::together(name, months.into_iter())
    };
    let all: Vec<MonthFigures> = SEASONS.iter().filter_map(of).collect();
    if all.len() > 1 { all } else { Vec::new() }
}

/// `Apr 2025`, or the season.
fn in_words(months: Months) -> String {
    match months {
        Months::One(month) => short_month(month),
        Months::Season(name) => name.to_owned(),
    }
}

/// `Apr 2025`.
fn short_month(month: Month) -> String {
    let name = month_name(month.number());
    format!("{} {}", name.get(..3).unwrap_or(name), month.year())
}

/// A zone in a month: the month, the zone's id, what people call it, and what it did.
struct ZoneMonth<'a> {
    month: Months,
    id: &'a str,
    name: String,
    did: &'a MonthZoneFigures,
}

fn month_zone_fields<'a>() -> [Field<ZoneMonth<'a>>; 14] {
    use Quantity::{Count, DegreeHours, Energy, Hours, Name, Temperature};
    [
        Field::new("month", "month", Name, |it: &ZoneMonth| it.month.to_string().into()),
        Field::new("zone", "zone", Name, |it: &ZoneMonth| it.id.into()).only(&[Medium::Csv]),
        Field::new("", "zone", Name, |it: &ZoneMonth| it.name.clone().into())
            .only(&[Medium::Workbook]),
        Field::new("electric_kwh", ELECTRICITY, Energy, |it| it.did.electric_kwh.into()),
        Field::new("heating_hours", "heated", Hours, |it| it.did.heating_hours.into()),
        Field::new("cooling_hours", "cooled", Hours, |it| it.did.cooling_hours.into()),
        Field::new("starved_hours", STARVED, Hours, |it| it.did.starved_hours.into()),
        Field::new("changeovers", CHANGEOVERS, Count, |it| it.did.changeovers.into()),
        Field::new("occupied_hours", OCCUPIED, Hours, |it| it.did.occupied_hours.into()),
        Field::new("hours_outside_band", OUT_OF_BAND, Hours, |it| it.did.hours_outside_band.into()),
        Field::new("degree_hours_outside_band", OUT_OF_BAND, DegreeHours, |it| {
            it.did.degree_hours_outside_band.into()
        }),
        Field::new("temperature_min", "low", Temperature, |it: &ZoneMonth| {
            it.did.temperature.min.into()
        })
        .under("air"),
        Field::new("temperature_mean", "mean", Temperature, |it: &ZoneMonth| {
            it.did.temperature.mean.into()
        })
        .under("air"),
        Field::new("temperature_max", "high", Temperature, |it: &ZoneMonth| {
            it.did.temperature.max.into()
        })
        .under("air"),
    ]
}

/// A row for each month and zone; `name` says what people call the zone of an id.
pub(in crate::report) fn month_zones(
    months: &[MonthFigures],
    units: Units,
    name: impl Fn(&str) -> String,
) -> Table {
    let mut rows = Vec::new();
    for it in months {
        for (id, did) in &it.zones {
            rows.push((String::new(), ZoneMonth { month: it.month, id, name: name(id), did }));
        }
    }
    Table::of(units, &month_zone_fields(), rows)
}

fn morning_fields<'a>() -> [Field<(String, &'a MorningFigures)>; 8] {
    use Quantity::{Count, Duration, Name, Temperature};
    type It<'a> = (String, &'a MorningFigures);
    [
        Field::new("", "zone", Name, |it| it.0.clone().into()),
        Field::new("mornings", "morn\u{ad}ings", Count, |it| it.1.mornings.into()),
        Field::new("ready", "ready in time", Count, |it| it.1.ready.into()),
        Field::new("late", "late", Count, |it: &It| it.1.late.into()).minded(),
        Field::new("off", "switched off", Count, |it| it.1.off.into()),
        Field::new("late_whatever_the_start", "late whatever the start", Count, |it: &It| {
            it.1.late_whatever_the_start.into()
        })
        .only(Medium::FULL),
        Field::new("worst_missing", "missing at worst", Temperature, |it| {
            it.1.worst_missing.into()
        }),
        Field::new("", "longest start needed", Duration, |it| it.1.longest_lead_hours.into()),
    ]
}

/// How often each zone was ready, and which start the others would have needed.
pub(in crate::report) fn mornings(run: &Run) -> Table {
    let all = run.summary.seasonal.mornings.iter();
    let all = all.map(|(id, it)| (format!("mornings/{id}"), (run.name_of(id), it)));
    Table::of(Units::of(run.model), &morning_fields(), all)
}

/// That some mornings no start would have saved; nothing where there are none.
pub(in crate::report) fn hopeless_mornings(run: &Run) -> Option<String> {
    let mornings = &run.summary.seasonal.mornings;
    let hopeless: u64 = mornings.iter().map(|(_, morning)| morning.late_whatever_the_start).sum();
    (hopeless > 0).then(|| {
        format!(
            "{} would have been late with any start up to {} earlier, or as early as the run \
             begins.",
            capitalised(&count(hopeless, "morning")),
            duration(LONGEST_LEAD.in_hours())
        )
    })
}

/// The worst zone of a month, or one zone of it.
struct Locked {
    month: String,
    zone: String,
    cost: LockCost,
}

const BELOW: &str = "below the lawful minimum";
const ABOVE: &str = "above the lawful maximum";

fn lock_fields(zones: bool) -> Vec<Field<Locked>> {
    use Quantity::{Hours, Name};
    let mut fields = vec![Field::new("", "month", Name, |it: &Locked| it.month.clone().into())];
    if zones {
        fields.push(Field::new("", "zone", Name, |it| it.zone.clone().into()));
    }
    let hours: [Field<Locked>; 6] = [
        Field::new("", "as is", Hours, |it: &Locked| it.cost.as_is.hours_below.into()).under(BELOW),
        Field::new("", "without heating", Hours, |it: &Locked| {
            it.cost.without_heating.hours_below.into()
        })
        .under(BELOW)
        .minded(),
        Field::new("", "without cooling", Hours, |it: &Locked| {
            it.cost.without_cooling.hours_below.into()
        })
        .under(BELOW)
        .only(Medium::FULL),
        Field::new("", "as is", Hours, |it: &Locked| it.cost.as_is.hours_above.into()).under(ABOVE),
        Field::new("", "without heating", Hours, |it: &Locked| {
            it.cost.without_heating.hours_above.into()
        })
        .under(ABOVE)
        .only(Medium::FULL),
        Field::new("", "without cooling", Hours, |it: &Locked| {
            it.cost.without_cooling.hours_above.into()
        })
        .under(ABOVE)
        .minded(),
    ];
    fields.extend(hours);
    fields
}

/// The lock calendar of the zone that fares worst in each month.
pub(in crate::report) fn lock_calendar(run: &Run) -> Table {
    let worst = |month: &LockMonth| {
        let most = |hours: fn(&LockCost) -> f64| {
            month.zones.iter().fold(0.0, |most: f64, (_, cost)| most.max(hours(cost)))
        };
        let of = |below, above| Unlawful {
            hours_below: most(below),
            hours_above: most(above),
            ..Unlawful::default()
        };
        LockCost {
            as_is: of(|it| it.as_is.hours_below, |it| it.as_is.hours_above),
            without_heating: of(
                |it| it.without_heating.hours_below,
                |it| it.without_heating.hours_above,
            ),
            without_cooling: of(
                |it| it.without_cooling.hours_below,
                |it| it.without_cooling.hours_above,
            ),
        }
    };
    let row = |it: &LockMonth| {
        let month = short_month(it.month);
        (String::new(), Locked { month, zone: String::new(), cost: worst(it) })
    };
    let calendar = run.summary.seasonal.lock_calendar.iter().map(row);
    Table::of(Units::of(run.model), &lock_fields(false), calendar)
}

/// The lock calendar of every zone.
#[cfg(feature = "cli")]
pub(in crate::report) fn lock_calendar_zones(run: &Run) -> Table {
    let mut rows = Vec::new();
    for month in &run.summary.seasonal.lock_calendar {
        for (id, cost) in &month.zones {
            let (month, zone) = (month.month.to_string(), run.name_of(id));
            rows.push((String::new(), Locked { month, zone, cost: *cost }));
        }
    }
    Table::of(Units::of(run.model), &lock_fields(true), rows)
}

/// In which months a lockout costs nothing, and what that rests on.
pub(in crate::report) fn lock_calendar_words(run: &Run) -> String {
    let calendar = &run.summary.seasonal.lock_calendar;
    let zones = if run.model.zones.len() > 1 { "Hours of the zone that fares worst. " } else { "" };
    format!(
        "{zones}{} {} Each month is simulated by itself from the state in which the run enters it, \
         with the weather of this file only; the lawful temperatures are those that the file gives.",
        harmless(calendar, "heating", |cost| (cost.as_is, cost.without_heating)),
        harmless(calendar, "cooling", |cost| (cost.as_is, cost.without_cooling)),
    )
}

/// In which months a lockout adds no hour outside the lawful temperatures to any zone.
fn harmless(
    calendar: &[LockMonth],
    what: &str,
    pair: impl Fn(&LockCost) -> (Unlawful, Unlawful),
) -> String {
    let adds = |cost: &LockCost| {
        let (as_is, locked) = pair(cost);
        let outside = |hours: Unlawful| hours.hours_below + hours.hours_above;
        outside(locked) > outside(as_is) + LEAST_HOURS
    };
    let free: Vec<&str> = calendar
        .iter()
        .filter(|month| !month.zones.iter().any(|(_, cost)| adds(cost)))
        .map(|month| month_name(month.month.number()))
        .collect();
    match free.len() {
        0 => format!("Locking {what} out adds hours in every month."),
        all if all == calendar.len() => format!("Locking {what} out adds no hours in any month."),
        _ => format!("Locking {what} out adds no hours in {}.", listed(&free)),
    }
}
