//! Rule 10: an owner that decides for others from a state, a sensor or a sun of its own.

use super::zone::tidy;
use super::{Finding, Severity};
use crate::building::Window;
use crate::control::{Key, LockableKey, Mode, Request, SensorPlace};
use crate::engine::{Doing, Model, OutdoorGroup, Zone, ZoneIndex};
use crate::settings::path_of_group;
use crate::study::simulate::{Keep, simulate};
use crate::time::Period;

const RULE: &str = "control rule 10";
/// An owner's glass is odd where it lets in so many times what the others' does, for each m2 of
/// floor. Common practice, no source.
const ODD: f64 = 2.0;
/// A shorter wait is no starvation worth a warning, hours: common practice, no source.
const STARVED: f64 = 1.0;
/// So many days are simulated at most.
const DAYS: i64 = 7;
/// A sensor that answers later than this is late, s: common practice, no source.
const LATE: i64 = 900;

pub(super) fn check(model: &Model, findings: &mut Vec<Finding>) {
    for group in model.outdoor_units.iter().filter(|group| group.zones.len() > 1) {
        let Some(owner) = group.settings.owner() else { continue };
        let owner = group.zones[owner];
        let path = format!("{}.owner", path_of_group(group));
        findings.extend(in_one_mode(model, group, owner, &path));
        findings.extend(sensor_error(model, owner, &path));
        findings.extend(in_the_sun(model, group, owner, &path));
    }
}

/// An owner that starts in a mode for one direction, and that nothing in the file turns.
fn in_one_mode(
    model: &Model,
    group: &OutdoorGroup,
    owner: ZoneIndex,
    path: &str,
) -> Option<Finding> {
    let zone = &model.zones[owner.get()];
    let direction = zone.controls.start.mode.only_direction()?;
    let turns = |doing: &Doing| {
        matches!(doing, Doing::Request(Request::Mode(_) | Request::Press(Key::Mode)))
    };
    let turned = model.actions.iter().any(|it| it.zone == owner && turns(&it.what));
    // Where its keys are locked, that is told already.
    let settings = &zone.controls.settings;
    let next = settings.modes.next(zone.controls.start.mode, settings.locked_modes);
    let locked = settings.key_locks.iter().all(|locks| locks.refuses(LockableKey::Mode));
    let other = direction.opposite();
    let without = group
        .zones
        .iter()
        .filter(|at| **at != owner && model.zones[at.get()].unit.capacity(other).is_some());
    let without = without.count();
    if turned || locked || next.is_none() || without == 0 {
        return None;
    }
    let message = format!(
        "{} owns the group's mode and starts in {}: until somebody presses its mode key the {without} \
         other zone(s) get no {}",
        zone.label,
        zone.controls.start.mode.name(),
        other.name()
    );
    let has_auto = settings.modes.has(Mode::Auto) && !settings.locked_modes.has(Mode::Auto);
    let remedy = if has_auto {
        "start it in auto, or let another policy decide"
    } else {
        "let another zone or policy decide, or turn its mode with the season and say so"
    };
    Some(Finding::warning("owner-in-one-mode", path.to_owned(), message).mend(remedy).cite(RULE))
}

/// An owner whose sensor does not read the room.
fn sensor_error(model: &Model, owner: ZoneIndex, path: &str) -> Option<Finding> {
    let zone = &model.zones[owner.get()];
    let sensor = &zone.controls.sensor;
    let letter = model.unit.letter();
    let off = match sensor.place {
        SensorPlace::Controllers { offset } => sensor.offset + offset,
        SensorPlace::Room | SensorPlace::ReturnAir { .. } => sensor.offset,
    };
    let coarse = model.unit.difference_from_kelvin(0.5);
    let (what, severity) = if off.abs() >= coarse - 1e-9 {
        (format!("its sensor reads {} {letter} off", tidy(off)), Severity::Warning)
    } else if let SensorPlace::ReturnAir { heating, cooling } = sensor.place {
        let (heating, cooling) = (tidy(heating), tidy(cooling));
        let words = format!(
            "its sensor sits in the return air, {heating} {letter} off while heating and {cooling} \
             {letter} while cooling"
        );
        (words, Severity::Warning)
    } else if sensor.lag.get() > LATE {
        (format!("its sensor answers {} late", sensor.lag), Severity::Note)
    } else {
        return None;
    };
    let message = format!(
        "{} owns the group's mode and {what}: the group turns by it, for every zone",
        zone.label
    );
    Some(
        Finding::new(severity, "owner-sensor-error", path.to_owned(), message)
            .mend("mend or move the sensor, or let another zone or policy decide")
            .cite("control rules 9 and 10"),
    )
}

/// Which zone of a group waits longest for its owner, how many hours, in how many of the file's first
/// days.
fn most_starved(
    model: &Model,
    group: &OutdoorGroup,
    owner: ZoneIndex,
) -> Option<(ZoneIndex, f64, i64)> {
    let mut short = model.clone();
    let days = model.period.days().min(DAYS);
    short.period = Period::new(model.period.first(), days, model.period.step()).ok()?;
    let finished = simulate(&short, Keep::Nothing);
    if finished.halt.is_some() {
        return None;
    }
    let starved = group
        .zones
        .iter()
        .filter(|at| **at != owner)
        .map(|at| (*at, finished.summary.zones[at.get()].1.starved_hours));
    let (worst, hours) = starved.max_by(|one, other| one.1.total_cmp(&other.1))?;
    Some((worst, hours, days))
}

/// Whether others wait for an owner on the file's first days.
pub(super) fn lets_others_wait(model: &Model, group: &OutdoorGroup, owner: ZoneIndex) -> bool {
    most_starved(model, group, owner).is_some_and(|(_, hours, _)| hours >= STARVED)
}

/// Glass that lets sun in, for each m2 of floor.
fn glass(zone: &Zone) -> f64 {
    let aperture = zone.windows.iter().map(Window::aperture);
    aperture.fold(0.0, |sum, each| sum + each) / zone.space.input().floor
}

/// An owner with more sun than the others, where the file's own days show that others starve.
fn in_the_sun(
    model: &Model,
    group: &OutdoorGroup,
    owner: ZoneIndex,
    path: &str,
) -> Option<Finding> {
    let zone = &model.zones[owner.get()];
    let mut others: Vec<f64> = group
        .zones
        .iter()
        .filter(|at| **at != owner)
        .map(|at| glass(&model.zones[at.get()]))
        .collect();
    others.sort_by(f64::total_cmp);
    let usual = *others.get(others.len() / 2)?;
    let own = glass(zone);
    if own <= 0.0 || own <= usual * ODD {
        return None;
    }
    let (worst, hours, days) = most_starved(model, group, owner)?;
    if hours < STARVED {
        return None;
    }
    let until = if days == 1 { "the first day".into() } else { format!("the first {days} days") };
    let message = format!(
        "{} owns the group's mode and has {} times the sunlit glass of the others: on {until} of \
         the file {} is starved for {} h",
        zone.label,
        tidy(own / usual.max(own / 99.0)),
        model.zones[worst.get()].label,
        tidy(hours)
    );
    Some(
        Finding::warning("owner-in-the-sun", path.to_owned(), message)
            .mend("let a zone with usual sun decide: `setband owners` ranks them; or shade it")
            .cite("simulation of the file's own days; control rule 10"),
    )
}
