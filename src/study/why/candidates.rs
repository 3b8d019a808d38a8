//! Which settings might have helped against a cause.

use super::{CauseFound, Felt};
use crate::control::{ModePolicy, OnConflict, Ticks};
use crate::direction::Direction;
use crate::engine::{Model, Zone, ZoneIndex};
use crate::settings::controls::{
    CHANGEOVER_DELAY, COOL_ABOVE, HEAT_BELOW, LOCKED_MODES, LOW_LIMIT, MIN_DEADBAND, MODE,
    ON_CONFLICT, OUTDOOR_LIMITS_KEY, POWER,
};
use crate::settings::group::MODE_POLICY;
use crate::settings::unit::MIN_OFF;

/// Changes that belong together: paths with values as a file has them.
pub(super) type Changes = Vec<(String, String)>;

/// What might help against a cause.
pub(super) fn candidates(
    model: &Model,
    zone: ZoneIndex,
    felt: Felt,
    cause: &CauseFound,
) -> Vec<Changes> {
    let own = &model.zones[zone.get()];
    let it = Trying { model, zone, own, needs: felt.needs() };
    match cause.code {
        "power_off" => it.power(),
        "mode" => it.mode(),
        "unoccupied" | "recovery" => it.absence(),
        "setpoint" => it.setpoints(),
        "moved_by" => [it.setpoints(), it.bounds()].concat(),
        "limit" => it.limits(),
        "deadband" => it.deadband(),
        "group_direction" => it.group(),
        "capacity" => {
            let watt = own.unit.rated(it.needs) / f64::from(own.unit.count);
            let path = format!("unit.{}", it.needs.name());
            [1.3, 1.6].map(|times| vec![it.of(&path, format!("{:.0} W", watt * times))]).to_vec()
        }
        "rest" => {
            let delay = it.of(CHANGEOVER_DELAY.path, "0 min".into());
            vec![vec![it.of(MIN_OFF.path, "0 min".into())], vec![delay]]
        }
        "sensor" => vec![
            vec![it.of("controls.sensor.offset", "0".into())],
            vec![it.of("controls.sensor.place", "room".into())],
            vec![it.of("controls.sensor", "{place: room}".into())],
        ],
        "outdoor_limit" => it.outdoor_limit(),
        _ => Vec::new(),
    }
}

struct Trying<'m> {
    model: &'m Model,
    zone: ZoneIndex,
    own: &'m Zone,
    needs: Direction,
}

impl Trying<'_> {
    /// A key of the zone.
    fn of(&self, path: &str, value: String) -> (String, String) {
        (format!("zones.{}.{path}", self.own.id), value)
    }

    fn value(&self, ticks: Ticks) -> f64 {
        self.own.controls.settings.grid.value(ticks)
    }

    /// A step towards what was wanted.
    fn by(&self) -> f64 {
        self.own.controls.settings.grid.step() * self.needs.sign()
    }

    fn stored(&self) -> f64 {
        self.value(self.own.controls.start.setpoints.get(self.needs.side()))
    }

    /// The setpoint at the start moved to a value, and the other one along with it where it would come
    /// too close.
    fn setpoint(&self, to: f64) -> Changes {
        let side = self.needs.side();
        let other = self.needs.opposite().side();
        let rules = &self.own.controls.settings.rules;
        let deadband = self.value(rules.deadband());
        let stands = self.value(self.own.controls.start.setpoints.get(other));
        let least = to + deadband * self.needs.sign();
        let mut changes = vec![self.of(&format!("controls.{}", side.name()), number(to))];
        if (stands - least) * self.needs.sign() < 0.0 && !rules.is_single() {
            changes.push(self.of(&format!("controls.{}", other.name()), number(least)));
        }
        changes
    }

    fn setpoints(&self) -> Vec<Changes> {
        let (stored, by) = (self.stored(), self.by());
        [2.0, 4.0].map(|steps| self.setpoint(stored + steps * by)).to_vec()
    }

    /// Limits that keep a setpoint where it was at the start, or nearly.
    fn bounds(&self) -> Vec<Changes> {
        let side = self.needs.side();
        let range = self.own.controls.settings.rules.written(side);
        let (low, high) = (self.value(range.low), self.value(range.high));
        let path = format!("controls.limits.{}", side.name());
        let within = |edge: f64| match self.needs {
            Direction::Heating => format!("[{}, {}]", number(edge), number(high)),
            Direction::Cooling => format!("[{}, {}]", number(low), number(edge)),
        };
        let stored = self.stored();
        [stored, stored - 2.0 * self.by()].map(|edge| vec![self.of(&path, within(edge))]).to_vec()
    }

    /// A limit further out, alone and with the setpoint at the start moved as well.
    fn limits(&self) -> Vec<Changes> {
        let side = self.needs.side();
        let range = self.own.controls.settings.rules.written(side);
        let (low, high) = (self.value(range.low), self.value(range.high));
        let further = 4.0 * self.by();
        let (low, high) = match self.needs {
            Direction::Heating => (low, high + further),
            Direction::Cooling => (low + further, high),
        };
        let path = format!("controls.limits.{}", side.name());
        let wider = self.of(&path, format!("[{}, {}]", number(low), number(high)));
        let moved = self.setpoint(self.stored() + further);
        vec![vec![wider.clone()], [vec![wider], moved].concat()]
    }

    fn deadband(&self) -> Vec<Changes> {
        let step = self.own.controls.settings.grid.step();
        let smaller = self.of(MIN_DEADBAND.path, number(step));
        let side = self.needs.side();
        let nearer = self
            .value(self.own.controls.start.setpoints.get(self.needs.opposite().side()))
            - step * self.needs.sign();
        let moved = self.of(&format!("controls.{}", side.name()), number(nearer));
        let push = self.of(ON_CONFLICT.path, OnConflict::Push.name().into());
        let mut all = vec![vec![push], vec![smaller.clone()], vec![smaller, moved]];
        all.extend(self.setpoints());
        all
    }

    /// Power on at the start; and where it is heat that is missing a low limit, which heats whatever
    /// was selected.
    fn power(&self) -> Vec<Changes> {
        let mut all = vec![vec![self.of(POWER.path, "on".into())]];
        all.extend(self.low_limit());
        all
    }

    /// Heat below the comfort band, whatever was selected.
    fn low_limit(&self) -> Option<Changes> {
        let low = self.model.unit.from_celsius(self.own.comfort.low);
        let heats = self.needs == Direction::Heating;
        heats.then(|| vec![self.of(LOW_LIMIT.path, number(low))])
    }

    /// Mode auto at the start; or the other modes locked, so that nobody selects them.
    fn mode(&self) -> Vec<Changes> {
        let barred: Vec<&str> = crate::control::Mode::ALL
            .into_iter()
            .filter(|mode| !mode.allows(self.needs))
            .filter(|mode| self.own.controls.settings.modes.has(*mode))
            .map(crate::control::Mode::name)
            .collect();
        let auto = self.of(MODE.path, "auto".into());
        let locked = self.of(LOCKED_MODES.path, format!("[{}]", barred.join(", ")));
        let mut all = vec![vec![auto.clone()], vec![auto, locked]];
        all.extend(self.low_limit());
        all
    }

    /// Half of the setback, none, and a recovery that begins before people come.
    fn absence(&self) -> Vec<Changes> {
        let Some(setback) = self.own.controls.setback else { return Vec::new() };
        let side = self.needs.side();
        let ticks = if self.needs == Direction::Heating { setback.heat } else { setback.cool };
        let step = self.own.controls.settings.grid.step();
        let half = (self.value(ticks) / 2.0 / step).floor() * step;
        let path = format!("controls.setback.{}", side.name());
        vec![
            vec![self.of(&path, number(half))],
            vec![self.of(&path, "0".into())],
            vec![self.of("controls.occupancy.optimum_start", "{most: 3 h}".into())],
        ]
    }

    fn outdoor_limit(&self) -> Vec<Changes> {
        let limits = self.own.controls.outdoor_limits;
        let further = 10.0 * self.by();
        let changed = match self.needs {
            Direction::Heating => limits.heat_below.map(|limit| (HEAT_BELOW.name, limit)),
            Direction::Cooling => limits.cool_above.map(|limit| (COOL_ABOVE.name, limit)),
        };
        let entry = changed.map(|(key, limit)| {
            vec![self.of(&format!("{}.{key}", OUTDOOR_LIMITS_KEY.path), number(limit + further))]
        });
        entry.into_iter().collect()
    }

    /// Other policies of the outdoor unit, and the zone itself as owner.
    fn group(&self) -> Vec<Changes> {
        let units = &self.model.outdoor_units;
        let Some(unit) = units.iter().find(|unit| unit.zones.contains(&self.zone)) else {
            return Vec::new();
        };
        let start = if units.len() == 1 {
            "outdoor_unit".to_owned()
        } else {
            format!("outdoor_units.{}", unit.id)
        };
        let policy = |policy: ModePolicy| {
            vec![(format!("{start}.{}", MODE_POLICY.name), policy.name().to_owned())]
        };
        vec![
            vec![(format!("{start}.owner"), self.own.id.clone())],
            policy(ModePolicy::LargestError),
            policy(ModePolicy::Majority),
        ]
    }
}

fn number(value: f64) -> String {
    format!("{}", libm::round(value * 1000.0) / 1000.0)
}
