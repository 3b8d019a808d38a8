//! What is worked out once for each zone before its bounds are followed.

use super::basis::Basis;
use super::calls::{Calls, Permit};
use super::heat::Share;
use super::interval::Interval;
use super::reading::Reading;
use super::room::Room;
use super::selections::Selections;
use super::timers::Timers;
use super::{Limits, Neglect, Question};
use crate::building::AirChange;
use crate::control::{
    Mode, OutdoorLimits, OwnerOff, Permitted, Setback, Settings, Sharing, WindowDoes,
};
use crate::direction::Direction;
use crate::engine::{Doing, Model, OutdoorGroup, ZoneIndex};
use crate::plant::{FanRun, IndoorUnit, OutdoorUnit, UnitControl};
use crate::time::Seconds;
use crate::units::TemperatureUnit;

/// Longer timers are counted in larger units, so that this many counts are enough.
const MOST_COUNTS: i64 = 8;
/// After so many time constants a unit has risen to its output but for a fiftieth.
const RISEN: f64 = 4.0;
/// Ranges of the sensor's body end at thresholds. In between and so far beyond, K, they are no wider
/// than this.
const BEYOND: f64 = 1.0;
const WIDEST: f64 = 0.5;

/// Who gives a zone its direction.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Lead {
    /// It does so itself.
    Own,
    /// Its group does: these directions can come about.
    Group([bool; 2]),
    /// Another zone of its group does.
    Owner { zone: usize, off: OwnerOff },
}

/// What may be in force in one phase: before people act, and while they do.
#[derive(Clone, Debug)]
pub(super) struct Phase {
    pub(super) selections: Selections,
    /// Working setpoints while the stored ones work, and while nobody is there.
    pub(super) stored: (Interval, Interval),
    pub(super) set_back: Option<(Interval, Interval)>,
}

/// One zone.
#[derive(Clone, Debug)]
pub(super) struct ZonePlan {
    pub(super) zone: ZoneIndex,
    /// The air changes that it may have, and the room at each.
    pub(super) airs: Vec<AirChange>,
    pub(super) rooms: Vec<Room>,
    /// Whether and how its windows may be opened.
    pub(super) windows: Option<WindowDoes>,
    /// Which directions outdoor limits permit, over all outdoor temperatures.
    pub(super) permits: [Permit; 2],
    pub(super) calls: Calls,
    pub(super) unit: IndoorUnit,
    /// The file's unit of temperature.
    pub(super) temperature: TemperatureUnit,
    pub(super) share: [Share; 2],
    pub(super) lead: Lead,
    /// Whether `dry` may be selected, and whether cooling without it.
    pub(super) dry: [bool; 2],
    pub(super) is_ideal: bool,
    /// Whether the fan may run without a call.
    pub(super) fan_alone: bool,
    /// Internal gains, those of people included, W.
    pub(super) internal: Interval,
    /// Ends of the ranges into which the sensor's body is divided, degrees C, in each phase.
    pub(super) edges: [Vec<f64>; 2],
    /// Undisturbed, and with presses.
    pub(super) phases: [Phase; 2],
    pub(super) neglect: Neglect,
}

impl ZonePlan {
    /// How the zone's mass is followed while it moves.
    pub(super) fn basis(&self) -> Basis {
        self.rooms.first().map_or(Basis::PLAIN, |room| room.basis)
    }

    /// Works a zone out.
    pub(super) fn new(
        model: &Model,
        zone: ZoneIndex,
        question: &Question,
        neglect: Neglect,
    ) -> Self {
        let here = &model.zones[zone.get()];
        let controls = &here.controls;
        let step = model.period.step();
        let reading = Reading::new(&controls.sensor, model.unit, step, neglect.sensor_offset);
        let phases = [Selections::undisturbed(model, zone), Selections::with_presses(model, zone)]
            .map(|selections| {
                Phase::new(selections, &controls.settings, controls.setback.as_ref())
            });
        let group = model.outdoor_units.iter().find(|group| group.zones.contains(&zone));
        let lead = lead(model, zone, group);
        let mut unit = here.unit.clone();
        if neglect.cooling {
            unit.cooling = None;
        }
        let share = Direction::BOTH.map(|direction| {
            group.map_or(Share::OWN, |group| share(model, group, direction, &question.limits))
        });
        let calls = Calls {
            call_start: controls.thermostat.call_start,
            call_stop: controls.thermostat.call_stop,
            // A unit that cannot heat does nothing about it.
            low_limit: controls.low_limit.filter(|_| unit.heating.is_some()),
            timers: timers(model, zone, group, &unit, &phases, neglect),
            reading,
        };
        let windows = windows(model, zone, question);
        let airs = airs(model, zone, windows.is_some());
        let rooms = Room::all(model, zone, &airs, &reading);
        let modes = &phases[1].selections.modes;
        let others = modes.iter().any(|mode| matches!(mode, Mode::Cool | Mode::Auto));
        let dries = modes.contains(&Mode::Dry) && !matches!(lead, Lead::Owner { .. });
        Self {
            zone,
            airs,
            rooms,
            windows,
            permits: permits(model, zone, group, &question.limits),
            edges: [edges(&calls, &phases[0]), edges(&calls, &phases[1])],
            calls,
            share,
            lead,
            dry: [dries, others || !dries],
            is_ideal: unit.control == UnitControl::Ideal,
            fan_alone: unit.fan_run != FanRun::Auto || modes.contains(&Mode::Fan),
            unit,
            temperature: model.unit,
            internal: internal(model, zone),
            phases,
            neglect,
        }
    }
}

impl Phase {
    fn new(selections: Selections, settings: &Settings, setback: Option<&Setback>) -> Self {
        let stored = (selections.heat, selections.cool);
        let set_back = setback.map(|setback| selections.set_back(settings, setback));
        Self { selections, stored, set_back }
    }
}

/// What the contact does where windows may be opened: where the file opens them, or any may be.
fn windows(model: &Model, zone: ZoneIndex, question: &Question) -> Option<WindowDoes> {
    let opens = |action: &crate::engine::Action| {
        action.zone == zone && matches!(action.what, Doing::Window(_))
    };
    let may = question.any_window || model.actions.iter().any(opens);
    may.then_some(model.zones[zone.get()].controls.window_contact.does)
}

fn airs(model: &Model, zone: ZoneIndex, with_windows: bool) -> Vec<AirChange> {
    let ventilated = model.zones[zone.get()].space.input().ventilation.is_some();
    let may = |air: &AirChange| (!air.ventilation || ventilated) && (!air.window || with_windows);
    AirChange::ALL.into_iter().filter(may).collect()
}

/// Whether outdoor limits permit a direction always, at some outdoor temperatures, or never.
fn permits(
    model: &Model,
    zone: ZoneIndex,
    group: Option<&OutdoorGroup>,
    limits: &Limits,
) -> [Permit; 2] {
    let own = &model.zones[zone.get()].controls.outdoor_limits;
    let all: Vec<&OutdoorLimits> =
        std::iter::once(own).chain(group.map(|group| &group.outdoor_limits)).collect();
    let celsius = |value| model.unit.from_celsius(value);
    let ends = [celsius(limits.coldest), celsius(limits.hottest)];
    Direction::BOTH.map(|direction| {
        // After a step at which nothing was permitted less is than at the start.
        let none = Permitted::BOTH;
        let barred = |limits: &OutdoorLimits, outdoor: f64| {
            let widened = OutdoorLimits {
                heat_below: limits.heat_below.map(|it| it - limits.hysteresis - 1e-6),
                cool_above: limits.cool_above.map(|it| it + limits.hysteresis + 1e-6),
                hysteresis: 0.0,
            };
            !widened.next(none, outdoor).has(direction)
        };
        let open = |limits: &OutdoorLimits, outdoor: f64| limits.next(none, outdoor).has(direction);
        let may_be_barred = all.iter().any(|it| ends.iter().any(|end| barred(it, *end)));
        let may_be_open = all.iter().all(|it| ends.iter().any(|end| open(it, *end)));
        match (may_be_barred, may_be_open) {
            (false, _) => Permit::Always,
            (true, true) => Permit::Sometimes,
            (true, false) => Permit::Never,
        }
    })
}

/// From nothing to all gains and all people at once.
fn internal(model: &Model, zone: ZoneIndex) -> Interval {
    let gains = model.zones[zone.get()].gains.iter().map(|gain| gain.power);
    let people = model.people.iter().filter(|person| person.zone == zone);
    let people = people.map(|person| person.heat.sensible);
    gains.chain(people).fold(Interval::ZERO, |sum, power| {
        sum + Interval::between(0.0, 0.0).hull(Interval::exactly(power))
    })
}

fn lead(model: &Model, zone: ZoneIndex, group: Option<&OutdoorGroup>) -> Lead {
    let Some(group) = group else { return Lead::Own };
    match (group.settings.sharing, group.settings.owner()) {
        (Sharing::Simultaneous, _) => Lead::Own,
        (Sharing::SingleMode { owner_off, .. }, Some(owner)) => {
            let owner = group.zones[owner];
            if owner == zone {
                Lead::Own
            } else {
                Lead::Owner { zone: owner.get(), off: owner_off }
            }
        }
        (Sharing::SingleMode { .. }, None) => {
            // Any zone whose mode allows a direction may bring it about.
            let may = Direction::BOTH.map(|direction| {
                let wants = |zone: &ZoneIndex| {
                    let modes = Selections::with_presses(model, *zone).modes;
                    modes.iter().any(|mode| mode.allows(direction))
                        || model.zones[zone.get()].controls.low_limit.is_some()
                };
                direction == group.direction || group.zones.iter().any(wants)
            });
            Lead::Group(may)
        }
    }
}

/// What a zone's share of an outdoor unit can come to, over all outdoor temperatures.
fn share(model: &Model, group: &OutdoorGroup, direction: Direction, limits: &Limits) -> Share {
    let rated = group.zones.iter().map(|zone| model.zones[zone.get()].unit.rated(direction));
    let asked: f64 = rated.sum();
    let capacity = capacities(&group.unit, direction, limits);
    let least = if asked > capacity.low() { capacity.low() / asked } else { 1.0 };
    let lowest = group.unit.lowest_output * capacity.high();
    Share { least, little: lowest, burst: lowest }
}

/// The least and the largest capacity over a range of outdoor temperatures. It is linear between
/// the points of its table and jumps where it is locked out or defrosts.
fn capacities(unit: &OutdoorUnit, direction: Direction, limits: &Limits) -> Interval {
    let table = match direction {
        Direction::Heating => &unit.heating,
        Direction::Cooling => &unit.cooling,
    };
    let points =
        table.iter().flat_map(crate::plant::CapacityTable::points).map(|point| point.outdoor);
    let locks = [unit.heating_lockout, unit.cooling_lockout].into_iter().flatten();
    let ices = unit.defrost.iter().flat_map(|defrost| [defrost.from, defrost.to]);
    let inside = points.chain(locks).chain(ices).flat_map(|at| [at.next_down(), at, at.next_up()]);
    let inside = inside.filter(|at| limits.coldest <= *at && *at <= limits.hottest);
    let at = |outdoor: f64| unit.capacity(direction, outdoor).map_or(0.0, |(capacity, _)| capacity);
    let ends = Interval::between(at(limits.coldest), at(limits.hottest));
    inside.fold(ends, |all, outdoor| all.hull(Interval::exactly(at(outdoor))))
}

fn steps(time: Seconds, step: Seconds) -> i64 {
    (time.get() + step.get() - 1) / step.get()
}

fn few(steps: i64) -> u8 {
    u8::try_from(steps).unwrap_or(u8::MAX)
}

fn timers(
    model: &Model,
    zone: ZoneIndex,
    group: Option<&OutdoorGroup>,
    unit: &IndoorUnit,
    phases: &[Phase; 2],
    neglect: Neglect,
) -> Timers {
    let step = model.period.step();
    let here = &model.zones[zone.get()];
    let thermostat = &here.controls.thermostat;
    let rise = unit.start_up.time_constant * RISEN;
    let rise = (0..i64::from(u16::MAX)).find(|at| (at * step.get()) as f64 >= rise).unwrap_or(0);
    let min_on = steps(thermostat.min_on, step);
    let min_off = if neglect.timer { 0 } else { steps(thermostat.min_off, step) };
    let changeover_delay = steps(thermostat.changeover_delay, step);
    let longest = min_on.max(min_off).max(changeover_delay).max(rise);
    let counted = (longest + MOST_COUNTS - 1) / MOST_COUNTS;
    let mut timers =
        Timers { unit: counted.max(1), min_on, min_off, changeover_delay, ..Timers::default() };
    timers.off_cap = timers.cap(min_off.max(changeover_delay));
    timers.on_cap = timers.cap(min_on.max(rise));
    // A circuit that is never used one way never reverses.
    let used = Direction::BOTH.map(|direction| {
        let allow = |phase: &Phase| phase.selections.modes.iter().any(|it| it.allows(direction));
        let guarded = here.controls.low_limit.is_some() && direction == Direction::Heating;
        unit.capacity(direction).is_some() && (guarded || phases.iter().any(allow))
    });
    if group.is_none() && used == [true, true] {
        timers.idle_at_start = few(steps(unit.reversal_time, step));
    }
    if let Some(group) = group {
        let rest = if neglect.timer { 0 } else { steps(group.settings.min_off, step) };
        let compressor = steps(group.unit.min_off, step);
        let turns = matches!(group.settings.sharing, Sharing::SingleMode { .. });
        let reversal = if turns { steps(group.unit.reversal_time, step) } else { 0 };
        timers.shares = true;
        timers.waits = few(rest);
        timers.idle_after_little = if group.unit.lowest_output > 0.0 { few(compressor) } else { 0 };
        timers.idle_at_start = few(i64::from(timers.idle_after_little) + reversal);
    }
    timers
}

/// Where the sensor's body starts and ends calls, and near there.
fn edges(calls: &Calls, phase: &Phase) -> Vec<f64> {
    let Calls { call_start: start, call_stop: stop, reading, .. } = calls;
    let mut thresholds = Vec::new();
    for (heat, cool) in [Some(phase.stored), phase.set_back].into_iter().flatten() {
        for heat in [heat.low(), heat.high()] {
            thresholds.extend([heat - start.heating, heat + stop.heating]);
        }
        for cool in [cool.low(), cool.high()] {
            thresholds.extend([cool + start.cooling, cool - stop.cooling]);
        }
    }
    if let Some(limit) = calls.low_limit {
        thresholds.extend([limit.below, limit.until]);
    }
    let mut edges: Vec<f64> = thresholds.iter().map(|it| reading.body(*it)).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup_by(|next, last| *next - *last < 0.1);
    let (Some(lowest), Some(highest)) = (edges.first().copied(), edges.last().copied()) else {
        return edges;
    };
    let ends: Vec<f64> =
        [lowest - BEYOND].into_iter().chain(edges).chain([highest + BEYOND]).collect();
    let parts = |pair: &[f64]| {
        let (low, width) = (pair[0], pair[1] - pair[0]);
        let count = (width / WIDEST - 1e-6).ceil().max(1.0);
        std::iter::successors(Some(0.0), move |at| (at + 1.0 < count).then_some(at + 1.0))
            .map(move |at| low + width * at / count)
    };
    let all: Vec<f64> = ends.windows(2).flat_map(parts).chain([highest + BEYOND]).collect();
    all
}
