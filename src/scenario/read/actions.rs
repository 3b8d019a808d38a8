//! What people, technicians and schedules do.

use std::collections::HashMap;
use std::sync::Arc;

use super::changes::{Where, read_controller};
use super::controls::power;
use super::outdoor::Groups;
use super::{changes, neighbours};
use crate::building::ZoneIndex;
use crate::control::{Key, Mode, Opening, Request, Role, Side};
use crate::engine::{Action, Doing, Zone};
use crate::scenario::fault::Complaint;
use crate::scenario::fields::Fields;
use crate::scenario::scalar::{Moment, Scalar};
use crate::scenario::tree::Node;
use crate::time::{ClockTime, DAY, DaySet, Instant, Period, Weekday};

const ROLES: [Role; 3] = [Role::Occupant, Role::Technician, Role::Schedule];

/// Reads all actions, each key and each repetition by itself, in the order of time and then of
/// the file.
pub(super) fn read(
    file: &Fields,
    period: &Period,
    zones: &[(&str, Option<Zone>)],
    groups: &Groups,
    most: usize,
) -> Vec<Action> {
    let index = zones.iter().enumerate().map(|(place, (id, _))| (*id, place)).collect();
    let mut reader = Reader { period, zones, groups, file, index, names: HashMap::new() };
    // What goes back by the clock comes before other actions of its time (rule 17).
    let mut actions = returns(period, zones);
    let mut place = 0;
    file.each("actions", |fields| {
        if actions.len() <= most {
            reader.read_one(&fields, place, most, &mut actions);
        }
        place += 1;
    });
    if actions.len() > most {
        let message = format!("with all repetitions there are more than {most} actions");
        let large = Complaint::new("too-large", message).help("repeat less, or shorten the period");
        file.fault("actions", large);
    }
    actions.sort_by_key(|action| action.at);
    actions
}

/// The requests by which stored setpoints go back, day by day and zone by zone.
fn returns(period: &Period, zones: &[(&str, Option<Zone>)]) -> Vec<Action> {
    let mut actions = Vec::new();
    let by: Arc<str> = Arc::from(Role::Schedule.name());
    for (zone, controls) in zones.iter().enumerate() {
        let Some(controls) = controls.1.as_ref().map(|zone| &zone.controls) else { continue };
        let Some(returns) = &controls.returns else { continue };
        let settings = &controls.settings;
        for day in 0..period.days() {
            for time in &returns.at {
                let at = period.off_clocks(Instant::new(day * DAY + time.get()));
                if !(Instant::START..period.end()).contains(&at) {
                    continue;
                }
                actions.extend(returns.to().into_iter().map(|(side, ticks)| Action {
                    at,
                    place: None,
                    zone: ZoneIndex::new(zone),
                    controller: settings.controllers.primary(),
                    by: Arc::clone(&by),
                    role: Role::Schedule,
                    what: Doing::Request(Request::Setpoint(side, settings.grid.value(ticks))),
                }));
            }
        }
    }
    actions
}

struct Reader<'a> {
    period: &'a Period,
    zones: &'a [(&'a str, Option<Zone>)],
    groups: &'a Groups<'a>,
    file: &'a Fields<'a>,
    index: HashMap<&'a str, usize>,
    /// Each name once, however many actions have it.
    names: HashMap<String, Arc<str>>,
}

impl Reader<'_> {
    fn read_one(&mut self, fields: &Fields, place: usize, most: usize, to: &mut Vec<Action>) {
        let times = self.read_times(fields);
        let role = fields.pick("role", &ROLES, Role::name);
        let zone = self.read_zone(fields);
        let controls = zone.and_then(|zone| self.zones.get(zone.get())?.1.as_ref());
        let controls = controls.map(|zone| &zone.controls);
        let controller = controls.and_then(|controls| {
            read_controller(fields, "controller", &controls.settings.controllers)
        });
        let at = zone.zip(controls).zip(controller).map(|((zone, controls), controller)| {
            let group = self.groups.of(zone.get());
            Where { groups: self.groups, file: self.file, controls, controller, group }
        });
        let doings = read_doings(fields, role, at.as_ref());
        let by = self.read_by(fields, role);
        let (Some(times), Some(zone), Some(controller)) = (times, zone, controller) else { return };
        let (Some(role), Some(doings), Some(by)) = (role, doings, by) else { return };
        for at in times {
            for what in &doings {
                let (by, what) = (Arc::clone(&by), what.clone());
                to.push(Action { at, place: Some(place), zone, controller, by, role, what });
            }
            if to.len() > most {
                return;
            }
        }
    }

    fn read_zone(&self, fields: &Fields) -> Option<ZoneIndex> {
        let name = fields.text("zone")?;
        let found = self.index.get(name.as_str()).copied();
        if found.is_none() {
            let zones = self.file.node("zones").map_or(&[][..], Node::entries);
            fields.fault_with("zone", || neighbours::unknown_zone(&name, zones));
        }
        found.map(ZoneIndex::new)
    }

    fn read_by(&mut self, fields: &Fields, role: Option<Role>) -> Option<Arc<str>> {
        let name = match fields.optional("by", Fields::text)? {
            Some(name) => name,
            None => role?.name().to_owned(),
        };
        let known = self.names.entry(name).or_insert_with_key(|name| Arc::from(name.as_str()));
        Some(Arc::clone(known))
    }

    fn read_times(&self, fields: &Fields) -> Option<Vec<Instant>> {
        let Scalar::Moment(moment) = fields.read("at")? else { return None };
        if !fields.has("every") {
            return self.read_once(fields, moment).map(|at| vec![at]);
        }
        let days = read_days(fields)?;
        if moment.day.is_some() || moment.clock == ClockTime::END_OF_DAY {
            let day =
                Complaint::new("action-time", "with `every`, `at` is a clock time below 24:00");
            fields.fault("at", day.help("write it like `at: \"07:30\"`"));
            return None;
        }
        let falls_on = |day: &i64| days.has(self.period.counts_as(*day));
        let all = (0..self.period.days()).filter(falls_on);
        let shown = |day: i64| Instant::new(day * DAY + moment.clock.get());
        let standard = all.map(|day| self.period.off_clocks(shown(day)));
        Some(standard.filter(|at| (Instant::START..self.period.end()).contains(at)).collect())
    }

    fn read_once(&self, fields: &Fields, moment: Moment) -> Option<Instant> {
        let shown = moment.day.unwrap_or(0) * DAY + moment.clock.get();
        let at = self.period.off_clocks(Instant::new(shown));
        if Instant::START <= at && at < self.period.end() {
            return Some(at);
        }
        let days = self.period.days();
        let message = match days {
            1 => "this lies outside the period of one day".to_owned(),
            _ => format!("this lies outside the period of {days} days"),
        };
        let remedy = match days {
            1 => "give a time below 24:00, or more `days` to the period".to_owned(),
            _ => format!("give a time from d1 00:00 to below d{days} 24:00, or more `days`"),
        };
        fields.fault("at", Complaint::new("outside-period", message).help(remedy));
        None
    }
}

fn read_days(fields: &Fields) -> Option<DaySet> {
    match fields.read("every") {
        Some(Scalar::Text("day")) => Some(DaySet::EVERY),
        Some(Scalar::Text("weekday")) => Some(DaySet::WEEKDAYS),
        Some(Scalar::Text(_)) => Some(DaySet::WEEKEND),
        _ => fields.picks("every", &Weekday::ALL, Weekday::short).map(|days| DaySet::of(&days)),
    }
}

/// What an action does, in the order in which its keys apply. The zone may have faults of its
/// own: then only what hangs on it is left unread.
fn read_doings(fields: &Fields, role: Option<Role>, at: Option<&Where>) -> Option<Vec<Doing>> {
    let mut doings = Vec::new();
    let mut requests = Vec::new();
    if fields.has("set") {
        if role.is_some_and(|role| role != Role::Technician) {
            let right = Complaint::new("technician-only", "only a technician changes settings");
            fields.fault("set", right.help("add `role: technician`"));
            return None;
        }
        let words = fields.node("set").map(Node::on_one_line).unwrap_or_default();
        let change = changes::read(&fields.block("set")?, words, at?)?;
        doings.push(Doing::Set(Arc::new(change)));
    }
    requests.extend(fields.optional("power", power)?.map(Request::Power));
    let mode = fields.optional("mode", |action, key| action.pick(key, &Mode::ALL, Mode::name))?;
    requests.extend(mode.map(Request::Mode));
    for side in [Side::Heat, Side::Cool] {
        let asked = fields.optional(side.name(), Fields::number)?;
        requests.extend(asked.map(|value| Request::Setpoint(side, value)));
    }
    requests.extend(read_presses(fields)?);
    doings.extend(requests.into_iter().map(Doing::Request));
    let window =
        fields.optional("window", |fields, key| fields.pick(key, &Opening::ALL, Opening::name))?;
    doings.extend(window.map(Doing::Window));
    doings.extend(fields.optional("power_failure", Fields::seconds)?.map(Doing::PowerFailure));
    if doings.is_empty() {
        let nothing = Complaint::new("no-action", "this action does nothing");
        fields.fault_here(
            nothing.help("add heat, cool, mode, power, press, set, window or power_failure"),
        );
        return None;
    }
    Some(doings)
}

fn read_presses(fields: &Fields) -> Option<Vec<Request>> {
    let times = fields.optional("times", Fields::whole)?.unwrap_or(1);
    let times = usize::try_from(times).ok()?;
    if !fields.has("press") {
        if fields.has("times") {
            let idle = Complaint::new("no-action", "`times` repeats a press, and none is here");
            fields.fault("times", idle.help("add `press`, or take `times` away"));
            return None;
        }
        return Some(Vec::new());
    }
    let key = fields.pick("press", &Key::ALL, Key::name)?;
    Some(vec![Request::Press(key); times])
}
