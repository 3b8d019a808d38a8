//! What the deadband changes, in sentences.

use crate::control::StartFault;
use crate::engine::Model;
use crate::report::figures::{count, setpoint, three_figures, unit_sign};
use crate::report::headline::{implausible_of, warned_first};
use crate::report::run::label;
use crate::study::{Knee, KneeFigures, Misfit, NotTried};

/// The smallest deadband that ends opposed heat, what it changes, and which deadbands the limits
/// leave out; before all that a warning of air that is hardly that of a building.
pub fn knee_sentence(model: &Model, knee: &Knee) -> String {
    let sign = unit_sign(model.unit);
    let tried: Vec<(f64, KneeFigures)> = knee.tried().collect();
    let (Some((first, before)), Some((last, after))) = (tried.first(), tried.last()) else {
        return format!("No deadband could be tried.{}", left_out(model, knee));
    };
    let answer = match knee.ends_opposed() {
        Some((smallest, _)) if smallest == *first => format!(
            "At no deadband from {} to {} {sign} is heat put in and taken out again within four \
             hours.",
            setpoint(*first),
            setpoint(*last)
        ),
        Some((smallest, figures)) => format!(
            "The smallest deadband that ends opposed heat (put in and taken out again within four \
             hours) is {} {sign}: {} and {} kWh of electricity, against {}, {} kWh and {} kWh \
             opposed at {} {sign}.",
            setpoint(smallest),
            count(figures.changeovers, "changeover"),
            three_figures(figures.total_kwh),
            count(before.changeovers, "changeover"),
            three_figures(before.total_kwh),
            three_figures(before.opposed_kwh),
            setpoint(*first)
        ),
        None => format!(
            "No deadband up to {} {sign} ends opposed heat (put in and taken out again within four \
             hours): {} kWh of it are left there, against {} kWh at {} {sign}.",
            setpoint(*last),
            three_figures(after.opposed_kwh),
            three_figures(before.opposed_kwh),
            setpoint(*first)
        ),
    };
    warnings(model, &tried) + &answer + &left_out(model, knee)
}

fn warnings(model: &Model, tried: &[(f64, KneeFigures)]) -> String {
    let mut all = tried.iter().filter_map(|(deadband, it)| Some((*deadband, it.implausible?)));
    let first = all.next().map(|(deadband, it)| {
        let who = format!("a deadband of {} {}", setpoint(deadband), unit_sign(model.unit));
        (who, implausible_of(model, it))
    });
    warned_first(first, all.count(), &format!("{} deadbands", tried.len()))
}

/// Which deadbands were not tried, and why; nothing where all were.
fn left_out(model: &Model, knee: &Knee) -> String {
    let sentence = |(from, to, why)| {
        let which = if from < to {
            format!("{} to {}", setpoint(from), setpoint(to))
        } else {
            setpoint(from)
        };
        let sign = unit_sign(model.unit);
        format!(" Left out: {which} {sign}, {}.", hindrance_words(model, why))
    };
    left_out_spans(knee).into_iter().map(sentence).collect()
}

/// Neighbouring deadbands without figures, for their limits or for runs that ended early, first and
/// last of each stretch, with what stands against the first.
fn left_out_spans(knee: &Knee) -> Vec<(f64, f64, &NotTried)> {
    let mut spans: Vec<(f64, f64, &NotTried)> = Vec::new();
    let mut after_one_left_out = false;
    let alike = |one: &NotTried, other: &NotTried| one.ran() == other.ran();
    for point in &knee.points {
        match (&point.result, spans.last_mut()) {
            (Err(why), Some(span)) if after_one_left_out && alike(why, span.2) => {
                span.1 = point.deadband;
            }
            (Err(why), _) => spans.push((point.deadband, point.deadband, why)),
            (Ok(_), _) => {}
        }
        after_one_left_out = point.result.is_err();
    }
    spans
}

/// Why a deadband could not be tried.
pub(super) fn hindrance_words(model: &Model, not: &NotTried) -> String {
    let (zone, why) = match *not {
        NotTried::Limits { zone, why } => (model.zones.get(zone.get()), why),
        NotTried::Ended(halt) => return halt.in_words(model).0,
    };
    let name = zone.map_or("a zone", label);
    let what = match why {
        Misfit::Rules(_) | Misfit::Pair(StartFault::TooClose { .. }) => {
            "leave no room for it".to_owned()
        }
        Misfit::Pair(StartFault::Outside { side, range }) => {
            let show =
                zone.map(|zone| zone.controls.settings.grid).map_or_else(String::new, |grid| {
                    format!(
                        " ({} to {} {})",
                        grid.show(range.low),
                        grid.show(range.high),
                        unit_sign(model.unit)
                    )
                });
            format!("do not reach so far for {}{show}", side.name())
        }
    };
    format!("the limits of {name} {what}")
}
