//! What units and their plants are taken to do.

use crate::control::Sharing;
use crate::direction::Direction;
use crate::engine::{Model, Zone, ZoneIndex};
use crate::plant::{
    Cop, DefrostCycle, IndoorUnit, POWER_WHILE_REVERSING, RATED_OUTDOOR, USUAL_COOLING,
    USUAL_HEATING, UnitControl,
};
use crate::report::figures::{listed, setpoint, unit_sign};
use crate::time::Seconds;

/// What units are taken to do, a sentence for each thing that this model has.
pub(super) fn equipment(model: &Model) -> Vec<String> {
    let sentences = [
        own_plants(model),
        starting_up(model),
        lowest_output(model),
        reversals(model),
        both_at_once(model),
        ice(model),
        stages(model),
    ];
    sentences.into_iter().flatten().collect()
}

/// The zones with a plant of their own.
fn with_own_plant(model: &Model) -> impl Iterator<Item = &Zone> {
    let shared = |at: usize| {
        model.outdoor_units.iter().any(|group| group.zones.contains(&ZoneIndex::new(at)))
    };
    model.zones.iter().enumerate().filter(move |(at, _)| !shared(*at)).map(|(_, zone)| zone)
}

/// The COP of plants of the zones' own where the file does not say it, where there are any.
fn own_plants(model: &Model) -> Option<String> {
    let usual = |direction: Direction| {
        let is_usual = |unit: &IndoorUnit| {
            unit.capacity(direction).is_some_and(|it| it.cop == Cop::usual(direction))
        };
        with_own_plant(model).any(|zone| is_usual(&zone.unit))
    };
    let sign = unit_sign(model.unit);
    let at = |celsius: f64| setpoint(model.unit.from_celsius(celsius));
    let [(cold, low), (mild, high)] = USUAL_HEATING;
    let heating = usual(Direction::Heating).then(|| {
        format!(
            "when heating {low} at {} {sign} and {high} at {} {sign} (minimum efficiencies of \
             ANSI/ASHRAE/IES 90.1, from memory)",
            at(cold),
            at(mild)
        )
    });
    let cooling = usual(Direction::Cooling).then(|| {
        format!(
            "when cooling {USUAL_COOLING} at {} {sign} and more in milder air, in proportion to a \
             Carnot process (common practice, no source)",
            at(RATED_OUTDOOR)
        )
    });
    let both: Vec<String> = heating.into_iter().chain(cooling).collect();
    (!both.is_empty()).then(|| {
        format!(
            "Zones without an outdoor unit block have plants of their own, with a COP {} where the \
             file gives none.",
            both.join("; ")
        )
    })
}

fn starting_up(model: &Model) -> Option<String> {
    let rising = model.zones.iter().map(|zone| &zone.unit);
    let rising = rising.filter(|unit| unit.control != UnitControl::Ideal);
    let constants = rising.clone().map(|unit| unit.start_up.time_constant).filter(|it| *it > 0.0);
    let constants = span(constants, |it| format!("{it:.0}"))?;
    let reach = rising.map(|unit| unit.start_up.reach_lowest).filter(|it| *it > Seconds::ZERO);
    let reach = reach.max().map_or_else(String::new, |longest| {
        format!(
            " A modulating unit can go down to its lowest output up to {longest} after its start."
        )
    });
    Some(format!(
        "Starts: what a unit delivers rises with a time constant of {constants} s (Henderson and \
         Rengarajan 1996), and its electric power is there at once.{reach}"
    ))
}

fn lowest_output(model: &Model) -> Option<String> {
    let all = model.outdoor_units.iter().map(|group| group.unit.lowest_output * 100.0);
    let all = span(all.filter(|it| *it > 0.0), |it| format!("{it:.0}"))?;
    Some(format!("An outdoor unit that is asked for less than {all} % of its capacity cycles."))
}

fn reversals(model: &Model) -> Option<String> {
    let single = model.outdoor_units.iter();
    let single = single
        .filter(|group| matches!(group.settings.sharing, Sharing::SingleMode { .. }))
        .map(|group| group.unit.reversal_time);
    let own = with_own_plant(model).map(|zone| zone.unit.reversal_time);
    let times: Vec<Seconds> = single.chain(own).filter(|it| *it > Seconds::ZERO).collect();
    let (least, most) = (times.iter().min()?, times.iter().max()?);
    let time = if least == most { least.to_string() } else { format!("{least} to {most}") };
    Some(format!(
        "A plant that turns between heating and cooling delivers nothing for {time} and draws {:.0} \
         % of its power meanwhile (common practice, no source).",
        POWER_WHILE_REVERSING * 100.0
    ))
}

fn both_at_once(model: &Model) -> Option<String> {
    let any = model.outdoor_units.iter().any(|group| group.unit.simultaneous);
    any.then(|| {
        "An outdoor unit that heats and cools at once moves heat from one side to the other, does \
         the larger work of the two sides, and gives to the air outdoors or takes from it what the \
         other side cannot."
            .into()
    })
}

fn ice(model: &Model) -> Option<String> {
    let cycles = model.outdoor_units.iter().filter_map(|group| group.unit.defrost_cycle);
    let words = |it: DefrostCycle| {
        let [above, below] = [it.above, it.below].map(|it| setpoint(model.unit.from_celsius(it)));
        let from = if it.from_store {
            "its heat comes from a store"
        } else {
            "its heat, half of the capacity (common practice, no source), comes out of the air of \
             the rooms that call"
        };
        format!(
            "between {above} and {below} {} outdoors nothing is heated for {} in every {} of \
             heating, and {from}",
            unit_sign(model.unit),
            it.lasts,
            it.every
        )
    };
    let all: Vec<String> = cycles.map(words).collect();
    (!all.is_empty()).then(|| format!("Defrosting: {}.", all.join("; ")))
}

/// Rule 18, where any zone has it.
fn stages(model: &Model) -> Option<String> {
    let has =
        |what: fn(&UnitControl) -> bool| model.zones.iter().any(|zone| what(&zone.unit.control));
    let staged = has(|it| matches!(it, UnitControl::Staged { stages } if stages.count() > 1));
    let integral = has(|it| matches!(it, UnitControl::Modulating { integral_time: Some(_), .. }));
    let stages = staged.then(|| {
        "stages come on by the sensed temperature alone, go off one a step, and take the parts of \
         full power that the file gives, or as much as of capacity"
            .to_owned()
    });
    let integral = integral.then(|| {
        "integral action begins at nothing with each call and stands still while the output is at \
         a bound"
            .to_owned()
    });
    let both: Vec<String> = stages.into_iter().chain(integral).collect();
    (!both.is_empty()).then(|| format!("Output: {}.", listed(&both)))
}

/// The least and the greatest of some values in words; `None` where there are none.
fn span(values: impl Iterator<Item = f64>, words: impl Fn(f64) -> String) -> Option<String> {
    let (least, most) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), it| {
        (least.min(it), most.max(it))
    });
    let (least, most) = (least.is_finite().then(|| words(least))?, words(most));
    Some(if least == most { least } else { format!("{least} to {most}") })
}
