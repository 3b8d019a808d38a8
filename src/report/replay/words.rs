//! A replay in sentences.

use super::Replayed;
use crate::control::Outcome;
use crate::report::figures::{count, listed, one_digit, three_figures, unit_sign};
use crate::study::replay::{Estimate, Variant};

/// Words that go with every replay.
pub(super) const CAUTION: &str = "A replay says what a model makes of these days, not what people would have done: with other \
     settings they might have pressed other keys. Before settings are changed where cold, heat or damp \
     can hurt people or pipes, look at the site; local codes and the documents of the equipment come \
     first.";

/// The most important: whether the model follows the log.
pub(super) fn answer(replayed: &Replayed) -> String {
    let found = replayed.found;
    let unit = unit_sign(found.unit);
    let read = format!(
        "the temperatures of the run as logged lie {} {unit} from those that were read (root mean square)",
        three_figures(found.as_logged.rmse)
    );
    let used = found.as_logged.figures.electricity_kwh.zip(found.measured.electricity_kwh);
    match used {
        Some((run, measured)) if measured > 0.0 => format!(
            "From {}, {read}, and its electricity is {} kWh where {} kWh were measured ({} %).",
            replayed.span(),
            three_figures(run),
            three_figures(measured),
            signed(100.0 * (run - measured) / measured)
        ),
        _ => format!(
            "From {}, {read}; the log has no electricity to hold it against.",
            replayed.span()
        ),
    }
}

/// One digit and a sign.
fn signed(value: f64) -> String {
    format!("{value:+.1}").replace("-0.0", "0.0").replace("+0.0", "0.0")
}

/// What a variant would have changed.
pub(super) fn variant(replayed: &Replayed, it: &Variant) -> String {
    let name = match it.name.as_str() {
        "base" | "as written" => "The file as written".to_owned(),
        "requests" => "With the setpoints of the other log".to_owned(),
        "present settings" => "With the present settings".to_owned(),
        name => format!("Variant {name}"),
    };
    let kwh = it.figures.electricity_kwh.map_or("no".into(), three_figures);
    let mut parts =
        vec![format!("{name}: {kwh} kWh, {}", difference(&it.difference.electricity_kwh))];
    let unit = unit_sign(replayed.found.unit);
    let rooms: Vec<String> = it
        .difference
        .zones
        .iter()
        .enumerate()
        .map(|(place, zone)| {
            let (name, mean) = (replayed.zone(place), zone.mean.value);
            format!(
                "{name} {mean:+.1} {unit} on average{}",
                range(&zone.mean, |it| format!("{it:+.1}"))
            )
        })
        .collect();
    parts.push(format!("rooms: {}", listed(&rooms)));
    let asked: usize = it.outcomes.iter().sum();
    if asked > 0 {
        let ended: Vec<String> = Outcome::ALL
            .iter()
            .zip(it.outcomes)
            .filter(|(_, count)| *count > 0)
            .map(|(outcome, count)| format!("{count} {}", outcome.name().replace('_', " ")))
            .collect();
        parts.push(format!(
            "of {} of the log: {}",
            count(asked as u64, "request"),
            ended.join(", ")
        ));
    }
    format!("{}.", parts.join("; "))
}

fn difference(it: &Estimate) -> String {
    let size = |value: f64| three_figures(value.abs());
    let than = |value: f64| if value < 0.0 { "less" } else { "more" };
    let plain = match size(it.value).as_str() {
        "0" => "as much as logged".to_owned(),
        kwh => format!("{kwh} kWh {} than as logged", than(it.value)),
    };
    match it.interval {
        None => plain,
        Some((low, high)) if it.includes_zero() => format!(
            "{plain}; the interval of 95 of 100 draws, {} to {} kWh, includes 0: these days do not tell \
             the two apart",
            signed_energy(low),
            signed_energy(high)
        ),
        Some((low, high)) => format!(
            "{plain} (95 of 100 draws: {} to {} kWh)",
            signed_energy(low),
            signed_energy(high)
        ),
    }
}

fn signed_energy(value: f64) -> String {
    let sign = if value < 0.0 { "−" } else { "+" };
    format!("{sign}{}", three_figures(value.abs()))
}

fn range(it: &Estimate, words: impl Fn(f64) -> String) -> String {
    it.interval.map_or(String::new(), |(low, high)| format!(" ({} to {})", words(low), words(high)))
}

/// The heat that nothing explains beside the plant's, and what the meter shows at rest.
pub(super) fn disturbance(replayed: &Replayed) -> Vec<String> {
    let each = replayed.found.disturbance.iter().enumerate();
    let at_rest = replayed.found.base_load;
    let meter = (at_rest >= 0.5).then(|| {
        format!(
            "While nothing runs the meter shows {at_rest:.0} W that the model does not have; they are \
             added to all runs."
        )
    });
    each.map(|(place, it)| {
        let beside = if it.plant > 0.0 {
            format!(", {:.0} % of the plant's {:.0} W", 100.0 * it.size / it.plant, it.plant)
        } else {
            "; the plant gave nothing".to_owned()
        };
        let held = if replayed.found.no_disturbance {
            "It is left out of all runs."
        } else {
            "It is held fixed in all runs."
        };
        format!(
            "{}: {:.0} W in size on average{beside}; its mean is {:+.0} W. {held}",
            replayed.zone(place),
            it.size,
            it.mean
        )
    })
    .chain(meter)
    .collect()
}

/// What a reader must know.
pub(super) fn notes(replayed: &Replayed) -> Vec<String> {
    let found = replayed.found;
    let mut notes = Vec::new();
    notes.push(match found.draws {
        0 => "There are no intervals: draws.csv of a fit is missing beside the file.".to_owned(),
        draws => format!(
            "Differences were taken in each of {} of the fitted parameters; what all have in common \
             falls out. Intervals of electricity also hold what the run as logged misses of the meter.",
            count(draws as u64, "draw")
        ),
    });
    if let Some(requests) = found.requests {
        notes.push(format!(
            "{} found in the log; each moves the setpoint from where it stands, by as much as at site.",
            match requests {
                1 => "1 request was".to_owned(),
                many => format!("{many} requests were"),
            }
        ));
    }
    let grid = &found.record.grid;
    let hours = grid.step.get() as f64 / 3600.0;
    for (place, zone) in found.record.zones.iter().enumerate() {
        let unread = zone.temperature.iter().filter(|it| it.is_none()).count();
        if unread > 0 {
            let hours = one_digit(unread as f64 * hours);
            notes.push(format!(
                "{}: no temperature for {hours} h; these do not count, measured or simulated.",
                replayed.zone(place)
            ));
        }
    }
    let dark = found.record.electric.iter().filter(|it| it.is_none()).count();
    if found.record.has_electricity && dark > 0 {
        let hours = one_digit(dark as f64 * hours);
        notes.push(format!("Electricity counts where it was recorded, without {hours} h."));
    }
    notes
}
