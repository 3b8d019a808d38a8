//! The deadband held against energy codes, after rounding to ticks and conversion, with the
//! arithmetic shown.

use super::codes::{Demand, looked_at, severity};
use super::zone::{ROUNDING, ZoneAt, listed, tidy};
use super::{EnergyCode, Finding};
use crate::control::{Display, Mode, SetpointRules, Side, Ticks};
use crate::settings::controls::{MIN_DEADBAND, SHOWN_UNIT};
use crate::units::TemperatureUnit;

/// What the SI edition of ASHRAE 90.1 writes for 5 F, kelvin: from memory.
const ASHRAE_SI: f64 = 3.0;

pub(super) fn check(zone: &ZoneAt<'_>, chosen: Option<EnergyCode>, findings: &mut Vec<Finding>) {
    // The codes except controls that change over by hand.
    if !zone.settings().modes.has(Mode::Auto) {
        return;
    }
    let gap = zone.kelvin(zone.rules().deadband());
    let codes = looked_at(chosen);
    let broken: Vec<EnergyCode> =
        codes.iter().copied().filter(|code| gap + ROUNDING < kelvin(code.deadband())).collect();
    if let Some(first) = broken.first() {
        findings.push(below(zone, &broken, first.deadband(), chosen));
    } else if codes.contains(&EnergyCode::Ashrae901) && gap + ROUNDING < ASHRAE_SI {
        findings.push(between_editions(zone, gap));
    }
    findings.extend(shows_less(zone, gap));
}

fn kelvin(demand: Demand) -> f64 {
    TemperatureUnit::Fahrenheit.difference_to_kelvin(demand.fahrenheit)
}

fn below(
    zone: &ZoneAt<'_>,
    broken: &[EnergyCode],
    demand: Demand,
    chosen: Option<EnergyCode>,
) -> Finding {
    let titles: Vec<&str> = broken.iter().map(|code| code.title()).collect();
    let clauses: Vec<&str> = broken.iter().map(|code| code.deadband().clause).collect();
    let grid = zone.settings().grid;
    let enough = smallest_enough(zone, kelvin(demand));
    let verb = if titles.len() == 1 { "asks" } else { "ask" };
    let typed = zone.settings().display.and_then(|it| typed_pairs(zone, it, demand));
    let message = format!(
        "{} {verb} for {} F between heating and cooling, which is {}; min_deadband is {}. In \
         steps of {} {} the smallest that meets it is {}{}",
        listed(&titles),
        tidy(demand.fahrenheit),
        in_both(kelvin(demand)),
        in_both(zone.kelvin(zone.rules().deadband())),
        tidy(grid.step()),
        grid.unit().letter(),
        in_both(zone.kelvin(enough)),
        typed.unwrap_or_default()
    );
    let remedy = format!(
        "set min_deadband to {}{}; controls that change over by hand are excepted (a unit without \
         `auto`)",
        zone.show(enough),
        room_for(zone, enough)
    );
    let path = zone.of(&MIN_DEADBAND);
    Finding::new(severity(chosen), "deadband-below-code", path, message)
        .mend(remedy)
        .cite(clauses.join("; "))
}

/// What else has to move so that the limits have room for a deadband.
fn room_for(zone: &ZoneAt<'_>, deadband: Ticks) -> String {
    let rules = zone.rules();
    if SetpointRules::new(rules.limits(), deadband, rules.on_conflict()).is_ok() {
        return String::new();
    }
    let (low, high) = (rules.written(Side::Heat).low, rules.written(Side::Cool).high);
    let missing = low + deadband - high;
    format!(
        " and the highest cool to {}, or the lowest heat to {}, to make room for it",
        zone.show(high + missing),
        zone.show(low - missing)
    )
}

/// The smallest deadband of at least so many kelvin.
fn smallest_enough(zone: &ZoneAt<'_>, kelvin: f64) -> Ticks {
    zone.at_least(zone.model.unit.difference_from_kelvin(kelvin))
}

/// A difference in both units: `2.5 C (4.5 F)`.
fn in_both(kelvin: f64) -> String {
    let fahrenheit = TemperatureUnit::Fahrenheit.difference_from_kelvin(kelvin);
    format!("{} C ({} F)", tidy(kelvin), tidy(fahrenheit))
}

/// On a display in whole degrees F: how many pairs that somebody types as far apart as the code
/// asks are stored closer.
fn typed_pairs(zone: &ZoneAt<'_>, display: Display, demand: Demand) -> Option<String> {
    if display.grid().unit() != TemperatureUnit::Fahrenheit {
        return None;
    }
    let grid = zone.settings().grid;
    let apart = display.grid().nearest(demand.fahrenheit);
    let range = zone.rules().written(Side::Heat);
    let shown = |ticks| display.reads(grid.value(ticks), grid.unit()).count();
    let gap = |typed: i32| {
        let heat = Ticks::new(typed);
        display.set(heat + apart, grid).stored - display.set(heat, grid).stored
    };
    let all: Vec<i32> = (shown(range.low)..=shown(range.high)).collect();
    let short = |typed: &&i32| zone.kelvin(gap(**typed)) + ROUNDING < kelvin(demand);
    let first = all.iter().find(short)?;
    let typed = display.grid().show(Ticks::new(*first));
    let other = display.grid().show(Ticks::new(*first) + apart);
    Some(format!(
        ". Typed as {} F apart on its display, {} of {} heat setpoints are stored closer: {typed} \
         and {other} F become {} and {}, {} apart",
        tidy(demand.fahrenheit),
        all.iter().filter(short).count(),
        all.len(),
        zone.show(display.set(Ticks::new(*first), grid).stored),
        zone.shown(display.set(Ticks::new(*first) + apart, grid).stored),
        in_both(zone.kelvin(gap(*first)))
    ))
}

fn between_editions(zone: &ZoneAt<'_>, gap: f64) -> Finding {
    let message = format!(
        "min_deadband {} meets the 5 F of ASHRAE 90.1, not the 3 C that its SI edition writes",
        in_both(gap)
    );
    let enough = smallest_enough(zone, ASHRAE_SI);
    let remedy = format!("where the SI edition applies, set it to {}", zone.show(enough));
    let path = zone.of(&MIN_DEADBAND);
    Finding::note("deadband-between-editions", path, message)
        .mend(remedy)
        .cite("ANSI/ASHRAE/IES 90.1-2016, 6.4.3.1.2; the SI edition's 3 C from memory")
}

/// A stored gap that meets the codes and reads as less on a display in the other unit.
fn shows_less(zone: &ZoneAt<'_>, gap: f64) -> Option<Finding> {
    let (settings, rules) = (zone.settings(), zone.rules());
    let (display, grid) = (settings.display?, settings.grid);
    let least = EnergyCode::Ashrae901.deadband();
    if gap + ROUNDING < kelvin(least) {
        return None;
    }
    let reads = |ticks| display.reads(grid.value(ticks), grid.unit());
    let range = rules.range(Side::Heat);
    let shown_kelvin = |heat: Ticks| {
        let apart = reads(heat + rules.deadband()) - reads(heat);
        display.grid().unit().difference_to_kelvin(display.grid().value(apart))
    };
    let mut all = (range.low.count()..=range.high.count()).map(Ticks::new);
    let heat = all.find(|heat| shown_kelvin(*heat) + ROUNDING < kelvin(least))?;
    let show = |ticks| display.grid().show(ticks).to_string();
    let message = format!(
        "heat {} and cool {} are {} apart and read {} and {} {}: {} on the display, which looks \
         like a breach of the codes' 5 F and is none",
        zone.show(heat),
        zone.show(heat + rules.deadband()),
        in_both(gap),
        show(reads(heat)),
        show(reads(heat + rules.deadband())),
        display.grid().unit().letter(),
        in_both(shown_kelvin(heat))
    );
    let path = zone.of(&SHOWN_UNIT);
    let remedy = "note the stored values in the record, or show the unit that is stored";
    let source = "arithmetic; 5 F: ANSI/ASHRAE/IES 90.1-2016, 6.4.3.1.2";
    Some(Finding::note("deadband-shows-less", path, message).mend(remedy).cite(source))
}
