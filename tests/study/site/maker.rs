//! Makes logs: runs of ours with random settings, recorded as sites record them.
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "minutes of a day, and places of short lists"
)]

use std::fmt::Write as _;

use setband::engine::{Model, StepRow};
use setband::log::LogTime;
use setband::scenario::read_beside;
use setband::study::audit::{Audit, audit};
use setband::study::{Keep, simulate};

/// Numbers from a seed: `SplitMix64` (Steele, Lea and Flood 2014, from memory).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    pub(crate) fn part(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + self.part() * (high - low)
    }

    pub(crate) fn pick<T: Copy>(&mut self, all: &[T]) -> T {
        all[(self.bits() % all.len() as u64) as usize]
    }

    /// Twelve even numbers have variance 1.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.part()).sum::<f64>() - 6.0
    }
}

/// The settings of a zone, and how it is recorded.
#[derive(Clone, Debug)]
pub(crate) struct Case {
    pub(crate) fahrenheit: bool,
    pub(crate) days: u32,
    pub(crate) floor: f64,
    pub(crate) gains: f64,
    pub(crate) heating: f64,
    pub(crate) cooling: f64,
    pub(crate) high: f64,
    pub(crate) range: f64,
    pub(crate) heat: f64,
    pub(crate) cool: f64,
    pub(crate) deadband: f64,
    pub(crate) heat_limits: (f64, f64),
    pub(crate) cool_limits: (f64, f64),
    pub(crate) on_conflict: &'static str,
    pub(crate) call_start: f64,
    pub(crate) call_stop: f64,
    pub(crate) min_on: u32,
    pub(crate) min_off: u32,
    pub(crate) open: u32,
    pub(crate) close: u32,
    pub(crate) actions: Vec<String>,
    /// Further keys of the controls.
    pub(crate) more: String,
    /// Time between rows, min.
    pub(crate) every: u32,
    pub(crate) resolution: f64,
    pub(crate) noise: f64,
    /// Whether a cell is left empty while it stays the same.
    pub(crate) by_change: bool,
    /// Part of the rows that is missing.
    pub(crate) missing: f64,
    pub(crate) seed: u64,
}

impl Case {
    pub(crate) fn random(seed: u64, days: u32) -> Self {
        let mut dice = Dice(seed);
        let fahrenheit = dice.pick(&[false, false, true]);
        let degree = if fahrenheit { 1.8 } else { 1.0 };
        let step = if fahrenheit { 1.0 } else { 0.5 };
        let grid = |value: f64| (value / step).round() * step;
        let shown = |celsius: f64| if fahrenheit { celsius * 1.8 + 32.0 } else { celsius };
        let heat = grid(shown(dice.between(19.5, 21.0)));
        let deadband = dice.pick(&[2.0, 3.0]) * step;
        let floor = dice.between(40.0, 120.0);
        let mut case = Self {
            fahrenheit,
            days,
            floor,
            gains: floor * dice.between(30.0, 45.0),
            heating: floor * dice.between(70.0, 120.0),
            cooling: floor * dice.between(80.0, 120.0),
            high: shown(dice.between(18.0, 24.0)),
            range: dice.between(14.0, 18.0) * degree,
            heat,
            cool: heat + deadband,
            deadband,
            heat_limits: (grid(shown(12.0)), grid(shown(26.0))),
            cool_limits: (grid(shown(16.0)), grid(shown(32.0))),
            on_conflict: dice.pick(&["push", "hold", "push_and_return"]),
            call_start: (dice.between(0.3, 0.8) * degree * 10.0).round() / 10.0,
            call_stop: dice.pick(&[0.0, 0.2]),
            min_on: dice.pick(&[0, 2, 4]),
            min_off: dice.pick(&[3, 5, 8]),
            open: dice.pick(&[360, 405, 450, 480]),
            close: dice.pick(&[1020, 1065, 1110]),
            actions: Vec::new(),
            more: String::new(),
            every: dice.pick(&[1, 1, 2, 5]),
            resolution: if fahrenheit {
                dice.pick(&[0.1, 0.5])
            } else {
                dice.pick(&[0.05, 0.1, 0.5])
            },
            noise: dice.pick(&[0.0, 0.02, 0.04]) * degree,
            by_change: dice.pick(&[false, false, true]),
            missing: dice.pick(&[0.0, 0.01]),
            seed,
        };
        case.press(&mut dice);
        case
    }

    /// Presses to and fro, at other minutes each day.
    fn press(&mut self, dice: &mut Dice) {
        for day in 1..=self.days {
            let mut minute = self.open + 40 + (dice.part() * 60.0) as u32 + 7 * day;
            let mut up = dice.pick(&[true, false]);
            while minute + 40 < self.close {
                let key = if up { "warmer" } else { "cooler" };
                self.actions.push(format!(
                    "  - {{at: \"d{day} {:02}:{:02}\", zone: hall, by: guest, press: {key}, times: {}}}",
                    minute / 60,
                    minute % 60,
                    dice.pick(&[1, 2])
                ));
                up = !up;
                minute += dice.pick(&[95, 130, 170]) + (dice.part() * 20.0) as u32;
            }
        }
    }

    /// The scenario, with these blocks besides.
    pub(crate) fn scenario(&self, more: &str) -> String {
        let clock = |minute: u32| format!("{:02}:{:02}", minute / 60, minute % 60);
        let actions = match &self.actions[..] {
            [] => String::new(),
            all => format!("actions:\n{}\n", all.join("\n")),
        };
        format!(
            "title: Made\ntemperature: {}\nperiod: {{from: 2025-04-14, days: {}}}\nweather: \
             {{design_day: {{high: {:.1}, range: {:.1}}}}}\nzones:\n  hall:\n    space: {{floor: {:.0} \
             m2, mass: light}}\n    gains: {{from: \"{}\", to: \"{}\", power: {:.0} W}}\n    unit: \
             {{heating: {:.0} W, cooling: {:.0} W, control: staged, min_on: {} min, min_off: {} min}}\n    controls:\n      heat: {}\n      \
             cool: {}\n      min_deadband: {}\n      limits: {{heat: [{}, {}], cool: [{}, {}]}}\n      \
             on_conflict: {}\n      call_start: {}\n      call_stop: {}\n      sensor: {{resolution: 0.1}}\n      occupancy: {{from: \"{}\", to: \
             \"{}\"}}\n      setback: {{heat: {}, cool: {}}}\n{}{actions}{more}",
            if self.fahrenheit { "F" } else { "C" },
            self.days,
            self.high,
            self.range,
            self.floor,
            clock(self.open),
            clock(self.close),
            self.gains,
            self.heating,
            self.cooling,
            self.min_on,
            self.min_off,
            self.heat,
            self.cool,
            self.deadband,
            self.heat_limits.0,
            self.heat_limits.1,
            self.cool_limits.0,
            self.cool_limits.1,
            self.on_conflict,
            self.call_start,
            self.call_stop,
            clock(self.open),
            clock(self.close),
            if self.fahrenheit { 5 } else { 3 },
            if self.fahrenheit { 5 } else { 3 },
            self.more,
        )
    }

    pub(crate) fn model(&self) -> Model {
        read(&self.scenario(""), b"")
    }

    /// What a run of it leaves.
    pub(crate) fn rows(&self) -> Vec<StepRow> {
        let model = self.model();
        simulate(&model, Keep::Steps).rows
    }

    /// What a recorder makes of it.
    pub(crate) fn record(&self, rows: &[StepRow]) -> Recorded {
        let mut dice = Dice(self.seed ^ 0xABCD);
        let start = LogTime::midnight(self.model().period.first());
        let mut readings = Vec::new();
        let gap = 2000 + i64::from(self.every) * 60;
        for row in rows {
            let minute = row.at.get() / 60;
            if minute % i64::from(self.every) != 0 {
                continue;
            }
            let air = row.sensed + self.noise * dice.normal();
            let missing = dice.part() < self.missing;
            if missing || (self.missing > 0.0 && (gap..gap + 40).contains(&minute)) {
                continue;
            }
            readings.push(Reading {
                at: start + row.at.get(),
                outdoor: (row.outdoor * 10.0).round() / 10.0,
                air: (air / self.resolution).round() * self.resolution,
                heat: row.heat,
                cool: row.cool,
                mode: row.mode.name(),
                power: row.power.name(),
                running: row.served.map_or("none", setband::control::Direction::name),
                sensed: row.sensed,
                there: row.occupied,
            });
        }
        Recorded { readings, more: Vec::new(), by_change: self.by_change }
    }
}

/// One row of a log.
#[derive(Clone, Debug)]
pub(crate) struct Reading {
    pub(crate) at: LogTime,
    pub(crate) outdoor: f64,
    pub(crate) air: f64,
    pub(crate) heat: f64,
    pub(crate) cool: f64,
    pub(crate) mode: &'static str,
    pub(crate) power: &'static str,
    pub(crate) running: &'static str,
    /// What the governing sensor had, and whether somebody was there; neither is a column.
    pub(crate) sensed: f64,
    pub(crate) there: bool,
}

/// A log.
#[derive(Clone, Debug)]
pub(crate) struct Recorded {
    pub(crate) readings: Vec<Reading>,
    /// Further columns by name, reading by reading.
    pub(crate) more: Vec<(&'static str, Vec<String>)>,
    by_change: bool,
}

/// The block that maps it.
pub(crate) const LOG: &str = "log: {file: week.csv, outdoor: out, zones: {hall: {temperature: air, \
                              heat: h, cool: c, mode: mode, power: power, running: run}}}\n";

impl Recorded {
    pub(crate) fn csv(&self) -> String {
        let mut text = "time,out,air,h,c,mode,power,run".to_owned();
        for (name, _) in &self.more {
            text.push(',');
            text.push_str(name);
        }
        text.push('\n');
        let mut last: Vec<String> = Vec::new();
        for (row, it) in self.readings.iter().enumerate() {
            let mut cells = vec![
                format!("{:.1}", it.outdoor),
                format!("{:.2}", it.air),
                format!("{}", it.heat),
                format!("{}", it.cool),
                it.mode.to_owned(),
                it.power.to_owned(),
                it.running.to_owned(),
            ];
            cells.extend(self.more.iter().map(|(_, all)| all[row].clone()));
            let shown: Vec<String> = cells
                .iter()
                .enumerate()
                .map(|(place, cell)| {
                    let same = self.by_change && last.get(place) == Some(cell);
                    if same { String::new() } else { cell.clone() }
                })
                .collect();
            let _ = writeln!(text, "{},{}", it.at, shown.join(","));
            last = cells;
        }
        text
    }
}

/// Reads a scenario with a log beside it.
pub(crate) fn read(text: &str, log: &[u8]) -> Model {
    let open = |_: &str| Ok(log.to_vec());
    read_beside(text, "made.yaml", &open).unwrap_or_else(|it| panic!("{text}\n{it}")).base
}

/// Holds a log against settings.
pub(crate) fn audited(case: &Case, block: &str, log: &Recorded) -> Audit {
    let model = read(&case.scenario(block), log.csv().as_bytes());
    let site = model.log.clone().expect("there is one");
    audit(&model, &site)
}
