//! The changes that are tried: few of each kind, where a run shows that they could do something.

use super::super::amend::{Amended, End, Settled, Wish, amend};
use super::{Kind, label};
use crate::control::{ModePolicy, Sharing, Side};
use crate::engine::{Model, Zone};
use crate::measures::{Summary, ZoneFigures};
use crate::settings::controls::{CHANGEOVER_DELAY, EARLY_MOST, SENSOR_OFFSET, SENSOR_PLACE};
use crate::settings::controls::{SETBACK_COOL, SETBACK_HEAT};
use crate::settings::group::{CHANGEOVER_DELAY as GROUP_DELAY, MODE_POLICY, OWNER};
use crate::settings::{Key, Subject, Value, entry};
use crate::time::Seconds;

/// So long before somebody comes recovery may begin where it is tried.
const EARLY: Seconds = Seconds::hours(3);

/// A change that is tried.
pub(super) struct Trial {
    pub(super) kind: Kind,
    pub(super) words: String,
    pub(super) model: Model,
}

/// All of them, those first that decide most.
pub(super) fn all(model: &Model, summary: &Summary) -> Vec<Trial> {
    let trying = Trying { model, summary };
    let mut all = trying.policies();
    all.extend(trying.deadbands());
    all.extend(trying.setpoints());
    all.extend(trying.limits());
    all.extend(trying.setbacks());
    all.extend(trying.schedule());
    all.extend(trying.sensors());
    all.extend(trying.delays());
    // Owners are as many as rooms: where there is no time for all, the last ones are left out.
    all.extend(trying.owners());
    all
}

struct Trying<'a> {
    model: &'a Model,
    summary: &'a Summary,
}

impl Trying<'_> {
    fn degrees(&self, celsius: f64) -> f64 {
        self.model.unit.difference_from_kelvin(celsius)
    }

    fn zones(&self) -> impl Iterator<Item = (usize, &Zone, &ZoneFigures)> {
        let zones = self.model.zones.iter().zip(&self.summary.zones).enumerate();
        zones.map(|(at, (zone, (_, figures)))| (at, zone, figures))
    }

    /// The model with one setting changed in several places; `None` where none takes the value.
    fn set(&self, key: &Key, changes: &[(Subject, Value)]) -> Option<Model> {
        let entry = entry(key.path)?;
        let mut model = None;
        for (subject, value) in changes {
            let from = model.as_ref().unwrap_or(self.model);
            if entry.get(from, *subject) != *value {
                model = entry.with(from, *subject, value).or(model);
            }
        }
        model
    }

    fn owners(&self) -> Vec<Trial> {
        let groups = self.model.outdoor_units.iter().enumerate();
        let single =
            groups.filter(|(_, unit)| matches!(unit.settings.sharing, Sharing::SingleMode { .. }));
        let each = single.flat_map(|(at, unit)| unit.zones.iter().map(move |zone| (at, *zone)));
        let trial = |(at, zone): (usize, crate::engine::ZoneIndex)| {
            let zone = &self.model.zones[zone.get()];
            let by_owner = Value::word(ModePolicy::Owner.name());
            let decided = self.set(&MODE_POLICY, &[(Subject::Group(at), by_owner)]);
            let from = decided.as_ref().unwrap_or(self.model);
            let owner = entry(OWNER.path)?;
            let id = Value::word(zone.id.as_str());
            let same = decided.is_none() && owner.get(from, Subject::Group(at)) == id;
            let model = (!same).then(|| owner.with(from, Subject::Group(at), &id)).flatten()?;
            let words = format!("Let {} decide between heating and cooling", label(zone));
            Some(Trial { kind: Kind::Owner, words, model })
        };
        each.filter_map(trial).collect()
    }

    fn policies(&self) -> Vec<Trial> {
        let mut all = Vec::new();
        for (at, unit) in self.model.outdoor_units.iter().enumerate() {
            if unit.zones.len() < 2 {
                continue;
            }
            for (policy, words) in [
                (ModePolicy::LargestError, "Let the room furthest from its setpoints decide"),
                (ModePolicy::Majority, "Let the larger part of the rooms decide"),
                (ModePolicy::FirstCall, "Let the room that calls first decide"),
            ] {
                let change = (Subject::Group(at), Value::word(policy.name()));
                all.extend(self.set(&MODE_POLICY, &[change]).map(|model| Trial {
                    kind: Kind::Policy,
                    words: words.to_owned(),
                    model,
                }));
            }
        }
        all
    }

    /// The model with wishes of some zones granted; `None` where there are none.
    fn granted(&self, wishes: Vec<(usize, Wish)>) -> Option<Model> {
        let mut model = self.model.clone();
        let mut changed = false;
        for (at, wish) in wishes {
            if let Amended::Stands { settled, .. } = amend(&model.zones[at], wish) {
                put(&mut model.zones[at], &settled);
                changed = true;
            }
        }
        changed.then_some(model)
    }

    fn deadbands(&self) -> Vec<Trial> {
        if self.summary.group.changeovers == 0 {
            return Vec::new();
        }
        let wider = |by: f64| {
            let of = |zone: &Zone| {
                let settings = &zone.controls.settings;
                settings.grid.value(settings.rules.deadband()) + by
            };
            self.granted(self.zones().map(|(at, zone, _)| (at, Wish::Deadband(of(zone)))).collect())
        };
        [1.0, 2.0]
            .into_iter()
            .filter_map(|kelvin| {
                let by = self.degrees(kelvin).round();
                let words = format!("Keep heat and cool {by} further apart, everywhere");
                Some(Trial { kind: Kind::Deadband, words, model: wider(by)? })
            })
            .collect()
    }

    /// Setpoints drawn to the comfort band in rooms that were outside it.
    fn setpoints(&self) -> Vec<Trial> {
        let unit = self.model.unit;
        let (mut warmer, mut cooler) = (Vec::new(), Vec::new());
        for (at, zone, figures) in self.zones() {
            let Some(felt) =
                figures.operative.as_ref().filter(|_| figures.hours_outside_band > 0.05)
            else {
                continue;
            };
            let (low, high) = zone.comfort.counted();
            let (low, high) = (unit.from_celsius(low), unit.from_celsius(high));
            let (grid, start) = (zone.controls.settings.grid, zone.controls.start.setpoints);
            let step = self.degrees(1.0).round();
            if felt.min < low {
                let to = (grid.value(start.heat()) + step).max(low);
                warmer.push((at, Wish::Setpoint(Side::Heat, to)));
            }
            if felt.max > high {
                let to = (grid.value(start.cool()) - step).min(high);
                cooler.push((at, Wish::Setpoint(Side::Cool, to)));
            }
        }
        [(warmer, "Heat", "higher", "cold"), (cooler, "Cool", "lower", "warm")]
            .into_iter()
            .filter_map(|(wishes, side, way, felt)| {
                let named: Vec<&str> =
                    wishes.iter().map(|(at, _)| label(&self.model.zones[*at])).collect();
                let rooms = match named.as_slice() {
                    [] => return None,
                    [one] => (*one).to_owned(),
                    many => format!("the {} rooms that were too {felt}", many.len()),
                };
                let words = format!("Set {} {way} in {rooms}", side.to_lowercase());
                Some(Trial { kind: Kind::Setpoints, words, model: self.granted(wishes)? })
            })
            .collect()
    }

    /// Limits two degrees wider where they held requests back.
    fn limits(&self) -> Option<Trial> {
        let by = self.degrees(2.0).round();
        let held = self.zones().filter(|(.., figures)| figures.requests.limited > 0);
        let mut model = self.model.clone();
        let mut rooms = Vec::new();
        for (at, zone, _) in held {
            let settings = &zone.controls.settings;
            let limits = settings.rules.limits();
            let high = settings.grid.value(limits.heat.high) + by;
            let low = settings.grid.value(limits.cool.low) - by;
            for wish in [
                Wish::Limit(Side::Heat, End::Highest, high),
                Wish::Limit(Side::Cool, End::Lowest, low),
            ] {
                if let Amended::Stands { settled, .. } = amend(&model.zones[at], wish) {
                    put(&mut model.zones[at], &settled);
                }
            }
            rooms.push(label(zone));
        }
        let rooms = match rooms.as_slice() {
            [] => return None,
            [one] => (*one).to_owned(),
            many => format!("{} rooms", many.len()),
        };
        let words = format!("Let people set heat {by} higher and cool {by} lower in {rooms}");
        Some(Trial { kind: Kind::Limits, words, model })
    }

    fn setbacks(&self) -> Option<Trial> {
        let mut model = None;
        for (key, side) in [(&SETBACK_HEAT, Side::Heat), (&SETBACK_COOL, Side::Cool)] {
            let half = self.zones().filter_map(|(at, zone, _)| {
                let setback = zone.controls.setback?;
                let deep = if side == Side::Heat { setback.heat } else { setback.cool };
                let grid = zone.controls.settings.grid;
                let half = grid.value(grid.nearest(grid.value(deep) / 2.0));
                Some((Subject::Zone(at), Value::Number(half)))
            });
            let half: Vec<_> = half.collect();
            let from =
                Trying { model: model.as_ref().unwrap_or(self.model), summary: self.summary };
            model = from.set(key, &half).or(model);
        }
        let words = "Set back half as far while nobody is there".to_owned();
        model.map(|model| Trial { kind: Kind::Setback, words, model })
    }

    fn schedule(&self) -> Option<Trial> {
        let late = self.zones().filter(|(_, zone, figures)| {
            zone.controls.setback.is_some() && figures.hours_outside_band > 0.05
        });
        let early: Vec<_> = late.map(|(at, ..)| (Subject::Zone(at), Value::Time(EARLY))).collect();
        let words =
            "Begin before people come, up to 3 h before, as early as it learns to".to_owned();
        self.set(&EARLY_MOST, &early).map(|model| Trial { kind: Kind::Schedule, words, model })
    }

    fn sensors(&self) -> Vec<Trial> {
        let every = |value: Value| -> Vec<(Subject, Value)> {
            self.zones().map(|(at, ..)| (Subject::Zone(at), value.clone())).collect()
        };
        let return_air = entry(SENSOR_PLACE.path).map(|place| {
            let in_duct = |(subject, _): &(Subject, Value)| {
                place.get(self.model, *subject) == Value::word("return_air")
            };
            every(Value::word("room")).into_iter().filter(in_duct).collect::<Vec<_>>()
        });
        let place = return_air.and_then(|changes| self.set(&SENSOR_PLACE, &changes));
        let place = place.map(|model| Trial {
            kind: Kind::Sensor,
            words: "Measure in the rooms instead of the return air".to_owned(),
            model,
        });
        let offset = self.set(&SENSOR_OFFSET, &every(Value::Number(0.0)));
        let offset = offset.map(|model| Trial {
            kind: Kind::Sensor,
            words: "Correct sensors that read too much or too little".to_owned(),
            model,
        });
        place.into_iter().chain(offset).collect()
    }

    fn delays(&self) -> Vec<Trial> {
        let groups = (0..self.model.outdoor_units.len()).map(Subject::Group);
        let zones = (0..self.model.zones.len()).map(Subject::Zone);
        let mut all = Vec::new();
        for (key, subjects) in
            [(&GROUP_DELAY, groups.collect::<Vec<_>>()), (&CHANGEOVER_DELAY, zones.collect())]
        {
            let Some(entry) = entry(key.path) else { continue };
            let half = subjects.into_iter().filter_map(|subject| {
                let time = entry.get(self.model, subject).time()?;
                Some((subject, Value::Time(Seconds::new(time.get() / 120 * 60))))
            });
            let half: Vec<_> = half.collect();
            all.extend(self.set(key, &half).map(|model| Trial {
                kind: Kind::Delay,
                words: "Change between heating and cooling after half the delay".to_owned(),
                model,
            }));
        }
        all
    }
}

fn put(zone: &mut Zone, settled: &Settled) {
    zone.controls.settings.rules = settled.rules;
    zone.controls.start.setpoints = settled.setpoints;
}
